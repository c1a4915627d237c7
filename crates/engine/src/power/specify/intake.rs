//! Plenum, throttle, restrictor.

use super::Builder;
use crate::findings::boosted;
use crate::power::specification::Group;
use gas_exchange::turbocharger::Restrictor;
use gas_exchange::whole_engine::IntakeSpec;
use std::f64::consts::PI;

/// State of the charge that the duty states and no figure of power rests on, with where the figure that counts belongs.
pub(super) fn unused_state(b: &mut Builder<'_>) {
    let document = b.bench.document();
    let (duty, turbocharger) = (&document.duty, document.turbocharger.as_ref());
    if duty.intake_temperature.is_some() && turbocharger.is_none_or(|t| t.cooler.is_none()) {
        b.leaves_unused(
            "duty.intake_temperature",
            "it only goes with the intercooler of a turbocharger; power is computed from the temperature of the air outside",
            "duty.ambient_temperature",
        );
    }
    if duty.intake_pressure.is_some() {
        let (why, counts) = match turbocharger {
            Some(_) => ("power is computed from the pressure aimed at", "turbocharger.plenum_pressure"),
            None if boosted(document) => (
                "no turbocharger is described, so power is computed without boost, from the pressure of the air outside",
                "duty.ambient_pressure",
            ),
            None => ("power is computed from the pressure of the air outside", "duty.ambient_pressure"),
        };
        b.leaves_unused("duty.intake_pressure", why, counts);
    }
}

/// The intake beyond the runners.
pub(super) fn intake(b: &mut Builder<'_>) -> Option<IntakeSpec> {
    let document = b.bench.document();
    let intake = &document.intake;
    let plenum = intake.plenum.and_then(|v| b.stated(Group::Intake, "plenum", "intake.plenum", Some(v)));
    if plenum.is_none() && document.turbocharger.is_some() {
        b.lacks("plenum", "intake.plenum", false);
    }
    let throttle = if intake.throttle.is_some() {
        let diameter = b.stated(Group::Intake, "throttle", "intake.throttle", intake.throttle)?;
        let coefficient = b.stated_or(
            Group::Intake,
            "discharge coefficient of the open throttle",
            "intake.throttle_coefficient",
            intake.throttle_coefficient,
            0.9,
        );
        // Before a plenum all throttles count together; without one each runner has its own.
        let count = if plenum.is_some() { f64::from(intake.throttles.unwrap_or(1).max(1)) } else { 1.0 };
        Some(0.25 * PI * diameter * diameter * coefficient * count)
    } else {
        b.leaves_out("throttle", &["intake.throttle"], "");
        None
    };
    let restrictor = intake.restrictor.and_then(|diameter| {
        b.stated(Group::Intake, "restrictor", "intake.restrictor", Some(diameter));
        let coefficient = b.stated_or(
            Group::Intake,
            "discharge coefficient of the restrictor",
            "intake.restrictor_coefficient",
            intake.restrictor_coefficient,
            0.97,
        );
        match Restrictor::new(diameter.0, coefficient) {
            Ok(restrictor) => Some(restrictor.effective_area()),
            Err(error) => {
                b.problem("intake.restrictor", error);
                None
            }
        }
    });
    let mouth = b.stated_or(
        Group::Intake,
        "discharge coefficient of a runner's mouth",
        "intake.mouth",
        intake.mouth,
        0.95,
    );
    let end_correction = b.stated_or(
        Group::Intake,
        "end correction of a runner's mouth, radii (Levine and Schwinger, 1948, plain pipe)",
        "intake.end_correction",
        intake.end_correction,
        0.6133,
    );
    Some(IntakeSpec { plenum, throttle, restrictor, mouth, end_correction })
}
