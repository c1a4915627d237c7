//! Counts what the thread at hand allocates.
//!
//! Per thread, since the harness of the tests allocates in its own thread while a test runs.
#![allow(unsafe_code)]

use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;

struct Counting;

thread_local! {
    // A constant without a destructor: reaching it allocates nothing.
    static COUNT: Cell<usize> = const { Cell::new(0) };
}

// SAFETY: everything is handed on to the system's allocator.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        COUNT.set(COUNT.get() + 1);
        unsafe { System.alloc(layout) }
    }
    unsafe fn dealloc(&self, pointer: *mut u8, layout: Layout) {
        unsafe { System.dealloc(pointer, layout) }
    }
}

#[global_allocator]
static ALLOCATOR: Counting = Counting;

/// How often this thread has allocated so far.
pub fn allocations() -> usize {
    COUNT.get()
}
