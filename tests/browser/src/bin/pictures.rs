//! Makes the pictures of the documentation: `pictures FOLDER` (see `cargo xtask screenshots`).

use std::path::PathBuf;
use std::time::{Duration, Instant};
use std::{env, fs};

use browser_tests::{Driver, Outcome, PAGES_TO_PICTURE, Program, Viewport};

#[tokio::main]
async fn main() -> Outcome {
    let folder = env::args_os().nth(1).map_or_else(|| PathBuf::from("docs/pictures"), PathBuf::from);
    fs::create_dir_all(&folder)?;
    let program = Program::start()?;
    let driver = Driver::start()?;
    compute_a_curve(&program, &driver).await?;
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

/// The page of the torque curve shows one only when somebody has computed it.
async fn compute_a_curve(program: &Program, driver: &Driver) -> Outcome {
    let session = driver.open(Viewport::DESKTOP).await?;
    session.goto(&program.url("/engine/hill-climb-four/power")).await?;
    session.click(".run-form button").await?;
    let end = Instant::now() + Duration::from_mins(10);
    let ended = "return document.querySelector('.points') !== null && document.querySelector('#progress[data-runs=yes]') === null";
    while !session.script(ended).await?.as_bool().unwrap_or(false) {
        assert!(Instant::now() < end, "the curve is not there after ten minutes");
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    session.close().await
}
