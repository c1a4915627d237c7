//! Passages between two volumes: a throttle or restrictor, an intercooler with its pressure loss.

use super::boundary::{Nozzle, Reservoir};
use super::connection::Node;

/// A passage between two nodes, + from the first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passage {
    /// First node.
    pub from: Node,
    /// Second node.
    pub to: Node,
    /// What lies between.
    pub route: Route,
}

/// What lies between two nodes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Route {
    /// A throttle or restrictor of an effective area, m².
    Orifice {
        /// m².
        area: f64,
    },
    /// A cooler whose pressure loss is `loss · ṁ² / density`, with the density of the cooled gas behind it.
    Cooler {
        /// 1/m⁴.
        loss: f64,
        /// Share of the difference to the coolant that it takes away.
        effectiveness: f64,
        /// K.
        coolant: f64,
    },
}

impl Passage {
    /// Mass flow between two reservoirs, kg/s.
    pub fn flow(&self, first: &Reservoir, second: &Reservoir) -> f64 {
        match self.route {
            Route::Orifice { area } => orifice(first, second, area),
            Route::Cooler { loss, effectiveness, coolant } => {
                resistance(first, second, loss, |temperature| cooled(temperature, effectiveness, coolant))
            }
        }
    }
}

/// Below this relative difference of pressure the flow is linear in it, so that its slope stays finite.
const LINEAR: f64 = 1e-4;

/// Mass flow through an effective area from one reservoir to the other, kg/s, + from the first; choked when it must be
/// (Heywood, *Internal Combustion Engine Fundamentals*, appendix C).
pub fn orifice(first: &Reservoir, second: &Reservoir, area: f64) -> f64 {
    if first.pressure >= second.pressure {
        nozzle(first, second.pressure, area)
    } else {
        -nozzle(second, first.pressure, area)
    }
}

fn nozzle(from: &Reservoir, behind: f64, area: f64) -> f64 {
    let drop = 1.0 - behind / from.pressure;
    if drop < LINEAR {
        return nozzle_flux(from, (1.0 - LINEAR) * from.pressure) * area * drop / LINEAR;
    }
    nozzle_flux(from, behind) * area
}

fn nozzle_flux(from: &Reservoir, behind: f64) -> f64 {
    Nozzle::new(from.gamma, from.gas_constant).from(from.pressure, from.temperature, 0.0, behind).0
}

/// What a cooler leaves of a temperature, K.
pub fn cooled(warm: f64, effectiveness: f64, coolant: f64) -> f64 {
    warm - effectiveness * (warm - coolant)
}

/// Mass flow through a resistance whose pressure loss is `loss · ṁ² / density`, kg/s, + from the first. The density is that behind
/// the resistance: forwards of the gas as `behind` leaves it, backwards of the gas as it comes. `loss` in 1/m⁴.
pub fn resistance(first: &Reservoir, second: &Reservoir, loss: f64, behind: impl Fn(f64) -> f64) -> f64 {
    let drop = first.pressure - second.pressure;
    let (from, to, temperature) = if drop >= 0.0 {
        (first, second, behind(first.temperature))
    } else {
        (second, first, second.temperature)
    };
    let density = to.pressure / (from.gas_constant * temperature);
    let linear = LINEAR * from.pressure;
    let size = drop.abs();
    let flow = if size < linear {
        (density * linear / loss).sqrt() * size / linear
    } else {
        (density * size / loss).sqrt()
    };
    flow.copysign(drop)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Check 2.4 (Heywood, appendix C).
    #[test]
    fn nozzle_as_in_the_handbook() {
        let from = Reservoir { pressure: 2e5, temperature: 300.0, gamma: 1.4, gas_constant: 287.0 };
        let behind = Reservoir { pressure: 1.6e5, ..from };
        assert!((orifice(&from, &behind, 1e-4) / 38.21455e-3 - 1.0).abs() < 1e-6);
        assert!((orifice(&behind, &from, 1e-4) / -38.21455e-3 - 1.0).abs() < 1e-6);
        let air = Reservoir { pressure: 101_325.0, temperature: 288.15, gamma: 1.4, gas_constant: 287.05287 };
        let empty = Reservoir { pressure: 1e4, ..air };
        assert!((orifice(&air, &empty, 1e-4) / 24.12385e-3 - 1.0).abs() < 1e-6);
    }

    /// A cooler stated as 7 kPa at 0.435 kg/s, with 2.86 bar and 318 K behind it, passes that flow at that loss, and √2 of
    /// it at twice the loss but for the density behind.
    #[test]
    fn a_cooler_loses_what_was_stated_at_the_stated_flow() {
        let (pressure, temperature, flow, lost) = (2.86e5, 318.0, 0.435, 7e3);
        let loss = lost * pressure / (287.0 * temperature) / (flow * flow);
        let route = Route::Cooler { loss, effectiveness: 0.78, coolant: 300.0 };
        let hot = 300.0 + (temperature - 300.0) / (1.0 - 0.78);
        let behind = Reservoir { pressure, temperature, gamma: 1.4, gas_constant: 287.0 };
        let before = |drop: f64| Reservoir { pressure: pressure + drop, temperature: hot, ..behind };
        let passage = Passage { from: Node::Atmosphere, to: Node::Atmosphere, route };
        assert!((passage.flow(&before(lost), &behind) / flow - 1.0).abs() < 1e-12);
        let doubled = passage.flow(&before(2.0 * lost), &behind);
        assert!((doubled / flow - std::f64::consts::SQRT_2).abs() < 1e-12);
        assert!(passage.flow(&behind, &before(lost)) < 0.0);
    }

    #[test]
    fn no_jump_where_the_linear_part_begins() {
        let from = Reservoir { pressure: 1e5, temperature: 300.0, gamma: 1.4, gas_constant: 287.0 };
        let at = |share: f64| orifice(&from, &Reservoir { pressure: 1e5 * (1.0 - share), ..from }, 1e-4);
        assert!((at(LINEAR * 1.0001) / at(LINEAR * 0.9999) - 1.0).abs() < 1e-3);
        assert!(at(0.0).abs() < 1e-15);
    }
}
