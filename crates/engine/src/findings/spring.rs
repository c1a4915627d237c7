//! Valve springs: the height they stand at, the load there, the room before the coils touch. One cause, one action: what a
//! shim mends is told by the height, and all three questions and the plan say the same.

use super::about::About;
use super::answer::Answer;
use super::bench::Bench;
use super::model::{Action, ActionKind, Finding, Verdict};
use super::widened::Widened;
use crate::document::{OperationKind, ValveSide};
use crate::features::{Sheet, Side, ValveName};
use crate::quantity::{Dimension, Phrase};
use mechanics::fit::valve::spring_load;
use mechanics::metrology::Uncertain;
use mechanics::selection::Window;
use mechanics::selection::spring_shims::set_alone;
use std::cell::OnceCell;

/// Explanations for the manual.
pub const ABOUT: &[About] = &[
    About {
        codes: &["coil_bind_margin"],
        asks: "How much room has the spring before its coils touch at full lift?",
        matters: "A spring that binds breaks the valve gear at once.",
        computed: "Installed height − lift − height at bind.",
        to_do: "Take shims out from under a spring that stands too low; else less lift, or a spring that binds later.",
        source: "definition; limit of the spring maker, else common practice, no source",
    },
    About {
        codes: &["seat_load"],
        asks: "Is the load on the seat as it should be?",
        matters: "Too soft lets the valve float, too hard wears the lobe.",
        computed: "As read at the installed height.",
        to_do: "Set the height first, where that brings the load inside; else another spring.",
        source: "spring maker",
    },
    About {
        codes: &["spring_installed"],
        asks: "Has the spring its installed height?",
        matters: "Load on the seat and room before the coils touch follow from it.",
        computed: "As read. Asked where a limit is stated.",
        to_do: "Take shims out (height too small) or put them in (too large).",
        source: "spring maker",
    },
];

/// How far from its height a spring may stand where nobody states a limit: a tenth of a millimetre. Common practice, no source.
const AS_SET: f64 = 0.1e-3;

/// A spring that does not stand at its height.
#[derive(Clone, Copy)]
pub struct OffHeight {
    /// Height now, m.
    pub installed: f64,
    /// Height to reach, m.
    pub nominal: f64,
}

impl OffHeight {
    /// Shim to take out, m; negative where shim has to be put in.
    pub fn shim_out(self) -> f64 {
        self.nominal - self.installed
    }

    /// "take 0.90 mm of shim out"
    pub fn words(self) -> Phrase {
        let shim = self.shim_out();
        if shim > 0.0 {
            Phrase::words("take ").length_2(shim).say(" of shim out")
        } else {
            Phrase::words("put ").length_2(-shim).say(" of shim in")
        }
    }

    /// "seat load 367 N to 330 N" of the spring of a valve, where its rate is stated: from the load that was read at the height it
    /// stands at, else from the load that is stated.
    pub fn load_words(self, bench: Bench<'_>, instance: &str) -> Option<Phrase> {
        let springs = &bench.document().springs;
        let rate = springs.rate?;
        let read =
            bench.size(&format!("head.{instance}.seat_load")).map(|s| (s.value.value(), self.installed));
        let stated = || Some((springs.seat_load?.0, springs.installed.map_or(self.nominal, |h| h.0)));
        let (load, there) = read.or_else(stated)?;
        let at = |height| spring_load(load, there, rate.0, height);
        Some(Phrase::words("seat load ").value(at(self.installed), Dimension::Force, 0).say(" to ").value(
            at(self.nominal),
            Dimension::Force,
            0,
        ))
    }
}

/// The spring of a valve (`intake.3b`), where it was read, is off its height and can be set nearer to it.
pub fn off_height(bench: Bench<'_>, instance: &str) -> Option<OffHeight> {
    setting(bench, instance)?.off_height()
}

/// Lengths nearer than this are the same, m.
const SAME: f64 = 0.5e-6;
/// Stands for the side of a range that is open, m.
const OPEN: f64 = 10e-3;

/// How a spring that stands off its height is set, by the shims of the document.
#[derive(Clone, Debug)]
pub struct Setting {
    /// Height now, m.
    pub installed: f64,
    /// Height that shims give, nearest to the one wanted inside all limits; as wanted where the document lists no shim.
    pub height: f64,
    /// Shims that are put in or taken out, m; empty where the document lists none.
    pub shims: Vec<f64>,
    /// What limit has to give, and by how much, where no shims of the list bring it inside.
    pub relax: Option<Phrase>,
}

impl Setting {
    /// How far the spring stands off the height that shims give; none where they bring it no nearer.
    pub fn off_height(&self) -> Option<OffHeight> {
        let off = OffHeight { installed: self.installed, nominal: self.height };
        (off.shim_out().abs() > SAME).then_some(off)
    }
}

/// How far a spring stands off its height, worked out when a question first asks.
type Off<'a> = &'a dyn Fn() -> Option<OffHeight>;

/// One end of the heights that are allowed.
#[derive(Clone, Copy)]
struct End {
    height: f64,
    /// Of which limit.
    name: &'static str,
    /// Rate, where the limit is one of load.
    rate: Option<f64>,
}

impl End {
    /// The limit as it has to be for a height that is out by so much.
    fn relaxed(self, bench: Bench<'_>, upper: bool, by: f64) -> Option<Phrase> {
        // A load falls as the spring stands higher.
        let (upper, by) = self.rate.map_or((upper, by), |rate| (!upper, by * rate));
        Widened::of(bench, self.name)?.end(upper, by)
    }
}

/// The heights that limits allow, m: of the height itself, of the room before the coils touch, and of the load where a height
/// inside the others gives it (else another spring is asked for).
fn allowed_heights(bench: Bench<'_>, instance: &str, installed: f64) -> (Option<End>, Option<End>) {
    let limit = bench.limit("spring_installed").map(|l| l.used);
    let end = |height: Option<f64>, name, rate| height.map(|height| End { height, name, rate });
    let higher = |a: Option<End>, b: Option<End>| match (a, b) {
        (Some(a), Some(b)) => Some(if b.height > a.height { b } else { a }),
        (a, b) => a.or(b),
    };
    let lower = |a: Option<End>, b: Option<End>| match (a, b) {
        (Some(a), Some(b)) => Some(if b.height < a.height { b } else { a }),
        (a, b) => a.or(b),
    };
    let least = end(limit.as_ref().and_then(|l| l.min), "spring_installed", None);
    let most = end(limit.as_ref().and_then(|l| l.max), "spring_installed", None);
    let side = if instance.starts_with("intake") { Side::Intake } else { Side::Exhaust };
    let springs = &bench.document().springs;
    let bind = bench.size(&format!("head.{instance}.spring_bind")).map(|s| s.value.value());
    let room = bench.limit("coil_bind_margin").and_then(|l| l.used.min);
    let bound =
        bind.or(springs.bind.map(|b| b.0)).zip(lift(bench, side)).zip(room).map(|((b, l), r)| b + l + r);
    let least = higher(least, end(bound, "coil_bind_margin", None));
    let load = bench.size(&format!("head.{instance}.seat_load")).map(|s| s.value.value());
    let Some((load, rate)) = load.zip(springs.rate.map(|r| r.0)).filter(|(_, rate)| *rate > 0.0) else {
        return (least, most);
    };
    let loads = bench.limit("seat_load").map(|l| l.used);
    let at = |limit: Option<f64>| limit.map(|limit| installed + (load - limit) / rate);
    let heavy = end(at(loads.as_ref().and_then(|l| l.max)), "seat_load", Some(rate));
    let light = end(at(loads.as_ref().and_then(|l| l.min)), "seat_load", Some(rate));
    let (low, high) = (higher(least, heavy), lower(most, light));
    match (low, high) {
        (Some(low), Some(high)) if low.height > high.height + SAME => (least, most),
        both => both,
    }
}

/// How the spring of a valve is set, where it was read and stands off its height: outside the limit of its height, or where there is
/// none farther off than is usual; or with a load outside its limit that another allowed height brings inside.
pub fn setting(bench: Bench<'_>, instance: &str) -> Option<Setting> {
    let installed = bench.size(&format!("head.{instance}.spring_installed"))?.value.value();
    let limit = bench.limit("spring_installed").map(|l| l.used);
    let nominal = bench.document().springs.installed.map(|h| h.0).or(limit.as_ref()?.aim())?;
    let (least, most) = allowed_heights(bench, instance, installed);
    let inside = |height: f64| {
        least.is_none_or(|end| height >= end.height - SAME)
            && most.is_none_or(|end| height <= end.height + SAME)
    };
    let off = limit.map_or((nominal - installed).abs() > AS_SET, |l| !l.contains(installed));
    let by_load = [least, most].iter().flatten().any(|end| end.rate.is_some());
    if !off && (!by_load || inside(installed)) {
        return None;
    }
    // Where limits cross, the coils must not touch: the least height counts.
    let min = least.map_or(nominal - OPEN, |end| end.height);
    let max = most.map_or(nominal + OPEN, |end| end.height).max(min);
    let window = Window { min, target: nominal.clamp(min, max), max };
    let (height, shims) = match bench.document().springs.shims.as_slice() {
        [] => (window.target, Vec::new()),
        list => {
            // A swap of two thicknesses needs the stack and is not looked at.
            let set = set_alone(installed, window, &list.iter().map(|s| s.0).collect::<Vec<_>>());
            (set.height, set.stack)
        }
    };
    let relax = if let Some(end) = least.filter(|end| height < end.height - SAME) {
        end.relaxed(bench, false, end.height - height)
    } else {
        most.filter(|end| height > end.height + SAME)
            .and_then(|end| end.relaxed(bench, true, height - end.height))
    };
    Some(Setting { installed, height, shims, relax })
}

/// All questions on the spring of one valve.
pub(super) fn findings(bench: Bench<'_>, name: &ValveName) -> Vec<Finding> {
    let known = OnceCell::new();
    let off = || *known.get_or_init(|| off_height(bench, &name.path()));
    let mut all = vec![bind(bench, name, &off), seat_load(bench, name, &off)];
    if bench.document().limits.spring_installed.is_some() {
        all.push(installed(bench, name, &off));
    }
    all
}

fn start<'a>(bench: Bench<'a>, name: &ValveName, code: &'static str, question: &str) -> Answer<'a> {
    let label = format!("spring {}", name.label());
    Answer::new(bench, code, Sheet::Valves, label, &name.path(), question).limit(code)
}

/// Lift at the valve.
fn lift(bench: Bench<'_>, side: Side) -> Option<f64> {
    let cams = &bench.document().cams;
    let by_rocker = cams.lobe_lift.zip(cams.rocker_ratio).map(|(l, r)| l.0 * r);
    side_of(bench, side).lift.map(|l| l.0).or(by_rocker)
}

fn bind(bench: Bench<'_>, name: &ValveName, off: Off<'_>) -> Finding {
    let instance = name.path();
    let mut answer = start(bench, name, "coil_bind_margin", "room before the coils touch")
        .formula("installed height − valve lift − height at bind", "definition");
    let installed = answer.read(&format!("head.{instance}.spring_installed"));
    let bind = answer.read_if_there(&format!("head.{instance}.spring_bind")).or_else(|| {
        let nominal = Uncertain::exact(bench.document().springs.bind?.0);
        answer.input("height at bind, as the document says", &nominal, Dimension::Length);
        Some(nominal)
    });
    if bind.is_none() {
        answer.read(&format!("head.{instance}.spring_bind"));
    }
    let lift = lift(bench, name.side);
    match lift {
        Some(lift) => answer.input("valve lift", &Uncertain::exact(lift), Dimension::Length),
        None => answer.lacks("the valve lift"),
    }
    let value = match (&installed, &bind, lift) {
        (Some(installed), Some(bind), Some(lift)) => Some((installed - bind).shifted(-lift)),
        _ => None,
    };
    answer.value(value, false);
    let mut finding = answer.finish();
    if matches!(finding.verdict, Verdict::Bad | Verdict::Uncertain) && finding.actions.is_empty() {
        finding.actions = more_room(&finding, bench, off);
    }
    finding
}

/// Back to the nominal height where the spring stands too low; what that does not cure asks for less lift or another spring.
fn more_room(finding: &Finding, bench: Bench<'_>, off: Off<'_>) -> Vec<Action> {
    let low = off().filter(|off| off.shim_out() > 0.0);
    let other = |words: &str| Action::new(ActionKind::Order, Phrase::words(words));
    let Some(off) = low else {
        return vec![if finding.verdict == Verdict::Bad {
            other("Less lift, or a spring that binds later")
        } else {
            let text = "Read installed height and height at bind again, three times each: the room is too near to its limit to tell";
            Action::new(ActionKind::Measure, Phrase::words(text))
        }];
    };
    let room = finding.value.map_or(0.0, |v| v.value) + off.shim_out();
    let mut effect = Phrase::words("room ").length_2(room);
    if let Some(load) = off.load_words(bench, &finding.subject.instance) {
        effect = effect.say("; ").join(load);
    }
    let text = Phrase::words("Take ").length_2(off.shim_out()).say(" of shim out from under this spring");
    let shim =
        Action::new(ActionKind::Refit, text).gives(effect).supplied(bench.job(OperationKind::SpringShim));
    if finding.limit.as_ref().is_none_or(|l| l.contains(room)) {
        vec![shim]
    } else {
        vec![shim, other("Less lift, or a spring that binds later: the shim alone does not give enough room")]
    }
}

fn installed(bench: Bench<'_>, name: &ValveName, off: Off<'_>) -> Finding {
    let instance = name.path();
    let mut answer =
        start(bench, name, "spring_installed", "installed height").formula("as read, corrected", "JCGM 100");
    let value = answer.read(&format!("head.{instance}.spring_installed"));
    answer.value(value, false);
    let mut finding = answer.finish();
    if let (Verdict::Bad, Some(off)) = (finding.verdict, off()) {
        let action =
            Action::new(ActionKind::Refit, off.words()).supplied(bench.job(OperationKind::SpringShim));
        finding.actions.push(match off.load_words(bench, &instance) {
            Some(load) => action.gives(load),
            None => action,
        });
    }
    finding
}

fn seat_load(bench: Bench<'_>, name: &ValveName, off: Off<'_>) -> Finding {
    let instance = name.path();
    let mut answer = start(bench, name, "seat_load", "load on the seat")
        .dimension(Dimension::Force)
        .formula("as read at the installed height", "spring maker");
    let value = answer.read(&format!("head.{instance}.seat_load"));
    answer.value(value, false);
    let mut finding = answer.finish();
    if finding.verdict == Verdict::Bad {
        let action = right_load(&finding, bench, off);
        finding.actions.push(action);
    }
    finding
}

/// The load follows from the height, or the spring is at fault: never both.
fn right_load(finding: &Finding, bench: Bench<'_>, off: Off<'_>) -> Action {
    let instance = &finding.subject.instance;
    let another = |text: Phrase| Action::new(ActionKind::Order, text).supplied(bench.part("valve spring"));
    let Some(off) = off() else {
        return if bench.size(&format!("head.{instance}.spring_installed")).is_some() {
            another(Phrase::words("Another spring: this one stands at its height and has not the load there"))
        } else {
            let text = "Read the installed height first: the load follows from it";
            Action::new(ActionKind::Measure, Phrase::words(text))
        };
    };
    let Some((value, limit)) = finding.value.zip(finding.limit.as_ref()) else {
        return another(Phrase::words("Another spring"));
    };
    match bench.document().springs.rate.map(|rate| value.value - rate.0 * off.shim_out()) {
        Some(then) if !limit.contains(then) => {
            another(Phrase::words("Another spring: set to its height, this one would have ").value(
                then,
                Dimension::Force,
                0,
            ))
        }
        then => {
            let action =
                Action::new(ActionKind::Refit, Phrase::words("Follows from the height: ").join(off.words()))
                    .supplied(bench.job(OperationKind::SpringShim));
            match then {
                Some(then) => {
                    let effect = Phrase::words("seat load ").value(value.value, Dimension::Force, 0);
                    action.gives(effect.say(" to ").value(then, Dimension::Force, 0))
                }
                None => action,
            }
        }
    }
}

/// Nominal figures of a side.
fn side_of(bench: Bench<'_>, side: Side) -> &ValveSide {
    match side {
        Side::Intake => &bench.document().valves.intake,
        Side::Exhaust => &bench.document().valves.exhaust,
    }
}
