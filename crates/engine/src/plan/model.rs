//! The plan: what to order, what to cut, what goes where, what to read next.

use crate::assess::Assessment;
use crate::document::OperationKind;
use crate::findings::ActionKind;
use crate::quantity::{
    Dimension, Phrase, UnitSystem, counted, decimals_for, display_unit, format_fixed, format_money,
};
use serde::Serialize;

/// One line of the order list.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OrderLine {
    /// What: "lash shim 2.60", "rod shell pair, grade thick".
    pub item: Phrase,
    /// How many.
    pub quantity: u32,
    /// Where from, in the shop's words.
    pub supplier: String,
    /// Price of one.
    pub price: Option<f64>,
    /// Days until it is here.
    pub days: Option<f64>,
    /// Findings that it settles, by id.
    pub settles: Vec<String>,
    /// Bought only if this comes true; always when empty.
    pub only_if: Option<&'static str>,
    /// Do not order it before these findings are settled, by id: what they read is in doubt.
    pub held_by: Vec<String>,
}

impl OrderLine {
    /// Is it needed in any case? Not where it waits for a condition, or is not to be ordered yet.
    pub const fn is_sure(&self) -> bool {
        self.only_if.is_none() && self.held_by.is_empty()
    }
}

/// One line of the cutting list, in the order in which the cuts have to be made.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cut {
    /// Place in the order, 1 first.
    pub step: u32,
    /// Operation.
    pub operation: OperationKind,
    /// Part: "block", "ring, cylinder 2, top".
    pub part: String,
    /// What to do, with size and tolerance.
    pub text: Phrase,
    /// Size now, SI.
    pub from: Option<f64>,
    /// Size to reach, SI.
    pub to: Option<f64>,
    /// Plus and minus tolerance, SI: of the size to reach, else of what is taken off.
    pub tolerance: Option<f64>,
    /// Where the tolerance comes from: a drawing of the document, a limit, common practice.
    pub tolerance_from: String,
    /// Dimension of the three.
    pub dimension: Dimension,
    /// Decimals that the readings behind them support, in metric units.
    pub decimals: usize,
    /// Stock left after the cut, SI, where a limit says how much there is.
    pub stock_left: Option<f64>,
    /// Price.
    pub price: Option<f64>,
    /// Days.
    pub days: Option<f64>,
    /// Caution where the work can hurt someone.
    pub caution: Option<&'static str>,
    /// Places whose readings this cut makes stale, in words.
    pub opens_again: Vec<String>,
    /// Findings that it settles, by id.
    pub settles: Vec<String>,
    /// Do not do it before these findings are settled, by id (the hold that stops a cut).
    pub held_by: Vec<String>,
    /// Done only if this comes true; always when empty.
    pub only_if: Option<&'static str>,
}

impl Cut {
    /// "± 0.02 mm (common practice, no source)"; none where the job has no size to keep.
    pub fn tolerance_words(&self, units: UnitSystem) -> Option<String> {
        let unit = display_unit(self.dimension, units);
        let shown = self.tolerance? / unit.factor;
        let figure = format_fixed(shown, decimals_for(shown));
        // A rounded figure keeps no noughts behind it.
        let figure =
            if figure.contains('.') { figure.trim_end_matches('0').trim_end_matches('.') } else { &figure };
        Some(format!("\u{b1} {figure} {} ({})", unit.symbol, self.tolerance_from))
    }

    /// Is it needed in any case? Not where it waits for a condition, or is not to be made yet.
    pub const fn is_sure(&self) -> bool {
        self.only_if.is_none() && self.held_by.is_empty()
    }
}

/// Work at the bench that is neither a cut nor something to buy: take apart and clean, swap, read again, leave alone.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Task {
    /// Kind of work.
    pub kind: ActionKind,
    /// On what: "spring 3 intake b".
    pub part: String,
    /// What to do.
    pub text: Phrase,
    /// Price, where it has one.
    pub price: Option<f64>,
    /// Days, where known.
    pub days: Option<f64>,
    /// Caution where the work can hurt someone.
    pub caution: Option<&'static str>,
    /// Findings that it settles or moves on, by id.
    pub settles: Vec<String>,
}

/// What no line of the plan settles: a person must decide.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Undecided {
    /// Names the finding and says what is open.
    pub text: Phrase,
    /// Findings that wait for the decision, by id.
    pub settles: Vec<String>,
}

impl Undecided {
    /// The caution of the work that its findings ask for.
    pub fn caution(&self, assessment: &Assessment) -> Option<&'static str> {
        let findings = self.settles.iter().filter_map(|id| assessment.finding(id));
        findings.flat_map(|f| &f.actions).find_map(|a| a.caution)
    }
}

/// One wait of a chain.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Wait {
    /// "sleeve (bore 3) arrives", "hone bore 3".
    pub what: Phrase,
    /// Days.
    pub days: f64,
}

/// What the longest chain of waits takes for granted. Common practice, no source.
pub const SIDE_BY_SIDE: &str = "Waits are counted as if orders, and jobs on different parts (block, crank, rods, head), ran side by side, jobs of one kind on one part were one visit, and jobs of different kinds followed each other in the order of the cutting list.";

/// What a group of lines costs.
#[derive(Clone, Debug, PartialEq, Serialize, Default)]
pub struct Sum {
    /// Sum of known prices, in the currency of the plan.
    pub price: f64,
    /// Number of lines without a price.
    pub unpriced: usize,
    /// Days of the longest chain of waits, as far as they are known.
    pub longest_days: Option<f64>,
    /// That chain, in the order of the work.
    pub chain: Vec<Wait>,
    /// Orders and jobs whose wait is not known.
    pub unknown_waits: usize,
}

impl Sum {
    /// Adds one line: its price for all pieces.
    pub(super) fn add(&mut self, price: Option<f64>) {
        match price {
            Some(price) => self.price += price,
            None => self.unpriced += 1,
        }
    }

    /// "the longest wait 17 days (sleeve (bore 3) arrives: 7 days, then sleeve bore 3: 8 days, then hone bore 3: 2 days)"; nothing
    /// where no wait is known.
    pub fn waits(&self) -> Phrase {
        let Some(longest) = self.longest_days else { return Phrase::new() };
        let days = |days: f64| {
            let unit = if (days - 1.0).abs() < 1e-9 { "day" } else { "days" };
            format!("{} {unit}", (days * 100.0).round() / 100.0)
        };
        let least = if self.unknown_waits > 0 { "at least " } else { "" };
        let mut words = Phrase::words(format!("the longest wait {least}{} (", days(longest)));
        for (index, wait) in self.chain.iter().enumerate() {
            let then = if index > 0 { ", then " } else { "" };
            words = words.say(then).join(wait.what.clone());
            if self.chain.len() > 1 {
                words = words.say(format!(": {}", days(wait.days)));
            }
        }
        words = words.say(")");
        match self.unknown_waits {
            0 => words,
            n => words.say(format!(", {} not known", counted(n, "wait", "waits"))),
        }
    }

    /// "472.50 EUR and 1 line without a price; the longest wait 8 days (sleeve arrives)"; "nothing to pay" where that is so.
    fn words(&self, currency: &str) -> Phrase {
        let unpriced = || format!("{} without a price", counted(self.unpriced, "line", "lines"));
        let money = || format_money(self.price, currency);
        let price = match (self.price > 0.0, self.unpriced > 0) {
            (false, false) => "nothing to pay".to_owned(),
            (false, true) => unpriced(),
            (true, false) => money(),
            (true, true) => format!("{} and {}", money(), unpriced()),
        };
        Phrase::words(price).join(self.waits_behind())
    }

    /// "; the longest wait …"; nothing where no wait is known.
    fn waits_behind(&self) -> Phrase {
        if self.longest_days.is_none() { Phrase::new() } else { Phrase::words("; ").join(self.waits()) }
    }
}

/// One part in one place.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Placement {
    /// "piston 3", "shim 2.75".
    pub what: Phrase,
    /// "bore 1", "valve 1 intake a".
    pub place: String,
    /// Feature path or instance of the place.
    pub instance: String,
    /// Where it comes from: "from the box", "from 4 exhaust b", "as it stands", "buy".
    pub from: Phrase,
    /// What results: clearance, lash.
    pub result: Phrase,
    /// Result in SI.
    pub value: f64,
    /// True when nothing has to move.
    pub stays: bool,
    /// How far a cut of it may come out otherwise, to either side, before a limit is reached, SI; none where nothing is cut.
    pub room: Option<f64>,
    /// Do not do it before these findings are settled, by id: a cut that they ask for changes the sizes it is chosen by.
    pub held_by: Vec<String>,
}

/// How a selection ended.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Outcome {
    /// Best answer.
    Best {
        /// Proved best (exact), and of how many arrangements where that can be counted.
        proved: bool,
        /// Words on the proof.
        proof: String,
    },
    /// No answer inside all limits: what to relax and by how much.
    Relax {
        /// One sentence each.
        relax: Vec<Phrase>,
        /// How many of them have to give.
        widen: Widen,
    },
    /// The best choice is outside by less than the readings can tell: what to read finer first, and what has to give only where that
    /// still puts it outside.
    CannotTell {
        /// One sentence each.
        ask: Vec<Phrase>,
        /// One sentence each.
        relax: Vec<Phrase>,
        /// How many of them have to give.
        widen: Widen,
    },
    /// Not enough is measured.
    Missing {
        /// Features to read.
        features: Vec<String>,
    },
}

/// How many of the limits that stand in the way have to give.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Widen {
    /// Any one of them is enough.
    AnyOne,
    /// Each: every one is of another part or bank.
    Each,
    /// As each of them says.
    AsSaid,
}

impl Widen {
    /// What stands above the list where there is no answer.
    pub const NO_ANSWER: &'static str = "No answer inside all limits.";

    /// What stands above the list of what to read finer.
    pub const CANNOT_TELL: &'static str = "No choice is sure: the best one is outside a limit by less than the readings can tell. No limit has to give before this is read with a finer gauge:";

    /// What stands before what has to give after that.
    pub const AFTER_THAT: &'static str = "Only where it is still outside then.";

    /// What stands before a list of so many.
    pub const fn words(self, count: usize) -> &'static str {
        match self {
            Self::AsSaid => "What has to give:",
            _ if count < 2 => "Widen this:",
            Self::AnyOne => "Widen one of these; any one of them is enough:",
            Self::Each => "Widen each of these:",
        }
    }
}

/// One "what goes where".
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Selection {
    /// `pistons`, `rod_shells`, `main_shells`, `lash_shims`, `deck_and_gasket`, `barrel_shims`, `ring_filing`, `spring_shims`.
    pub code: &'static str,
    /// "Pistons to bores".
    pub title: String,
    /// How it ended.
    pub outcome: Outcome,
    /// What goes where.
    pub placements: Vec<Placement>,
    /// One sentence that sums it up.
    pub summary: Phrase,
    /// What is compared, in order.
    pub objective: &'static str,
    /// Caution where the work can hurt someone.
    pub caution: Option<&'static str>,
    /// Findings that it settles, by id; none while it has no answer.
    pub settles: Vec<String>,
}

/// Readings to take with one gauge in the hand.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeasureGroup {
    /// Gauge in words: "bore gauge".
    pub gauge: String,
    /// Table in which they stand.
    pub table: &'static str,
    /// Sheet id.
    pub sheet: &'static str,
    /// Features in the order of the hand.
    pub features: Vec<String>,
    /// In words: "bores 4, top, mid, low".
    pub text: String,
    /// Verdicts that they would settle, by id.
    pub settles: Vec<String>,
    /// Verdicts that they would settle together with other lines only, by id.
    pub with_others: Vec<String>,
}

/// Everything to do.
#[derive(Clone, Debug, PartialEq, Serialize, Default)]
pub struct Plan {
    /// Order list.
    pub orders: Vec<OrderLine>,
    /// Cutting list in order.
    pub cuts: Vec<Cut>,
    /// What goes where, choice by choice.
    pub selections: Vec<Selection>,
    /// What to measure next, most verdicts for the fewest changes of gauge first.
    pub measure_next: Vec<MeasureGroup>,
    /// Work at the bench.
    pub bench: Vec<Task>,
    /// What a person must decide.
    pub undecided: Vec<Undecided>,
    /// Currency of every price ("EUR"); empty where the document has no price.
    pub currency: String,
    /// Sum of what is needed in any case.
    pub sure: Sum,
    /// Sum of everything, when the conditional lines are needed too.
    pub if_needed: Sum,
}

impl Plan {
    /// Is any line held, or does it wait for a condition?
    pub fn has_conditional(&self) -> bool {
        self.orders.iter().any(|o| !o.is_sure()) || self.cuts.iter().any(|c| !c.is_sure())
    }

    /// Lines to order, jobs of the cutting list (filing rings and seating a cap among them), parts that change place, tasks at the bench.
    fn counts(&self) -> [usize; 4] {
        let moves = self.selections.iter().flat_map(|s| &s.placements).filter(|p| !p.stays).count();
        [self.orders.len(), self.cuts.len(), moves, self.bench.len()]
    }

    /// "3 lines to order, 9 jobs in the cutting list, 8 places that change, 2 tasks at the bench"; nothing where nothing is to do.
    pub fn in_full(&self) -> String {
        self.counted(&[
            ("line to order", "lines to order"),
            ("job in the cutting list", "jobs in the cutting list"),
            ("place that changes", "places that change"),
            ("task at the bench", "tasks at the bench"),
        ])
    }

    /// The first two of them that are there: "3 to order, 9 jobs".
    pub fn in_short(&self) -> String {
        let words =
            self.counted(&[("to order", "to order"), ("job", "jobs"), ("move", "moves"), ("task", "tasks")]);
        words.split(", ").take(2).collect::<Vec<_>>().join(", ")
    }

    fn counted(&self, names: &[(&str, &str); 4]) -> String {
        let all = self.counts().into_iter().zip(names).filter(|(n, _)| *n > 0);
        all.map(|(n, (one, many))| counted(n, one, many)).collect::<Vec<_>>().join(", ")
    }

    /// What it costs and how long the longest wait is, in sentences; nothing where nothing is ordered or cut.
    pub fn cost_words(&self) -> Phrase {
        let words = |sum: &Sum| sum.words(&self.currency);
        let said = if self.orders.is_empty() && self.cuts.is_empty() {
            return Phrase::new();
        } else if self.currency.is_empty() {
            // Without a price in the document there is no currency, and nothing to add up.
            Phrase::words("No price is stated").join(self.if_needed.waits_behind())
        } else if self.has_conditional() {
            Phrase::words("Surely needed: ")
                .join(words(&self.sure))
                .say(". If the lines that are held or wait for a condition are needed too: ")
                .join(words(&self.if_needed))
        } else {
            Phrase::words("All of it: ").join(words(&self.sure))
        };
        let assumed = if self.if_needed.longest_days.is_some() { SIDE_BY_SIDE } else { "" };
        said.say(". ").say(assumed)
    }
}
