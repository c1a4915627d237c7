//! A cycle of a whole engine allocates nothing that grows with its steps: a global allocator counts.

mod counting;
#[path = "whole_engine/engines.rs"]
#[expect(dead_code, reason = "shared with other tests")]
mod engines;
mod invented;

use counting::allocations;
use gas_exchange::whole_engine::Simulation;
use std::f64::consts::PI;

#[test]
fn steps_of_a_whole_engine_allocate_nothing() {
    let mut simulation = Simulation::new(&engines::turbo_four(), 800.0).expect("an engine");
    let before = allocations();
    assert!(before > 0, "the allocator does not count");
    let network = &mut simulation.network;
    for _ in 0..3_000 {
        network.step(800.0, 1e9, PI / 180.0).expect("a step");
    }
    assert!(network.angle > 4.0 * PI, "more than a cycle: every valve and every burn");
    assert_eq!(allocations() - before, 0);
}
