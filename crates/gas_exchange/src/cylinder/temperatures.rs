//! Temperatures of crown, ring land, liner, head, valves and plug from the gas side of a cycle, by simple thermal networks.
//!
//! Each part is one node; the conductances between them are named parameters. Mean temperatures over the cycle: at engine speeds the
//! surface swings by only some 10 to 20 K about them (Heywood 12.6, from memory).

use core::f64::consts::PI;

use thiserror::Error;

use super::chamber::SURFACES;
use super::totals::SurfaceExchange;

/// Parts of the network, in the order of its arrays.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Mean of the crown.
    Crown,
    /// Land and groove of the top ring.
    RingLand,
    /// Liner where the piston uncovers it, gas side.
    Liner,
    /// Flame deck of the head, gas side.
    Head,
    /// Head of the exhaust valve.
    ExhaustValve,
    /// Head of the intake valve.
    IntakeValve,
    /// Electrodes and nose of the plug.
    Plug,
}

/// Number of parts.
pub const PARTS: usize = 7;

const NAMES: [&str; PARTS] =
    ["crown", "ring land", "liner", "head", "exhaust valve", "intake valve", "spark plug"];

/// What the gas does to the walls: means over the cycle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GasSide {
    /// Crown, head (deck, valves and plug together) and liner: from `CycleTotals::gas_side`.
    pub surfaces: [SurfaceExchange; SURFACES],
    /// Temperature of the gas in the exhaust port, K.
    pub exhaust_temperature: f64,
    /// Heat transfer coefficient at the back of the exhaust valve, W/(m² K).
    pub exhaust_coefficient: f64,
    /// Temperature of the charge in the intake port, K.
    pub intake_temperature: f64,
    /// Heat transfer coefficient at the back of the intake valve, W/(m² K).
    pub intake_coefficient: f64,
}

/// Sizes, conductances and sinks; every field is a named parameter of the document.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Walls {
    /// Bore, m.
    pub bore: f64,
    /// Crown thickness, m.
    pub crown_thickness: f64,
    /// Conductivity of the piston, W/(m K).
    pub piston_conductivity: f64,
    /// Under the crown to the oil, W/K: coefficient times surface.
    pub crown_to_oil: f64,
    /// From the ring land through rings and skirt to the liner, W/K.
    pub rings_to_liner: f64,
    /// From the gas side of the liner to the coolant, W/K.
    pub liner_to_coolant: f64,
    /// Surface of the flame deck without valves, m².
    pub head_area: f64,
    /// From the gas side of the head to the coolant, W/K.
    pub head_to_coolant: f64,
    /// Diameter of all exhaust valves' faces as one area, m².
    pub exhaust_valve_area: f64,
    /// From the exhaust valves through seats and stems to the head, W/K.
    pub exhaust_valve_to_head: f64,
    /// Area of all intake valves' faces, m².
    pub intake_valve_area: f64,
    /// From the intake valves through seats and stems to the head, W/K.
    pub intake_valve_to_head: f64,
    /// Surface of the plug's electrodes and nose, m².
    pub plug_area: f64,
    /// From electrodes and nose to the head, W/K.
    pub plug_to_head: f64,
    /// Coolant, K.
    pub coolant: f64,
    /// Oil under the piston, K.
    pub oil: f64,
}

impl Walls {
    /// Aluminium piston and head, iron liner, two and two valves, water, oil jets.
    ///
    /// Judgement, no source, chosen so that a cylinder at full load lands in handbook ranges; to be calibrated against
    /// hardness-loss plugs or templates where there are any. The coefficients behind it: oil 2.5 kW/(m² K) on the crown's
    /// projection; coolant 8 kW/(m² K) behind 6 mm of iron over 0.7 bores of height, or 10 mm of aluminium; rings and skirt
    /// 10 kW/(m² K) over a height of an eighth of the bore; seats, over rings of 1.5 mm, 12 kW/(m² K) for the intake and 5 for
    /// the exhaust, whose austenitic head conducts half as well.
    pub fn aluminium_with_jets(bore: f64) -> Self {
        let area = 0.25 * PI * bore * bore;
        let through = |thickness: f64, conductivity: f64| 1.0 / (1.0 / 8000.0 + thickness / conductivity);
        let seats = |diameter: f64, coefficient: f64| 2.0 * PI * diameter * 1.5e-3 * coefficient;
        Self {
            bore,
            crown_thickness: 0.075 * bore,
            piston_conductivity: 150.0,
            crown_to_oil: 2500.0 * area,
            rings_to_liner: 10_000.0 * PI * bore * bore / 8.0,
            liner_to_coolant: through(6e-3, 45.0) * PI * bore * 0.7 * bore,
            head_area: 0.55 * area,
            head_to_coolant: through(10e-3, 150.0) * area,
            exhaust_valve_area: 2.0 * 0.25 * PI * (0.34 * bore) * (0.34 * bore),
            exhaust_valve_to_head: seats(0.34 * bore, 5000.0),
            intake_valve_area: 2.0 * 0.25 * PI * (0.40 * bore) * (0.40 * bore),
            intake_valve_to_head: seats(0.40 * bore, 12_000.0),
            plug_area: 1.2e-4,
            plug_to_head: 0.12,
            coolant: 363.0,
            oil: 383.0,
        }
    }
}

/// Share of a part's rise above its coolant or oil by which it may lie to either side without calibration (judgement).
pub const UNCALIBRATED_BAND: f64 = 0.25;

/// What the networks give.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WallTemperatures {
    /// By [`Part`], K.
    pub parts: [f64; PARTS],
    /// Half-width of each part's band, K.
    pub band: [f64; PARTS],
    /// Middle of the crown, K: the hottest of the piston.
    pub crown_centre: f64,
    /// Heat into each part from the gas, W.
    pub heat: [f64; PARTS],
    /// Heat to the oil, W.
    pub to_oil: f64,
    /// Heat to the coolant, W.
    pub to_coolant: f64,
}

impl WallTemperatures {
    /// A part's temperature, K.
    pub fn of(&self, part: Part) -> f64 {
        self.parts[part as usize]
    }

    /// Crown, head and liner for the cylinder's heat transfer, K; valves count with the head by area.
    pub fn of_surfaces(&self, walls: &Walls) -> [f64; SURFACES] {
        let pairs = [
            (walls.head_area, Part::Head),
            (walls.exhaust_valve_area, Part::ExhaustValve),
            (walls.intake_valve_area, Part::IntakeValve),
        ];
        let area: f64 = pairs.iter().map(|p| p.0).sum();
        let head = pairs.iter().map(|&(a, part)| a * self.of(part)).sum::<f64>() / area;
        [self.of(Part::Crown), head, self.of(Part::Liner)]
    }
}

/// Why there are no temperatures.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum WallError {
    /// A conductance, size or temperature not above zero.
    #[error("{name} is {value}: it must be above 0")]
    NotPositive {
        /// Which.
        name: &'static str,
        /// Its value.
        value: f64,
    },
    /// A part has no way for its heat.
    #[error("the {part} has no way for its heat to leave")]
    Isolated {
        /// Which.
        part: &'static str,
    },
}

/// A network of the parts: conductances to each other and to sinks and sources of fixed temperature, W/K.
#[derive(Clone, Copy, Debug, Default)]
struct Network {
    matrix: [[f64; PARTS]; PARTS],
    right: [f64; PARTS],
}

impl Network {
    fn join(&mut self, a: Part, b: Part, conductance: f64) {
        let (a, b) = (a as usize, b as usize);
        self.matrix[a][a] += conductance;
        self.matrix[b][b] += conductance;
        self.matrix[a][b] -= conductance;
        self.matrix[b][a] -= conductance;
    }

    fn fix(&mut self, part: Part, conductance: f64, temperature: f64) {
        self.matrix[part as usize][part as usize] += conductance;
        self.right[part as usize] += conductance * temperature;
    }

    /// Gauss without exchange of rows: the matrix is symmetric and diagonally dominant.
    fn solve(mut self) -> Result<[f64; PARTS], WallError> {
        for (i, part) in NAMES.into_iter().enumerate() {
            if self.matrix[i][i].is_nan() || self.matrix[i][i] <= 1e-12 {
                return Err(WallError::Isolated { part });
            }
            for j in i + 1..PARTS {
                let factor = self.matrix[j][i] / self.matrix[i][i];
                for k in i..PARTS {
                    self.matrix[j][k] -= factor * self.matrix[i][k];
                }
                self.right[j] -= factor * self.right[i];
            }
        }
        let mut t = [0.0; PARTS];
        for i in (0..PARTS).rev() {
            let known: f64 = (i + 1..PARTS).map(|k| self.matrix[i][k] * t[k]).sum();
            t[i] = (self.right[i] - known) / self.matrix[i][i];
        }
        Ok(t)
    }
}

/// Temperatures of the parts for a gas side.
///
/// # Errors
/// [`WallError`].
pub fn wall_temperatures(walls: &Walls, gas: &GasSide) -> Result<WallTemperatures, WallError> {
    check(walls, gas)?;
    // Disc with even heat, cooled at its rim: mean less rim = q a²/(8 k t), centre less rim = q a²/(4 k t).
    let radial = 8.0 * PI * walls.piston_conductivity * walls.crown_thickness;
    let [crown, head, liner] = gas.surfaces;
    let head_parts = [
        (Part::Head, walls.head_area),
        (Part::ExhaustValve, walls.exhaust_valve_area),
        (Part::IntakeValve, walls.intake_valve_area),
        (Part::Plug, walls.plug_area),
    ];
    let head_area: f64 = head_parts.iter().map(|p| p.1).sum();
    let per_area = head.conductance / head_area;
    let mut from_cylinder = [(Part::Crown, crown.conductance, crown.temperature); 6];
    from_cylinder[1] = (Part::Liner, liner.conductance, liner.temperature);
    for (place, (part, area)) in from_cylinder[2..].iter_mut().zip(head_parts) {
        *place = (part, per_area * area, head.temperature);
    }
    let from_ports = [
        (Part::ExhaustValve, gas.exhaust_coefficient * walls.exhaust_valve_area, gas.exhaust_temperature),
        (Part::IntakeValve, gas.intake_coefficient * walls.intake_valve_area, gas.intake_temperature),
    ];
    let mut network = Network::default();
    for (part, conductance, temperature) in from_cylinder.into_iter().chain(from_ports) {
        network.fix(part, conductance, temperature);
    }
    network.join(Part::Crown, Part::RingLand, radial);
    network.join(Part::RingLand, Part::Liner, walls.rings_to_liner);
    network.join(Part::ExhaustValve, Part::Head, walls.exhaust_valve_to_head);
    network.join(Part::IntakeValve, Part::Head, walls.intake_valve_to_head);
    network.join(Part::Plug, Part::Head, walls.plug_to_head);
    network.fix(Part::Crown, walls.crown_to_oil, walls.oil);
    network.fix(Part::Liner, walls.liner_to_coolant, walls.coolant);
    network.fix(Part::Head, walls.head_to_coolant, walls.coolant);
    let parts = network.solve()?;
    let mut heat = [0.0; PARTS];
    for (part, conductance, temperature) in from_cylinder.into_iter().chain(from_ports) {
        heat[part as usize] += conductance * (temperature - parts[part as usize]);
    }
    let [crown_t, land, liner, head, ..] = parts;
    let sink = |i: usize| if i < 2 { walls.oil } else { walls.coolant };
    Ok(WallTemperatures {
        parts,
        band: core::array::from_fn(|i| UNCALIBRATED_BAND * (parts[i] - sink(i)).abs()),
        crown_centre: land + 2.0 * (crown_t - land),
        heat,
        to_oil: walls.crown_to_oil * (crown_t - walls.oil),
        to_coolant: walls.liner_to_coolant * (liner - walls.coolant)
            + walls.head_to_coolant * (head - walls.coolant),
    })
}

fn check(walls: &Walls, gas: &GasSide) -> Result<(), WallError> {
    let above_zero = [
        ("bore", walls.bore),
        ("crown thickness", walls.crown_thickness),
        ("piston conductivity", walls.piston_conductivity),
        ("conductance rings to liner", walls.rings_to_liner),
        ("conductance liner to coolant", walls.liner_to_coolant),
        ("head area", walls.head_area),
        ("conductance head to coolant", walls.head_to_coolant),
        ("exhaust valve area", walls.exhaust_valve_area),
        ("conductance exhaust valve to head", walls.exhaust_valve_to_head),
        ("intake valve area", walls.intake_valve_area),
        ("conductance intake valve to head", walls.intake_valve_to_head),
        ("plug area", walls.plug_area),
        ("conductance plug to head", walls.plug_to_head),
        ("coolant temperature", walls.coolant),
        ("oil temperature", walls.oil),
        ("gas side of the crown", gas.surfaces[0].conductance),
        ("gas side of the head", gas.surfaces[1].conductance),
        ("gas side of the liner", gas.surfaces[2].conductance),
        ("gas temperature at the crown", gas.surfaces[0].temperature),
        ("gas temperature at the head", gas.surfaces[1].temperature),
        ("gas temperature at the liner", gas.surfaces[2].temperature),
        ("exhaust gas temperature", gas.exhaust_temperature),
        ("intake temperature", gas.intake_temperature),
    ];
    for (name, value) in above_zero {
        if !(value > 0.0 && value.is_finite()) {
            return Err(WallError::NotPositive { name, value });
        }
    }
    let not_negative = [
        ("conductance crown to oil", walls.crown_to_oil),
        ("exhaust port coefficient", gas.exhaust_coefficient),
        ("intake port coefficient", gas.intake_coefficient),
    ];
    for (name, value) in not_negative {
        if !(value >= 0.0 && value.is_finite()) {
            return Err(WallError::NotPositive { name, value });
        }
    }
    Ok(())
}
