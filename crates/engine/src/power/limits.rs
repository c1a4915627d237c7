//! What limits an engine, at which speeds, and what to do about it.

use super::blank::{blank, rev};
use super::breathing::{INLET_MACH, chokes_in_pulses, pumping_share};
use super::result::{Flag, PowerPoint, PowerRun, SURGE_DOUBT};
use super::run::leanest;
use super::shown_inputs;
use crate::assess::Assessment;
use crate::cautions;
use crate::engine::Engine;
use crate::findings::{Action, ActionKind, Finding, Verdict, boosted};
use crate::quantity::{Dimension, Phrase, counted};

/// Boost that is short where no more air comes in: a smaller turbine would speed up a compressor that has nothing to press.
const NO_MORE_AIR: &str = "Ask for no more boost there than the air through restrictor or throttle gives, or accept it: no more comes in, whatever the turbine";

/// What to do about a limit, and whether it stops the engine or only costs.
fn advice(flag: Flag, boosted: bool) -> (&'static str, Verdict, Option<&'static str>) {
    match flag {
        Flag::Knock => (
            if boosted {
                "Retard the ignition there, or take a fuel that stands more, less boost or less compression; prove it on the test bed with knock listened for, step by step"
            } else {
                "Retard the ignition there, or take a fuel that stands more, or less compression; prove it on the test bed with knock listened for, step by step"
            },
            Verdict::Uncertain,
            Some(cautions::KNOCK),
        ),
        Flag::Surge => {
            ("A smaller compressor, or less boost at these speeds", Verdict::Bad, Some(cautions::SURGE))
        }
        Flag::Choke => (
            "A larger compressor, or less boost: the figures beyond the map are extrapolated",
            Verdict::Bad,
            None,
        ),
        Flag::Overspeed => {
            ("Less boost at these speeds, or a larger compressor", Verdict::Bad, Some(cautions::OVERSPEED))
        }
        Flag::BoostShort => (
            "A smaller turbine, or accept that boost comes later: the wastegate is shut and the turbine has no more to give",
            Verdict::Uncertain,
            None,
        ),
        Flag::BoostOver => (
            "A larger wastegate: it is fully open and the boost still climbs",
            Verdict::Bad,
            Some(cautions::BOOST),
        ),
        Flag::InjectorDuty => {
            ("Larger injectors, or more of them", Verdict::Bad, Some(cautions::INJECTOR_DUTY))
        }
        Flag::PumpFlow => ("A larger fuel pump or a second one", Verdict::Bad, Some(cautions::FUEL_PUMP)),
        Flag::LeanCylinder => (
            "Match the injectors: this cylinder runs leaner than the mean shows",
            Verdict::Bad,
            Some(cautions::LEAN),
        ),
        Flag::ExhaustTemperature => (
            if boosted {
                "Richer; or less boost, or more advance where knock allows it"
            } else {
                "Richer, or more advance where knock allows it"
            },
            Verdict::Bad,
            Some(cautions::ADVANCE),
        ),
        Flag::InletMach => (
            "Larger or more intake valves, more lift or ports that flow more; tuned pipes move the fall of volumetric efficiency, they do not take it away",
            Verdict::Marginal,
            None,
        ),
        Flag::ChokedThroat => (
            "A larger throttle; where rules set the restrictor, less speed and more torque below it: no more air passes",
            Verdict::Marginal,
            None,
        ),
        Flag::Pumping => (
            "Look at what the exhaust strokes push against: turbine, pipe and silencer; then at intake valves and throttle",
            Verdict::Marginal,
            None,
        ),
        Flag::NotConverged => ("See the speeds that did not settle", Verdict::Unknown, None),
    }
}

/// Where the figure of a limit and its border come from.
const fn source(flag: Flag) -> &'static str {
    match flag {
        Flag::Knock => {
            "knock integral after Livengood and Wu, SAE 550293, with the ignition delay of Douaud and Eyzat, SAE 780080, or that of ethanol (from memory); see docs/physics/knock.md"
        }
        Flag::Surge => {
            "first points of the speed lines in the document; the share that a map can tell is a judgement; see docs/physics/turbocharger.md"
        }
        Flag::Choke => "last points of the speed lines in the document; see docs/physics/turbocharger.md",
        Flag::Overspeed => {
            "greatest speed that the document states for the compressor; see docs/physics/turbocharger.md"
        }
        Flag::BoostShort | Flag::BoostOver => {
            "plenum pressure aimed at in the document, balance of the power of turbine and compressor; the border is a judgement; see docs/physics/turbocharger.md"
        }
        Flag::InjectorDuty => {
            "steady flow of the injectors as stated or read, against the fuel of the run; greatest duty as the document states it, 0.90 otherwise (common practice, no source)"
        }
        Flag::PumpFlow => "flow of the pump as the document states it, against the fuel of the run",
        Flag::LeanCylinder => {
            "trapped air and the flows of the injectors of each cylinder; the border is a judgement"
        }
        Flag::ExhaustTemperature => {
            "temperature by the energy that leaves the exhaust valves; the hottest is what the document allows, by the makers of turbine and valves"
        }
        Flag::InletMach => {
            "Japan Society of Mechanical Engineers, Dictionary of Mechanical Engineering, entry 11-1002813 (from 0.5 on); Taylor, The Internal-Combustion Engine, vol. 1, ch. 6 (from 0.6 on, from memory)"
        }
        Flag::ChokedThroat => {
            "choked flow after Heywood, appendix C (from memory); the shares from which it is flagged are a judgement; see docs/physics/valve_flow.md"
        }
        Flag::Pumping => "pumping over gross work by definition; the border is a judgement",
        Flag::NotConverged => "change from cycle to cycle",
    }
}

fn least_surge_margin(points: &[&PowerPoint]) -> f64 {
    points.iter().filter_map(|p| p.rotor.as_ref()).map(|r| r.surge_margin).fold(f64::INFINITY, f64::min)
}

/// Findings of the limits that a run met.
pub(super) fn findings(engine: &Engine, assessment: &Assessment, run: &PowerRun) -> Vec<Finding> {
    let mut all = limits(run, boosted(&engine.document));
    for finding in &mut all {
        show_limit(finding, engine, run);
    }
    if let Some(lean) = all.iter_mut().find(|f| f.id == LEAN_CYLINDER) {
        lean.follows = injector_behind(assessment, run);
    }
    all
}

fn limits(run: &PowerRun, boosted: bool) -> Vec<Finding> {
    let mut flags: Vec<Flag> = run.settled().flat_map(|p| p.flags.iter().copied()).collect();
    flags.sort_unstable();
    flags.dedup();
    flags.into_iter().filter(|f| *f != Flag::NotConverged).map(|flag| limit(run, flag, boosted)).collect()
}

/// Figures and border of a limit, for its working.
fn show_limit(finding: &mut Finding, engine: &Engine, run: &PowerRun) {
    let mut all = run.settled().flat_map(|p| &p.flags);
    let flag = all.find(|f| finding.code == "power_limit" && finding.subject.instance == word(**f));
    let Some(flag) = flag else { return };
    let (inputs, border) = shown_inputs::of_limit(&engine.document, run, *flag);
    finding.working.inputs = inputs;
    let rule = std::mem::take(&mut finding.working.rule);
    finding.working.rule = rule.say(format!("; flagged is {border}"));
}

/// What a limit is about, and what is asked of it.
fn asked(flag: Flag, met: &[&PowerPoint]) -> (String, &'static str) {
    let (label, question) = match flag {
        Flag::LeanCylinder => {
            let number = leanest_of(met.iter().copied()).map_or(0, |(number, ..)| number);
            return (format!("cylinder {number}"), "mixture against the mean");
        }
        Flag::Surge => ("compressor", "surge"),
        Flag::Choke => ("compressor", "choke"),
        Flag::Overspeed => ("turbocharger", "speed"),
        Flag::BoostShort => ("turbocharger", "boost short of its target"),
        Flag::BoostOver => ("turbocharger", "boost above its target"),
        Flag::InjectorDuty => ("injectors", "share of the cycle open"),
        Flag::PumpFlow => ("fuel pump", "flow"),
        Flag::ExhaustTemperature => ("exhaust", "temperature"),
        Flag::InletMach => ("intake valves", "gas speed"),
        Flag::ChokedThroat => ("restrictor and throttle", "air that passes"),
        Flag::Knock | Flag::Pumping | Flag::NotConverged => ("engine", flag.words()),
    };
    (label.to_owned(), question)
}

/// A flag as it is kept: `lean_cylinder`.
fn word(flag: Flag) -> String {
    serde_json::to_value(flag).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

/// Id of the finding of a lean cylinder.
const LEAN_CYLINDER: &str = "power_limit/lean_cylinder";

/// The point at which a cylinder is leanest against the mean, its number and by how much, share.
fn leanest_of<'a>(points: impl Iterator<Item = &'a PowerPoint>) -> Option<(u32, f64, &'a PowerPoint)> {
    let all = points.filter_map(|p| leanest(p).map(|(number, by)| (number, by, p)));
    all.max_by(|a, b| a.1.total_cmp(&b.1))
}

/// The finding of the injector that makes the leanest cylinder so, where one gives too little: the same work mends both.
fn injector_behind(assessment: &Assessment, run: &PowerRun) -> Option<String> {
    let flagged = run.settled().filter(|p| p.flags.contains(&Flag::LeanCylinder));
    let cylinder = leanest_of(flagged)?.0.to_string();
    let gives_less = |f: &&Finding| {
        f.code == "injector_flow"
            && f.verdict == Verdict::Bad
            && f.value.is_some_and(|v| v.value < 0.0)
            && f.subject.instance.split('.').next() == Some(cylinder.as_str())
    };
    assessment.findings.iter().find(gives_less).map(|f| f.id.clone())
}

fn limit(run: &PowerRun, flag: Flag, boosted: bool) -> Finding {
    let (to_do, verdict, caution) = advice(flag, boosted);
    let met: Vec<&PowerPoint> = run.settled().filter(|p| p.flags.contains(&flag)).collect();
    let starved = flag == Flag::BoostShort && met.iter().any(|p| p.flags.contains(&Flag::ChokedThroat));
    let to_do = if starved { NO_MORE_AIR } else { to_do };
    let (label, question) = asked(flag, &met);
    let mut finding = blank("power_limit", &word(flag), &label, question);
    finding.verdict = match flag {
        Flag::Surge if least_surge_margin(&met) > -SURGE_DOUBT => Verdict::Uncertain,
        _ => verdict,
    };
    let (first, last) = (met[0].speed, met[met.len() - 1].speed);
    let range = if met.len() == 1 {
        format!("at {}", rev(first))
    } else {
        format!("from {} to {}", rev(first), rev(last))
    };
    source(flag).clone_into(&mut finding.working.source);
    finding.why = worst(&met, flag, Phrase::words(range));
    let of = counted(run.settled().count(), "settled speed", "settled speeds");
    finding.working.rule = Phrase::words(format!("{} of {of}", met.len()));
    let mut action = Action::new(ActionKind::Ask, Phrase::words(to_do));
    if let Some(caution) = caution {
        action = action.caution(caution);
    }
    finding.actions.push(action);
    finding
}

/// Where the point nearest to the surge line, or furthest beyond it, lies.
fn surge_words(margin: f64) -> String {
    // As it is printed: nothing stands 0.0 % beyond a line.
    let tenths = (1000.0 * margin).round();
    if tenths < 0.0 {
        format!(": beyond the line, with up to {:.1} % less flow than it has", -0.1 * tenths)
    } else if tenths > 0.0 {
        format!(
            ": the flow can fall by {:.1} % until the line, less than the {:.0} % that a map can tell",
            0.1 * tenths,
            100.0 * SURGE_DOUBT
        )
    } else {
        ": on the line".to_owned()
    }
}

/// The worst figure behind a flag, said after where it is met.
fn worst(met: &[&PowerPoint], flag: Flag, at: Phrase) -> Phrase {
    if flag == Flag::ExhaustTemperature {
        let hottest = met.iter().map(|p| p.exhaust_temperature).fold(f64::NEG_INFINITY, f64::max);
        return at.say(": up to ").value(hottest, Dimension::Temperature, 0);
    }
    at.say(worst_words(met, flag))
}

fn worst_words(met: &[&PowerPoint], flag: Flag) -> String {
    let least = |of: &dyn Fn(&PowerPoint) -> f64| met.iter().map(|p| of(p)).fold(f64::INFINITY, f64::min);
    let most = |of: &dyn Fn(&PowerPoint) -> f64| met.iter().map(|p| of(p)).fold(f64::NEG_INFINITY, f64::max);
    let rotor =
        |of: fn(&super::result::RotorPoint) -> f64| move |p: &PowerPoint| p.rotor.as_ref().map_or(0.0, of);
    match flag {
        Flag::Knock => {
            let integral = most(&|p| p.cylinders.iter().map(|c| c.knock_integral).fold(0.0, f64::max));
            let late = met.iter().any(|p| p.cylinders.iter().any(|c| c.knock_limited));
            let how = if late { ", timing put later for it" } else { "" };
            format!(": knock integral up to {integral:.2}{how}; weak until calibrated")
        }
        Flag::Surge => surge_words(least(&rotor(|r| r.surge_margin))),
        Flag::Choke => format!(": up to {:.1} % beyond it", -100.0 * least(&rotor(|r| r.choke_margin))),
        Flag::Overspeed => {
            format!(": {:.0} % above the greatest speed", -100.0 * least(&rotor(|r| r.speed_margin)))
        }
        Flag::BoostShort => format!(": up to {:.0} % short", 100.0 * most(&rotor(|r| r.boost_error))),
        Flag::BoostOver => format!(": up to {:.0} % over", -100.0 * least(&rotor(|r| r.boost_error))),
        Flag::InjectorDuty => {
            let most = 100.0 * most(&|p| p.injector_duty.unwrap_or(0.0));
            format!(": up to {most:.0} % of the cycle, without the dead time of the injectors")
        }
        Flag::PumpFlow => {
            format!(": up to {:.0} % of what the pump gives", 100.0 * most(&|p| p.pump_share.unwrap_or(0.0)))
        }
        Flag::LeanCylinder => leanest_of(met.iter().copied()).map_or(String::new(), |(number, by, point)| {
            let lambda =
                point.cylinders.iter().find(|c| c.number == number).map_or(0.0, |c| c.trapped_lambda);
            format!(": cylinder {number} traps λ {lambda:.2}, {:.1} % leaner than the mean", 100.0 * by)
        }),
        Flag::InletMach => {
            let most = most(&|p| p.inlet_mach.unwrap_or(0.0));
            format!(
                ": Mach index up to {most:.2}; of published engines volumetric efficiency fell steeply from {INLET_MACH:.1} to 0.6 on, so look whether the lifts and flows that go in are right where the curve shows no such fall"
            )
        }
        Flag::ChokedThroat => {
            if met.iter().any(|p| chokes_in_pulses(p)) {
                let most = 100.0 * most(&|p| p.choked_air.unwrap_or(0.0));
                format!(": up to {most:.0} % of a cylinder's air passes its throttle while that is choked")
            } else {
                format!(
                    ": up to {:.0} % of the most it passes",
                    100.0 * most(&|p| p.throat_share.unwrap_or(0.0))
                )
            }
        }
        Flag::Pumping => format!(": up to {:.0} % of the gross work", 100.0 * most(&pumping_share)),
        Flag::ExhaustTemperature | Flag::NotConverged => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::{source, surge_words};
    use crate::power::Flag;

    #[test]
    fn each_limit_names_its_own_source() {
        let stock = crate::power::blank::blank("power_limit", "", "", "").working.source;
        for flag in [
            Flag::Knock,
            Flag::Surge,
            Flag::Choke,
            Flag::Overspeed,
            Flag::BoostShort,
            Flag::BoostOver,
            Flag::InjectorDuty,
            Flag::PumpFlow,
            Flag::LeanCylinder,
            Flag::ExhaustTemperature,
            Flag::InletMach,
            Flag::ChokedThroat,
            Flag::Pumping,
        ] {
            assert!(source(flag) != stock && source(flag).len() > 20, "{flag:?}");
        }
        assert!(source(Flag::InletMach).contains("11-1002813") && source(Flag::Knock).contains("780080"));
        assert!(source(Flag::Pumping).contains("judgement"));
    }

    #[test]
    fn nothing_lies_no_share_beyond_the_surge_line() {
        assert_eq!(surge_words(-0.0004), ": on the line");
        assert_eq!(surge_words(-0.0006), ": beyond the line, with up to 0.1 % less flow than it has");
        assert!(surge_words(0.031).starts_with(": the flow can fall by 3.1 % until the line"));
    }
}
