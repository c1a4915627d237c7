//! The rig's own test, against pages that need no program: a rig that finds nothing proves nothing.

use browser_tests::{Driver, Key, Outcome, Page, PageServer, Session, Viewport, picture_size};

const SOUND: Page = Page { path: "/sound", html: include_str!("../fixtures/sound.html") };
const FAULTY: Page = Page { path: "/faulty", html: include_str!("../fixtures/faulty.html") };
const BLANK: Page = Page { path: "/blank", html: "" };

struct Bench {
    pages: PageServer,
    driver: Driver,
}

impl Bench {
    fn set_up() -> Outcome<Self> {
        Ok(Self { pages: PageServer::start(&[SOUND, FAULTY, BLANK])?, driver: Driver::start()? })
    }

    async fn open(&self, page: Page, viewport: Viewport) -> Outcome<Session> {
        let session = self.driver.open(viewport).await?;
        session.goto(&self.pages.url(page.path)).await?;
        Ok(session)
    }
}

#[tokio::test]
async fn axe_passes_a_sound_page_and_finds_the_known_faults() -> Outcome {
    let bench = Bench::set_up()?;

    let session = bench.open(SOUND, Viewport::DESKTOP).await?;
    session.expect_accessible("sound").await?;

    session.goto(&bench.pages.url(FAULTY.path)).await?;
    let report = session.axe().await?;
    let mut found: Vec<&str> = report.violations.iter().map(|rule| rule.id.as_str()).collect();
    found.sort_unstable();
    // target-size is new in WCAG 2.2: it proves that those rules run as well.
    assert_eq!(found, ["color-contrast", "html-has-lang", "label", "target-size"], "{report}");
    assert!(session.expect_accessible("faulty").await.is_err());
    Ok(())
}

#[tokio::test]
async fn a_blank_page_does_not_pass_as_accessible_by_having_nothing() -> Outcome {
    let bench = Bench::set_up()?;
    let session = bench.open(BLANK, Viewport::DESKTOP).await?;
    assert!(session.expect_accessible("blank").await.is_err());
    Ok(())
}

#[tokio::test]
async fn keys_arrive_where_the_focus_is() -> Outcome {
    let bench = Bench::set_up()?;
    let session = bench.open(SOUND, Viewport::TABLET_LANDSCAPE).await?;

    session.press(Key::Tab).await?;
    assert_eq!(session.focused_id().await?, "first");
    session.type_text("89.102").await?;
    session.press(Key::Tab).await?;
    assert_eq!(session.focused_id().await?, "second");
    session.type_text("3.50").await?;
    session.press_with(Key::Shift, Key::Tab).await?;
    assert_eq!(session.focused_id().await?, "first");

    let values = session.script("return [...document.querySelectorAll('input')].map((i) => i.value)").await?;
    assert_eq!(values, serde_json::json!(["89.102", "3.50"]));
    session.wait_for_text("h1", "Bore").await
}

#[tokio::test]
async fn pictures_have_the_size_of_the_screen_or_of_the_page() -> Outcome {
    let bench = Bench::set_up()?;
    let session = bench.open(SOUND, Viewport::DESKTOP).await?;
    for viewport in Viewport::ALL {
        session.resize(viewport).await?;
        let screen = session.screenshot().await?;
        assert_eq!(picture_size(&screen), Some((viewport.width, viewport.height)), "{viewport:?}");
        assert!(!session.overflows_sideways().await?, "{viewport:?}");

        let (width, height) = picture_size(&session.full_page_screenshot().await?).unwrap_or_default();
        assert_eq!(width, viewport.width, "{viewport:?}");
        // The fixture holds a block of 2,000 CSS pixels.
        assert!(height > 2000, "{viewport:?}: full page only {height} high");

        // A page that is open already may not see the touch screen before it is loaded again.
        session.reload().await?;
        let touch = async || {
            Ok(session.script("return navigator.maxTouchPoints > 0").await?.as_bool() == Some(viewport.touch))
        };
        session.wait_until(&format!("a screen as {viewport:?}"), touch).await?;
    }
    let kept = session.keep_picture("rig-sound").await?;
    assert!(kept.is_file());
    Ok(())
}

#[tokio::test]
async fn prints_a_pdf_on_the_paper_that_the_page_asks_for() -> Outcome {
    let bench = Bench::set_up()?;
    let session = bench.open(SOUND, Viewport::DESKTOP).await?;
    let pdf = session.pdf().await?;
    assert!(pdf.starts_with(b"%PDF-"));
    // A3 landscape in points, as the fixture's style asks: 420 mm is 1190.55 pt.
    let text = String::from_utf8_lossy(&pdf);
    assert!(
        text.contains("/MediaBox [0 0 1190.") || text.contains("/MediaBox [0 0 1191"),
        "no A3 page in it"
    );
    Ok(())
}

#[tokio::test]
async fn the_network_drops_and_comes_back() -> Outcome {
    let bench = Bench::set_up()?;
    let session = bench.open(SOUND, Viewport::TABLET_PORTRAIT).await?;
    let reaches = "return fetch('/sound', { cache: 'no-store' }).then((r) => r.ok, () => false)";
    let online = "return navigator.onLine";

    assert_eq!(session.script(reaches).await?, true);
    session.set_offline(true).await?;
    assert_eq!(session.script(online).await?, false);
    assert_eq!(session.script(reaches).await?, false);
    session.set_offline(false).await?;
    assert_eq!(session.script(online).await?, true);
    assert_eq!(session.script(reaches).await?, true);
    Ok(())
}

#[tokio::test]
async fn two_browsers_share_nothing() -> Outcome {
    let bench = Bench::set_up()?;
    let one = bench.open(SOUND, Viewport::TABLET_LANDSCAPE).await?;
    let other = bench.open(SOUND, Viewport::DESKTOP).await?;
    one.script("localStorage.setItem('reading', '89.102')").await?;
    assert_eq!(one.script("return localStorage.getItem('reading')").await?, "89.102");
    assert!(other.script("return localStorage.getItem('reading')").await?.is_null());
    Ok(())
}

#[tokio::test]
async fn a_refused_script_shows_among_the_complaints() -> Outcome {
    let bench = Bench::set_up()?;
    let session = bench.open(FAULTY, Viewport::DESKTOP).await?;
    let complaints = session.complaints().await?;
    assert!(complaints.iter().any(|line| line.contains("Content Security Policy")), "{complaints:?}");
    Ok(())
}
