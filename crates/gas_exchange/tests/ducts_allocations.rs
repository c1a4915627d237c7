//! A step of the ducts allocates nothing: a global allocator counts.

mod counting;

use counting::allocations;
use gas_exchange::ducts::{
    DuctEnd, DuctSpec, Ducts, EndFlux, IdealTube, Side, Station, exact_riemann::Primitive,
};
use gas_exchange::gas::{Composition, DuctGas};

#[test]
fn steps_allocate_nothing() {
    let spec = DuctSpec {
        stations: vec![Station { x: 0.0, diameter: 0.04 }, Station { x: 0.5, diameter: 0.06 }],
        cells: 50,
        wall_temperature: 400.0,
        roughness: 1e-5,
        heat_factor: 1.0,
        friction_factor_scale: 1.0,
    };
    let energy = [-717.5 * 298.15, 717.5e3, 10e3, 0.0, 0.0, 0.0, 0.0, 0.0];
    let gas = DuctGas { gas_constant: [287.0; 3], energy: [energy; 3], formation: [0.0; 3] };
    let mut ducts = Ducts::new(&[spec.clone(), spec], &gas).expect("ducts");
    ducts.fill(0, 3e5, 900.0, 0.0, Composition { burned: 1.0, fuel: 0.0 }).expect("a state");
    let mut tube = IdealTube::new(100, 0.01, 1.4, |i| Primitive {
        density: 1.0,
        velocity: 0.0,
        pressure: if i < 50 { 1.0 } else { 0.1 },
    });
    let before = allocations();
    assert!(before > 0, "the allocator does not count");
    for _ in 0..200 {
        let dt = ducts.step_limit(0.8);
        ducts.predict(dt);
        let end = DuctEnd { duct: 1, side: Side::End };
        let state = ducts.end_state(end);
        ducts.set_end_flux(end, EndFlux { momentum: state.pressure * state.area, ..EndFlux::default() });
        ducts.add_source(0, 3, 1e-9, 1e-4, 0.0, 1e-9);
        ducts.update(dt).expect("the step holds");
        tube.step(tube.step_limit(0.8)).expect("the step holds");
    }
    assert_eq!(allocations() - before, 0);
}
