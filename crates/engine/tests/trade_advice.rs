//! What the advice must not get wrong: one cause has one action, and finding, plan and cutting list give the same answer.
//! The troubles are those of the demo engines (invented) with one reading or limit changed.

mod demo;

use demo::{FOUR, Job};
use engine::cautions;
use engine::document::{Arrangement, OperationKind as K};
use engine::findings::{ActionKind, Finding, Verdict};
use engine::quantity::{Dimension, UnitSystem, format_with_uncertainty};
use engine::readings::{Operation, moves, opens_again};

const V8: (&str, &str) = (
    include_str!("../../../examples/pushrod-v8.toml"),
    include_str!("../../../examples/pushrod-v8.readings.csv"),
);

/// A demo engine with readings changed: each pair is what stands in the CSV and what stands there instead.
fn job((text, csv): (&str, &str), changes: &[(&str, &str)]) -> Job {
    let mut csv = csv.to_owned();
    for (from, to) in changes {
        assert!(csv.contains(from), "no reading {from}");
        csv = csv.replace(from, to);
    }
    Job::of(text, &csv)
}

impl Job {
    fn finding(&self, id: &str) -> &Finding {
        self.assessment.finding(id).unwrap_or_else(|| panic!("no finding {id}"))
    }

    fn actions(&self, id: &str) -> Vec<(ActionKind, String)> {
        let units = self.engine.units();
        self.finding(id).actions.iter().map(|a| (a.kind, a.text.print(units))).collect()
    }

    /// Swept volume of one cylinder, m³.
    fn swept_of_one(&self) -> f64 {
        self.finding("swept_volume/1").value.expect("all bores are read").value / 4.0
    }

    /// Work on the springs of the cutting list.
    fn shims(&self) -> Vec<String> {
        let cuts = self.plan.cuts.iter().filter(|c| c.operation == K::SpringShim);
        cuts.map(|c| format!("{}: {}", c.part, c.text.print(UnitSystem::Metric))).collect()
    }

    /// Springs to shim under "what goes where".
    fn placed_shims(&self) -> Vec<String> {
        let springs = self.plan.selections.iter().filter(|s| s.code == "spring_shims");
        let placed = springs.flat_map(|s| &s.placements);
        placed.map(|p| format!("{}: {}", p.place, p.what.print(UnitSystem::Metric))).collect()
    }
}

const HEIGHT_3B: &str = "head.intake.3b.spring_installed,33.10 mm";
const LOAD_3B: &str = "head.intake.3b.seat_load,367 N";

#[test]
fn a_short_spring_has_one_cure_wherever_it_is_asked_about() {
    let four = job(FOUR, &[]);
    let said = ["coil_bind_margin", "spring_installed", "seat_load"]
        .map(|code| four.actions(&format!("{code}/intake.3b")));
    for actions in &said {
        let [(ActionKind::Refit, words)] = actions.as_slice() else { panic!("{said:?}") };
        assert!(words.to_lowercase().contains("take 0.90 mm of shim out"), "{words}");
    }
    assert_eq!(four.shims(), ["spring 3 intake b: take 0.90 mm of shim out"]);
    assert_eq!(four.placed_shims(), four.shims());
    for code in ["spring_installed", "seat_load"] {
        let follows = &four.finding(&format!("{code}/intake.3b")).follows;
        assert_eq!(follows.as_deref(), Some("coil_bind_margin/intake.3b"), "{code}");
    }
}

#[test]
fn a_spring_that_stands_too_high_gets_shim_put_in() {
    // 330 N at 34.00 and 41 N/mm: 285 N at 35.10.
    let four = job(
        FOUR,
        &[
            (HEIGHT_3B, "head.intake.3b.spring_installed,35.10 mm"),
            (LOAD_3B, "head.intake.3b.seat_load,285 N"),
        ],
    );
    assert_eq!(four.finding("coil_bind_margin/intake.3b").verdict, Verdict::Good);
    assert_eq!(four.shims(), ["spring 3 intake b: put 1.10 mm of shim in"]);
    assert_eq!(four.placed_shims(), four.shims());
    let load = four.actions("seat_load/intake.3b");
    assert_eq!(load, [(ActionKind::Refit, "Follows from the height: put 1.10 mm of shim in".to_owned())]);
}

#[test]
fn a_weak_spring_is_not_cured_by_its_height() {
    // As short as in the demo, yet only 300 N: 263 N once it stands at its height.
    let four = job(FOUR, &[(LOAD_3B, "head.intake.3b.seat_load,300 N")]);
    let load = four.actions("seat_load/intake.3b");
    let [(ActionKind::Order, words)] = load.as_slice() else { panic!("{load:?}") };
    assert!(words.contains("Another spring: set to its height, this one would have 263 N"), "{words}");
    assert_eq!(four.finding("seat_load/intake.3b").follows, None, "it follows from no height");
    let order = four.plan.orders.iter().find(|o| o.settles.iter().any(|id| id == "seat_load/intake.3b"));
    assert!(order.is_some(), "another spring is ordered");
    let shims = four.plan.selections.iter().find(|s| s.code == "spring_shims").expect("the height is wrong");
    assert!(!shims.settles.iter().any(|id| id == "seat_load/intake.3b"), "shims do not settle it");
    // At its height the load is the spring's own.
    let four = job(
        FOUR,
        &[
            (HEIGHT_3B, "head.intake.3b.spring_installed,34.00 mm"),
            (LOAD_3B, "head.intake.3b.seat_load,280 N"),
        ],
    );
    let load = four.actions("seat_load/intake.3b");
    assert_eq!(load[0].0, ActionKind::Order, "{load:?}");
    assert!(four.shims().is_empty());
}

#[test]
fn a_journal_below_its_least_size_is_tested_before_it_is_used() {
    for (demo, pin, rod) in [(FOUR, "pin_size/2", "rod_clearance/2"), (V8, "pin_size/3", "rod_clearance/3")] {
        let demo = job(demo, &[]);
        for id in [pin, rod] {
            let hold = demo.finding(id).actions.iter().find(|a| a.kind == ActionKind::Hold);
            assert_eq!(hold.and_then(|a| a.caution), Some(cautions::WORN_JOURNAL), "{id}");
        }
        let line = demo.plan.bench.iter().find(|t| t.settles.iter().any(|id| id == pin));
        let line = line.unwrap_or_else(|| panic!("{pin} has no line in the plan"));
        assert_eq!((line.kind, line.caution), (ActionKind::Hold, Some(cautions::WORN_JOURNAL)), "{pin}");
    }
}

#[test]
fn grinding_and_relieving_carry_their_cautions() {
    let four = job(FOUR, &[]);
    let chamber = &four.finding("chamber/4").actions[0];
    assert_eq!(chamber.caution, Some(cautions::CHAMBER_RELIEF));
    let cut = |demo: &Job, kind| demo.plan.cuts.iter().find(|c| c.operation == kind).and_then(|c| c.caution);
    assert_eq!(cut(&four, K::ChamberRelief), Some(cautions::CHAMBER_RELIEF));
    // A pin that is oval by 0.03 mm, still above its least size by its mean.
    let oval = job(FOUR, &[("crank.pin.1.front.across,46.485 mm", "crank.pin.1.front.across,46.515 mm")]);
    let round = oval.finding("pin_round/1");
    assert_eq!((round.verdict, round.actions[0].caution), (Verdict::Bad, Some(cautions::JOURNAL)));
    assert_eq!(cut(&oval, K::Regrind), Some(cautions::JOURNAL));
}

#[test]
fn a_skim_opens_what_it_moves_in_this_engine() {
    let (four, v8) = (job(FOUR, &[]), job(V8, &[]));
    let words = |demo: &Job, kind| opens_again(kind, "", &demo.engine.document).join(", ");
    for kind in [K::DeckSkim, K::HeadSkim] {
        let pushrods = words(&v8, kind);
        for word in ["lash", "length of pushrod", "intake manifold", "dowels", "piston to valve"] {
            assert!(pushrods.contains(word), "{word}: {pushrods}");
        }
        assert!(!pushrods.contains("cam timing"), "the cam lies in the block: {pushrods}");
        let cams_in_the_head = words(&four, kind);
        assert!(cams_in_the_head.contains("cam timing"), "{cams_in_the_head}");
        for word in ["lash", "pushrod", "manifold"] {
            assert!(!cams_in_the_head.contains(word), "{word}: {cams_in_the_head}");
        }
    }
    assert!(words(&four, K::AlignHone).contains("cam timing"), "the crank axis rises");
    assert!(!words(&four, K::SeatCut).contains("cam timing"), "a seat turns no camshaft");
    // What is said is also done: a lash read before the skim is stale after it, over pushrods alone.
    let skim = Operation {
        withdrawn: false,
        name: "deck skimmed".to_owned(),
        kind: K::DeckSkim,
        only: Vec::new(),
        note: String::new(),
        amount: None,
        who: String::new(),
        when: String::new(),
    };
    let lash = |demo: &Job, path: &str| {
        let place = demo.engine.catalogue.find(path).expect("lash is read");
        moves(&skim, &demo.engine.catalogue.features[place])
    };
    assert!(lash(&v8, "head.intake.1a.lash"));
    assert!(!lash(&four, "head.intake.1a.lash"));
}

/// A reading of a CSV file in inches with another value.
fn with_inches(csv: &str, path: &str, value: impl Fn(f64) -> f64) -> String {
    let line = csv.lines().find(|line| line.starts_with(&format!("{path},"))).expect("the place is read");
    let read = line.split(',').nth(1).and_then(|v| v.strip_suffix(" in")).expect("in inches");
    let new = value(read.parse().expect("a number"));
    csv.replace(line, &line.replacen(&format!("{read} in"), &format!("{new:.4} in"), 1))
}

/// The V8 as it is read after the skim of deck B and `cut` (in) more, with the gasket that the plan asks for.
fn with_deck_b_cut(v8: &Job, cut: f64) -> Job {
    // Corners 9.1180, 9.1120, 9.1180 and 9.1121 in: the skim to the low one takes 0.003 in off between them.
    let (low, skim) = (9.1120, 0.0030);
    let mut csv = V8.1.to_owned();
    for corner in ["front.in", "front.out", "rear.in", "rear.out"] {
        csv = with_inches(&csv, &format!("block.deck_height.b.{corner}"), |_| low - cut);
    }
    for cylinder in &v8.engine.document.banks()[1] {
        for end in ["front", "rear"] {
            csv = with_inches(&csv, &format!("cylinder.{cylinder}.below_deck.{end}"), |b| b - skim - cut);
        }
    }
    csv = with_inches(&csv, "gasket.b.compressed", |_| 0.045);
    Job::of(V8.0, &csv)
}

/// The deck and gasket of the V8 as the plan asks for them, read in again: the findings must agree that they fit.
#[test]
fn deck_and_gasket_fit_when_they_are_read_as_the_plan_asks() {
    const INCH: f64 = 0.0254;
    let v8 = job(V8, &[]);
    let decks = v8.plan.selections.iter().find(|s| s.code == "deck_and_gasket").expect("it is chosen");
    let of_b = decks.placements.iter().find(|p| p.instance == "b").expect("deck B");
    assert!(of_b.what.print(UnitSystem::Inch).contains("0.045"), "{}", of_b.what.print(UnitSystem::Inch));
    let cut = of_b.value / INCH;
    let after = with_deck_b_cut(&v8, cut);
    let open: Vec<&str> = after
        .assessment
        .findings
        .iter()
        .filter(|f| matches!(f.code, "compression_ratio" | "compression_spread" | "quench" | "deck_lean"))
        .filter(|f| f.verdict != Verdict::Good)
        .map(|f| f.id.as_str())
        .collect();
    assert!(open.is_empty(), "{open:?}");
    let spread = after.finding("compression_spread/1");
    let (value, limit) = (spread.value.expect("a value"), spread.limit.as_ref().expect("a limit"));
    assert!(value.value + 0.9 * value.expanded < limit.max.expect("a greatest"), "{value:?}");
}

#[test]
fn the_gasket_of_a_deck_says_which_skim_it_follows() {
    // As it is sold, and with the thickest not to be had.
    let thickest = "[[shop.gaskets]]\ncompressed = \"0.045 in\"\non_hand = 0\nsupply = { price = \"62.00\", days = 6, from = \"gasket maker\" }\n";
    let without = V8.0.replace(thickest, "");
    assert_ne!(without, V8.0);
    let cases = [
        (V8.0, "(deck B, to follow its skim)", "deck A: as it stands; deck B: change the gasket"),
        (&without, "(deck A, to follow the skim of deck B)", "deck B: no cut beyond the skim"),
    ];
    for (text, whose, summary) in cases {
        let v8 = job((text, V8.1), &[]);
        let gasket = v8.plan.orders.iter().find(|o| o.item.print(UnitSystem::Inch).contains("head gasket"));
        let gasket = gasket.expect("the skim of deck B asks for one");
        assert!(
            gasket.item.print(UnitSystem::Inch).ends_with(whose),
            "{}",
            gasket.item.print(UnitSystem::Inch)
        );
        assert_eq!(gasket.settles, ["compression_spread/1"]);
        let decks = v8.plan.selections.iter().find(|s| s.code == "deck_and_gasket").expect("it is chosen");
        let said = decks.summary.print(UnitSystem::Inch);
        assert!(said.contains(summary), "{said}");
        assert!(decks.objective.contains("of its uncertainty"), "the page says what is kept off");
    }
}

#[test]
fn how_much_comes_off_a_ring_is_said_once_and_after_the_hone() {
    let four = job(FOUR, &[]);
    for cylinder in [2, 4] {
        for action in &four.finding(&format!("top_ring_gap/{cylinder}.top")).actions {
            let said = action.effect.print(UnitSystem::Metric);
            assert!(!said.contains("mm"), "a second figure: {said}");
        }
    }
    let rings = four.plan.selections.iter().find(|s| s.code == "ring_filing").expect("rings are filed");
    let from = |cylinder: &str| {
        let ring = rings.placements.iter().find(|p| p.place == format!("cylinder {cylinder}"));
        ring.map(|p| p.from.print(UnitSystem::Metric)).unwrap_or_default()
    };
    // 0.34 as read is 0.35 in the honed bore; bore 4 is not honed.
    assert_eq!(from("2"), "file 0.19 mm off, after the hone");
    assert_eq!(from("4"), "file 0.17 mm off");
}

#[test]
fn the_shells_to_change_are_named() {
    let summary = |demo, code: &str| {
        let demo = job(demo, &[]);
        let shells = demo.plan.selections.iter().find(|s| s.code == code);
        shells.map(|s| s.summary.print(demo.engine.units())).unwrap_or_default()
    };
    assert_eq!(summary(FOUR, "rod_shells"), "change the shells of rod 2; order 1 pair");
    // The strip at rod 4 is asked about: what stays there is not proved.
    assert_eq!(
        summary(V8, "rod_shells"),
        "change the shells of rods 3 and 7; order 2 pairs; but it rests on what is open: rod bearing 4, oil clearance (in doubt: answer its question first). Settle that, then look here again"
    );
}

#[test]
fn no_sentence_goes_on_with_a_capital() {
    for demo in [FOUR, V8] {
        let demo = job(demo, &[]);
        for line in &demo.plan.undecided {
            let said = line.text.print(demo.engine.units());
            let broken = said.split("; ").skip(1).any(|part| part.starts_with(char::is_uppercase));
            assert!(!broken, "{said}");
        }
    }
}

#[test]
fn the_sides_of_a_face_are_named() {
    let (four, v8) = (job(FOUR, &[]), job(V8, &[]));
    let rows = |demo: &Job| {
        let table = demo.engine.catalogue.tables.iter().find(|t| t.id == "deck_face").expect("it is read");
        table.rows.clone()
    };
    assert_eq!(rows(&four), ["intake side", "middle", "exhaust side"]);
    assert_eq!(rows(&v8), ["A valley side", "A middle", "A outer side"]);
    assert_eq!(v8.engine.document.layout.arrangement, Some(Arrangement::Vee));
    let lean = v8.finding("deck_lean/b").why.print(UnitSystem::Inch);
    assert!(lean.contains("side") && !lean.contains(" in") && !lean.contains(" out,"), "{lean}");
}

#[test]
fn an_expansion_is_one_figure_with_its_unit() {
    let said = format_with_uncertainty(10.5e-6, 0.6e-6, Dimension::Expansion, UnitSystem::Metric);
    assert_eq!(said, "(10.5 ± 0.6)·10⁻⁶/K");
}

#[test]
fn a_hint_speaks_the_units_of_its_engine() {
    let hint = |demo| {
        let demo = job(demo, &[]);
        let bores = demo.engine.catalogue.tables.iter().find(|t| t.id == "bores");
        bores.map(|t| t.hint.to_owned()).unwrap_or_default()
    };
    assert!(hint(FOUR).contains("10 mm") && !hint(FOUR).contains(" in)"));
    assert!(hint(V8).contains("0.4 in") && !hint(V8).contains("mm"));
}

/// The four with other limits of its ratio, and a wide quench.
fn raised(min: &str, target: &str, max: &str) -> Job {
    let (text, readings) = FOUR;
    let old = |table: &str| {
        let rest = text.split_once(&format!("[limits.{table}]\n")).expect("a limit of the demo").1;
        rest.split_once("\n\n").map_or(rest, |(limit, _)| limit).to_owned()
    };
    let text = text
        .replace(
            &old("compression_ratio"),
            &format!("min = \"{min}\"\ntarget = \"{target}\"\nmax = \"{max}\"\norigin = \"builder\""),
        )
        .replace(
            &old("quench"),
            "min = \"0.80 mm\"\ntarget = \"1.00 mm\"\nmax = \"1.20 mm\"\norigin = \"builder\"",
        );
    job((&text, readings), &[])
}

/// Where no cut fits, a limit moves first, and how deep the deck is cut hangs on which: the plan says no depth before.
#[test]
fn no_depth_is_told_before_a_limit_moves() {
    let Job { engine, plan, .. } = raised("9.50", "9.70", "9.90");
    let choice = plan.selections.iter().find(|s| s.code == "deck_and_gasket").expect("the choice");
    assert!(matches!(choice.outcome, engine::plan::Outcome::Relax { .. }), "{:?}", choice.outcome);
    let waits = choice.placements[0].from.print(engine.units());
    assert!(waits.contains("one of the limits moves"), "{waits}");
    let skim = plan.cuts.iter().find(|c| c.operation == K::DeckSkim).expect("a line for it");
    let said = skim.text.print(engine.units());
    assert!(skim.only_if.is_some() && !said.contains("mm"), "{said}");
    // Stock that nobody stated is asked for, not taken as none.
    let stock = FOUR.0.lines().find(|line| line.starts_with("deck_stock")).expect("the four states it");
    let text = FOUR.0.replacen(stock, "", 1).replacen(
        "max = \"9.40\"\ntarget = \"9.20\"",
        "max = \"9.90\"\ntarget = \"9.70\"",
        1,
    );
    let text = text.replacen("min = \"9.00\"", "min = \"9.50\"", 1);
    let unknown = job((&text, FOUR.1), &[]);
    let choice = unknown.plan.selections.iter().find(|s| s.code == "deck_and_gasket").expect("the choice");
    let engine::plan::Outcome::Missing { features } = &choice.outcome else { panic!("{:?}", choice.outcome) };
    assert_eq!(features, &["document: block.deck_stock"]);
}

/// What the choice of deck and gasket takes off is on the cutting list, with its price, and no chamber is opened for a ratio that is
/// too low already.
#[test]
fn a_deck_cut_that_the_plan_chooses_is_cut_and_paid_for() {
    let Job { engine, plan, .. } = raised("9.33", "9.43", "9.65");
    let choice = plan.selections.iter().find(|s| s.code == "deck_and_gasket").expect("the choice");
    let taken = choice.placements[0].value;
    assert!(taken > 0.01e-3, "the case asks for a cut: {}", choice.summary.print(engine.units()));
    let skims: Vec<_> = plan.cuts.iter().filter(|c| c.operation == K::DeckSkim).collect();
    assert_eq!(skims.len(), 1);
    let said = skims[0].text.print(engine.units());
    assert!(said.contains(&format!("{:.3} mm", taken * 1e3)), "{said}");
    assert_eq!(skims[0].price, engine.document.shop.jobs["deck_skim"].price.map(|p| p.0));
    assert!(skims[0].price.is_some() && skims[0].opens_again.iter().any(|o| o == "pistons below deck"));
    let for_ratio = |c: &&engine::plan::Cut| c.settles.iter().any(|id| id.starts_with("compression_ratio/"));
    let relieved = plan.cuts.iter().filter(for_ratio).filter(|c| c.operation == K::ChamberRelief);
    assert_eq!(relieved.count(), 0, "a relief would lower what is too low");
    assert!(plan.cuts.iter().zip(1..).all(|(cut, step)| cut.step == step), "numbered in order");
}

/// Where the work of a selection or finding can hurt someone, it says so there.
#[test]
fn what_moves_heavy_or_loaded_parts_warns() {
    let (four, v8) = (job(FOUR, &[]), job(V8, &[]));
    let selection = |demo: &Job, code: &str| {
        let found = demo.plan.selections.iter().find(|s| s.code == code);
        found.unwrap_or_else(|| panic!("no selection {code}")).caution
    };
    assert_eq!(selection(&v8, "deck_and_gasket"), Some(cautions::HEAD_BOLTS), "another gasket");
    let filed = four.plan.cuts.iter().find(|c| c.operation == K::RingFile).expect("a ring is filed");
    assert_eq!(filed.caution, Some(cautions::RING_FILE));
    assert_eq!(selection(&four, "ring_filing"), Some(cautions::RING_FILE));
    for demo in [&four, &v8] {
        let moved = demo.plan.selections.iter().find(|s| s.code == "pistons").expect("pistons are chosen");
        let moves = moved.placements.iter().any(|p| !p.stays);
        assert_eq!(moved.caution, moves.then_some(cautions::PISTON_OUT));
    }
    // A rocker that is set: both valves of the cylinder closed.
    let read = "head.intake.1a.lash,0.0180 in,FG,71 °F,hone,";
    let v8 = job(V8, &[(read, "head.intake.1a.lash,0.0280 in,FG,71 °F,hone,")]);
    let lash = v8.finding("lash/intake.1a");
    assert_eq!((lash.verdict, lash.actions[0].caution), (Verdict::Bad, Some(cautions::ROCKER)));
}

/// Chips of magnesium burn, a thin wall bursts, a torque plate is bolted on: each is said where the work stands.
#[test]
fn cuts_of_a_block_say_what_can_hurt() {
    let four = job(FOUR, &[]);
    let caution_of = |demo: &Job, kind: K| {
        let mut cuts = demo.plan.cuts.iter().filter(|c| c.operation == kind);
        cuts.next().unwrap_or_else(|| panic!("no {kind:?} in the plan")).caution
    };
    assert_eq!(caution_of(&four, K::Hone), Some(cautions::BORE_JOB));
    assert_eq!(four.finding("bore_taper/2").actions[0].caution, Some(cautions::BORE_JOB));
    assert_eq!(four.finding("wall/3").actions[0].caution, Some(cautions::THIN_WALL));
    let text = FOUR.0.replacen(
        "material = \"grey_iron\"",
        "material = \"magnesium_casting\"\nliner_material = \"grey_iron\"",
        1,
    );
    let magnesium = job((&text, FOUR.1), &[]);
    // A hone in a liner of iron raises chips of iron; the line hone cuts the casting.
    assert_eq!(caution_of(&magnesium, K::AlignHone), Some(cautions::MAGNESIUM));
    assert_eq!(caution_of(&magnesium, K::Hone), Some(cautions::BORE_JOB));
    assert_eq!(magnesium.finding("bore_taper/2").actions[0].caution, Some(cautions::BORE_JOB));
    let bare = text.replacen("liner_material = \"grey_iron\"", "", 1);
    let bare = job((&bare, FOUR.1), &[]);
    assert_eq!(caution_of(&bare, K::Hone), Some(cautions::MAGNESIUM));
    assert_eq!(bare.finding("bore_taper/2").actions[0].caution, Some(cautions::MAGNESIUM));
    // Nobody cuts rings or springs out of it.
    assert_eq!(caution_of(&magnesium, K::RingFile), Some(cautions::RING_FILE));
}

/// A compression that is bad sends to the choice of gasket and deck cut; where a limit of that is not stated, the plan names it.
#[test]
fn a_choice_of_gasket_that_lacks_a_limit_names_it() {
    let high = FOUR.0.replacen(
        "min = \"9.00\"\nmax = \"9.40\"\ntarget = \"9.20\"",
        "min = \"10.50\"\nmax = \"11.20\"",
        1,
    );
    let open = high.replacen("min = \"0.95 mm\"\nmax = \"1.20 mm\"", "min = \"0.95 mm\"", 1);
    assert!(high != FOUR.0 && open != high);
    let demo = job((&open, FOUR.1), &[]);
    assert_eq!(demo.finding("compression_ratio/1").verdict, Verdict::Bad);
    let choice = demo.plan.selections.iter().find(|s| s.code == "deck_and_gasket").expect("it is asked");
    let engine::plan::Outcome::Missing { features } = &choice.outcome else { panic!("{:?}", choice.outcome) };
    assert_eq!(features, &["document: limits.quench, least and most"]);
}

/// A thin wall and a core that has shifted ask for one map, on one line.
#[test]
fn the_map_of_a_bore_is_asked_for_once() {
    let four = job(FOUR, &[]);
    let maps: Vec<_> = four
        .plan
        .bench
        .iter()
        .filter(|t| {
            t.part == "bore 3" && t.text.print(UnitSystem::Inch).contains("8 directions at 3 heights")
        })
        .collect();
    let [map] = maps.as_slice() else { panic!("{} lines ask for a map of bore 3", maps.len()) };
    for id in ["wall/3", "core_shift/3"] {
        assert!(map.settles.iter().any(|s| s == id), "{id}: {:?}", map.settles);
    }
}

/// What prints alike at both ends of a range is said once.
#[test]
fn a_range_without_width_is_one_figure() {
    for demo in [FOUR, V8].map(|demo| Box::new(job(demo, &[]))) {
        let results = demo.plan.selections.iter().flat_map(|s| &s.placements).map(|p| &p.result);
        let summaries = demo.plan.selections.iter().map(|s| &s.summary);
        for phrase in results.chain(summaries) {
            for units in [UnitSystem::Metric, UnitSystem::Inch] {
                let said = phrase.print(units);
                let ends = |part: &str| part.split_once(" to ").is_some_and(|(a, b)| a.ends_with(b));
                assert!(!said.split([',', ';']).any(ends), "{said}");
            }
        }
    }
}

/// Honed again and read at one point: the others are sizes of the bore as it was. No target is made of both, and what to read stands first.
#[test]
fn a_bore_that_is_read_in_part_after_its_hone_has_no_target() {
    let text = format!(
        "{}\n[[operations]]\nname = \"second hone\"\nkind = \"hone\"\nonly = [\"block.bore.2\"]\nwhen = \"2026-03-05T08:00:00Z\"\n",
        FOUR.0
    );
    let read = |places: &[&str]| {
        let lines = places.iter().map(|place| {
            format!("block.bore.2.{place},89.106 mm,B1,20 °C,second hone,torque_plate,builder,2026-03-05T09:00:00Z,,\n")
        });
        Job::of(&text, &format!("{}{}", FOUR.1, lines.collect::<String>()))
    };
    let hone =
        |job: &Job| job.plan.cuts.iter().find(|c| c.operation == K::Hone && c.part == "bore 2").map(|c| c.to);
    let in_part = read(&["top.thrust"]);
    assert_eq!(hone(&in_part), None, "no line tells a size made of both");
    let taper = in_part.finding("bore_taper/2");
    assert_eq!((taper.verdict, taper.value, taper.stale), (Verdict::Unknown, None, false));
    let [(ActionKind::Measure, words)] = &in_part.actions("bore_taper/2")[..] else { panic!("one action") };
    assert_eq!(
        words,
        "Read top along, mid thrust, mid along, low thrust and low along of this bore first, as it is now"
    );
    assert_eq!(taper.missing.len(), 5, "{:?}", taper.missing);
    let pistons = in_part.plan.selections.iter().find(|s| s.code == "pistons").expect("asked");
    assert!(
        matches!(&pistons.outcome, engine::plan::Outcome::Missing { features } if features.len() == 5),
        "{:?}",
        pistons.outcome
    );
    let all = ["top.thrust", "top.along", "mid.thrust", "mid.along", "low.thrust", "low.along"];
    let whole = read(&all);
    assert_eq!(whole.finding("bore_taper/2").verdict, Verdict::Good);
    assert_eq!(hone(&whole), None, "it is straight now");
}

/// Each line that goes to a machine says what the shop has to keep, and where that stands.
#[test]
fn each_line_for_the_machine_shop_has_its_tolerance() {
    let (four, v8) = (job(FOUR, &[]), job(V8, &[]));
    let oval = job(FOUR, &[("crank.pin.1.front.across,46.485 mm", "crank.pin.1.front.across,46.515 mm")]);
    let of = |demo: &Job, kind| {
        let cut = demo.plan.cuts.iter().find(|c| c.operation == kind);
        cut.and_then(|c| c.tolerance_words(demo.engine.units())).unwrap_or_default()
    };
    assert_eq!(of(&four, K::Hone), "± 0.002 mm (common practice, no source)");
    // The usual ± 0.0008 in would not stay inside.
    assert_eq!(
        of(&v8, K::DeckSkim),
        "± 0.0006 in (closer than usual: the limits, and what is kept off them, leave no more)"
    );
    // Pins of 46.478 to 46.490 mm.
    assert_eq!(of(&oval, K::Regrind), "± 0.006 mm (half the range of the crank pin)");
    assert!(
        of(&four, K::AlignHone).ends_with("(half the range of the main housing)"),
        "{}",
        of(&four, K::AlignHone)
    );
    assert!(of(&four, K::RingFile).ends_with("(what the limit of the gap leaves)"));
    for demo in [&four, &v8, &oval] {
        for cut in &demo.plan.cuts {
            let without = matches!(cut.operation, K::CapSeat | K::Sleeve | K::SpringShim);
            assert_eq!(cut.tolerance.is_none(), without, "{:?} {}", cut.operation, cut.part);
        }
    }
}

/// A head that seals with a fire ring or O-rings in grooves has no gasket: the space over the piston is then the chamber and what is
/// left above it, whatever the ring.
#[test]
fn a_gasket_without_thickness_has_a_compression() {
    let thin = FOUR.0.replace("compressed = \"1.05 mm\"\nspread", "compressed = \"0 mm\"\nspread");
    let bare = thin.replace("fire_ring = \"90.4 mm\"\n", "");
    assert!(bare != thin && thin != FOUR.0);
    let read = ("gasket.a.compressed,1.050 mm", "gasket.a.compressed,0.000 mm");
    let ratio = |text: &str, changes: &[(&str, &str)]| {
        let job = job((text, FOUR.1), changes);
        job.finding("compression_ratio/1").value.map(|v| v.value)
    };
    let with_ring = ratio(&thin, &[read]).expect("a ratio");
    let without = ratio(&bare, &[read]).expect("no ring is needed");
    assert!((with_ring - without).abs() < 1e-12, "{with_ring} {without}");
    // π/4 × 90.4² × 1.05 mm³ less over the piston, by hand: 6.739 cm³.
    let (before, swept) = (ratio(FOUR.0, &[]).expect("a ratio"), job(FOUR, &[]).swept_of_one());
    let space = |ratio: f64| swept / (ratio - 1.0);
    assert!((space(before) - space(with_ring) - 6.739e-6).abs() < 0.005e-6);
    // A gasket that has a thickness still needs its ring, and none is thinner than nothing.
    let unknown = FOUR.0.replace("fire_ring = \"90.4 mm\"\n", "");
    assert_eq!(ratio(&unknown, &[]), None);
    let negative = thin.replace("compressed = \"0 mm\"", "compressed = \"-0.1 mm\"");
    assert!(engine::document::parse_document(&negative, "engine.toml").has_errors());
}

/// Nothing is said of shims where the document does not say how the lash is set.
#[test]
fn a_lash_without_its_adjustment_is_set_and_nothing_is_ordered() {
    let text = FOUR.0.replace("lash_adjustment = \"bucket_shim\"\n", "");
    let csv: Vec<&str> = FOUR
        .1
        .lines()
        .filter(|line| ![".shim,", ".bucket,", ".bucket_bore,"].iter().any(|ending| line.contains(ending)))
        .collect();
    let four = Job::of(&text, &(csv.join("\n") + "\n"));
    let lash: Vec<&Finding> =
        four.assessment.findings.iter().filter(|f| f.code == "lash" && f.verdict == Verdict::Bad).collect();
    assert!(!lash.is_empty(), "the demo has valves out of their lash");
    for finding in lash {
        let words: Vec<String> = finding.actions.iter().map(|a| a.text.print(UnitSystem::Metric)).collect();
        let [words] = words.as_slice() else { panic!("{words:?}") };
        assert!(words.contains("Lash adjustment") && words.contains("cams.lash_adjustment"), "{words}");
        assert!(!words.contains("shim"), "{words}");
    }
    let orders = four.plan.orders.iter().map(|o| o.item.print(UnitSystem::Metric));
    assert!(orders.into_iter().all(|item| !item.contains("shim")));
    assert!(four.plan.selections.iter().all(|s| s.code != "lash_shims"));
}

/// Two cylinders too far apart: the high one is relieved, unless that takes it below the least ratio; then the low one is raised.
#[test]
fn a_cylinder_is_not_relieved_below_the_least_ratio() {
    let four = job(FOUR, &[]);
    let [(kind, said)] = &four.actions("compression_spread/1")[..] else { panic!("one action") };
    // As much as the chamber's own limit asks for: one figure for one relief.
    assert!(*kind == ActionKind::Cut && said.contains("chamber 4 by 0.50 cm³"), "{said}");
    // A chamber as large as that is allowed here.
    let text = FOUR
        .0
        .replace("min = \"41.50 cm3\"\nmax = \"42.10 cm3\"", "min = \"41.00 cm3\"\nmax = \"45.00 cm3\"");
    let low = job((&text, FOUR.1), &[("head.chamber.3,41.80 cm3", "head.chamber.3,43.80 cm3")]);
    let least = low.finding("compression_ratio/3").limit.as_ref().and_then(|l| l.min).expect("a least ratio");
    assert!(low.finding("compression_ratio/3").value.expect("a ratio").value + 0.04 < least);
    let [(kind, said)] = &low.actions("compression_spread/1")[..] else { panic!("one action") };
    assert!(*kind == ActionKind::Place && said.starts_with("Raise cylinder 3"), "{said}");
}

/// A crown that nobody described is no flat crown: the compression is unknown and asks for it; 0 says that it is flat.
#[test]
fn a_crown_that_is_not_stated_leaves_the_compression_unknown() {
    let without = FOUR.0.replace("dish = \"13.70 cm3\"\n", "");
    let flat = FOUR.0.replace("dish = \"13.70 cm3\"", "dish = \"0 cm3\"");
    assert!(without != FOUR.0 && flat != FOUR.0);
    let unknown = Job::of(&without, FOUR.1);
    let finding = unknown.finding("compression_ratio/1");
    assert_eq!(
        (finding.verdict, &finding.missing[..]),
        (Verdict::Unknown, &["document: pistons.dish".to_owned()][..])
    );
    let (flat, four) = (Job::of(&flat, FOUR.1), job(FOUR, &[]));
    let space = |job: &Job| {
        let ratio = job.finding("compression_ratio/1").value.expect("a ratio").value;
        job.swept_of_one() / (ratio - 1.0)
    };
    assert!((space(&four) - space(&flat) - 13.70e-6).abs() < 0.01e-6);
}

/// A deck is cut with room for the machine: what comes off by the order's tolerance more or less still keeps the spread of compression
/// good, and the finding names the two cylinders it is of, good or not.
#[test]
fn a_deck_cut_to_its_tolerance_still_fits() {
    const INCH: f64 = 0.0254;
    let v8 = job(V8, &[]);
    let choice = v8.plan.selections.iter().find(|s| s.code == "deck_and_gasket").expect("a choice");
    let of_b = choice.placements.iter().find(|p| p.instance == "b").expect("deck B is cut");
    let room = of_b.room.expect("it has room");
    assert!(room > 0.3e-3 * INCH, "{room}");
    for part in [-0.97, 0.97] {
        let cut = (of_b.value + part * room) / INCH;
        let after = with_deck_b_cut(&v8, cut);
        let spread = after.finding("compression_spread/1");
        // The whole U is kept of the worst pair, 2.3 %; that any of all pairs is too far apart is a little likelier.
        let held = matches!(spread.verdict, Verdict::Good | Verdict::Marginal);
        assert!(held, "{part}: {:?}", spread.probability_outside);
        let said = spread.why.print(UnitSystem::Inch);
        assert!(said.contains("cylinder"), "{said}");
    }
}

/// The chance of a spread is that of any two: the V8 with a limit of 0.09 is not marginal by its worst pair (3.8 %) but uncertain (8.4 % by
/// a Monte Carlo of readings, gauges and temperatures made apart from this program).
#[test]
fn the_chance_of_a_spread_counts_all_pairs() {
    let limit = V8.0.split_once("[limits.compression_spread]\nmax = \"").expect("a limit").1;
    let old = limit.split_once('"').expect("a value").0;
    let text = V8.0.replacen(
        &format!("[limits.compression_spread]\nmax = \"{old}\""),
        "[limits.compression_spread]\nmax = \"0.09\"",
        1,
    );
    let v8 = job((&text, V8.1), &[]);
    let spread = v8.finding("compression_spread/1");
    assert_eq!(spread.verdict, Verdict::Uncertain);
    let chance = spread.probability_outside.expect("a chance");
    assert!((chance - 0.084).abs() < 0.015, "{chance}");
}

const CHAMBER_2: &str = "head.chamber.2,41.85 cm3";

/// One chamber alone that is large is read again; ratio and spread follow from it, and nothing is skimmed, relieved or cut for it.
#[test]
fn one_large_chamber_is_read_again_first() {
    let four = job(
        FOUR,
        &[(CHAMBER_2, "head.chamber.2,43.35 cm3"), ("head.chamber.4,41.30 cm3", "head.chamber.4,41.80 cm3")],
    );
    let chamber = four.finding("chamber/2");
    assert_eq!(chamber.verdict, Verdict::Bad);
    let [(ActionKind::Measure, words)] = &four.actions("chamber/2")[..] else { panic!("{chamber:#?}") };
    assert!(words.starts_with("Read chamber 2 again") && words.contains("sunk seat"), "{words}");
    for id in ["compression_ratio/2", "compression_spread/1"] {
        let finding = four.finding(id);
        if matches!(finding.verdict, Verdict::Bad | Verdict::Uncertain) {
            assert_eq!(finding.follows.as_deref(), Some("chamber/2"), "{id}");
        }
    }
    assert_eq!(four.finding("compression_spread/1").verdict, Verdict::Bad);
    let said: Vec<String> = ["chamber/2", "compression_ratio/2", "compression_spread/1"]
        .iter()
        .flat_map(|id| four.actions(id))
        .map(|(_, words)| words)
        .collect();
    for wrong in ["Skim the head", "thinner gasket", "elieve around", "Raise"] {
        assert!(said.iter().all(|words| !words.contains(wrong)), "{wrong}: {said:#?}");
    }
    let next = four.plan.measure_next.iter().find(|m| m.settles.iter().any(|id| id == "chamber/2"));
    let next = next.expect("it stands on the list of what to measure");
    assert!(next.features.contains(&"head.chamber.2".to_owned()), "{next:?}");
    let none = four.plan.cuts.iter().filter(|c| matches!(c.operation, K::HeadSkim | K::ChamberRelief));
    assert_eq!(none.count(), 0);
    let choice = four.plan.selections.iter().find(|s| s.code == "deck_and_gasket").expect("asked");
    for placement in choice.placements.iter().filter(|p| !p.stays) {
        assert!(!placement.held_by.is_empty(), "{placement:?}");
    }
}

/// Where all chambers of a head are large, and alike enough, its face is skimmed.
#[test]
fn a_head_is_skimmed_where_all_its_chambers_are_large() {
    let larger = |last: &'static str| {
        job(
            FOUR,
            &[
                ("head.chamber.1,41.75 cm3", "head.chamber.1,42.75 cm3"),
                (CHAMBER_2, "head.chamber.2,42.85 cm3"),
                ("head.chamber.3,41.80 cm3", "head.chamber.3,42.80 cm3"),
                ("head.chamber.4,41.30 cm3", last),
            ],
        )
    };
    let all = larger("head.chamber.4,42.80 cm3");
    let [(ActionKind::Cut, words)] = &all.actions("chamber/2")[..] else { panic!("one action") };
    assert!(words.starts_with("Skim the head face until its chambers hold 1.00 cm³ less"), "{words}");
    // One is 0.75 cm3 larger than the smallest, the range is 0.60 wide.
    let uneven = larger("head.chamber.4,43.50 cm3");
    let [(ActionKind::Measure, words)] = &uneven.actions("chamber/4")[..] else { panic!("one action") };
    assert!(words.contains("No skim"), "{words}");
}

/// A relief goes no further than the limit of the chamber; a deck cut is offered only where the two stand on decks of their own.
#[test]
fn nothing_is_relieved_past_the_limit_of_its_chamber() {
    let text = FOUR.0.replace("min = \"9.00\"\nmax = \"9.40\"", "min = \"8.00\"\nmax = \"9.60\"");
    let csv = FOUR.1.replace("head.chamber.4,41.30 cm3", "head.chamber.4,41.80 cm3");
    let lowered = |cylinders: &[&str]| {
        let lower = |line: &str| {
            let of = |c: &&&str| line.starts_with(&format!("cylinder.{c}.below_deck."));
            let Some(_) = cylinders.iter().find(of) else { return line.to_owned() };
            let (place, rest) = line.split_once(',').expect("a value");
            let (value, rest) = rest.split_once(" mm").expect("mm");
            let value: f64 = value.parse().expect("a number");
            format!("{place},{:.3} mm{rest}", value + 0.25)
        };
        let job = Job::of(&text, &csv.lines().map(|line| lower(line) + "\n").collect::<String>());
        assert_eq!(job.finding("compression_spread/1").verdict, Verdict::Bad);
        let [(ActionKind::Place, said)] = &job.actions("compression_spread/1")[..] else {
            panic!("{:?}", job.actions("compression_spread/1"))
        };
        assert!(!said.contains("deck cut that suits") && !said.contains("or cut"), "{said}");
        said.clone()
    };
    // Three agree, and one piston is low.
    let one_low = lowered(&["3"]);
    assert!(one_low.starts_with("Raise cylinder 3, since most of the others agree"), "{one_low}");
    assert!(one_low.contains("a deck cut moves both alike and brings them no nearer"), "{one_low}");
    // One is high, and its chamber of 41.80 would have to be opened past 42.10 cm3.
    let one_high = lowered(&["1", "2", "4"]);
    let why = "Lower the ratio of cylinder 3, not by relief of chamber 3, which would then hold 43.";
    assert!(one_high.starts_with(why) && one_high.contains("allowed 42.10 cm³"), "{one_high}");
}

/// A rod of the wrong length holds what is chosen by where its piston stands.
#[test]
fn a_bent_rod_holds_the_deck_and_what_rests_on_it() {
    let high = FOUR.0.replacen(
        "min = \"9.00\"\nmax = \"9.40\"\ntarget = \"9.20\"",
        "min = \"9.30\"\nmax = \"9.70\"",
        1,
    );
    let bent = [("rod.2.length,146.499 mm", "rod.2.length,146.100 mm")];
    let four = job((&high, FOUR.1), &bent);
    assert_eq!(four.finding("rod_length/2").verdict, Verdict::Bad);
    let ratio = four.finding("compression_ratio/2");
    assert_eq!((ratio.verdict, ratio.follows.as_deref()), (Verdict::Bad, Some("rod_length/2")));
    let [(ActionKind::Refit, words)] = &four.actions("compression_ratio/2")[..] else { panic!("one action") };
    assert!(words.starts_with("Settle rod 2 first"), "{words}");
    let choice = four.plan.selections.iter().find(|s| s.code == "deck_and_gasket").expect("asked");
    assert!(choice.placements.iter().any(|p| !p.stays), "the deck or the gasket changes");
    for placement in choice.placements.iter().filter(|p| !p.stays) {
        assert!(placement.held_by.iter().any(|id| id == "rod_length/2"), "{placement:?}");
    }
    for cut in four.plan.cuts.iter().filter(|c| c.operation == K::DeckSkim) {
        assert!(cut.held_by.iter().any(|id| id == "rod_length/2"), "{cut:?}");
    }
    let said = choice.summary.print(UnitSystem::Metric);
    assert!(said.contains("first settle rod 2"), "{said}");
}

/// A gap inside its own range that may butt when hot is filed, to a gap that keeps both limits; read in as filed, at the short end of the
/// order's tolerance, nothing is left open. Where no gap keeps both nothing is filed, and both places say so.
#[test]
fn a_top_ring_that_may_butt_is_filed_so_far_that_it_does_not() {
    let range = "min = \"0.50 mm\"\nmax = \"0.60 mm\"\ntarget = \"0.54 mm\"";
    assert!(FOUR.0.contains(range));
    let with = |most: &str| {
        FOUR.0.replacen(range, &format!("min = \"0.30 mm\"\nmax = \"{most}\"\ntarget = \"0.34 mm\""), 1)
    };
    let file = |job: &Job| {
        let line = job.plan.cuts.iter().find(|c| c.operation == K::RingFile && c.part == "top ring 2");
        line.map(|c| (c.to.expect("a gap"), c.tolerance.expect("a tolerance"), c.settles.clone()))
    };
    let text = with("0.60 mm");
    let four = job((&text, FOUR.1), &[]);
    assert_eq!(four.finding("top_ring_gap/2.top").verdict, Verdict::Good);
    let hot = four.finding("ring_butting/2");
    assert!(matches!(hot.verdict, Verdict::Bad | Verdict::Uncertain), "{:?}", hot.probability_outside);
    let (to, tolerance, settles) = file(&four).expect("it is filed");
    assert_eq!(settles, ["ring_butting/2"]);
    let said = &four.actions("ring_butting/2")[0].1;
    assert!(said.starts_with(&format!("File to {:.2} mm", to / 1e-3)), "{said} {to}");
    for filed in [to, to - tolerance + 1e-6] {
        let reading = format!("ring.2.top.gap,{:.3} mm", filed / 1e-3);
        let after = job((&text, FOUR.1), &[("ring.2.top.gap,0.34 mm", &reading)]);
        for id in ["ring_butting/2", "top_ring_gap/2.top"] {
            assert_eq!(after.finding(id).verdict, Verdict::Good, "{id} at {reading}");
        }
        assert_eq!(file(&after), None);
    }
    let text = with("0.36 mm");
    let none = job((&text, FOUR.1), &[]);
    assert_eq!(file(&none), None, "no gap keeps both");
    let [(ActionKind::Hold, words)] = &none.actions("ring_butting/2")[..] else { panic!("one action") };
    assert!(words.contains("two limits exclude each other"), "{words}");
    let rings = none.plan.selections.iter().find(|s| s.code == "ring_filing").expect("asked");
    assert!(!rings.settles.iter().any(|id| id == "ring_butting/2"), "{:?}", rings.settles);
    let engine::plan::Outcome::Relax { relax, .. } = &rings.outcome else { panic!("{:?}", rings.outcome) };
    assert!(relax.iter().any(|r| r.print(UnitSystem::Metric).contains("top ring 2 alone, or the chance")));
}

/// No series to order from, and one valve for which there is no shim at hand: no valve gets a worse lash than it has, the others still
/// get theirs, and the thickness that is needed is said with its tolerance and where the series is stated.
#[test]
fn without_a_series_of_shims_no_valve_is_harmed() {
    let series = "[shop.lash_shim_series]\nfrom = \"2.00 mm\"\nto = \"3.50 mm\"\nstep = \"0.05 mm\"\nsupply = { price = \"6.50\", days = 3, from = \"cam grinder\" }\n";
    assert!(FOUR.0.contains(series));
    let text = FOUR.0.replace(series, "");
    let loose = "lash_shims = [\"2.45 mm\", \"2.50 mm\", \"2.55 mm\", \"2.75 mm\", \"2.90 mm\"]\n";
    assert!(text.contains(loose));
    for text in [text.clone(), text.replace(loose, "")] {
        let four = job((&text, FOUR.1), &[("head.exhaust.3a.lash,0.43 mm", "head.exhaust.3a.lash,0.93 mm")]);
        let shims = four.plan.selections.iter().find(|s| s.code == "lash_shims").expect("asked");
        for placement in &shims.placements {
            let lash = four.finding(&format!("lash/{}", placement.instance));
            let limit = lash.limit.as_ref().expect("a range");
            let (min, max) = (limit.min.expect("least"), limit.max.expect("most"));
            let outside = |lash: f64| (min - lash).max(lash - max).max(0.0);
            let before = outside(lash.value.expect("read").value);
            assert!(outside(placement.value) <= before + 1e-9, "{placement:#?}");
            let inside = outside(placement.value) < 1e-9;
            let open = matches!(lash.verdict, Verdict::Bad | Verdict::Uncertain);
            assert_eq!(shims.settles.contains(&lash.id), inside && open, "{placement:#?}");
            // One that stays outside is opened only where its shim brings another one inside.
            let gives = format!("from {}", placement.place.trim_start_matches("valve "));
            let given = shims.placements.iter().any(|p| p.from.print(UnitSystem::Metric) == gives);
            assert!(inside || placement.stays || given, "opened in vain: {placement:#?}");
        }
        assert!(
            shims.placements.iter().any(|p| !p.stays),
            "the others are not frozen: {:#?}",
            shims.placements
        );
        let engine::plan::Outcome::Missing { features } = &shims.outcome else {
            panic!("{:?}", shims.outcome)
        };
        assert_eq!(features, &["document: shop.lash_shim_series"]);
        // Shim 2.55 and lash 0.93 less the target of 0.32; what is left of ± 0.02 or so beside U of both is the tolerance.
        let said = shims.summary.print(UnitSystem::Metric);
        assert!(said.contains("shim of 3.16") && said.contains("for valve 3 exhaust a"), "{said}");
        let open: Vec<_> = four
            .plan
            .undecided
            .iter()
            .filter(|u| u.settles.iter().any(|id| id == "lash/exhaust.3a"))
            .collect();
        let [open] = open.as_slice() else { panic!("one line: {open:#?}") };
        let words = open.text.print(UnitSystem::Metric);
        assert!(words.contains("shim of 3.16") && words.contains("shop.lash_shim_series"), "{words}");
        assert!(four.plan.orders.iter().all(|o| !o.item.print(UnitSystem::Metric).contains("lash shim")));
    }
}

/// A reading that is asked about leaves open only what its answer decides: the swept volume is good as typed and as meant, and says so; the
/// bore itself stays uncertain. Nothing is proved while the question is open.
#[test]
fn a_question_whose_answer_changes_nothing_leaves_the_verdict() {
    const READ: &str = "block.bore.4.mid.along,";
    let line = FOUR.1.lines().find(|line| line.starts_with(READ)).expect("it is read");
    let value = line.split(',').nth(1).expect("a value");
    let four = job(FOUR, &[(&format!("{READ}{value}"), &format!("{READ}89.600 mm"))]);
    let slip =
        four.assessment.slips.iter().find(|s| READ.starts_with(&s.feature)).expect("it is asked about");
    assert!(slip.likely.is_some());
    let volume = four.finding("swept_volume/1");
    assert_eq!((volume.verdict, volume.either_value), (Verdict::Good, Some(slip.reading)));
    let said = volume.why.print(UnitSystem::Metric);
    assert!(said.contains(&format!("reading {} is asked about", slip.reading)), "{said}");
    assert!(volume.actions.is_empty(), "{:#?}", volume.actions);
    let bore = four.finding("bore_size/4");
    assert_eq!((bore.verdict, bore.either_value), (Verdict::Uncertain, None));
    assert!(bore.actions.iter().any(|a| a.kind == ActionKind::Ask), "the slip is still asked about");
    assert!(four.assessment.tally().asked > 0);
    // What stands is what the right value alone gives.
    let right = job(FOUR, &[]);
    for finding in four.assessment.findings.iter().filter(|f| f.either_value == Some(slip.reading)) {
        assert_eq!(finding.verdict, right.finding(&finding.id).verdict, "{}", finding.id);
        assert!(finding.why.print(UnitSystem::Metric).contains("is asked about"), "{}", finding.id);
    }
}

/// Figures of motion and compression take the rods as read, with their U; the nominal length only where none was read, and they say so.
#[test]
fn figures_take_the_rods_that_were_read() {
    let inputs = |job: &Job, label: &str| {
        let figures = engine::figures(&job.engine, &job.assessment);
        let figure = figures.into_iter().find(|f| f.label.starts_with(label)).expect("a figure");
        let rods = figure.working.inputs.into_iter().filter(|i| {
            i.label.contains("rod length") || i.feature.as_deref().is_some_and(|f| f.ends_with(".length"))
        });
        rods.collect::<Vec<_>>()
    };
    let four = job(FOUR, &[]);
    let [speed] = &inputs(&four, "greatest piston speed")[..] else { panic!("one rod length") };
    assert_eq!(speed.label, "rod length, mean of all 4 as read");
    // 146.502, 146.499, 146.501 and 146.498, all at 20 °C.
    assert!((speed.value.value - 146.5000e-3).abs() < 1e-9 && speed.value.expanded > 1e-6, "{speed:?}");
    let [ratio] = &inputs(&four, "cylinder 2, compression from intake closing")[..] else {
        panic!("one rod")
    };
    assert_eq!(ratio.feature.as_deref(), Some("rod.2.length"));
    assert!((ratio.value.value - 146.499e-3).abs() < 1e-9 && ratio.value.expanded > 1e-6, "{ratio:?}");
    let mut engine = job(FOUR, &[]).engine;
    engine.readings.retain(|r| !(r.feature.starts_with("rod.") && r.feature.ends_with(".length")));
    let assessment = engine::assess(&engine);
    let plan = engine::plan(&engine, &assessment);
    let none = Job { engine, assessment, plan };
    let [speed] = &inputs(&none, "greatest piston speed")[..] else { panic!("one rod length") };
    assert!(speed.label.contains("nominal") && speed.label.contains("none was read"), "{}", speed.label);
    let [ratio] = &inputs(&none, "cylinder 2, compression from intake closing")[..] else {
        panic!("one rod")
    };
    assert!(ratio.label.contains("nominal") && ratio.label.contains("not read"), "{}", ratio.label);
}

/// A bore that is good by its mean may be tight at one level: the working names that clearance, and the finding says where it is below the
/// least.
#[test]
fn the_tight_end_of_a_piston_is_shown() {
    let four = job(FOUR, &[]);
    let tight = |finding: &Finding| {
        let input = finding.working.inputs.iter().find(|i| i.label.starts_with("tight end"));
        let input = input.unwrap_or_else(|| panic!("{} shows no tight end", finding.id)).clone();
        (input.label, input.value.value)
    };
    for cylinder in 1..=4 {
        let finding = four.finding(&format!("piston_clearance/{cylinder}"));
        let readings = finding.working.inputs.iter().filter(|i| i.feature.is_some());
        let (bores, skirts): (Vec<_>, Vec<_>) =
            readings.partition(|i| i.feature.as_deref().is_some_and(|path| path.starts_with("block.bore.")));
        let [skirt] = &skirts[..] else { panic!("{skirts:?}") };
        let smallest = bores.iter().map(|i| i.value.value).fold(f64::INFINITY, f64::min);
        let (_, clearance) = tight(finding);
        assert!((clearance - (smallest - skirt.value.value)).abs() < 1e-12, "{cylinder}");
        assert!(clearance < finding.value.expect("a clearance").value, "{cylinder}");
    }
    // Bore 2 with a piston that fits its mean: 89.0945 less 89.010; at its low end it is 89.081.
    let fits = job(FOUR, &[("piston.2.gauge,89.015 mm", "piston.2.gauge,89.010 mm")]);
    let finding = fits.finding("piston_clearance/2");
    let least = finding.limit.as_ref().and_then(|l| l.min).expect("a least");
    assert!(finding.value.expect("a clearance").value > least);
    let (label, clearance) = tight(finding);
    assert!(label.contains("low") && clearance < least, "{label} {clearance}");
    let said = finding.why.print(UnitSystem::Metric);
    assert!(said.contains("tight end") && said.contains("below the least"), "{said}");
}

/// "Measure next" promises what its line can settle: a clearance of two gauges that is not read takes both, and a hot gap that only
/// temperatures leave open takes no feeler.
#[test]
fn what_to_measure_next_promises_no_more_than_it_can_settle() {
    let without = |starts: &[&str]| {
        let mut engine = job(FOUR, &[]).engine;
        engine.readings.retain(|r| !starts.iter().any(|start| r.feature.starts_with(start)));
        let assessment = engine::assess(&engine);
        let plan = engine::plan(&engine, &assessment);
        Job { engine, assessment, plan }
    };
    let promised = |job: &Job, id: &str| {
        let has = |ids: &[String]| ids.iter().any(|known| known == id);
        let next = &job.plan.measure_next;
        let count =
            |of: fn(&engine::plan::MeasureGroup) -> &Vec<String>| next.iter().filter(|g| has(of(g))).count();
        (count(|g| &g.settles), count(|g| &g.with_others))
    };
    let both = without(&["piston.1.gauge", "block.bore.1."]);
    assert_eq!(promised(&both, "piston_clearance/1"), (0, 2));
    assert_eq!(promised(&both, "bore_size/1"), (1, 0));
    let skirt = without(&["piston.1.gauge"]);
    assert_eq!(promised(&skirt, "piston_clearance/1"), (1, 0));
    let cam = without(&["cam.intake.1.journal", "cam.intake.1.bore"]);
    assert_eq!(promised(&cam, "cam_clearance/intake.1"), (0, 2));
    // Wide enough by its own range, uncertain when hot: temperatures and expansions are the greater part.
    let range = "min = \"0.50 mm\"\nmax = \"0.60 mm\"\ntarget = \"0.54 mm\"";
    let text = FOUR.0.replacen(range, "min = \"0.30 mm\"\nmax = \"0.60 mm\"\ntarget = \"0.34 mm\"", 1);
    let mut tried = 0;
    for gap in ["0.38 mm", "0.40 mm", "0.42 mm", "0.44 mm", "0.46 mm"] {
        let hot = job((&text, FOUR.1), &[("ring.2.top.gap,0.34 mm", &format!("ring.2.top.gap,{gap}"))]);
        if hot.finding("ring_butting/2").verdict != Verdict::Uncertain {
            continue;
        }
        tried += 1;
        assert_eq!(promised(&hot, "ring_butting/2"), (0, 0), "{gap}");
        let filed = hot.plan.cuts.iter().any(|c| c.settles.contains(&"ring_butting/2".to_owned()));
        assert!(filed, "the plan has another answer");
    }
    assert!(tried > 0, "no gap leaves it uncertain");
}
