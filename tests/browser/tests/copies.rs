//! The pages for backups and for engines from files, and a refused operation: what a person sees.

mod bench;

use bench::{Bench, FOUR};
use browser_tests::{Key, Outcome, Viewport};
use std::fs;
use thirtyfour::By;

#[tokio::test]
async fn a_backup_is_made_and_listed() -> Outcome {
    let bench = Bench::set_up()?;
    let desk = bench.open("/", Viewport::DESKTOP).await?;
    desk.click("a[href='/backups'].button").await?;
    desk.wait_for_text("main", "None yet").await?;
    desk.click("main form button").await?;
    desk.wait_for_text("main", "restored on trial: it is good").await?;
    desk.wait_for_text("table.backups", "2 engines").await?;
    desk.expect_accessible("backups").await?;
    desk.keep_picture("backup-desktop").await?;
    desk.resize(Viewport::TABLET_PORTRAIT).await?;
    assert!(!desk.overflows_sideways().await?);
    desk.keep_picture("backup-tablet").await?;
    Ok(())
}

#[tokio::test]
async fn a_file_is_refused_mended_on_the_page_and_taken_in() -> Outcome {
    let bench = Bench::set_up()?;
    let desk = bench.open("/new", Viewport::DESKTOP).await?;
    let folder = tempfile::tempdir()?;
    let (document, readings) = (folder.path().join("mine.toml"), folder.path().join("mine.readings.csv"));
    fs::write(
        &document,
        "crosshatch = 2\n[engine]\nname = \"Mine\"\n[layout]\narrangement = \"inline\"\ncylinders = 4\nbore = \"89.1 mm\"\npitsch = \"98 mm\"\n",
    )?;
    fs::write(&readings, "feature,value\nblock.bore.1.top.thrust,89.101 mm\n")?;
    for (field, file) in [("document_file", &document), ("readings_file", &readings)] {
        desk.driver().find(By::Id(field)).await?.send_keys(file.display().to_string()).await?;
    }
    desk.keep_picture("new-engine-desktop").await?;
    desk.click("form[action='/new/file'] button").await?;
    desk.wait_for_text("main", "pitsch").await?;
    desk.wait_for_text("main", "1 mistake").await?;
    assert_eq!(desk.focused_id().await?, "document");
    desk.expect_accessible("a refused file").await?;
    desk.keep_picture("refused-file-desktop").await?;
    desk.resize(Viewport::TABLET_PORTRAIT).await?;
    assert!(!desk.overflows_sideways().await?);
    desk.keep_picture("refused-file-tablet").await?;
    desk.script(
        "const t = document.getElementById('document'); t.value = t.value.replace('pitsch = \"98 mm\"', '')",
    )
    .await?;
    desk.click("form[action='/new/file'] button.main").await?;
    desk.wait_for_text("main", "Taken in with 1 reading").await
}

#[tokio::test]
async fn a_refused_operation_keeps_its_form() -> Outcome {
    let bench = Bench::set_up()?;
    let tablet = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::DESKTOP).await?;
    tablet.script("document.getElementById('operation').open = true").await?;
    for (name, text) in [("only", "2, seven"), ("amount", "0.05 mm"), ("note", "plate on")] {
        tablet
            .script(&format!("document.querySelector('#operation [name={name}]').value = '{text}'"))
            .await?;
    }
    // By the keyboard: the page may still be settling, and a pointer could miss the button.
    tablet.script("document.querySelector('#operation [name=note]').focus()").await?;
    tablet.press(Key::Enter).await?;
    tablet.wait_for_text("#operation", "seven").await?;
    let script = "return [...document.querySelectorAll('#operation input[type=text]')].map((e) => e.value)";
    assert_eq!(tablet.script(script).await?, serde_json::json!(["2, seven", "0.05 mm", "plate on"]));
    assert_eq!(
        tablet.script("return document.activeElement.name").await?,
        "only",
        "the hand is on the wrong field"
    );
    tablet.expect_accessible("a refused operation").await?;
    assert!(!tablet.overflows_sideways().await?);
    tablet.keep_picture("refused-operation-desktop").await?;
    tablet.resize(Viewport::TABLET_PORTRAIT).await?;
    assert!(!tablet.overflows_sideways().await?);
    tablet.keep_picture("refused-operation-tablet").await?;
    Ok(())
}
