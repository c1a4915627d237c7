//! The network goes, the readings wait, and each arrives once.

mod bench;

use bench::{Bench, FOUR, enter, go_to, log_length, wait_until_kept, waiting};
use browser_tests::{Outcome, Session, Viewport};

const PLACES: [(&str, &str); 5] = [
    ("block.bore_surface.3.rk", "0.72"),
    ("block.bore_surface.3.rpk", "0.21"),
    ("block.bore_surface.3.rvk", "1.31"),
    ("block.bore_surface.4.rk", "0.74"),
    ("block.bore_surface.4.rpk", "0.23"),
];

async fn type_all(tablet: &Session) -> Outcome {
    go_to(tablet, PLACES[0].0).await?;
    for (_, text) in PLACES {
        enter(tablet, text).await?;
    }
    Ok(())
}

async fn expect_all_once(tablet: &Session, before: u64) -> Outcome {
    tablet.wait_until("an empty queue", async || Ok(waiting(tablet).await? == 0)).await?;
    for (feature, text) in PLACES {
        wait_until_kept(tablet, feature, text).await?;
    }
    assert_eq!(log_length(tablet).await?, before + 5, "each reading arrives once");
    Ok(())
}

#[tokio::test]
async fn readings_wait_for_the_network_and_arrive_once() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::TABLET_LANDSCAPE).await?;
    let before = log_length(&tablet).await?;

    tablet.set_offline(true).await?;
    type_all(&tablet).await?;
    tablet.wait_for_text("#status", "5 readings wait for the network").await?;
    assert_eq!(waiting(&tablet).await?, 5);

    tablet.set_offline(false).await?;
    expect_all_once(&tablet, before).await
}

#[tokio::test]
async fn readings_wait_for_a_server_that_was_killed_and_came_back() -> Outcome {
    let mut bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::TABLET_LANDSCAPE).await?;
    let before = log_length(&tablet).await?;

    bench.program.power_cut();
    type_all(&tablet).await?;
    tablet.wait_for_text("#status", "5 readings wait for the network").await?;
    bench.program.start_again_at_the_same_address()?;
    expect_all_once(&tablet, before).await
}

#[tokio::test]
async fn the_network_drops_while_a_reading_is_on_its_way() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::TABLET_LANDSCAPE).await?;
    let before = log_length(&tablet).await?;

    // Slow enough that the first is under way, whole or half, when the line is cut.
    tablet.set_latency(400).await?;
    type_all(&tablet).await?;
    tablet.set_offline(true).await?;
    tablet.wait_until("readings that wait", async || Ok(waiting(&tablet).await? > 0)).await?;
    tablet.set_offline(false).await?;
    expect_all_once(&tablet, before).await
}

#[tokio::test]
async fn an_answer_lost_on_the_way_makes_no_double() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::TABLET_LANDSCAPE).await?;
    let before = log_length(&tablet).await?;

    // The first delivery reaches the server, but its answer never reaches the page.
    let lose = "const real = window.fetch; let lost = false; \
        window.fetch = async (...a) => { const r = await real(...a); \
        if (!lost && a[1] && a[1].method === 'POST') { lost = true; window.lostOne = true; throw new TypeError('lost'); } return r; }";
    tablet.script(lose).await?;
    type_all(&tablet).await?;
    tablet
        .wait_until("a lost answer", async || {
            Ok(tablet.script("return window.lostOne === true").await? == true)
        })
        .await?;
    expect_all_once(&tablet, before).await
}
