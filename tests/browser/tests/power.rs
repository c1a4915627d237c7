//! A long computation is started, watched, stopped and gone on with; its plots are read with the keys; its pages hold.

mod bench;

use bench::{Bench, FOUR};
use browser_tests::{Key, Outcome, Session, Viewport};
use std::time::{Duration, Instant};

/// Waits longer than for a page: a computation takes its time.
async fn until(session: &Session, what: &str, script: &str) -> Outcome {
    let end = Instant::now() + Duration::from_mins(4);
    while !session.script(script).await?.as_bool().unwrap_or(false) {
        assert!(Instant::now() < end, "{what} never happened");
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    Ok(())
}

const RUNS: &str = "return document.querySelector('#progress[data-runs=yes]') !== null";
const ENDED: &str = "return document.querySelector('#progress') !== null && document.querySelector('#progress[data-runs=yes]') === null";

#[tokio::test]
async fn a_long_run_is_started_watched_stopped_and_gone_on_with() -> Outcome {
    let bench = Bench::set_up()?;
    let desk = bench.open(&format!("{FOUR}/power"), Viewport::DESKTOP).await?;
    desk.wait_for_text("main", "Nothing computed yet").await?;
    desk.script("document.querySelector('[name=speeds]').value = '4500 to 8500 by 100'").await?;
    desk.click(".run-form button").await?;
    until(&desk, "the run", RUNS).await?;
    until(
        &desk,
        "a point",
        "return /[1-9]\\d* of 41 speeds/.test(document.getElementById('progress')?.textContent ?? '')",
    )
    .await?;
    until(
        &desk,
        "points that are drawn as they come",
        "return document.querySelectorAll('#progress .so-far svg .plot-line').length === 2",
    )
    .await?;
    desk.expect_accessible("a running computation").await?;
    desk.keep_picture("power-running").await?;
    // Another browser sees the same run, and a page that is loaded again as well.
    let tablet = bench.open(&format!("{FOUR}/power"), Viewport::TABLET_PORTRAIT).await?;
    until(&tablet, "the run on the tablet", RUNS).await?;
    desk.reload().await?;
    until(&desk, "the run after a reload", RUNS).await?;
    desk.click("#progress button").await?;
    until(&desk, "the end", ENDED).await?;
    desk.wait_for_text("main", "Go on with run 1").await?;
    desk.wait_for_text("main", "Stopped").await?;
    desk.click("form[action$='/power/resume'] button").await?;
    until(
        &desk,
        "the second end",
        &format!("{ENDED} && document.querySelector('main').textContent.includes('Run 2')"),
    )
    .await?;
    desk.wait_for_text("main", "It goes on from run 1").await?;
    let rows = desk
        .script("return document.querySelectorAll('table[aria-label=\"Each speed\"] tbody th').length")
        .await?;
    assert_eq!(rows.as_u64(), Some(41), "every speed is there");

    // The arrow keys read the plot.
    desk.script("document.querySelector('.plot-box').focus()").await?;
    desk.press(Key::Right).await?;
    desk.press(Key::Right).await?;
    let read = desk.script("return document.querySelector('.readout').textContent").await?;
    assert!(read.as_str().is_some_and(|t| t.starts_with("4600 rev/min: run 2")), "{read}");

    for page in ["", "/inputs", "/inside", "/choices", "/compare?run=1&run=2", "/calibrate"] {
        let name = page.split('?').next().unwrap_or_default().trim_start_matches('/');
        desk.goto(&bench.program.url(&format!("{FOUR}/power{page}"))).await?;
        for viewport in [Viewport::DESKTOP, Viewport::TABLET_PORTRAIT] {
            desk.resize(viewport).await?;
            desk.expect_accessible(&format!("power {page}")).await?;
            assert!(!desk.overflows_sideways().await?, "power {page} is wider than the {}", viewport.name);
            desk.keep_picture(&format!("power{name}-{}", viewport.name)).await?;
        }
        desk.keep_pdf(&format!("power{name}")).await?;
    }
    let complaints = desk.complaints().await?;
    assert!(complaints.is_empty(), "{complaints:?}");
    Ok(())
}

#[tokio::test]
async fn a_sweep_whose_program_is_killed_goes_on_where_it_was() -> Outcome {
    let mut bench = Bench::set_up()?;
    let desk = bench.open(&format!("{FOUR}/power/choices"), Viewport::DESKTOP).await?;
    let form = "form[action$='/study/sweep']";
    let fill = format!(
        "const f = document.querySelector(\"{form}\"); f.elements.steps.value = '6'; f.elements.step.value = '3'"
    );
    desk.script(&fill).await?;
    desk.click(&format!("{form} button")).await?;
    until(&desk, "the sweep", RUNS).await?;
    let some = "return /\\b([5-9]|\\d\\d) of 169 pairs/.test(document.getElementById('progress')?.textContent ?? '')";
    until(&desk, "five cells", some).await?;
    tokio::time::sleep(Duration::from_millis(300)).await;
    bench.program.power_cut();
    bench.program.start_again_at_the_same_address()?;
    desk.goto(&bench.program.url(&format!("{FOUR}/power/choices"))).await?;
    desk.wait_for_text("#progress", "stopped at").await?;
    let done =
        "return Number(/stopped at (\\d+) of 169/.exec(document.getElementById('progress').textContent)[1])";
    let done = desk.script(done).await?.as_u64().unwrap_or_default();
    assert!(done >= 4, "at most the cells in work are lost: {done}");
    // What is there already is shown, marked as partial: a dot for each cell that is done.
    desk.wait_for_text(".partial", "Partial").await?;
    let dots =
        desk.script("return document.querySelectorAll('.partial svg circle[r=\"1.8\"]').length").await?;
    assert!(dots.as_u64().is_some_and(|n| n >= 1 && n <= done), "{dots} dots of {done} cells");
    desk.expect_accessible("a computation to go on with").await?;
    desk.keep_picture("power-go-on").await?;
    desk.click("form[action$='/power/go-on'] button").await?;
    // The stopped run before the click is "ended" too, so the end is known by its answer.
    until(
        &desk,
        "the answer of the sweep",
        &format!("{ENDED} && document.querySelector('main').textContent.includes('Greatest torque, ')"),
    )
    .await?;
    let left = desk.script("return document.querySelectorAll('.partial').length").await?;
    assert_eq!(left.as_u64(), Some(0), "nothing partial is left");
    let steps =
        desk.script(&format!("return document.querySelector(\"{form}\").elements.steps.value")).await?;
    assert_eq!(steps.as_str(), Some("6"), "what was typed stays");
    Ok(())
}
