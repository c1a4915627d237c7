//! A motored single cylinder with a long intake pipe against an independent method of characteristics
//! (`reference/wave_tuning.py`, data in `reference/data/wave_tuning.csv`): speed of a tuned peak within 2 %, height within 15 %.

use crate::engines::duct;
use gas_exchange::cylinder::CylinderSpec;
use gas_exchange::cylinder::friction::FrictionLaw;
use gas_exchange::cylinder::heat_transfer::HeatLaw;
use gas_exchange::cylinder::spread::Spread;
use gas_exchange::gas::{Air, Fuel};
use gas_exchange::network::ValveGroup;
use gas_exchange::valves::{
    FlowBench, FlowCoefficients, Follower, Lift, Placement, Reading, ReverseFlow, Side,
};
use gas_exchange::whole_engine::{
    Ambient, Collector, CylinderUnit, EngineSpec, ExhaustSpec, IntakeSpec, Settings, Simulation, Timing,
};
use mechanics::math;
use std::collections::BTreeMap;
use std::f64::consts::PI;
use std::path::Path;

const DEGREE: f64 = PI / 180.0;

pub struct Reference {
    pub input: BTreeMap<String, f64>,
    /// Pipe in m (as text), speed in rev/min, efficiency.
    near: Vec<(String, f64, f64)>,
    peaks: Vec<(String, f64, f64)>,
}

pub fn reference() -> Reference {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../reference/data/wave_tuning.csv");
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let mut all = Reference { input: BTreeMap::new(), near: Vec::new(), peaks: Vec::new() };
    for line in text.lines().skip(1) {
        let columns: Vec<&str> = line.split(',').collect();
        let number = |i: usize| columns[i].parse::<f64>().unwrap_or(f64::NAN);
        match columns[0] {
            "input" => drop(all.input.insert(columns[1].to_owned(), number(3))),
            "near_peak" => all.near.push((columns[1].to_owned(), number(2), number(3))),
            "peak" => all.peaks.push((columns[1].to_owned(), number(2), number(3))),
            _ => {}
        }
    }
    all
}

fn valve(input: &BTreeMap<String, f64>, which: &str, side: Side, centre: f64) -> ValveGroup {
    let get = |name: &str| input[&format!("{which}_{name}")];
    let span = get("closes_deg") - get("opens_deg");
    let points: Vec<(f64, f64)> = (0..=480)
        .map(|i| {
            let x = f64::from(i) / 480.0;
            let sine = math::sin(PI * x);
            (x * span * DEGREE, get("lift_max") * sine * sine)
        })
        .collect();
    let placement = Placement { side, lobe_centre: centre * DEGREE, advance: 0.0 };
    let follower = Follower { rocker_ratio: 1.0, lash: 0.0 };
    let lift = Lift::from_table(&points, 1e-4, follower, placement).expect("a sound table");
    let bench = FlowBench {
        inlet_pressure: 101_325.0,
        inlet_temperature: 293.15,
        depression: 7000.0,
        gas_constant: 287.0,
        gamma: 1.4,
    };
    let diameter = get("valve_diameter");
    let readings: Vec<Reading> = (1..=10)
        .map(|i| {
            let lift = get("lift_max") * f64::from(i) / 10.0;
            let area = get("discharge_coefficient") * PI * diameter * lift;
            Reading { lift, volume_flow: area * bench.ideal_velocity() }
        })
        .collect();
    let flow = FlowCoefficients::from_readings(diameter, 1, &bench, &readings, &ReverseFlow::Factor(1.0))
        .expect("sound readings");
    ValveGroup { lift, flow, count: 1.0 }
}

pub fn engine(input: &BTreeMap<String, f64>, pipe: f64) -> EngineSpec {
    let get = |name: &str| input[name];
    let mut cylinder =
        CylinderSpec::plain(get("bore"), get("stroke"), get("rod_length"), get("compression_ratio"));
    cylinder.heat = HeatLaw::Adiabatic;
    let bare = |pieces: &[(f64, f64)]| {
        let mut spec = duct(pieces, 300.0, 0.0);
        spec.friction_factor_scale = 0.0;
        spec
    };
    let centre = 0.5 * (get("intake_opens_deg") + get("intake_closes_deg"));
    let exhaust_centre = 720.0 - 0.5 * (get("exhaust_opens_deg") + get("exhaust_closes_deg"));
    let unit = CylinderUnit {
        cylinder,
        firing: 0.0,
        intake: valve(input, "intake", Side::Intake, centre),
        exhaust: valve(input, "exhaust", Side::Exhaust, exhaust_centre),
        intake_duct: bare(&[(0.0, get("pipe_diameter")), (pipe, get("pipe_diameter"))]),
        // As good as the open air: the reference has no exhaust pipe.
        exhaust_duct: bare(&[(0.0, 0.15), (0.06, 0.15)]),
        fuel_factor: 0.0,
        injector_distance: 0.0,
    };
    EngineSpec {
        ambient: Ambient {
            pressure: get("ambient_pressure"),
            temperature: get("ambient_temperature"),
            air: Air::default(),
        },
        fuel: Fuel::iso_octane(),
        lambda: 1.0,
        lambda_by_speed: Vec::new(),
        cylinders: vec![unit],
        intake: IntakeSpec {
            plenum: None,
            throttle: None,
            restrictor: None,
            mouth: 1.0,
            end_correction: 0.0,
        },
        exhaust: ExhaustSpec {
            collectors: vec![Collector { cylinders: vec![0], volume: 2e-2, angle: None, duct: None }],
            mouth: 1.0,
            end_correction: 0.0,
            outlet: Some(0.01),
        },
        turbocharger: None,
        port_evaporation: 0.0,
        charge_cooling: 0.0,
        timing: Timing::HalfBurned(0.0),
        burn_by_speed: Vec::new(),
        burn_estimate: None,
        spread: Spread::default(),
        friction: FrictionLaw::default(),
        cell_length: 0.015,
    }
}

/// Speed and height of the parabola through the highest point and its neighbours.
fn peak(points: &[(f64, f64)]) -> (f64, f64) {
    let top = (1..points.len() - 1).max_by(|a, b| points[*a].1.total_cmp(&points[*b].1)).expect("points");
    let [(x0, y0), (x1, y1), (x2, y2)] = [points[top - 1], points[top], points[top + 1]];
    let (d1, d2) = ((y1 - y0) / (x1 - x0), (y2 - y1) / (x2 - x1));
    let curve = (d2 - d1) / (x2 - x0);
    let at = 0.5 * (x0 + x1) - 0.5 * d1 / curve;
    (at, y1 + d1 * (at - x1) + curve * (at - x0) * (at - x1))
}

#[test]
fn tuned_peaks_stand_where_characteristics_put_them() {
    let reference = reference();
    assert!(reference.peaks.len() >= 8, "peaks in the reference: {}", reference.peaks.len());
    let settings = Settings { tolerance: 5e-4, most_cycles: 60 };
    for (pipe, speed, height) in &reference.peaks {
        let speeds: Vec<f64> = (-5..=5).map(|i| speed * (1.0 + 0.01 * f64::from(i))).collect();
        let length: f64 = pipe.parse().expect("a length");
        let spec = engine(&reference.input, length);
        let mut simulation = Simulation::new(&spec, speeds[0] * PI / 30.0).expect("an engine");
        let points: Vec<(f64, f64)> = speeds
            .iter()
            .map(|rpm| {
                simulation.set_speed(rpm * PI / 30.0);
                let point = simulation.converge(&settings, |_, _| true).expect("it turns");
                assert!(point.closure.converged, "{pipe} m, {rpm} rev/min: {:?}", point.closure);
                (*rpm, point.volumetric_efficiency)
            })
            .collect();
        let (found, tall) = peak(&points);
        println!(
            "{pipe} m: {found:.0} rev/min against {speed:.0} ({:+.2} %), {tall:.4} against {height:.4} ({:+.2} %)",
            100.0 * (found / speed - 1.0),
            100.0 * (tall / height - 1.0)
        );
        assert!((found / speed - 1.0).abs() < 0.02, "{pipe} m: {found} against {speed}");
        assert!((tall / height - 1.0).abs() < 0.15, "{pipe} m: {tall} against {height}");
    }
}
