//! Engines for the tests: sizes of the two invented demo engines, and a plain single cylinder.

use gas_exchange::cylinder::friction::{ChenFlynn, FrictionLaw};
use gas_exchange::cylinder::knock::DelayLaw;
use gas_exchange::cylinder::{CreviceSpec, CylinderSpec, RingSpec, Wiebe};
use gas_exchange::ducts::{DuctSpec, Station};
use gas_exchange::gas::{Air, Fuel};
use gas_exchange::network::ValveGroup;
use gas_exchange::turbocharger::{
    CompressorMap, Efficiency, MapPoint, MapSpeedLine, Reference, Swallowing, Turbine,
};
use gas_exchange::valves::{
    FlowBench, FlowCoefficients, Follower, Lift, Lobe, Placement, Reading, ReverseFlow, Side,
};
use gas_exchange::whole_engine::{
    Ambient, Collector, Cooler, CylinderUnit, EngineSpec, ExhaustSpec, IntakeSpec, Timing, TurbochargerUnit,
};
use std::f64::consts::PI;

const DEGREE: f64 = PI / 180.0;

pub fn duct(pieces: &[(f64, f64)], wall: f64, heat: f64) -> DuctSpec {
    DuctSpec {
        stations: pieces.iter().map(|(x, d)| Station { x: *x, diameter: *d }).collect(),
        cells: 10,
        wall_temperature: wall,
        roughness: 2e-5,
        heat_factor: heat,
        friction_factor_scale: 1.0,
    }
}

pub fn valves(
    side: Side,
    lift: f64,
    duration: f64,
    centre: f64,
    lash: f64,
    diameter: f64,
    flows: &[(f64, f64)],
) -> ValveGroup {
    let lobe = Lobe {
        peak_lift: lift + lash,
        check_lift: 1e-3,
        duration_at_check_lift: duration * DEGREE,
        ramp_height: 0.35e-3,
        ramp_length: 25.0 * DEGREE,
    };
    let placement = Placement { side, lobe_centre: centre * DEGREE, advance: 0.0 };
    let bench = FlowBench {
        inlet_pressure: 101_325.0,
        inlet_temperature: 288.15,
        depression: 6974.49,
        gas_constant: 287.053,
        gamma: 1.4,
    };
    let readings: Vec<Reading> =
        flows.iter().map(|(l, cfm)| Reading { lift: *l, volume_flow: cfm * 4.719_474e-4 }).collect();
    ValveGroup {
        lift: Lift::from_lobe(&lobe, Follower { rocker_ratio: 1.0, lash }, placement).expect("a sound lobe"),
        flow: FlowCoefficients::from_readings(diameter, 2, &bench, &readings, &ReverseFlow::Factor(0.95))
            .expect("sound readings"),
        count: 2.0,
    }
}

/// Turbocharged four of demo.md; what it leaves out is invented here.
pub fn turbo_four() -> EngineSpec {
    let firing = [0.0, 3.0, 1.0, 2.0].map(|turns: f64| turns * PI);
    let cylinders = (0..4)
        .map(|number| {
            let intake = [
                (0.002, 62.0),
                (0.004, 124.0),
                (0.006, 178.0),
                (0.008, 214.0),
                (0.010, 236.0),
                (0.011, 244.0),
            ];
            let exhaust = [
                (0.002, 50.0),
                (0.004, 100.0),
                (0.006, 142.0),
                (0.008, 168.0),
                (0.010, 182.0),
                (0.011, 187.0),
            ];
            CylinderUnit {
                cylinder: cylinder_of_the_four(),
                firing: firing[number],
                intake: valves(Side::Intake, 10.6e-3, 250.0, 106.0, 0.22e-3, 34.5e-3, &intake),
                exhaust: valves(Side::Exhaust, 10.2e-3, 244.0, 112.0, 0.32e-3, 29.8e-3, &exhaust),
                intake_duct: duct(&[(0.0, 0.046), (0.10, 0.045), (0.26, 0.048)], 340.0, 1.0),
                exhaust_duct: duct(&[(0.0, 0.038), (0.09, 0.041), (0.45, 0.042)], 900.0, 1.0),
                fuel_factor: 1.0,
                injector_distance: 0.09,
            }
        })
        .collect();
    EngineSpec {
        ambient: Ambient { pressure: 101_325.0, temperature: 298.15, air: Air::default() },
        fuel: Fuel::ethanol_blend(0.85).expect("a share"),
        lambda: 0.80,
        cylinders,
        intake: IntakeSpec { plenum: Some(3.5e-3), throttle: Some(3.3e-3), restrictor: None, mouth: 0.97 },
        exhaust: ExhaustSpec {
            collectors: vec![Collector { cylinders: vec![0, 1, 2, 3], volume: 6e-4, duct: None }],
            mouth: 0.9,
            outlet: Some(4.0e-3),
        },
        turbocharger: Some(turbocharger()),
        port_evaporation: 0.5,
        timing: Timing::HalfBurned(12.0 * DEGREE),
        friction: FrictionLaw::ChenFlynn(ChenFlynn::LATER_PETROL),
        cell_length: 0.015,
    }
}

fn cylinder_of_the_four() -> CylinderSpec {
    let mut spec = CylinderSpec::plain(89.1e-3, 83.9e-3, 146.5e-3, 9.2);
    spec.crown_area *= 1.12;
    spec.head_area *= 1.25;
    spec.wall_temperatures = [560.0, 480.0, 430.0];
    spec.burn = Some(Wiebe::from_burn_angles(12.0 * DEGREE, 30.0 * DEGREE, 2.0).expect("a burn"));
    spec.knock = Some(DelayLaw::Ethanol { factor: 1.0 });
    spec.crevice = Some(CreviceSpec { volume: 0.9e-6, temperature: 440.0, late_oxidation: 0.5 });
    spec.rings = Some(RingSpec {
        top_gap: 0.25e-3,
        second_gap: 0.35e-3,
        land_clearance: 0.3e-3,
        volume: 1.0e-6,
        temperature: 430.0,
        crankcase_pressure: 1.0e5,
        discharge: 0.86,
    });
    spec
}

fn turbocharger() -> TurbochargerUnit {
    // Invented: lines of a smooth made-up compressor, corrected to 298 K and 1 bar.
    let lines: Vec<MapSpeedLine> = (0..7)
        .map(|i| {
            let share = 0.4 + 0.1 * f64::from(i);
            let (choke, top) = (0.66 * share.sqrt() * share, 1.0 + 3.3 * share * share);
            let surge = choke * (0.35 + 0.25 * share);
            let points = (0..7)
                .map(|j| {
                    let x = f64::from(j) / 6.0;
                    let flow = surge + (choke - surge) * x;
                    let pressure_ratio = 1.0 + (top - 1.0) * (1.0 - 0.5 * x * x * x);
                    let efficiency =
                        0.77 - 0.24 * (x - 0.45) * (x - 0.45) - 0.15 * (share - 0.8) * (share - 0.8);
                    MapPoint { flow, pressure_ratio, efficiency }
                })
                .collect();
            MapSpeedLine { speed: share * 13_000.0, points }
        })
        .collect();
    TurbochargerUnit {
        count: 1.0,
        compressor: CompressorMap::new(Reference { pressure: 1e5, temperature: 298.0 }, 13_000.0, &lines)
            .expect("a map"),
        turbine: Turbine::new(
            &Swallowing::EffectiveArea(1.35e-3),
            &Efficiency::Parabola { peak: 0.70, best_ratio: 0.67 },
            0.072,
            1,
            1,
        )
        .expect("a turbine"),
        inertia: 6e-5,
        mechanical_efficiency: 0.97,
        boost_target: 2.86e5,
        wastegate_area: 0.9e-3,
        charge_pipe_volume: 4e-3,
        outlet_volume: 2e-3,
        cooler: Some(Cooler { effectiveness: 0.85, coolant: 298.15, loss: 6e4 }),
    }
}
