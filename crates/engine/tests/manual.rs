//! `docs/findings.md` is made from the explanations beside the questions. `UPDATE_DOCS=1 cargo test -p engine --test manual` writes it.

use std::fmt::Write as _;
use std::path::Path;

fn manual() -> String {
    let mut text = String::from(
        "# Findings, one by one\n\nMade from the explanations beside the code; `UPDATE_DOCS=1 cargo test -p engine --test manual` writes it.\n\nWhy it matters and what to do are common practice, no source, save where a source is named.\n",
    );
    for about in engine::findings::manual().chain(engine::power::ABOUT) {
        let _ = write!(
            text,
            "\n## `{}`\n\n**Asks.** {}\n\n**Why it matters.** {}\n\n**How it is computed.** {}\n\n**What to do.** {}\n\n**Source.** {}\n",
            about.code, about.asks, about.matters, about.computed, about.to_do, about.source
        );
    }
    text
}

#[test]
fn the_manual_says_what_the_questions_say() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/findings.md");
    let made = manual();
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(&path, &made).expect("docs/findings.md can be written");
    }
    let written = std::fs::read_to_string(&path).unwrap_or_default();
    assert_eq!(written, made, "run UPDATE_DOCS=1 cargo test -p engine --test manual");
}
