//! What must stay: mass, energy, species, and rest.

use super::common::{bare, ideal, real, run};
use gas_exchange::ducts::{DuctSpec, Ducts, Station};
use gas_exchange::gas::Composition;

fn horn(cells: usize) -> DuctSpec {
    let station = |x, diameter| Station { x, diameter };
    DuctSpec {
        stations: vec![station(0.0, 0.03), station(0.2, 0.05), station(0.25, 0.02), station(0.6, 0.06)],
        ..bare(1.0, 1.0, cells)
    }
}

#[test]
fn rest_in_a_duct_of_varying_area_stays_rest() {
    for gas in [ideal(), real()] {
        let mut ducts = Ducts::new(&[horn(57), bare(0.3, 0.04, 20)], &gas).expect("ducts");
        // Pressure even, temperature and composition not: a still gas all the same.
        ducts
            .fill_cells(0, |i| {
                let burned = if i < 20 { 0.0 } else { 0.7 };
                (2e5, 300.0 + 10.0 * i as f64, 0.0, Composition { burned, fuel: 0.1 * (1.0 - burned) })
            })
            .expect("a state");
        run(&mut ducts, 0.8, 0.01);
        let cells = || ducts.duct_cells(0).map(|i| ducts.cell(0, i));
        let fastest = cells().fold(0.0_f64, |most, cell| most.max(cell.velocity.abs() / cell.sound_speed));
        let off = cells().fold(0.0_f64, |most, cell| most.max((cell.pressure / 2e5 - 1.0).abs()));
        println!("rest: Mach number {fastest:.1e}, pressure off by {off:.1e}");
        // A few roundings of p A by ρ c² A (1.4 p A): they leave as sound, so they do not add up.
        assert!(fastest < 2e-14, "moves at Mach {fastest}");
        assert!(off < 2e-14, "pressure off by {off}");
    }
}

#[test]
fn closed_ducts_keep_mass_energy_and_species() {
    let mut ducts = Ducts::new(&[horn(57), bare(0.3, 0.04, 20), horn(31)], &real()).expect("ducts");
    for duct in 0..3 {
        let cells = ducts.duct_cells(duct).len();
        ducts
            .fill_cells(duct, |i| {
                if i < cells / 3 {
                    (4e5, 1200.0, 0.0, Composition { burned: 1.0, fuel: 0.0 })
                } else {
                    (1e5, 320.0, 10.0, Composition { burned: 0.05, fuel: 0.07 })
                }
            })
            .expect("a state");
    }
    let before = ducts.total();
    let steps = run(&mut ducts, 0.8, 0.05);
    let after = ducts.total();
    for (what, a, b) in [
        ("mass", before.mass, after.mass),
        ("energy", before.energy, after.energy),
        ("burned", before.burned, after.burned),
        ("fuel", before.fuel, after.fuel),
    ] {
        println!("{what}: drift {:.1e} in {steps} steps", (b / a - 1.0).abs());
        assert!((b / a - 1.0).abs() < 1e-12, "{what}: {a} became {b}");
    }
}
