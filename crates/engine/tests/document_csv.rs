//! Readings in a CSV beside the document: all of them, or none and every mistake with its place.

use engine::document::{
    CSV_COLUMNS, Document, Held, MAX_BYTES, ReadingEntry, parse_document, parse_with_readings, read_csv,
    render_text, write_csv,
};
use proptest::prelude::*;

const FOUR: &str = r#"
crosshatch = 2
[layout]
arrangement = "inline"
cylinders = 4
[instruments.gauge]
resolution = "0.001 mm"
[[operations]]
name = "hone"
kind = "hone"
"#;

fn four() -> Document {
    parse_document(FOUR, "four.toml").document.unwrap()
}

/// The diagnostics as `line:column text | message`.
#[track_caller]
fn check(csv: &str, expected: &[&str]) {
    let found = match read_csv(csv, "four.readings.csv", &four()) {
        Ok(_) => Vec::new(),
        Err(diagnostics) => diagnostics,
    };
    let short: Vec<String> =
        found.iter().map(|d| format!("{}:{} {} | {}", d.line, d.column, d.text, d.message)).collect();
    assert_eq!(short, expected, "{}", render_text(&found));
}

#[test]
fn good_lines_become_readings() {
    let csv = "feature,value,held,corrects,note\n\
               block.bore.1.mid.thrust,89.1 mm,torque_plate caps_torqued,,\n\
               \n\
               block.bore.1.mid.thrust,89.105 mm,,1,\"first one, hasty\"\n";
    let readings = read_csv(csv, "x.csv", &four()).unwrap();
    assert_eq!(readings.len(), 2);
    assert_eq!(readings[0].held, [Held::TorquePlate, Held::CapsTorqued]);
    assert_eq!(readings[1].corrects, Some(1));
    assert_eq!(readings[1].note, "first one, hasty");
}

#[test]
fn columns_may_stand_in_any_order_and_be_separated_as_the_spreadsheet_likes() {
    for separator in [",", ";", "\t"] {
        let csv =
            ["\u{feff}Value,Feature", "89.1 mm,block.bore.1.mid.thrust"].join("\r\n").replace(',', separator);
        let readings = read_csv(&csv, "x.csv", &four()).unwrap();
        assert_eq!((readings[0].value.as_str(), readings.len()), ("89.1 mm", 1));
    }
    assert_eq!(read_csv("", "x.csv", &four()), Ok(Vec::new()));
    assert_eq!(read_csv("feature,value\n", "x.csv", &four()), Ok(Vec::new()));
}

#[test]
fn each_mistake_has_its_line_and_column() {
    check(
        "feature,value,instrument,temperature,after,held,corrects,when\n\
         block.bore.1.mid.thrust,89.1,gage,20,honing,torque plate,2,yesterday\n\
         block.bore.7.mid.thrust,\"89,1 mm\",,,,,x,\n\
         ,,,,,,,\n\
         ,1 mm,,,,,,\n",
        &[
            "2:25 89.1 | 89.1 has no unit",
            "2:30 gage | there is no gauge \"gage\"",
            "2:35 20 | 20 has no unit",
            "2:38 honing | there is no operation \"honing\"",
            "2:45 torque plate | \"torque\" is no way to hold a part",
            "2:45 torque plate | \"plate\" is no way to hold a part",
            "2:58 2 | reading 2 does not stand before this one, which is number 1",
            "2:60 yesterday | \"yesterday\" is no date",
            "3:1 block.bore.7.mid.thrust | this engine has no place \"block.bore.7.mid.thrust\"",
            "3:26 89,1 mm | 89,1 mm has a comma in its number",
            "3:39 x | \"x\" is no whole number",
            "5:1  | this reading does not say where it was taken",
        ],
    );
}

#[test]
fn the_first_line_must_name_the_columns() {
    check(
        "feature,vallue,value,value\n",
        &["1:9 vallue | there is no column \"vallue\"", "1:22 value | the column \"value\" stands twice"],
    );
    check(
        "place,reading\n",
        &[
            "1:1 place | there is no column \"place\"",
            "1:1 place | the column \"feature\" is missing",
            "1:1 place | the column \"value\" is missing",
            "1:7 reading | there is no column \"reading\"",
        ],
    );
    check(
        "feature,value\nblock.bore.1.mid.thrust,89.1 mm,20 °C\n",
        &["2:33 20 °C | this line has 3 fields, the first line names 2 columns"],
    );
}

#[test]
fn one_bad_line_keeps_all_out() {
    let csv = "feature,value\nblock.bore.1.mid.thrust,89.1 mm\nblock.bore.1.mid.thrust,89.1 kg\n";
    let parsed = parse_with_readings(FOUR, "four.toml", csv, "four.readings.csv");
    assert!(parsed.document.is_none());
    assert_eq!(parsed.diagnostics[0].file, "four.readings.csv");
}

#[test]
fn a_huge_file_is_refused_without_reading_it() {
    let huge = "feature,value\n".to_owned() + &"x".repeat(MAX_BYTES);
    let diagnostics = read_csv(&huge, "x.csv", &four()).unwrap_err();
    assert!(diagnostics[0].message.contains("bytes"));
}

#[test]
fn corrections_keep_pointing_at_their_reading_behind_those_of_the_document() {
    let own = format!("{FOUR}[[readings]]\nfeature = \"block.bore.2.mid.thrust\"\nvalue = \"89.1 mm\"\n");
    let csv = "feature,value,corrects\nblock.bore.1.mid.thrust,89.1 mm,\nblock.bore.1.mid.thrust,89.2 mm,1\n";
    let document = parse_with_readings(&own, "four.toml", csv, "four.readings.csv").document.unwrap();
    assert_eq!(document.readings[2].corrects, Some(2));
}

fn entry() -> impl Strategy<Value = ReadingEntry> {
    let words = prop::collection::vec(
        prop::sample::select(vec![Held::Free, Held::TorquePlate, Held::ShellsIn]),
        0..3,
    );
    let flags = (any::<bool>(), any::<bool>());
    (1u32..=4, 1u32..99_999, words, "[ -~äµ°\n]{0,20}", flags).prop_map(
        |(bore, size, held, note, (warm, confirmed))| ReadingEntry {
            confirmed,
            feature: format!("block.bore.{bore}.mid.thrust"),
            value: format!("{}.{:03} mm", size / 1000, size % 1000),
            instrument: "gauge".into(),
            temperature: if warm { "24.5 °C".into() } else { String::new() },
            held,
            note: note.trim().to_owned(),
            ..ReadingEntry::default()
        },
    )
}

proptest! {
    #[test]
    fn what_is_written_is_read_back(readings in prop::collection::vec(entry(), 0..20)) {
        let csv = write_csv(&readings);
        prop_assert!(csv.starts_with(&CSV_COLUMNS.join(",")));
        prop_assert_eq!(read_csv(&csv, "x.csv", &four()), Ok(readings));
    }

    #[test]
    fn no_text_makes_the_reader_panic(text in "\\PC{0,300}", rows in "([a-z0-9.\"]{0,9}[,;\n\r\"]){0,60}") {
        _ = read_csv(&text, "x.csv", &four());
        _ = read_csv(&format!("feature,value,corrects\n{rows}"), "x.csv", &four());
    }
}

#[test]
fn a_decimal_comma_is_taken_where_semicolons_part_the_fields() {
    let csv = "feature;value;instrument;temperature\nblock.bore.1.top.thrust;76,213 mm;gauge;21,5 \u{b0}C\n";
    let read = read_csv(csv, "four.readings.csv", &four()).unwrap();
    assert_eq!((read[0].value.as_str(), read[0].temperature.as_str()), ("76.213 mm", "21.5 \u{b0}C"));
    let wrong =
        |csv: &str| read_csv(csv, "four.readings.csv", &four()).expect_err("a comma that is no decimal mark");
    // Where commas part the fields it is still asked how the number is meant, and so are thousands.
    assert!(
        render_text(&wrong("feature,value\nblock.bore.1.top.thrust,\"76,213 mm\"\n"))
            .contains("decimal point")
    );
    wrong("feature;value\nblock.bore.1.top.thrust;1,076,213 mm\n");
    wrong("feature;value\nblock.bore.1.top.thrust;1,076.213 mm\n");
}
