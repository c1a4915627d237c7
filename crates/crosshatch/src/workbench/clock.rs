//! The one place that asks the clock.

use jiff::{Timestamp, Unit};

/// Now, as RFC 3339 in UTC, to the second.
pub fn now() -> String {
    let now = Timestamp::now();
    now.round(Unit::Second).unwrap_or(now).to_string()
}
