//! Every fixture carries its expected diagnostics in comments beside the wrong text:
//!
//! ```toml
//! bore = 89.1
//! #      ^^^^ bare_number: has no unit | write "89.1 mm"
//! ```
//!
//! The carets stand under the offending text (`#<` when it starts the line), then the code, then pieces that the
//! rendered text must hold. What is not announced, or announced and not found, fails.

use engine::document::{Diagnostic, parse_document, render_text};
use std::path::Path;

#[derive(Debug)]
struct Expected {
    line: usize,
    column: usize,
    code: String,
    pieces: Vec<String>,
}

fn expected_in(text: &str) -> Vec<Expected> {
    let mut expected = Vec::new();
    let mut target = 0;
    for (i, line) in text.lines().enumerate() {
        let column = match line.find('^') {
            Some(at) if line.starts_with('#') && line[1..at].trim().is_empty() => {
                Some(line[..at].chars().count() + 1)
            }
            _ if line.starts_with("#<") => Some(1),
            _ => None,
        };
        let Some(column) = column else {
            target = i + 1;
            continue;
        };
        let said = line.trim_start_matches(['#', ' ', '^', '<']);
        let (code, pieces) = said.split_once(':').unwrap_or((said, ""));
        let pieces = pieces.split(" | ").map(|piece| piece.trim().to_owned()).collect();
        expected.push(Expected { line: target, column, code: code.trim().to_owned(), pieces });
    }
    expected
}

fn code_word(diagnostic: &Diagnostic) -> String {
    serde_json::to_value(diagnostic.code).unwrap().as_str().unwrap().to_owned()
}

fn check(file: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/documents").join(file);
    let text = std::fs::read_to_string(&path).unwrap();
    let parsed = parse_document(&text, file);
    let mut left: Vec<&Diagnostic> = parsed.diagnostics.iter().collect();
    let mut missing = Vec::new();
    for e in expected_in(&text) {
        let fits = |d: &&Diagnostic| {
            let rendered = render_text(std::slice::from_ref(*d));
            d.line == e.line
                && d.column == e.column
                && code_word(d) == e.code
                && e.pieces.iter().all(|piece| rendered.contains(piece))
        };
        match left.iter().position(fits) {
            Some(at) => _ = left.remove(at),
            None => missing.push(e),
        }
    }
    let unannounced: Vec<Diagnostic> = left.into_iter().cloned().collect();
    assert!(
        missing.is_empty() && unannounced.is_empty(),
        "{file}\nannounced and not found: {missing:#?}\nfound and not announced:\n{}",
        render_text(&unannounced)
    );
    assert_eq!(
        parsed.document.is_none(),
        parsed.has_errors(),
        "{file}: a document is given exactly when there is no error"
    );
}

macro_rules! fixtures {
    ($($name:ident)+) => {$(
        #[test]
        fn $name() {
            check(concat!(stringify!($name), ".toml"));
        }
    )+
        #[test]
        fn every_fixture_has_its_test() {
            let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/documents");
            let named = [$(concat!(stringify!($name), ".toml")),+];
            for entry in std::fs::read_dir(folder).unwrap() {
                let name = entry.unwrap().file_name().into_string().unwrap();
                assert!(!name.ends_with(".toml") || named.contains(&name.as_str()), "{name} is checked by no test");
            }
        }
    };
}

fixtures! {
    wrong_keys
    wrong_sizes
    wrong_types
    wrong_ranges
    wrong_layout
    wrong_crank
    wrong_records
    wrong_shells
    not_toml
    no_version
    newer_version
    older_version
    almost_empty
    cascades_stay_away
}
