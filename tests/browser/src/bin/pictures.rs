//! Makes the pictures of the documentation: `pictures FOLDER` (see `cargo xtask screenshots`).

use std::path::PathBuf;
use std::{env, fs};

use browser_tests::{Driver, Outcome, PAGES_TO_PICTURE, Program};

#[tokio::main]
async fn main() -> Outcome {
    let folder = env::args_os().nth(1).map_or_else(|| PathBuf::from("docs/pictures"), PathBuf::from);
    fs::create_dir_all(&folder)?;
    let program = Program::start()?;
    let driver = Driver::start()?;
    for page in PAGES_TO_PICTURE {
        let session = driver.open(page.viewport).await?;
        session.goto(&program.url(page.path)).await?;
        let file = folder.join(format!("{}.png", page.name));
        fs::write(&file, session.screenshot().await?)?;
        eprintln!("{}", file.display());
        session.close().await?;
    }
    Ok(())
}
