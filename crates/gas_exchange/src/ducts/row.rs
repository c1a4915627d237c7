//! One quantity of all cells: contiguous, aligned to a cache line, padded so that whole lanes fit.
#![allow(unsafe_code)]

/// Values before the first and behind the last cell, so that lanes at the rim read inside the row.
pub const MARGIN: usize = 8;

/// One cache line.
#[derive(Clone, Copy, Debug)]
#[repr(C, align(64))]
struct Line([f64; 8]);

/// A row of values, one a cell, aligned to 64 bytes.
#[derive(Clone, Debug)]
pub struct Row {
    lines: Box<[Line]>,
}

impl Row {
    /// A row of at least `length` copies of `value`, filled up to whole lines.
    pub fn new(length: usize, value: f64) -> Self {
        Self { lines: vec![Line([value; 8]); length.div_ceil(8)].into_boxed_slice() }
    }
}

impl std::ops::Deref for Row {
    type Target = [f64];
    #[inline(always)]
    fn deref(&self) -> &[f64] {
        // SAFETY: a line is eight numbers without padding (`repr(C)`), and lines follow each other.
        unsafe { std::slice::from_raw_parts(self.lines.as_ptr().cast(), self.lines.len() * 8) }
    }
}

impl std::ops::DerefMut for Row {
    #[inline(always)]
    fn deref_mut(&mut self) -> &mut [f64] {
        // SAFETY: as above, and the row is borrowed mutably.
        unsafe { std::slice::from_raw_parts_mut(self.lines.as_mut_ptr().cast(), self.lines.len() * 8) }
    }
}
