//! What a row means: the verdicts that its readings led to, worst first.

use super::cells::{Place, Places};
use crate::engine_sheet::slip_question;
use crate::figures;
use crate::frame::{View, operation_words};
use crate::words::{count, finding_value, first_action, prose, sentence, verdict};
use engine::document::OperationKind;
use engine::features::Table;
use engine::findings::{Finding, Verdict};
use engine::readings::Slip;
use maud::{Markup, html};

/// Findings of one table: by row, and those that hold for the whole table.
pub(super) struct TableFindings<'a> {
    rows: Vec<Vec<&'a Finding>>,
    whole: Vec<&'a Finding>,
}

impl<'a> TableFindings<'a> {
    pub(super) fn of(view: &View<'a>, table: &Table) -> Self {
        let catalogue = &view.engine.catalogue;
        let position = catalogue.tables.iter().position(|t| t.id == table.id);
        let mut rows = vec![Vec::new(); table.rows.len()];
        let mut whole = Vec::new();
        for finding in &view.assessment.findings {
            let mut touched: Vec<usize> = finding
                .subject
                .features
                .iter()
                .chain(&finding.missing)
                .filter_map(|path| catalogue.feature(path))
                .filter(|f| Some(f.table) == position)
                .map(|f| f.row)
                .collect();
            touched.sort_unstable();
            touched.dedup();
            match touched.as_slice() {
                [] => {}
                // One answer for all cylinders condemns none of them, whichever of its inputs stands here.
                _ if finding.subject.label == "engine" => {
                    if Some(last_table(view, table, finding)) == position {
                        whole.push(finding);
                    }
                }
                [row] => rows[*row].push(finding),
                // A wall map is one answer for three heights: it stands at the middle one.
                many if table.id == "walls" && many.len() <= 3 => rows[many[many.len() / 2]].push(finding),
                many => match many
                    .iter()
                    .find(|row| instance_of(view, table, **row).is_some_and(|own| is_of(finding, own)))
                {
                    Some(row) if !is_grid(table) => rows[*row].push(finding),
                    _ => whole.push(finding),
                },
            }
        }
        for list in rows.iter_mut().chain([&mut whole]) {
            // What only follows from another stands after it.
            let follows = |finding: &Finding| finding.follows.is_some();
            list.sort_by(|a, b| {
                (order(a), follows(a)).cmp(&(order(b), follows(b))).then(outside(b).total_cmp(&outside(a)))
            });
        }
        Self { rows, whole }
    }

    /// Does nothing ask for this table?
    pub(super) fn is_empty(&self) -> bool {
        self.whole.is_empty() && self.rows.iter().all(Vec::is_empty)
    }
}

/// Is the finding about that instance, or about one of its parts: injector 3.2 of cylinder 3?
fn is_of(finding: &Finding, instance: &str) -> bool {
    let rest = finding.subject.instance.strip_prefix(instance);
    rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
}

/// The last table of the sheet that goes into a finding: an answer for the whole engine stands once on a sheet, there.
fn last_table(view: &View, table: &Table, finding: &Finding) -> usize {
    let catalogue = &view.engine.catalogue;
    let features = finding.subject.features.iter().chain(&finding.missing);
    let tables = features.filter_map(|path| catalogue.feature(path)).map(|feature| feature.table);
    tables.filter(|t| catalogue.tables[*t].sheet == table.sheet).max().unwrap_or_default()
}

/// Rows of one instance that are read together: a face, a wall map.
fn is_grid(table: &Table) -> bool {
    table.id == "walls" || table.id.contains("face")
}

fn instance_of<'a>(view: &View<'a>, table: &Table, row: usize) -> Option<&'a String> {
    let index = table.cells[row].iter().flatten().next()?;
    Some(&view.engine.catalogue.features[*index].instance)
}

/// Stale findings stand before good ones: they are asked for again.
fn order(finding: &Finding) -> u8 {
    if finding.stale && finding.verdict == Verdict::Good { 2 } else { finding.verdict.rank() }
}

fn outside(finding: &Finding) -> f64 {
    finding.probability_outside.unwrap_or(0.0)
}

/// The cell at a row's end.
pub(super) fn row_meaning(
    view: &View,
    table: &Table,
    row: usize,
    findings: &TableFindings,
    places: &Places,
) -> Markup {
    let features: Vec<_> =
        table.cells[row].iter().flatten().map(|&i| &view.engine.catalogue.features[i]).collect();
    let to_read: Vec<_> = features.iter().filter(|f| places.is_to_read(view, f)).collect();
    let to_go = to_read.len();
    let moved: Vec<_> = to_read.iter().map(|f| places.moved_by(view, f)).collect();
    let before = moved.first().copied().flatten().filter(|kind| moved.iter().all(|m| *m == Some(*kind)));
    let slips: Vec<&Slip> = view
        .assessment
        .slips
        .iter()
        .filter(|s| !s.confirmed && features.iter().any(|f| f.path == s.feature))
        .collect();
    let list = &findings.rows[row];
    let open: Vec<&Finding> = list.iter().copied().filter(|f| order(f) < Verdict::Unknown.rank()).collect();
    let good: Vec<&Finding> = list.iter().copied().filter(|f| order(f) == Verdict::Good.rank()).collect();
    let unknown = list.iter().copied().find(|f| f.verdict == Verdict::Unknown);
    html! {
        @if let Some((first, rest)) = slips.split_first() {
            (asked(view, first))
            @if !rest.is_empty() {
                details { summary { "and " (rest.len()) " more asked about in this row" } @for slip in rest { (asked(view, slip)) } }
            }
        }
        @for finding in open.iter().take(3) { (line(view, finding, list)) }
        @if open.len() > 3 { p.more { "and " (count(open.len() - 3, "more that is not good", "more that are not good")) } }
        @if open.is_empty() {
            @if let Some((first, rest)) = good.split_first() {
                (line(view, first, list))
                @if !rest.is_empty() { p.more { "good as well: " (titles(rest, Some(first))) } }
            }
        } @else if !good.is_empty() { p.more { "good: " (titles(&good, None)) } }
        // A row that no finding is about by itself counts in the line below its table, which says so.
        @if optional(table) && to_go == features.len() && unknown.is_none() { p.quiet { "optional" } }
        @else { (still_to_go(view, (to_go, features.len()), before, unknown.filter(|_| open.is_empty() && good.is_empty()))) }
    }
}

/// May the table stay empty? Its own hint says so.
pub(super) fn optional(table: &Table) -> bool {
    table.hint.starts_with("Optional") || table.hint.contains("Leave empty")
}

fn still_to_go(
    view: &View,
    (to_go, all): (usize, usize),
    before: Option<OperationKind>,
    unknown: Option<&Finding>,
) -> Markup {
    // What was read is there, and no answer any more: the reason stands beside the count.
    let words = before.map_or_else(
        || format!("{} to go", count(to_go, "reading", "readings")),
        |kind| format!("{} to go, read before {}", count(to_go, "reading", "readings"), done_words(kind)),
    );
    html! {
        @if to_go > 0 && to_go == all && unknown.is_none() { p.quiet { (words) } }
        @else if to_go > 0 {
            p { @if unknown.is_some() { b.word { "unknown" } " " } span.quiet { (words) } }
        }
        @else if let Some(finding) = unknown {
            p { a href=(view.finding_at(&finding.id)) { b.word { "unknown" } " " (finding.question) } " " span.quiet { (prose(&finding.why, view.units())) } }
        }
    }
}

/// What was done, as it stands in a sentence: "honing", "the seat cut".
fn done_words(kind: OperationKind) -> String {
    use OperationKind as O;
    let words = operation_words(kind);
    match kind {
        O::Bore | O::Hone | O::AlignHone | O::CapSeat | O::RingFile | O::Sleeve | O::Handled => {
            words.to_owned()
        }
        _ => format!("the {words}"),
    }
}

/// Questions, each once; one that is asked like the finding `shown` beside them says what it is about.
fn titles(findings: &[&Finding], shown: Option<&Finding>) -> String {
    let mut words: Vec<String> = Vec::new();
    for finding in findings {
        let alike = shown.is_some_and(|shown| shown.question == finding.question);
        let word = if alike { finding.title() } else { finding.question.clone() };
        if !words.contains(&word) {
            words.push(word);
        }
    }
    let more = words.len().saturating_sub(MANY);
    words.truncate(MANY);
    if more > 0 {
        words.push(format!("and {more} more"));
    }
    words.join("; ")
}

/// Questions named in one line.
const MANY: usize = 4;

/// One verdict with its figure and what to do; it says what it is about where the row asks the same of two parts.
fn line(view: &View, finding: &Finding, row: &[&Finding]) -> Markup {
    let units = view.units();
    let alike = row.iter().filter(|f| f.question == finding.question).count() > 1;
    html! {
        div.mean {
            div {
                a href=(view.finding_at(&finding.id)) {
                    (verdict(finding)) " " @if alike { (finding.title()) } @else { (finding.question) }
                    @if let Some(value) = finding_value(finding, units) { " " span.value-of { (value) } }
                }
                @if finding.verdict != Verdict::Good {
                    @if let Some(action) = first_action(finding, units) { p.do { (action) } }
                }
            }
            (figures::gauge(finding, view))
        }
    }
}

/// A reading that is probably a slip: asked about once, in the row.
fn asked(view: &View, slip: &Slip) -> Markup {
    let likely = slip.likely.zip(view.engine.catalogue.feature(&slip.feature)).map(|(si, feature)| {
        // To the digits of the field, in which it would be written: as the question says it.
        Place::of(view, feature, &view.engine.catalogue.tables[feature.table]).number(si)
    });
    let place =
        view.engine.catalogue.feature(&slip.feature).map_or(slip.feature.as_str(), |f| f.label.as_str());
    // Of a place that was read twice the field shows the mean: what is confirmed is the one reading.
    let own = view
        .engine
        .readings
        .iter()
        .find(|r| r.number == slip.reading)
        .zip(view.engine.catalogue.feature(&slip.feature));
    let own = own.map(|(reading, feature)| {
        Place::of(view, feature, &view.engine.catalogue.tables[feature.table]).show(reading)
    });
    html! {
        div.ask data-feature=(slip.feature) data-reading=(slip.reading) {
            p { b { (sentence(place)) } " " (slip_question(view, slip)) }
            @if let Some(likely) = likely {
                button type="button" data-answer="correct" data-value=(likely) { "Yes, " (likely) }
            }
            button type="button" data-answer="confirm" data-value=[own] { "It is right as it stands" }
        }
    }
}

/// What holds for all rows of a table.
pub(super) fn whole_table(view: &View, findings: &TableFindings) -> Markup {
    let shown = findings.whole.iter().filter(|f| f.verdict != Verdict::Unknown);
    let unknown: Vec<&Finding> =
        findings.whole.iter().copied().filter(|f| f.verdict == Verdict::Unknown).collect();
    html! {
        @for finding in shown {
            div.mean {
                div {
                    a href=(view.finding_at(&finding.id)) {
                        (sentence(&finding.title())) " " (verdict(finding))
                        @if let Some(value) = finding_value(finding, view.units()) { " " span.value-of { (value) } }
                    }
                    @if finding.verdict != Verdict::Good {
                        @if let Some(action) = first_action(finding, view.units()) { p.do { (action) } }
                    }
                }
                (figures::gauge(finding, view))
            }
        }
        @if !unknown.is_empty() { p.quiet.small { b.word { "unknown" } " until all is read: " (titles(&unknown, None)) } }
    }
}
