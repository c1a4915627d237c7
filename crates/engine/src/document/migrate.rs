//! Older format versions, brought up to today's one step at a time. Comments and order stay.

use super::model::FORMAT_VERSION;
use toml_edit::{DocumentMut, Item, TableLike};

/// One step: from its version to the next.
struct Step {
    /// Version it starts from.
    from: u32,
    /// What it changes, for the person.
    what: &'static str,
    /// The change.
    run: fn(&mut DocumentMut),
}

/// Every step, in order. Add one here whenever [`FORMAT_VERSION`] goes up.
const STEPS: &[Step] = &[
    Step { from: 0, what: "`bore_finish` in [layout] is now called `bore`", run: bore_finish_is_bore },
    Step {
        from: 1,
        what: "`boost_target`, `boost_speed` and `boost` in [turbocharger] are absolute pressures of the plenum and are now called so",
        run: boost_is_plenum_pressure,
    },
];

/// What came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Migrated {
    /// Version of the file.
    pub from: u32,
    /// The text in today's version.
    pub text: String,
    /// What was changed.
    pub changes: Vec<&'static str>,
}

/// Brings a text of version `from` to today's.
pub(super) fn migrate(document: DocumentMut, from: u32) -> Migrated {
    let mut document = document;
    let mut changes = Vec::new();
    for step in STEPS.iter().filter(|step| step.from >= from) {
        (step.run)(&mut document);
        changes.push(step.what);
    }
    set_version(&mut document);
    Migrated { from, text: document.to_string(), changes }
}

fn set_version(document: &mut DocumentMut) {
    if let Some(value) = document.get_mut("crosshatch").and_then(Item::as_value_mut) {
        let decor = value.decor().clone();
        *value = i64::from(FORMAT_VERSION).into();
        *value.decor_mut() = decor;
    }
}

/// Version 0 called the bore of the finished engine `bore_finish`.
fn bore_finish_is_bore(document: &mut DocumentMut) {
    if let Some(layout) = document.get_mut("layout").and_then(Item::as_table_like_mut) {
        rename(layout, "bore_finish", "bore");
    }
}

/// Version 1 called absolute pressures of the plenum boost.
fn boost_is_plenum_pressure(document: &mut DocumentMut) {
    if let Some(table) = document.get_mut("turbocharger").and_then(Item::as_table_like_mut) {
        rename(table, "boost_target", "plenum_pressure");
        rename(table, "boost_speed", "plenum_pressure_speed");
        rename(table, "boost", "plenum_pressure_at_speed");
    }
}

/// Renames a key where it stands, unless the new name is taken.
fn rename(table: &mut dyn TableLike, old: &str, new: &str) {
    if table.contains_key(new) || !table.contains_key(old) {
        return;
    }
    // toml_edit keeps the order of insertion: take all out and put them back under their names.
    let keys: Vec<toml_edit::Key> = table.iter().filter_map(|(key, _)| table.key(key).cloned()).collect();
    for key in keys {
        let Some(item) = table.remove(key.get()) else { continue };
        let key = if key.get() == old {
            toml_edit::Key::new(new)
                .with_leaf_decor(key.leaf_decor().clone())
                .with_dotted_decor(key.dotted_decor().clone())
        } else {
            key
        };
        table.entry_format(&key).or_insert(item);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_is_one_step_for_each_version() {
        assert!(STEPS.iter().map(|step| step.from).eq(0..FORMAT_VERSION));
    }
}
