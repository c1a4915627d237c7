//! Leak past the rings: crevice → gap of the top ring → land → gap of the second ring → crankcase.
//!
//! A gap is an orifice of end gap times land clearance (Namazian and Heywood, SAE 820088, 1982: the gaps carry nearly all of the
//! blow-by while the rings sit on their flanks; from memory). The land between the rings is a volume at wall temperature.

use mechanics::math::{exp, ln, powf};

use crate::gas::{Composition, WorkingGas};

use super::spec::RingSpec;
use super::zone::Zone;

/// Ratio of specific heats of the leaking gas at wall temperature, 1: mixture and burned gas at 400 to 500 K lie between 1.33 and 1.38.
const GAMMA: f64 = 1.35;

/// Mass flow of an ideal gas through an orifice, kg/s: `area` m² (with its discharge coefficient), upstream pressure (Pa) and
/// temperature (K), downstream pressure, gas constant and γ. Heywood, appendix C (from memory); choked below the critical ratio.
pub fn orifice_flow(
    area: f64,
    pressure: f64,
    temperature: f64,
    downstream: f64,
    gas_constant: f64,
    gamma: f64,
) -> f64 {
    if downstream >= pressure {
        return 0.0;
    }
    let scale = area * pressure / (gas_constant * temperature).sqrt();
    let ratio = (downstream / pressure).max(0.0);
    let critical = powf(2.0 / (gamma + 1.0), gamma / (gamma - 1.0));
    if ratio <= critical {
        return scale * gamma.sqrt() * powf(2.0 / (gamma + 1.0), (gamma + 1.0) / (2.0 * (gamma - 1.0)));
    }
    let log = ln(ratio) / gamma;
    let difference = exp(2.0 * log) - exp((gamma + 1.0) * log);
    scale * (2.0 * gamma / (gamma - 1.0) * difference.max(0.0)).sqrt()
}

/// The land between two rings and the constants of the gaps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BlowBy {
    spec: RingSpec,
    gas: Zone,
    critical: f64,
    choked: f64,
}

/// What a step moved; negative values flowed back.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Leak {
    /// From the crevice to the land, kg.
    pub from_crevice: f64,
    /// What crossed there.
    pub composition: Composition,
    /// Specific enthalpy that crossed there, J/kg.
    pub enthalpy: f64,
    /// From the land to the crankcase, kg.
    pub to_crankcase: f64,
    /// Energy that went to the crankcase, J.
    pub energy_to_crankcase: f64,
    /// Heat to the walls of the land, J.
    pub heat: f64,
}

impl BlowBy {
    /// The land filled with composition `c` at crankcase pressure.
    pub fn new(spec: RingSpec, gas: &WorkingGas, c: Composition) -> Self {
        let mut land = Zone { temperature: spec.temperature, volume: spec.volume, ..Zone::default() };
        land.add(spec.crankcase_pressure * spec.volume / (gas.gas_constant(c) * spec.temperature), c);
        land.energy = land.mass * gas.energy(spec.temperature, c);
        Self {
            spec,
            gas: land,
            critical: powf(2.0 / (GAMMA + 1.0), GAMMA / (GAMMA - 1.0)),
            choked: GAMMA.sqrt() * powf(2.0 / (GAMMA + 1.0), (GAMMA + 1.0) / (2.0 * (GAMMA - 1.0))),
        }
    }

    /// What the land holds.
    pub fn gas(&self) -> &Zone {
        &self.gas
    }

    /// Pressure between the rings, Pa.
    #[inline]
    pub fn pressure(&self, gas: &WorkingGas) -> f64 {
        self.gas.mass * gas.gas_constant(self.gas.composition()) * self.spec.temperature / self.spec.volume
    }

    /// Signed flow through a gap from `a` to `b` (Pa), kg/s.
    #[inline]
    fn flow(&self, gap: f64, a: f64, b: f64, root_rt: f64) -> f64 {
        let (high, low, sign) = if a >= b { (a, b, 1.0) } else { (b, a, -1.0) };
        let scale = sign * self.spec.discharge * gap * self.spec.land_clearance * high / root_rt;
        let ratio = low / high;
        if ratio <= self.critical {
            return scale * self.choked;
        }
        let log = ln(ratio) / GAMMA;
        let difference = exp(2.0 * log) - exp((GAMMA + 1.0) * log);
        scale * (2.0 * GAMMA / (GAMMA - 1.0) * difference.max(0.0)).sqrt()
    }

    /// A step of `dt` seconds with the crevice at `pressure` (Pa), holding `crevice`. No flow goes further than to equal pressures.
    pub fn step(&mut self, gas: &WorkingGas, crevice: &Zone, pressure: f64, dt: f64) -> Leak {
        let land = self.pressure(gas);
        let c = self.gas.composition();
        let r = gas.gas_constant(c);
        let root_rt = (r * self.spec.temperature).sqrt();
        let per_pascal = self.spec.volume / (r * self.spec.temperature);
        let limit = |flow: f64, difference: f64, share: f64| {
            let most = share * difference.abs();
            (flow * dt).clamp(-most, most)
        };
        let difference = pressure - land;
        let available = per_pascal.min(0.5 * crevice.mass / pressure);
        let from_crevice =
            limit(self.flow(self.spec.top_gap, pressure, land, root_rt), difference, available);
        let crankcase = self.spec.crankcase_pressure;
        let to_crankcase =
            limit(self.flow(self.spec.second_gap, land, crankcase, root_rt), land - crankcase, per_pascal);
        let composition = if from_crevice >= 0.0 { crevice.composition() } else { c };
        let from = if from_crevice >= 0.0 { crevice.temperature } else { self.spec.temperature };
        let enthalpy = gas.enthalpy(from, composition);
        let energy_to_crankcase = to_crankcase * gas.enthalpy(self.spec.temperature, c);
        let before = self.gas.energy;
        self.gas.add(from_crevice, composition);
        // What comes back from the crankcase is taken to be what went there.
        self.gas.add(-to_crankcase, c);
        self.gas.energy = self.gas.mass * gas.energy(self.spec.temperature, self.gas.composition());
        let heat = before + from_crevice * enthalpy - energy_to_crankcase - self.gas.energy;
        Leak { from_crevice, composition, enthalpy, to_crankcase, energy_to_crankcase, heat }
    }
}
