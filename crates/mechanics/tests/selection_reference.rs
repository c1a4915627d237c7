//! Larger selection cases against SciPy (`reference/selection.py`): 100 assignments and 100 boxes of shims by
//! `linear_sum_assignment`, 100 sets of shells and 40 of pistons by `milp` (HiGHS).
//!
//! The cases are drawn here from the seeds in the files, by the generator that the script uses too.

mod reference_data;

use mechanics::selection::assignment::assign;
use mechanics::selection::pistons::{self, Pin, Piston, Request, Rod};
use mechanics::selection::shells::{self, Bearing, Grade};
use mechanics::selection::shims::{self, Series, Valve};
use mechanics::selection::{Limits, Objectives, Window};
use reference_data::rows;

const UM: f64 = 1e-6;

/// Knuth's MMIX generator, upper 31 bits; as in `reference/common.py`.
struct Random(u64);

impl Random {
    fn below(&mut self, bound: i64) -> i64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        i64::try_from(self.0 >> 33).unwrap() % bound
    }
}

fn number(cell: &str) -> i64 {
    cell.parse().unwrap()
}

#[test]
fn assignments() {
    let rows = rows("selection_assignment.csv", "seed,rows,columns,bound,allowed_permille,cost");
    assert_eq!(rows.len(), 100);
    for case in rows {
        let mut random = Random(case[0].parse().unwrap());
        let (n, m): (usize, usize) = (case[1].parse().unwrap(), case[2].parse().unwrap());
        let cells: Vec<Option<i64>> = (0..n * m)
            .map(|_| {
                let value = random.below(number(&case[3]));
                (random.below(1000) < number(&case[4])).then_some(value)
            })
            .collect();
        let cost = |row: usize, column: usize| cells[row * m + column].map(|value| Objectives([value]));
        if let Ok(found) = assign(n, m, cost) {
            assert_eq!(found.cost.0[0].to_string(), case[5], "{case:?}");
            assert!(found.verify(n, m, cost), "{case:?}");
        } else {
            assert_eq!(case[5], "none", "{case:?}");
        }
    }
}

#[test]
fn shims_from_engine_box_and_shop() {
    let rows = rows("selection_shims.csv", "seed,valves,box,shop,outside,excess,bought,opened,squares");
    assert_eq!(rows.len(), 100);
    // Steps of 10 µm.
    let metres = |steps: i64| steps as f64 * 10.0 * UM;
    for case in rows {
        let mut random = Random(case[0].parse().unwrap());
        let valves: Vec<Valve> = (0..number(&case[1]))
            .map(|_| {
                let (lash, shim) = (5 + random.below(50), 230 + random.below(65));
                let target = [22, 32][usize::try_from(random.below(2)).unwrap()];
                let window =
                    Window { min: metres(target - 3), target: metres(target), max: metres(target + 3) };
                Valve { lash: metres(lash), shim: metres(shim), window }
            })
            .collect();
        let loose: Vec<f64> = (0..number(&case[2])).map(|_| metres(225 + random.below(75))).collect();
        let series = Series { min: metres(220), max: metres(300), step: metres(5) };
        let found = shims::choose(&valves, &loose, (case[3] == "1").then_some(&series)).unwrap();
        // The solver counts nanometres: excess × 10⁴, squares × 10⁸.
        let [outside, excess, bought, opened, squares] = found.objectives.0;
        let found = [outside, excess / 10_000, bought, opened, squares / 100_000_000];
        assert_eq!(found, [4, 5, 6, 7, 8].map(|i| number(&case[i])), "{case:?}");
    }
}

#[test]
fn shells_by_grade() {
    let rows = rows(
        "selection_shells.csv",
        "seed,bearings,grades,guard,outside,excess,near,orders,mixed,squares,price",
    );
    assert_eq!(rows.len(), 100);
    for case in rows {
        let mut random = Random(case[0].parse().unwrap());
        let (count, grades) = (number(&case[1]), number(&case[2]));
        let window = Window { min: 46.0 * UM, target: 52.0 * UM, max: 60.0 * UM };
        let bearings: Vec<Bearing> = (0..count)
            .map(|_| Bearing {
                housing: 49_510.0 * UM,
                journal: (46_485 + random.below(31) - 15) as f64 * UM,
                window,
                fitted: None,
            })
            .collect();
        let mut draw = |bound| u32::try_from(random.below(bound)).unwrap();
        let stock: Vec<Grade> = (0..grades)
            .map(|grade| Grade {
                // Clearance 52 − offset − 6 (upper + lower − grades + 1): walls in steps of 6 about the middle.
                wall: (1486.5 + 6.0 * (grade as f64 - 0.5 * (grades - 1) as f64)) * UM,
                uppers: draw(count),
                lowers: draw(count),
                orderable: draw(count),
                price: 1 + i64::from(draw(9)),
            })
            .collect();
        let guard = number(&case[3]) as f64 * UM;
        if let Ok(found) = shells::choose(&bearings, &stock, guard, Limits::default()) {
            assert!(found.proved, "{case:?}: {} nodes", found.explored);
            let [outside, excess, near, orders, mixed, squares, price] = found.objectives.0;
            let found = [outside, excess / 1000, near, orders, mixed, squares / 1_000_000, price];
            assert_eq!(found.map(|value| value.to_string()), case[4..], "{case:?}");
        } else {
            assert_eq!(case[4], "none", "{case:?}");
        }
    }
}

#[test]
fn pistons_pins_and_rods() {
    let rows =
        rows("selection_pistons.csv", "seed,cylinders,spare,allowed,outside,excess,over,squares,spread");
    assert_eq!(rows.len(), 40);
    for case in rows {
        let mut random = Random(case[0].parse().unwrap());
        let (cylinders, spare) = (number(&case[1]), number(&case[2]));
        let bores: Vec<f64> = (0..cylinders).map(|_| (89_101 + random.below(13) - 6) as f64 * UM).collect();
        let pistons: Vec<Piston> = (0..cylinders + spare)
            .map(|_| Piston {
                gauge_diameter: (89_015 + random.below(13) - 6) as f64 * UM,
                pin_bore: 0.0,
                mass: 0.338 + random.below(25) as f64 * 1e-4,
            })
            .collect();
        let pins: Vec<Pin> = (0..cylinders)
            .map(|_| Pin { diameter: 0.0, mass: 0.122 + random.below(12) as f64 * 1e-4 })
            .collect();
        let count = cylinders + random.below(2);
        let rods: Vec<Rod> =
            (0..count).map(|_| Rod { bush: 0.0, mass: 0.158 + random.below(30) as f64 * 1e-4 }).collect();
        let request = Request {
            bores: &bores,
            clearance: Window { min: 80.0 * UM, target: 86.0 * UM, max: 92.0 * UM },
            pistons: &pistons,
            pins: &pins,
            rods: &rods,
            pin_in_piston: None,
            pin_in_bush: None,
            mass_spread: number(&case[3]) as f64 * 1e-4,
            mass_step: 1e-4,
        };
        let found = pistons::choose(&request, Limits::default()).unwrap();
        assert!(found.proved, "{case:?}: {} nodes", found.explored);
        let [outside, excess, over, squares, spread] = found.objectives.0;
        let found = [outside, excess / 1000, over, squares / 1_000_000, spread];
        assert_eq!(found, [4, 5, 6, 7, 8].map(|i| number(&case[i])), "{case:?}");
    }
}
