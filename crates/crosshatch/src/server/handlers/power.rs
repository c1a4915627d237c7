//! Power: pages, and the computations behind them.

use super::super::app::App;
use super::super::errors::{Fault, Page};
use super::form::{Fields, Posted, fields, get, refused};
use crate::workbench::{
    Assessed, Computed, Error, JobState, KeptResult, Unfinished, Work, is_range, speeds_text, unreached,
};
use ::engine::document::Document;
use ::engine::power::{
    Change, Choice, Column, Columns, CorrectionMode, Factor, Request, Specification, TimingMode, changes,
    curve_headings, findings, input_changes, read_curve,
};
use ::engine::quantity::counted;
use axum::extract::multipart::MultipartRejection;
use axum::extract::{Multipart, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use pages::{
    CalibrationForm, FieldProblem, JobLine, KeptLine, PowerView, RunForm, ShownRun, ShownStudy, SoFar,
    StudyForm, UnfinishedLine,
};
use serde::Deserialize;
use std::f64::consts::TAU;
use std::sync::Arc;

/// What an address may ask for.
#[derive(Debug, Default, Deserialize)]
pub(in crate::server) struct Asked {
    run: Option<u64>,
    point: Option<usize>,
    cylinder: Option<u32>,
    #[serde(default)]
    id: String,
}

/// One engine at one moment, with what was computed.
struct Moment {
    assessed: Arc<Assessed>,
    specification: Specification,
    kept: Vec<KeptLine>,
    unfinished: Vec<UnfinishedLine>,
}

/// `written` readings stand in the document; the log goes on counting after them.
fn line(info: &store::KeptInfo, written: u64) -> KeptLine {
    KeptLine {
        number: info.number,
        what: words(&info.kind).to_owned(),
        curve: info.kind == "power_curve",
        when: info.when.clone(),
        who: info.who.clone(),
        document: info.document,
        sequence: info.sequence + written,
    }
}

fn words(kind: &str) -> &'static str {
    match kind {
        "power_curve" => "torque curve",
        "power_choices" => "what each choice is worth",
        "power_sweep" => "sweep of the cams",
        "power_calibration" => "calibration",
        _ => "result of another program",
    }
}

impl Moment {
    fn line(&self, info: &store::KeptInfo) -> KeptLine {
        line(info, self.assessed.engine.document.readings.len() as u64)
    }

    fn of(app: &App, id: &str) -> Result<Self, Fault> {
        let (assessed, specification) = app.bench.specification(id)?;
        let written = assessed.engine.document.readings.len() as u64;
        let kept = app.bench.power_results(id)?.iter().map(|info| line(info, written)).collect();
        let unfinished = app
            .bench
            .unfinished_power(id)?
            .iter()
            .map(|unfinished| unfinished_line(unfinished, &assessed.engine.document))
            .collect();
        Ok(Self { assessed, specification, kept, unfinished })
    }

    /// Hands the shared view to `work`.
    fn page(&self, app: &App, work: impl FnOnce(&PowerView) -> String) -> String {
        self.page_of(app, None, work)
    }

    /// The same with the form of a run as it is handed in, else with the usual one.
    fn page_of(&self, app: &App, form: Option<RunForm>, work: impl FnOnce(&PowerView) -> String) -> String {
        let job = app.bench.power_job(&self.assessed.id).map(|job| job_line(job.kind, &job.state()));
        let request = Request::full_throttle(&self.assessed.engine.document);
        let speeds: Vec<String> =
            request.iter().flat_map(|r| &r.speeds).map(|s| format!("{:.0}", s * 60.0 / TAU)).collect();
        let speeds = speeds.join(", ");
        let usual = RunForm { speeds: speeds.clone(), ..RunForm::default() };
        let words = app.power_words(&self.assessed.id);
        let view = app.view(&self.assessed, &words, None);
        work(&PowerView {
            view,
            specification: &self.specification,
            kept: &self.kept,
            job,
            unfinished: &self.unfinished,
            speeds,
            form: form.unwrap_or(usual),
        })
    }

    /// A kept study as it is shown.
    fn study<'a, T: ?Sized>(&self, kept: &KeptResult, found: &'a T) -> ShownStudy<'a, T> {
        ShownStudy { line: self.line(&kept.info), found, changes: study_changes(&self.specification, kept) }
    }

    /// A kept curve as it is shown.
    fn shown<'a>(&self, kept: &'a KeptResult) -> Option<ShownRun<'a>> {
        let Computed::Curve(run) = &kept.computed else { return None };
        Some(ShownRun {
            line: self.line(&kept.info),
            resumes: kept.resumes,
            run,
            changes: changes(&self.specification, run),
            findings: findings(&self.assessed.engine, &self.assessed.assessment, run),
            unreached: unreached(run).len(),
            newer_stopped: None,
            speaks: self.assessed.curve,
        })
    }
}

/// The speeds of a run as they were typed: a range takes the speeds of the duty in by itself.
fn asked_speeds(request: &Request, document: &Document) -> String {
    let mut typed = request.clone();
    let duty: Vec<f64> = [document.duty.power_speed, document.duty.torque_speed]
        .into_iter()
        .flatten()
        .map(|s| s.0 * TAU)
        .collect();
    typed.speeds.retain(|speed| !duty.iter().any(|d| (d / speed - 1.0).abs() < 1e-9));
    let text = speeds_text(&typed.speeds);
    let through = |text: &str| {
        crate::workbench::speeds(text)
            .ok()
            .map(|speeds| Request { speeds, ..typed.clone() }.through_duty(document))
    };
    let same = |again: &Request| {
        again.speeds.len() == request.speeds.len()
            && again.speeds.iter().zip(&request.speeds).all(|(a, b)| (a / b - 1.0).abs() < 1e-6)
    };
    if is_range(&text) && through(&text).as_ref().is_some_and(same) {
        text
    } else {
        speeds_text(&request.speeds)
    }
}

/// The form as a run was asked.
fn run_form(request: &Request, document: &Document) -> RunForm {
    RunForm {
        speeds: asked_speeds(request, document),
        throttle: request.throttle.map_or_else(String::new, |t| ((t * 1e5).round() / 1e3).to_string()),
        ducts: request.ducts_at.map_or_else(String::new, |speed| speeds_text(&[speed])),
        timing: timing_word(request.timing),
        correction: correction_word(request.correction),
        wrong: Vec::new(),
    }
}

const fn timing_word(timing: TimingMode) -> &'static str {
    match timing {
        TimingMode::AsStated => "as_stated",
        TimingMode::Fixed => "fixed",
        TimingMode::KnockLimited => "knock_limited",
    }
}

const fn correction_word(correction: CorrectionMode) -> &'static str {
    match correction {
        CorrectionMode::AsRun => "as_run",
        CorrectionMode::SaeJ1349 => "sae_j1349",
        CorrectionMode::Iso1585 => "iso1585",
    }
}

fn unfinished_line(unfinished: &Unfinished, document: &Document) -> UnfinishedLine {
    let rev = |speed: f64| format!("{:.0} rev/min", speed * 60.0 / TAU);
    UnfinishedLine {
        what: words(&unfinished.kind).to_owned(),
        asked: match &unfinished.work {
            Work::Curve(request) => format!("{} rev/min", asked_speeds(request, document)),
            Work::Resume(number) => format!("going on from run {number}"),
            Work::Choices(speed) => format!("at {}", rev(*speed)),
            Work::Sweep(speed, steps, step) => {
                format!("at {}, {steps} steps of {:.1}° to either side", rev(*speed), step.to_degrees())
            }
            Work::Calibration(curve, factors, _) => {
                format!(
                    "{} on {}",
                    counted(factors.len(), "factor", "factors"),
                    counted(curve.points.len(), "measured speed", "measured speeds")
                )
            }
        },
        kind: unfinished.kind.clone(),
        when: unfinished.when.clone(),
        done: unfinished.done,
        of: unfinished.of,
        reached: unfinished.reached.clone(),
        so_far: match &unfinished.so_far {
            Some(Computed::Choices(speed, effects)) => Some(SoFar::Choices(*speed, effects.clone())),
            Some(Computed::Sweep(sweep)) => Some(SoFar::Sweep(sweep.clone())),
            _ => None,
        },
        changed: unfinished.changed,
    }
}

/// A factor is entered with two decimals at least.
const ROUNDED: f64 = 0.005;

/// What has changed since a study was made. An adjusted factor that was entered into the document is no reason to adjust again.
fn study_changes(specification: &Specification, kept: &KeptResult) -> Option<Vec<Change>> {
    let all = input_changes(specification, kept.inputs.as_deref()?);
    let entered = |change: &Change| match &kept.computed {
        Computed::Calibration(calibration) => {
            change.path == "power.residual"
                || calibration.factors.iter().any(|adjusted| {
                    adjusted.factor.path() == change.path
                        && change.now.is_some_and(|now| (now - adjusted.value).abs() <= ROUNDED)
                })
        }
        _ => false,
    };
    Some(all.into_iter().filter(|change| !entered(change)).collect())
}

fn job_line(kind: &str, state: &JobState) -> JobLine {
    JobLine {
        what: words(kind).to_owned(),
        done: state.done,
        of: state.of,
        cycles: state.cycles,
        reached: state.reached.clone(),
        runs: state.ended.is_none(),
        stopping: state.stopping,
        // What was stopped stands among the computations to go on with.
        problem: state
            .ended
            .as_ref()
            .filter(|_| !state.stopping)
            .and_then(|ended| ended.as_ref().err().cloned()),
    }
}

/// The curve asked for, else the latest; where that was stopped, the one that speaks for the engine and the number of the stopped one.
fn curve(
    app: &App,
    engine: &Assessed,
    number: Option<u64>,
) -> Result<(Option<KeptResult>, Option<u64>), Fault> {
    if let Some(number) = number {
        return Ok((Some(app.bench.power_result(&engine.id, number)?), None));
    }
    let latest = app.bench.latest_curve(&engine.id)?;
    let stopped = latest.as_ref().filter(|kept| match &kept.computed {
        Computed::Curve(run) => run.stopped,
        _ => false,
    });
    match (stopped.map(|kept| kept.info.number), engine.curve) {
        (Some(stopped), Some(speaks)) if speaks != stopped => {
            Ok((Some(app.bench.power_result(&engine.id, speaks)?), Some(stopped)))
        }
        _ => Ok((latest, None)),
    }
}

/// A page about one curve.
fn curve_page(
    app: &App,
    id: &str,
    number: Option<u64>,
    work: impl FnOnce(&PowerView, Option<&ShownRun>) -> String,
) -> Result<String, Fault> {
    curve_page_with(app, id, number, None, work)
}

/// The same with the form of a run as it was typed, else as the shown run was asked.
fn curve_page_with(
    app: &App,
    id: &str,
    number: Option<u64>,
    typed: Option<RunForm>,
    work: impl FnOnce(&PowerView, Option<&ShownRun>) -> String,
) -> Result<String, Fault> {
    let moment = Moment::of(app, id)?;
    let (kept, stopped) = curve(app, &moment.assessed, number)?;
    let mut shown = kept.as_ref().and_then(|k| moment.shown(k));
    if let Some(shown) = &mut shown {
        shown.newer_stopped = stopped;
    }
    let form =
        typed.or_else(|| shown.as_ref().map(|s| run_form(&s.run.request, &moment.assessed.engine.document)));
    Ok(moment.page_of(app, form, |power| work(power, shown.as_ref())))
}

/// GET /engine/{id}/power
pub(in crate::server) async fn show(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Page, Fault> {
    app.work(move |app| curve_page(app, &id, asked.run, pages::power_page).map(Page)).await
}

/// GET /engine/{id}/power/progress: the line of the computation alone.
pub(in crate::server) async fn progress(
    State(app): State<App>,
    Path(id): Path<String>,
) -> Result<Html<String>, Fault> {
    app.work(move |app| {
        let moment = Moment::of(app, &id)?;
        Ok(Html(moment.page(app, pages::progress_fragment)))
    })
    .await
}

/// GET /engine/{id}/power/inputs
pub(in crate::server) async fn inputs(State(app): State<App>, Path(id): Path<String>) -> Result<Page, Fault> {
    app.work(move |app| Ok(Page(Moment::of(app, &id)?.page(app, pages::inputs_page)))).await
}

/// GET /engine/{id}/power/inside
pub(in crate::server) async fn inside(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Page, Fault> {
    app.work(move |app| {
        curve_page(app, &id, asked.run, |power, shown| {
            pages::inside_page(power, shown, asked.point, asked.cylinder)
        })
        .map(Page)
    })
    .await
}

/// `GET /engine/{id}/power/finding?run=1&id=power_target/1`
pub(in crate::server) async fn finding(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Page, Fault> {
    app.work(move |app| {
        let mut page = None;
        curve_page(app, &id, asked.run, |power, shown| {
            page = shown.and_then(|shown| pages::power_finding_page(power, shown, &asked.id));
            String::new()
        })?;
        page.map(Page).ok_or_else(|| {
            let words =
                format!("This run has no finding \"{}\"; it may have had one before a change.", asked.id);
            Fault::missing(words).link(format!("/engine/{id}/power"), "Power")
        })
    })
    .await
}

/// GET /engine/{id}/power/choices
pub(in crate::server) async fn choices(
    State(app): State<App>,
    Path(id): Path<String>,
) -> Result<Page, Fault> {
    app.work(move |app| studies(app, &id, |_| {}).map(Page)).await
}

/// The page of the studies; `typed` puts what was typed over what its forms hold otherwise.
fn studies(app: &App, id: &str, typed: impl FnOnce(&mut StudyForm)) -> Result<String, Fault> {
    let moment = Moment::of(app, id)?;
    let choices = app.bench.latest_power(id, "power_choices")?;
    let sweep = app.bench.latest_power(id, "power_sweep")?;
    let duty = &moment.assessed.engine.document.duty;
    let usual = duty.power_speed.or(duty.limiter).map_or_else(String::new, |s| format!("{:.0}", s.0 * 60.0));
    let mut filled = StudyForm {
        speed: usual.clone(),
        sweep_speed: usual,
        steps: "5".to_owned(),
        step: "4".to_owned(),
        ..StudyForm::default()
    };
    if let Some(Computed::Choices(speed, effects)) = choices.as_ref().map(|k| &k.computed) {
        filled.speed = speeds_text(&[*speed]);
        let lost = |c: &Choice| c.applies(&moment.specification) && !effects.iter().any(|e| e.choice == *c);
        filled.unsettled = Choice::ALL.into_iter().filter(lost).map(Choice::words).collect();
    }
    if let Some(Computed::Sweep(sweep)) = sweep.as_ref().map(|k| &k.computed) {
        filled.sweep_speed = speeds_text(&[sweep.speed]);
        filled.steps = (sweep.intake.len() / 2).to_string();
        if let [first, second, ..] = sweep.intake[..] {
            filled.step = (((second - first).to_degrees() * 1e3).round() / 1e3).to_string();
        }
    }
    typed(&mut filled);
    Ok(moment.page(app, |power| {
        let effects = choices.as_ref().and_then(|k| match &k.computed {
            Computed::Choices(speed, effects) => Some((*speed, moment.study(k, effects.as_slice()))),
            _ => None,
        });
        let sweep = sweep.as_ref().and_then(|k| match &k.computed {
            Computed::Sweep(sweep) => Some(moment.study(k, sweep)),
            _ => None,
        });
        pages::studies_page(power, &filled, effects.as_ref(), sweep.as_ref())
    }))
}

/// GET /engine/{id}/power/compare?run=1&run=3
pub(in crate::server) async fn compare(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(chosen): Query<Vec<(String, String)>>,
) -> Result<Page, Fault> {
    app.work(move |app| {
        let moment = Moment::of(app, &id)?;
        let numbers =
            chosen.iter().filter(|(name, _)| name == "run").filter_map(|(_, n)| n.parse::<u64>().ok());
        let kept: Vec<KeptResult> =
            numbers.take(6).map(|n| app.bench.power_result(&id, n)).collect::<Result<_, _>>()?;
        let shown: Vec<ShownRun> = kept.iter().filter_map(|k| moment.shown(k)).collect();
        Ok(Page(moment.page(app, |power| pages::compare_page(power, &shown))))
    })
    .await
}

/// GET /engine/{id}/power/calibrate
pub(in crate::server) async fn calibration(
    State(app): State<App>,
    Path(id): Path<String>,
) -> Result<Page, Fault> {
    app.work(move |app| calibration_page(app, &id, &CalibrationForm::default()).map(Page)).await
}

fn calibration_page(app: &App, id: &str, form: &CalibrationForm) -> Result<String, Fault> {
    let moment = Moment::of(app, id)?;
    let kept = app.bench.latest_power(id, "power_calibration")?;
    let found = kept.as_ref().and_then(|k| match &k.computed {
        Computed::Calibration(calibration) => Some(moment.study(k, calibration)),
        _ => None,
    });
    Ok(moment.page(app, |power| pages::calibration_page(power, form, found.as_ref())))
}

/// POST /engine/{id}/power/calibrate/file: reads the headings and asks which column is what.
pub(in crate::server) async fn curve_file(
    State(app): State<App>,
    Path(id): Path<String>,
    parts: Result<Multipart, MultipartRejection>,
) -> Result<Response, Fault> {
    let mut parts = parts.map_err(|rejection| refused(rejection.status(), &rejection.body_text()))?;
    let wrong = |error: axum::extract::multipart::MultipartError| refused(error.status(), &error.body_text());
    let (mut token, mut bytes) = (String::new(), Vec::new());
    while let Some(part) = parts.next_field().await.map_err(wrong)? {
        let name = part.name().unwrap_or_default().to_owned();
        let sent = part.bytes().await.map_err(wrong)?.to_vec();
        match name.as_str() {
            "_token" => token = String::from_utf8_lossy(&sent).into_owned(),
            "curve" | "curve_file" if !sent.is_empty() => bytes = sent,
            _ => {}
        }
    }
    app.check_token(Some(&token))?;
    app.work(move |app| {
        let text = String::from_utf8_lossy(&bytes).trim_start_matches('\u{feff}').replace("\r\n", "\n");
        let form = with_headings(text);
        let status = if form.problems.is_empty() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
        Ok((status, Page(calibration_page(app, &id, &form)?)).into_response())
    })
    .await
}

fn with_headings(text: String) -> CalibrationForm {
    let few = "a line of headings must name at least two columns: a speed and a torque; between the cells stand commas, semicolons or tabs";
    let problem = match curve_headings(&text) {
        Ok(headings) if headings.len() >= 2 => {
            return CalibrationForm { text, headings, ..CalibrationForm::default() };
        }
        Ok(_) => few.to_owned(),
        Err(error) => error.to_string(),
    };
    CalibrationForm { text, problems: vec![problem], ..CalibrationForm::default() }
}

/// POST /engine/{id}/power/calibrate
pub(in crate::server) async fn adjust(
    State(app): State<App>,
    Path(id): Path<String>,
    posted: Posted,
) -> Result<Response, Fault> {
    let fields = fields(&app, posted)?;
    app.work(move |app| {
        let text = get(&fields, "curve").replace("\r\n", "\n");
        let started = calibration_work(&text, &fields)
            .and_then(|work| app.bench.start_power(&id, work).map_err(|e| vec![e.to_string()]));
        match started {
            Ok(_) => Ok(Redirect::to(&format!("/engine/{id}/power/calibrate")).into_response()),
            Err(problems) => {
                let form = CalibrationForm {
                    problems,
                    filled: fields
                        .iter()
                        .filter(|(name, _)| !["curve", "_token"].contains(&name.as_str()))
                        .cloned()
                        .collect(),
                    ..with_headings(text)
                };
                Ok((StatusCode::UNPROCESSABLE_ENTITY, Page(calibration_page(app, &id, &form)?))
                    .into_response())
            }
        }
    })
    .await
}

/// What the form of a calibration asks for, else all that is wrong with it.
fn calibration_work(text: &str, fields: &Fields) -> Result<Work, Vec<String>> {
    let mut wrong = Vec::new();
    let column = |name: &str| {
        let heading = get(fields, &format!("column_{name}")).to_owned();
        let unit = get(fields, &format!("unit_{name}")).trim().to_owned();
        (!heading.is_empty()).then_some(Column { name: heading, unit })
    };
    let mut needed = |name: &str| {
        column(name).or_else(|| {
            wrong.push(format!("say which column is the {name}"));
            None
        })
    };
    let columns = (needed("speed"), needed("torque"));
    let curve = if let (Some(speed), Some(torque)) = columns {
        let columns = Columns { speed, torque, boost: column("boost"), lambda: column("lambda") };
        read_curve(text, &columns).map(|read| read.curve).map_err(|e| wrong.push(e.to_string())).ok()
    } else {
        None
    };
    let mut choose = Vec::new();
    for factor in Factor::ALL {
        let key = factor.path().trim_start_matches("power.");
        if get(fields, &format!("adjust_{key}")) == "yes" {
            let mut bound = |end: &str| {
                let written = get(fields, &format!("{end}_{key}"));
                number(written).unwrap_or_else(|| {
                    wrong.push(format!("{}: \"{}\" is no number", factor.words(), written.trim()));
                    f64::NAN
                })
            };
            choose.push((factor, bound("least"), bound("most")));
        }
    }
    let Some(curve) = curve.filter(|_| wrong.is_empty()) else { return Err(wrong) };
    let every: usize = get(fields, "held_out").parse().unwrap_or(0);
    let held = |i: &usize| every > 1 && i % every == every / 2;
    let held_out = (0..curve.points.len()).filter(held).collect();
    Ok(Work::Calibration(curve, choose, held_out))
}

/// Starts work and goes back to `page`.
fn started(app: &App, id: &str, page: &str, work: Result<Work, String>) -> Result<Redirect, Fault> {
    let back = format!("/engine/{id}/{page}");
    let outcome = work.map_err(Error::Power).and_then(|work| app.bench.start_power(id, work));
    match outcome {
        Ok(_) => Ok(Redirect::to(&back)),
        Err(error) => Err(Fault::from(error).link(back, "Power")),
    }
}

/// POST /engine/{id}/power/run
pub(in crate::server) async fn run(
    State(app): State<App>,
    Path(id): Path<String>,
    posted: Posted,
) -> Result<Response, Fault> {
    let fields = fields(&app, posted)?;
    app.work(move |app| match request(&fields) {
        Ok(mut request) => {
            if is_range(get(&fields, "speeds")) {
                let (assessed, _) = app.bench.specification(&id)?;
                request = request.through_duty(&assessed.engine.document);
            }
            started(app, &id, "power", Ok(Work::Curve(request))).map(IntoResponse::into_response)
        }
        Err(wrong) => {
            let html = curve_page_with(app, &id, None, Some(typed_run(&fields, wrong)), pages::power_page)?;
            Ok((StatusCode::UNPROCESSABLE_ENTITY, Page(html)).into_response())
        }
    })
    .await
}

/// The form of a run as it was typed.
fn typed_run(fields: &Fields, wrong: Vec<FieldProblem>) -> RunForm {
    RunForm {
        speeds: get(fields, "speeds").to_owned(),
        throttle: get(fields, "throttle").to_owned(),
        ducts: get(fields, "ducts").to_owned(),
        timing: timing_word(timing(fields)),
        correction: correction_word(correction(fields)),
        wrong,
    }
}

/// What the form asks for, else what is wrong with each field.
fn request(fields: &Fields) -> Result<Request, Vec<FieldProblem>> {
    let mut wrong = Vec::new();
    let speeds = crate::workbench::speeds(get(fields, "speeds")).map_err(|why| wrong.push(("speeds", why)));
    let throttle = opening(get(fields, "throttle")).map_err(|why| wrong.push(("throttle", why)));
    let ducts_at = one_speed(get(fields, "ducts")).map_err(|why| wrong.push(("ducts", why)));
    let (Ok(speeds), Ok(throttle), Ok(ducts_at)) = (speeds, throttle, ducts_at) else {
        return Err(wrong);
    };
    let (timing, correction) = (timing(fields), correction(fields));
    Ok(Request { speeds, throttle, timing, correction, traces: true, ducts_at })
}

/// A number as it is typed, with a decimal comma or point.
fn number(text: &str) -> Option<f64> {
    text.trim().replace(',', ".").parse().ok()
}

/// A throttle opening in per cent as a share; nothing typed is none.
fn opening(text: &str) -> Result<Option<f64>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    match number(text.trim_end_matches('%')) {
        Some(percent) if percent > 0.0 && percent <= 100.0 => Ok(Some(percent / 100.0)),
        _ => Err(format!("\"{text}\" is no opening; expected above 0 and up to 100 %, or nothing")),
    }
}

/// One crank speed in rad/s; nothing typed is none.
fn one_speed(text: &str) -> Result<Option<f64>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    match crate::workbench::speeds(text)?.as_slice() {
        [one] => Ok(Some(*one)),
        _ => Err(format!("\"{text}\" is not one crank speed")),
    }
}

fn timing(fields: &Fields) -> TimingMode {
    match get(fields, "timing") {
        "fixed" => TimingMode::Fixed,
        "knock_limited" => TimingMode::KnockLimited,
        _ => TimingMode::AsStated,
    }
}

fn correction(fields: &Fields) -> CorrectionMode {
    match get(fields, "correction") {
        "sae_j1349" => CorrectionMode::SaeJ1349,
        "iso1585" => CorrectionMode::Iso1585,
        _ => CorrectionMode::AsRun,
    }
}

/// POST /engine/{id}/power/resume
pub(in crate::server) async fn resume(
    State(app): State<App>,
    Path(id): Path<String>,
    posted: Posted,
) -> Result<Redirect, Fault> {
    let fields = fields(&app, posted)?;
    app.work(move |app| {
        let number = get(&fields, "number");
        let work = number.parse().map(Work::Resume).map_err(|_| format!("\"{number}\" is no run"));
        started(app, &id, "power", work)
    })
    .await
}

/// POST /engine/{id}/power/go-on: with what was stopped, or ended with the program.
pub(in crate::server) async fn go_on(
    State(app): State<App>,
    Path(id): Path<String>,
    posted: Posted,
) -> Result<Redirect, Fault> {
    let fields = fields(&app, posted)?;
    app.work(move |app| {
        let kind = get(&fields, "kind");
        let back = format!("/engine/{id}/{}", page_of(kind));
        match app.bench.go_on_power(&id, kind) {
            Ok(_) => Ok(Redirect::to(&back)),
            Err(error) => Err(Fault::from(error).link(back, "Power")),
        }
    })
    .await
}

/// The page on which a computation stands.
fn page_of(kind: &str) -> &'static str {
    match kind {
        "power_calibration" => "power/calibrate",
        "power_choices" | "power_sweep" => "power/choices",
        _ => "power",
    }
}

/// POST /engine/{id}/power/stop
pub(in crate::server) async fn stop(
    State(app): State<App>,
    Path(id): Path<String>,
    posted: Posted,
) -> Result<Redirect, Fault> {
    let _ = fields(&app, posted)?;
    app.work(move |app| {
        let job = app.bench.power_job(&id).ok_or_else(|| Fault::missing("Nothing runs for this engine."))?;
        job.stop();
        Ok(Redirect::to(&format!("/engine/{id}/{}", page_of(job.kind))))
    })
    .await
}

/// POST /engine/{id}/power/choices and /sweep
pub(in crate::server) async fn study(
    State(app): State<App>,
    Path((id, study)): Path<(String, String)>,
    posted: Posted,
) -> Result<Response, Fault> {
    let fields = fields(&app, posted)?;
    app.work(move |app| {
        let work = match study.as_str() {
            "choices" => choices_work(&fields),
            "sweep" => sweep_work(&fields),
            other => return Err(Error::Power(format!("\"{other}\" is no study")).into()),
        };
        match work {
            Ok(work) => started(app, &id, "power/choices", Ok(work)).map(IntoResponse::into_response),
            Err(wrong) => {
                let html = studies(app, &id, |form| typed_study(form, &study, &fields, wrong))?;
                Ok((StatusCode::UNPROCESSABLE_ENTITY, Page(html)).into_response())
            }
        }
    })
    .await
}

/// The form of a study as it was typed.
fn typed_study(form: &mut StudyForm, study: &str, fields: &Fields, wrong: Vec<FieldProblem>) {
    let typed = |name: &str| get(fields, name).to_owned();
    if study == "sweep" {
        (form.sweep_speed, form.steps, form.step) = (typed("speed"), typed("steps"), typed("step"));
        form.wrong = [Vec::new(), wrong];
    } else {
        form.speed = typed("speed");
        form.wrong = [wrong, Vec::new()];
    }
}

/// What a field of a study says.
fn above_zero(fields: &Fields, name: &str, most: f64) -> Result<f64, String> {
    let text = get(fields, name).trim();
    match number(text).filter(|n| *n > 0.0 && n.is_finite()) {
        None => Err(format!("\"{text}\" is no number above zero")),
        Some(number) if number > most => Err(format!("{text} is too much; expected at most {most}")),
        Some(number) => Ok(number),
    }
}

/// Steps to either side, and degrees of crank in each, of a sweep at the most.
const MOST_STEPS: f64 = 20.0;

/// Crank speed of a study, rad/s.
fn study_speed(fields: &Fields) -> Result<f64, FieldProblem> {
    let speed = above_zero(fields, "speed", f64::INFINITY).map_err(|why| ("speed", why))?;
    Ok(speed * TAU / 60.0)
}

fn choices_work(fields: &Fields) -> Result<Work, Vec<FieldProblem>> {
    study_speed(fields).map(Work::Choices).map_err(|wrong| vec![wrong])
}

fn sweep_work(fields: &Fields) -> Result<Work, Vec<FieldProblem>> {
    let mut wrong = Vec::new();
    let speed = study_speed(fields).map_err(|why| wrong.push(why));
    let steps = above_zero(fields, "steps", MOST_STEPS).map_err(|why| wrong.push(("steps", why)));
    let step = above_zero(fields, "step", MOST_STEPS).map_err(|why| wrong.push(("step", why)));
    let (Ok(speed), Ok(steps), Ok(step)) = (speed, steps, step) else { return Err(wrong) };
    Ok(Work::Sweep(speed, steps as u32, step.to_radians()))
}

impl App {
    /// How power stands, for the top edge.
    pub(in crate::server) fn power_words(&self, id: &str) -> String {
        if self.bench.power_job(id).is_some_and(|job| job.runs()) {
            return "running".to_owned();
        }
        let stale = |assessed: Arc<Assessed>| {
            assessed.assessment.findings.iter().any(|f| f.stale && f.code.starts_with("power_"))
        };
        if self.bench.engine(id).is_ok_and(stale) {
            return "stale".to_owned();
        }
        match self.bench.power_results(id).map(|all| all.iter().filter(|r| r.kind == "power_curve").count()) {
            Ok(n) if n > 0 => counted(n, "run", "runs"),
            _ => "not run".to_owned(),
        }
    }
}
