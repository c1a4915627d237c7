//! Engines for the tests: the two invented demo engines. Sizes from their drawings, the rest from `invented`.

use crate::invented;
use gas_exchange::cylinder::friction::{ChenFlynn, FrictionLaw};
use gas_exchange::cylinder::knock::DelayLaw;
use gas_exchange::cylinder::spread::Spread;
use gas_exchange::cylinder::{CreviceSpec, CylinderSpec, RingSpec, Wiebe};
use gas_exchange::ducts::{DuctSpec, Station};
use gas_exchange::gas::{Air, Fuel};
use gas_exchange::network::ValveGroup;
use gas_exchange::turbocharger::{Efficiency, Swallowing, Turbine};
use gas_exchange::valves::{
    FlowBench, FlowCoefficients, Follower, Lift, Lobe, Placement, Reading, ReverseFlow, Side,
};
use gas_exchange::whole_engine::{
    Ambient, BurnPoint, Collector, Cooler, CylinderUnit, EngineSpec, ExhaustSpec, IntakeSpec, Timing,
    TurbochargerUnit,
};
use std::f64::consts::PI;

const DEGREE: f64 = PI / 180.0;
const RPM: f64 = PI / 30.0;
const INCH: f64 = 0.0254;

pub fn duct(pieces: &[(f64, f64)], wall: f64, heat: f64) -> DuctSpec {
    DuctSpec {
        stations: pieces.iter().map(|(x, d)| Station { x: *x, diameter: *d }).collect(),
        cells: 10,
        wall_temperature: wall,
        roughness: 3e-5,
        heat_factor: heat,
        friction_factor_scale: 1.0,
    }
}

/// Lift of a valve: duration in degrees at a check lift, centre in degrees.
struct Cam {
    side: Side,
    lift: f64,
    check_lift: f64,
    duration: f64,
    centre: f64,
    rocker: f64,
    lash: f64,
}

/// Readings at 28 inH₂O: lift in m, flow in ft³/min.
struct Bench<'a> {
    diameter: f64,
    valves: u32,
    reverse: f64,
    readings: &'a [(f64, f64)],
}

fn valves(cam: &Cam, bench: &Bench) -> ValveGroup {
    let lobe = Lobe {
        peak_lift: (cam.lift + cam.lash) / cam.rocker,
        check_lift: cam.check_lift,
        duration_at_check_lift: cam.duration * DEGREE,
        ramp_height: 0.35e-3,
        ramp_length: 30.0 * DEGREE,
    };
    let placement = Placement { side: cam.side, lobe_centre: cam.centre * DEGREE, advance: 0.0 };
    let air = FlowBench {
        inlet_pressure: 101_325.0,
        inlet_temperature: 288.15,
        depression: 6974.49,
        gas_constant: 287.053,
        gamma: 1.4,
    };
    let readings: Vec<Reading> = bench
        .readings
        .iter()
        .map(|(lift, flow)| Reading { lift: *lift, volume_flow: flow * 4.719_474e-4 })
        .collect();
    let follower = Follower { rocker_ratio: cam.rocker, lash: cam.lash };
    ValveGroup {
        lift: Lift::from_lobe(&lobe, follower, placement).expect("a sound lobe"),
        flow: FlowCoefficients::from_readings(
            bench.diameter,
            bench.valves,
            &air,
            &readings,
            &ReverseFlow::Factor(bench.reverse),
        )
        .expect("sound readings"),
        count: f64::from(bench.valves),
    }
}

fn lifts(unit: f64, flows: &[f64], step: f64) -> Vec<(f64, f64)> {
    flows.iter().enumerate().map(|(i, flow)| ((i + 1) as f64 * step * unit, *flow)).collect()
}

/// Turbocharged four.
pub fn turbo_four() -> EngineSpec {
    let intake_flow = lifts(1e-3, &[51.0, 100.0, 144.0, 180.0, 207.0, 224.0, 233.0], 1.5);
    let exhaust_flow = lifts(1e-3, &[43.0, 82.0, 116.0, 143.0, 162.0, 174.0, 181.0], 1.5);
    let intake = valves(
        &Cam {
            side: Side::Intake,
            lift: 10.6e-3,
            check_lift: 1e-3,
            duration: 250.0,
            centre: 106.0,
            rocker: 1.0,
            lash: 0.22e-3,
        },
        &Bench { diameter: 34.5e-3, valves: 2, reverse: 0.9, readings: &intake_flow },
    );
    let exhaust = valves(
        &Cam {
            side: Side::Exhaust,
            lift: 10.2e-3,
            check_lift: 1e-3,
            duration: 244.0,
            centre: 112.0,
            rocker: 1.0,
            lash: 0.32e-3,
        },
        &Bench { diameter: 29.8e-3, valves: 2, reverse: 0.85, readings: &exhaust_flow },
    );
    // 1-3-4-2.
    let firing = [0.0, 3.0, 1.0, 2.0].map(|turns: f64| turns * PI);
    let cylinders = firing
        .into_iter()
        .map(|firing| CylinderUnit {
            cylinder: cylinder_of_the_four(),
            firing,
            intake: intake.clone(),
            exhaust: exhaust.clone(),
            intake_duct: duct(&[(0.0, 0.038), (0.095, 0.044), (0.305, 0.048)], 345.0, 1.0),
            exhaust_duct: duct(&[(0.0, 0.032), (0.07, 0.037), (0.10, 0.038), (0.39, 0.038)], 880.0, 1.0),
            fuel_factor: 1.0,
            injector_distance: 0.09,
        })
        .collect();
    let pair = |cylinders: &[usize]| Collector {
        cylinders: cylinders.to_vec(),
        volume: 8e-5,
        angle: None,
        duct: Some(duct(&[(0.0, 0.045), (0.18, 0.045)], 950.0, 1.0)),
    };
    EngineSpec {
        ambient: Ambient { pressure: 101_325.0, temperature: 298.15, air: Air::default() },
        fuel: Fuel::ethanol_blend(0.85).expect("a share"),
        lambda: 0.80,
        lambda_by_speed: Vec::new(),
        cylinders,
        intake: IntakeSpec {
            plenum: Some(4.2e-3),
            throttle: Some(3.3e-3),
            restrictor: None,
            mouth: 0.95,
            end_correction: 0.6133,
        },
        exhaust: ExhaustSpec {
            collectors: vec![pair(&[0, 3]), pair(&[1, 2])],
            mouth: 0.9,
            end_correction: 0.6133,
            outlet: Some(3.9e-3),
        },
        turbocharger: Some(turbocharger()),
        port_evaporation: 0.25,
        charge_cooling: 0.4,
        timing: Timing::HalfBurned(13.0 * DEGREE),
        burn_by_speed: [(3000.0, 12.0, 22.0), (6200.0, 13.0, 25.0), (8200.0, 14.0, 27.0)]
            .map(|(rpm, half, width)| BurnPoint {
                speed: rpm * RPM,
                half_burned: half * DEGREE,
                ten_to_ninety: width * DEGREE,
            })
            .to_vec(),
        burn_estimate: None,
        spread: Spread::default(),
        friction: FrictionLaw::ChenFlynn(ChenFlynn::LATER_PETROL),
        cell_length: 0.015,
    }
}

fn cylinder_of_the_four() -> CylinderSpec {
    let mut spec = CylinderSpec::plain(89.1e-3, 83.9e-3, 146.5e-3, 9.2);
    spec.crown_area *= 1.12;
    spec.head_area *= 1.25;
    spec.wall_temperatures = [560.0, 480.0, 430.0];
    spec.burn = Some(Wiebe::from_burn_angles(13.0 * DEGREE, 25.0 * DEGREE, 2.0).expect("a burn"));
    spec.knock = Some(DelayLaw::Ethanol { factor: 1.0 });
    spec.crevice = Some(CreviceSpec { volume: 0.9e-6, temperature: 440.0, late_oxidation: 0.5 });
    spec.rings = Some(rings());
    spec
}

fn rings() -> RingSpec {
    RingSpec {
        top_gap: 0.25e-3,
        second_gap: 0.35e-3,
        land_clearance: 0.3e-3,
        volume: 1.0e-6,
        temperature: 430.0,
        crankcase_pressure: 1.0e5,
        discharge: 0.86,
    }
}

fn turbocharger() -> TurbochargerUnit {
    TurbochargerUnit {
        count: 1.0,
        compressor: invented::map(),
        turbine: Turbine::new(
            &Swallowing::EffectiveArea(8.0e-4),
            &Efficiency::Parabola { peak: 0.70, best_ratio: 0.68 },
            0.068,
            2,
            1,
        )
        .expect("a turbine"),
        inertia: 6e-5,
        mechanical_efficiency: 0.97,
        boost_target: 2.86e5,
        // The torque that the rods are made for: less boost where the engine breathes best.
        boost_by_speed: [(3000.0, 1.7e5), (4500.0, 2.15e5), (6200.0, 2.2e5), (8200.0, 2.86e5)]
            .map(|(rpm, boost)| (rpm * RPM, boost))
            .to_vec(),
        wastegate_area: 9e-4,
        charge_pipe_volume: 8e-3,
        outlet_volume: 3e-3,
        // 7.0 kPa at 0.435 kg/s and 2.31 kg/m³.
        cooler: Some(Cooler { effectiveness: 0.86, coolant: 298.15, loss: 7.0e3 * 2.31 / (0.435 * 0.435) }),
    }
}

/// Pushrod V8 in inches, naturally aspirated. Bank a 1 to 4, bank b 5 to 8, firing 1-3-6-2-7-8-4-5.
pub fn pushrod_v8() -> EngineSpec {
    let intake_flow = lifts(INCH, &[66.0, 131.0, 191.0, 240.0, 274.0, 295.0, 305.0], 0.1);
    let exhaust_flow = lifts(INCH, &[54.0, 102.0, 142.0, 172.0, 193.0, 206.0, 213.0], 0.1);
    // Duration and lift are the cam's, at the lifter; rocker 1.60.
    let lift = 0.412 * 1.6 * INCH;
    let intake = valves(
        &Cam {
            side: Side::Intake,
            lift: lift - 0.018 * INCH,
            check_lift: 0.05 * INCH,
            duration: 256.0,
            centre: 104.0,
            rocker: 1.6,
            lash: 0.018 * INCH,
        },
        &Bench { diameter: 2.08 * INCH, valves: 1, reverse: 0.9, readings: &intake_flow },
    );
    let exhaust = valves(
        &Cam {
            side: Side::Exhaust,
            lift: lift - 0.020 * INCH,
            check_lift: 0.05 * INCH,
            duration: 262.0,
            centre: 112.0,
            rocker: 1.6,
            lash: 0.020 * INCH,
        },
        &Bench { diameter: 1.6 * INCH, valves: 1, reverse: 0.85, readings: &exhaust_flow },
    );
    let order = [1, 3, 6, 2, 7, 8, 4, 5];
    let cylinders = (1..=8)
        .map(|number| {
            let place = order.iter().position(|c| *c == number).expect("in the order");
            let mut cylinder = CylinderSpec::plain(4.108 * INCH, 3.415 * INCH, 6.155 * INCH, 12.2);
            cylinder.crown_area *= 1.05;
            cylinder.head_area *= 1.2;
            cylinder.wall_temperatures = [520.0, 450.0, 420.0];
            cylinder.burn = Some(Wiebe::from_burn_angles(8.0 * DEGREE, 30.0 * DEGREE, 2.0).expect("a burn"));
            cylinder.knock = Some(DelayLaw::DouaudEyzat { octane: 98.0, factor: 1.0 });
            cylinder.crevice = Some(CreviceSpec { volume: 0.9e-6, temperature: 430.0, late_oxidation: 0.5 });
            cylinder.rings = Some(rings());
            CylinderUnit {
                cylinder,
                firing: place as f64 * 0.5 * PI,
                intake: intake.clone(),
                exhaust: exhaust.clone(),
                intake_duct: duct(&[(0.0, 0.046), (0.15, 0.052), (0.34, 0.056)], 335.0, 1.0),
                exhaust_duct: duct(
                    &[(0.0, 0.038), (0.085, 0.042), (0.12, 0.0476), (0.885, 0.0476)],
                    770.0,
                    1.0,
                ),
                fuel_factor: 1.0,
                injector_distance: 0.15,
            }
        })
        .collect();
    let bank = |cylinders: [usize; 4]| Collector {
        cylinders: cylinders.to_vec(),
        volume: 5e-4,
        angle: None,
        duct: Some(duct(&[(0.0, 0.089), (1.65, 0.089)], 700.0, 1.0)),
    };
    EngineSpec {
        ambient: Ambient { pressure: 101_325.0, temperature: 298.15, air: Air::default() },
        fuel: Fuel::petrol(),
        lambda: 0.88,
        lambda_by_speed: Vec::new(),
        cylinders,
        // Four bores of 48 mm.
        intake: IntakeSpec {
            plenum: Some(5.5e-3),
            throttle: Some(4.0 * 0.25 * PI * 0.048 * 0.048),
            restrictor: None,
            mouth: 0.95,
            end_correction: 0.6133,
        },
        exhaust: ExhaustSpec {
            collectors: vec![bank([0, 1, 2, 3]), bank([4, 5, 6, 7])],
            mouth: 0.9,
            end_correction: 0.6133,
            outlet: None,
        },
        turbocharger: None,
        port_evaporation: 0.25,
        charge_cooling: 0.4,
        timing: Timing::HalfBurned(8.0 * DEGREE),
        burn_by_speed: [(3000.0, 8.0, 26.0), (6000.0, 8.0, 30.0), (7600.0, 8.0, 32.0)]
            .map(|(rpm, half, width)| BurnPoint {
                speed: rpm * RPM,
                half_burned: half * DEGREE,
                ten_to_ninety: width * DEGREE,
            })
            .to_vec(),
        burn_estimate: None,
        spread: Spread::default(),
        friction: FrictionLaw::ChenFlynn(ChenFlynn::LATER_PETROL),
        cell_length: 0.015,
    }
}
