//! A bench hand enters readings by keyboard alone.

mod bench;

use bench::{
    Bench, FOUR, enter, go_to, hand_is_on, log_length, meaning, stands, wait_for_meaning, wait_until_kept,
};
use browser_tests::{Key, Outcome, Session, Viewport};

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

    tablet.goto(&bench.program.url(&format!("{FOUR}/readings?part=bores"))).await?;
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
async fn an_answer_by_its_button_leaves_the_hand_on_the_sheet() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::DESKTOP).await?;
    go_to(&tablet, SURFACE[0].0).await?;
    enter(&tablet, "7.2").await?;
    wait_for_meaning(&tablet, SURFACE[0].0, "It is right: keep 7.2").await?;
    tablet.press(Key::Tab).await?;
    tablet.press(Key::Enter).await?;
    tablet
        .wait_until("the hand at another place", async || {
            let on = "return Boolean(document.activeElement?.matches('td.in input'))";
            Ok(tablet.script(on).await?.as_bool() == Some(true))
        })
        .await?;
    Ok(())
}

#[tokio::test]
async fn a_gauge_that_shows_inches_types_inches() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::DESKTOP).await?;
    let place = "block.bore.1.mid.thrust";
    // The document of the demo has no such gauge: the one chosen is made one on the page.
    let inches = "for (const option of document.querySelectorAll('[data-setting=\"instrument\"] option')) \
         { option.dataset.unit = 'in'; option.dataset.dimension = 'length'; }";
    tablet.script(inches).await?;
    go_to(&tablet, place).await?;
    enter(&tablet, "-3.5079").await?;
    wait_until_kept(&tablet, place, "89.101").await?;
    Ok(())
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

/// Records a honing of all bores on the sheet, as the key O leads to it.
async fn record_a_honing(session: &Session) -> Outcome {
    session.type_text("o").await?;
    session.script("const f = document.querySelector('#operation form'); f.elements.kind.value = 'hone'; f.requestSubmit()").await?;
    session
        .wait_until("the sheet after the honing", async || {
            let at = session.script("return location.search").await?;
            Ok(at.as_str().is_some_and(|s| s.contains("done=operation")))
        })
        .await
}

#[tokio::test]
async fn after_a_honing_a_column_of_new_bores_is_typed_with_enter_only() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::DESKTOP).await?;
    go_to(&tablet, "block.bore.1.top.thrust").await?;
    let before = log_length(&tablet).await?;
    record_a_honing(&tablet).await?;

    // The hand is on the first stale place, which is empty and says what was read before the cut.
    let places = bench::places(&tablet, "bores").await?;
    tablet
        .wait_until("the hand on the first place", async || Ok(hand_is_on(&tablet).await? == places[0]))
        .await?;
    assert_eq!(stands(&tablet, &places[0]).await?, (String::new(), 0));
    let old = tablet.script("return document.activeElement.placeholder").await?;
    assert_eq!(old.as_str(), Some("89.101"));
    // Six of bore 1: Enter leads from stale place to stale place, and nothing is "read already".
    for (place, text) in places.iter().zip(["89.112", "89.111", "89.113", "89.112", "89.111", "89.112"]) {
        assert_eq!(&hand_is_on(&tablet).await?, place);
        enter(&tablet, text).await?;
        let status = tablet.text_of("#status").await?;
        assert!(!status.contains("read already"), "{status}");
    }
    assert_eq!(hand_is_on(&tablet).await?, places[6]);
    for (place, text) in places.iter().zip(["89.112", "89.111", "89.113", "89.112", "89.111", "89.112"]) {
        wait_until_kept(&tablet, place, text).await?;
    }
    assert_eq!(log_length(&tablet).await?, before + 6);
    let page = tablet.text_of("main").await?;
    assert!(!page.contains("take the mean"), "nothing from before the cut is averaged");

    // R has nothing to read again here, and says so.
    tablet.type_text("r").await?;
    let status = tablet.text_of("#status").await?;
    assert!(status.contains("before the last operation"), "{status}");
    tablet.reload().await?;
    tablet
        .wait_until("the hand on the next stale place", async || Ok(hand_is_on(&tablet).await? == places[6]))
        .await?;
    tablet.goto(&bench.program.url(&format!("{FOUR}/readings?part=bores"))).await?;
    assert!(tablet.text_of("main").await?.contains("89.101 mm"), "the old readings stay in the log");
    assert_eq!(tablet.complaints().await?, Vec::<String>::new());
    Ok(())
}

#[tokio::test]
async fn each_key_of_the_help_line_does_what_it_says() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::DESKTOP).await?;
    let setting = "return document.activeElement.dataset.setting || document.activeElement.name || ''";
    // In a place that is read, and in an empty one.
    for place in ["block.bore.1.top.thrust", SURFACE[0].0] {
        for (key, lands) in [("g", "instrument"), ("G", "instrument"), ("t", "temperature"), ("o", "kind")] {
            go_to(&tablet, place).await?;
            tablet.type_text(key).await?;
            assert_eq!(tablet.script(setting).await?.as_str(), Some(lands), "{key} at {place}");
            let typed = format!("return document.querySelector('[data-feature=\"{place}\"]').value");
            let typed = tablet.script(&typed).await?;
            assert!(!typed.as_str().is_some_and(|t| t.contains(key)), "{key} is no value");
        }
    }
    // Enter brings the hand back from the list of gauges.
    go_to(&tablet, SURFACE[0].0).await?;
    tablet.type_text("g").await?;
    tablet.press(Key::Enter).await?;
    assert_eq!(hand_is_on(&tablet).await?, SURFACE[0].0);
    let held = "return document.querySelector('#bores [data-setting=held]').checked";
    let before = tablet.script(held).await?;
    go_to(&tablet, "block.bore.1.top.thrust").await?;
    tablet.type_text("h").await?;
    assert_ne!(tablet.script(held).await?, before, "H turns how the part is held");
    Ok(())
}

#[tokio::test]
async fn a_wrong_temperature_is_named_at_its_field() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::DESKTOP).await?;
    let before = log_length(&tablet).await?;
    for (wrong, words) in [("200", "expected -30 °C to 150 °C"), ("abc", "is no temperature")] {
        go_to(&tablet, SURFACE[0].0).await?;
        tablet.type_text("t").await?;
        enter(&tablet, wrong).await?;
        let said = tablet.text_of("#bore_surface .bar").await?;
        assert!(said.contains(words), "{wrong}: {said}");
        let setting = tablet.script("return document.activeElement.dataset.setting || ''").await?;
        assert_eq!(setting.as_str(), Some("temperature"), "the hand stays where the wrong word is");
        // A reading typed all the same is not kept, and does not take the blame.
        go_to(&tablet, SURFACE[0].0).await?;
        enter(&tablet, "0.72").await?;
        assert!(tablet.text_of("#status").await?.contains("Not kept"));
        tablet
            .script("document.querySelector('[data-feature=\"block.bore_surface.3.rk\"]').value = ''")
            .await?;
    }
    enter(&tablet, "21").await?;
    assert!(!tablet.text_of("#bore_surface .bar").await?.contains("is no temperature"));
    assert_eq!(log_length(&tablet).await?, before);
    Ok(())
}

#[tokio::test]
async fn a_sheet_that_is_done_says_so_and_has_the_hand_on_it() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::DESKTOP).await?;
    go_to(&tablet, SURFACE[0].0).await?;
    for (feature, text) in SURFACE {
        enter(&tablet, text).await?;
        wait_until_kept(&tablet, feature, text).await?;
    }
    tablet
        .wait_until("the word that it is done", async || {
            Ok(tablet.text_of("#status").await?.contains("This sheet is done"))
        })
        .await?;
    tablet.reload().await?;
    let first = bench::places(&tablet, "bores").await?.remove(0);
    assert_eq!(hand_is_on(&tablet).await?, first, "a full sheet has the hand on its first place");
    assert!(tablet.text_of("#status").await?.contains("This sheet is done"));
    Ok(())
}

#[tokio::test]
async fn the_status_is_not_cut_at_1366() -> Outcome {
    let bench = Bench::set_up()?;
    let laptop = Viewport { name: "laptop", width: 1366, height: 768, touch: false };
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), laptop).await?;
    go_to(&tablet, "block.bore.1.mid.thrust").await?;
    enter(&tablet, "-8.9107").await?;
    wait_for_meaning(&tablet, "block.bore.1.mid.thrust", "It is right: keep 8.9107").await?;
    let cut = "const s = document.getElementById('status'); return s.scrollWidth > s.clientWidth || s.scrollHeight > s.clientHeight + 1";
    assert_eq!(tablet.script(cut).await?.as_bool(), Some(false), "{}", tablet.text_of("#status").await?);
    Ok(())
}

#[tokio::test]
async fn a_second_reading_of_another_place_is_asked_about() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::DESKTOP).await?;
    let place = "block.bore.1.mid.thrust";
    let before = log_length(&tablet).await?;
    go_to(&tablet, place).await?;
    enter(&tablet, "r89.120").await?;
    wait_for_meaning(&tablet, place, "Both are right: the mean counts").await?;
    assert_eq!(log_length(&tablet).await?, before, "nothing counts before the answer");
    tablet
        .script(
            "[...document.querySelectorAll('.ask.own button')].find((b) => b.textContent.startsWith('The first was wrong')).click()",
        )
        .await?;
    wait_until_kept(&tablet, place, "89.120").await?;
    assert_eq!(log_length(&tablet).await?, before + 1);
    Ok(())
}
