//! How often slips are found and how often good readings are asked about, measured on seeded tables.
//!
//! The tables are invented: part and place effects, form that the additive model lacks, normal reading noise, rounding to
//! the step of the display. There is no published data set for this; the required rates are the project's own.

use mechanics::math::normal_quantile;
use mechanics::metrology::slips::{Cell, Kind, Suspicion, Table, TypedIn, suspicions};
use proptest::prelude::*;
use rand::{Rng, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// A kind of table: sizes in the unit in which they are typed, scatters as standard deviations.
#[derive(Clone, Copy)]
struct Sheet {
    name: &'static str,
    rows: usize,
    columns: usize,
    size: f64,
    expanded: f64,
    step: f64,
    row_scatter: f64,
    column_scatter: f64,
    form: f64,
    missing: f64,
    typed_in: TypedIn,
}

const MM: TypedIn = TypedIn::Millimetres;
const INCH: TypedIn = TypedIn::Inches;

#[rustfmt::skip]
const SHEETS: [Sheet; 8] = [
    Sheet { name: "4 bores × 6, mm", rows: 4, columns: 6, size: 89.1, expanded: 0.004, step: 0.001, row_scatter: 0.012, column_scatter: 0.004, form: 0.001, missing: 0.0, typed_in: MM },
    Sheet { name: "8 bores × 6, in", rows: 8, columns: 6, size: 4.108, expanded: 0.0002, step: 0.0001, row_scatter: 0.0006, column_scatter: 0.0002, form: 0.00005, missing: 0.0, typed_in: INCH },
    Sheet { name: "5 journals × 4, mm", rows: 5, columns: 4, size: 56.485, expanded: 0.003, step: 0.001, row_scatter: 0.008, column_scatter: 0.001, form: 0.001, missing: 0.0, typed_in: MM },
    Sheet { name: "5 journals × 4, a tenth missing", rows: 5, columns: 4, size: 56.485, expanded: 0.003, step: 0.001, row_scatter: 0.008, column_scatter: 0.001, form: 0.001, missing: 0.1, typed_in: MM },
    Sheet { name: "12 bores × 4, mm", rows: 12, columns: 4, size: 81.0, expanded: 0.004, step: 0.001, row_scatter: 0.010, column_scatter: 0.004, form: 0.001, missing: 0.0, typed_in: MM },
    Sheet { name: "3 × 3, mm (least)", rows: 3, columns: 3, size: 74.5, expanded: 0.004, step: 0.001, row_scatter: 0.012, column_scatter: 0.004, form: 0.001, missing: 0.0, typed_in: MM },
    Sheet { name: "4 worn bores × 6, form = U", rows: 4, columns: 6, size: 88.6, expanded: 0.004, step: 0.001, row_scatter: 0.020, column_scatter: 0.020, form: 0.004, missing: 0.0, typed_in: MM },
    Sheet { name: "8 gaps × 1, mm", rows: 8, columns: 1, size: 0.54, expanded: 0.02, step: 0.01, row_scatter: 0.03, column_scatter: 0.0, form: 0.0, missing: 0.0, typed_in: MM },
];

/// Draws of two cylinders exchanged, their true sizes more than 6 U apart: every one must be asked about.
const EXCHANGES: usize = 20_000;

struct Bench {
    bits: Pcg64Mcg,
}

type Rows = Vec<Vec<Option<Cell>>>;

/// Puts a slip into a table and says where and what; `None` when this draw does not qualify.
type Slip<'a> = dyn Fn(&mut Bench, &mut Rows, &[f64]) -> Option<(usize, usize, Expected)> + 'a;

/// Bends the parts themselves.
type Fault<'a> = dyn Fn(&mut Bench, &mut Rows) + 'a;

impl Bench {
    fn seeded(seed: u64) -> Self {
        Self { bits: Pcg64Mcg::seed_from_u64(seed) }
    }

    fn uniform(&mut self) -> f64 {
        ((self.bits.next_u64() >> 12) as f64 + 0.5) / (1_u64 << 52) as f64
    }

    fn below(&mut self, n: usize) -> usize {
        (self.uniform() * n as f64) as usize
    }

    fn normal(&mut self) -> f64 {
        normal_quantile(self.uniform())
    }

    /// A table without slips, and the true row effects.
    fn table(&mut self, sheet: &Sheet) -> (Rows, Vec<f64>) {
        let rows: Vec<f64> = (0..sheet.rows).map(|_| sheet.row_scatter * self.normal()).collect();
        let columns: Vec<f64> = (0..sheet.columns).map(|_| sheet.column_scatter * self.normal()).collect();
        let table = rows
            .iter()
            .map(|row| {
                let reading = |column: &f64| {
                    let error = sheet.form * self.normal() + 0.5 * sheet.expanded * self.normal();
                    let value = ((sheet.size + row + column + error) / sheet.step).round() * sheet.step;
                    (self.uniform() >= sheet.missing).then_some(Cell { value, expanded: sheet.expanded })
                };
                columns.iter().map(reading).collect()
            })
            .collect();
        (table, rows)
    }

    fn reading_of(&mut self, rows: &Rows) -> (usize, usize, f64) {
        loop {
            let (i, j) = (self.below(rows.len()), self.below(rows[0].len()));
            if let Some(cell) = rows[i][j] {
                return (i, j, cell.value);
            }
        }
    }
}

fn asked(sheet: &Sheet, rows: &Rows) -> Vec<Suspicion> {
    suspicions(&Table {
        rows,
        typed_in: sheet.typed_in,
        step: sheet.step,
        nominal: None,
        plausible: None,
        range: None,
        alike: None,
        swap_with: None,
    })
}

fn set(rows: &mut Rows, row: usize, column: usize, value: f64) {
    if let Some(cell) = rows[row][column].as_mut() {
        cell.value = value;
    }
}

/// How often the slipped readings were all asked about, and how often with the right name; per cent.
#[derive(Clone, Copy)]
struct Rate {
    caught: f64,
    named: f64,
}

/// Rate of one slip over seeded draws; `slip` returns `None` when a draw does not qualify.
fn rate(sheet: &Sheet, seed: u64, trials: usize, slip: &Slip<'_>) -> Rate {
    let mut bench = Bench::seeded(seed);
    let (mut done, mut caught, mut named) = (0, 0, 0);
    while done < trials {
        let (mut rows, effects) = bench.table(sheet);
        let Some((row, column, expected)) = slip(&mut bench, &mut rows, &effects) else { continue };
        done += 1;
        let list = asked(sheet, &rows);
        let about = |row: usize| list.iter().find(|s| (s.row, s.column) == (row, column));
        let other =
            if let Expected::Exactly(Kind::Swapped { other_row }) = expected { other_row } else { row };
        caught += usize::from(about(row).is_some() && about(other).is_some());
        named += usize::from(about(row).is_some_and(|s| expected.met_by(s.kind)));
    }
    let per_cent = |count: usize| 100.0 * count as f64 / trials as f64;
    Rate { caught: per_cent(caught), named: per_cent(named) }
}

#[derive(Clone, Copy)]
enum Expected {
    Exactly(Kind),
    AnyDigit,
}

impl Expected {
    fn met_by(self, kind: Kind) -> bool {
        match self {
            Self::Exactly(expected) => kind == expected,
            Self::AnyDigit => matches!(kind, Kind::Digit | Kind::Transposed | Kind::TenTimes | Kind::Tenth),
        }
    }
}

fn scaled(
    kind: Kind,
    factor: f64,
) -> impl Fn(&mut Bench, &mut Rows, &[f64]) -> Option<(usize, usize, Expected)> {
    move |bench, rows, _| {
        let (row, column, value) = bench.reading_of(rows);
        set(rows, row, column, value * factor);
        Some((row, column, Expected::Exactly(kind)))
    }
}

/// One digit of the typed number replaced, moving the reading by more than 6 U.
fn wrong_digit(sheet: &Sheet) -> impl Fn(&mut Bench, &mut Rows, &[f64]) -> Option<(usize, usize, Expected)> {
    let (step, least) = (sheet.step, 6.0 * sheet.expanded);
    move |bench, rows, _| {
        let (row, column, value) = bench.reading_of(rows);
        let count = (value / step).round() as u64;
        let place = 10_u64.pow(bench.below(count.to_string().len()) as u32);
        let wrong = count - (count / place % 10) * place + bench.below(10) as u64 * place;
        let typed = wrong as f64 * step;
        ((typed - value).abs() > least).then(|| {
            set(rows, row, column, typed);
            (row, column, Expected::AnyDigit)
        })
    }
}

/// Two cylinders exchanged in one column, their true sizes more than 6 U apart.
fn exchanged(sheet: &Sheet) -> impl Fn(&mut Bench, &mut Rows, &[f64]) -> Option<(usize, usize, Expected)> {
    let least = 6.0 * sheet.expanded;
    move |bench, rows, effects| {
        let (a, b, column) =
            (bench.below(effects.len()), bench.below(effects.len()), bench.below(rows[0].len()));
        let enough = |row: usize| rows[row].iter().flatten().count() >= 3;
        if (effects[a] - effects[b]).abs() <= least || !enough(a) || !enough(b) {
            return None;
        }
        let (first, second) = (rows[a][column]?.value, rows[b][column]?.value);
        set(rows, a, column, second);
        set(rows, b, column, first);
        Some((a, column, Expected::Exactly(Kind::Swapped { other_row: b })))
    }
}

/// Readings asked about in tables that hold no slip; `fault` bends the parts themselves.
fn flags(sheet: &Sheet, seed: u64, readings: usize, fault: &Fault<'_>) -> (usize, usize) {
    let mut bench = Bench::seeded(seed);
    let (mut asked_about, mut all) = (0, 0);
    while all < readings {
        let (mut rows, _) = bench.table(sheet);
        fault(&mut bench, &mut rows);
        all += rows.iter().flatten().flatten().count();
        asked_about += asked(sheet, &rows).len();
    }
    (asked_about, all)
}

fn bend(rows: &mut Rows, row: usize, column: usize, by: f64) {
    if let Some(cell) = rows[row][column].as_mut() {
        cell.value += by;
    }
}

/// Per cent to two places, or a dash where the slip does not exist.
fn cell(rate: Option<f64>) -> String {
    rate.map_or_else(|| "–".into(), |rate| format!("{rate:.2}"))
}

/// The whole table of rates. What is required is asserted for the sheets whose form stays within half of U.
#[test]
#[allow(clippy::print_stdout)]
fn rates() {
    let titles =
        ["×25.4", "÷25.4", "×10", "÷10", "thousandths", "µm", "exchanged", "so named", "digit", "so named"]
            .map(|t| format!("{t:>12}"));
    println!(
        "asked about, per cent of 2,000 each (digit: 10,000, exchanged: {EXCHANGES})\n{:32}{}",
        "",
        titles.concat()
    );
    for sheet in &SHEETS {
        let scale = |kind, factor| Some(rate(sheet, 254, 2_000, &scaled(kind, factor)).named);
        let (metric, table) = (sheet.typed_in == MM, sheet.columns > 1);
        let units = [
            if metric { None } else { scale(Kind::Millimetres, 25.4) },
            if metric { scale(Kind::Inches, 1.0 / 25.4) } else { None },
            scale(Kind::TenTimes, 10.0),
            scale(Kind::Tenth, 0.1),
            scale(Kind::Thousandths, if metric { 1.0 / 0.0254 } else { 1_000.0 }),
            if metric { scale(Kind::Micrometres, 1_000.0) } else { None },
        ];
        let swap = table.then(|| rate(sheet, 61, EXCHANGES, &exchanged(sheet)));
        let digit = table.then(|| rate(sheet, 95, 10_000, &wrong_digit(sheet)));
        let pair = |rate: Option<Rate>| [rate.map(|r| r.caught), rate.map(|r| r.named)];
        let cells = units.into_iter().chain(pair(swap)).chain(pair(digit));
        let words: Vec<String> = cells.map(|rate| format!("{:>12}", cell(rate))).collect();
        println!("{:<32}{}", sheet.name, words.concat());
        for rate in units.into_iter().flatten() {
            assert!(rate >= 100.0, "{}: a slip of unit or point was missed", sheet.name);
        }
        if let (Some(swap), Some(digit)) = (swap, digit) {
            assert!(swap.caught >= 100.0, "{}: exchanged {} %", sheet.name, swap.caught);
            assert!(digit.caught >= 95.0, "{}: digits {} %", sheet.name, digit.caught);
        }
    }
}

/// At most one question in 500 good readings.
#[test]
#[allow(clippy::print_stdout)]
fn good_readings_are_left_alone() {
    println!("asked about without a slip");
    for sheet in &SHEETS {
        let (asked_about, all) = flags(sheet, 500, 100_000, &|_, _| ());
        println!("{:<32} {asked_about:>5} of {all}", sheet.name);
        assert!(500 * asked_about <= all, "{}: {asked_about} of {all}", sheet.name);
    }
}

/// Faults of the parts are not slips: taper in both directions, a worn journal, a worn ring of all bores.
#[test]
#[allow(clippy::print_stdout)]
fn faults_are_not_slips() {
    println!("asked about, per table with a fault of 1 to 20 U and no slip");
    let bores = &SHEETS[0];
    let journals = &SHEETS[2];
    let size = |bench: &mut Bench, sheet: &Sheet| sheet.expanded * (1.0 + 19.0 * bench.uniform());
    let taper = |bench: &mut Bench, rows: &mut Rows| {
        let (row, by) = (bench.below(4), size(bench, bores));
        bend(rows, row, 4, -by);
        bend(rows, row, 5, -by);
    };
    let worn = |bench: &mut Bench, rows: &mut Rows| {
        let (row, by) = (bench.below(5), size(bench, journals));
        (0..4).for_each(|column| bend(rows, row, column, -by));
    };
    let ridge = |bench: &mut Bench, rows: &mut Rows| {
        let by = size(bench, bores);
        for row in 0..4 {
            let share = 0.5 + bench.uniform();
            bend(rows, row, 0, by * share);
            bend(rows, row, 1, by * share);
        }
    };
    let oval = |bench: &mut Bench, rows: &mut Rows| {
        let (row, by) = (bench.below(4), size(bench, bores));
        for column in [0, 2, 4] {
            bend(rows, row, column, by);
        }
    };
    let cap = |bench: &mut Bench, rows: &mut Rows| {
        let (row, by) = (bench.below(5), size(bench, journals));
        (0..2).for_each(|level| {
            bend(rows, row, 2 * level, by);
            bend(rows, row, 2 * level + 1, -0.7 * by);
        });
    };
    let faults: [(&str, &Sheet, &Fault<'_>); 5] = [
        ("taper, both directions", bores, &taper),
        ("worn journal", journals, &worn),
        ("ridge of all bores", bores, &ridge),
        ("one oval bore", bores, &oval),
        ("one cap off line", journals, &cap),
    ];
    for (name, sheet, fault) in faults {
        let (asked_about, all) = flags(sheet, 77, 50_000, fault);
        println!("{name:<26} {asked_about:>5} of {all} readings");
        assert!(500 * asked_about <= all, "{name}: {asked_about} of {all}");
    }
    // A lone true deviation is asked about: nothing in the table can tell it from a digit.
    let lone = |bench: &mut Bench, rows: &mut Rows| bend(rows, bench.below(4), 4, -8.0 * bores.expanded);
    let (asked_about, all) = flags(bores, 78, 24_000, &lone);
    println!("lone deviation of 8 U      {asked_about:>5} of {} tables", all / 24);
}

fn cells(values: &[&[f64]], expanded: f64) -> Rows {
    values
        .iter()
        .map(|row| row.iter().map(|&value| value.is_finite().then_some(Cell { value, expanded })).collect())
        .collect()
}

fn table(rows: &Rows, typed_in: TypedIn, step: f64) -> Table<'_> {
    Table { rows, typed_in, step, nominal: None, plausible: None, range: None, alike: None, swap_with: None }
}

#[test]
fn a_reading_far_from_the_others_of_its_row_is_asked_about_without_other_rows() {
    let far = |value: f64, alike: Option<f64>| {
        let rows = cells(&[&[86.012, 86.010, value, 86.013]], 0.004);
        kinds(&Table { alike, ..table(&rows, MM, 0.001) })
    };
    assert_eq!(far(86.9, Some(0.43)), [(0, 2, Kind::Apart)]);
    assert_eq!(far(86.4, Some(0.43)), [], "wear");
    assert_eq!(far(86.9, None), [], "a row of different sizes");
    let two = cells(&[&[86.012, 86.9, 86.9]], 0.004);
    let two = kinds(&Table { alike: Some(0.43), ..table(&two, MM, 0.001) });
    assert_eq!(two, [(0, 0, Kind::Apart)], "of three the one that the two others contradict");
    // Nothing that the gauge itself may show.
    let rough = cells(&[&[86.0, 86.0, 86.9]], 0.1);
    assert_eq!(kinds(&Table { alike: Some(0.43), ..table(&rough, MM, 0.001) }), []);
}

fn kinds(table: &Table<'_>) -> Vec<(usize, usize, Kind)> {
    suspicions(table).iter().map(|s| (s.row, s.column, s.kind)).collect()
}

/// Rod side clearance typed in thousandths, a bearing clearance typed in millimetres: the demo's own slips.
#[test]
fn units_in_short_lists() {
    let side = cells(&[&[0.25], &[0.24], &[9.8], &[0.27]], 0.02);
    let found = suspicions(&table(&side, MM, 0.01));
    assert_eq!((found.len(), found[0].row, found[0].kind), (1, 2, Kind::Thousandths));
    assert!((found[0].likely_value - 0.249).abs() < 1e-3);
    let clearances = cells(&[&[0.0026], &[0.0027], &[0.066], &[0.0026], &[0.0025]], 0.0003);
    assert_eq!(kinds(&table(&clearances, INCH, 0.0001)), [(2, 0, Kind::Millimetres)]);
    // One reading alone has only the nominal to go by.
    let alone = cells(&[&[3.5079]], 0.0002);
    assert_eq!(kinds(&table(&alone, MM, 0.001)), []);
    assert_eq!(kinds(&Table { nominal: Some(89.1), ..table(&alone, MM, 0.001) }), [(0, 0, Kind::Inches)]);
}

#[test]
fn the_demo_bore_with_taper_is_form() {
    let bores = cells(
        &[
            &[89.100, 89.101, 89.100, 89.100, 89.099, 89.100],
            &[89.103, 89.102, 89.098, 89.099, 89.082, 89.083],
            &[89.099, 89.099, 89.098, 89.099, 89.099, 89.098],
            &[89.101, 89.102, 89.101, 89.101, 89.100, 89.101],
        ],
        0.003,
    );
    assert_eq!(kinds(&table(&bores, MM, 0.001)), []);
    let worn = cells(
        &[
            &[46.485, 46.485, 46.484, 46.486],
            &[46.471, 46.472, 46.471, 46.470],
            &[46.486, 46.485, 46.485, 46.486],
        ],
        0.003,
    );
    assert_eq!(kinds(&table(&worn, MM, 0.001)), []);
}

#[test]
fn several_slips_at_once_and_their_likely_values() {
    let rows = cells(
        &[
            &[89.100, 89.101, 89.100, f64::NAN, 89.099, 89.100],
            &[89.153, 89.152, 89.120, 89.152, 89.152, 89.153],
            &[89.119, 89.118, 89.152, 89.119, 3.508, 89.118],
            &[89.101, 89.701, 89.101, 89.101, 89.100, 89.011],
        ],
        0.003,
    );
    let found = suspicions(&table(&rows, MM, 0.001));
    let expected = [
        (1, 2, Kind::Swapped { other_row: 2 }, 89.152),
        (2, 2, Kind::Swapped { other_row: 1 }, 89.120),
        (2, 4, Kind::Inches, 89.103),
        (3, 1, Kind::Digit, 89.101),
        (3, 5, Kind::Transposed, 89.101),
    ];
    assert_eq!(found.len(), expected.len(), "{found:#?}");
    for (suspicion, (row, column, kind, likely)) in found.iter().zip(expected) {
        assert_eq!((suspicion.row, suspicion.column, suspicion.kind), (row, column, kind));
        assert!((suspicion.likely_value - likely).abs() < 0.0015, "{suspicion:?}");
        assert!(suspicion.strength > 3.5, "{suspicion:?}");
    }
    let forbidden: Vec<Vec<usize>> = vec![vec![]; 4];
    let kept = suspicions(&Table { swap_with: Some(&forbidden), ..table(&rows, MM, 0.001) });
    assert!(!kept.iter().any(|s| matches!(s.kind, Kind::Swapped { .. })));
}

/// Decimal points by several places, and what no factor explains, are asked about once three readings or a limit say what is usual.
#[test]
fn out_of_all_proportion() {
    let roughness = cells(&[&[0.73], &[0.73], &[0.72], &[7.3]], 0.08);
    assert_eq!(kinds(&table(&roughness, TypedIn::Other, 0.01)), [(3, 0, Kind::TenTimes)]);
    let valleys = cells(&[&[1.34], &[1.32], &[1.31], &[132.0]], 0.15);
    let found = suspicions(&table(&valleys, TypedIn::Other, 0.01));
    assert_eq!((found.len(), found[0].kind), (1, Kind::SeveralPlaces));
    assert!((found[0].likely_value - 1.32).abs() < 1e-9, "{found:?}");
    let gaps = cells(&[&[0.54], &[0.55], &[54.0], &[0.53]], 0.02);
    assert_eq!(kinds(&table(&gaps, MM, 0.01)), [(2, 0, Kind::SeveralPlaces)]);
    // Three times the others may be so; eight times is asked about, and nothing is offered.
    let odd = cells(&[&[0.54], &[0.55], &[1.6], &[4.3]], 0.02);
    assert_eq!(kinds(&table(&odd, MM, 0.01)), []);
    let odd = cells(&[&[0.54], &[0.55], &[1.6], &[0.53], &[3.7]], 0.02);
    assert_eq!(kinds(&table(&odd, MM, 0.01)), [(4, 0, Kind::Unexplained)]);
    // The first gap of a build has a limit only.
    for (value, expected) in
        [(0.3, None), (1.0, None), (5.4, Some(Kind::TenTimes)), (1000.0, Some(Kind::Unexplained))]
    {
        let first = cells(&[&[value]], 0.02);
        let found = kinds(&Table { range: Some((0.40, 0.60)), ..table(&first, MM, 0.01) });
        assert_eq!(found.first().map(|f| f.2), expected, "{value}");
    }
    let first = cells(&[&[0.05]], 0.02);
    assert_eq!(
        kinds(&Table { range: Some((0.0, 0.3)), ..table(&first, MM, 0.01) }),
        [],
        "no least is stated"
    );
}

/// Of what a slip may have been the one nearest to the others is offered, or none.
#[test]
fn the_nearest_is_offered() {
    let good = [76.213, 76.212, 76.214, 76.212, 76.211, 76.213];
    let offered = |typed: f64| {
        let mut rows: Vec<Vec<f64>> =
            (0..6).map(|i| good.iter().map(|v| v + 0.0005 * f64::from(i % 2)).collect()).collect();
        rows[2][3] = typed;
        let rows: Vec<&[f64]> = rows.iter().map(Vec::as_slice).collect();
        let rows = cells(&rows, 0.004);
        let found =
            suspicions(&Table { nominal: Some(76.2), plausible: Some(3.81), ..table(&rows, MM, 0.001) });
        assert_eq!(found.len(), 1, "{typed}: {found:?}");
        (found[0].kind, (found[0].likely_value * 1e3).round() / 1e3)
    };
    // Typed "76.214 in", and inches with the decimal point one place off.
    assert_eq!(offered(76.214 * 25.4), (Kind::Millimetres, 76.214));
    assert_eq!(offered(30.005), (Kind::Inches, 76.213));
    assert_eq!(offered(3.0005), (Kind::Inches, 76.213));
    assert_eq!(offered(76.123), (Kind::Transposed, 76.213));
    assert_eq!(offered(76.21 * 10.0), (Kind::TenTimes, 76.21));
    assert_eq!(offered(7.214), (Kind::Digit, 76.214), "a six is missing");
    assert_eq!(offered(776.213), (Kind::Digit, 76.213), "a seven too many");
    assert_eq!(offered(60.5).0, Kind::Unexplained, "60.213 is as far off as 60.5");
}

#[test]
fn plausible_range_and_odd_tables() {
    let rows = cells(&[&[41.75], &[41.80], &[55.0], &[f64::INFINITY]], 0.2);
    let plain = Table {
        nominal: Some(41.8),
        plausible: Some(1.0),
        range: None,
        ..table(&rows, TypedIn::Other, 0.05)
    };
    assert_eq!(kinds(&plain), [(2, 0, Kind::Unexplained)]);
    assert_eq!(kinds(&table(&Vec::new(), MM, 0.001)), []);
    assert_eq!(kinds(&table(&vec![vec![], vec![None]], MM, 0.0)), []);
    let zeros = cells(&[&[0.0, 0.0, 0.0], &[0.0, 0.0, 0.0], &[0.0, 0.0, 0.01]], 0.0);
    assert_eq!(kinds(&table(&zeros, MM, 0.0)), []);
    // Run-outs scatter over a decade and say nothing of a decimal point.
    let run_outs = cells(&[&[0.002], &[0.011], &[0.015], &[0.004], &[0.001]], 0.002);
    assert_eq!(kinds(&table(&run_outs, MM, 0.001)), []);
}

fn any_cell() -> impl Strategy<Value = Option<Cell>> {
    let value = prop_oneof![4 => -100.0..100.0_f64, 1 => Just(0.0), 1 => any::<f64>(), 1 => Just(f64::NAN), 1 => Just(f64::INFINITY), 2 => 89.0..89.2_f64];
    let expanded = prop_oneof![4 => 0.0..0.01_f64, 1 => Just(f64::NAN), 1 => any::<f64>()];
    proptest::option::of((value, expanded).prop_map(|(value, expanded)| Cell { value, expanded }))
}

proptest! {
    /// Whatever is typed: an answer, about readings that are there, with numbers that are finite.
    #[test]
    fn any_table_is_answered(
        rows in proptest::collection::vec(proptest::collection::vec(any_cell(), 0..7), 0..8),
        step in prop_oneof![Just(0.0), Just(0.001), any::<f64>()],
        nominal in proptest::option::of(prop_oneof![Just(89.1), any::<f64>()]),
        plausible in proptest::option::of(prop_oneof![Just(0.5), any::<f64>()]),
        range in proptest::option::of((any::<f64>(), any::<f64>())),
        inches in any::<bool>(),
    ) {
        let typed_in = if inches { INCH } else { MM };
        let found = suspicions(&Table { rows: &rows, typed_in, step, nominal, plausible, range, alike: None, swap_with: None });
        for suspicion in &found {
            let cell = rows[suspicion.row][suspicion.column];
            prop_assert!(cell.is_some_and(|cell| cell.value.is_finite()));
            prop_assert!(suspicion.likely_value.is_finite() && !suspicion.strength.is_nan(), "{suspicion:?}");
        }
        let mut places: Vec<_> = found.iter().map(|s| (s.row, s.column)).collect();
        places.dedup();
        prop_assert_eq!(places.len(), found.len(), "one question a reading");
    }
}
