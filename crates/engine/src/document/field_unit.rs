//! The unit that a number alone takes in a field of the document.

use crate::quantity::{Dimension, Unit, UnitSystem, display_unit, find_unit, parse_quantity};

/// Units in which the trade writes a field where they are not those of its dimension: last keys, metric, inch (common practice,
/// no source).
const WRITTEN_IN: &[(&str, &str, &str)] = &[
    ("fasteners.*.proof_stress", "MPa", "psi"),
    ("flow_bench.depression", "inH2O", "inH2O"),
    ("flow_bench.*.flow", "L/min", "ft3/min"),
    ("fuel.injector_flow", "cm³/min", "cm³/min"),
    ("oil.sump", "L", "L"),
    ("intake.plenum", "L", "in³"),
    ("crank.mass", "kg", "lb"),
];

/// The unit that a number alone takes at `path` (dotted, as of the document): that of what `stands` there, so that a figure
/// typed over another keeps its unit; else the one in which the trade writes it; else that of the dimension.
pub fn field_unit(
    path: &str,
    stands: Option<&str>,
    dimension: Dimension,
    units: UnitSystem,
) -> &'static Unit {
    stands
        .and_then(|text| unit_behind(text, dimension))
        .or_else(|| trade_unit(path, dimension, units))
        .unwrap_or_else(|| display_unit(dimension, units))
}

/// The unit of the last entry of what stands in a field.
fn unit_behind(text: &str, dimension: Dimension) -> Option<&'static Unit> {
    let last = text.rsplit([',', ';']).map(str::trim).find(|entry| !entry.is_empty())?;
    parse_quantity(last, dimension).ok().map(|(_, unit)| unit)
}

fn trade_unit(path: &str, dimension: Dimension, units: UnitSystem) -> Option<&'static Unit> {
    let (_, metric, inch) = WRITTEN_IN.iter().find(|(pattern, _, _)| matches(pattern, path))?;
    find_unit(if units == UnitSystem::Inch { inch } else { metric }, dimension)
}

/// Does the path go by the pattern, in which `*` is any one key?
fn matches(pattern: &str, path: &str) -> bool {
    let (mut wanted, mut keys) = (pattern.split('.'), path.split('.'));
    loop {
        match (wanted.next(), keys.next()) {
            (None, None) => return true,
            (Some(w), Some(k)) if w == "*" || w == k => {}
            _ => return false,
        }
    }
}
