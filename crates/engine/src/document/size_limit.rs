//! How much text is read.

use super::diagnostic::{Code, Diagnostic, Draft, Source};

/// Larger texts are refused: a document with ten thousand readings takes a third of it.
pub const MAX_BYTES: usize = 4 * 1024 * 1024;

pub(super) fn too_large(text: &str, file: &str) -> Diagnostic {
    let head = &text[..text.floor_char_boundary(200)];
    let message = format!("this file has {} bytes", text.len());
    let draft = Draft::error(Code::TooLarge, message).expected(format!("at most {MAX_BYTES} bytes (4 MiB)"));
    Source::new(file, head).locate(draft, 0..0)
}
