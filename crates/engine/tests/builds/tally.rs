//! Counts of what was found and what was called out wrongly.

use super::layouts::SHAPES;
use super::troubles::{KINDS, Planted};
use engine::findings::Verdict;
use std::collections::BTreeMap;

/// Sizes of troubles in U.
const SIZES: [u32; 3] = [1, 2, 4];

#[derive(Clone, Copy, Default)]
struct Row {
    planted: usize,
    bad: usize,
    uncertain: usize,
    missed: usize,
    wrong_action: usize,
}

impl Row {
    fn add(&mut self, other: Self) {
        self.planted += other.planted;
        self.bad += other.bad;
        self.uncertain += other.uncertain;
        self.missed += other.missed;
        self.wrong_action += other.wrong_action;
    }

    fn print(self, name: &str) {
        let share = 100.0 * self.bad as f64 / self.planted.max(1) as f64;
        println!(
            "| {name} | {} | {} ({share:.0} %) | {} | {} | {} |",
            self.planted, self.bad, self.uncertain, self.missed, self.wrong_action
        );
    }
}

#[derive(Clone, Copy, Default)]
struct Inside {
    findings: usize,
    uncertain: usize,
    bad: usize,
    bad_in_clean: usize,
}

#[derive(Default)]
pub struct Tally {
    /// By layout, kind of trouble, size.
    rows: BTreeMap<(usize, usize, u32), Row>,
    inside: BTreeMap<&'static str, Inside>,
    /// By layout: builds, builds with a wrong bad; clean ones first.
    builds: BTreeMap<(bool, usize), (usize, usize)>,
    pub readings: usize,
    pub asked_in_clean: usize,
    pub rings_filed: usize,
    pub rings_in_doubt: usize,
}

impl Tally {
    pub fn trouble(&mut self, shape: usize, trouble: &Planted, verdict: Verdict, right: bool) {
        let kind = KINDS.iter().position(|k| *k == trouble.kind).expect("a kind");
        let row = self.rows.entry((shape, kind, trouble.by)).or_default();
        row.planted += 1;
        match verdict {
            Verdict::Bad => {
                row.bad += 1;
                row.wrong_action += usize::from(!right);
            }
            Verdict::Uncertain => row.uncertain += 1,
            _ => row.missed += 1,
        }
    }

    pub fn inside(&mut self, code: &'static str, verdict: Verdict, with_troubles: bool) {
        let inside = self.inside.entry(code).or_default();
        inside.findings += 1;
        inside.uncertain += usize::from(verdict == Verdict::Uncertain);
        inside.bad += usize::from(verdict == Verdict::Bad);
        inside.bad_in_clean += usize::from(verdict == Verdict::Bad && !with_troubles);
    }

    pub fn build(&mut self, shape: usize, with_troubles: bool, wrong_bad: bool) {
        let build = self.builds.entry((with_troubles, shape)).or_default();
        build.0 += 1;
        build.1 += usize::from(wrong_bad);
    }

    pub fn add(&mut self, other: &Self) {
        for (key, row) in &other.rows {
            self.rows.entry(*key).or_default().add(*row);
        }
        for (code, inside) in &other.inside {
            let own = self.inside.entry(code).or_default();
            own.findings += inside.findings;
            own.uncertain += inside.uncertain;
            own.bad += inside.bad;
            own.bad_in_clean += inside.bad_in_clean;
        }
        for (key, build) in &other.builds {
            let own = self.builds.entry(*key).or_default();
            own.0 += build.0;
            own.1 += build.1;
        }
        self.readings += other.readings;
        self.asked_in_clean += other.asked_in_clean;
        self.rings_filed += other.rings_filed;
        self.rings_in_doubt += other.rings_in_doubt;
    }

    fn row(&self, wanted: impl Fn(&(usize, usize, u32)) -> bool) -> Row {
        let mut sum = Row::default();
        self.rows.iter().filter(|(key, _)| wanted(key)).for_each(|(_, row)| sum.add(*row));
        sum
    }

    pub fn found_from_two(&self) -> (usize, usize) {
        let row = self.row(|key| key.2 >= 2);
        (row.bad, row.planted)
    }

    pub fn wrong_actions(&self) -> (usize, usize) {
        let row = self.row(|_| true);
        (row.wrong_action, row.bad)
    }

    pub fn clean_builds_with_wrong_bad(&self) -> usize {
        self.builds.iter().filter(|(key, _)| !key.0).map(|(_, build)| build.1).sum()
    }

    pub fn uncertain_inside(&self) -> (usize, usize) {
        self.inside.values().fold((0, 0), |sum, i| (sum.0 + i.uncertain, sum.1 + i.findings))
    }

    pub fn print(&self) {
        println!(
            "\n| troubles | planted | bad | uncertain | missed | wrong action |\n|---|---|---|---|---|---|"
        );
        for (shape, size) in SHAPES.iter().enumerate().flat_map(|(s, _)| SIZES.map(|size| (s, size))) {
            self.row(|k| k.0 == shape && k.2 == size).print(&format!("{}, {size} U", SHAPES[shape].name));
        }
        for size in SIZES {
            self.row(|k| k.2 == size).print(&format!("all layouts, {size} U"));
        }
        println!(
            "\n| trouble, 2 and 4 U | planted | bad | uncertain | missed | wrong action |\n|---|---|---|---|---|---|"
        );
        for (index, kind) in KINDS.iter().enumerate() {
            self.row(|k| k.1 == index && k.2 >= 2).print(&format!("{kind:?}"));
        }
        println!(
            "\n| builds | clean | with a wrong bad | with troubles | with a wrong bad beside them |\n|---|---|---|---|---|"
        );
        for (shape, spec) in SHAPES.iter().enumerate() {
            let of = |troubles: bool| self.builds.get(&(troubles, shape)).copied().unwrap_or_default();
            println!(
                "| {} | {} | {} | {} | {} |",
                spec.name,
                of(false).0,
                of(false).1,
                of(true).0,
                of(true).1
            );
        }
        println!(
            "\n| question, truly inside | findings | wrongly uncertain | wrongly bad | of these in clean builds |\n|---|---|---|---|---|"
        );
        for (code, i) in &self.inside {
            if i.uncertain + i.bad > 0 {
                let share = 100.0 * i.uncertain as f64 / i.findings as f64;
                println!(
                    "| {code} | {} | {} ({share:.1} %) | {} | {} |",
                    i.findings, i.uncertain, i.bad, i.bad_in_clean
                );
            }
        }
        let (uncertain, inside) = self.uncertain_inside();
        println!("| all | {inside} | {uncertain} ({:.2} %) | | |", 100.0 * uncertain as f64 / inside as f64);
        println!("\nreadings {}, asked about in clean builds {}", self.readings, self.asked_in_clean);
    }
}
