//! Writes all pages of an engine into a folder, to look at them without a server:
//! `cargo run -p pages --example render -- examples/hill-climb-four.toml target/pages`

use engine::document::{parse_document, parse_with_readings};
use engine::features::Sheet;
use engine::{Engine, assess, plan};
use pages::View;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

fn main() -> std::io::Result<()> {
    let mut arguments = std::env::args().skip(1);
    let document =
        PathBuf::from(arguments.next().unwrap_or_else(|| "examples/hill-climb-four.toml".to_owned()));
    let folder = PathBuf::from(arguments.next().unwrap_or_else(|| "target/pages".to_owned()));
    fs::create_dir_all(folder.join("static"))?;
    for name in [
        "crosshatch.css",
        "sheet.js",
        "queue.js",
        "engine.js",
        "plot.js",
        "form.js",
        "b612-regular.woff2",
        "b612-bold.woff2",
        "favicon.svg",
    ] {
        if let Some((bytes, _)) = pages::asset(name) {
            fs::write(folder.join("static").join(name), bytes)?;
        }
    }
    let text = fs::read_to_string(&document)?;
    let readings = document.with_extension("readings.csv");
    let parsed = match fs::read_to_string(&readings) {
        Ok(csv) => parse_with_readings(&text, &document.to_string_lossy(), &csv, &readings.to_string_lossy()),
        Err(_) => parse_document(&text, &document.to_string_lossy()),
    };
    let engine = Engine::new(parsed.document.unwrap_or_default(), Vec::new(), Vec::new());
    write_all(&engine, &text, &folder)
}

fn write_all(engine: &Engine, text: &str, folder: &Path) -> std::io::Result<()> {
    let assessment = assess(engine);
    let plan = plan(engine, &assessment);
    let proposed = engine::document::proposed(text);
    let view = View {
        made: pages::Minute::default(),
        moment: "",
        power: "not run",
        id: "demo",
        proposed: &proposed,
        given: &pages::given_words(&engine.document, &proposed),
        engine,
        assessment: &assessment,
        plan: &plan,
        token: "token",
        who: "",
        notice: None,
    };
    let save = |name: &str, html: String| {
        let html = html.replace("/static/", "static/").replace("?v=", "?");
        fs::write(folder.join(format!("{name}.html")), html)
    };
    save("engine", pages::engine_page(&view, 0.0))?;
    for sheet in Sheet::ALL {
        save(sheet.id(), pages::sheet_page(&view, sheet))?;
    }
    save("fits", pages::fits_page(&view))?;
    save("plan", pages::plan_page(&view))?;
    save("readings", pages::readings_page(&view, "The chain verifies.", &[], &pages::LogFilter::default()))?;
    save("parts", pages::parts_index(&view))?;
    for section in ["layout", "limits", "rod_shells", "instruments", "intake"] {
        let values = pages::part_values(text, section);
        save(
            &format!("parts-{section}"),
            pages::parts_page(&view, section, &values, &values, &BTreeMap::new(), 1).unwrap_or_default(),
        )?;
    }
    let problem = pages::Diagnostic {
        error: true,
        line: Some(32),
        column: Some(8),
        message: "\"89.1\" has no unit: write a length such as \"88.012 mm\"".to_owned(),
        help: Some("Write the unit beside the number.".to_owned()),
    };
    save("document", pages::document_page(&view, text, &[problem], &[], 3))?;
    if let Some(finding) = assessment.findings.first() {
        save("finding", pages::finding_page(&view, &finding.id).unwrap_or_default())?;
    }
    let entry = |name: &str, words: &str| pages::ShelfEntry {
        away: false,
        id: name.to_owned(),
        name: name.to_owned(),
        invented: true,
        layout: "inline 4, 2093 cm\u{b3}".to_owned(),
        words: words.to_owned(),
        changed: String::new(),
    };
    let shelf = [entry("Hill-climb four", "5 stop the build"), entry("Pushrod V8", "3 stop the build")];
    save("shelf", pages::shelf_page("token", &shelf, None))?;
    save("new", pages::new_page("token", &engine::document::NewEngine::default(), &shelf, &BTreeMap::new()))?;
    save(
        "error",
        pages::error_page(
            404,
            "No such sheet",
            &["There is no sheet \"boers\".".to_owned()],
            &[("/".to_owned(), "Shelf".to_owned())],
        ),
    )
}
