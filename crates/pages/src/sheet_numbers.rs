//! Numbers and names of the sheets, as the title block has them.

use engine::features::Sheet;

/// Name of a reading sheet in the title block: "no. 4, Bores". The engine sheet is no. 1, the specification no. 2.
pub(crate) fn numbered(sheet: Sheet) -> String {
    let number = Sheet::ALL.iter().position(|s| *s == sheet).map_or(0, |i| i + 3);
    format!("no. {number}, {}", sheet.title())
}

/// Name of a page about power in the title block: "no. 12, Power: What goes in".
pub(crate) fn numbered_power(page: &str) -> String {
    if page.is_empty() { "no. 12, Power".to_owned() } else { format!("no. 12, Power: {page}") }
}
