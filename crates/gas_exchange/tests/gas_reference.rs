//! Gas properties against Cantera 3.2 (`reference/gas.py`).

mod reference_data;

use gas_exchange::gas::equilibrium::{equilibrium, frozen_products};
use gas_exchange::gas::species::{MoleNumbers, SPECIES, UNIVERSAL_GAS_CONSTANT};
use gas_exchange::gas::{Air, Composition, Fuel, WorkingGas};

/// A fuel by the name that the reference files give it.
fn fuel(name: &str) -> Fuel {
    match name {
        "iso-octane" => Fuel::iso_octane(),
        "petrol" => Fuel::petrol(),
        "e85" => Fuel::ethanol_blend(0.85).unwrap(),
        "ethanol" => Fuel::ethanol(),
        "methanol" => Fuel::methanol(),
        _ => panic!("{name}: no such fuel"),
    }
}

/// kmol of C, H, O, N, Ar in a kilogram of the fresh mixture.
fn elements(fuel: &Fuel, gas: &WorkingGas) -> [f64; 5] {
    let share = gas.fresh().fuel;
    let (of_fuel, of_air) = (fuel.atoms(), gas.air().moles().elements());
    core::array::from_fn(|k| share / fuel.molar_mass() * of_fuel[k] + (1.0 - share) * of_air[k])
}

struct Worst(f64, String);

impl Worst {
    fn new() -> Self {
        Self(0.0, String::new())
    }
    fn see(&mut self, error: f64, place: impl FnOnce() -> String) {
        if error.is_nan() || error > self.0 {
            *self = Self(if error.is_nan() { f64::INFINITY } else { error }, place());
        }
    }
    fn below(&self, limit: f64, what: &str) {
        assert!(self.0 < limit, "{what}: {:e} at {}, limit {limit:e}", self.0, self.1);
    }
}

const HEAT: &str = "fuel,lambda,water,gas,temperature,cp,enthalpy,cp_gri30";

/// cp and h of air, fresh mixtures and frozen products from 300 to 3000 K. With Cantera's file of the same coefficients they agree to
/// its rounding of atomic weights; with gri30.yaml, other fits, to 0.4 % (the worst are air at 300 K by 0.13 %, from N2, and
/// steam above 1600 K).
#[test]
fn heat_capacities_and_enthalpies() {
    let (mut cp, mut enthalpy, mut other) = (Worst::new(), Worst::new(), Worst::new());
    let rows = reference_data::rows("gas_heat_capacity.csv", HEAT);
    assert_eq!(rows.len(), 294);
    for row in rows {
        let number = |i: usize| row[i].parse::<f64>().unwrap();
        let (t, place) = (number(4), || row[..5].join(" "));
        let air = Air::humid(number(2)).unwrap();
        let (found_cp, found_h) = if row[3] == "air" {
            (air.moles().heat_capacity(t), air.moles().enthalpy(t))
        } else {
            let fuel = fuel(&row[0]);
            let gas = WorkingGas::new(&fuel, number(1), &air).unwrap();
            if row[3] == "fresh" {
                let share = gas.fresh().fuel;
                let (vapour, r) = (fuel.vapour(), fuel.gas_constant());
                let air = air.moles();
                (
                    share * r * vapour.heat_capacity(t) + (1.0 - share) * air.heat_capacity(t),
                    share * r * vapour.enthalpy(t) + (1.0 - share) * air.enthalpy(t),
                )
            } else {
                let products = frozen_products(&elements(&fuel, &gas)).unwrap();
                assert!((products.mass() - 1.0).abs() < 1e-12);
                (products.heat_capacity(t), products.enthalpy(t))
            }
        };
        cp.see((found_cp / number(5) - 1.0).abs(), place);
        enthalpy.see((found_h - number(6)).abs() / (found_cp * t), place);
        if row[7] != "none" {
            other.see((found_cp / number(7) - 1.0).abs(), place);
        }
    }
    cp.below(1e-8, "cp");
    enthalpy.below(1e-8, "h");
    other.below(4e-3, "cp against gri30");
}

/// How far the polynomials of the ducts lie from the NASA polynomials that Cantera evaluates: what simulated gas really has.
#[test]
fn duct_gas_against_cantera() {
    let mut cp = [Worst::new(), Worst::new(), Worst::new()];
    let mut warming = [Worst::new(), Worst::new(), Worst::new()];
    let mut start = (0.0, 0.0);
    for row in reference_data::rows("gas_heat_capacity.csv", HEAT) {
        let number = |i: usize| row[i].parse::<f64>().unwrap();
        let t = number(4);
        let kind = ["air", "fresh", "burned"].iter().position(|&k| k == row[3]).unwrap();
        let name = if kind == 0 { "iso-octane" } else { &row[0] };
        let gas = WorkingGas::new(&fuel(name), number(1), &Air::humid(number(2)).unwrap()).unwrap();
        let c = [Composition::default(), gas.fresh(), Composition { burned: 1.0, fuel: 0.0 }][kind];
        let place = || row[..5].join(" ");
        if t < if kind == 2 { 2000.0 } else { 1200.0 } {
            cp[kind].see((gas.cp(t, c) / number(5) - 1.0).abs(), place);
            let energy = number(6) - gas.gas_constant(c) * t;
            if (t - 300.0).abs() < 1.0 {
                start = (energy, gas.energy(t, c));
            } else {
                warming[kind].see(((gas.energy(t, c) - start.1) / (energy - start.0) - 1.0).abs(), place);
            }
        }
    }
    // 0.1 % is asked.
    for (kind, warming_limit) in [(0, 2e-4), (1, 3e-4), (2, 1e-3)] {
        cp[kind].below(1e-3, "cp of the duct gas");
        warming[kind].below(warming_limit, "energy of the duct gas");
    }
}

/// Adiabatic flames at constant pressure, from vapour and air at 25 °C and 1 bar and at 700 K and 40 bar, φ 0.7 to 1.4.
///
/// Three comparisons: the direct solver with Cantera's of the same eleven species; the same with the 53 species and other fits of
/// gri30 (3 K is the limit of the issue); and what the working gas of a run gives, with duct polynomials and table.
#[test]
fn flame_temperatures() {
    let (mut direct, mut other, mut table) = (Worst::new(), Worst::new(), Worst::new());
    let rows =
        reference_data::rows("gas_flame.csv", "fuel,lambda,pressure,start,temperature,temperature_gri30");
    assert_eq!(rows.len(), 64);
    for row in rows {
        let number = |i: usize| row[i].parse::<f64>().unwrap();
        let (lambda, p, start, place) = (number(1), number(2), number(3), || row.join(" "));
        let fuel = fuel(&row[0]);
        let gas = WorkingGas::new(&fuel, lambda, &Air::DRY).unwrap();
        let share = gas.fresh().fuel;
        let h = share * fuel.gas_constant() * fuel.vapour().enthalpy(start)
            + (1.0 - share) * gas.air().moles().enthalpy(start);
        let found = bisect(|t| gas.products(t, p).unwrap().enthalpy(t) - h);
        direct.see((found - number(4)).abs(), place);
        other.see((found - number(5)).abs(), place);
        let h = gas.enthalpy(start, gas.fresh());
        let found = bisect(|t| {
            let burned = gas.burned(t, p);
            burned.energy + burned.gas_constant * t - h
        });
        table.see((found - number(4)).abs(), place);
    }
    direct.below(1e-3, "flame temperature, same coefficients, K");
    other.below(3.0, "flame temperature, gri30, K");
    table.below(3.0, "flame temperature of the working gas, K");
}

fn bisect(f: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (1000.0, 4000.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        *(if f(middle) < 0.0 { &mut low } else { &mut high }) = middle;
    }
    0.5 * (low + high)
}

/// Mole fractions from 1200 to 3600 K, 0.5 to 200 bar, λ 0.55 to 1.5. Cantera converges its own to about 1e-9; traces below 1e-12
/// are compared to a tenth of that.
#[test]
fn equilibrium_mole_fractions() {
    let names = "N2,O2,Ar,CO2,H2O,CO,H2,OH,O,H,NO";
    let rows = reference_data::rows(
        "gas_equilibrium.csv",
        &format!("fuel,lambda,temperature,pressure,energy,{names}"),
    );
    assert_eq!(rows.len(), 150);
    let (mut fraction, mut energy, mut balance) = (Worst::new(), Worst::new(), Worst::new());
    for row in rows {
        let number = |i: usize| row[i].parse::<f64>().unwrap();
        let (t, p, place) = (number(2), number(3), || row[..4].join(" "));
        let fuel = fuel(&row[0]);
        let gas = WorkingGas::new(&fuel, number(1), &Air::DRY).unwrap();
        let elements = elements(&fuel, &gas);
        let found = equilibrium(&elements, t, p, None).unwrap();
        for (species, x) in found.fractions().into_iter().enumerate() {
            fraction.see((x - number(5 + species)).abs() / (number(5 + species) + 1e-13), place);
        }
        energy.see((found.energy(t) - number(4)).abs() / (UNIVERSAL_GAS_CONSTANT * found.total() * t), place);
        for (kept, given) in found.elements().into_iter().zip(elements) {
            balance.see((kept / given - 1.0).abs(), place);
        }
        from_elsewhere_it_ends_at_the_same(&elements, t, p, &found);
    }
    fraction.below(1e-6, "mole fraction");
    energy.below(1e-7, "energy over R T");
    balance.below(1e-12, "balance of elements");
}

fn from_elsewhere_it_ends_at_the_same(elements: &[f64; 5], t: f64, p: f64, found: &MoleNumbers) {
    let elsewhere = MoleNumbers([found.total() / SPECIES as f64; SPECIES]);
    let again = equilibrium(elements, t, p, Some(&elsewhere)).unwrap();
    for (a, b) in again.0.iter().zip(found.0) {
        assert!((a - b).abs() <= 1e-7 * b, "{t} K {p} Pa: {again:?} {found:?}");
    }
}
