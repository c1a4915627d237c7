//! One quantity of all cells: contiguous, aligned to a cache line, padded so that whole lanes fit.

/// Values before the first and behind the last cell, so that lanes at the rim read inside the row.
pub const MARGIN: usize = 8;

/// A row of values, one a cell, aligned to 64 bytes.
#[derive(Debug)]
pub struct Row {
    store: Vec<f64>,
    start: usize,
    length: usize,
}

impl Row {
    /// A row of `length` copies of `value`.
    pub fn new(length: usize, value: f64) -> Self {
        let store = vec![value; length + 8];
        let start = store.as_ptr().align_offset(64).min(8);
        Self { store, start, length }
    }
}

impl Clone for Row {
    fn clone(&self) -> Self {
        let mut copy = Self::new(self.length, 0.0);
        copy.copy_from_slice(self);
        copy
    }
}

impl std::ops::Deref for Row {
    type Target = [f64];
    #[inline(always)]
    fn deref(&self) -> &[f64] {
        &self.store[self.start..self.start + self.length]
    }
}

impl std::ops::DerefMut for Row {
    #[inline(always)]
    fn deref_mut(&mut self) -> &mut [f64] {
        &mut self.store[self.start..self.start + self.length]
    }
}
