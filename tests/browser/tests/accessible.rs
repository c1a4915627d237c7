//! Every page against WCAG 2.2 AA, without a push sideways and without a complaint in the console.

mod bench;

use bench::{Bench, FOUR};
use browser_tests::{Outcome, Viewport};

const PAGES: [&str; 17] = [
    "",
    "/sheet/casting",
    "/sheet/bores",
    "/sheet/crank",
    "/sheet/bearings",
    "/sheet/rods",
    "/sheet/pistons",
    "/sheet/head",
    "/sheet/valves",
    "/fits",
    "/plan",
    "/parts",
    "/document",
    "/readings",
    "/finding?id=bore_taper/2",
    "/no-such-page",
    "/finding?id=no_such_finding",
];

async fn judge(viewport: Viewport) -> Outcome {
    let bench = Bench::set_up()?;
    let session = bench.open("/", viewport).await?;
    let mut pages = vec!["/".to_owned(), "/new".to_owned(), "/engine/pushrod-v8".to_owned()];
    pages.extend(PAGES.iter().map(|page| format!("{FOUR}{page}")));
    session.goto(&bench.program.url(&format!("{FOUR}/parts"))).await?;
    let sections =
        session.script("return [...new Set([...document.querySelectorAll('main a[href*=\"/parts/\"]')].map((a) => a.getAttribute('href')))]").await?;
    let sections: Vec<String> = sections
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(|path| path.as_str().map(str::to_owned))
        .collect();
    assert!(sections.len() > 20, "only {} sections of parts", sections.len());
    pages.extend(sections);

    let mut faults = Vec::new();
    for page in pages {
        session.goto(&bench.program.url(&page)).await?;
        let report = session.axe().await?;
        if !report.is_clean() {
            faults.push(format!("{page}: {report}"));
        }
        if session.overflows_sideways().await? {
            faults.push(format!("{page}: wider than the screen"));
        }
        // That a page does not exist is the one complaint that is right.
        let complaints = session.complaints().await?;
        faults.extend(
            complaints.iter().filter(|line| !line.contains("404")).map(|line| format!("{page}: {line}")),
        );
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    Ok(())
}

#[tokio::test]
async fn every_page_at_the_desk() -> Outcome {
    judge(Viewport::DESKTOP).await
}

#[tokio::test]
async fn every_page_on_a_tablet_in_the_hand() -> Outcome {
    judge(Viewport::TABLET_PORTRAIT).await
}
