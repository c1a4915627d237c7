//! The bores of an engine that nobody has measured: by hand, and from a gauge that types faster than any hand.

mod bench;

use bench::{Bench, enter, hand_is_on, places, stands, start_engine, wait_until_kept};
use browser_tests::{Outcome, Viewport};

/// What is read, place by place: bores of 89.1 mm, a few micrometres apart.
fn texts(count: usize) -> Vec<String> {
    (0..count).map(|i| format!("89.{:03}", 100 + i % 4)).collect()
}

#[tokio::test]
async fn the_whole_table_by_keyboard_alone() -> Outcome {
    let bench = Bench::set_up()?;
    let desk = bench.open("/new", Viewport::DESKTOP).await?;
    let at = start_engine(&bench, &desk, "keyboard four").await?;
    desk.goto(&bench.program.url(&format!("{at}/sheet/bores"))).await?;
    let all = places(&desk, "bores").await?;
    assert_eq!(all.len(), 24, "four bores at three heights in two directions: {all:?}");
    // The hand starts on the first place, and no mouse is touched.
    let texts = texts(all.len());
    for (place, text) in all.iter().zip(&texts) {
        assert_eq!(&hand_is_on(&desk).await?, place);
        enter(&desk, text).await?;
    }
    for (place, text) in all.iter().zip(&texts) {
        wait_until_kept(&desk, place, text).await?;
    }
    desk.reload().await?;
    for (place, text) in all.iter().zip(&texts) {
        assert_eq!(&stands(&desk, place).await?.0, text, "{place}");
    }
    assert_eq!(desk.complaints().await?, Vec::<String>::new());
    Ok(())
}

#[tokio::test]
async fn ten_readings_in_one_burst_from_a_gauge() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open("/new", Viewport::TABLET_LANDSCAPE).await?;
    let at = start_engine(&bench, &tablet, "gauge four").await?;
    tablet.goto(&bench.program.url(&format!("{at}/sheet/bores"))).await?;
    let all = places(&tablet, "bores").await?;
    bench::go_to(&tablet, &all[0]).await?;
    let texts = texts(10);
    // A gauge types its value and Enter; U+E007 is the Enter key of the driver's protocol.
    let burst = texts.join("\u{e007}") + "\u{e007}";
    tablet.type_text(&burst).await?;
    for (place, text) in all.iter().zip(&texts) {
        wait_until_kept(&tablet, place, text).await?;
    }
    assert_eq!(hand_is_on(&tablet).await?, all[10]);
    Ok(())
}
