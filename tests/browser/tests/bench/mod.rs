//! What the scenarios share: the program on the demo, browsers, and questions about a sheet.

#![allow(dead_code, reason = "each scenario uses a part of it")]

use browser_tests::{Driver, Key, Outcome, Program, Session, Viewport};

/// The invented four-cylinder engine of the demo.
pub const FOUR: &str = "/engine/hill-climb-four";

/// The program on a fresh data folder, and a driver for browsers.
pub struct Bench {
    pub program: Program,
    pub driver: Driver,
}

impl Bench {
    pub fn set_up() -> Outcome<Self> {
        Ok(Self { program: Program::start()?, driver: Driver::start()? })
    }

    /// A browser of its own on the page `path`.
    pub async fn open(&self, path: &str, viewport: Viewport) -> Outcome<Session> {
        let session = self.driver.open(viewport).await?;
        session.goto(&self.program.url(path)).await?;
        Ok(session)
    }
}

/// Starts an inline four of 89.1 mm bore that nobody has measured, and gives its address below the server.
pub async fn start_engine(bench: &Bench, session: &Session, name: &str) -> Outcome<String> {
    session.goto(&bench.program.url("/new")).await?;
    let fill = format!(
        "const set = (id, text) => {{ document.getElementById(id).value = text; }}; \
         set('name', '{name}'); set('cylinders', '4'); set('bore', '89.100 mm'); set('stroke', '83.90 mm')"
    );
    session.script(&fill).await?;
    session.click("main form[action='/new'] button[type='submit']").await?;
    session.wait_for_text("body", name).await?;
    let at = session.script("return location.pathname").await?;
    Ok(at.as_str().unwrap_or_default().to_owned())
}

/// Fields of a table of a sheet, in the order of the hand.
pub async fn places(session: &Session, table: &str) -> Outcome<Vec<String>> {
    let script = format!(
        "return [...document.getElementById('{table}').querySelectorAll('td.in input')].map((e) => e.dataset.feature)"
    );
    let list = session.script(&script).await?;
    Ok(list.as_array().into_iter().flatten().filter_map(|f| f.as_str().map(str::to_owned)).collect())
}

/// Puts the hand on the place `feature`.
pub async fn go_to(session: &Session, feature: &str) -> Outcome {
    session.script(&format!("document.querySelector('[data-feature=\"{feature}\"]').focus()")).await?;
    Ok(())
}

/// The place that the hand is on.
pub async fn hand_is_on(session: &Session) -> Outcome<String> {
    let feature = session.script("return document.activeElement.dataset.feature || ''").await?;
    Ok(feature.as_str().unwrap_or_default().to_owned())
}

/// Types a value and Enter.
pub async fn enter(session: &Session, text: &str) -> Outcome {
    session.type_text(text).await?;
    session.press(Key::Enter).await
}

/// What stands in the field, and the number of the reading behind it (0: none).
pub async fn stands(session: &Session, feature: &str) -> Outcome<(String, u64)> {
    let script = format!(
        "const e = document.querySelector('[data-feature=\"{feature}\"]'); \
         return [e.defaultValue, Number(e.dataset.number || 0)]"
    );
    let pair = session.script(&script).await?;
    Ok((pair[0].as_str().unwrap_or_default().to_owned(), pair[1].as_u64().unwrap_or_default()))
}

/// Waits until the server has taken the reading and the field shows it.
pub async fn wait_until_kept(session: &Session, feature: &str, text: &str) -> Outcome {
    session
        .wait_until(&format!("{text} kept at {feature}"), async || {
            let (shown, number) = stands(session, feature).await?;
            Ok(shown == text && number > 0)
        })
        .await
}

/// What the row of the place says it means.
pub async fn meaning(session: &Session, feature: &str) -> Outcome<String> {
    let script = format!(
        "return document.querySelector('[data-feature=\"{feature}\"]').closest('tr').querySelector('td.meaning').textContent"
    );
    Ok(session.script(&script).await?.as_str().unwrap_or_default().to_owned())
}

/// Waits until the row of the place says `words`.
pub async fn wait_for_meaning(session: &Session, feature: &str, words: &str) -> Outcome {
    session
        .wait_until(&format!("`{words}` in the row of {feature}"), async || {
            Ok(meaning(session, feature).await?.contains(words))
        })
        .await
}

/// How many readings the log of the demo four holds, asked of the server.
pub async fn log_length(session: &Session) -> Outcome<u64> {
    let script = "return fetch('/engine/hill-climb-four/readings', { cache: 'no-store' }).then((r) => r.text()) \
                  .then((t) => Number(/(\\d+) readings\\./.exec(t)[1]))";
    Ok(session.script(script).await?.as_u64().unwrap_or_default())
}

/// How many readings wait in the browser.
pub async fn waiting(session: &Session) -> Outcome<u64> {
    let script = "return JSON.parse(localStorage.getItem(Object.keys(localStorage).find((k) => k.startsWith('crosshatch.queue.'))) || '[]').length";
    Ok(session.script(script).await?.as_u64().unwrap_or_default())
}
