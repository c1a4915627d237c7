//! What a bore has grown, and has still to grow, since its walls were read: from the bore as measured where it was, else from
//! the amounts that were taken off.

use super::bench::Bench;
use super::bore;
use crate::document::OperationKind;
use crate::features::Feature;
use crate::readings::{Operation, moves};
use crate::sizes::{Doubt, state_at};
use mechanics::metrology::Uncertain;

/// How well an amount that was taken off is known on diameter, m, rectangular: a shop states it to a hundredth. Common practice,
/// no source.
const AMOUNT_KNOWN_TO: f64 = 0.01e-3;

/// A bore, and where its size comes from.
#[derive(Clone, Debug)]
pub(super) struct BoreSize {
    /// Diameter, m.
    pub value: Uncertain,
    /// What it is: "bore 3 as measured, mean".
    pub label: String,
    /// What it is computed from; empty where it stands in the document.
    pub from: String,
}

/// What the bore grows on radius between the state in which a wall was read and the finish.
#[derive(Clone, Debug)]
pub(super) struct WallCut {
    /// Growth on radius, m; exactly zero where nothing was cut and nothing is to be cut.
    pub radial: Uncertain,
    /// Bore in which the wall was read, where it goes into the growth.
    pub start: Option<BoreSize>,
    /// Bore to which the growth leads; where `start` is none, what was taken off on diameter.
    pub end: Option<BoreSize>,
    /// The bore was cut by an amount that nobody has stated, and was not read since.
    pub unknown_amount: bool,
}

/// Was the bore bored before what was read after the operation `after`?
pub(super) fn bored_after(bench: Bench<'_>, after: &str) -> bool {
    let operations = &bench.engine.operations;
    let read_after = operations.iter().position(|o| o.name == after).map_or(0, |p| p + 1);
    operations[..read_after].iter().any(|o| o.did(OperationKind::Bore))
}

/// The bore of one cylinder through the operations that cut it.
struct Bore<'a> {
    bench: Bench<'a>,
    cylinder: u32,
    feature: &'a Feature,
    /// Operations that cut it, in order.
    cuts: Vec<&'a Operation>,
}

/// The growth since a wall of this cylinder was read after the operation `after`; none where the document does not say enough.
pub(super) fn wall_cut(bench: Bench<'_>, cylinder: u32, after: &str) -> Option<WallCut> {
    let feature = bench.engine.catalogue.feature(&format!("block.bore.{cylinder}.mid.thrust"))?;
    let cuts = bench.engine.operations.iter().filter(|o| moves(o, feature)).collect();
    Bore { bench, cylinder, feature, cuts }.cut_since(after)
}

impl Bore<'_> {
    fn cut_since(&self, after: &str) -> Option<WallCut> {
        let (read_in, now_in) =
            (state_at(self.feature, after, &self.bench.engine.operations), self.cuts.len());
        let start = self.measured(read_in).or_else(|| self.as_found(after));
        let now = self
            .measured(now_in)
            .or_else(|| self.carried(read_in, now_in))
            .or_else(|| self.with_amounts(start.as_ref()?, read_in));
        let finish = self.finish(now.as_ref());
        // In the state of the map itself both bores are the same one.
        let end = if read_in == now_in { finish } else { finish.or(now) };
        let halved = |end: &BoreSize, start: &BoreSize| (&end.value - &start.value).scaled(0.5);
        match (start, end) {
            (Some(start), Some(end)) => Some(WallCut {
                radial: halved(&end, &start),
                start: Some(start),
                end: Some(end),
                unknown_amount: false,
            }),
            (start, None) if read_in == now_in => {
                // Neither a cut since nor one to come; before any boring the finish has to be known to say so.
                let said = bored_after(self.bench, after)
                    || start.is_some() && self.bench.document().layout.bore.is_some();
                said.then(WallCut::none)
            }
            (None, _) => match self.amounts(read_in) {
                Some(taken) => Some(WallCut {
                    radial: taken.scaled(0.5),
                    start: None,
                    end: Some(taken_off(taken)),
                    unknown_amount: false,
                }),
                None => bored_after(self.bench, after)
                    .then(|| WallCut { unknown_amount: true, ..WallCut::none() }),
            },
            (Some(start), None) => {
                let end = self.nominal()?;
                let unknown_amount = true;
                Some(WallCut {
                    radial: halved(&end, &start),
                    start: Some(start),
                    end: Some(end),
                    unknown_amount,
                })
            }
        }
    }

    /// Mean of what was read when so many operations had cut the bore. A reading that looks like a slip is left out.
    fn measured(&self, state: usize) -> Option<BoreSize> {
        let sizes = self.bench.sizes;
        let mut values = Vec::new();
        for path in bore::places(self.cylinder) {
            let Some(place) = self.bench.engine.catalogue.find(&path) else { continue };
            let slip = |d: &Doubt| matches!(d, Doubt::Slip(_));
            let fresh = sizes.of_feature[place].as_ref().filter(|s| !s.stale && !s.doubts.iter().any(slip));
            let value = if state == self.cuts.len() {
                fresh.map(|s| &s.value)
            } else {
                sizes
                    .earlier
                    .get(&place)
                    .and_then(|all| all.iter().find(|(at, _)| *at == state))
                    .map(|(_, v)| v)
            };
            values.extend(value);
        }
        Some(BoreSize {
            value: Uncertain::mean(&values)?,
            label: if state == self.cuts.len() {
                format!("bore {} as measured, mean", self.cylinder)
            } else if state == 0 {
                format!("bore {} as measured before it was cut, mean", self.cylinder)
            } else {
                format!("bore {} as measured after {}, mean", self.cylinder, self.cuts[state - 1].name)
            },
            from: format!("the readings of bore {}", self.cylinder),
        })
    }

    /// The bore of the document in which a casting is mapped before it is bored.
    fn as_found(&self, after: &str) -> Option<BoreSize> {
        let found = self.bench.document().block.bore_as_found.filter(|_| !bored_after(self.bench, after))?;
        Some(exact("bore as found, taken as exact", found.0))
    }

    /// The last bore that was measured, and what was stated to be taken off since.
    fn carried(&self, from: usize, to: usize) -> Option<BoreSize> {
        let (state, last) = (from..to).rev().find_map(|state| Some((state, self.measured(state)?)))?;
        self.with_amounts(&last, state)
    }

    fn with_amounts(&self, bore: &BoreSize, state: usize) -> Option<BoreSize> {
        let taken = self.amounts(state)?;
        Some(BoreSize {
            value: &bore.value + &taken,
            label: format!("{}, and {} taken off since", bore.label, self.names(state)),
            from: if bore.from.is_empty() {
                "the document and the amounts of the operations".to_owned()
            } else {
                format!("{} and the amounts of the operations", bore.from)
            },
        })
    }

    /// What the operations from that state on took off, on diameter; none where one of them does not say it.
    fn amounts(&self, state: usize) -> Option<Uncertain> {
        let taken = self.cuts[state..].iter().map(|o| o.amount).sum::<Option<f64>>()?;
        let count = (self.cuts.len() - state) as f64;
        let standard = AMOUNT_KNOWN_TO / 3.0_f64.sqrt() * count.sqrt();
        let exact = Uncertain::exact(taken);
        Some(self.bench.sizes.amounts.map_or(exact.clone(), |source| exact.with_term(source, standard)))
    }

    fn names(&self, state: usize) -> String {
        let names: Vec<String> = self.cuts[state..].iter().map(|o| o.name.clone()).collect();
        crate::quantity::phrase_list(&names)
    }

    /// The finish bore of the document, where the bore as it stands is still to be cut to it.
    fn finish(&self, now: Option<&BoreSize>) -> Option<BoreSize> {
        let finish = self.nominal()?;
        let now = &now?.value;
        let least = self.bench.limit("bore").and_then(|l| l.used.min).unwrap_or(finish.value.value());
        (now.value() + now.expanded() < least.min(finish.value.value())).then_some(finish)
    }

    fn nominal(&self) -> Option<BoreSize> {
        self.bench.document().layout.bore.map(|bore| exact("finish bore, nominal, taken as exact", bore.0))
    }
}

impl WallCut {
    /// Was anything cut, or is anything to be cut?
    pub(super) fn cuts(&self) -> bool {
        self.radial.value() != 0.0 || self.end.is_some()
    }

    fn none() -> Self {
        Self { radial: Uncertain::exact(0.0), start: None, end: None, unknown_amount: false }
    }
}

fn exact(label: &str, size: f64) -> BoreSize {
    BoreSize { value: Uncertain::exact(size), label: label.to_owned(), from: String::new() }
}

fn taken_off(taken: Uncertain) -> BoreSize {
    BoreSize {
        value: taken,
        label: "taken off on diameter since the wall was read, as stated".to_owned(),
        from: "the amounts of the operations".to_owned(),
    }
}
