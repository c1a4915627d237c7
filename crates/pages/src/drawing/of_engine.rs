//! From an engine and what was found to the drawings of a sheet. Nothing is judged here: values, limits and verdicts
//! are those of the findings and sizes.

use super::bore_form::bore_form;
use super::deviations::{Deviations, Round, Surface, deviations};
use super::fit::{FitDrawing, fit_drawing};
use super::main_line::{MainAxis, MainLine, main_line};
use super::measured::{Allowed, Figures, Value};
use super::plot::{Axis, Line, Plot, plot};
use super::rows::{Item, Row, bars, deck_figure, lash_figure, ring_gap_figure};
use super::spring_heights::{SpringHeights, spring_figure};
use super::walls::{WallColumn, WallMap, WallRing, columns_in, wall_map};
use engine::features::{HEIGHTS, Sheet, WALL_DIRECTIONS, bank_letter, bank_name};
use engine::findings::{Bench, CoreShift, Finding, Input, Verdict, core_shift};
use engine::quantity::{Dimension, UnitSystem};
use engine::{Assessment, Engine};
use mechanics::metrology::Uncertain;
use mechanics::metrology::form::offsets_from_end_line;

/// A drawing with its title.
#[derive(Clone, Debug, PartialEq)]
pub struct Titled {
    /// What it shows, for the heading above it.
    pub title: String,
    /// The `<svg>`.
    pub svg: String,
}

/// What every function here needs.
#[derive(Clone, Copy)]
struct Source<'a> {
    engine: &'a Engine,
    assessment: &'a Assessment,
    width: f64,
}

/// The drawings that stand under a reading sheet, at the width at which they will be shown; what has nothing to show is
/// left out.
pub fn sheet_drawings(engine: &Engine, assessment: &Assessment, sheet: Sheet, width: f64) -> Vec<Titled> {
    let source = Source { engine, assessment, width };
    let fine = Figures::fine_lengths(engine.units());
    let coarse = Figures::lengths(engine.units());
    let list = match sheet {
        Sheet::Casting => vec![("Main tunnel", line(source))],
        Sheet::Bores => {
            let bores = bores(source);
            vec![("Bores", deviations(&bores)), ("Form of the bores", bore_form(&bores))]
        }
        Sheet::Crank => vec![
            ("Main journals", journals(source, "main")),
            ("Crank pins", journals(source, "pin")),
            ("Run-out of the mains", row(source, "crank_run_out", "run-out", fine, bars)),
        ],
        Sheet::Bearings => vec![
            ("Main bearings", row(source, "main_clearance", "main oil clearance", fine, bars)),
            ("Rod bearings", row(source, "rod_clearance", "rod oil clearance", fine, bars)),
        ],
        Sheet::Rods => {
            vec![("Side clearance", row(source, "rod_side_clearance", "rod side clearance", coarse, bars))]
        }
        Sheet::Pistons => vec![
            ("Pistons in bores", row(source, "piston_clearance", "skirt clearance", fine, bars)),
            ("Top ring gaps", row(source, "top_ring_gap", "top ring end gap", coarse, ring_gap_figure)),
            (
                "Second ring gaps",
                row(source, "second_ring_gap", "second ring end gap", coarse, ring_gap_figure),
            ),
        ],
        Sheet::Head => head(source),
        Sheet::Valves => valves(source),
    };
    let mut all: Vec<Titled> = list
        .into_iter()
        .filter(|(_, svg)| !svg.is_empty())
        .map(|(title, svg)| Titled { title: title.to_owned(), svg })
        .collect();
    if sheet == Sheet::Casting {
        all.splice(0..0, walls(source));
    }
    if sheet == Sheet::Head {
        all.extend(decks(source));
    }
    if sheet == Sheet::Valves {
        all.extend(springs(source));
    }
    all
}

impl<'a> Source<'a> {
    fn units(self) -> UnitSystem {
        self.engine.units()
    }

    fn uncertain(self, path: &str) -> Option<(&'a Uncertain, bool)> {
        let size = self.assessment.sizes.of_feature.get(self.engine.catalogue.find(path)?)?.as_ref()?;
        Some((&size.value, size.stale))
    }

    fn value(self, path: &str) -> Option<Value> {
        self.uncertain(path).map(|(v, stale)| Value {
            value: v.value(),
            expanded: v.expanded(),
            predicted: false,
            stale,
        })
    }

    /// Findings with that code, in the order of the job.
    fn of_code(self, code: &str) -> Vec<&'a Finding> {
        let mut list: Vec<&'a Finding> = self.assessment.findings.iter().filter(|f| f.code == code).collect();
        list.sort_by_key(|f| instance_order(&f.subject.instance));
        list
    }

    /// Does one of these questions stop the build for this instance?
    fn stops(self, codes: &[&str], instance: &str) -> bool {
        self.assessment
            .findings
            .iter()
            .any(|f| f.verdict == Verdict::Bad && f.subject.instance == instance && codes.contains(&f.code))
    }

    fn limit(self, code: &str) -> Allowed {
        self.of_code(code).first().map_or(Allowed::default(), |f| allowed(f))
    }

    fn cylinders(self) -> std::ops::RangeInclusive<u32> {
        1..=self.engine.document.layout.cylinders.unwrap_or(0).min(12)
    }
}

/// Numbers by value, valves by cylinder, intake before exhaust, then by letter.
fn instance_order(instance: &str) -> (u32, bool, String) {
    let digits: String = instance.chars().filter(char::is_ascii_digit).collect();
    (digits.parse().unwrap_or(0), instance.starts_with("exhaust"), instance.to_owned())
}

fn allowed(finding: &Finding) -> Allowed {
    finding.limit.as_ref().map_or(Allowed::default(), |l| Allowed { min: l.min, max: l.max })
}

fn measured(finding: &Finding) -> Option<Value> {
    finding.value.map(|v| Value {
        value: v.value,
        expanded: v.expanded,
        predicted: v.predicted,
        stale: finding.stale,
    })
}

/// "intake.3b" as "3 intake b".
fn spoken(instance: &str) -> String {
    match super::section::anchors::valve_of(instance) {
        Some((side, cylinder, letter)) => format!("{cylinder} {} {letter}", side.word()),
        None => instance.split('.').next().unwrap_or(instance).to_owned(),
    }
}

fn row_data(source: Source, code: &str, title: &str, figures: Figures) -> Row {
    let findings = source.of_code(code);
    let common = findings.first().map_or(Allowed::default(), |f| allowed(f));
    let items = findings
        .iter()
        .map(|f| Item {
            label: spoken(&f.subject.instance),
            value: measured(f),
            allowed: Some(allowed(f)).filter(|a| *a != common),
            note: String::new(),
            stops: f.verdict == Verdict::Bad,
        })
        .collect();
    Row { title: title.to_owned(), items, allowed: common, figures, width: source.width }
}

fn row(source: Source, code: &str, title: &str, figures: Figures, draw: fn(&Row) -> String) -> String {
    draw(&row_data(source, code, title, figures))
}

fn bores(source: Source<'_>) -> Deviations<'static> {
    let rounds = source
        .cylinders()
        .map(|c| Round {
            label: c.to_string(),
            levels: HEIGHTS
                .iter()
                .map(|h| ["thrust", "along"].map(|d| source.value(&format!("block.bore.{c}.{h}.{d}"))))
                .collect(),
            stops: source.stops(&["bore_size", "bore_taper", "bore_round"], &c.to_string()),
        })
        .collect();
    Deviations {
        surface: Surface::Bore,
        rounds,
        levels: &HEIGHTS,
        directions: ["thrust", "along"],
        reference: source.engine.document.layout.bore.map(|b| b.0),
        allowed: source.limit("bore_size"),
        figures: Figures::fine_lengths(source.units()),
        width: source.width,
    }
}

fn journals(source: Source, which: &str) -> String {
    let document = &source.engine.document;
    let (count, target) = if which == "main" {
        (document.main_count(), document.crank.main_journal.as_ref())
    } else {
        (document.throw_count(), document.crank.pin_journal.as_ref())
    };
    let allowed =
        target.map_or(Allowed::default(), |t| Allowed { min: t.min.map(|q| q.0), max: t.max.map(|q| q.0) });
    let rounds = (1..=count)
        .map(|n| {
            let paths = |e: &str| ["vertical", "across"].map(|d| format!("crank.{which}.{n}.{e}.{d}"));
            let own: Vec<&Finding> = source
                .assessment
                .findings
                .iter()
                .filter(|f| {
                    f.sheet == Sheet::Crank
                        && f.subject.features.iter().any(|p| p.starts_with(&format!("crank.{which}.{n}.")))
                })
                .collect();
            Round {
                label: n.to_string(),
                levels: ["front", "rear"].iter().map(|e| paths(e).map(|p| source.value(&p))).collect(),
                stops: own.iter().any(|f| f.verdict == Verdict::Bad),
            }
        })
        .collect();
    deviations(&Deviations {
        surface: Surface::Journal,
        rounds,
        levels: &["front", "rear"],
        directions: ["in line", "across"],
        reference: target.and_then(|t| t.nominal).map(|n| n.0),
        allowed,
        figures: Figures::fine_lengths(source.units()),
        width: source.width,
    })
}

/// Broad enough for one row of cylinders, so that a drawing fits on a page: more cylinders than that have one each.
const BROAD: f64 = 1000.0;

fn walls(source: Source) -> Vec<Titled> {
    let document = &source.engine.document;
    if document.block.is_of_separate_barrels() {
        return Vec::new();
    }
    let Some(bore) = document.block.bore_as_found.or(document.layout.bore) else { return Vec::new() };
    let limit = source.limit("wall").min;
    let cylinders: Vec<WallColumn> = source
        .cylinders()
        .map(|c| {
            let bench = Bench { engine: source.engine, sizes: &source.assessment.sizes };
            let map = core_shift(bench, c);
            WallColumn {
                label: c.to_string(),
                rings: HEIGHTS.iter().map(|h| wall_ring(source, c, h, map.as_ref())).collect(),
                stops: source.stops(&["wall"], &c.to_string()),
            }
        })
        .collect();
    // What the finding takes off a reading for the cut to come, so that the circle stands where readings are compared.
    let cut = source
        .of_code("wall")
        .iter()
        .filter_map(|f| {
            let read = f.working.inputs.iter().filter(|i| i.feature.is_some());
            let least = read.map(|i| i.value.value).fold(f64::INFINITY, f64::min);
            f.value.map(|v| least - v.value)
        })
        .find(|c| c.is_finite());
    let most = if source.width < BROAD { cylinders.len() } else { columns_in(source.width) };
    let several = cylinders.len() > most;
    cylinders
        .chunks(most.max(1))
        .map(|some| {
            let svg = wall_map(&WallMap {
                cylinders: some.to_vec(),
                bore: bore.0,
                least: limit.map(|l| l + cut.unwrap_or(0.0)),
                figures: Figures::lengths(source.units()),
                width: source.width,
            });
            let title = match (several, some.first().zip(some.last())) {
                (true, Some((first, last))) => format!("Bore walls {} to {}", first.label, last.label),
                _ => "Bore walls".to_owned(),
            };
            Titled { title, svg }
        })
        .filter(|drawing| !drawing.svg.is_empty())
        .collect()
}

fn wall_ring(source: Source, cylinder: u32, height: &str, map: Option<&CoreShift>) -> WallRing {
    let path = |d: &str| format!("block.wall.{cylinder}.{height}.{d}");
    let thickness: Vec<Option<Value>> = WALL_DIRECTIONS.iter().map(|d| source.value(&path(d))).collect();
    let here = map.and_then(|map| map.heights.iter().find(|(name, _)| *name == height));
    let shift = here.map(|(_, fit)| (fit.shift_x.value(), fit.shift_y.value()));
    WallRing { height: height.to_owned(), thickness, shift }
}

fn line(source: Source) -> String {
    let count = source.engine.document.main_count();
    let plane = |direction: &str| -> Option<Vec<Uncertain>> {
        let read: Vec<&Uncertain> = (1..=count)
            .map(|m| source.uncertain(&format!("block.main_axis.{m}.{direction}")).map(|u| u.0))
            .collect::<Option<_>>()?;
        let supports: Vec<(f64, &Uncertain)> =
            read.into_iter().enumerate().map(|(i, v)| (i as f64, v)).collect();
        offsets_from_end_line(&supports).ok()
    };
    let (up, aside) = (plane("up"), plane("aside"));
    let pick = |list: &Option<Vec<Uncertain>>, i: u32| {
        list.as_ref().and_then(|l| l.get(i as usize)).map(|v| Value::of(v.value(), v.expanded()))
    };
    let mains = (0..count)
        .map(|i| MainAxis {
            label: (i + 1).to_string(),
            up: pick(&up, i),
            aside: pick(&aside, i),
            stops: source.stops(&["main_line"], &(i + 1).to_string()),
        })
        .collect();
    main_line(&MainLine {
        mains,
        limit: source.limit("main_line").max,
        figures: Figures::fine_lengths(source.units()),
        width: source.width,
    })
}

fn head(source: Source) -> Vec<(&'static str, String)> {
    let units = source.units();
    let volume = Figures { units, dimension: Dimension::Volume, decimals: 2 };
    let ratio = Figures { units, dimension: Dimension::Ratio, decimals: 2 };
    let coarse = Figures::lengths(units);
    vec![
        ("Chambers", row(source, "chamber", "chamber volume", volume, bars)),
        ("Compression", row(source, "compression_ratio", "compression ratio", ratio, bars)),
        ("Quench", row(source, "quench", "piston to head", coarse, bars)),
    ]
}

/// Piston below deck for each bank, with the lean of its deck.
fn decks(source: Source) -> Vec<Titled> {
    let banks = source.engine.document.banks();
    let mut list = Vec::new();
    for (bank, cylinders) in banks.iter().enumerate() {
        let name = bank_name(bank);
        let items: Vec<Item> = cylinders
            .iter()
            .map(|c| {
                let ends: Vec<Value> = ["front", "rear"]
                    .iter()
                    .filter_map(|e| source.value(&format!("cylinder.{c}.below_deck.{e}")))
                    .collect();
                let value = (!ends.is_empty()).then(|| Value {
                    value: ends.iter().map(|v| v.value).sum::<f64>() / ends.len() as f64,
                    ..ends[0]
                });
                Item {
                    label: c.to_string(),
                    value,
                    allowed: None,
                    note: String::new(),
                    stops: source.stops(&["quench"], &c.to_string()),
                }
            })
            .collect();
        let corner = |e: &str| {
            let both: Vec<Value> = ["in", "out"]
                .iter()
                .filter_map(|s| source.value(&format!("block.deck_height.{name}.{e}.{s}")))
                .collect();
            (both.len() == 2).then(|| Value { value: f64::midpoint(both[0].value, both[1].value), ..both[0] })
        };
        let lean = corner("front").zip(corner("rear"));
        let barrels = source.engine.document.block.is_of_separate_barrels();
        let below = if barrels { "piston below the top of its barrel" } else { "piston below deck" };
        let title =
            if banks.len() > 1 { format!("{below}, bank {}", bank_letter(bank)) } else { below.to_owned() };
        let figures = Figures::fine_lengths(source.units());
        let svg = deck_figure(
            &Row { title, items, allowed: Allowed::default(), figures, width: source.width },
            lean,
        );
        if !svg.is_empty() {
            list.push(Titled { title: if barrels { "Barrels" } else { "Deck" }.to_owned(), svg });
        }
    }
    list
}

fn valves(source: Source) -> Vec<(&'static str, String)> {
    let coarse = Figures::lengths(source.units());
    let mut data = row_data(source, "lash", "lash", coarse);
    for (item, finding) in data.items.iter_mut().zip(source.of_code("lash")) {
        if let Some(shim) = source
            .value(&format!("valve.{}.shim", finding.subject.instance))
            .or_else(|| source.value(&format!("head.{}.shim", finding.subject.instance)))
        {
            item.note = coarse.number(shim.value);
        }
    }
    vec![
        ("Lash", lash_figure(&data)),
        (
            "Room before the coils touch",
            row(source, "coil_bind_margin", "room before the coils touch", coarse, bars),
        ),
    ]
}

/// Springs that stop the build, at their three heights.
fn springs(source: Source) -> Vec<Titled> {
    let document = &source.engine.document;
    source
        .of_code("coil_bind_margin")
        .into_iter()
        .filter(|f| f.verdict == Verdict::Bad)
        .map(|f| {
            let side = if f.subject.instance.starts_with("exhaust") {
                &document.valves.exhaust
            } else {
                &document.valves.intake
            };
            let input = |word: &str| {
                f.working
                    .inputs
                    .iter()
                    .find(|i| {
                        i.label.contains(word) || i.feature.as_deref().is_some_and(|p| p.contains(word))
                    })
                    .map(|i| i.value.value)
            };
            let label = spoken(&f.subject.instance);
            let svg = spring_figure(&SpringHeights {
                installed: input("spring_height").or_else(|| input("installed")),
                lift: side.lift.map(|l| l.0).or_else(|| input("lift")),
                bind: input("bind").or_else(|| document.springs.bind.map(|b| b.0)),
                least_room: allowed(f).min,
                stops: true,
                figures: Figures::lengths(source.units()),
                label: label.clone(),
            });
            Titled { title: format!("Spring {label}"), svg }
        })
        .filter(|t| !t.svg.is_empty())
        .collect()
}

/// Names of the two sides of a fit by the code of its finding.
fn names(code: &str) -> Option<(&'static str, &'static str)> {
    Some(match code {
        "piston_clearance" => ("bore", "piston"),
        "main_clearance" => ("housing", "journal"),
        "rod_clearance" => ("big end", "crank pin"),
        "pin_in_piston" => ("piston", "pin"),
        "pin_in_rod" => ("bush", "pin"),
        "guide" | "guide_intake" | "guide_exhaust" => ("guide", "stem"),
        "bucket_clearance" => ("bucket bore", "bucket"),
        "cam_clearance" => ("cam bore", "cam journal"),
        _ => return None,
    })
}

/// Is this input the outside of the fit?
fn is_outer(input: &Input) -> bool {
    let path = input.feature.as_deref().unwrap_or(&input.label);
    [
        "block.bore",
        "housing",
        "big_end",
        "fitted_bore",
        "pin_bore",
        "small_end",
        "guide",
        "bucket_bore",
        "cam_bore",
        "bore",
    ]
    .iter()
    .any(|w| path.contains(w))
}

fn is_shell(input: &Input) -> bool {
    input.feature.as_deref().is_some_and(|p| p.contains("_shell.")) || input.label.contains("wall")
}

/// A clearance that was read by a strip, or that is named beside the mean, is no size of either side.
fn is_clearance(input: &Input) -> bool {
    input.feature.as_deref().is_some_and(|path| path.ends_with(".clearance"))
        || input.label.contains("clearance")
}

fn mean(inputs: &[&Input]) -> Option<Value> {
    let first = inputs.first()?;
    let value = inputs.iter().map(|i| i.value.value).sum::<f64>() / inputs.len() as f64;
    Some(Value { value, expanded: first.value.expanded, predicted: first.value.predicted, stale: false })
}

/// A fit drawn from its finding: sizes of the working on dimension lines. None for findings that are no fit.
pub fn fit_of(finding: &Finding, units: UnitSystem, width: f64) -> Option<String> {
    let (outer_label, inner_label) = names(finding.code)?;
    let is_size = |i: &&Input| i.value.dimension == Dimension::Length && !is_clearance(i);
    let lengths: Vec<&Input> = finding.working.inputs.iter().filter(is_size).collect();
    let shells: Vec<&Input> = lengths.iter().copied().filter(|i| is_shell(i)).collect();
    let outer: Vec<&Input> = lengths.iter().copied().filter(|i| !is_shell(i) && is_outer(i)).collect();
    let inner: Vec<&Input> = lengths.iter().copied().filter(|i| !is_shell(i) && !is_outer(i)).collect();
    let pair = match shells.as_slice() {
        [upper, lower, ..] => mean(&[upper]).zip(mean(&[lower])),
        _ => None,
    };
    let fitted = outer.iter().any(|i| i.feature.as_deref().is_some_and(|p| p.contains("fitted")));
    Some(fit_drawing(&FitDrawing {
        title: fit_title(&finding.subject.label, inner_label, outer_label),
        outer_label: if fitted { "bore of the shells".to_owned() } else { outer_label.to_owned() },
        outer: mean(&outer),
        inner_label: inner_label.to_owned(),
        inner: mean(&inner),
        shells: pair,
        clearance: measured(finding),
        allowed: allowed(finding),
        stops: finding.verdict == Verdict::Bad,
        figures: Figures::fine_lengths(units),
        width,
    }))
}

/// "Piston 1 in bore", "Valve 2 exhaust b: bucket in its bore": nothing is said twice.
fn fit_title(label: &str, inner: &str, outer: &str) -> String {
    let outer = if outer == format!("{inner} bore") { "its bore" } else { outer };
    let title = match label.strip_prefix(inner) {
        Some(_) => format!("{label} in {outer}"),
        None => format!("{label}: {inner} in {outer}"),
    };
    crate::words::sentence(&title)
}

/// All fits of the engine, drawn, in the order of the job.
pub fn fit_drawings(engine: &Engine, assessment: &Assessment, width: f64) -> Vec<Titled> {
    let source = Source { engine, assessment, width };
    [
        "piston_clearance",
        "pin_in_piston",
        "pin_in_rod",
        "main_clearance",
        "rod_clearance",
        "bucket_clearance",
        "cam_clearance",
    ]
    .into_iter()
    .flat_map(|code| source.of_code(code))
    .filter(|f| f.value.is_some())
    .filter_map(|f| fit_of(f, engine.units(), width).map(|svg| Titled { title: f.title(), svg }))
    .collect()
}

/// Piston speed and acceleration over one turn at the speed of the duty; empty while stroke, rod or speed is missing.
pub fn kinematics_plots(engine: &Engine, assessment: &Assessment, width: f64) -> Vec<Titled> {
    let Some(motion) = engine::piston_motion(engine, assessment) else { return Vec::new() };
    let inch = engine.units() == UnitSystem::Inch;
    let (speed_unit, speed_factor) = if inch { ("ft/s", 1.0 / 0.3048) } else { ("m/s", 1.0) };
    let curve = |of: &dyn Fn(&(f64, f64, f64)) -> f64| -> Vec<(f64, f64)> {
        motion.points.iter().map(|point| (point.0.to_degrees(), of(point))).collect()
    };
    let shown = |title: String, label: &str, unit: &str, points| Plot {
        title,
        x: Axis {
            label: "crank angle after top dead centre".to_owned(),
            unit: "°".to_owned(),
            step: Some(60.0),
        },
        y: Axis { label: label.to_owned(), unit: unit.to_owned(), step: None },
        lines: vec![Line { label: label.to_owned(), points, ..Line::default() }],
        width,
        height: 280.0,
        ..Plot::default()
    };
    let at = format!("at {:.0} rev/min", motion.speed * 60.0);
    let speed_plot = shown(
        format!("Piston speed {at}, toward the crank positive"),
        "speed",
        speed_unit,
        curve(&|point| point.1 * speed_factor),
    );
    let acceleration = shown(
        format!("Piston acceleration {at}, toward the crank positive"),
        "acceleration",
        "g",
        curve(&|point| point.2 / 9.806_65),
    );
    [speed_plot, acceleration].into_iter().map(|p| Titled { title: p.title.clone(), svg: plot(&p) }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use engine::document::parse_with_readings;

    /// Diameters that stand on a drawing.
    fn diameters(svg: &str) -> Vec<f64> {
        let texts = svg.split("⌀ ").skip(1);
        texts.filter_map(|text| text.split(['<', ' ']).next()?.replace(',', "").parse().ok()).collect()
    }

    /// Both sides of a fit are of one size but for clearance and shells: no drawing of the demos mixes another figure in.
    #[test]
    fn both_sides_of_a_drawn_fit_are_of_one_size() {
        let demos = [
            (
                include_str!("../../../../examples/hill-climb-four.toml"),
                include_str!("../../../../examples/hill-climb-four.readings.csv"),
            ),
            (
                include_str!("../../../../examples/pushrod-v8.toml"),
                include_str!("../../../../examples/pushrod-v8.readings.csv"),
            ),
        ];
        let mut drawn = 0;
        for (text, csv) in demos {
            let document = parse_with_readings(text, "demo.toml", csv, "demo.csv").document.expect("a demo");
            let engine = Engine::new(document, Vec::new(), Vec::new());
            let found = engine::assess(&engine);
            for finding in &found.findings {
                let Some(svg) = fit_of(finding, engine.units(), 300.0) else { continue };
                let sizes = diameters(&svg);
                let least = sizes.iter().copied().fold(f64::INFINITY, f64::min);
                let most = sizes.iter().copied().fold(0.0, f64::max);
                assert!(sizes.len() < 2 || most < 1.1 * least, "{}: {sizes:?}", finding.id);
                drawn += usize::from(sizes.len() > 1);
            }
        }
        assert!(drawn > 60, "{drawn} fits with both sizes");
    }
}
