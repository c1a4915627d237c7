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
