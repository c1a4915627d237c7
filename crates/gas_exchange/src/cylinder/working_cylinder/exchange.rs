//! What a step exchanges with walls, crevice and rings.

use crate::gas::WorkingGas;

use super::super::chamber::SURFACES;
use super::super::crevice::{Exchange, OXIDATION_ABOVE};
use super::super::heat_transfer::{HeatLaw, Moment};
use super::super::zone::{Zone, energy_of_excess};
use super::{Cylinder, HeatRates, Phase, Step};

impl Cylinder {
    /// Heat flows at the state now, and the means that wall networks ask for.
    #[inline]
    pub(super) fn heat_rates(&mut self, step: &Step) -> HeatRates {
        if self.heat == HeatLaw::Adiabatic {
            return HeatRates::default();
        }
        let [u, b] = &self.zones;
        let temperature = self.mean_temperature();
        let fired = matches!(self.phase, Phase::Burning { .. } | Phase::Closed { armed: false });
        let now = Moment {
            pressure: self.pressure,
            temperature,
            volume: self.volume,
            piston_speed: self.chamber.mean_piston_speed(step.speed),
            valves_closed: self.phase != Phase::Open,
            fired: if fired { self.reference } else { None },
        };
        let h = self.heat.coefficient(&now, self.chamber.bore(), self.chamber.displacement());
        let areas = self.chamber.areas(self.volume);
        // Burned gas touches the share √x of the walls (Ferguson and Kirkpatrick, from memory): it takes more volume than mass.
        let burned = (b.mass / (u.mass + b.mass)).sqrt();
        let touching = (1.0 - burned) * u.temperature + burned * b.temperature;
        let mut rates = HeatRates::default();
        for (s, area) in areas.iter().enumerate() {
            let wall = self.wall_temperatures[s];
            rates.0[0][s] = h * area * (1.0 - burned) * (u.temperature - wall);
            rates.0[1][s] = h * area * burned * (b.temperature - wall);
            let conductance = h * area * step.dt;
            self.totals.conductance_time[s] += conductance;
            self.totals.conductance_temperature_time[s] += conductance * touching;
        }
        rates
    }

    /// Heat over the step from the flows now and those of the step before (Adams–Bashforth of second order), J.
    #[inline]
    pub(super) fn heat_of_step(&mut self, rates: &HeatRates, dt: f64) -> HeatRates {
        let (last, last_dt) = self.last_heat.unwrap_or((*rates, dt));
        let weight = 0.5 * (dt / last_dt).min(2.0);
        let mut heat = HeatRates::default();
        for z in 0..2 {
            for s in 0..SURFACES {
                heat.0[z][s] = dt * (rates.0[z][s] + weight * (rates.0[z][s] - last.0[z][s]));
            }
        }
        self.last_heat = Some((*rates, dt));
        heat
    }

    /// Exchange with the crevice and leak past the rings.
    pub(super) fn breathe(&mut self, gas: &WorkingGas, step: &Step, expected: f64, gained: &mut [f64; 2]) {
        let Some(crevice) = &mut self.crevice else { return };
        let demand = crevice.demand(gas, expected);
        let burning = matches!(self.phase, Phase::Burning { .. });
        let total = self.zones[0].mass + self.zones[1].mass;
        let (exchange, heat) = if demand > 0.0 {
            // Both zones lose in proportion to their mass, so the crevice fills with mixture first.
            let demand = demand.min(0.2 * total);
            let mut energy = 0.0;
            let mut into = Zone::default();
            for (z, zone) in self.zones.iter_mut().enumerate() {
                if zone.mass <= 0.0 {
                    continue;
                }
                let mass = demand * (zone.mass / total);
                let c = zone.composition();
                let enthalpy = (zone.energy + self.pressure * zone.volume) / zone.mass;
                zone.add(-mass, c);
                into.add(mass, c);
                gained[z] -= mass * enthalpy;
                energy += mass * enthalpy;
                if zone.reacted {
                    let given = mass * energy_of_excess(gas, crevice.temperature(), self.pressure, c);
                    energy += given;
                    self.totals.mixture_energy += given;
                }
            }
            crevice.take(gas, demand, into.composition(), energy / demand)
        } else {
            let hot =
                self.zones[usize::from(burning && self.zones[1].mass > 0.0)].temperature > OXIDATION_ABOVE;
            crevice.give(gas, -demand, hot)
        };
        let Exchange { mass, composition, energy } = exchange;
        if mass < 0.0 {
            let z = usize::from(burning && self.zones[1].mass > 0.0);
            self.totals.burned_fuel -= mass * (crevice.gas().composition().fuel - composition.fuel);
            self.zones[z].add(-mass, composition);
            gained[z] -= energy;
            if self.zones[z].reacted {
                let given = mass * energy_of_excess(gas, crevice.temperature(), self.pressure, composition);
                gained[z] += given;
                self.totals.mixture_energy += given;
            }
        }
        self.totals.crevice_heat += heat;
        if let Some(rings) = &mut self.rings {
            let leak = rings.step(gas, crevice.gas(), self.pressure, step.dt);
            let (_, heat) = crevice.take(gas, -leak.from_crevice, leak.composition, leak.enthalpy);
            self.totals.crevice_heat += heat + leak.heat;
            self.totals.blow_by += leak.to_crankcase;
            self.totals.blow_by_energy += leak.energy_to_crankcase;
        }
    }
}
