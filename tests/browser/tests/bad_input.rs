//! What is no reading is answered beside the field, and nothing is stored.

mod bench;

use bench::{Bench, FOUR, enter, go_to, log_length, stands};
use browser_tests::{Outcome, Viewport};

#[tokio::test]
async fn nonsense_is_refused_in_words_beside_the_field() -> Outcome {
    let bench = Bench::set_up()?;
    let place = "block.bore_surface.3.rk";
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::DESKTOP).await?;
    let before = log_length(&tablet).await?;
    for text in ["0.7 kg", "about seven", "NaN", "0.7.2", "1e400", "-0.72", "99999999", "1e12"] {
        tablet.reload().await?;
        go_to(&tablet, place).await?;
        enter(&tablet, text).await?;
        let script = format!(
            "const q = document.querySelector('[data-feature=\"{place}\"]').closest('tr').querySelector('.ask.own p'); return q ? q.textContent : ''"
        );
        tablet
            .wait_until(&format!("an answer to {text:?}"), async || {
                Ok(tablet.script(&script).await?.as_str().is_some_and(|words| words.len() > 10))
            })
            .await?;
        assert_eq!(stands(&tablet, place).await?, (String::new(), 0), "{text:?}");
        assert_eq!(log_length(&tablet).await?, before, "{text:?} was stored");
    }
    Ok(())
}

/// The demo's rod 3 was typed in thousandths: its question is open, so the sheet is not done, though every place is read.
#[tokio::test]
async fn a_sheet_with_an_open_question_is_not_done() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/rods"), Viewport::DESKTOP).await?;
    tablet.wait_for_text("#status", "1 question is open before this sheet is done").await?;
    tablet.wait_for_text("#tabs a[aria-current]", "1 question open").await?;
    tablet.click(".ask[data-feature] button[data-answer='correct']").await?;
    tablet.wait_for_text("#status", "This sheet is done: every place is read").await?;
    let tab = tablet.text_of("#tabs a[aria-current]").await?;
    assert!(!tab.contains("question"), "{tab}");
    Ok(())
}
