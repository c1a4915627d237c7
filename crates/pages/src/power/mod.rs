//! Power: what goes in, the run, the curve, what limits it, and the studies around it.

mod calibration;
mod compare;
mod curve;
mod inputs;
mod inside;
mod studies;
mod units;

pub use calibration::{CalibrationForm, calibration_page};
pub use compare::compare_page;
pub use inputs::inputs_page;
pub use inside::inside_page;
pub use studies::{StudyForm, studies_page};

use crate::drawing::{self, Axis, Line, Marker, Plot, plot_values};
use crate::finding_sheet::{cause, working};
use crate::frame::{Current, Page, View, drawn, framed};
use crate::sheet_numbers::numbered_power;
use crate::words::{count, first_action, full_stop, path_query, prose, sentence, verdict_line, when};
use engine::findings::Finding;
use engine::power::{
    CamSweep, Change, Effect, InputOrigin, PowerRun, SpecInput, Specification, Worth, rests_on_published,
};
use engine::quantity::Dimension;
use maud::{Markup, html};
use units::{Shown, rev};

/// A computation that runs or has just ended.
#[derive(Clone, Debug, PartialEq)]
pub struct JobLine {
    /// "torque curve"
    pub what: String,
    /// Parts done: speeds of a curve, runs of a study.
    pub done: usize,
    /// Parts in all.
    pub of: usize,
    /// Cycles run.
    pub cycles: u64,
    /// Speeds of a curve so far: speed in rad/s, torque in N m, power in W.
    pub reached: Vec<(f64, f64, f64)>,
    /// It runs.
    pub runs: bool,
    /// Somebody asked it to stop.
    pub stopping: bool,
    /// Why there is no result.
    pub problem: Option<String>,
}

/// A computation that was stopped, or that ended with the program.
#[derive(Clone, Debug, PartialEq)]
pub struct UnfinishedLine {
    /// Its word in the store.
    pub kind: String,
    /// "torque curve"
    pub what: String,
    /// What was asked, in words.
    pub asked: String,
    /// When it was begun, RFC 3339.
    pub when: String,
    /// Parts done.
    pub done: usize,
    /// Parts in all, where that is known.
    pub of: Option<usize>,
    /// Speeds of a curve so far: speed in rad/s, torque in N m, power in W.
    pub reached: Vec<(f64, f64, f64)>,
    /// What a study says so far.
    pub so_far: Option<SoFar>,
    /// The engine has changed since.
    pub changed: bool,
}

/// The part of a study that is there.
#[derive(Clone, Debug, PartialEq)]
pub enum SoFar {
    /// What each choice is worth at a crank speed, rad/s.
    Choices(f64, Vec<Effect>),
    /// Torque over cam timing.
    Sweep(CamSweep),
}

/// What the form of a run holds: as the run that is shown was asked, else the usual.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RunForm {
    /// rev/min, as a person lists them.
    pub speeds: String,
    /// Per cent; empty: full.
    pub throttle: String,
    /// Speed at which the ducts of every cylinder are kept, rev/min; empty: those of cylinder 1 alone.
    pub ducts: String,
    /// Word of the timing.
    pub timing: &'static str,
    /// Word of the correction.
    pub correction: &'static str,
    /// What is wrong with what stands there: the name of each field and why. Nothing was started then.
    pub wrong: Vec<FieldProblem>,
}

/// A field of a form by its name, and what is wrong with it.
pub type FieldProblem = (&'static str, String);

/// One kept result in the list.
#[derive(Clone, Debug, PartialEq)]
pub struct KeptLine {
    /// Its number.
    pub number: u64,
    /// "torque curve"
    pub what: String,
    /// Can be shown and compared as a curve.
    pub curve: bool,
    /// When, RFC 3339.
    pub when: String,
    /// By whom.
    pub who: String,
    /// Version of the document.
    pub document: u64,
    /// Last entry of the log.
    pub sequence: u64,
}

/// A torque curve with what was found on it.
#[derive(Clone, Debug)]
pub struct ShownRun<'a> {
    /// Number and moment.
    pub line: KeptLine,
    /// The stopped run that it goes on from.
    pub resumes: Option<u64>,
    /// The values.
    pub run: &'a PowerRun,
    /// What has changed since.
    pub changes: Vec<Change>,
    /// What was found.
    pub findings: Vec<Finding>,
    /// Speeds that were asked for and not reached.
    pub unreached: usize,
    /// A newer run that was stopped before it was whole, and is therefore not the one shown.
    pub newer_stopped: Option<u64>,
    /// The run from which the findings of the engine come.
    pub speaks: Option<u64>,
}

impl ShownRun<'_> {
    /// "16 of 16 speeds", "stopped at 5 of 16 speeds".
    fn reached(&self) -> String {
        let of = self.run.request.speeds.len();
        let there = of - self.unreached.min(of);
        let stopped = if self.run.stopped || self.unreached > 0 { "stopped at " } else { "" };
        format!("{stopped}{there} of {}", count(of, "speed", "speeds"))
    }
}

/// A study that is shown: when it was made, and what has changed since.
#[derive(Clone, Debug)]
pub struct ShownStudy<'a, T: ?Sized> {
    /// Number and moment.
    pub line: KeptLine,
    /// The values.
    pub found: &'a T,
    /// What has changed since; none where the result does not say what it was made from.
    pub changes: Option<Vec<Change>>,
}

/// Everything that the power pages share.
pub struct PowerView<'a> {
    /// Engine.
    pub view: View<'a>,
    /// What goes in today.
    pub specification: &'a Specification,
    /// Kept results, the first one first.
    pub kept: &'a [KeptLine],
    /// What runs.
    pub job: Option<JobLine>,
    /// What was begun and has not ended.
    pub unfinished: &'a [UnfinishedLine],
    /// Speeds that a full run would take, rev/min.
    pub speeds: String,
    /// What stands in the form of a run.
    pub form: RunForm,
}

impl PowerView<'_> {
    fn at(&self, rest: &str) -> String {
        self.view.at(&if rest.is_empty() { "power".to_owned() } else { format!("power/{rest}") })
    }

    fn shown(&self) -> Shown {
        Shown { units: self.view.units() }
    }
}

/// The page: what goes in, the run, its curve.
pub fn power_page(power: &PowerView, shown: Option<&ShownRun>) -> String {
    let body = html! {
        h1 { "Power" }
        (caution())
        p { "Torque and power from this engine as measured: one-dimensional gas exchange, combustion, knock and friction, cylinder by cylinder." }
        (goes_in(power, "What goes in"))
        (run_form(power, shown))
        @match shown {
            Some(shown) => { (result(power, shown)) }
            None => { p.quiet { "Nothing computed yet." } }
        }
        (kept(power))
    };
    page(power, "Power", &body)
}

/// What every page says that shows figures somebody could set.
fn caution() -> Markup {
    crate::words::caution(Some(engine::cautions::COMPUTED))
}

/// A page of this stage with its links.
fn page(power: &PowerView, title: &str, inside: &Markup) -> String {
    let links = [
        ("", "Curve"),
        ("inputs", "What goes in"),
        ("inside", "Inside a cycle"),
        ("choices", "Choices and cam timing"),
        ("compare", "Side by side"),
        ("calibrate", "Calibrate"),
    ];
    let body = html! {
        div.page.power {
            nav.jump.power-links aria-label="Pages about power" {
                @for (rest, words) in links { a href=(power.at(rest)) aria-current=[(words == title || (title == "Power" && rest.is_empty())).then_some("page")] { (words) } }
            }
            (inside)
        }
    };
    framed(
        &power.view,
        &Page {
            title,
            current: Current::Power,
            sheet: numbered_power(if title == "Power" { "" } else { title }),
            state: power.view.state(),
            scripts: &["plot.js", "power.js"],
            body,
        },
    )
}

/// Counts by origin, and what is missing with where to state it.
fn goes_in(power: &PowerView, heading: &str) -> Markup {
    let specification = power.specification;
    let of = |origin: InputOrigin| specification.inputs.iter().filter(|i| i.origin == origin).count();
    html! {
        h2 { (heading) }
        p {
            a href=(power.at("inputs")) { (count(specification.inputs.len(), "input", "inputs")) } ": "
            @for (i, origin) in InputOrigin::ALL.into_iter().filter(|o| of(*o) > 0).enumerate() {
                @if i > 0 { ", " }
                @if matches!(origin, InputOrigin::Stale | InputOrigin::Published) { b.word { (of(origin)) " " (origin.words()) } } @else { (of(origin)) " " (origin.words()) }
            }
            "."
        }
        @if !specification.is_complete() { (to_find(power)) }
        @for problem in &specification.problems { p.error { (full_stop(problem)) } }
        @if !specification.left_out.is_empty() {
            details { summary { "Left out of the computation " span.count { (specification.left_out.len()) } }
                ul.plain { @for left in &specification.left_out { li { (full_stop(left)) } } } }
        }
    }
}

/// What is missing, in the order in which a person finds it, with the lines to write and what may stand instead.
fn to_find(power: &PowerView) -> Markup {
    let specification = power.specification;
    let missing = count(specification.missing.len(), "input is", "inputs are");
    html! {
        p { b.word.stops { "Power cannot be computed yet" }
            @if !specification.missing.is_empty() { ": " (missing) " missing. They stand in the order in which they are found. " b { "\u{2026}" } " stands for what only this engine can say." } @else { "." } }
        @for (found, group) in specification.to_find() {
            section.to-find {
                h3 { (sentence(found.words())) " " span.count { (group.len()) } }
                ul.plain { @for missing in group { li {
                    a href=(units::place(power, &missing.path, missing.measured)) { (full_stop(&missing.sentence())) }
                    @let lines = missing.lines(power.view.units());
                    @if !lines.is_empty() {
                        div.small.quiet { @if missing.measured { "Read it, or write in the document:" } @else { "Write in the document, or in its form:" } }
                        pre { (lines.join("\n")) }
                    }
                    @if let Some(instead) = missing.instead() { div.small { "In its place: " (full_stop(instead)) } }
                } } }
            }
        }
        (usual_figures(power))
    }
}

/// Usual figures that stand in until somebody states them.
fn usual_figures(power: &PowerView) -> Markup {
    let groups = power.specification.usual_figures();
    let of: usize = groups.iter().map(|(_, group)| group.len()).sum();
    html! {
        @if of > 0 { details {
            summary { "Not asked for: a usual figure stands in until it is stated " span.count { (of) } }
            @for (found, group) in groups {
                h3 { (sentence(found.words())) }
                ul.plain { @for input in group { li {
                    a href=(units::place(power, &input.path, false)) { (sentence(&units::input_label(&input.label))) } ": " (power.shown().input(input))
                } } }
            }
        } }
    }
}

/// Start, progress, stop and resume.
fn run_form(power: &PowerView, shown: Option<&ShownRun>) -> Markup {
    let runs = power.job.as_ref().is_some_and(|j| j.runs);
    html! {
        section.no-print {
            h2 { "Run" }
            (progress(power))
            @if power.specification.is_complete() && !runs {
                (not_started(&power.form.wrong))
                form.run-form method="post" action=(power.at("run")) {
                    input type="hidden" name="_token" value=(power.view.token);
                    div.range {
                        (run_field(power, "speeds", "Crank speeds, rev/min", &power.form.speeds))
                        (run_field(power, "throttle", "Throttle opening, %", &power.form.throttle))
                        (run_field(power, "ducts", "Ducts of all cylinders at, rev/min", &power.form.ducts))
                        label { "Burn timing" select name="timing" {
                            @for (word, words) in [("as_stated", "as the document says"), ("fixed", "held at the stated angles"), ("knock_limited", "later where it knocks")] {
                                option value=(word) selected[power.form.timing == word] { (words) } } } }
                        label { "Corrected to" select name="correction" {
                            @for (word, words) in [("as_run", "as run"), ("sae_j1349", "SAE J1349"), ("iso1585", "ISO 1585")] {
                                option value=(word) selected[power.form.correction == word] { (words) } } } }
                    }
                    @if power.form.speeds != power.speeds && !power.speeds.is_empty() { p.small.quiet { "The usual speeds: " (power.speeds) } }
                    div.actions { button.main type="submit" { "Compute the curve" } }
                }
                @if let Some(shown) = shown.filter(|s| s.unreached > 0 && s.changes.is_empty()) {
                    form.actions method="post" action=(power.at("resume")) {
                        input type="hidden" name="_token" value=(power.view.token);
                        input type="hidden" name="number" value=(shown.line.number);
                        button type="submit" { "Go on with run " (shown.line.number) ": " (count(shown.unreached, "speed", "speeds")) " to go" }
                    }
                }
            }
        }
    }
}

/// A typed field of the run, with what is wrong with it.
fn run_field(power: &PowerView, name: &'static str, label: &str, value: &str) -> Markup {
    let placeholder = match name {
        "speeds" => None,
        "ducts" => Some("cylinder 1 only"),
        _ => Some("full"),
    };
    typed_field(&power.form.wrong, &TypedField { name, form: "run", label, value, placeholder })
}

/// A typed field of a form of this stage.
pub(super) struct TypedField<'a> {
    pub name: &'static str,
    /// Sets its note apart from those of the other forms of the page.
    pub form: &'static str,
    pub label: &'a str,
    pub value: &'a str,
    pub placeholder: Option<&'static str>,
}

/// The field with what is wrong with it; the first wrong one takes the focus.
pub(super) fn typed_field(wrong: &[FieldProblem], field: &TypedField) -> Markup {
    let TypedField { name, form, label, value, placeholder } = *field;
    let why = wrong.iter().find(|(field, _)| *field == name).map(|(_, why)| why);
    let first = wrong.first().is_some_and(|(field, _)| *field == name);
    let note = format!("{form}-{name}-note");
    let many = name == "speeds";
    let keys = if name == "steps" { "numeric" } else { "decimal" };
    html! {
        label {
            (label)
            input.wide[many] name=(name) inputmode=[(!many).then_some(keys)] autocomplete="off" placeholder=[placeholder] value=(value)
                aria-invalid=[why.map(|_| "true")] aria-describedby=[why.map(|_| note.as_str())] autofocus[first];
            @if let Some(why) = why { span.error id=(note) { (full_stop(why)) } }
        }
    }
}

/// Said above a form of this stage that came back.
pub(super) fn not_started(wrong: &[FieldProblem]) -> Markup {
    html! {
        @if !wrong.is_empty() { p.error role="alert" { "Nothing was started: " (count(wrong.len(), "field needs", "fields need")) " another look." } }
    }
}

/// So many parts of a computation: "16 speeds", "1 run".
fn parts(what: &str, n: usize) -> String {
    match what {
        "torque curve" => count(n, "speed", "speeds"),
        "sweep of the cams" => count(n, "pair of lobe centres", "pairs of lobe centres"),
        _ => count(n, "run", "runs"),
    }
}

/// The job as it stands; the script asks for it again while it runs.
pub fn progress(power: &PowerView) -> Markup {
    let job = power.job.as_ref();
    html! {
        div.progress id="progress" role="status" data-runs=[job.filter(|j| j.runs).map(|_| "yes")] data-at=(power.at("progress")) {
            @if let Some(job) = job {
                @if job.runs {
                    p { b.word { (sentence(&job.what)) } ": "
                        @if job.of == 0 { "beginning" } @else { (job.done) " of " (parts(&job.what, job.of)) ", " (count(usize::try_from(job.cycles).unwrap_or(usize::MAX), "cycle", "cycles")) }
                        @if job.stopping { ", stopping at the end of this cycle" } }
                    progress max=(job.of.max(1)) value=(job.done) aria-label=(format!("{}, how far", job.what)) {}
                    (so_far(power, &job.reached))
                    form.actions method="post" action=(power.at("stop")) {
                        input type="hidden" name="_token" value=(power.view.token);
                        button type="submit" disabled[job.stopping] { "Stop" }
                        span.quiet.small { "What is done is kept. This page may be closed meanwhile." }
                    }
                } @else if let Some(problem) = &job.problem {
                    p.error { (sentence(&job.what)) ": " (full_stop(problem)) }
                }
            }
            @if !job.is_some_and(|j| j.runs) { @for line in power.unfinished { (unfinished(power, line)) } }
        }
    }
}

/// What was stopped, with the way to go on.
fn unfinished(power: &PowerView, line: &UnfinishedLine) -> Markup {
    html! {
        div.ask {
            p { b.word { (sentence(&line.what)) } ", " (line.asked) ", begun " (when(&line.when)) ": stopped at "
                @if let Some(of) = line.of { (line.done) " of " (parts(&line.what, of)) } @else { (parts(&line.what, line.done)) }
                ". What is done is kept"
                @if line.so_far.is_some() { ", and stands under " a href=(power.at("choices")) { "Choices and cam timing" } }
                "." }
            (so_far(power, &line.reached))
            @if line.changed { p { b.word { "Stale" } ": the engine has changed since, so it cannot be gone on with: start it anew." } }
            @else if power.specification.is_complete() {
                form.actions method="post" action=(power.at("go-on")) {
                    input type="hidden" name="_token" value=(power.view.token);
                    input type="hidden" name="kind" value=(line.kind);
                    button type="submit" { "Go on" }
                }
            }
        }
    }
}

/// Torque and power of the points that are there so far.
fn so_far(power: &PowerView, reached: &[(f64, f64, f64)]) -> Markup {
    let units = power.shown();
    let plot = |title: &str, dimension: Dimension, of: &dyn Fn(&(f64, f64, f64)) -> f64| Plot {
        title: title.to_owned(),
        x: curve::speed_axis(),
        y: Axis { label: title.to_lowercase(), unit: units.symbol(dimension).to_owned(), step: None },
        lines: vec![Line {
            points: reached.iter().map(|p| (units::rpm(p.0), units.number(of(p), dimension))).collect(),
            marker: Marker::Dot,
            ..Line::default()
        }],
        decimals: Some(0),
        width: curve::WIDTH,
        height: 260.0,
        ..Plot::default()
    };
    html! {
        @if let [only] = reached {
            p { "So far: " (units.value(only.1, Dimension::Torque, 0)) " and " (units.value(only.2, Dimension::Power, 0)) " at " (rev(only.0)) " rev/min." }
        } @else if !reached.is_empty() {
            // Told in words above; drawn anew with each point, so readers are not told again.
            div.plot-row.so-far aria-hidden="true" {
                (drawn(drawing::plot(&plot("Torque", Dimension::Torque, &|p| p.1))))
                (drawn(drawing::plot(&plot("Power", Dimension::Power, &|p| p.2))))
            }
        }
    }
}

/// The fragment alone, for the script.
pub fn progress_fragment(power: &PowerView) -> String {
    progress(power).into_string()
}

/// Curve, findings, table.
fn result(power: &PowerView, shown: &ShownRun) -> Markup {
    let run = shown.run;
    html! {
        section {
            h2 { "Run " (shown.line.number) }
            p.small.quiet { (made_from(shown)) }
            (stale(power, &shown.changes))
            @if let Some(newer) = shown.newer_stopped {
                p { b.word { "Not the newest" } ": " a href=(format!("{}?run={newer}", power.at(""))) { "run " (newer) } " was stopped before it was whole, so this one still stands." }
            }
            @if let Some(speaks) = shown.speaks.filter(|n| *n != shown.line.number) {
                p { "The findings of the engine come from " a href=(format!("{}?run={speaks}", power.at(""))) { "run " (speaks) } ", not from this one." }
            }
            @if run.stopped || shown.unreached > 0 {
                p { b.word { "Stopped" } ": " (count(shown.unreached, "speed was", "speeds were")) " not reached. What was done is kept." }
            }
            @for failure in &run.failures { p.error { "At " (rev(failure.speed)) " rev/min: " (full_stop(&failure.why)) } }
            p { (worth(run)) }
            p.small.quiet { "Throttle, burn timing: " (compare::asked(&run.request)) "." }
            @if !run.correction_note.is_empty() { p.small.quiet { (full_stop(&sentence(&run.correction_note))) } }
            @if let Some(state) = curve::state_words(run) { p { (state) } }
            div.plot-row { @for plot in curve::plots(power, shown) { (figure(&plot)) } }
            (findings(power, shown))
            h2 { "Each speed" }
            p.small.quiet { "Volumetric efficiency: the air that is taken in over the air outside that would fill the swept volume. " (units::LAMBDA_IS) }
            (curve::table(power, run)) (curve::states_table(power, run))
        }
    }
}

/// "Torque curve by bench, 2026-03-06 12:10, from version 3 of the document and the log up to no. 542."
fn made_from(shown: &ShownRun) -> String {
    let goes_on = shown.resumes.map_or_else(String::new, |n| format!(" It goes on from run {n}."));
    format!("{}{goes_on}", made(&shown.line))
}

fn made(line: &KeptLine) -> String {
    format!(
        "By {}, {}, from version {} of the document and the log up to no. {}.",
        line.who,
        when(&line.when),
        line.document,
        line.sequence
    )
}

/// What changed since the run was made.
fn stale(power: &PowerView, changes: &[Change]) -> Markup {
    html! {
        @if !changes.is_empty() {
            div.ask.stale {
                p { b.word { "Stale" } ": " (count(changes.len(), "input has", "inputs have")) " changed since this run was made. Run it again before you decide on it." }
                details { summary { "What changed" }
                    ul.plain { @for change in changes { li { (power.shown().change(change)) } } } }
            }
        }
    }
}

/// When a study was made, and what changed since.
fn study_made<T: ?Sized>(power: &PowerView, shown: &ShownStudy<T>) -> Markup {
    html! {
        p.small.quiet { (made(&shown.line)) }
        @match &shown.changes {
            Some(changes) => { (stale(power, changes)) }
            None => { div.ask.stale { p { b.word { "Stale" } ": this result does not say which inputs it was made from. Compute it again before you decide on it." } } }
        }
    }
}

/// What the curve is worth.
fn worth(run: &PowerRun) -> String {
    let worth = Worth::of(run);
    format!("{} The shaded band is \u{b1} {:.0} %.", worth.words(run), 100.0 * worth.greatest)
}

/// Said above results whose inputs hold a published mean curve of flow.
fn published(inputs: &[SpecInput]) -> Markup {
    html! {
        @if let Some(rests) = rests_on_published(inputs) { p { b.word { "Rests on a published curve" } ": " (full_stop(&rests)) } }
    }
}

/// The working of one finding of a run; None when the run has no such finding.
pub fn power_finding_page(power: &PowerView, shown: &ShownRun, id: &str) -> Option<String> {
    let finding = shown.findings.iter().find(|f| f.id == id)?;
    let body = html! {
        p.small { a href=(format!("{}?run={}", power.at(""), shown.line.number)) { "Power, run " (shown.line.number) } }
        (caution())
        (stale(power, &shown.changes))
        div.working { (working(&power.view, finding)) }
    };
    Some(page(power, &sentence(&finding.title()), &body))
}

fn findings(power: &PowerView, shown: &ShownRun) -> Markup {
    let units = power.view.units();
    let findings = &shown.findings;
    let working =
        |f: &Finding| format!("{}?run={}&id={}", power.at("finding"), shown.line.number, path_query(&f.id));
    html! {
        @if !findings.is_empty() {
            h2 { "What it says" }
            ul.plain.power-findings { @for finding in findings {
                li {
                    b { a href=(working(finding)) { (sentence(&finding.title())) } } ": " (verdict_line(finding, units))
                    @if let Some(action) = first_action(finding, units) { div { (action) } }
                    @if !finding.why.is_empty() { div.small.quiet { (prose(&finding.why, units)) } }
                    (cause(&power.view, finding))
                    (crate::words::caution(finding.actions.iter().find_map(|a| a.caution)))
                }
            } }
        }
    }
}

fn kept(power: &PowerView) -> Markup {
    html! {
        @if !power.kept.is_empty() {
            section.no-print {
                h2 { "Kept results" }
                div.scroll role="region" tabindex="0" aria-label="Kept results, the newest first" { table.figures.kept aria-label="Kept results" {
                    thead { tr { th.n scope="col" { "number" } th scope="col" { "what" } th scope="col" { "made" } th scope="col" { "by" } th.n scope="col" { "document" } th.n scope="col" { "log" } } }
                    tbody { @for line in power.kept.iter().rev().take(30) { tr {
                        td.n { (line.number) }
                        th scope="row" { @if line.curve { a href=(format!("{}?run={}", power.at(""), line.number)) { (sentence(&line.what)) } } @else { (sentence(&line.what)) } }
                        td { (when(&line.when)) }
                        td { (line.who) }
                        td.n { "version " (line.document) }
                        td.n { "no. " (line.sequence) }
                    } } }
                } }
            }
        }
    }
}

/// A plot with its values as a table under a disclosure. The keyboard reads it value by value.
fn figure(plot: &Plot) -> Markup {
    let svg = drawing::plot(plot);
    let (head, mut rows) = plot_values(plot, 40);
    // A row where no line has a value says nothing.
    rows.retain(|row| row.iter().skip(1).any(|cell| !cell.is_empty()));
    html! {
        @if svg.is_empty() { p.quiet { (plot.title) ": nothing to draw." } }
        @else {
            figure.plot-figure {
                h3 { (plot.title) }
                (plot_box(&plot.title, svg))
                @if !rows.is_empty() { (values_table(&plot.title, &head, &rows)) }
            }
        }
    }
}

/// The box that takes the arrow keys.
fn plot_box(title: &str, svg: String) -> Markup {
    html! {
        div.plot-box tabindex="0" role="group" aria-label=(format!("{title}: the arrow keys read the values")) { (drawn(svg)) }
    }
}

fn values_table(title: &str, head: &[String], rows: &[Vec<String>]) -> Markup {
    let summary = html! { "Values as a table" span.reader-only { ": " (title) } " " span.count { (count(rows.len(), "row", "rows")) } };
    table_under(&summary, title, head, rows)
}

/// A table under words of its own, where one drawing has several.
fn table_under(summary: &Markup, title: &str, head: &[String], rows: &[Vec<String>]) -> Markup {
    html! {
        details.no-print {
            summary { (summary) }
            div.scroll role="region" tabindex="0" aria-label=(format!("{title}, values")) {
                table.figures {
                    thead { tr { @for cell in head { th.n scope="col" { (cell) } } } }
                    tbody { @for row in rows { tr { @for cell in row { td.n { (cell) } } } } }
                }
            }
        }
    }
}
