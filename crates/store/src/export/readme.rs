//! The `README.txt` of an export: what the files are, and how to check them without this program, with
//! a command that is made from the first record of this very export.

use std::fmt::Write as _;

use crate::record::{DocumentInfo, Engine, Entry, Head};

const EXPLANATION: &str = "\
FILES

engine.json       The engine's id and name, and where its two chains end.
document-N.toml   The text of document version N, byte for byte as it was saved.
documents.jsonl   One line of JSON for each version: its SHA-256, who saved it, when, why.
log.jsonl         One line of JSON for each log entry (readings, operations, sign-offs, notes), in
                  the order in which they were saved. Nothing in it was ever changed or removed: a
                  correction is a further entry.
results.jsonl     Only where something was computed: one line for each kept result, with the document version
                  and the last log entry that it was made from. result-N.json is its text.
verify.py         Checks all of this with nothing but Python 3: python3 verify.py
SHA256SUMS        Finds damage on the way, not forgery: sha256sum --check SHA256SUMS

HOW THE HASHES ARE MADE

Each log entry and each document version carries two hashes: \"previous\" is the hash of the one before
it (64 zeros for the first), \"hash\" is its own. Its own is the SHA-256 of its fields, written one after
the other, each as

    length:value,

with the length of the value in bytes of UTF-8, and nothing between the fields.

A log entry has nine fields: crosshatch-entry/1, engine, sequence, kind, who, when, delivery_key (empty
when there is none), previous, body. The body is JSON text exactly as it stands in the line: all that
follows the first ,\"body\": without the last brace of the line.

A document version has nine fields: crosshatch-document/1, engine, version, sha256 (that of its text:
sha256sum document-N.toml), who, when, based_on (empty for the first), note, previous.

The other values are those of the JSON strings and numbers, without quotes and escapes.

WHAT THIS PROVES

Whoever changes, removes or inserts a record must change the hash of every later one. So a hash that
you noted elsewhere (on paper, in a letter, in a photograph of the screen) proves all that stands
before it. Without such a note, somebody with the whole export could have rewritten it from some point
on. The engine's name and the time of its creation are not covered by a hash.
";

pub(super) fn text(engine: &Engine, head: &Head, versions: &[DocumentInfo], entries: &[Entry]) -> String {
    let Engine { id, name, created } = engine;
    let format = super::FORMAT;
    let mut text = format!("{name}\nEngine \"{id}\", created {created}. Export format {format}.\n\n{head}\n");
    text += EXPLANATION;
    let entry = entries.first().map(|entry| ("log entry 1", entry.encoded(), entry.hash));
    let version = versions.first().map(|info| ("document version 1", info.encoded(), info.hash));
    if let Some((what, encoded, hash)) = entry.or(version) {
        let command = format!("printf '%s' {} | sha256sum", shell_quoted(&encoded));
        // Writing into a String cannot fail.
        let _ = write!(text, "\nBY HAND, for {what} of this engine (hash {hash}):\n\n{command}\n");
    }
    text
}

fn shell_quoted(text: &str) -> String {
    format!("'{}'", text.replace('\'', r"'\''"))
}
