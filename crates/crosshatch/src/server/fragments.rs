//! Fragments of sheets that were made last, so that what changed can be told from what did not.

use crate::workbench::Assessed;
use engine::features::Sheet;
use pages::SheetParts;
use serde_json::{Map, Value, json};
use std::collections::HashMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// The parts of one sheet at one moment, made by the first who asks while the others wait for it.
pub(super) type Made = Arc<OnceLock<SheetParts>>;

/// An engine at one moment, and a sheet of it.
type Moment = (Arc<Assessed>, Sheet, Made);

/// The last few moments of each engine.
#[derive(Debug, Default)]
pub(super) struct Fragments {
    made: Mutex<HashMap<String, Vec<Moment>>>,
}

/// Moments kept of one engine: the newest and the one before, for each sheet that is open somewhere.
const KEPT: usize = 16;

impl Fragments {
    /// The place for the parts of a sheet at one moment; empty until somebody makes them.
    pub(super) fn place(&self, moment: &Arc<Assessed>, sheet: Sheet) -> Made {
        let mut made = self.made.lock().unwrap_or_else(PoisonError::into_inner);
        let of_engine = made.entry(moment.id.clone()).or_default();
        if let Some((_, _, made)) = of_engine.iter().find(|(a, s, _)| Arc::ptr_eq(a, moment) && *s == sheet) {
            return Arc::clone(made);
        }
        let place = Made::default();
        of_engine.insert(0, (Arc::clone(moment), sheet, Arc::clone(&place)));
        let oldest = of_engine.split_off(KEPT.min(of_engine.len()));
        drop(made);
        // An engine with all its findings takes a while to be let go: whoever asked for this one does not wait for it.
        if !oldest.is_empty() {
            tokio::task::spawn_blocking(move || drop(oldest));
        }
        place
    }
}

/// All of it, or what differs from `before`.
pub(super) fn changed(parts: &SheetParts, before: Option<&SheetParts>) -> Map<String, Value> {
    let rows: Map<String, Value> = parts
        .rows
        .iter()
        .filter(|(key, html)| before.is_none_or(|b| b.rows.get(*key) != Some(*html)))
        .map(|(key, html)| (key.clone(), json!(html)))
        .collect();
    let cells: Map<String, Value> = parts
        .cells
        .iter()
        .filter(|(feature, cell)| before.is_none_or(|b| b.cells.get(*feature) != Some(*cell)))
        .map(|(feature, cell)| (feature.clone(), json!(cell)))
        .collect();
    let mut out = Map::new();
    out.insert("rows".to_owned(), Value::Object(rows));
    out.insert("cells".to_owned(), Value::Object(cells));
    out.insert("tabs".to_owned(), json!(parts.tabs));
    out.insert("foot".to_owned(), json!(parts.foot));
    out.insert("edition".to_owned(), json!(parts.edition));
    out.insert("last".to_owned(), json!(parts.last));
    out
}
