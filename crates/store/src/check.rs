//! What may come in: sizes and forms of every value, checked before anything is queued.

use crate::error::{Error, Result};

/// The largest sizes that the store takes. A real engine stays a hundred times below them.
pub mod limits {
    /// Bytes of a document's text.
    pub const DOCUMENT: usize = 4 << 20;
    /// Bytes of a log body.
    pub const BODY: usize = 256 << 10;
    /// Levels of nesting in a log body.
    pub const BODY_DEPTH: usize = 64;
    /// Entries handed in at once.
    pub const ENTRIES_AT_ONCE: usize = 10_000;
    /// Bytes of a short text: an engine's id or name, who, a kind, a delivery key, a setting's key.
    pub const SHORT: usize = 200;
    /// Bytes of the note of a document version.
    pub const NOTE: usize = 4 << 10;
    /// Bytes of a setting's value.
    pub const SETTING: usize = 64 << 10;
    /// Bytes of a result's body.
    pub const RESULT: usize = 64 << 20;
    /// Bytes of one line of an export.
    pub const LINE: usize = BODY + (32 << 10);
    /// Bytes of one file of an export, and of all its document texts together.
    pub const FILE: u64 = 256 << 20;
}

fn invalid(field: &'static str, value: &str, expected: &'static str) -> Error {
    let mut shown: String = value.chars().take(60).collect();
    if shown.len() < value.len() {
        shown.push('…');
    }
    Error::Invalid { field, value: shown, expected }
}

pub(crate) fn size(field: &'static str, size: usize, most: usize) -> Result<()> {
    if size > most {
        return Err(Error::TooLarge { field, size: size as u64, most: most as u64 });
    }
    Ok(())
}

/// One line of text with something in it.
pub(crate) fn short(field: &'static str, value: &str) -> Result<()> {
    size(field, value.len(), limits::SHORT)?;
    if value.trim().is_empty() || value.chars().any(char::is_control) {
        return Err(invalid(field, value, "one line of text that is not empty"));
    }
    Ok(())
}

pub(crate) fn engine_id(id: &str) -> Result<()> {
    const EXPECTED: &str =
        "1 to 64 of the characters a-z, 0-9 and \"-\", with a letter or digit at both ends";
    let allowed = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
    let ends_well = !id.starts_with('-') && !id.ends_with('-');
    if id.is_empty() || id.len() > 64 || !ends_well || !id.bytes().all(allowed) {
        return Err(invalid("engine id", id, EXPECTED));
    }
    Ok(())
}

fn kind(kind: &str) -> Result<()> {
    let allowed = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'_';
    if kind.is_empty() || kind.len() > 64 || !kind.bytes().all(allowed) {
        return Err(invalid("kind", kind, "1 to 64 of the characters a-z, 0-9 and \"_\""));
    }
    Ok(())
}

/// A time as RFC 3339 §5.6 writes it, with a capital "T" and a capital "Z".
pub(crate) fn when(text: &str) -> Result<()> {
    const EXPECTED: &str =
        "a time as RFC 3339 writes it, like 2026-03-01T09:00:00Z or 2026-03-01T10:00:00.5+01:00";
    if text.len() <= limits::SHORT && is_rfc_3339(text) {
        Ok(())
    } else {
        Err(invalid("when", text, EXPECTED))
    }
}

fn is_rfc_3339(text: &str) -> bool {
    let Some((date, time)) = text.split_once('T') else { return false };
    let [year, month, day] = numbers(date, '-', &[4, 2, 2])[..] else { return false };
    let Some(zone_at) = time.find(['Z', '+', '-']) else { return false };
    let (clock, zone) = time.split_at(zone_at);
    let (clock, fraction) = clock.split_once('.').map_or((clock, "0"), |(clock, fraction)| (clock, fraction));
    let [hour, minute, second] = numbers(clock, ':', &[2, 2, 2])[..] else { return false };
    let zone_holds = zone == "Z"
        || matches!(numbers(&zone[1..], ':', &[2, 2])[..], [hours, minutes] if hours <= 23 && minutes <= 59);
    (1..=12).contains(&month)
        && (1..=days_in(year, month)).contains(&day)
        && hour <= 23
        && minute <= 59
        && second <= 60
        && !fraction.is_empty()
        && fraction.bytes().all(|byte| byte.is_ascii_digit())
        && zone_holds
}

/// The numbers between separators when each has the width asked for, else none.
fn numbers(text: &str, separator: char, widths: &[usize]) -> Vec<u32> {
    let parts: Vec<&str> = text.split(separator).collect();
    let fits = |(part, width): (&&str, &usize)| {
        part.len() == *width && part.bytes().all(|byte| byte.is_ascii_digit())
    };
    if parts.len() != widths.len() || !parts.iter().zip(widths).all(fits) {
        return Vec::new();
    }
    parts.iter().filter_map(|part| part.parse().ok()).collect()
}

fn days_in(year: u32, month: u32) -> u32 {
    let leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        _ => 31,
    }
}

/// The fields of a log entry beside its body.
pub(crate) fn entry_fields(kind_: &str, who: &str, when_: &str, delivery_key: Option<&str>) -> Result<()> {
    kind(kind_)?;
    short("who", who)?;
    when(when_)?;
    delivery_key.map_or(Ok(()), |key| short("delivery key", key))
}

/// The fields of a result beside its body.
pub(crate) fn result_fields(kind_: &str, who: &str, when_: &str) -> Result<()> {
    kind(kind_)?;
    short("who", who)?;
    when(when_)
}

/// The fields of a document version beside its text.
pub(crate) fn document_fields(who: &str, when_: &str, note: &str) -> Result<()> {
    short("who", who)?;
    when(when_)?;
    size("note", note.len(), limits::NOTE)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_of_rfc_3339_are_taken() {
        // The examples of RFC 3339 §5.8.
        for text in [
            "1985-04-12T23:20:50.52Z",
            "1996-12-19T16:39:57-08:00",
            "1990-12-31T23:59:60Z",
            "1990-12-31T15:59:60-08:00",
            "1937-01-01T12:00:27.87+00:20",
            "2024-02-29T00:00:00Z",
        ] {
            when(text).unwrap();
        }
    }

    #[test]
    fn other_times_are_refused() {
        for text in [
            "",
            "today",
            "2026-03-01",
            "2026-03-01 09:00:00Z",
            "2026-03-01T09:00:00",
            "2026-3-1T09:00:00Z",
            "2023-02-29T09:00:00Z",
            "1900-02-29T09:00:00Z",
            "2026-13-01T09:00:00Z",
            "2026-03-01T24:00:00Z",
            "2026-03-01T09:00:00.Z",
            "2026-03-01T09:00:00+1",
            "2026-03-01T09:00:00+24:00",
            "2026-03-01T09:00:00Zz",
            "+026-03-01T09:00:00Z",
            "2026-03-01T09:00:00é",
        ] {
            let message = when(text).unwrap_err().to_string();
            assert!(message.contains("RFC 3339"), "{text}: {message}");
        }
    }

    #[test]
    fn ids_are_slugs() {
        for id in ["a", "demo-four", "v8-1962"] {
            engine_id(id).unwrap();
        }
        for id in ["", "-a", "a-", "A", "a b", "../a", "é", &"a".repeat(65)] {
            assert!(engine_id(id).is_err(), "{id}");
        }
    }

    #[test]
    fn a_long_value_is_shown_shortened() {
        let message = short("who", &"a\n".repeat(90)).unwrap_err().to_string();
        assert!(message.contains('…') && message.len() < 200, "{message}");
    }
}
