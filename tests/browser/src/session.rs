//! One browser: what a person sees and does in it.

use std::future::Future;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use std::{env, fs};

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use serde_json::{Value, json};
use thirtyfour::{By, Key, WebDriver, WebElement};

use crate::axe::{self, AxeReport};
use crate::error::{Outcome, RigError};
use crate::program::target_folder;
use crate::viewport::Viewport;

const PATIENCE: Duration = Duration::from_secs(10);

/// A4 in inches, the unit of the print command.
const A4_INCHES: (f64, f64) = (210.0 / 25.4, 297.0 / 25.4);

/// One browser with a profile of its own.
#[derive(Debug)]
pub struct Session {
    driver: WebDriver,
}

impl Session {
    pub(crate) fn new(driver: WebDriver) -> Self {
        Self { driver }
    }

    /// The driver underneath, for what the rig has no word for.
    pub fn driver(&self) -> &WebDriver {
        &self.driver
    }

    /// Opens an address and waits until it is loaded.
    ///
    /// # Errors
    /// When nothing answers there.
    pub async fn goto(&self, url: &str) -> Outcome {
        self.script("window.isLeft = true").await?;
        self.driver.goto(url).await?;
        // On a slow machine the driver answers now and then while the page is still being read.
        let loaded = "return !window.isLeft && document.readyState === 'complete'";
        self.wait_until(&format!("{url} loaded"), async || {
            Ok(self.script(loaded).await?.as_bool().unwrap_or(false))
        })
        .await
    }

    /// Loads the page again.
    ///
    /// # Errors
    /// When nothing answers any more.
    pub async fn reload(&self) -> Outcome {
        Ok(self.driver.refresh().await?)
    }

    /// The first element that the CSS selector finds, waiting for it to appear.
    ///
    /// # Errors
    /// When it does not appear within ten seconds.
    pub async fn find(&self, selector: &str) -> Outcome<WebElement> {
        let until = Instant::now() + PATIENCE;
        loop {
            match self.driver.find(By::Css(selector)).await {
                Ok(element) => return Ok(element),
                Err(_) if Instant::now() < until => tokio::time::sleep(Duration::from_millis(50)).await,
                Err(_) => {
                    return Err(RigError::NeverHappened {
                        what: format!("an element `{selector}`"),
                        seconds: PATIENCE.as_secs(),
                    });
                }
            }
        }
    }

    /// The text that a person sees in the element.
    ///
    /// # Errors
    /// When the element does not appear.
    pub async fn text_of(&self, selector: &str) -> Outcome<String> {
        // A page that renews itself between finding and reading is read again.
        match self.find(selector).await?.text().await {
            Err(error) if is_stale(&error) => Ok(self.find(selector).await?.text().await?),
            text => Ok(text?),
        }
    }

    /// Clicks or taps the element.
    ///
    /// # Errors
    /// When the element does not appear or cannot be reached.
    pub async fn click(&self, selector: &str) -> Outcome {
        Ok(self.find(selector).await?.click().await?)
    }

    /// Types text into whatever has the focus, key by key, as a digital gauge does.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn type_text(&self, text: &str) -> Outcome {
        Ok(self.driver.action_chain().send_keys(text).perform().await?)
    }

    /// Presses and releases one key.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn press(&self, key: Key) -> Outcome {
        match self.driver.action_chain().key_down(key.clone()).key_up(key).perform().await {
            // The key was pressed, and what it sent off has brought another page.
            Err(error) if is_cut_off(&error) => Ok(()),
            pressed => Ok(pressed?),
        }
    }

    /// Presses a key while another is held.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn press_with(&self, held: Key, key: Key) -> Outcome {
        let chain =
            self.driver.action_chain().key_down(held.clone()).key_down(key.clone()).key_up(key).key_up(held);
        Ok(chain.perform().await?)
    }

    /// Types a letter while a key is held.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn press_letter_with(&self, held: Key, letter: char) -> Outcome {
        let chain =
            self.driver.action_chain().key_down(held.clone()).key_down(letter).key_up(letter).key_up(held);
        Ok(chain.perform().await?)
    }

    /// The `id` of the element that has the focus; empty when it has none.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn focused_id(&self) -> Outcome<String> {
        let id = self.script("return document.activeElement ? document.activeElement.id : ''").await?;
        Ok(id.as_str().unwrap_or_default().to_owned())
    }

    /// Runs a script in the page and returns its value. The page's content security policy does not bind it.
    /// A script that went with a page that was being left runs again, in the page that came.
    ///
    /// # Errors
    /// When the script throws.
    pub async fn script(&self, source: &str) -> Outcome<Value> {
        let until = Instant::now() + PATIENCE;
        loop {
            match self.driver.execute(source, Vec::new()).await {
                Err(error) if is_cut_off(&error) && Instant::now() < until => {
                    tokio::time::sleep(Duration::from_millis(50)).await;
                }
                answer => return Ok(answer?.json().clone()),
            }
        }
    }

    /// Waits until `condition` holds; `what` says it in words for the failure.
    ///
    /// # Errors
    /// When it does not hold within ten seconds, or when the condition itself fails.
    pub async fn wait_until<F, Answer>(&self, what: &str, mut condition: F) -> Outcome
    where
        F: FnMut() -> Answer,
        Answer: Future<Output = Outcome<bool>>,
    {
        let until = Instant::now() + PATIENCE;
        while !condition().await? {
            if Instant::now() > until {
                return Err(RigError::NeverHappened { what: what.to_owned(), seconds: PATIENCE.as_secs() });
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        Ok(())
    }

    /// Waits until the element's text contains `words`.
    ///
    /// # Errors
    /// When it does not within ten seconds.
    pub async fn wait_for_text(&self, selector: &str, words: &str) -> Outcome {
        let what = format!("`{words}` in `{selector}`");
        self.wait_until(&what, async || {
            // The element may be replaced between finding and reading it: that counts as not yet.
            match self.driver.find(By::Css(selector)).await {
                Ok(element) => Ok(element.text().await.is_ok_and(|text| text.contains(words))),
                Err(_) => Ok(false),
            }
        })
        .await
    }

    /// Gives the page another screen.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn resize(&self, viewport: Viewport) -> Outcome {
        let metrics = json!({
            "width": viewport.width, "height": viewport.height, "deviceScaleFactor": 1, "mobile": false,
        });
        self.devtools("Emulation.setDeviceMetricsOverride", metrics).await?;
        let touch =
            json!({ "enabled": viewport.touch, "maxTouchPoints": if viewport.touch { 5 } else { 1 } });
        self.devtools("Emulation.setTouchEmulationEnabled", touch).await?;
        Ok(())
    }

    /// Whether the page is wider than its screen, so that a person has to push it sideways.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn overflows_sideways(&self) -> Outcome<bool> {
        let script = "const e = document.documentElement; return e.scrollWidth > e.clientWidth";
        Ok(self.script(script).await?.as_bool().unwrap_or(false))
    }

    /// Cuts the network of this browser, or gives it back.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn set_offline(&self, offline: bool) -> Outcome {
        self.devtools("Network.enable", json!({})).await?;
        let conditions =
            json!({ "offline": offline, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1 });
        self.devtools("Network.emulateNetworkConditions", conditions).await?;
        Ok(())
    }

    /// Makes the network slow: each request takes this long on the way.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn set_latency(&self, milliseconds: u32) -> Outcome {
        self.devtools("Network.enable", json!({})).await?;
        let conditions = json!({
            "offline": false, "latency": milliseconds, "downloadThroughput": -1, "uploadThroughput": -1,
        });
        self.devtools("Network.emulateNetworkConditions", conditions).await?;
        Ok(())
    }

    /// What the page complained about in the console since the last call, policy violations included.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn complaints(&self) -> Outcome<Vec<String>> {
        let entries = self.driver.browser_log().await?;
        Ok(entries
            .into_iter()
            .filter(|entry| matches!(entry.level.as_str(), "SEVERE" | "WARNING"))
            .map(|entry| entry.message)
            .collect())
    }

    /// A PNG of what the screen shows.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn screenshot(&self) -> Outcome<Vec<u8>> {
        self.capture(json!({ "format": "png" })).await
    }

    /// A PNG of the whole page, also of what one would have to scroll to.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn full_page_screenshot(&self) -> Outcome<Vec<u8>> {
        let layout = self.devtools("Page.getLayoutMetrics", json!({})).await?;
        let (width, height) = (&layout["cssContentSize"]["width"], &layout["cssContentSize"]["height"]);
        let clip = json!({ "x": 0, "y": 0, "width": width, "height": height, "scale": 1 });
        self.capture(json!({ "format": "png", "captureBeyondViewport": true, "clip": clip })).await
    }

    /// The page as it prints, on the paper that its own style asks for (A4 when it asks for none).
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn pdf(&self) -> Outcome<Vec<u8>> {
        let paper = json!({
            "preferCSSPageSize": true, "printBackground": true,
            "paperWidth": A4_INCHES.0, "paperHeight": A4_INCHES.1,
        });
        let answer = self.devtools("Page.printToPDF", paper).await?;
        decode("Page.printToPDF", &answer)
    }

    /// Keeps what the screen shows under `target/browser/`, or under `CROSSHATCH_PICTURES`, for a
    /// person to look at, and returns where.
    ///
    /// # Errors
    /// When the browser refuses or the file cannot be written.
    pub async fn keep_picture(&self, name: &str) -> Outcome<PathBuf> {
        let path = kept(&format!("{name}.png"))?;
        fs::write(&path, self.full_page_screenshot().await?)?;
        Ok(path)
    }

    /// Keeps the printed page beside the pictures, and returns where.
    ///
    /// # Errors
    /// When the browser refuses or the file cannot be written.
    pub async fn keep_pdf(&self, name: &str) -> Outcome<PathBuf> {
        let path = kept(&format!("{name}.pdf"))?;
        fs::write(&path, self.pdf().await?)?;
        Ok(path)
    }

    /// Checks the page against WCAG 2.2, levels A and AA.
    ///
    /// # Errors
    /// When the checker is not installed or fails.
    pub async fn axe(&self) -> Outcome<AxeReport> {
        axe::check(&self.driver).await
    }

    /// Fails, naming rules and elements, unless the checker looked at the page and found nothing.
    ///
    /// # Errors
    /// When there are violations, or when no rule applied at all.
    pub async fn expect_accessible(&self, page: &str) -> Outcome {
        let report = self.axe().await?;
        if report.is_clean() {
            return Ok(());
        }
        Err(RigError::NotAccessible { page: page.to_owned(), report: report.to_string() })
    }

    /// Closes the browser.
    ///
    /// # Errors
    /// When it is gone already.
    pub async fn close(self) -> Outcome {
        Ok(self.driver.clone().quit().await?)
    }

    /// Lays the page out as on paper, or on the screen again.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn as_on_paper(&self, paper: bool) -> Outcome {
        let media = json!({ "media": if paper { "print" } else { "" } });
        self.devtools("Emulation.setEmulatedMedia", media).await?;
        Ok(())
    }

    async fn capture(&self, parameters: Value) -> Outcome<Vec<u8>> {
        let answer = self.devtools("Page.captureScreenshot", parameters).await?;
        decode("Page.captureScreenshot", &answer)
    }

    async fn devtools(&self, method: &str, parameters: Value) -> Outcome<Value> {
        Ok(self.driver.cdp().send_raw(method, parameters).await?)
    }
}

impl Drop for Session {
    fn drop(&mut self) {
        // [`crate::Driver`] closes the browsers that are left when it ends. The library's own way
        // blocks this thread, on which the test's runtime has to answer: it would hang. An error
        // here means that the browser was closed already.
        let _ = self.driver.clone().leak();
    }
}

fn decode(method: &str, answer: &Value) -> Outcome<Vec<u8>> {
    let unexpected = |detail: String| RigError::UnexpectedAnswer { method: method.to_owned(), detail };
    let data = answer["data"].as_str().ok_or_else(|| unexpected("no `data`".to_owned()))?;
    BASE64.decode(data).map_err(|error| unexpected(error.to_string()))
}

fn kept(file: &str) -> Outcome<PathBuf> {
    let folder = match env::var_os("CROSSHATCH_PICTURES") {
        Some(folder) => PathBuf::from(folder),
        None => target_folder()?.join("browser"),
    };
    fs::create_dir_all(&folder)?;
    Ok(Path::new(&folder).join(file))
}

/// Has the page thrown the element away since it was found?
fn is_stale(error: &thirtyfour::error::WebDriverError) -> bool {
    matches!(error.as_inner(), thirtyfour::error::WebDriverErrorInner::StaleElementReference(_))
}

/// Did another page come while the driver was still busy with the one before?
fn is_cut_off(error: &thirtyfour::error::WebDriverError) -> bool {
    error.to_string().contains("aborted by navigation")
}
