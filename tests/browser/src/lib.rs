//! The rig that drives the pages in headless Chromium.
//!
//! A scenario is one file under `tests/`. It starts the program on a folder of its own with
//! [`Program`], a browser driver with [`Driver`], opens as many [`Session`]s as the story has
//! tablets, and reads like what a person does. Everything that was started ends when its value is
//! dropped, also when the test fails.
//!
//! ```no_run
//! use browser_tests::{Driver, Outcome, Program, Viewport};
//!
//! # async fn scenario() -> Outcome {
//! let program = Program::start()?;
//! let driver = Driver::start()?;
//! let tablet = driver.open(Viewport::TABLET_LANDSCAPE).await?;
//! tablet.goto(&program.url("/")).await?;
//! tablet.type_text("89.102").await?;
//! tablet.press(browser_tests::Key::Enter).await?;
//! tablet.expect_accessible("first sheet").await?;
//! # Ok(())
//! # }
//! ```

mod axe;
mod driver;
mod error;
mod page_server;
mod picture;
mod process;
mod program;
mod session;
mod viewport;

pub use axe::{AxeReport, AxeRule};
pub use driver::Driver;
pub use error::{Outcome, RigError};
pub use page_server::{Page, PageServer};
pub use picture::{PAGES_TO_PICTURE, PageToPicture, picture_size};
pub use program::Program;
pub use session::Session;
pub use thirtyfour::{By, Key, WebElement};
pub use viewport::Viewport;
