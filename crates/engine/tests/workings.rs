//! What a working shows is enough to work the value out again.

use engine::document::parse_with_readings;
use engine::findings::{ActionKind, Finding, Verdict};
use engine::quantity::{Dimension, UnitSystem};
use engine::{Assessment, Engine, assess};
use std::f64::consts::FRAC_PI_4;

fn example(text: &str, readings: &str) -> (Engine, Assessment) {
    let parsed = parse_with_readings(text, "engine.toml", readings, "readings.csv");
    let engine = Engine::new(parsed.document.expect("it parses"), Vec::new(), Vec::new());
    let assessment = assess(&engine);
    (engine, assessment)
}

fn four() -> (Engine, Assessment) {
    example(
        include_str!("../../../examples/hill-climb-four.toml"),
        include_str!("../../../examples/hill-climb-four.readings.csv"),
    )
}

fn all(code: &str, assessment: &Assessment) -> Vec<Finding> {
    assessment.findings.iter().filter(|f| f.code == code && f.value.is_some()).cloned().collect()
}

fn input(finding: &Finding, starts: &str) -> Option<f64> {
    finding.working.inputs.iter().find(|i| i.label.starts_with(starts)).map(|i| i.value.value)
}

fn value(finding: &Finding) -> f64 {
    finding.value.as_ref().expect("it has a value").value
}

#[test]
fn a_step_of_the_main_line_is_the_difference_of_two_offsets_that_are_shown() {
    let (_, assessment) = four();
    let steps = all("main_step", &assessment);
    assert!(!steps.is_empty());
    for step in &steps {
        let main: u32 = step.subject.instance.parse().expect("a number");
        let offset = |main: u32, direction: &str| {
            input(step, &format!("offset of main {main}, {direction}")).expect("the offset stands there")
        };
        let apart = |direction: &str| offset(main + 1, direction) - offset(main, direction);
        let expected = (apart("up") * apart("up") + apart("sideways") * apart("sideways")).sqrt();
        assert!((value(step) - expected).abs() < 1e-12, "{}: {} {expected}", step.id, value(step));
        assert!(step.working.formula.contains("Δup"), "{}", step.working.formula);
    }
    let line = &all("main_line", &assessment)[0];
    assert!(!line.working.formula.contains('Δ'), "{}", line.working.formula);
}

#[test]
fn a_wall_shows_both_bores_of_the_cut_and_no_digit_more_than_its_value() {
    let (_, assessment) = four();
    let walls = all("wall", &assessment);
    assert!(!walls.is_empty());
    let mut cut = 0;
    for wall in &walls {
        let read = wall.working.inputs.iter().filter(|i| i.feature.is_some()).map(|i| i.value.value);
        let thinnest = read.reduce(f64::min).expect("readings");
        // The demo was bored and honed after its map, and its bores were read.
        let measured = format!("bore {} as measured", wall.subject.instance);
        let bores = input(wall, &measured).zip(input(wall, "bore as found"));
        cut += usize::from(bores.is_some());
        let off = bores.map_or(0.0, |(now, found)| (now - found) / 2.0);
        assert!((value(wall) - (thinnest - off)).abs() < 1e-12, "{}", wall.id);
        assert_eq!(wall.working.formula.contains(&measured), bores.is_some(), "{}", wall.working.formula);
        let why = wall.why.print(UnitSystem::Metric);
        assert!(why.contains('±') || why.is_empty(), "{why}");
    }
    assert!(cut > 0, "one was read before boring");
}

#[test]
fn swept_volume_and_compression_say_what_is_taken_as_exact() {
    let (_, assessment) = four();
    let swept = &all("swept_volume", &assessment)[0];
    let stroke = input(swept, "stroke, nominal, taken as exact").expect("the stroke");
    let bores = swept.working.inputs.iter().filter(|i| i.label.starts_with("bore ")).map(|i| i.value.value);
    let expected: f64 = bores.map(|b| FRAC_PI_4 * b * b * stroke).sum();
    assert!((value(swept) / expected - 1.0).abs() < 1e-12);
    assert!(swept.why.print(UnitSystem::Metric).contains("taken as exact"));
    for what in ["stroke", "fire ring", "dome", "top land crevice"] {
        let ratio = &all("compression_ratio", &assessment)[0];
        let named = ratio.working.inputs.iter().find(|i| i.label.starts_with(what)).expect("it is an input");
        assert!(named.label.ends_with("taken as exact"), "{}", named.label);
    }
}

#[test]
fn budgets_add_up_to_the_whole_uncertainty() {
    let (_, assessment) = four();
    let mut cut = 0;
    for finding in assessment.findings.iter().filter(|f| !f.code.contains("butting")) {
        let Some(value) = finding.value.as_ref().filter(|v| v.expanded > 0.0) else { continue };
        let list = &finding.working.contributions;
        if list.is_empty() {
            continue;
        }
        cut += usize::from(list.last().is_some_and(|(name, _)| name.ends_with("smaller ones together")));
        let standard = list.iter().map(|(_, u)| u * u).sum::<f64>().sqrt();
        assert!((standard / (value.expanded / 2.0) - 1.0).abs() < 1e-9, "{}: {standard}", finding.id);
        assert!(list.iter().all(|(name, _)| !name.contains("piston.") && !name.contains("rod.")));
    }
    assert!(cut > 0, "a swept volume has more terms than are shown");
}

#[test]
fn compression_from_closing_is_no_finer_than_a_degree_leaves_it() {
    let (engine, assessment) = four();
    let figures = engine::figures(&engine, &assessment);
    assert!(figures.iter().all(|f| !f.working.inputs.is_empty()), "every figure shows its inputs");
    let trapped: Vec<_> = figures.iter().filter(|f| f.dimension == Some(Dimension::Ratio)).collect();
    assert!(!trapped.is_empty());
    for figure in trapped {
        let by = figure.per_degree.expect("its closing is taken as exact");
        assert!((0.01..0.2).contains(&by), "{by}");
        assert!([1.0, 0.1, 0.01][figure.decimals] >= by / 2.0, "{by}: {} decimals", figure.decimals);
        let closing = figure.working.inputs.iter().find(|i| i.label.starts_with("intake closes"));
        assert!(closing.is_some_and(|i| i.label.contains("taken as exact")));
    }
}

/// A chamber read at a tenth: asked about while it stands, and once it was confirmed still read again before metal goes.
#[test]
fn nothing_is_cut_on_a_reading_that_was_only_confirmed() {
    let text = include_str!("../../../examples/hill-climb-four.toml");
    let csv = include_str!("../../../examples/hill-climb-four.readings.csv");
    let slipped = csv.replace("head.chamber.2,41.85 cm3", "head.chamber.2,4.185 cm3");
    let with = |confirmed: &str| {
        let last = |row: &str| match row {
            row if row.starts_with("feature,") => "confirmed".to_owned(),
            row if row.starts_with("head.chamber.2,") => confirmed.to_owned(),
            _ => String::new(),
        };
        slipped.lines().map(|row| [row, ",", &last(row), "\n"].concat()).collect::<String>()
    };
    let (_, asked) = example(text, &with(""));
    assert!(asked.slips.iter().any(|s| s.feature == "head.chamber.2" && !s.confirmed), "{:?}", asked.slips);
    let (engine, confirmed) = example(text, &with("yes"));
    let chamber = confirmed.finding("chamber/2").expect("the finding");
    assert_eq!(chamber.verdict, Verdict::Bad);
    let first = chamber.actions.first().expect("an action");
    let says = first.text.print(engine.units());
    assert!(first.kind == ActionKind::Measure && says.contains("a second time first"), "{says}");
    let plan = engine::plan(&engine, &confirmed);
    let cut = plan.cuts.iter().find(|c| c.part == "chamber 2").expect("its line");
    assert_eq!(cut.only_if, Some("a second reading says the same"));
    let other = plan.cuts.iter().find(|c| c.part == "chamber 4").expect("the planted one");
    assert_eq!(other.only_if, None, "what rests on no slip stays as it is");
}

/// Verdict that the decision of a working promises for its chance.
fn promised(rule: &str, outside: f64) -> Verdict {
    let limit = |after: &str| -> f64 {
        let rest = rule.split_once(after).unwrap_or_else(|| panic!("no {after} in {rule}")).1;
        rest.trim_start().split(' ').next().and_then(|n| n.parse().ok()).expect("a number of per cent")
    };
    let hundred = 100.0 * outside;
    match hundred {
        h if h <= limit("; good up to") => Verdict::Good,
        h if h <= limit("marginal up to") => Verdict::Marginal,
        h if h >= limit("bad from") => Verdict::Bad,
        _ => Verdict::Uncertain,
    }
}

#[test]
fn the_decision_of_each_working_leads_to_its_verdict() {
    let (_, assessment) = four();
    let mut seen = Vec::new();
    for finding in &assessment.findings {
        let rule = finding.working.rule.print(UnitSystem::Metric);
        // What else is said behind the limits (doubts, a side that cannot be told) changes the verdict and says so.
        let Some(outside) = finding.probability_outside.filter(|_| rule.ends_with("uncertain between"))
        else {
            continue;
        };
        assert_eq!(finding.verdict, promised(&rule, outside), "{}: {outside}: {rule}", finding.id);
        seen.push(finding.verdict);
    }
    assert!(seen.len() > 50 && seen.contains(&Verdict::Good) && seen.contains(&Verdict::Bad), "{seen:?}");
}
