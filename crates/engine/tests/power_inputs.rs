//! What goes into a power run and what it says about air, leak, mixture and the way through the turbocharger.

mod power_engine;

use engine::document::parse_with_readings;
use engine::findings::Verdict;
use engine::power::{self, Choice, Flag, InputOrigin, PowerRun, Request, Specification};
use engine::quantity::UnitSystem;
use engine::{Assessment, Engine, assess};
use mechanics::math::{exp, ln, powf};
use power_engine::{FOUR, FOUR_READINGS, V8, V8_READINGS, engine_of};
use std::f64::consts::PI;

/// The text with one thing in it changed; it must be there.
fn changed(text: &str, from: &str, to: &str) -> String {
    assert!(text.contains(from), "{from} is not in the document");
    text.replacen(from, to, 1)
}

/// The readings without the lines of a kind.
fn without(readings: &str, word: &str) -> String {
    readings.lines().filter(|l| !l.contains(word)).fold(String::new(), |all, line| all + line + "\n")
}

fn request(speeds: &[f64]) -> Request {
    Request {
        speeds: speeds.iter().map(|s| s * PI / 30.0).collect(),
        throttle: None,
        timing: power::TimingMode::AsStated,
        correction: power::CorrectionMode::AsRun,
        traces: false,
        ducts_at: None,
    }
}

fn run(specification: &Specification, speeds: &[f64]) -> PowerRun {
    assert!(specification.is_complete(), "{:?} {:?}", specification.missing, specification.problems);
    power::run(specification, &request(speeds), &|_| true).expect("it runs")
}

#[test]
fn lash_that_nobody_read_is_that_of_its_limit_with_the_limits_range() {
    let (_, _, specification) = engine_of(V8, &without(V8_READINGS, ".lash,"));
    let lash = specification.input("limits.lash_intake").expect("its limit stands in");
    assert_eq!(lash.origin, InputOrigin::Document);
    assert!(lash.expanded > 0.0, "the range of the limit is its uncertainty");
    assert!(specification.is_complete(), "{:?}", specification.missing);
}

#[test]
fn what_is_missing_for_each_cylinder_is_said_once() {
    let parsed = parse_with_readings(V8, "engine.toml", &without(V8_READINGS, ".lash,"), "readings.csv");
    let Some(mut document) = parsed.document else { panic!("{:?}", parsed.diagnostics) };
    document.limits.lash_intake = None;
    document.limits.lash_exhaust = None;
    let engine = Engine::new(document, Vec::new(), Vec::new());
    let specification = power::specify(&engine, &assess(&engine));
    let words: Vec<String> = specification.missing.iter().map(power::Missing::words).collect();
    assert_eq!(words, ["intake lash, cylinders 1 to 8", "exhaust lash, cylinders 1 to 8"]);
    assert!(specification.missing[0].path.contains("intake.1"), "{}", specification.missing[0].path);
}

#[test]
fn a_ring_that_butts_is_no_good_seal() {
    let readings = changed(V8_READINGS, "ring.1.top.gap,0.0180 in", "ring.1.top.gap,0.0060 in");
    let text =
        changed(V8, "[duty]", "[duty]\ntop_ring_temperature = \"240 °C\"\nbore_temperature = \"140 °C\"");
    let text = if V8.contains("top_ring_temperature") { V8.to_owned() } else { text };
    let (engine, assessment, specification) = engine_of(&text, &readings);
    let made = run(&specification, &[6000.0]);
    assert_eq!(made.points[0].cylinders[0].blow_by, None, "no figure, not the best one");
    assert!(made.points[0].cylinders[1].blow_by.is_some_and(|b| b > 0.0));
    let findings = power::findings(&engine, &assessment, &made);
    let butts = findings.iter().find(|f| f.id == "power_input/ring.1.top.gap").expect("it is said");
    assert_eq!(butts.verdict, Verdict::Bad);
    assert!(butts.actions.iter().any(|a| a.caution.is_some()));
    // One cause, one action: the finding of the gap asks for the work, and the build is stopped once.
    let gap = assessment.finding("top_ring_gap/1.top").expect("it was read");
    assert_eq!(butts.follows.as_deref(), Some(gap.id.as_str()));
    assert_eq!(butts.actions[0].text, gap.actions[0].text);
}

#[test]
fn only_a_boosted_engine_is_told_to_lower_its_boost() {
    for (text, readings, boosted) in [(V8, V8_READINGS, false), (FOUR, FOUR_READINGS, true)] {
        let (engine, assessment, specification) = engine_of(text, readings);
        let mut made = run(&specification, &[6000.0]);
        made.points[0].flags.extend([Flag::Knock, Flag::ExhaustTemperature]);
        let findings = power::findings(&engine, &assessment, &made);
        for id in ["power_limit/knock", "power_limit/exhaust_temperature"] {
            let found = findings.iter().find(|f| f.id == id).expect("it is flagged");
            let said = found.actions[0].text.print(engine.units());
            assert_eq!(said.contains("boost"), boosted, "{said}");
            let hot = found.why.print(engine.units());
            assert!(id.contains("knock") || hot.contains(if boosted { "°C" } else { "°F" }), "{hot}");
        }
    }
}

#[test]
fn a_port_that_cannot_flow_so_is_questioned() {
    let (_, _, as_read) = engine_of(V8, V8_READINGS);
    assert_eq!(as_read.doubts, [], "the demo's ports are ports");
    let (_, _, halved) = engine_of(
        &changed(V8, "[flow_bench.intake]\nvalves_open = 1", "[flow_bench.intake]\nvalves_open = 2"),
        V8_READINGS,
    );
    assert!(halved.doubts.iter().any(|d| d.label.contains("intake port")), "{:?}", halved.doubts);
    assert!(halved.doubts.iter().all(|d| d.label.contains("intake port")));
    // The range is a judgement and says so; an engine in inches reads its lift in inches.
    let why = &halved.doubts[0].why;
    assert!(why.contains("(judgement") && why.contains(" in of lift") && !why.contains(" mm"), "{why}");
}

/// Factors of the printed table (docs of the checks, 3.7): dry air of 950 mbar at 30 °C, 1.05996 by the 1.18 form of SAE J1349 and
/// 1.06128 by ISO 1585 in SI form; computed here again from the formulas.
#[test]
fn a_curve_of_the_v8_is_corrected_as_the_standards_say() {
    let text = changed(V8, "ambient_pressure = \"14.5 psi\"", "ambient_pressure = \"950 mbar\"");
    let text = changed(&text, "ambient_temperature = \"77 °F\"", "ambient_temperature = \"30 °C\"");
    let text = changed(&text, "humidity = \"50 %\"", "humidity = \"0 %\"");
    let (_, _, specification) = engine_of(&text, V8_READINGS);
    let sae = 1.18 * (990.0 / 950.0) * (303.0_f64 / 298.0).sqrt() - 0.18;
    let iso = exp(1.2 * ln(990.0 / 950.0) + 0.6 * ln(303.0 / 298.0));
    let modes =
        [(power::CorrectionMode::SaeJ1349, sae, 1.05996), (power::CorrectionMode::Iso1585, iso, 1.06128)];
    for (mode, factor, printed) in modes {
        assert!((factor - printed).abs() < 1e-4, "{factor} {printed}");
        let asked = Request { correction: mode, ..request(&[5000.0, 5500.0]) };
        let made = power::run(&specification, &asked, &|_| true).expect("it runs");
        for point in &made.points {
            let found = [point.corrected_power / point.power, point.corrected_torque / point.torque];
            assert!(found.iter().all(|f| (f - factor).abs() < 1e-4), "{found:?} instead of {factor}");
        }
    }
    // As run it is not corrected.
    let plain = run(&specification, &[5000.0]);
    assert!((plain.points[0].corrected_power / plain.points[0].power - 1.0).abs() < 1e-12);
}

#[test]
fn completeness_and_spread_have_their_places() {
    let with = |keys: &str| {
        let (_, _, specification) =
            engine_of(&changed(V8, "[burn]", &format!("[burn]\n{keys}")), V8_READINGS);
        run(&specification, &[6000.0]).points.remove(0)
    };
    let all = with("completeness = \"1\"");
    let some = with("completeness = \"0.95\"");
    let lost = 1.0 - some.torque / all.torque;
    // 5 % of the fuel, a little more of the torque since friction stays.
    assert!((0.03..0.075).contains(&lost), "{lost}");
    let strong = |p: &power::PowerPoint| p.cylinders[0].strong_peak_pressure.expect("it burns");
    let even = with("half_burned_spread = \"0 deg\"\nduration_spread = \"0\"");
    assert!(
        (strong(&even) / even.cylinders[0].peak_pressure - 1.0).abs() < 0.02,
        "no spread: the mean cycle"
    );
    let wild = with("half_burned_spread = \"4 deg\"\nduration_spread = \"0.12\"");
    assert!(strong(&wild) > 1.1 * strong(&even), "{} {}", strong(&wild), strong(&even));
    assert!((wild.torque / even.torque - 1.0).abs() < 1e-6, "torque comes from the mean");
    let (_, _, usual) = engine_of(V8, V8_READINGS);
    let origin = |path: &str| usual.input(path).unwrap_or_else(|| panic!("no {path}")).origin;
    for path in ["burn.completeness", "burn.half_burned_spread", "burn.duration_spread"] {
        assert_eq!(origin(path), InputOrigin::CommonPractice, "{path}");
    }
}

#[test]
fn the_mixture_may_go_with_the_speed() {
    let keys =
        "[fuel]\nlambda_speed = [\"4000 rev/min\", \"6000 rev/min\"]\nlambda_at_speed = [\"0.95\", \"0.85\"]";
    let (_, _, specification) = engine_of(&changed(V8, "[fuel]", keys), V8_READINGS);
    let made = run(&specification, &[4000.0, 5000.0, 6000.0]);
    let mean = |p: &power::PowerPoint| {
        p.cylinders.iter().map(|c| c.trapped_lambda).sum::<f64>() / p.cylinders.len() as f64
    };
    for (point, stated) in made.points.iter().zip([0.95, 0.90, 0.85]) {
        let supplied = point.air_flow / point.fuel_flow;
        let found = mean(point);
        assert!((found / stated - 1.0).abs() < 0.03, "{found} against {stated}, {supplied} kg/kg");
    }
    let one = "[fuel]\nlambda_speed = [\"4000 rev/min\"]\nlambda_at_speed = [\"0.95\", \"0.85\"]";
    let parsed = parse_with_readings(&changed(V8, "[fuel]", one), "engine.toml", V8_READINGS, "readings.csv");
    assert!(parsed.diagnostics.iter().any(|d| d.message.contains("2 ratios stand against 1 speeds")));
}

/// T₂ = T₁ (1 + (Π^(2/7) − 1)/η) with the efficiency of a compressor, T behind the cooler by its effectiveness.
#[test]
fn air_and_gas_have_their_states_along_the_turbocharger() {
    let (engine, _, specification) = engine_of(FOUR, FOUR_READINGS);
    let point = run(&specification, &[7200.0]).points.remove(0);
    let rotor = point.rotor.expect("it has one");
    let (p2, t2) = (rotor.outlet_pressure.expect("kept"), rotor.outlet_temperature.expect("kept"));
    let ideal = 298.15 * (exp(ln(rotor.pressure_ratio) * 2.0 / 7.0) - 1.0);
    let efficiency = ideal / (t2 - 298.15);
    assert!((0.60..0.80).contains(&efficiency), "{efficiency}");
    assert!((p2 / (rotor.pressure_ratio * 0.985e5) - 1.0).abs() < 0.01);
    let stated = engine.document.turbocharger.as_ref().and_then(|t| t.cooler.clone()).expect("it has one");
    let (share, coolant) = (stated.effectiveness.expect("stated").0, stated.coolant.expect("stated").0);
    let (p3, t3) = (rotor.cooler_pressure.expect("kept"), rotor.cooler_temperature.expect("kept"));
    assert!((t3 - (t2 - share * (t2 - coolant))).abs() < 6.0, "{t2} {t3}");
    assert!(p3 < p2 && p3 > point.plenum_pressure - 1e3, "{p2} {p3} {}", point.plenum_pressure);
    assert!(rotor.turbine_pressure > 1.5e5);
    let hot = rotor.turbine_temperature.expect("kept");
    assert!((hot / point.exhaust_temperature - 1.0).abs() < 0.1, "{hot} {}", point.exhaust_temperature);
}

#[test]
fn a_lean_cylinder_follows_from_the_injector_that_gives_less() {
    let (engine, assessment, specification) = engine_of(FOUR, FOUR_READINGS);
    let made = run(&specification, &[4500.0]);
    let lean = |assessment: &Assessment| {
        let all = power::findings(&engine, assessment, &made);
        all.into_iter().find(|f| f.id == "power_limit/lean_cylinder").expect("cylinder 3 is lean")
    };
    assert_eq!(lean(&assessment).follows.as_deref(), Some("injector_flow/3.2"));
    // One that gives more is no cause of it.
    let mut rich = assessment;
    let injector = rich.findings.iter_mut().find(|f| f.id == "injector_flow/3.2").expect("it is read");
    injector.value.as_mut().expect("it is known").value *= -1.0;
    assert_eq!(lean(&rich).follows, None);
}

#[test]
fn small_valves_and_a_restrictor_are_named_as_limits() {
    let (_, _, specification) = engine_of(V8, V8_READINGS);
    let made = run(&specification, &[4000.0, 7600.0]);
    let index = |p: &power::PowerPoint| p.inlet_mach.expect("kept");
    let (slow, fast) = (index(&made.points[0]), index(&made.points[1]));
    // The speed of sound moves a little with the air in the plenum.
    assert!((fast / slow / (7600.0 / 4000.0) - 1.0).abs() < 0.02, "{slow} {fast}");
    assert!(!made.points[0].flags.contains(&Flag::InletMach), "{slow}");
    let smaller = changed(V8, "intake_flow = \"1\"", "intake_flow = \"0.6\"");
    let (engine, assessment, choked) = engine_of(&smaller, V8_READINGS);
    let tight = run(&choked, &[7600.0]);
    assert!((index(&tight.points[0]) * 0.6 / fast - 1.0).abs() < 0.02, "{} {fast}", index(&tight.points[0]));
    assert!(tight.points[0].flags.contains(&Flag::InletMach));
    let findings = power::findings(&engine, &assessment, &tight);
    let gas_speed = findings.iter().find(|f| f.id == "power_limit/inlet_mach").expect("it is flagged");
    assert_eq!(gas_speed.title(), "intake valves, gas speed");
    // 34 mm, 0.97: 0.0241 kg/s through each cm² at 1 bar (check 2.4), some 0.21 kg/s.
    let restricted = changed(V8, "[intake]", "[intake]\nrestrictor = \"34 mm\"");
    let (_, _, specification) = engine_of(&restricted, V8_READINGS);
    let held = run(&specification, &[7600.0]);
    let point = &held.points[0];
    assert!(point.flags.contains(&Flag::ChokedThroat), "{:?} {:?}", point.throat_share, point.flags);
    assert!(point.throat_share.is_some_and(|s| s < 1.01));
    assert!(point.air_flow < 0.215, "{}", point.air_flow);
    // A throttle for each runner is judged by the pulses of its cylinder.
    let plenum = V8.lines().find(|l| l.starts_with("plenum = ")).expect("it has one");
    let throttle = V8.lines().find(|l| l.starts_with("throttle = ")).expect("it has one");
    for (size, chokes) in [("18 mm", true), ("60 mm", false)] {
        let single = changed(&changed(V8, plenum, ""), throttle, &format!("throttle = \"{size}\""));
        let (engine, assessment, specification) = engine_of(&single, V8_READINGS);
        let made = run(&specification, &[7600.0]);
        let point = &made.points[0];
        assert_eq!(point.flags.contains(&Flag::ChokedThroat), chokes, "{size}: {:?}", point.choked_air);
        let findings = power::findings(&engine, &assessment, &made);
        let found = findings.iter().find(|f| f.id == "power_limit/choked_throat");
        assert_eq!(found.is_some_and(|f| f.working.inputs.len() == 1), chokes);
    }
}

#[test]
fn the_second_ring_has_a_temperature_of_its_own() {
    let gaps = |document: &str| {
        let (_, _, specification) = engine_of(document, V8_READINGS);
        let rings = specification.engine().expect("complete").cylinders[0].cylinder.rings.expect("read");
        (rings.top_gap, rings.second_gap)
    };
    let stated = |second: &str| {
        changed(
            V8,
            "top_ring_temperature = \"410 °F\"",
            &format!("top_ring_temperature = \"410 °F\"\n{second}"),
        )
    };
    let (top, as_top) = gaps(&stated("second_ring_temperature = \"410 °F\""));
    let (same, usual) = gaps(V8);
    let (_, cooler) = gaps(&stated("second_ring_temperature = \"310 °F\""));
    assert!((top - same).abs() < 1e-12);
    assert!(as_top < usual && as_top < cooler, "{as_top} {usual} {cooler}");
    // π B α ΔT: 4.03 in, 11.0 to 12.5 µm/(m K), 100 °F.
    let opened = cooler - as_top;
    assert!((1.8e-4..2.3e-4).contains(&opened), "{opened}");
}

#[test]
fn flow_lift_duration_and_throttle_are_choices() {
    let (_, _, specification) = engine_of(V8, V8_READINGS);
    let effects = power::sensitivity(&specification, 7200.0 * PI / 30.0, &|_| true).expect("it runs");
    let of = |choice| effects.iter().find(|e| e.choice == choice).unwrap_or_else(|| panic!("no {choice:?}"));
    assert!(of(Choice::IntakeFlow).torque_change > 0.0, "ports that flow more fill it better");
    for choice in [
        Choice::ExhaustFlow,
        Choice::IntakeLift,
        Choice::ExhaustLift,
        Choice::IntakeDuration,
        Choice::ExhaustDuration,
        Choice::Throttle,
    ] {
        let effect = of(choice);
        assert!(effect.torque_change.abs() < 0.05 && effect.torque_change != 0.0, "{effect:?}");
    }
}

#[test]
fn a_speed_that_was_not_computed_is_said_to_be_drawn() {
    let (engine, assessment, specification) = engine_of(V8, V8_READINGS);
    let torque = |speeds: &[f64]| {
        let made = run(&specification, speeds);
        let found = power::findings(&engine, &assessment, &made);
        found
            .into_iter()
            .find(|f| f.id == "torque_target/1")
            .expect("the duty states it")
            .why
            .print(UnitSystem::Metric)
    };
    assert!(torque(&[5800.0, 6200.0]).contains("drawn straight between 5800 and 6200 rev/min"));
    assert!(!torque(&[5800.0, 6000.0, 6200.0]).contains("drawn"));
    let asked = |from: f64, to: f64| {
        let speeds = [from, to].map(|rpm| rpm * PI / 30.0).to_vec();
        let usual = power::Request::full_throttle(&engine.document).expect("a limiter is stated");
        power::Request { speeds, ..usual }.through_duty(&engine.document).speeds.len()
    };
    // Duty: 6,000 and 7,600 rev/min.
    assert_eq!(
        [asked(3000.0, 7000.0), asked(3000.0, 8000.0), asked(6000.0, 7000.0), asked(3000.0, 4000.0)],
        [3, 4, 2, 2]
    );
}

#[test]
fn the_ducts_of_every_cylinder_are_kept_at_one_speed_and_change_no_figure() {
    let (_, _, specification) = engine_of(FOUR, FOUR_READINGS);
    let without = Request { traces: true, ..request(&[5000.0, 6000.0, 7000.0]) };
    let with = Request { ducts_at: Some(6200.0 * PI / 30.0), ..without.clone() };
    let made = |asked: &Request| power::run(&specification, asked, &|_| true).expect("it runs");
    let (plain, whole) = (made(&without), made(&with));
    let others: Vec<usize> =
        whole.points.iter().map(|p| p.trace.as_ref().map_or(0, |t| t.others.len())).collect();
    assert_eq!(others, [0, 3, 0], "the nearest speed");
    for (a, b) in plain.points.iter().zip(&whole.points) {
        assert_eq!(a.torque.to_bits(), b.torque.to_bits());
    }
    let trace = whole.points[1].trace.as_ref().expect("kept");
    for other in &trace.others {
        assert_eq!(other.intake_duct.len(), other.angle.len());
        assert!(other.intake_duct.iter().all(|row| row.len() == other.intake_cells.len()));
        // The mean over the cycle is that of cylinder 1: the same ducts on the same plenum.
        let mean = |all: &[Vec<f64>]| {
            all.iter().flatten().sum::<f64>() / all.iter().map(Vec::len).sum::<usize>() as f64
        };
        assert!((mean(&other.intake_duct) / mean(&trace.intake_duct) - 1.0).abs() < 0.02);
    }
}

/// The lobe was ground for the lash that the limit aims at: a valve that is set looser lifts less by the difference, and opens later.
#[test]
fn a_looser_valve_lifts_less_and_later() {
    let set = |text: &str| {
        let readings: String = FOUR_READINGS
            .lines()
            .map(|line| match line.strip_prefix("head.intake.1") {
                Some(rest) if rest.contains(".lash,") => {
                    let valve = &rest[..1];
                    let after = rest.split_once(" mm,").expect("a length").1;
                    format!("head.intake.1{valve}.lash,{text} mm,{after}\n")
                }
                _ => format!("{line}\n"),
            })
            .collect();
        let (_, _, specification) = engine_of(FOUR, &readings);
        let engine = specification.engine().expect("complete");
        let lift = engine.cylinders[0].intake.lift.clone();
        (lift.peak(), lift.events())
    };
    let ((tight, early), (loose, late)) = (set("0.22"), set("0.42"));
    // No rocker: what the lash takes, the valve lacks. At the aim of 0.22 mm it lifts as the cam sheet says.
    assert!((tight - 10.6e-3).abs() < 1e-6, "{tight}");
    assert!((tight - loose - 0.2e-3).abs() < 1e-6, "{tight} {loose}");
    assert!(late.opens > early.opens && late.closes < early.closes, "{early:?} {late:?}");
}

/// An octane number of the data sheet takes the place of the compilation's, and the fuel that stands more knocks later.
#[test]
fn a_stated_octane_number_stands_among_the_inputs_and_counts() {
    let usual =
        changed(V8, "research_octane_number = \"102\"   # both invented, as a data sheet states them\n", "");
    let (_, _, without) = engine_of(&usual, V8_READINGS);
    let (_, _, with) = engine_of(V8, V8_READINGS);
    let octane = |s: &Specification| s.input("fuel.research_octane_number").map(|i| (i.value, i.origin));
    assert_eq!(octane(&with), Some((102.0, InputOrigin::Document)));
    assert_eq!(octane(&without), Some((95.0, InputOrigin::CommonPractice)));
    let words = "knock at 102 octane: the ignition delay was found on fuels of 80 to 100";
    assert!(with.left_out.iter().any(|l| l.starts_with(words)), "{:?}", with.left_out);
    let knock = |s: &Specification| {
        let made = run(s, &[6000.0]);
        made.points[0].cylinders.iter().map(|c| c.knock_integral).fold(0.0, f64::max)
    };
    // Douaud and Eyzat: the delay goes with the octane number to the power of 3.402.
    let ratio = knock(&without) / knock(&with);
    assert!((ratio / powf(102.0 / 95.0, 3.402) - 1.0).abs() < 5e-3, "{ratio}");
    let parsed = parse_with_readings(
        &changed(V8, "research_octane_number = \"102\"", "research_octane_number = \"1.02\""),
        "engine.toml",
        V8_READINGS,
        "readings.csv",
    );
    let said = parsed.diagnostics.iter().any(|d| format!("{d:?}").contains("an octane number of 40 to 125"));
    assert!(said, "{:?}", parsed.diagnostics);
}

/// What the share of an injector leaves out stands beside it, and what blow-by was computed with stands among the inputs.
#[test]
fn what_stood_in_silently_is_said() {
    let (_, _, four) = engine_of(FOUR, FOUR_READINGS);
    assert!(four.left_out.iter().any(|l| l.starts_with("dead time of the injectors")), "{:?}", four.left_out);
    let usual = |label: &str| four.inputs.iter().find(|i| i.label == label).map(|i| (i.value, i.origin));
    assert_eq!(usual("pressure in the crankcase, absolute"), Some((1e5, InputOrigin::CommonPractice)));
    assert_eq!(usual("discharge coefficient of the ring gaps"), Some((0.86, InputOrigin::CommonPractice)));
}

/// What the duty states of the charge and no figure rests on is named, with the key that counts; what is used is not.
#[test]
fn a_stated_charge_that_is_not_used_is_named_with_the_key_that_counts() {
    let named = |s: &Specification, key: &str| s.left_out.iter().find(|l| l.starts_with(key)).cloned();
    let (temperature, pressure) =
        ("Duty, intake temperature (stated and not used)", "Duty, intake pressure (stated and not used)");
    let computed = |s: &Specification| format!("{:?}", s.engine().expect("complete"));
    let cold = changed(V8, "intake_temperature = \"95 °F\"\n", "");
    let cold = changed(&cold, "intake_pressure = \"14.5 psi\"          # absolute\n", "");
    let (_, _, bare) = engine_of(&cold, V8_READINGS);
    assert_eq!((named(&bare, temperature), named(&bare, pressure)), (None, None));
    let hot = changed(V8, "intake_temperature = \"95 °F\"", "intake_temperature = \"200 °F\"");
    let hot = changed(&hot, "intake_pressure = \"14.5 psi\"", "intake_pressure = \"30 psi\"");
    let (_, _, hot) = engine_of(&hot, V8_READINGS);
    assert_eq!(computed(&hot), computed(&bare), "named as not used, and is not");
    assert!(named(&hot, temperature).is_some_and(|l| l.ends_with("(Duty, ambient temperature)")));
    let words = named(&hot, pressure).expect("it is named");
    assert!(words.contains("without boost") && words.ends_with("(Duty, ambient pressure)"), "{words}");
    // What is said to count does.
    let ambient = changed(&cold, "ambient_temperature = \"77 °F\"", "ambient_temperature = \"95 °F\"");
    assert_ne!(computed(&engine_of(&ambient, V8_READINGS).2), computed(&bare));

    let (_, _, four) = engine_of(FOUR, FOUR_READINGS);
    assert_eq!(named(&four, temperature), None, "the cooler's loss is stated at it");
    let warm = changed(FOUR, "intake_temperature = \"318 K\"", "intake_temperature = \"348 K\"");
    assert_ne!(computed(&engine_of(&warm, FOUR_READINGS).2), computed(&four));
    let words = named(&four, pressure).expect("it is named");
    assert!(words.ends_with("(Turbocharger, plenum pressure)"), "{words}");
    let (from, to) =
        (FOUR.find("[turbocharger.cooler]").expect("a cooler"), FOUR.find("[fuel]").expect("fuel"));
    let (_, _, uncooled) = engine_of(&format!("{}{}", &FOUR[..from], &FOUR[to..]), FOUR_READINGS);
    assert!(named(&uncooled, temperature).is_some(), "{:?}", uncooled.left_out);
}
