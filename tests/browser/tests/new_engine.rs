//! A new engine made from nothing on the pages, to its first useful verdict, and its document by hand.

mod bench;

use bench::{Bench, enter, go_to, wait_for_meaning, wait_until_kept};
use browser_tests::{Outcome, Session, Viewport};

/// Writes into a field of a form.
async fn fill(session: &Session, id: &str, text: &str) -> Outcome {
    session.script(&format!("document.getElementById('{id}').value = '{text}'")).await?;
    Ok(())
}

async fn submit(session: &Session) -> Outcome {
    session.click("main form[method='post'] button[type='submit'].main").await
}

#[tokio::test]
async fn from_a_layout_to_the_first_verdict_and_back_by_hand() -> Outcome {
    let bench = Bench::set_up()?;
    let desk = bench.open("/new", Viewport::DESKTOP).await?;
    fill(&desk, "name", "flat four of the test").await?;
    desk.click("input[value='flat']").await?;
    fill(&desk, "cylinders", "4").await?;
    // Inches and millimetres side by side: 3.5433 in is 90.000 mm.
    fill(&desk, "bore", "3.5433 in").await?;
    fill(&desk, "stroke", "78.00 mm").await?;
    submit(&desk).await?;
    desk.wait_for_text("main", "Not proved: nothing is known yet").await?;
    let address = desk.script("return location.pathname.replace(/\\/$/, '')").await?;
    let address = address.as_str().unwrap_or_default().to_owned();
    assert!(address.starts_with("/engine/flat-four"), "{address}");

    desk.goto(&bench.program.url(&format!("{address}/parts/limits#bore.min"))).await?;
    fill(&desk, "bore.min", "89.990 mm").await?;
    fill(&desk, "bore.max", "3.5437 in").await?;
    fill(&desk, "bore_taper.max", "0.010 mm").await?;
    submit(&desk).await?;
    desk.wait_for_text("body", "flat four of the test").await?;

    desk.goto(&bench.program.url(&format!("{address}/sheet/bores"))).await?;
    let places = ["top.thrust", "top.along", "mid.thrust", "mid.along", "low.thrust", "low.along"];
    go_to(&desk, "block.bore.1.top.thrust").await?;
    for (place, text) in places.iter().zip(["90.001", "90.000", "90.000", "89.999", "89.975", "89.974"]) {
        enter(&desk, text).await?;
        wait_until_kept(&desk, &format!("block.bore.1.{place}"), text).await?;
    }
    wait_for_meaning(&desk, "block.bore.1.top.thrust", "taper").await?;
    wait_for_meaning(&desk, "block.bore.1.top.thrust", "bad").await?;

    by_hand(&bench, &desk, &address).await
}

/// The document edited by hand: a mistake changes nothing, a comment survives the form.
async fn by_hand(bench: &Bench, desk: &Session, address: &str) -> Outcome {
    let page = bench.program.url(&format!("{address}/document"));
    let write = async |change: &str| -> Outcome {
        desk.goto(&page).await?;
        desk.script(&format!("const t = document.getElementById('text'); t.value = {change}")).await?;
        submit(desk).await
    };
    write("t.value.replace('[layout]', '# measured by the test\\n[layout]')").await?;
    desk.wait_for_text("body", "Kept as version").await?;
    write("t.value.replace('[layout]', '[layout]\\npitsch = \"98 mm\"')").await?;
    desk.wait_for_text("main", "pitsch").await?;
    desk.wait_for_text("main", "pitch").await?;

    desk.goto(&bench.program.url(&format!("{address}/parts/limits#bore.min"))).await?;
    fill(desk, "bore_taper.max", "0.012 mm").await?;
    submit(desk).await?;
    desk.wait_for_text("body", "flat four of the test").await?;
    let text = desk.script(&format!("return fetch('{address}/document.toml').then((r) => r.text())")).await?;
    let text = text.as_str().unwrap_or_default();
    assert!(text.contains("# measured by the test"), "the comment is gone:\n{text}");
    assert!(text.contains("0.012 mm") && !text.contains("pitsch"), "{text}");
    Ok(())
}

#[tokio::test]
async fn a_copy_takes_sizes_and_leaves_readings() -> Outcome {
    let bench = Bench::set_up()?;
    let desk = bench.open("/new", Viewport::TABLET_PORTRAIT).await?;
    fill(&desk, "name", "second of the four").await?;
    desk.click("input[value='copy']").await?;
    fill(&desk, "copy_of", "hill-climb-four").await?;
    submit(&desk).await?;
    desk.wait_for_text("body", "second of the four").await?;
    let address = desk.script("return location.pathname.replace(/\\/$/, '')").await?;
    let address = address.as_str().unwrap_or_default().to_owned();
    let text = desk.script(&format!("return fetch('{address}/document.toml').then((r) => r.text())")).await?;
    assert!(text.as_str().unwrap_or_default().contains("89.100 mm"));
    desk.goto(&bench.program.url(&format!("{address}/sheet/bores"))).await?;
    desk.wait_for_text("main", "6 readings to go").await
}
