//! The two invented engines that a new folder starts with.

use super::Workbench;
use super::clock::now;
use super::error::{Error, Result};
use engine::document::parse_document;
use store::DocumentDraft;

/// A demo engine: id, document, readings.
struct Demo {
    id: &'static str,
    document: &'static str,
    readings: &'static str,
}

const DEMOS: [Demo; 2] = [
    Demo {
        id: "hill-climb-four",
        document: include_str!("../../../../examples/hill-climb-four.toml"),
        readings: include_str!("../../../../examples/hill-climb-four.readings.csv"),
    },
    Demo {
        id: "pushrod-v8",
        document: include_str!("../../../../examples/pushrod-v8.toml"),
        readings: include_str!("../../../../examples/pushrod-v8.readings.csv"),
    },
];

/// Set when the demo engines were loaded, so that a folder gets them once.
const LOADED: &str = "demo_loaded";

/// Loads what is missing of the demo into a folder that is new, or whose first start broke off.
pub(super) fn load(bench: &Workbench) -> Result<()> {
    if bench.store().setting(LOADED)?.is_some() {
        return Ok(());
    }
    for demo in &DEMOS {
        load_one(bench, demo)?;
    }
    Ok(bench.store().set_setting(LOADED, Some("1"))?)
}

fn load_one(bench: &Workbench, demo: &Demo) -> Result<()> {
    let file = format!("{}.toml", demo.id);
    let parsed = parse_document(demo.document, &file);
    let Some(document) = parsed.document else { return Err(Error::Document(parsed.diagnostics)) };
    let (store, when) = (bench.store(), now());
    match store.create_engine(demo.id, &document.engine.name, &when) {
        Ok(_) | Err(store::Error::EngineExists { .. }) => {}
        Err(error) => return Err(error.into()),
    }
    if store.latest_document(demo.id)?.is_none() {
        let draft = DocumentDraft {
            text: demo.document.to_owned(),
            who: "Crosshatch".to_owned(),
            when,
            note: "invented example".to_owned(),
        };
        store.save_document(demo.id, None, draft)?;
    }
    // Rows that are there from a start that broke off are not added again.
    bench.import_csv(demo.id, demo.readings, &format!("{}.readings.csv", demo.id))?;
    Ok(())
}
