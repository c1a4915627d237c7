//! Paper: the drawings under the reading sheets of both demo engines can be read on A4 and fit on a page.

mod bench;

use bench::{Bench, FOUR};
use browser_tests::{Outcome, Viewport};

const VEE: &str = "/engine/pushrod-v8";
const SHEETS: [&str; 8] = ["casting", "bores", "crank", "bearings", "rods", "pistons", "head", "valves"];

/// A4 lying, less its margins and frame, in CSS pixels (96 to the inch): 271 × 166 mm.
const PAGE: Viewport = Viewport { name: "A4", width: 1024, height: 627, touch: false };

/// Smallest text of each drawing in points, and drawings that are larger than the page. A CSS pixel is 0.75 pt.
const LOOK: &str = "
    const faults = []; let drawings = 0;
    for (const svg of document.querySelectorAll('.foot figure svg')) {
        const box = svg.getBoundingClientRect();
        if (box.width === 0) continue;
        drawings += 1;
        const name = svg.closest('figure').getAttribute('aria-label'), scale = box.width / svg.viewBox.baseVal.width;
        const sizes = [...svg.querySelectorAll('text')].map((text) => Number(text.getAttribute('font-size')) * scale * 0.75);
        if (sizes.length === 0) faults.push(`${name}: no text`);
        if (Math.min(...sizes) < 7) faults.push(`${name}: text of ${Math.min(...sizes).toFixed(1)} pt`);
        if (box.width > 1024 || box.height > 627) faults.push(`${name}: ${Math.round(box.width)} × ${Math.round(box.height)} px`);
    }
    return [drawings, faults];
";

#[tokio::test]
async fn drawings_under_the_sheets_have_7_points_and_fit_on_a_page() -> Outcome {
    let bench = Bench::set_up()?;
    let session = bench.open("/", PAGE).await?;
    session.as_on_paper(true).await?;
    let (mut faults, mut drawings) = (Vec::new(), 0);
    for engine in [FOUR, VEE] {
        for sheet in SHEETS {
            session.goto(&bench.program.url(&format!("{engine}/sheet/{sheet}"))).await?;
            let answer = session.script(LOOK).await?;
            drawings += answer[0].as_u64().unwrap_or_default();
            let found = answer[1].as_array().cloned().unwrap_or_default();
            faults.extend(
                found.iter().map(|f| format!("{engine} {sheet}: {}", f.as_str().unwrap_or_default())),
            );
        }
    }
    assert!(drawings > 30, "only {drawings} drawings");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    Ok(())
}

/// Many gauges are a list to choose from, not forty screens of fields; each still opens, and the form still holds all.
#[tokio::test]
async fn a_long_form_is_folded() -> Outcome {
    let bench = Bench::set_up()?;
    let session = bench.open(&format!("{FOUR}/parts/instruments"), Viewport::TABLET_PORTRAIT).await?;
    let height = session.script("return document.documentElement.scrollHeight").await?;
    assert!(height.as_u64().is_some_and(|px| px < 4_000), "{height} px high");
    let first = session.text_of("details.entry-of-many summary").await?;
    assert!(first.contains("alignment bar"), "{first}");
    session.click("details.entry-of-many summary").await?;
    assert!(session.find("details.entry-of-many[open] input").await?.is_displayed().await.unwrap_or(false));
    let sent = session
        .script("return [...new FormData(document.querySelector('form.form, main form')).keys()].filter((k) => k.endsWith('.kind')).length")
        .await?;
    assert!(sent.as_u64().is_some_and(|n| n > 15), "{sent} gauges are sent");
    Ok(())
}

/// Lists follow each other on paper, and a table breaks between its rows: no page stays half empty for a table's sake.
#[tokio::test]
async fn the_plan_and_the_fits_break_between_rows_and_repeat_their_heads() -> Outcome {
    let bench = Bench::set_up()?;
    let session = bench.open("/", PAGE).await?;
    session.as_on_paper(true).await?;
    for page in ["plan", "fits"] {
        session.goto(&bench.program.url(&format!("{FOUR}/{page}"))).await?;
        let answer = session
            .script(
                "const of = (e, what) => getComputedStyle(e)[what]; const faults = [];
                 for (const section of document.querySelectorAll('.page section')) if (of(section, 'breakBefore') !== 'auto') faults.push(section.innerText.slice(0, 30));
                 const tables = [...document.querySelectorAll('table.figures')];
                 for (const table of tables) {
                     if (table.tHead && of(table.tHead, 'display') !== 'table-header-group') faults.push('a head is not repeated');
                     if (table.tHead && of(table.tHead, 'breakAfter') !== 'avoid') faults.push('a head alone');
                     const rows = [...table.tBodies[0].rows];
                     for (const row of rows.slice(0, -2)) if (of(row, 'breakAfter') !== 'auto') faults.push(row.innerText.slice(0, 30));
                 }
                 for (const head of document.querySelectorAll('.page h2, .page h3')) if (of(head, 'breakAfter') !== 'avoid') faults.push(head.innerText);
                 return [tables.length, faults];",
            )
            .await?;
        assert!(answer[0].as_u64().is_some_and(|n| n > 4), "{page}: {answer}");
        assert!(answer[1].as_array().is_some_and(Vec::is_empty), "{page}: {}", answer[1]);
    }
    Ok(())
}

/// What is folded on screen is printed open.
#[tokio::test]
async fn the_log_prints_its_readings() -> Outcome {
    let bench = Bench::set_up()?;
    let session = bench.open(&format!("{FOUR}/readings"), PAGE).await?;
    let shown = "return document.querySelector('#reading-1').checkVisibility()";
    assert_eq!(session.script(shown).await?.as_bool(), Some(false), "folded on screen");
    session.as_on_paper(true).await?;
    assert_eq!(session.script(shown).await?.as_bool(), Some(true), "printed");
    Ok(())
}
