//! Pictures and prints of the pages, for a person to look at.

mod bench;

use bench::{Bench, FOUR};
use browser_tests::{Outcome, Viewport};

const PAGES: [(&str, &str); 7] = [
    ("engine", ""),
    ("bores", "/sheet/bores"),
    ("fits", "/fits"),
    ("plan", "/plan"),
    ("finding", "/finding?id=bore_taper/2"),
    ("document", "/document"),
    ("block", "/parts/block"),
];

#[tokio::test]
async fn pages_are_pictured_on_every_screen_and_printed() -> Outcome {
    let bench = Bench::set_up()?;
    let session = bench.driver.open(Viewport::DESKTOP).await?;
    for (name, path) in PAGES {
        session.goto(&bench.program.url(&format!("{FOUR}{path}"))).await?;
        for viewport in Viewport::ALL {
            session.resize(viewport).await?;
            session.keep_picture(&format!("{name}-{}", viewport.name)).await?;
        }
        if ["engine", "bores", "plan"].contains(&name) {
            session.keep_pdf(name).await?;
            assert!(session.pdf().await?.starts_with(b"%PDF-"), "{name} does not print");
        }
    }
    Ok(())
}
