//! What goes where, against trying everything: the demo engines (invented) with readings changed.

mod demo;

use demo::{FOUR, Job};
use engine::findings::Verdict;
use engine::plan::{Outcome, Selection};
use engine::quantity::UnitSystem;

/// A demo engine with text changed in document and readings: each pair is what stands there and what stands there instead.
fn job((text, csv): (&str, &str), changes: &[(&str, &str)]) -> Job {
    let (mut text, mut csv) = (text.to_owned(), csv.to_owned());
    for (from, to) in changes {
        assert!(csv.contains(from) || text.contains(from), "no {from}");
        (text, csv) = (text.replace(from, to), csv.replace(from, to));
    }
    Job::of(&text, &csv)
}

impl Job {
    fn selection(&self, code: &str) -> &Selection {
        self.plan.selections.iter().find(|s| s.code == code).unwrap_or_else(|| panic!("no {code}"))
    }

    /// A size at 20 °C, m or kg.
    fn size(&self, path: &str) -> f64 {
        let place = self.engine.catalogue.find(path).unwrap_or_else(|| panic!("no place {path}"));
        self.assessment.sizes.of_feature[place]
            .as_ref()
            .unwrap_or_else(|| panic!("{path} unread"))
            .value
            .value()
    }

    fn relaxations(&self, code: &str) -> Vec<String> {
        match &self.selection(code).outcome {
            Outcome::Relax { relax, .. } => relax.iter().map(|r| r.print(UnitSystem::Metric)).collect(),
            other => panic!("{other:?}"),
        }
    }
}

mod pistons {
    use super::*;

    /// The demo: four cylinders, bore 2 honed to 89.105.
    const BORES: usize = 4;
    const SPREAD: f64 = 1e-3;

    /// Piston, pin and rod of each bore, counted from 0.
    type Sets = Vec<[usize; 3]>;

    /// What is placed: pins go with their pistons and rods with their bores where nothing else is said.
    fn placed(job: &Job) -> Sets {
        let number = |word: &str, text: &str| -> Option<usize> {
            let rest = text.split(&format!("{word} ")).nth(1)?;
            rest.split(',').next()?.parse::<usize>().ok().map(|n| n - 1)
        };
        let set = |(bore, p): (usize, &engine::plan::Placement)| {
            let text = p.what.print(UnitSystem::Metric);
            let piston = number("piston", &text).expect("a piston");
            [piston, number("pin", &text).unwrap_or(piston), number("rod", &text).unwrap_or(bore)]
        };
        job.selection("pistons").placements.iter().enumerate().map(set).collect()
    }

    struct Table {
        bore: Vec<f64>,
        gauge: Vec<f64>,
        pin_bore: Vec<f64>,
        pin: Vec<f64>,
        bush: Vec<f64>,
        mass: [Vec<f64>; 3],
    }

    fn table(job: &Job) -> Table {
        let all = |part: &str, size: &str| -> Vec<f64> {
            (1..=BORES).map(|n| job.size(&format!("{part}.{n}.{size}"))).collect()
        };
        let mut bore: Vec<f64> = (1..=BORES)
            .map(|n| {
                let levels = ["top", "mid", "low"].iter().flat_map(|h| ["thrust", "along"].map(|d| (h, d)));
                levels.map(|(h, d)| job.size(&format!("block.bore.{n}.{h}.{d}"))).sum::<f64>() / 6.0
            })
            .collect();
        bore[1] = 89.105e-3;
        Table {
            bore,
            gauge: all("piston", "gauge"),
            pin_bore: all("piston", "pin_bore"),
            pin: all("pin", "diameter"),
            bush: all("rod", "small_end"),
            mass: [all("piston", "mass"), all("pin", "mass"), all("rod", "small_end_mass")],
        }
    }

    /// Fits outside, excess, spread above the allowed one, Σ(clearance − target)², spread, in this order; nanometres and milligrams.
    fn worth(t: &Table, sets: &[[usize; 3]]) -> [i64; 5] {
        let (mut outside, mut excess, mut squares) = (0, 0, 0);
        for (bore, &[piston, pin, rod]) in sets.iter().enumerate() {
            let clearance = t.bore[bore] - t.gauge[piston];
            let fits = [
                (clearance, 0.080e-3, 0.092e-3),
                (t.pin_bore[piston] - t.pin[pin], 0.008e-3, 0.012e-3),
                (t.bush[rod] - t.pin[pin], 0.010e-3, 0.016e-3),
            ];
            for (value, least, most) in fits {
                let by = ((least - value).max(value - most) * 1e9).round() as i64;
                outside += i64::from(by > 0);
                excess += by.max(0);
            }
            let off = ((clearance - 0.085e-3) * 1e9).round() as i64;
            squares += off * off;
        }
        let masses: Vec<f64> =
            sets.iter().map(|&[p, q, r]| t.mass[0][p] + t.mass[1][q] + t.mass[2][r]).collect();
        let spread =
            masses.iter().copied().fold(f64::MIN, f64::max) - masses.iter().copied().fold(f64::MAX, f64::min);
        let grams = |kg: f64| (kg * 1e6).round() as i64;
        [outside, excess, grams(spread - SPREAD).max(0), squares, grams(spread)]
    }

    fn permutations() -> Vec<Vec<usize>> {
        let mut all = vec![Vec::new()];
        for _ in 0..BORES {
            all = all
                .into_iter()
                .flat_map(|done: Vec<usize>| {
                    let free: Vec<usize> = (0..BORES).filter(|n| !done.contains(n)).collect();
                    free.into_iter().map(move |next| [done.clone(), vec![next]].concat())
                })
                .collect();
        }
        all
    }

    /// The best with every pin in its piston and every rod in its cylinder, and the best with all three free.
    fn best(t: &Table) -> ([i64; 5], [i64; 5]) {
        let all = permutations();
        let kept = all.iter().map(|p| worth(t, &(0..BORES).map(|b| [p[b], p[b], b]).collect::<Sets>()));
        let free = all.iter().flat_map(|p| all.iter().map(move |q| (p, q))).flat_map(|(p, q)| {
            permutations().into_iter().map(move |r| (0..BORES).map(|b| [p[b], q[b], r[b]]).collect::<Sets>())
        });
        (kept.min().expect("24"), free.map(|sets| worth(t, &sets)).min().expect("13,824"))
    }

    const TIGHT_PIN: &[(&str, &str)] = &[
        // Only pin 1 goes into rod 1, and neither pin 2 nor pin 4 into piston 1.
        ("rod.1.small_end,23.0130 mm", "rod.1.small_end,23.0095 mm"),
        ("pin.1.diameter,23.0005 mm", "pin.1.diameter,22.9990 mm"),
        ("piston.1.pin_bore,23.0105 mm", "piston.1.pin_bore,23.0085 mm"),
    ];

    /// Heavy sets that only other pins and rods even out.
    const UNEVEN: &[(&str, &str)] =
        &[("piston.1.mass,338.2 g", "piston.1.mass,338.9 g"), ("pin.1.mass,122.0 g", "pin.1.mass,122.5 g")];

    fn said(job: &Job) -> String {
        job.selection("pistons").summary.print(UnitSystem::Metric)
    }

    #[test]
    fn pins_go_with_their_pistons_and_the_weights_are_the_evenest_that_leaves() {
        let job = job(FOUR, &[]);
        let t = table(&job);
        assert_eq!(worth(&t, &placed(&job)), best(&t).0);
        assert!(said(&job).contains("masses within 0.2 g"), "{}", said(&job));
        let Outcome::Best { proved: true, proof } = &job.selection("pistons").outcome else { panic!() };
        assert!(proof.contains("each piston keeps its pin and each rod its cylinder"), "{proof}");
    }

    #[test]
    fn a_pin_that_would_bind_is_not_placed() {
        let job = job(FOUR, TIGHT_PIN);
        let t = table(&job);
        let (kept, free) = best(&t);
        assert_eq!((kept[0], free[0]), (1, 0), "own pins and rods cannot all fit, others can");
        // Where pins stayed with the cylinder, as the numbers stand, pin 2 was put into piston 1: 7.8 µm for at least 8.
        let by_number: Sets =
            [2, 0, 1, 3].into_iter().zip(0..).map(|(piston, bore)| [piston, bore, bore]).collect();
        assert!(worth(&t, &by_number)[0] > 0);
        let sets = placed(&job);
        assert_eq!(worth(&t, &sets)[..4], free[..4]);
        assert!(sets.iter().enumerate().all(|(bore, set)| set[2] == bore), "no rod needs to move: {sets:?}");
        assert!(matches!(job.selection("pistons").outcome, Outcome::Best { proved: true, .. }));
    }

    #[test]
    fn uneven_weights_free_pins_and_rods() {
        let job = job(FOUR, UNEVEN);
        let t = table(&job);
        let (kept, free) = best(&t);
        assert!(kept[2] > 0 && free[2] == 0, "{kept:?} {free:?}");
        assert_eq!(worth(&t, &placed(&job))[..4], free[..4]);
        let spread = worth(&t, &placed(&job))[4];
        assert!(
            said(&job).contains(&format!("masses within {:.1} g", spread as f64 * 1e-3)),
            "{}",
            said(&job)
        );
    }

    /// What a limit must give is enough, and a tenth of a gram less is not.
    #[test]
    fn weights_that_nothing_evens_out_say_by_how_much() {
        let heavy = ("piston.1.mass,338.2 g", "piston.1.mass,341.2 g");
        let first = job(FOUR, &[heavy]);
        let relaxed = first.relaxations("pistons");
        let [words] = relaxed.as_slice() else { panic!("{relaxed:?}") };
        let to: f64 = words
            .strip_prefix("Spread of the reciprocating mass over the cylinders, most: from 1.0 g to ")
            .and_then(|w| w.split(' ').next())
            .and_then(|w| w.parse().ok())
            .unwrap_or_else(|| panic!("{words}"));
        let by = to - 1.0;
        assert!(by > 0.0);
        let asks = |settles: &[String]| settles.iter().any(|id| id == "mass_spread/1");
        assert!(!asks(&first.selection("pistons").settles));
        assert!(first.plan.undecided.iter().any(|u| asks(&u.settles)), "a person must decide");
        for (gives, good) in [(by, true), (by - 0.1, false)] {
            let limit = format!("max = \"{:.1} g\"", 1.0 + gives);
            let job = job(FOUR, &[heavy, ("max = \"1.0 g\"", &limit)]);
            assert_eq!(matches!(job.selection("pistons").outcome, Outcome::Best { .. }), good, "{gives}");
        }
    }

    #[test]
    fn an_unread_pin_is_said_and_not_exchanged() {
        let unread = ("pin.2.diameter,23.0005 mm,M1,21 °C,,,builder,2026-03-05T14:13:30Z,,\n", "");
        let job = job(FOUR, &[&[unread], UNEVEN].concat());
        assert!(
            said(&job).contains(
                "pin fits looked at only as far as they are read, not read: piston pin 2, diameter"
            ),
            "{}",
            said(&job)
        );
        assert!(placed(&job).iter().enumerate().all(|(bore, set)| set[0] == set[1] && set[2] == bore));
        assert!(job.relaxations("pistons").iter().any(|r| r.contains("Spread of the reciprocating mass")));
    }

    /// What is put together as the plan says has the fits that the plan says.
    #[test]
    fn what_was_placed_is_judged_as_placed() {
        let first = job(FOUR, TIGHT_PIN);
        let sets = placed(&first);
        let places = |kind: usize| {
            let mut places = [0; BORES];
            sets.iter().zip(1..).for_each(|(set, bore)| places[set[kind]] = bore);
            places
        };
        let pistons = format!("in_cylinder = {:?}", places(0));
        let pins = format!("pressed = false\nin_cylinder = {:?}", places(1));
        let changes = [("in_cylinder = [1, 2, 3, 4]", pistons.as_str()), ("pressed = false", pins.as_str())];
        let then = job(FOUR, &[TIGHT_PIN, &changes].concat());
        for code in ["pin_in_piston", "pin_in_rod"] {
            for bore in 1..=BORES {
                let verdict = then.assessment.finding(&format!("{code}/{bore}")).expect("asked").verdict;
                assert_ne!(verdict, Verdict::Bad, "{code}/{bore}");
            }
        }
    }
}

mod springs {
    use super::*;
    use engine::findings::ActionKind;

    const HEIGHT: &str = "head.intake.3b.spring_installed,33.10 mm";
    const LOAD: &str = "head.intake.3b.seat_load,367 N";
    const SHIMS: &str = "shims = [\"0.10 mm\", \"0.20 mm\", \"0.30 mm\", \"0.50 mm\", \"1.00 mm\"]";

    fn placed(job: &Job) -> String {
        let [p] = job.selection("spring_shims").placements.as_slice() else { panic!("one spring") };
        format!("{}: {}", p.what.print(UnitSystem::Metric), p.result.print(UnitSystem::Metric))
    }

    #[test]
    fn the_amount_is_made_of_shims_that_there_are() {
        let first = job(FOUR, &[]);
        let said = placed(&first);
        assert!(said.starts_with("take 0.90 mm of shim out: height 34.00 mm; seat load"), "{said}");
        assert!(
            said.ends_with("such as shims of 0.50 mm + 0.30 mm + 0.10 mm, as far as they stand under it"),
            "{said}"
        );
        // Half millimetres only: 33.60 stands too low, 34.10 is inside 33.80 to 34.20.
        let halves = job(FOUR, &[(SHIMS, "shims = [\"0.50 mm\"]")]);
        let said = placed(&halves);
        assert!(said.starts_with("take 1.00 mm of shim out: height 34.10 mm"), "{said}");
        let cut = halves.plan.cuts.iter().find(|c| c.part == "spring 3 intake b").expect("it is cut");
        assert_eq!(cut.text.print(UnitSystem::Metric), "take 1.00 mm of shim out");
        let finding = halves.assessment.finding("spring_installed/intake.3b").expect("asked");
        assert_eq!(finding.actions[0].text.print(UnitSystem::Metric), "take 1.00 mm of shim out");
        assert!(halves.selection("spring_shims").caution.is_some(), "a compressed spring can injure");
        let none = job(FOUR, &[(SHIMS, "shims = []")]);
        assert!(
            none.selection("spring_shims").summary.print(UnitSystem::Metric).contains("no shims are listed")
        );
    }

    /// 33.72 and 34.34 are what 0.62 gives: the limit that has to give, and by how much, is enough and no more.
    #[test]
    fn what_no_shim_brings_inside_says_what_to_relax() {
        let only = (SHIMS, "shims = [\"0.62 mm\"]");
        let first = job(FOUR, &[only]);
        let relaxed = first.relaxations("spring_shims");
        let [words] = relaxed.as_slice() else { panic!("{relaxed:?}") };
        let to =
            words.strip_prefix("spring 3 intake b: Installed height of a spring, least: from 33.800 mm to ");
        let to: f64 =
            to.and_then(|to| to.strip_suffix(" mm")?.parse().ok()).unwrap_or_else(|| panic!("{words}"));
        let by = 33.800 - to;
        // The reading was taken a degree or two above 20 °C, which is less than a micrometre.
        assert!((0.080..0.0815).contains(&by), "{words}");
        assert!(first.selection("spring_shims").settles.is_empty());
        for (gives, good) in [(by, true), (by - 0.002, false)] {
            let limit = format!("min = \"{:.3} mm\"", 33.80 - gives);
            let job = job(FOUR, &[only, ("min = \"33.80 mm\"", &limit)]);
            assert_eq!(
                matches!(job.selection("spring_shims").outcome, Outcome::Best { .. }),
                good,
                "{gives}"
            );
        }
    }

    /// A height inside its range with too much load on the seat: another height inside the range cures it. 350 N at 33.85 and 41 N/mm: 345 N
    /// at 33.97.
    #[test]
    fn a_load_is_set_by_the_height_where_the_range_allows() {
        let height = (HEIGHT, "head.intake.3b.spring_installed,33.85 mm");
        let heavy = job(FOUR, &[height, (LOAD, "head.intake.3b.seat_load,350 N")]);
        assert_eq!(
            heavy.assessment.finding("spring_installed/intake.3b").expect("asked").verdict,
            Verdict::Good
        );
        let said = placed(&heavy);
        assert!(said.starts_with("take 0.20 mm of shim out: height 34.05 mm"), "{said}");
        let load = heavy.assessment.finding("seat_load/intake.3b").expect("asked");
        assert_eq!((load.verdict, load.actions[0].kind), (Verdict::Bad, ActionKind::Refit));
        assert!(heavy.selection("spring_shims").settles.iter().any(|id| id == "seat_load/intake.3b"));
        assert!(heavy.plan.cuts.iter().any(|c| c.part == "spring 3 intake b"));
        // Inside both, a spring is left alone.
        let well = job(FOUR, &[height, (LOAD, "head.intake.3b.seat_load,340 N")]);
        assert!(well.plan.selections.iter().all(|s| s.code != "spring_shims"));
    }
}

/// The longest chain of waits, by hand from the days of the demo.
mod waits {
    use super::*;

    fn said(job: &Job) -> [String; 2] {
        [&job.plan.sure, &job.plan.if_needed].map(|sum| sum.waits().print(UnitSystem::Metric))
    }

    #[test]
    fn jobs_on_the_block_follow_each_other() {
        // Cap 0.5, hone 2 and rings 0.1 are shorter than the 3 days of the shim; with a hone of 20 days they are not. The thin wall
        // of bore 3 holds the hone, so that nobody is sure of it: with a wall that is allowed it is sure, and the ring of bore 4 after it.
        let [sure, _] = said(&job(FOUR, &[]));
        assert!(sure.starts_with("the longest wait 3 days (") && sure.ends_with(" arrives)"), "{sure}");
        let slow = ("hone = { price = \"45.00\", days = 2,", "hone = { price = \"45.00\", days = 20,");
        let [held, with_sleeve] = said(&job(FOUR, &[slow]));
        assert_eq!(held, sure, "a hone that is held is not surely needed");
        let [sure, _] = said(&job(FOUR, &[slow, ("min = \"2.80 mm\"", "min = \"2.00 mm\"")]));
        let chain = "the longest wait 20.6 days (seat the cap of main 3: 0.5 days, then hone bore 2: 20 days, then file ";
        assert!(sure.starts_with(chain), "{sure}");
        assert!(
            with_sleeve.contains(
                "(sleeve (bore 3) arrives: 7 days, then sleeve bore 3: 8 days, then hone bore 2 and bore 3: 20 days"
            ),
            "{with_sleeve}"
        );
    }

    #[test]
    fn a_wait_that_is_not_known_is_said() {
        let unknown = ("sleeve = { price = \"390.00\", days = 8,", "sleeve = { price = \"390.00\",");
        let [_, with_sleeve] = said(&job(FOUR, &[unknown]));
        assert!(with_sleeve.starts_with("the longest wait at least "), "{with_sleeve}");
        assert!(with_sleeve.ends_with(", 1 wait not known"), "{with_sleeve}");
    }
}
