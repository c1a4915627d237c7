//! `docs/findings.md` is made from the explanations beside the questions. `UPDATE_DOCS=1 cargo test -p engine --test manual` writes it.

use engine::document::{Cylinders, Limit, Limits, Origin, parse_with_readings};
use engine::findings::{Finding, cautions_of};
use engine::quantity::UnitSystem;
use engine::{Engine, assess};
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::Path;

fn manual() -> String {
    let mut text = String::from(
        "# Findings, one by one\n\nMade from the explanations beside the code; `UPDATE_DOCS=1 cargo test -p engine --test manual` writes it.\n\nThe headings are the names that `check` and `show` print before the slash: `pin_size/2` is explained under `pin_size`.\nWhy it matters, what to do and the cautions are common practice, no source, save where a source is named. The program advises; a person decides, by the part makers' data and local codes.\n",
    );
    for about in engine::findings::manual().chain(engine::power::ABOUT) {
        let names: Vec<String> = about.codes.iter().map(|c| format!("`{c}`")).collect();
        let _ = write!(
            text,
            "\n## {}\n\n**Asks.** {}\n\n**Why it matters.** {}\n\n**How it is computed.** {}\n\n**What to do.** {}\n\n",
            names.join(", "),
            about.asks,
            about.matters,
            about.computed,
            about.to_do
        );
        let mut said = BTreeSet::new();
        for caution in about.codes.iter().flat_map(|c| cautions_of(c)).filter(|c| said.insert(*c)) {
            let _ = write!(text, "**Caution.** {caution}\n\n");
        }
        let _ = writeln!(text, "**Source.** {}", about.source);
    }
    text
}

#[test]
fn the_manual_says_what_the_questions_say() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/findings.md");
    let made = manual();
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(&path, &made).expect("docs/findings.md can be written");
    }
    let written = std::fs::read_to_string(&path).unwrap_or_default();
    assert_eq!(written, made, "run UPDATE_DOCS=1 cargo test -p engine --test manual");
}

/// Both demo engines as they stand and with separate barrels, with limits stated for what is only asked then; or with `stated` off, without
/// any limit.
fn findings_of_the_demos_with(stated: bool) -> Vec<Finding> {
    let demos = [
        (
            include_str!("../../../examples/hill-climb-four.toml"),
            include_str!("../../../examples/hill-climb-four.readings.csv"),
        ),
        (
            include_str!("../../../examples/pushrod-v8.toml"),
            include_str!("../../../examples/pushrod-v8.readings.csv"),
        ),
    ];
    let kinds = [Cylinders::OneCasting, Cylinders::SeparateBarrels];
    demos
        .into_iter()
        .flat_map(|demo| kinds.map(|kind| (demo, kind)))
        .flat_map(|((text, csv), kind)| {
            // The one question that is asked only of an engine that is wrong: a piston that stands oblique.
            let csv =
                csv.replace("cylinder.2.below_deck.front,0.101 mm", "cylinder.2.below_deck.front,0.301 mm");
            let parsed = parse_with_readings(text, "demo.toml", &csv, "demo.readings.csv");
            let mut document = parsed.document.expect("the demo is a document");
            document.block.cylinders = Some(kind);
            if !stated {
                document.limits = Limits::default();
                return assess(&Engine::new(document, Vec::new(), Vec::new())).findings;
            }
            let limits = &mut document.limits;
            for limit in [
                &mut limits.crush,
                &mut limits.spring_installed,
                &mut limits.head_restrictor,
                &mut limits.pushrod,
                &mut limits.rod_bolt_stretch,
            ] {
                limit.get_or_insert_with(Limit::default);
            }
            limits.face_roughness.get_or_insert_with(Limit::default);
            assess(&Engine::new(document, Vec::new(), Vec::new())).findings
        })
        .collect()
}

fn findings_of_the_demos() -> Vec<Finding> {
    findings_of_the_demos_with(true)
}

/// Every kind of finding with the limit that it is judged by, what stands in where the document states none, and its source; as the
/// findings themselves say it.
fn kinds() -> String {
    let (stated, bare) = (findings_of_the_demos(), findings_of_the_demos_with(false));
    // Where a limit is missing the finding says which one to write.
    let asked_for = |finding: &Finding| {
        let rule = finding.working.rule.print(UnitSystem::Metric);
        rule.split("limits.").nth(1).and_then(|rest| rest.split(' ').next()).map(str::to_owned)
    };
    let limit_of = |finding: &Finding| {
        finding.limit.as_ref().map(|limit| limit.name.clone()).or_else(|| asked_for(finding))
    };
    // A size with a tolerance is no limit: it is stated at its part, or the finding is not known.
    let stands_in = |f: &&Finding| f.limit.as_ref().is_some_and(|l| l.origin == Origin::CommonPractice);
    let mut text =
        String::from("| question | judged by | where none is stated | source |\n|---|---|---|---|\n");
    for about in engine::findings::manual().chain(engine::power::ABOUT) {
        for code in about.codes {
            let limits: BTreeSet<String> =
                stated.iter().filter(|f| f.code == *code).filter_map(limit_of).collect();
            let limits: Vec<String> = limits.iter().map(|name| format!("`{name}`")).collect();
            let judged = if limits.is_empty() { "its own rule".to_owned() } else { limits.join(", ") };
            let mut without = bare.iter().filter(|f| f.code == *code).peekable();
            let stands = if engine::power::ABOUT.iter().any(|a| a.codes.contains(code)) {
                "the duty of the document"
            } else if without.peek().is_none() {
                "not asked"
            } else if without.any(|f| stands_in(&f)) {
                Origin::CommonPractice.words()
            } else {
                "not known"
            };
            let _ = writeln!(text, "| `{code}` | {judged} | {stands} | {} |", about.source);
        }
    }
    text
}

const START: &str = "<!-- made by the test `the_table_of_verdicts_names_every_kind` -->\n";
const END: &str = "<!-- end of the table -->\n";

#[test]
fn the_table_of_verdicts_names_every_kind() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/physics/verdicts.md");
    let page = std::fs::read_to_string(&path).expect("docs/physics/verdicts.md");
    let (before, rest) = page.split_once(START).expect("the start of the table is marked");
    let (written, after) = rest.split_once(END).expect("the end of the table is marked");
    let made = kinds();
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(&path, format!("{before}{START}{made}{END}{after}")).expect("the page can be written");
        return;
    }
    assert_eq!(written, made, "run UPDATE_DOCS=1 cargo test -p engine --test manual");
}

#[test]
fn every_name_that_is_printed_is_explained_and_no_other() {
    let explained: BTreeSet<&str> =
        engine::findings::manual().flat_map(|about| about.codes.iter().copied()).collect();
    let entries = engine::findings::manual().map(|about| about.codes.len()).sum::<usize>();
    assert_eq!(entries, explained.len(), "a name is explained once");
    let printed: BTreeSet<&str> = findings_of_the_demos().iter().map(|f| f.code).collect();
    let lost: Vec<_> = printed.symmetric_difference(&explained).collect();
    assert!(lost.is_empty(), "printed without an explanation, or explained and never printed: {lost:?}");
    let text = manual();
    for name in printed {
        assert!(
            text.lines().any(|l| l.starts_with("## ") && l.contains(&format!("`{name}`"))),
            "no heading names {name}"
        );
    }
}

#[test]
fn what_a_finding_warns_of_stands_in_the_manual() {
    let findings = findings_of_the_demos();
    let warned: Vec<(&str, &str)> =
        findings.iter().flat_map(|f| f.actions.iter().filter_map(|a| Some((f.code, a.caution?)))).collect();
    for (code, caution) in &warned {
        assert!(cautions_of(code).contains(caution), "{code}: {caution}");
    }
    // The planted troubles whose mending can hurt: a cap off line, a spring near its bind, a tapered bore.
    for (code, caution) in [
        ("main_line", engine::cautions::MAIN_BOLTS),
        ("coil_bind_margin", engine::cautions::SPRING),
        ("bore_taper", engine::cautions::BORE_JOB),
    ] {
        assert!(warned.contains(&(code, caution)), "{code} does not warn");
    }
}
