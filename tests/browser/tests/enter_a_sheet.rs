//! A bench hand enters readings by keyboard alone.

mod bench;

use bench::{
    Bench, FOUR, enter, go_to, hand_is_on, log_length, meaning, stands, wait_for_meaning, wait_until_kept,
};
use browser_tests::{Key, Outcome, Viewport};

const SURFACE: [(&str, &str); 6] = [
    ("block.bore_surface.3.rk", "0.72"),
    ("block.bore_surface.3.rpk", "0.21"),
    ("block.bore_surface.3.rvk", "1.31"),
    ("block.bore_surface.4.rk", "0.74"),
    ("block.bore_surface.4.rpk", "0.23"),
    ("block.bore_surface.4.rvk", "1.35"),
];

#[tokio::test]
async fn enter_moves_on_and_every_reading_stays() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::TABLET_LANDSCAPE).await?;
    let before = log_length(&tablet).await?;
    let unread = meaning(&tablet, SURFACE[0].0).await?;

    go_to(&tablet, SURFACE[0].0).await?;
    for (feature, text) in SURFACE {
        assert_eq!(hand_is_on(&tablet).await?, feature);
        enter(&tablet, text).await?;
    }
    for (feature, text) in SURFACE {
        wait_until_kept(&tablet, feature, text).await?;
    }
    assert_ne!(meaning(&tablet, SURFACE[0].0).await?, unread, "the row says what the reading means");
    assert_eq!(log_length(&tablet).await?, before + 6);

    tablet.reload().await?;
    for (feature, text) in SURFACE {
        assert_eq!(stands(&tablet, feature).await?.0, text);
    }
    assert_eq!(tablet.complaints().await?, Vec::<String>::new());
    Ok(())
}

#[tokio::test]
async fn a_correction_keeps_the_old_reading_and_can_be_undone() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::DESKTOP).await?;
    let place = "block.bore.1.top.thrust";
    let before = log_length(&tablet).await?;

    go_to(&tablet, place).await?;
    enter(&tablet, "-89.104").await?;
    wait_until_kept(&tablet, place, "89.104").await?;
    assert_eq!(log_length(&tablet).await?, before + 1);

    let undo =
        tablet.driver().action_chain().key_down(Key::Control).key_down('z').key_up('z').key_up(Key::Control);
    undo.perform().await?;
    wait_until_kept(&tablet, place, "89.101").await?;
    assert_eq!(log_length(&tablet).await?, before + 2, "an undo is an entry of its own");

    tablet.goto(&bench.program.url(&format!("{FOUR}/readings"))).await?;
    let log = tablet.text_of("main").await?;
    for kept in ["89.104 mm", "89.101 mm"] {
        assert!(log.contains(kept), "{kept} is not in the log");
    }
    Ok(())
}

#[tokio::test]
async fn a_value_out_of_all_proportion_is_asked_about_once() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::DESKTOP).await?;
    let place = "block.bore.1.mid.thrust";
    let before = log_length(&tablet).await?;

    go_to(&tablet, place).await?;
    // A gauge whose button bounces presses Enter again in the moment in which the question appears.
    let bounce = "new MutationObserver((_, o) => { if (document.querySelector('.ask.own')) { o.disconnect(); \
         document.activeElement.dispatchEvent(new KeyboardEvent('keydown', { key: 'Enter', bubbles: true, cancelable: true })); \
         window.bounced = true; } }).observe(document.querySelector('.readings-sheet'), { childList: true, subtree: true })";
    tablet.script(bounce).await?;
    enter(&tablet, "-8.9107").await?;
    wait_for_meaning(&tablet, place, "It is right: keep 8.9107").await?;
    let bounced = tablet.script("return window.bounced === true").await?;
    assert_eq!(bounced.as_bool(), Some(true), "the bounce came");
    // Time enough for a wrong answer to arrive.
    tokio::time::sleep(std::time::Duration::from_millis(900)).await;
    assert_eq!(log_length(&tablet).await?, before, "nothing is kept before the answer");
    let status = tablet.text_of("#status").await?;
    assert!(status.contains("bore 1"), "the question names its place: {status}");
    let marked = format!(
        "return document.querySelector('[data-feature=\"{place}\"]').parentElement.classList.contains('asked')"
    );
    assert_eq!(tablet.script(&marked).await?.as_bool(), Some(true), "the cell says that it is not kept");

    go_to(&tablet, place).await?;
    tablet.press(Key::Enter).await?;
    tablet
        .wait_until("the confirmed value in the log", async || Ok(log_length(&tablet).await? == before + 1))
        .await
}

#[tokio::test]
async fn enter_twice_leaves_no_place_out() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::DESKTOP).await?;
    go_to(&tablet, SURFACE[0].0).await?;
    tablet.type_text(&format!("{}\u{e007}\u{e007}", SURFACE[0].1)).await?;
    wait_until_kept(&tablet, SURFACE[0].0, SURFACE[0].1).await?;
    assert_eq!(hand_is_on(&tablet).await?, SURFACE[1].0, "the second press passed no place over");
    // Typing over what is read is refused, and the hand stays where minus is wanted.
    go_to(&tablet, SURFACE[0].0).await?;
    tablet.type_text("1.5\u{e007}").await?;
    assert_eq!(hand_is_on(&tablet).await?, SURFACE[0].0);
    Ok(())
}

#[tokio::test]
async fn a_gauge_types_faster_than_the_server_answers() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::DESKTOP).await?;
    let before = log_length(&tablet).await?;
    // A gauge sends characters and Enter without a pause: one burst for all six places.
    let burst: String = SURFACE.iter().flat_map(|(_, text)| [*text, "\u{e007}"]).collect();
    go_to(&tablet, SURFACE[0].0).await?;
    tablet.type_text(&burst).await?;
    for (feature, text) in SURFACE {
        wait_until_kept(&tablet, feature, text).await?;
    }
    assert_eq!(log_length(&tablet).await?, before + 6);
    Ok(())
}
