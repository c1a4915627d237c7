//! A type for each dimension, so that a document field says what it holds and the schema knows it.

use super::print::{UnitSystem, display_unit, format_fixed};
use super::units::{Dimension, QuantityError, parse_quantity};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};
use std::borrow::Cow;

/// What all typed quantities share.
pub trait Quantity: Copy {
    /// What it measures.
    const DIMENSION: Dimension;
    /// The SI value.
    fn si(self) -> f64;
    /// From an SI value.
    fn from_si(value: f64) -> Self;
}

/// Reads a typed quantity from text such as `"88.012 mm"`.
///
/// # Errors
/// As [`parse_quantity`].
pub fn parse_typed<Q: Quantity>(text: &str) -> Result<Q, QuantityError> {
    parse_quantity(text, Q::DIMENSION).map(|(value, _)| Q::from_si(value))
}

/// An amount of money may stand alone: the shop says its currency, and the check of the document that it does.
fn bare_amount<Q: Quantity>(text: &str, error: QuantityError) -> Result<Q, QuantityError> {
    match error {
        QuantityError::BareNumber { expected: Dimension::Money, .. } => {
            parse_typed(&format!("{text} {}", display_unit(Dimension::Money, UnitSystem::Metric).symbol))
        }
        other => Err(other),
    }
}

/// What a person writes there, for the schema.
fn described(dimension: Dimension) -> String {
    let word = dimension.word().replace('_', " ");
    let article = if word.starts_with(['a', 'e', 'i', 'o', 'u']) { "An" } else { "A" };
    format!("{article} {word} with its unit, such as {}", dimension.example())
}

macro_rules! quantities {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(pub f64);

        impl Quantity for $name {
            const DIMENSION: Dimension = Dimension::$name;
            fn si(self) -> f64 { self.0 }
            fn from_si(value: f64) -> Self { Self(value) }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let text = Cow::<'de, str>::deserialize(deserializer)?;
                parse_typed(&text).or_else(|error| bare_amount(&text, error)).map_err(D::Error::custom)
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                let unit = display_unit(Dimension::$name, UnitSystem::Metric);
                let number = format_fixed((self.0 - unit.offset) / unit.factor, 6);
                let number = if number.contains('.') { number.trim_end_matches('0').trim_end_matches('.') } else { &number };
                serializer.serialize_str(format!("{number} {}", unit.symbol).trim_end())
            }
        }

        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> { stringify!($name).into() }
            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!({
                    "type": "string",
                    "x-quantity": Dimension::$name.word(),
                    "description": described(Dimension::$name),
                })
            }
            fn inline_schema() -> bool { false }
        }
    )+};
}

quantities! {
    /// m
    Length,
    /// m, a surface value
    Roughness,
    /// m³
    Volume,
    /// kg
    Mass,
    /// rad
    Angle,
    /// Pa
    Pressure,
    /// N
    Force,
    /// N/m
    Stiffness,
    /// K, absolute
    Temperature,
    /// K, a difference
    TemperatureDifference,
    /// rev/s
    Speed,
    /// N·m
    Torque,
    /// W
    Power,
    /// m³/s
    VolumeFlow,
    /// kg/s
    MassFlow,
    /// m²
    Area,
    /// m³/rev
    Displacement,
    /// kg·m²
    Inertia,
    /// N·m/rad
    TorsionalStiffness,
    /// 1/K
    Expansion,
    /// Brinell
    Hardness,
    /// plain ratio
    Ratio,
    /// s
    Time,
    /// amount in the currency of the shop
    Money,
}
