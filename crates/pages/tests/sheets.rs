//! The sheets as text: no server, no browser. Engines come from the example documents and from documents made here.

use engine::document::{Document, parse_document, parse_with_readings};
use engine::features::Sheet;
use engine::{Assessment, Engine, Plan, assess, plan};
use pages::View;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;

struct Shop {
    engine: Engine,
    assessment: Assessment,
    plan: Plan,
    text: String,
    proposed: BTreeSet<String>,
    given: String,
}

impl Shop {
    fn of(engine: Engine, text: String) -> Self {
        let assessment = assess(&engine);
        let plan = plan(&engine, &assessment);
        let proposed = engine::document::proposed(&text);
        let given = pages::given_words(&engine.document, &proposed);
        Self { engine, assessment, plan, text, proposed, given }
    }

    fn example(name: &str) -> Self {
        let path = format!("{}/../../examples/{name}", env!("CARGO_MANIFEST_DIR"));
        let text = fs::read_to_string(format!("{path}.toml")).expect("example");
        let csv = fs::read_to_string(format!("{path}.readings.csv")).expect("readings");
        let parsed = parse_with_readings(&text, name, &csv, "readings");
        let document = parsed.document.unwrap_or_else(|| panic!("{:?}", parsed.diagnostics));
        Self::of(Engine::new(document, Vec::new(), Vec::new()), text)
    }

    fn document(text: &str) -> Self {
        let parsed = parse_document(text, "test");
        let document = parsed.document.unwrap_or_else(|| panic!("{:?}", parsed.diagnostics));
        Self::of(Engine::new(document, Vec::new(), Vec::new()), text.to_owned())
    }

    fn view(&self) -> View<'_> {
        View {
            made: pages::Minute::of("2026-11-26T21:44:00Z"),
            moment: "1.0.0",
            power: "not run",
            id: "demo",
            proposed: &self.proposed,
            given: &self.given,
            engine: &self.engine,
            assessment: &self.assessment,
            plan: &self.plan,
            token: "t0ken",
            who: "the builder",
            notice: None,
        }
    }

    /// Every page that there is, with its name.
    fn pages(&self) -> Vec<(String, String)> {
        let view = self.view();
        let problem = pages::Diagnostic {
            error: true,
            line: Some(3),
            column: Some(8),
            message: "\"89.1\" has no unit".to_owned(),
            help: Some("Write the unit.".to_owned()),
        };
        let shelf = [pages::ShelfEntry {
            away: false,
            id: "demo".to_owned(),
            name: view.engine.document.engine.name.clone(),
            invented: true,
            layout: "inline 4".to_owned(),
            words: "5 stop the build".to_owned(),
            changed: String::new(),
        }];
        let version = |number| pages::Version {
            number,
            when: "2026-03-06T12:10:40Z".to_owned(),
            who: "M.".to_owned(),
            note: "edited by hand".to_owned(),
            current: number == 2,
        };
        let versions = [version(2), version(1)];
        let wrong = BTreeMap::from([("bore".to_owned(), "\"89\" has no unit".to_owned())]);
        let mut list = vec![
            ("engine".to_owned(), pages::engine_page(&view, 37.0)),
            ("fits".to_owned(), pages::fits_page(&view)),
            ("plan".to_owned(), pages::plan_page(&view)),
            (
                "readings".to_owned(),
                pages::readings_page(
                    &view,
                    "The chain verifies.",
                    std::slice::from_ref(&problem),
                    &pages::LogFilter::default(),
                ),
            ),
            ("parts".to_owned(), pages::parts_index(&view)),
            ("document".to_owned(), pages::document_page(&view, &self.text, &[problem], &versions, 2)),
            ("version".to_owned(), pages::version_page(&view, &versions[1], &self.text, &versions)),
            (
                "changes".to_owned(),
                pages::changes_page(&view, (&versions[1], ""), (&versions[0], &self.text), &versions),
            ),
            ("shelf".to_owned(), pages::shelf_page("t0ken", &shelf, Some("Kept."))),
            (
                "new".to_owned(),
                pages::new_page("t0ken", &engine::document::NewEngine::default(), &shelf, &wrong),
            ),
            ("error".to_owned(), pages::error_page(404, "No such sheet", &["boers".to_owned()], &[])),
        ];
        list.extend(Sheet::ALL.map(|s| (format!("sheet {}", s.id()), pages::sheet_page(&view, s))));
        for section in sections(&list[4].1) {
            let values = pages::part_values(&self.text, &section);
            let html = pages::parts_page(&view, &section, &values, &values, &wrong, 2)
                .expect("a section of the index");
            list.push((format!("parts {section}"), html));
        }
        list.extend(
            self.assessment.findings.iter().take(12).map(|f| {
                (format!("finding {}", f.id), pages::finding_page(&view, &f.id).expect("a finding"))
            }),
        );
        list
    }
}

fn sections(index: &str) -> Vec<String> {
    let mut names: Vec<String> =
        index.split("/parts/").skip(1).filter_map(|rest| rest.split('"').next()).map(str::to_owned).collect();
    names.dedup();
    names
}

/// All opening tags of a name, with their attributes.
fn tags<'a>(html: &'a str, name: &str) -> Vec<&'a str> {
    let open = format!("<{name}");
    html.match_indices(&open)
        .filter_map(|(at, _)| {
            let rest = &html[at + open.len()..];
            rest.starts_with([' ', '>']).then(|| &rest[..rest.find('>').unwrap_or(rest.len())])
        })
        .collect()
}

fn attribute<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    let start = tag.find(&format!(" {name}=\""))? + name.len() + 3;
    tag[start..].split('"').next()
}

fn every_page(check: impl Fn(&str, &str)) {
    for name in ["hill-climb-four", "pushrod-v8"] {
        for (page, html) in Shop::example(name).pages() {
            check(&format!("{name}: {page}"), &html);
        }
    }
    for (page, html) in Shop::document("crosshatch = 2\n").pages() {
        check(&format!("almost empty: {page}"), &html);
    }
}

#[test]
fn nothing_is_inline_and_nothing_comes_from_elsewhere() {
    every_page(|page, html| {
        for tag in tags(html, "script") {
            assert!(attribute(tag, "src").is_some_and(|s| s.starts_with("/static/")), "{page}: {tag}");
        }
        assert!(!html.contains("<style"), "{page}");
        assert!(!html.contains(" style="), "{page} has a style attribute");
        assert!(!html.contains(" onclick=") && !html.contains("javascript:"), "{page}");
        let own = html.replace("http://www.w3.org/2000/svg", "");
        assert!(!own.contains("http://") && !own.contains("https://"), "{page} names an outside address");
    });
}

#[test]
fn every_field_has_a_label() {
    every_page(|page, html| {
        for name in ["input", "select", "textarea"] {
            for tag in tags(html, name) {
                if attribute(tag, "type") == Some("hidden") || attribute(tag, "aria-label").is_some() {
                    continue;
                }
                let labelled = attribute(tag, "id").is_some_and(|id| html.contains(&format!("for=\"{id}\"")));
                let inside = html.find(tag).is_some_and(|at| {
                    html[..at].rfind("<label").is_some_and(|l| !html[l..at].contains("</label>"))
                });
                assert!(labelled || inside, "{page}: <{name}{tag}> has no label");
            }
        }
    });
}

#[test]
fn ids_are_unique_and_headings_are_in_order() {
    every_page(|page, html| {
        let ids: Vec<&str> = html.split(" id=\"").skip(1).filter_map(|s| s.split('"').next()).collect();
        let unique: BTreeSet<&&str> = ids.iter().collect();
        let twice: Vec<&&str> =
            unique.iter().filter(|id| ids.iter().filter(|i| *i == **id).count() > 1).copied().collect();
        assert!(twice.is_empty(), "{page}: {twice:?} stand twice");
        let mut level = 0;
        for (at, _) in html.match_indices("<h") {
            let Some(new) = html[at + 2..].chars().next().and_then(|c| c.to_digit(10)) else { continue };
            assert!(new <= level + 1, "{page}: h{new} after h{level}");
            level = new;
        }
        assert_eq!(html.matches("<h1").count(), 1, "{page}");
        assert_eq!(html.matches("<main ").count(), 1, "{page}");
        assert!(html.contains("<html lang=\"en\">") && html.contains("class=\"skip\""), "{page}");
    });
}

#[test]
fn the_current_sheet_is_marked_once() {
    let shop = Shop::example("hill-climb-four");
    for sheet in Sheet::ALL {
        let html = pages::sheet_page(&shop.view(), sheet);
        assert_eq!(html.matches("aria-current=\"page\"").count(), 1, "{}", sheet.id());
    }
}

#[test]
fn the_list_says_what_stops_the_build_in_words() {
    let shop = Shop::example("hill-climb-four");
    let html = pages::engine_page(&shop.view(), 0.0);
    assert!(html.contains("What stops this engine"));
    assert!(html.contains("Invented example."));
    for finding in shop.assessment.findings.iter().filter(|f| f.stops()) {
        let title = finding.title();
        let title = title[..1].to_uppercase() + &title[1..];
        assert!(html.contains(&title), "{title} is missing");
    }
    assert!(html.contains("<b class=\"word stops\">bad</b>"));
    let first_good = html.find("<b class=\"word\">good</b>").expect("good ones are counted and can be seen");
    let last_bad = html.rfind("<b class=\"word stops\">bad</b>").expect("bad");
    assert!(last_bad < first_good, "what stops the build comes first");
}

#[test]
fn numbers_on_the_drawing_are_those_of_the_list() {
    let html = pages::engine_page(&Shop::example("hill-climb-four").view(), 0.0);
    let items = html.matches("data-number=").count();
    assert!(items > 5);
    for number in 1..=items {
        assert!(
            html.contains(&format!("href=\"#finding-{number}\"")),
            "balloon {number} is not on the drawing"
        );
        assert!(html.contains(&format!("id=\"finding-{number}\"")), "{number} is not in the list");
    }
}

#[test]
fn a_name_cannot_leave_its_place() {
    let name = "<script>alert(1)</script>\" onload='x' &amp; ]]>";
    let mut document = Document { crosshatch: engine::document::FORMAT_VERSION, ..Document::default() };
    document.engine.name = name.to_owned();
    document.engine.note = name.to_owned();
    document.layout.cylinders = Some(2);
    let shop = Shop::of(Engine::new(document, Vec::new(), Vec::new()), format!("# </textarea><b>{name}"));
    for (page, html) in shop.pages() {
        assert!(!html.contains("<script>alert"), "{page}");
        assert!(!html.contains("</textarea><b>"), "{page}");
        assert!(!html.contains("\" onload='"), "{page}");
    }
}

#[test]
fn a_reading_sheet_and_its_parts_agree() {
    let shop = Shop::example("hill-climb-four");
    for sheet in Sheet::ALL {
        let html = pages::sheet_page(&shop.view(), sheet);
        let parts = pages::sheet_parts(&shop.view(), sheet);
        for (row, meaning) in &parts.rows {
            assert!(html.contains(&format!("data-row=\"{row}\"")), "{row}");
            assert!(html.contains(meaning.as_str()), "{row} differs from the page");
        }
        assert!(html.contains(&parts.tabs) && html.contains(&parts.foot), "{}", sheet.id());
        for (feature, cell) in &parts.cells {
            let field =
                tags(&html, "input").into_iter().find(|t| attribute(t, "data-feature") == Some(feature));
            let field = field.unwrap_or_else(|| panic!("{feature} has no field"));
            assert_eq!(attribute(field, "value"), Some(cell.shown.as_str()), "{feature}");
        }
    }
}

#[test]
fn readings_stand_as_they_were_typed() {
    let shop = Shop::example("hill-climb-four");
    let parts = pages::sheet_parts(&shop.view(), Sheet::Bores);
    let reading =
        shop.engine.readings.iter().find(|r| r.feature == "block.bore.2.low.thrust").expect("a reading");
    let cell = &parts.cells["block.bore.2.low.thrust"];
    assert_eq!(cell.number, Some(reading.number));
    assert_eq!(format!("{} mm", cell.shown), reading.text);
    // The title block follows the readings without a reload.
    assert_eq!(parts.edition, "document 1, nothing read");
    assert!(
        pages::sheet_page(&shop.view(), Sheet::Bores)
            .contains("<dd id=\"edition\">document 1, nothing read</dd>")
    );
}

#[test]
fn what_the_starter_proposes_is_counted_apart_and_told_beside_its_field() {
    let kind = "F4".parse().expect("a layout");
    let shop =
        Shop::document(&engine::document::new_document(kind, "Four", engine::quantity::UnitSystem::Metric));
    let values = pages::part_values(&shop.text, "layout");
    let page = |values: &BTreeMap<String, String>, stands: &BTreeMap<String, String>| {
        pages::parts_page(&shop.view(), "layout", values, stands, &BTreeMap::new(), 1).expect("layout")
    };
    let proposed = |html: &str| html.matches("class=\"hint proposed\"").count();
    let html = page(&values, &values);
    assert_eq!(proposed(&html), 2, "banks and firing order");
    assert!(html.contains("given, 2 proposed</small>"));
    assert!(pages::parts_index(&shop.view()).contains(", 2 proposed: check yours"));
    let mut typed = values.clone();
    typed.insert("firing_order".to_owned(), "1, 4, 2, 3".to_owned());
    assert_eq!(proposed(&page(&typed, &values)), 1, "a firing order of one's own");
    // What stays proposed is given only by its own box, which keeps its tick when the form comes back.
    assert_eq!(html.matches("name=\"_given.").count(), 2);
    assert!(!html.contains("data-of=\"banks\" checked"));
    let ticked = BTreeMap::from([(pages::given_name("banks"), "yes".to_owned())]);
    let again = page(&values.clone().into_iter().chain(ticked).collect(), &values);
    assert!(again.contains("data-of=\"banks\" checked"));
}

/// A figure in an empty field would read as advice: of a bolt's torque, of an ignition.
#[test]
fn no_empty_field_suggests_a_figure() {
    let shop = Shop::document("crosshatch = 2\n");
    let none = BTreeMap::new();
    let mut seen = 0;
    for section in engine::document::SECTIONS {
        let Some(html) = pages::parts_page(&shop.view(), section, &none, &none, &none, 1) else { continue };
        for field in html.split("placeholder=\"").skip(1) {
            let (placeholder, _) = field.split_once('"').expect("its end");
            seen += 1;
            // A list shows how it is written: several figures.
            let figure = placeholder.starts_with(|c: char| c.is_ascii_digit()) && !placeholder.contains(", ");
            assert!(!figure, "{section}: {placeholder}");
        }
    }
    assert!(seen > 100, "{seen}");
}

#[test]
fn least_is_told_before_most() {
    let shop = Shop::document("crosshatch = 2\n");
    let wrong = |end: &str| (format!("end_float.{end}"), format!("no {end}"));
    let errors = BTreeMap::from([wrong("max"), wrong("min"), wrong("nominal")]);
    let html = pages::parts_page(&shop.view(), "limits", &BTreeMap::new(), &BTreeMap::new(), &errors, 1)
        .expect("limits");
    let (summary, fields) = html.split_once("<form").expect("a form");
    for part in [summary, fields] {
        let at = |words: &str| part.find(words).unwrap_or_else(|| panic!("{words}"));
        assert!(at("no nominal") < at("no min") && at("no min") < at("no max"));
    }
}

#[test]
fn a_caution_stands_above_its_table_apart_from_the_hint() {
    let shop = Shop::example("pushrod-v8");
    let mut cautions = 0;
    for table in &shop.engine.catalogue.tables {
        let html = pages::sheet_page(&shop.view(), table.sheet);
        if !table.caution.is_empty() {
            cautions += 1;
            assert!(
                html.contains(&format!("<p class=\"caution\">Caution: {}</p>", table.caution)),
                "{}",
                table.id
            );
        }
    }
    assert!(cautions > 10);
    // Paper goes to the bench: it keeps what can hurt, and how to read.
    let style = include_str!("../assets/crosshatch.css");
    assert!(!style.split('}').any(|rule| rule.contains(".bar .hint") && rule.contains("display: none")));
    assert!(!style.split('}').any(|rule| rule.contains("caution") && rule.contains("display: none")));
}

#[test]
fn another_gauge_or_temperature_stands_in_the_field_that_was_read_with_it() {
    let start = "crosshatch = 2\n[layout]\narrangement = \"inline\"\ncylinders = 1\n";
    let reading = |place: &str, gauge: &str, degrees: &str| {
        format!(
            "[[readings]]\nfeature = \"block.bore.1.{place}\"\nvalue = \"88.01 mm\"\ninstrument = \"{gauge}\"\ntemperature = \"{degrees} °C\"\n"
        )
    };
    let gauges = ["B1", "B2"]
        .map(|g| format!("[instruments.{g}]\nkind = \"bore_gauge\"\nresolution = \"0.001 mm\"\n"))
        .concat();
    let shop = Shop::document(&format!(
        "{start}{gauges}{}{}{}",
        reading("top.thrust", "B2", "27"),
        reading("mid.thrust", "B1", "27"),
        reading("low.thrust", "B1", "20")
    ));
    let html = pages::sheet_page(&shop.view(), Sheet::Bores);
    let marked = |words: &str| html.matches(&format!(">{words}</span>")).count();
    assert_eq!((marked("B2, 27.0 °C"), marked("27.0 °C"), marked("20.0 °C")), (1, 1, 0));
}

#[test]
fn an_answer_for_the_whole_engine_stands_in_no_row() {
    let shop = Shop::example("hill-climb-four");
    let asked = "compression_spread";
    assert!(shop.assessment.findings.iter().any(|f| f.code == asked));
    let parts = pages::sheet_parts(&shop.view(), Sheet::Head);
    let rows: Vec<&String> =
        parts.rows.iter().filter(|(_, html)| html.contains(asked)).map(|(row, _)| row).collect();
    assert!(!rows.is_empty() && rows.iter().all(|row| row.ends_with("/all")), "{rows:?}");
}

#[test]
fn an_answer_for_the_whole_engine_stands_once_on_a_sheet() {
    for name in ["hill-climb-four", "pushrod-v8"] {
        let shop = Shop::example(name);
        let html = pages::sheet_page(&shop.view(), Sheet::Head);
        assert_eq!(html.matches("Engine, spread of compression").count(), 1, "{name}");
    }
}

#[test]
fn an_injector_is_judged_in_the_row_of_its_cylinder() {
    let shop = Shop::example("hill-climb-four");
    let parts = pages::sheet_parts(&shop.view(), Sheet::Head);
    let bad = parts.rows.iter().filter(|(_, html)| html.contains("injector_flow%2F3.2"));
    let rows: Vec<&str> = bad.map(|(row, _)| row.as_str()).collect();
    // Rows count from 0: cylinder 3.
    assert!(rows.len() == 1 && rows[0].ends_with("/2"), "{rows:?}");
}

/// The arrow of the core shift points where the wall is thick, as the words beside it say.
#[test]
fn the_core_shift_is_drawn_and_told_toward_the_thick_wall() {
    let shop = Shop::example("hill-climb-four");
    let finding = shop.assessment.finding("wall/3").expect("bore 3");
    let why = finding.why.print(engine::quantity::UnitSystem::Metric);
    // Anti-thrust reads 6.71 mm in the middle of bore 3, thrust 2.92 mm.
    assert!(why.contains("toward anti-thrust: the wall is thick there and thin toward thrust"), "{why}");
    let html = pages::sheet_page(&shop.view(), Sheet::Casting);
    assert!(html.contains("to the thick side"));
    // Thrust is drawn to the right, so the line of the arrow over "1.87" runs from the middle to the left.
    let before = &html[..html.find(">1.87</text>").expect("the shift of the middle height")];
    let line = &before[before.rfind("stroke-width=\"1.2\"").expect("the arrow") - 120..];
    let path = &line[line.find("d=\"M").expect("a line") + 4..];
    let numbers: Vec<f64> =
        path[..path.find('"').expect("its end")].split(['L', ' ']).filter_map(|n| n.parse().ok()).collect();
    assert!(numbers[2] < numbers[0], "{numbers:?}");
}

#[test]
fn a_text_without_mistakes_is_not_called_an_engine_without_faults() {
    let shop = Shop::example("hill-climb-four");
    let html = pages::document_page(&shop.view(), &shop.text, &[], &[], 1);
    assert!(html.contains("The text is read without a mistake") && !html.contains("Nothing wrong"));
}

#[test]
fn many_entries_alike_are_folded_and_one_with_a_mistake_stands_open() {
    let shop = Shop::example("hill-climb-four");
    let values = pages::part_values(&shop.text, "instruments");
    let page = |errors: &BTreeMap<String, String>| {
        pages::parts_page(&shop.view(), "instruments", &values, &values, errors, 1).expect("gauges")
    };
    let gauges = shop.engine.document.instruments.len();
    let folded = page(&BTreeMap::new());
    assert_eq!(folded.matches("<details class=\"entry-of-many\">").count(), gauges);
    assert!(folded.contains("ultrasonic gauge, speed of sound from the table</span></summary>"));
    let wrong = page(&BTreeMap::from([("U1.scale".to_owned(), "no number".to_owned())]));
    assert_eq!(wrong.matches("<details class=\"entry-of-many\" open>").count(), 1);
    // A few entries need no folding.
    let values = pages::part_values(&shop.text, "turbocharger");
    let few = pages::parts_page(&shop.view(), "duty", &values, &values, &BTreeMap::new(), 1).expect("duty");
    assert!(!few.contains("entry-of-many"));
}

#[test]
fn flows_are_shown_as_the_bench_shows_them() {
    let shop = Shop::example("hill-climb-four");
    let parts = pages::sheet_parts(&shop.view(), Sheet::Head);
    let reading =
        shop.engine.readings.iter().rfind(|r| r.feature.starts_with("head.port_flow")).expect("read");
    let cell = &parts.cells[reading.feature.as_str()];
    // The ports were read before the seats were cut: the field is empty and shows what was read beside it.
    assert_eq!((cell.shown.as_str(), cell.flag.as_str()), ("", "stale"));
    assert_eq!(format!("{} ft3/min", cell.before), reading.text);
}

#[test]
fn a_corrected_reading_stays_beside_the_new_one() {
    let shop = Shop::document(
        "crosshatch = 2\n[layout]\narrangement = \"inline\"\ncylinders = 1\n\
         [[readings]]\nfeature = \"block.bore.1.top.thrust\"\nvalue = \"88.01 mm\"\n\
         [[readings]]\nfeature = \"block.bore.1.top.thrust\"\nvalue = \"88.10 mm\"\ncorrects = 1\n",
    );
    let cell = pages::sheet_parts(&shop.view(), Sheet::Bores).cells["block.bore.1.top.thrust"].clone();
    assert_eq!((cell.shown.as_str(), cell.struck), ("88.10", vec!["88.01".to_owned()]));
    let log = pages::readings_page(&shop.view(), "", &[], &pages::LogFilter::default());
    assert!(log.contains("corrected by no. 2") && log.contains("corrects no. 1") && log.contains("88.01 mm"));
}

#[test]
fn an_almost_empty_engine_says_what_to_do_first() {
    let shop = Shop::document("crosshatch = 2\n");
    let html = pages::engine_page(&shop.view(), f64::NAN);
    assert!(html.contains("Not proved: nothing is known yet"));
    assert!(html.contains("Read the bores"));
    assert!(pages::sheet_page(&shop.view(), Sheet::Bores).contains("Write the layout"));
    assert!(pages::finding_page(&shop.view(), "no_such/1").is_none());
    assert!(
        pages::parts_page(&shop.view(), "no_such", &BTreeMap::new(), &BTreeMap::new(), &BTreeMap::new(), 1)
            .is_none()
    );
}

#[test]
fn wrong_fields_are_named_beside_the_field() {
    let shop = Shop::document("crosshatch = 2\n");
    let values = BTreeMap::from([("bore".to_owned(), "89".to_owned())]);
    let errors = BTreeMap::from([("bore".to_owned(), "\"89\" has no unit".to_owned())]);
    let html = pages::parts_page(&shop.view(), "layout", &values, &values, &errors, 7).expect("layout");
    assert!(html.contains("value=\"89\"") && html.contains("has no unit"));
    assert!(html.contains("aria-invalid=\"true\"") && html.contains("name=\"based_on\" value=\"7\""));
}

#[test]
fn what_is_wrong_stands_at_the_top_with_a_way_to_its_field() {
    let shop = Shop::document("crosshatch = 2\n");
    let values = BTreeMap::from([("end_float.max".to_owned(), "0.2".to_owned())]);
    let errors = BTreeMap::from([
        ("end_float.max".to_owned(), "\"0.2\" has no unit".to_owned()),
        (String::new(), "layout.bore: smaller than nothing".to_owned()),
    ]);
    let html = pages::parts_page(&shop.view(), "limits", &values, &values, &errors, 7).expect("limits");
    let (summary, fields) = html.split_once("<form").expect("a form");
    assert!(summary.contains("2 fields need another look") && summary.contains("href=\"#end_float.max\""));
    assert!(
        summary.contains("End float of the crank, most")
            && summary.contains("layout.bore: smaller than nothing")
    );
    assert!(fields.contains("id=\"end_float.max\"") && fields.contains("value=\"0.2\""));
}

#[test]
fn forms_ask_in_the_order_of_the_document() {
    let shop = Shop::example("hill-climb-four");
    let html =
        pages::parts_page(&shop.view(), "crank", &BTreeMap::new(), &BTreeMap::new(), &BTreeMap::new(), 1)
            .expect("crank");
    let at = |name: &str| html.find(&format!("name=\"{name}\"")).unwrap_or_else(|| panic!("{name}"));
    assert!(at("main_journal.nominal") < at("pin_journal.nominal"));
    assert!(at("pin_journal.max") < at("web_thickness") && at("web_thickness") < at("loss_factor"));
}

#[test]
fn a_limit_that_stands_in_says_so_until_one_is_stated() {
    let shop = Shop::document("crosshatch = 2\n");
    let page = |values: &BTreeMap<String, String>| {
        pages::parts_page(&shop.view(), "limits", values, values, &BTreeMap::new(), 1).expect("limits")
    };
    let count = |html: &str| html.matches("class=\"stand-in\"").count();
    let empty = page(&BTreeMap::new());
    assert!(empty.contains("0.08 to 0.2 mm, common practice without a source"));
    let stated = page(&BTreeMap::from([("end_float.max".to_owned(), "0.15 mm".to_owned())]));
    assert_eq!(count(&stated) + 1, count(&empty));
}

#[test]
fn sizes_are_a_stage_of_the_job_and_say_what_is_missing() {
    let shop = Shop::example("hill-climb-four");
    let html = pages::parts_index(&shop.view());
    assert_eq!(html.matches("aria-current=\"page\"").count(), 1);
    assert!(html.contains("dome, pin offset"), "the pistons lack both");
    let tabs = pages::sheet_parts(&shop.view(), Sheet::Bores).tabs;
    assert!(tabs.contains("/engine/demo/parts"));
    // A number alone does not say what it counts.
    for words in tabs.split("<small").skip(1).filter_map(|t| t.split('>').nth(1)?.split('<').next()) {
        assert!(words.chars().any(char::is_alphabetic), "{words}");
        assert!(!words.ends_with(|c: char| c.is_ascii_digit()), "{words}");
    }
}

/// What a reader sees of a page: the text between the tags.
fn read_text(html: &str) -> String {
    html.split('<')
        .filter_map(|piece| piece.split_once('>'))
        .map(|(_, text)| text)
        .collect::<Vec<_>>()
        .join(" ")
}

#[test]
fn a_number_below_nothing_has_a_minus_sign() {
    let hyphened = |text: &str| {
        let letters: Vec<char> = text.chars().collect();
        letters.windows(3).any(|w| matches!(w[0], ' ' | '(' | '±') && w[1] == '-' && w[2].is_ascii_digit())
    };
    assert!(hyphened("predicted -0.08 mm") && !hyphened("on 2026-03-06"));
    for engine in ["hill-climb-four", "pushrod-v8"] {
        let shop = Shop::example(engine);
        let view = shop.view();
        let mut pages =
            vec![pages::engine_page(&view, 0.0), pages::fits_page(&view), pages::plan_page(&view)];
        pages.extend(Sheet::ALL.map(|sheet| pages::sheet_page(&view, sheet)));
        let text = pages.iter().map(|page| read_text(page)).collect::<String>();
        assert!(text.contains('\u{2212}'), "{engine}: something is below nothing");
        assert!(!hyphened(&text), "{engine}");
    }
}

#[test]
fn an_injector_is_read_in_a_unit_that_shows_its_digits() {
    let shop = Shop::example("hill-climb-four");
    let parts = pages::sheet_parts(&shop.view(), Sheet::Head);
    assert_eq!(parts.cells["fuel.injector_flow.3.2"].shown, "712");
    let page = pages::sheet_page(&shop.view(), Sheet::Head);
    let field = tags(&page, "input")
        .into_iter()
        .find(|tag| attribute(tag, "data-feature") == Some("fuel.injector_flow.3.2"))
        .expect("its field");
    assert_eq!(attribute(field, "data-unit"), Some("cm³/min"));
    // What is no length says its unit above the column; the title block says that of lengths.
    assert!(read_text(&page).contains("volume , cm³"), "chambers");
    assert!(read_text(&page).contains("Injectors on the bench , in cm³/min"), "injectors");
}

#[test]
fn the_answer_to_a_slip_is_the_number_that_was_asked_about() {
    let shop = Shop::example("pushrod-v8");
    let page = pages::sheet_page(&shop.view(), Sheet::Bearings);
    assert!(page.contains("did you mean 0.0026 in"), "the question");
    assert!(page.contains("data-value=\"0.0026\""), "and its answer, to the digits of the field");
}

#[test]
fn a_working_shows_what_was_read_and_how_it_was_brought_to_20_degrees() {
    let shop = Shop::example("hill-climb-four");
    let view = shop.view();
    let text = read_text(&pages::finding_page(&view, "bore_size/1").expect("a finding"));
    let reading = &shop.engine.readings.iter().find(|r| r.feature.starts_with("block.bore.1.")).expect("one");
    assert!(text.contains(&format!("no. {}: {}", reading.number, reading.text)), "{text}");
    assert!(text.contains(" °C") && text.contains("per K"), "temperature and expansion: {text}");
    for code in ["power_limit", "wall"] {
        for finding in shop.assessment.findings.iter().filter(|f| f.code == code) {
            let text = read_text(&pages::finding_page(&view, &finding.id).expect("a finding"));
            assert!(!text.contains("No limit is known"), "{}", finding.id);
        }
    }
}

#[test]
fn a_swept_volume_and_its_budget_are_in_one_unit() {
    let shop = Shop::example("pushrod-v8");
    let page = pages::finding_page(&shop.view(), "swept_volume/1").expect("a finding");
    let budget = page.split("What the uncertainty is made of").nth(1).expect("a budget");
    let text = read_text(budget);
    assert!(text.contains("in³") && !text.contains("cm³"), "{text}");
}

#[test]
fn the_log_is_folded_by_sheet_and_narrowed_by_part_place_and_state() {
    let shop = Shop::example("hill-climb-four");
    let log = |part: &str, what: &str, only: &str| {
        let filter = pages::LogFilter { part: part.to_owned(), what: what.to_owned(), only: only.to_owned() };
        pages::readings_page(&shop.view(), "", &[], &filter)
    };
    let rows = |html: &str| html.matches("<tr id=\"reading-").count();
    let all = log("", "", "");
    assert_eq!(rows(&all), shop.view().engine.readings.len());
    assert!(all.matches("<details class=\"log-group\">").count() > 3, "folded");
    let bores = log("bores", "", "");
    assert!(bores.contains("<details class=\"log-group\" open>"));
    assert!(rows(&bores) > 0 && rows(&bores) < rows(&all));
    let second = log("bores", "bore 2 thrust", "");
    assert!(rows(&second) > 0 && rows(&second) < rows(&bores));
    let of_second = shop
        .view()
        .engine
        .readings
        .iter()
        .filter(|r| r.feature.starts_with("block.bore.2.") && r.feature.ends_with("thrust"));
    assert_eq!(rows(&second), of_second.count());
    assert_eq!(rows(&log("", "no such place", "")), 0);
    let back = shop.view().engine.readings.iter().filter(|r| r.corrects.is_some()).count();
    assert!(rows(&log("", "", "back")) >= back.min(1));
}

/// On paper the boxes to fill in are a table: name, what is allowed, where it comes from.
#[test]
fn limits_are_printed_as_a_table() {
    let shop = Shop::example("hill-climb-four");
    let (values, none) = (pages::part_values(&shop.text, "limits"), BTreeMap::new());
    let html = pages::parts_page(&shop.view(), "limits", &values, &values, &none, 1).expect("limits");
    let row =
        html.split("<tr>").find(|row| row.contains(">Taper of a bore over its length<")).expect("a row");
    assert!(row.contains("at most 0.010 mm") && row.contains("builder: machining order"), "{row}");
}

/// What a bore must not exceed stands beside what was read, on the drawing's list too.
#[test]
fn the_engine_sheet_says_what_is_allowed() {
    let html = pages::engine_page(&Shop::example("hill-climb-four").view(), 0.0);
    let item = html
        .split("<li class=\"finding")
        .skip(1)
        .find(|item| item.contains("Bore 2, taper"))
        .expect("listed");
    assert!(
        item.contains("0.021 \u{b1} 0.002 mm</span>, <span class=\"value-of quiet\">at most 0.010 mm"),
        "{item}"
    );
}

/// A place that was read before a cut says why it is asked for again.
#[test]
fn a_row_that_a_cut_made_stale_names_the_cut() {
    let html = pages::sheet_page(&Shop::example("hill-climb-four").view(), Sheet::Head);
    assert!(html.contains("7 readings to go, read before the seat cut"));
}

#[test]
fn limits_are_folded_by_part_and_each_has_a_part() {
    let shop = Shop::example("hill-climb-four");
    let (values, none) = (BTreeMap::new(), BTreeMap::new());
    let html = pages::parts_page(&shop.view(), "limits", &values, &values, &none, 1).expect("limits");
    let groups = html.matches("<details class=\"limit-group\">").count();
    assert!(groups >= 6, "folded");
    assert_eq!(
        html.matches("type=\"submit\">Keep</button>").count(),
        groups + 1,
        "one near each part, one at the foot"
    );
    for limit in [
        "bore_taper",
        "main_clearance",
        "rod_length",
        "top_ring_gap",
        "quench",
        "guide_intake",
        "head_restrictor",
    ] {
        assert_eq!(html.matches(&format!("name=\"{limit}.max\"")).count(), 1, "{limit}");
    }
    let wrong = BTreeMap::from([("quench.min".to_owned(), "is no length".to_owned())]);
    let html = pages::parts_page(&shop.view(), "limits", &values, &values, &wrong, 1).expect("limits");
    assert_eq!(html.matches("<details class=\"limit-group\" open>").count(), 1, "what is wrong stands open");
}

#[test]
fn a_printed_page_says_what_it_was_made_from_and_when() {
    let shop = Shop::example("hill-climb-four");
    let html = pages::plan_page(&shop.view());
    assert!(html.contains("2026-11-26 21:44"), "when it was made");
    let css = pages::asset("crosshatch.css").expect("the style");
    let css = String::from_utf8_lossy(css.0);
    assert!(css.contains("counter(page)") && css.contains("counter(pages)"));
}

/// The demo four with one column of its readings emptied.
fn four_without(column: &str) -> Shop {
    let path = format!("{}/../../examples/hill-climb-four", env!("CARGO_MANIFEST_DIR"));
    let text = fs::read_to_string(format!("{path}.toml")).expect("example");
    let csv = fs::read_to_string(format!("{path}.readings.csv")).expect("readings");
    let head: Vec<&str> = csv.lines().next().expect("a head").split(',').collect();
    let place = head.iter().position(|name| *name == column).expect("the column");
    let lines = csv.lines().enumerate().map(|(i, line)| {
        let mut fields: Vec<&str> = line.splitn(head.len(), ',').collect();
        if i > 0 {
            fields[place] = "";
        }
        fields.join(",") + "\n"
    });
    let parsed = parse_with_readings(&text, "four", &lines.collect::<String>(), "readings");
    Shop::of(Engine::new(parsed.document.expect("a document"), Vec::new(), Vec::new()), text)
}

#[test]
fn uncertain_findings_with_one_cause_stand_folded_under_it_and_none_that_stops_does() {
    let shop = four_without("instrument");
    let html = pages::engine_page(&shop.view(), 0.0);
    let folded: Vec<&str> = html
        .split("<li class=\"one-cause\"")
        .skip(1)
        .filter_map(|rest| rest.split("</details>").next())
        .collect();
    assert!(!folded.is_empty());
    let gauges = folded.iter().find(|group| group.contains("the gauge is not named")).expect("the cause");
    let items = gauges.matches("class=\"finding\"").count();
    assert!(items >= 8, "ring side clearances and more: {items}");
    assert!(gauges.contains(&format!(">{items} uncertain</b>")), "the line says how many");
    assert!(folded.iter().all(|group| !group.contains("class=\"finding bad\"")));
    // Every number once, in order, as the balloons have them.
    let numbers: Vec<usize> = html
        .split("data-number=\"")
        .skip(1)
        .filter_map(|rest| rest.split('"').next()?.parse().ok())
        .collect();
    let tally = shop.assessment.tally();
    assert_eq!(numbers, (1..=tally.stop + tally.uncertain + tally.marginal).collect::<Vec<_>>());
    let stops = html.matches("class=\"finding bad\"").count();
    assert_eq!(stops, tally.stop);
}

#[test]
fn a_table_that_nothing_asks_for_is_no_empty_table_but_says_what_to_state() {
    let kind = "I2".parse().expect("a layout");
    let text = engine::document::new_document(kind, "Twin", engine::quantity::UnitSystem::Metric);
    let page = |text: &str, sheet| {
        let shop = Shop::document(text);
        pages::sheet_page(&shop.view(), sheet)
    };
    let head = page(&text, Sheet::Head);
    assert!(!head.contains("data-feature=\"block.deck_roughness.a\"") && !head.contains("id=\"restrictor\""));
    assert!(head.contains("href=\"/engine/demo/parts/limits#face_roughness.max\""));
    assert!(head.contains("href=\"/engine/demo/parts/fuel#injectors\""));
    assert!(page(&text, Sheet::Rods).contains("parts/limits#rod_bolt_stretch.min"));
    // Once its limit is stated, the table stands there.
    let stated =
        text.replace("[limits]", "[limits]\nface_roughness = { max = \"12 um\", origin = \"part_maker\" }");
    assert_ne!(stated, text);
    let head = page(&stated, Sheet::Head);
    assert!(
        head.contains("data-feature=\"block.deck_roughness.a\"") && !head.contains("limits#face_roughness")
    );
    // And where somebody has read it without one.
    let read = format!("{text}\n[[readings]]\nfeature = \"head.restrictor.a\"\nvalue = \"1.5 mm\"\n");
    assert!(page(&read, Sheet::Head).contains("id=\"restrictor\""));
    // Without valves the sheet of valves says so, and nothing of how the lash is set.
    let bare = page("crosshatch = 2\n[layout]\narrangement = \"inline\"\ncylinders = 2\n", Sheet::Valves);
    assert!(bare.contains("parts/layout#intake_valves"));
    // The demo states all of it.
    let shop = Shop::example("hill-climb-four");
    for sheet in Sheet::ALL {
        let html = pages::sheet_page(&shop.view(), sheet);
        assert!(!html.contains("Not asked for yet"), "{}", sheet.title());
    }
}

#[test]
fn a_sheet_with_an_open_question_says_so() {
    let shop = Shop::example("hill-climb-four");
    let tabs = pages::sheet_parts(&shop.view(), Sheet::Rods).tabs;
    let rods = tabs.split("/sheet/rods\"").nth(1).and_then(|rest| rest.split("</a>").next()).expect("rods");
    assert!(rods.contains("1 question open"), "{rods}");
}

#[test]
fn nothing_is_said_to_be_done_before_anything_is_judged() {
    let kind = "I2".parse().expect("a layout");
    let text = engine::document::new_document(kind, "Twin", engine::quantity::UnitSystem::Metric);
    let plan = |text: &str| pages::plan_page(&Shop::document(text).view());
    let unread = plan(&text);
    assert!(unread.contains(">read first</small>") && !unread.contains("nothing to do"));
    assert!(!unread.contains("Nothing to cut") && unread.contains("Nothing is judged yet"));
    let begun = format!("{text}\n[[readings]]\nfeature = \"block.bore.1.top.thrust\"\nvalue = \"80 mm\"\n");
    assert!(plan(&begun).contains(">nothing yet</small>"));
    let judged = "crosshatch = 2\n[layout]\narrangement = \"inline\"\ncylinders = 1\n[limits]\n\
                  end_float = { min = \"0.05 mm\", max = \"0.20 mm\", origin = \"part_maker\" }\n\
                  [instruments.D1]\nkind = \"dial_indicator\"\nresolution = \"0.01 mm\"\n\
                  [[readings]]\nfeature = \"crank.end_float\"\nvalue = \"0.12 mm\"\ninstrument = \"D1\"\n\
                  temperature = \"20 degC\"\n";
    let html = plan(judged);
    assert!(html.contains(">nothing to do</small>"), "{}", read_text(&html));
}

/// No gauge is taken at once that cannot reach the size: 5 to 35 mm is not for a big end of 49.5 mm.
#[test]
fn the_gauge_that_stands_first_reaches_the_size() {
    let shop = Shop::example("hill-climb-four");
    let engine = &shop.engine;
    let mut judged = 0;
    for sheet in Sheet::ALL {
        let html = pages::sheet_page(&shop.view(), sheet);
        for table in engine.catalogue.tables_of(sheet) {
            let Some(part) = html
                .split("<section class=\"table-part\"")
                .find(|p| p.starts_with(&format!(" id=\"{}\"", table.id)))
            else {
                continue;
            };
            let offered = part.split("</select>").next().unwrap_or_default();
            let offered = offered.split("<optgroup").next().unwrap_or_default();
            for name in offered.split("<option value=\"").skip(2).filter_map(|o| o.split('"').next()) {
                let gauge = &engine.document.instruments[name];
                let places = engine.catalogue.features_of(table).filter(|f| f.settles.contains(&gauge.kind));
                let reaches = |f| engine::sizes::reach(gauge, f) != engine::sizes::Reach::Outside;
                assert!(places.into_iter().any(reaches), "{}: {name}", table.id);
                judged += 1;
            }
        }
    }
    assert!(judged > 20, "only {judged}");
}
