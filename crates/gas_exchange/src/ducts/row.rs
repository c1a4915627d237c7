//! One quantity of all cells: contiguous, aligned to a cache line, padded so that whole lanes fit.
//!
//! A processor looks a line up by the last twelve bits of its address. Rows that began alike there would throw each other out of
//! the first-level cache, as some thirty of them are read side by side (this cost a third of the speed). So each row begins at
//! its own line of a page.
#![allow(unsafe_code)]

/// Values before the first and behind the last cell, so that lanes at the rim read inside the row.
pub const MARGIN: usize = 8;

/// Values in a page.
const PAGE: usize = 512;

/// How far the beginnings of rows that follow each other lie apart in their pages: thirteen lines.
const STAGGER: usize = 104;

/// One page.
#[derive(Clone, Copy, Debug)]
#[repr(C, align(4096))]
struct Page([f64; PAGE]);

/// A row of values, one a cell, aligned to 64 bytes.
#[derive(Clone, Debug)]
pub struct Row {
    pages: Box<[Page]>,
    lead: usize,
    length: usize,
}

/// Makes rows, each of which begins at its own line of a page.
#[derive(Debug, Default)]
pub struct RowMaker {
    made: usize,
}

impl RowMaker {
    /// A row of at least `length` copies of `value`, filled up to whole lines.
    pub fn row(&mut self, length: usize, value: f64) -> Row {
        let lead = self.made * STAGGER % PAGE;
        self.made += 1;
        let length = length.next_multiple_of(MARGIN);
        Row {
            pages: vec![Page([value; PAGE]); (lead + length).div_ceil(PAGE)].into_boxed_slice(),
            lead,
            length,
        }
    }
}

impl std::ops::Deref for Row {
    type Target = [f64];
    #[inline(always)]
    fn deref(&self) -> &[f64] {
        // SAFETY: a page is 512 numbers without padding (`repr(C)`), pages follow each other, and `lead + length` lie within.
        unsafe { std::slice::from_raw_parts(self.pages.as_ptr().cast::<f64>().add(self.lead), self.length) }
    }
}

impl std::ops::DerefMut for Row {
    #[inline(always)]
    fn deref_mut(&mut self) -> &mut [f64] {
        // SAFETY: as above, and the row is borrowed mutably.
        unsafe {
            std::slice::from_raw_parts_mut(self.pages.as_mut_ptr().cast::<f64>().add(self.lead), self.length)
        }
    }
}
