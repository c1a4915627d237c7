//! Two people at one engine.

mod bench;

use bench::{Bench, FOUR, enter, go_to, log_length, wait_for_meaning, wait_until_kept};
use browser_tests::{Outcome, Viewport};

#[tokio::test]
async fn each_sees_the_readings_of_the_other() -> Outcome {
    let bench = Bench::set_up()?;
    let path = format!("{FOUR}/sheet/bores");
    let one = bench.open(&path, Viewport::TABLET_LANDSCAPE).await?;
    let other = bench.open(&path, Viewport::DESKTOP).await?;

    go_to(&one, "block.bore_surface.3.rk").await?;
    enter(&one, "0.72").await?;
    wait_until_kept(&other, "block.bore_surface.3.rk", "0.72").await?;

    go_to(&other, "block.bore_surface.4.rk").await?;
    enter(&other, "0.74").await?;
    wait_until_kept(&one, "block.bore_surface.4.rk", "0.74").await
}

#[tokio::test]
async fn a_page_says_when_another_browser_changed_the_engine() -> Outcome {
    let bench = Bench::set_up()?;
    let one = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::TABLET_LANDSCAPE).await?;
    let fits = bench.open(&format!("{FOUR}/fits"), Viewport::DESKTOP).await?;
    let form = bench.open(&format!("{FOUR}/parts/layout"), Viewport::TABLET_PORTRAIT).await?;

    go_to(&one, "block.bore_surface.3.rk").await?;
    enter(&one, "0.72").await?;
    fits.wait_for_text("#moved", "1 reading came in").await?;
    form.script("const e = document.querySelector('main form input[type=text]'); e.value = 'typed'; e.dispatchEvent(new Event('input', { bubbles: true }))").await?;

    // The first browser changes the document.
    let change = "return fetch('/engine/hill-climb-four/document.toml').then((r) => r.text()).then((text) => \
        fetch('/engine/hill-climb-four/document', { method: 'POST', headers: { 'Content-Type': 'application/x-www-form-urlencoded' }, \
        body: new URLSearchParams({ _token: document.querySelector('meta[name=\"crosshatch-token\"]').content, based_on: '1', text: text + '# more\\n' }) })) \
        .then((r) => r.status)";
    assert_eq!(one.script(change).await?, 200);
    for other in [&one, &fits, &form] {
        other.wait_for_text("#moved", "the document was changed (version 2)").await?;
    }
    let kept = form.script("return document.querySelector('main form input[type=text]').value").await?;
    assert_eq!(kept, "typed", "nothing is taken away from under the hand");
    fits.expect_accessible("fits with a notice").await?;
    fits.click("#moved a").await?;
    fits.wait_until("a page that is new", async || {
        Ok(fits.script("return document.getElementById('moved').dataset.moment.startsWith('2.')").await?
            == true)
    })
    .await?;
    assert!(fits.text_of("#moved").await?.is_empty());

    // Loading the form again takes nothing away either.
    form.click("#moved a").await?;
    form.wait_for_text("#moved", "What you typed stands in its field and is not kept yet").await?;
    let page = "return document.getElementById('moved').dataset.moment.slice(0, 2) + document.querySelector('main form input[type=text]').value";
    assert_eq!(form.script(page).await?, "2.typed");
    form.expect_accessible("a form that was loaded again").await?;
    Ok(())
}

#[tokio::test]
async fn two_readings_of_one_place_are_both_shown() -> Outcome {
    let bench = Bench::set_up()?;
    let path = format!("{FOUR}/sheet/bores");
    let one = bench.open(&path, Viewport::TABLET_LANDSCAPE).await?;
    let other = bench.open(&path, Viewport::DESKTOP).await?;
    let place = "block.bore_surface.3.rk";
    let before = log_length(&one).await?;

    // The other tablet has not heard of the first reading yet when its own is sent.
    other.set_offline(true).await?;
    go_to(&other, place).await?;
    enter(&other, "0.75").await?;
    go_to(&one, place).await?;
    enter(&one, "0.72").await?;
    wait_until_kept(&one, place, "0.72").await?;
    other.set_offline(false).await?;

    wait_for_meaning(&other, place, "0.75 corrects it").await?;
    wait_for_meaning(&other, place, "Keep 0.72").await?;
    assert_eq!(log_length(&one).await?, before + 1, "the second waits for an answer");

    let answer = "[...document.querySelectorAll('.ask.own button')].find((b) => b.textContent === '0.75 corrects it').click()";
    other.script(answer).await?;
    wait_until_kept(&one, place, "0.75").await?;
    assert_eq!(log_length(&one).await?, before + 2, "both stand in the log");
    Ok(())
}
