//! The encoding that is hashed, and the hash.
//!
//! A record is written as a row of fields, each as `length:value,` with the length of the value in
//! bytes of UTF-8, in decimal digits without leading zeros. Nothing stands between the fields. Since
//! each length says where its value ends, no value can be mistaken for a border, and two different
//! rows of fields never give the same text (`decode_fields` takes every one back to its fields).

use std::fmt;
use std::str::FromStr;

use rusqlite::ToSql;
use rusqlite::types::{FromSql, FromSqlError, FromSqlResult, ToSqlOutput, ValueRef};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use sha2::{Digest as _, Sha256};

/// A SHA-256 hash (FIPS 180-4), written as 64 lower-case hexadecimal digits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Digest([u8; 32]);

impl Digest {
    /// 64 zeros: stands for "the hash before" at the start of a chain.
    pub const START: Self = Self([0; 32]);

    /// The hash of a text, as `sha256sum` gives it for a file that holds that text.
    pub fn of(text: &str) -> Self {
        Self(Sha256::digest(text.as_bytes()).into())
    }

    /// The hash in eight groups of eight digits, for paper.
    pub fn in_groups(&self) -> String {
        let digits = self.to_string();
        let mut grouped = String::with_capacity(71);
        for (index, digit) in digits.chars().enumerate() {
            if index > 0 && index % 8 == 0 {
                grouped.push(' ');
            }
            grouped.push(digit);
        }
        grouped
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(formatter, "{byte:02x}"))
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "Digest({self})")
    }
}

impl FromStr for Digest {
    type Err = &'static str;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        const EXPECTED: &str = "64 lower-case hexadecimal digits";
        let digits = text.as_bytes();
        if digits.len() != 64 {
            return Err(EXPECTED);
        }
        let mut bytes = [0; 32];
        for (byte, pair) in bytes.iter_mut().zip(digits.chunks_exact(2)) {
            let (Some(high), Some(low)) = (hexadecimal(pair[0]), hexadecimal(pair[1])) else {
                return Err(EXPECTED);
            };
            *byte = high << 4 | low;
        }
        Ok(Self(bytes))
    }
}

/// Sums up bytes that come piece by piece.
#[derive(Default)]
pub(crate) struct Summer(Sha256);

impl Summer {
    pub(crate) fn add(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
    }

    pub(crate) fn finish(self) -> Digest {
        Digest(self.0.finalize().into())
    }
}

fn hexadecimal(digit: u8) -> Option<u8> {
    match digit {
        b'0'..=b'9' => Some(digit - b'0'),
        b'a'..=b'f' => Some(digit - b'a' + 10),
        _ => None,
    }
}

impl Serialize for Digest {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Digest {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(|expected| {
            serde::de::Error::custom(format!("\"{text}\" is not a hash: expected {expected}"))
        })
    }
}

impl ToSql for Digest {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(self.to_string().into())
    }
}

impl FromSql for Digest {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        value.as_str()?.parse().map_err(|expected: &str| FromSqlError::Other(expected.into()))
    }
}

/// Writes fields one after the other as `length:value,`.
pub fn encode_fields(fields: &[&str]) -> String {
    use fmt::Write as _;
    let mut text = String::with_capacity(fields.iter().map(|field| field.len() + 8).sum());
    for field in fields {
        // Writing into a String cannot fail.
        let _ = write!(text, "{}:{field},", field.len());
    }
    text
}

/// Where an encoded row of fields stops making sense.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("byte {at} of the encoded fields: expected {expected}")]
pub struct EncodingFault {
    /// Offset in bytes, from 0.
    pub at: usize,
    /// What belongs there.
    pub expected: &'static str,
}

/// Reads fields back from what `encode_fields` wrote; refuses anything that it would not have written.
///
/// # Errors
/// Names the first byte that does not fit.
pub fn decode_fields(text: &str) -> Result<Vec<&str>, EncodingFault> {
    let mut fields = Vec::new();
    let mut at = 0;
    while at < text.len() {
        let fault = |at, expected| EncodingFault { at, expected };
        let colon = text[at..].find(':').ok_or(fault(at, "a length and a colon"))?;
        let digits = &text[at..at + colon];
        let length: usize = digits
            .parse()
            .ok()
            .filter(|length: &usize| length.to_string() == digits)
            .ok_or(fault(at, "a length in decimal digits without leading zeros"))?;
        let start = at + colon + 1;
        let end = start.checked_add(length).ok_or(fault(at, "a length that fits"))?;
        let field = text.get(start..end).ok_or(fault(start, "as many bytes as the length says"))?;
        if text.as_bytes().get(end) != Some(&b',') {
            return Err(fault(end, "a comma"));
        }
        fields.push(field);
        at = end + 1;
    }
    Ok(fields)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hash_is_sha_256_as_published() {
        // NIST, example values for FIPS 180-4, SHA-256 of the one-block message "abc", and of the empty message.
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        let empty = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";
        assert_eq!(Digest::of("abc").to_string(), abc);
        assert_eq!(Digest::of("").to_string(), empty);
        assert_eq!(abc.parse::<Digest>(), Ok(Digest::of("abc")));
        assert_eq!(Digest::of("abc").in_groups().replace(' ', ""), abc);
    }

    #[test]
    fn a_hash_in_other_spelling_is_refused() {
        for text in ["", "ba78", &"A".repeat(64), &"g".repeat(64), &"0".repeat(65), &"é".repeat(32)] {
            assert!(text.parse::<Digest>().is_err(), "{text}");
        }
    }

    #[test]
    fn fields_are_written_with_their_length_in_bytes() {
        assert_eq!(encode_fields(&["a", "", "µm", "1:x,"]), "1:a,0:,3:µm,4:1:x,,");
        assert_eq!(encode_fields(&[]), "");
    }

    #[test]
    fn what_was_never_written_is_refused() {
        for text in
            ["1", "1:", "1:a", "2:a,", "01:a,", "+1:a,", "1:ab,", "1:µ,", ":,", "99999999999999999999:a,"]
        {
            assert!(decode_fields(text).is_err(), "{text}");
        }
    }
}
