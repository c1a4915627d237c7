//! Length at the standard reference temperature of 20 °C (ISO 1:2022).

use super::Uncertain;

/// Standard reference temperature of ISO 1: 20 °C in kelvin.
pub const REFERENCE_TEMPERATURE: f64 = 293.15;

/// Length at 20 °C of a part that was read at another temperature.
///
/// `L₂₀ = L / (1 + α (T − T₀))`, T₀ = 293.15 K; partial derivatives `L₂₀/L`, `−L₂₀ (T − T₀)/(1 + …)`, `−L₂₀ α/(1 + …)`.
/// `length` in any unit of length, `expansion` in 1/K (mean from 20 °C), `temperature` in K. Valid for one body
/// at one temperature that the gauge does not share: see [`at_reference_by_gauge`] for a gauge that expands too.
/// Example: 86 mm of steel (11.5e-6/K) 10 K above reads 9.89 µm long. First order: at T = T₀ the
/// uncertainty of α drops out.
pub fn at_reference(length: &Uncertain, expansion: &Uncertain, temperature: &Uncertain) -> Uncertain {
    let rise = temperature.value() - REFERENCE_TEMPERATURE;
    let growth = 1.0 + expansion.value() * rise;
    let reference = length.value() / growth;
    Uncertain::propagate(
        reference,
        &[
            (1.0 / growth, length),
            (-reference * rise / growth, expansion),
            (-reference * expansion.value() / growth, temperature),
        ],
    )
}

/// Length at another temperature of a part whose length at 20 °C is known: `L = L₂₀ (1 + α (T − T₀))`.
///
/// Units as in [`at_reference`]. Free expansion of an unloaded body at one temperature; it says nothing
/// of a hot running clearance.
pub fn at_temperature(reference: &Uncertain, expansion: &Uncertain, temperature: &Uncertain) -> Uncertain {
    let rise = temperature.value() - REFERENCE_TEMPERATURE;
    let growth = 1.0 + expansion.value() * rise;
    Uncertain::propagate(
        reference.value() * growth,
        &[
            (growth, reference),
            (reference.value() * rise, expansion),
            (reference.value() * expansion.value(), temperature),
        ],
    )
}

/// Length at 20 °C of a part from what a gauge shows that is true at 20 °C and expands as well.
///
/// `L₂₀ = reading · (1 + αg (Tg − T₀)) / (1 + αp (Tp − T₀))`. Hand the same [`Uncertain`] for both
/// temperatures when one thermometer served both: the shared part cancels by itself.
/// Example: 90 mm of aluminium (21e-6/K) at 26 °C reads 7.20 µm long on a steel (11.5e-6/K) scale at 24 °C.
pub fn at_reference_by_gauge(
    reading: &Uncertain,
    gauge_expansion: &Uncertain,
    gauge_temperature: &Uncertain,
    part_expansion: &Uncertain,
    part_temperature: &Uncertain,
) -> Uncertain {
    let true_at_part = at_temperature(reading, gauge_expansion, gauge_temperature);
    at_reference(&true_at_part, part_expansion, part_temperature)
}
