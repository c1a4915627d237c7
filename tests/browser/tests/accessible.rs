//! Every page against WCAG 2.2 AA, without a push sideways and without a complaint in the console.

mod bench;

use bench::{Bench, FOUR};
use browser_tests::{Key, Outcome, Viewport};

const PAGES: [&str; 23] = [
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
    "/power",
    "/power/inputs",
    "/power/inside",
    "/power/choices",
    "/power/compare",
    "/power/calibrate",
    "/plan",
    "/parts",
    "/document",
    "/readings",
    "/finding?id=bore_taper/2",
    "/no-such-page",
    "/finding?id=no_such_finding",
];

async fn judge(engine: &str, viewport: Viewport) -> Outcome {
    let bench = Bench::set_up()?;
    let session = bench.open("/", viewport).await?;
    let mut pages = vec!["/".to_owned(), "/new".to_owned(), "/backups".to_owned()];
    pages.extend(PAGES.iter().map(|page| format!("{engine}{page}")));
    session.goto(&bench.program.url(&format!("{engine}/parts"))).await?;
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
    judge(FOUR, Viewport::DESKTOP).await
}

#[tokio::test]
async fn every_page_on_a_tablet_in_the_hand() -> Outcome {
    judge(FOUR, Viewport::TABLET_PORTRAIT).await
}

#[tokio::test]
async fn every_page_of_the_vee_in_inches() -> Outcome {
    judge("/engine/pushrod-v8", Viewport::DESKTOP).await
}

/// What the Tab key reaches: in the order of the page, in sight, and not behind anything.
#[tokio::test]
async fn the_focus_goes_through_a_page_in_its_order_and_is_always_in_sight() -> Outcome {
    let bench = Bench::set_up()?;
    for (page, most) in
        [("/", 20), ("/new", 25), (&format!("{FOUR}/sheet/bores"), 60), (&format!("{FOUR}/plan"), 40)]
    {
        let session = bench.open(page, Viewport::DESKTOP).await?;
        session.script("document.activeElement.blur(); window.scrollTo(0, 0); window.before = null").await?;
        let look = "const e = document.activeElement; if (e === document.body) return 'end'; \
            const r = e.getClientRects()[0] ?? e.getBoundingClientRect(); const x = r.left + Math.min(r.width / 2, 20), y = r.top + Math.min(r.height / 2, 12); \
            const top = document.elementFromPoint(x, y); const before = window.before; window.before = e; \
            if (r.width === 0 || r.height === 0) return `${e.outerHTML.slice(0, 120)} has no size`; \
            if (!top || !(e.contains(top) || top.contains(e))) return `${e.outerHTML.slice(0, 120)} is behind ${top ? top.outerHTML.slice(0, 80) : 'the edge'}`; \
            if (before && !(before.compareDocumentPosition(e) & Node.DOCUMENT_POSITION_FOLLOWING)) return `${e.outerHTML.slice(0, 120)} comes before ${before.outerHTML.slice(0, 80)}`; \
            return 'fine'";
        let mut reached = 0;
        for _ in 0..most {
            session.press(Key::Tab).await?;
            let seen = session.script(look).await?;
            match seen.as_str().unwrap_or_default() {
                "end" => break,
                "fine" => reached += 1,
                problem => panic!("{page}: {problem}"),
            }
        }
        assert!(reached >= 5, "{page}: only {reached} places");
        session.close().await?;
    }
    Ok(())
}
