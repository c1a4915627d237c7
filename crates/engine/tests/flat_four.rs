//! A flat four written in inches (invented): findings of one part give one answer, and the plan gives the same.

use engine::document::{OperationKind, parse_with_readings};
use engine::findings::{ActionKind, Finding, Verdict};
use engine::plan::{OrderLine, Outcome, Selection};
use engine::quantity::UnitSystem::Inch;
use engine::{Assessment, Engine, Plan, assess, plan};
use std::collections::BTreeMap;
use std::fmt::Write as _;

const DOCUMENT: &str = r#"crosshatch = 2

[engine]
name = "Flat four"
invented = true
units = "inch"

[layout]
arrangement = "flat"
cylinders = 4
bore = "3.7000 in"
stroke = "3.100 in"
intake_valves = 1
exhaust_valves = 1
main_bearings = 5

[block]
material = "grey_iron"
deck_stock = "0.001 in"

[crank]
material = "steel"
pin_journal = { nominal = "2.0000 in", min = "1.9995 in", max = "2.0005 in" }
main_journal = { nominal = "2.2500 in", min = "2.2495 in", max = "2.2505 in" }

[main_shells]
grades = { standard = "0.0745 in", thick = "0.0750 in", "010 under" = "0.0795 in" }
fitted = { 1 = ["standard"], 2 = ["standard"], 3 = ["standard"], 4 = ["standard"], 5 = ["standard"] }

[rods]
material = "steel"
length = "5.400 in"

[rod_shells]
grades = { standard = "0.0615 in", thick = "0.0620 in", "010 under" = "0.0665 in", "020 under" = "0.0715 in" }
fitted = { 1 = ["standard"], 2 = ["standard"], 3 = ["standard"], 4 = ["standard"] }

[pistons]
material = "piston_eutectic"
gauge_diameter = "3.6980 in"
compression_height = "1.600 in"
dish = "0 cm3"
top_land_crevice = "0.8 cm3"

[gasket]
compressed = "0.040 in"
fire_ring = "3.780 in"

[limits]
bore = { min = "3.6998 in", max = "3.7010 in", target = "3.7004 in" }
bore_taper = { max = "0.0005 in" }
bore_round = { max = "0.0005 in" }
journal_taper = { max = "0.0003 in" }
journal_round = { max = "0.0003 in" }
rod_clearance = { min = "0.0015 in", max = "0.0025 in", target = "0.0020 in" }
main_clearance = { min = "0.0005 in", max = "0.0020 in", target = "0.0010 in" }
piston_clearance = { min = "0.0018 in", max = "0.0024 in", target = "0.0021 in" }
quench = { min = "0.035 in", max = "0.046 in" }
compression_ratio = { min = "9.0", max = "9.2", target = "9.1" }

[shop]
currency = "EUR"
gaskets = [
  { compressed = "0.040 in", on_hand = 0, supply = { price = "50 EUR", days = 5, from = "gaskets" } },
  { compressed = "0.060 in", on_hand = 0, supply = { price = "60 EUR", days = 7, from = "gaskets" } },
]
shell_pair = { price = "20 EUR", days = 3, from = "shells" }
jobs = { hone = { price = "40 EUR", days = 2, from = "machinist" }, regrind = { price = "300 EUR", days = 10, from = "machinist" } }

[instruments.B]
kind = "bore_gauge"
resolution = "0.0001 in"
max_error = "0.0001 in"
setting = "0.00002 in"
repeatability = "0.00003 in"

[instruments.M]
kind = "micrometer"
resolution = "0.0001 in"
max_error = "0.00005 in"
setting = "0.00002 in"
repeatability = "0.00002 in"

[instruments.D]
kind = "dial_indicator"
resolution = "0.0001 in"
max_error = "0.0001 in"
repeatability = "0.0001 in"

[instruments.C]
kind = "micrometer"
resolution = "0.001 in"
max_error = "0.0003 in"
setting = "0.0002 in"
repeatability = "0.0003 in"
"#;

/// Readings by their place: value in inches and gauge; all sound.
struct Bench {
    document: String,
    read: BTreeMap<String, (f64, &'static str)>,
    more: String,
}

const LEVELS: [&str; 6] = ["top.thrust", "top.along", "mid.thrust", "mid.along", "low.thrust", "low.along"];
const ENDS: [&str; 4] = ["front.vertical", "front.across", "rear.vertical", "rear.across"];

impl Bench {
    fn sound() -> Self {
        let mut bench = Self { document: DOCUMENT.to_owned(), read: BTreeMap::new(), more: String::new() };
        for cylinder in 1..=4 {
            bench.bore(cylinder, [3.7004; 6]);
            bench.set(&format!("piston.{cylinder}.gauge"), 3.6983, "M");
            bench.set(&format!("rod.{cylinder}.big_end.vertical"), 2.1250, "B");
            bench.journal("pin", cylinder, [2.0000; 4]);
        }
        for main in 1..=5 {
            bench.journal("main", main, [2.2500; 4]);
            bench.set(&format!("block.main_housing.{main}.vertical"), 2.4000, "B");
        }
        bench
    }

    fn set(&mut self, path: &str, inches: f64, gauge: &'static str) {
        self.read.insert(path.to_owned(), (inches, gauge));
    }

    fn bore(&mut self, cylinder: u32, sizes: [f64; 6]) {
        for (level, size) in LEVELS.iter().zip(sizes) {
            self.set(&format!("block.bore.{cylinder}.{level}"), size, "B");
        }
    }

    fn journal(&mut self, which: &str, number: u32, sizes: [f64; 4]) {
        for (end, size) in ENDS.iter().zip(sizes) {
            self.set(&format!("crank.{which}.{number}.{end}"), size, "M");
        }
    }

    fn job(&self) -> Job {
        let mut csv = "feature,value,instrument,temperature,after,held\n".to_owned();
        for (path, (inches, gauge)) in &self.read {
            writeln!(csv, "{path},{inches:.4} in,{gauge},68 °F,,").expect("a string");
        }
        csv.push_str(&self.more);
        let parsed = parse_with_readings(&self.document, "flat.toml", &csv, "flat.readings.csv");
        assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
        let engine = Engine::new(parsed.document.expect("no errors"), Vec::new(), Vec::new());
        let assessment = assess(&engine);
        let plan = plan(&engine, &assessment);
        Job { assessment, plan }
    }
}

struct Job {
    assessment: Assessment,
    plan: Plan,
}

impl Job {
    fn finding(&self, id: &str) -> &Finding {
        self.assessment.finding(id).unwrap_or_else(|| panic!("no finding {id}"))
    }

    fn actions(&self, id: &str) -> Vec<(ActionKind, String)> {
        self.finding(id).actions.iter().map(|a| (a.kind, a.text.print(Inch))).collect()
    }

    fn selection(&self, code: &str) -> &Selection {
        self.plan.selections.iter().find(|s| s.code == code).unwrap_or_else(|| panic!("no {code}"))
    }

    fn order(&self, words: &str) -> Option<&OrderLine> {
        self.plan.orders.iter().find(|o| o.item.print(Inch).contains(words))
    }

    fn orders(&self) -> Vec<String> {
        self.plan.orders.iter().map(|o| o.item.print(Inch)).collect()
    }
}

/// Too small, tapered and oval: three findings, one hone. 3.7004 is the size aimed at; its taper alone would be out at 3.7000.
#[test]
fn all_findings_of_a_bore_name_the_target_of_its_one_hone() {
    let mut bench = Bench::sound();
    bench.bore(1, [3.6980, 3.6990, 3.6993, 3.6992, 3.6999, 3.6997]);
    let job = bench.job();
    let said: Vec<_> = ["bore_size/1", "bore_taper/1", "bore_round/1"].map(|id| job.actions(id)).into();
    for actions in &said {
        let [(ActionKind::Cut, words)] = actions.as_slice() else { panic!("{said:?}") };
        assert!(words.starts_with("Hone to 3.7004 in over the full length"), "{said:?}");
    }
    let hones: Vec<_> = job.plan.cuts.iter().filter(|c| c.operation == OperationKind::Hone).collect();
    let [hone] = hones.as_slice() else { panic!("one hone: {hones:#?}") };
    assert!((hone.to.expect("a size") / 25.4e-3 - 3.7004).abs() < 1e-6, "{hone:#?}");
    assert!(hone.text.print(Inch).starts_with("Hone to 3.7004 in"), "{hone:#?}");
    // In size by its mean, the taper orders the smallest size that cleans up, and nobody names another one.
    bench.bore(1, [3.6998, 3.6998, 3.7000, 3.7000, 3.7006, 3.7006]);
    let job = bench.job();
    let hone = job.plan.cuts.iter().find(|c| c.operation == OperationKind::Hone).expect("a hone");
    let target = hone.text.print(Inch);
    assert!(target.starts_with("Hone to 3.7007 in") || target.starts_with("Hone to 3.7008 in"), "{target}");
    assert!(job.actions("bore_taper/1")[0].1.starts_with(&target), "{:?}", job.actions("bore_taper/1"));
}

/// An oval pin is ground: the clearance of its rod and its own size follow, no shells are ordered for the pin as it is, and the crank is
/// proved before the money is spent. 2.1250 − 2 × 0.0665 − 0.0020 = 1.9900.
#[test]
fn an_oval_pin_is_ground_and_its_clearance_follows() {
    let mut bench = Bench::sound();
    bench.journal("pin", 1, [2.0000, 1.9984, 2.0000, 1.9986]);
    let job = bench.job();
    let clearance = job.finding("rod_clearance/1");
    assert_eq!(clearance.verdict, Verdict::Bad);
    assert_eq!(clearance.follows.as_deref(), Some("pin_round/1"));
    let said = job.actions("rod_clearance/1");
    assert!(said.iter().all(|(_, words)| !words.contains("grade")), "{said:?}");
    assert!(said[0].1.contains("crank pin 1 is ground") && said[0].1.contains("order none"), "{said:?}");
    assert_eq!(job.finding("pin_size/1").follows.as_deref(), Some("pin_round/1"));
    assert_eq!(job.order("grade thick"), None, "{:?}", job.orders());
    let rods = job.selection("rod_shells");
    assert!(rods.placements.iter().all(|p| p.instance != "1"), "{:?}", rods.placements);
    assert!(rods.summary.print(Inch).contains("the shells of rod 1 are chosen when crank pin 1 is ground"));

    let said = job.actions("pin_round/1");
    let [(ActionKind::Hold, first), (ActionKind::Cut, then)] = said.as_slice() else { panic!("{said:?}") };
    assert!(first.contains("tested for cracks") && first.contains("radii"), "{first}");
    assert!(
        then.starts_with("Grind crank pin 1 to 1.9900 in") && then.contains("grade 010 under (0.0665 in)"),
        "{then}"
    );
    let cuts: Vec<_> = job.plan.cuts.iter().filter(|c| c.operation == OperationKind::Regrind).collect();
    let [cut] = cuts.as_slice() else { panic!("one line for the pin: {cuts:#?}") };
    assert!((cut.to.expect("a size") / 25.4e-3 - 1.9900).abs() < 1e-6, "{cut:#?}");
    assert!(!cut.is_sure() && cut.only_if.is_some_and(|words| words.contains("cracks")), "{cut:#?}");
    for id in ["pin_round/1", "pin_size/1", "rod_clearance/1"] {
        assert!(cut.settles.iter().any(|settled| settled == id), "{id}: {cut:#?}");
    }
    let shells = job.order("grade 010 under").expect("the shells that go with it");
    assert!((shells.quantity, shells.is_sure()) == (1, false), "{shells:#?}");
    let proofs = job.plan.bench.iter().filter(|t| t.text.print(Inch).contains("tested for cracks")).count();
    assert_eq!(proofs, 1, "{:#?}", job.plan.bench);
}

/// Two mains that are tapered: the same, with one test of the crank for both.
#[test]
fn tapered_mains_are_ground_and_the_crank_is_tested_once() {
    let mut bench = Bench::sound();
    bench.journal("main", 2, [2.2500, 2.2500, 2.2485, 2.2485]);
    bench.journal("main", 4, [2.2500, 2.2500, 2.2484, 2.2484]);
    let job = bench.job();
    for main in ["2", "4"] {
        let clearance = job.finding(&format!("main_clearance/{main}"));
        if clearance.verdict == Verdict::Bad {
            assert_eq!(clearance.follows, Some(format!("main_taper/{main}")));
        }
    }
    let proofs = job.plan.bench.iter().filter(|t| t.text.print(Inch).contains("tested for cracks"));
    let parts: Vec<&str> = proofs.map(|t| t.part.as_str()).collect();
    assert_eq!(parts, ["crank"], "{:#?}", job.plan.bench);
    let mains = job.selection("main_shells");
    assert!(mains.placements.iter().all(|p| !["2", "4"].contains(&p.instance.as_str())), "{mains:#?}");
    // 2.4000 − 2 × 0.0795 − 0.0010 = 2.2400.
    assert!(job.actions("main_taper/4")[1].1.starts_with("Grind main 4 to 2.2400 in"));
    assert_eq!(
        job.order("main shell pair, grade 010 under").map(|o| o.quantity),
        Some(2),
        "{:?}",
        job.orders()
    );
}

/// Without shells for an undersize the order asks for them, and names no size.
#[test]
fn an_undersize_without_shells_is_asked_for() {
    let mut bench = Bench::sound();
    bench.document = DOCUMENT.replace(", \"010 under\" = \"0.0665 in\", \"020 under\" = \"0.0715 in\"", "");
    bench.journal("pin", 1, [2.0000, 1.9984, 2.0000, 1.9986]);
    let job = bench.job();
    let said = job.actions("pin_round/1");
    assert!(said[1].1.contains("rod_shells.grades in the document"), "{said:?}");
    let cut = job.plan.cuts.iter().find(|c| c.operation == OperationKind::Regrind).expect("a grind");
    assert_eq!(cut.to, None);
    assert_eq!(job.orders(), Vec::<String>::new());
}

/// A pin that is round and straight but worn still gets the thicker shell where one fits: what was right stays.
#[test]
fn a_worn_round_pin_gets_its_shell() {
    let mut bench = Bench::sound();
    bench.journal("pin", 1, [1.9992; 4]);
    let job = bench.job();
    assert_eq!(job.finding("rod_clearance/1").verdict, Verdict::Bad);
    assert!(job.actions("rod_clearance/1")[0].1.starts_with("Fit both shells of grade thick"));
    // The worn pin is the cause; it is proved first, and its shells wait for that.
    assert_eq!(job.finding("rod_clearance/1").follows.as_deref(), Some("pin_size/1"));
    let order = job.order("grade thick").expect("its shells");
    assert!(order.only_if.is_some_and(|only_if| only_if.contains("passes its test")), "{order:?}");
}

/// Deck and chamber so that no gasket and no cut keep compression and quench together: the nearest gasket is no sure order.
#[test]
fn a_gasket_that_needs_a_limit_moved_is_ordered_only_if_it_moves() {
    let mut bench = Bench::sound();
    for cylinder in 1..=4 {
        for end in ["front", "rear"] {
            bench.set(&format!("cylinder.{cylinder}.below_deck.{end}"), 0.0, "D");
        }
    }
    let chambers = (1..=4).map(|c| format!("head.chamber.{c},56 cm3,,68 °F,,\n"));
    bench.more = chambers.collect();
    let job = bench.job();
    let decks = job.selection("deck_and_gasket");
    assert!(matches!(decks.outcome, Outcome::Relax { .. }), "{:#?}", decks.outcome);
    let gasket = job.order("head gasket").expect("the nearest gasket");
    assert!(!gasket.is_sure() && gasket.only_if.is_some_and(|words| words.contains("limit is moved")));
}

/// Pistons read to a thousandth: what is outside is so by far less than U. No limit gives before a finer reading, and none of the pins,
/// which were never tried.
#[test]
fn a_gauge_that_is_too_coarse_is_named_before_a_limit_gives() {
    let mut bench = Bench::sound();
    for (piston, size) in [(1, 3.6980), (2, 3.6980), (3, 3.6987), (4, 3.6979)] {
        bench.set(&format!("piston.{piston}.gauge"), size, "C");
    }
    let job = bench.job();
    let Outcome::CannotTell { ask, relax, .. } = &job.selection("pistons").outcome else {
        panic!("{:#?}", job.selection("pistons").outcome)
    };
    let ask: Vec<String> = ask.iter().map(|words| words.print(Inch)).collect();
    assert!(!ask.is_empty() && ask.iter().all(|words| words.contains("micrometer C")), "{ask:?}");
    assert!(ask.iter().all(|words| words.contains("with a finer gauge")), "{ask:?}");
    assert!(ask.iter().all(|words| !words.contains("outside by 0.0000 in")), "{ask:?}");
    let relax: Vec<String> = relax.iter().map(|words| words.print(Inch)).collect();
    assert!(relax.iter().all(|words| !words.contains("pin")), "{relax:?}");
    assert!(job.selection("pistons").settles.is_empty());
    for cylinder in 1..=4 {
        let finding = job.finding(&format!("piston_clearance/{cylinder}"));
        assert_eq!(finding.verdict, Verdict::Uncertain);
        let said = job.actions(&finding.id);
        assert!(said.iter().all(|(kind, _)| *kind != ActionKind::Place), "{said:?}");
        assert!(said[0].1.contains("finer gauge"), "{said:?}");
    }
    // The same sizes from a fine gauge: they are outside, and a limit has to give.
    for (piston, size) in [(1, 3.6970), (2, 3.6980), (3, 3.6987), (4, 3.6979)] {
        bench.set(&format!("piston.{piston}.gauge"), size, "M");
    }
    let job = bench.job();
    assert!(matches!(job.selection("pistons").outcome, Outcome::Relax { .. }));
}

/// The best estimates fit, and no reading with this gauge could prove it: nothing is widened, and nothing is called settled.
#[test]
fn pistons_that_fit_by_a_coarse_gauge_are_not_settled() {
    let mut bench = Bench::sound();
    for piston in 1..=4 {
        bench.set(&format!("piston.{piston}.gauge"), 3.6983, "C");
    }
    let job = bench.job();
    let pistons = job.selection("pistons");
    assert!(matches!(pistons.outcome, Outcome::Best { .. }), "{:#?}", pistons.outcome);
    let said = pistons.summary.print(Inch);
    assert!(said.contains("no choice is sure") && said.contains("micrometer C"), "{said}");
    assert!(pistons.settles.iter().all(|id| !id.starts_with("piston_clearance")), "{:?}", pistons.settles);
    // The same gauge once more settles nothing, so that no line promises it: the work is to read with a finer one.
    let id = "piston_clearance/1".to_owned();
    assert!(job.plan.measure_next.iter().all(|group| !group.settles.contains(&id)));
    let line = job.plan.bench.iter().find(|t| t.settles.contains(&id)).expect("a line");
    assert!(line.text.print(Inch).contains("finer gauge"), "{}", line.text.print(Inch));
}

/// Sizes without a single limit: no question is answered, but something is known.
#[test]
fn what_is_read_without_a_limit_is_known() {
    let mut bench = Bench::sound();
    assert!(!bench.job().assessment.tally().nothing_known());
    let (before, rest) = DOCUMENT.split_once("[limits]").expect("limits");
    let (_, after) = rest.split_once("[shop]").expect("a shop");
    let without = format!("{before}[shop]{after}");
    bench.document = without.replace(", min = \"1.9995 in\", max = \"2.0005 in\"", "");
    bench.read.retain(|path, _| path.starts_with("piston.") || path.starts_with("rod."));
    let tally = bench.job().assessment.tally();
    assert!(tally.nothing_judged() && tally.begun > 0, "{tally:?}");
    assert!(!tally.nothing_known(), "{tally:?}");
    assert_eq!(tally.in_short(), format!("not proved: {0} of {0} questions open", tally.all()));
    bench.read.clear();
    assert!(bench.job().assessment.tally().nothing_known());
}
