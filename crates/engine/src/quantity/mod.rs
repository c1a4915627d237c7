//! Quantities with units: parsed and printed only here, at the edge. Inside, everything is SI `f64`.

mod phrase;
mod print;
mod spelling;
mod typed;
mod units;

pub use phrase::{Phrase, Piece, counted, phrase_list};
pub use print::{
    UnitSystem, decimals_for, display_unit, display_unit_at, format_fixed, format_money, format_value,
    format_value_beside, format_with_uncertainty, shown_uncertainty,
};
pub use spelling::{find_unit, find_unit_of_any, spellings_pattern, spellings_taken};
pub use typed::{
    Angle, Area, Displacement, Expansion, Force, Hardness, Inertia, Length, Mass, MassFlow, Money, Power,
    Pressure, Quantity, Ratio, Roughness, Speed, Stiffness, Temperature, TemperatureDifference, Time, Torque,
    TorsionalStiffness, Volume, VolumeFlow, parse_typed,
};
pub use units::{Dimension, QuantityError, UNITS, Unit, has_exponent, parse_quantity, units_of};
