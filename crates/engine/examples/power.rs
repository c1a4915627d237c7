//! Computes the power of an engine document and prints it: `cargo run -r -p engine --example power -- FILE.toml [READINGS.csv]`.

#![allow(clippy::print_stdout, reason = "it is a program that prints")]

use engine::document::{parse_document, parse_with_readings};
use engine::power::{self, Request};
use engine::quantity::UnitSystem;
use engine::{Engine, assess};
use std::f64::consts::PI;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let path = arguments.next().ok_or("a document is expected")?;
    let text = std::fs::read_to_string(&path)?;
    let parsed = match arguments.next() {
        Some(csv) => parse_with_readings(&text, &path, &std::fs::read_to_string(&csv)?, &csv),
        None => parse_document(&text, &path),
    };
    let document = parsed.document.ok_or("the document has mistakes")?;
    let engine = Engine::new(document, Vec::new(), Vec::new());
    let assessment = assess(&engine);
    let specification = power::specify(&engine, &assessment);
    println!(
        "{} inputs, missing {:?}, problems {:?}",
        specification.inputs.len(),
        specification.missing,
        specification.problems
    );
    println!("left out: {:?}", specification.left_out);
    println!("doubts: {:?}", specification.doubts);
    let mut request = Request::full_throttle(&engine.document).ok_or("no speed of the duty")?;
    request.traces = false;
    let begun = std::time::Instant::now();
    let run = power::run(&specification, &request, &|_| true)?;
    println!("{:.2} s", begun.elapsed().as_secs_f64());
    println!(
        "  rpm   N·m    kW  bmep  pmep  fmep   VE   VEp  boost   T2 Texh pexh  g/kWh  peak strong knock duty pump cyc drift wg  N_t surge choke | flags"
    );
    for p in &run.points {
        let c = |of: fn(&power::CylinderPoint) -> f64| p.cylinders.iter().map(of).fold(f64::MIN, f64::max);
        print!(
            "{:5.0} {:5.0} {:5.0} {:5.1} {:5.2} {:5.2} {:4.2} {:4.2} {:5.2} {:4.0} {:4.0} {:4.2} {:6.0} {:5.0} {:5.0} {:5.2} {:4.2} {:4.2} {:3} {:.0e}",
            p.speed * 30.0 / PI,
            p.torque,
            p.power / 1e3,
            p.bmep / 1e5,
            p.pmep / 1e5,
            p.fmep / 1e5,
            p.volumetric_efficiency,
            p.plenum_volumetric_efficiency,
            p.plenum_pressure / 1e5,
            p.plenum_temperature,
            p.exhaust_temperature,
            p.exhaust_pressure / 1e5,
            p.specific_consumption * 3.6e9,
            c(|c| c.peak_pressure) / 1e5,
            c(|c| c.strong_peak_pressure.unwrap_or(0.0)) / 1e5,
            c(|c| c.knock_integral),
            p.injector_duty.unwrap_or(0.0),
            p.pump_share.unwrap_or(0.0),
            p.closure.cycles,
            p.closure.drift,
        );
        if let Some(r) = &p.rotor {
            print!(
                " out {:.2} bar {:.0} K, cooled {:.2} bar {:.0} K, turbine {:.2} bar {:.0} K",
                r.outlet_pressure.unwrap_or(0.0) / 1e5,
                r.outlet_temperature.unwrap_or(0.0),
                r.cooler_pressure.unwrap_or(0.0) / 1e5,
                r.cooler_temperature.unwrap_or(0.0),
                r.turbine_pressure / 1e5,
                r.turbine_temperature.unwrap_or(0.0)
            );
            print!(" {:.2} {:5.0} {:5.2} {:5.2}", r.wastegate_share, r.speed, r.surge_margin, r.choke_margin);
        }
        println!(" Z {:.2} | {:?}", p.inlet_mach.unwrap_or(0.0), p.flags);
    }
    for f in &run.failures {
        println!("failed {:.0}: {}", f.speed * 30.0 / PI, f.why);
    }
    for finding in power::findings(&engine, &assessment, &run) {
        println!(
            "{:10} {} {}: {}",
            finding.verdict.word(),
            finding.id,
            finding.question,
            finding.why.print(UnitSystem::Metric)
        );
    }
    let Some(speed) = engine.document.duty.power_speed else { return Ok(()) };
    println!("what each choice is worth at {:.0} rev/min", speed.0 * 60.0);
    for effect in power::sensitivity(&specification, speed.0 * 2.0 * PI, &|_| true)? {
        println!(
            "{:28} step {:.4}: {:+.2} %, curvature {:+.2} %, knock {:+.3}",
            effect.label,
            effect.step,
            100.0 * effect.torque_change,
            100.0 * effect.curvature,
            effect.knock_change
        );
    }
    Ok(())
}
