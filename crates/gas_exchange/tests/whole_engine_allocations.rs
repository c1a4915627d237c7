//! A cycle of a whole engine allocates nothing that grows with its steps: a global allocator counts.
#![allow(unsafe_code)]

#[path = "whole_engine/engines.rs"]
#[expect(dead_code, reason = "shared with other tests")]
mod engines;
mod invented;

use gas_exchange::whole_engine::Simulation;
use std::alloc::{GlobalAlloc, Layout, System};
use std::f64::consts::PI;
use std::sync::atomic::{AtomicUsize, Ordering};

struct Counting;
static COUNT: AtomicUsize = AtomicUsize::new(0);

// SAFETY: everything is handed on to the system's allocator.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        COUNT.fetch_add(1, Ordering::Relaxed);
        unsafe { System.alloc(layout) }
    }
    unsafe fn dealloc(&self, pointer: *mut u8, layout: Layout) {
        unsafe { System.dealloc(pointer, layout) }
    }
}

#[global_allocator]
static ALLOCATOR: Counting = Counting;

/// One test only in this file: another thread's allocations would be counted too.
#[test]
fn steps_of_a_whole_engine_allocate_nothing() {
    let mut simulation = Simulation::new(&engines::turbo_four(), 800.0).expect("an engine");
    let before = COUNT.load(Ordering::Relaxed);
    assert!(before > 0, "the allocator does not count");
    let network = &mut simulation.network;
    for _ in 0..3_000 {
        network.step(800.0, 1e9, PI / 180.0).expect("a step");
    }
    assert!(network.angle > 4.0 * PI, "more than a cycle: every valve and every burn");
    assert_eq!(COUNT.load(Ordering::Relaxed) - before, 0);
}
