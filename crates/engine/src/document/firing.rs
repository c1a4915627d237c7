//! From the layout as written to lean, throw and firing angle of each cylinder, as `mechanics` wants them.

use super::model::{Arrangement, Document};
use crate::quantity::{Angle, Quantity as _};
use mechanics::kinematics::KinematicsError;
use mechanics::kinematics::layout::{FiringPlan, even_throw_angles_deg, firing_plan};
use std::f64::consts::PI;

/// When each cylinder fires, and the geometry from which it follows. Degrees, cylinder 1 first.
#[derive(Clone, Debug, PartialEq)]
pub struct Firing {
    /// How far each cylinder leans from upright, positive with the turning.
    pub leans_deg: Vec<f64>,
    /// Crank angle at which the throw of each cylinder points straight up, counted from that of cylinder 1.
    pub throws_deg: Vec<f64>,
    /// When each cylinder fires.
    pub plan: FiringPlan,
}

impl Document {
    /// When each cylinder fires: on the throws as written, or, where they are left out, evenly.
    ///
    /// The document says where a throw stands, ahead of throw 1 in the direction of turning; it points up the
    /// sooner. It does not say which bank leans with the turning: the one is taken with which the order can fire,
    /// bank a when both can.
    ///
    /// `None` while cylinders, arrangement, firing order or the angle of a vee are left out.
    ///
    /// # Errors
    /// When the order cannot be fired on this crank.
    pub fn firing(&self) -> Option<Result<Firing, KinematicsError>> {
        let order: Vec<usize> = self.layout.firing_order.as_ref()?.iter().map(|c| *c as usize).collect();
        let half_angle = match self.layout.arrangement? {
            Arrangement::Inline => 0.0,
            Arrangement::Vee => 0.5 * degrees(self.layout.bank_angle?),
            Arrangement::Flat => 90.0,
        };
        let fire = |lean_of_a: f64| {
            let leans_deg = self.leans(lean_of_a)?;
            let throws_deg = match &self.layout.throws {
                Some(throws) => self.throws_up(throws)?,
                None => match even_throw_angles_deg(&leans_deg, &order) {
                    Ok(throws) => throws,
                    Err(error) => return Some(Err(error)),
                },
            };
            let plan = firing_plan(&leans_deg, &throws_deg, &order);
            Some(plan.map(|plan| Firing { leans_deg, throws_deg, plan }))
        };
        match fire(half_angle)? {
            Err(error) => Some(fire(-half_angle)?.map_err(|_| error)),
            fires => Some(fires),
        }
    }

    fn leans(&self, lean_of_a: f64) -> Option<Vec<f64>> {
        let banks = self.banks();
        let lean = |cylinder: u32| {
            let bank = banks.iter().position(|bank| bank.contains(&cylinder))?;
            Some(if bank == 0 { lean_of_a } else { -lean_of_a })
        };
        (1..=self.layout.cylinders?).map(lean).collect()
    }

    /// Throw angle of each cylinder; one that stands ahead in the direction of turning points up the sooner.
    fn throws_up(&self, throws: &[Angle]) -> Option<Vec<f64>> {
        let ahead = |throw: u32| throws.get((throw as usize).checked_sub(1)?).copied().map(degrees);
        let ahead: Option<Vec<f64>> = self.throw_of_cylinder().into_iter().map(ahead).collect();
        let ahead = ahead?;
        let datum = ahead.first().copied().unwrap_or(0.0);
        Some(ahead.iter().map(|angle| (datum - angle).rem_euclid(360.0)).collect())
    }
}

/// To a billionth of a degree, so that messages show 90 and not 90.00000000000001.
fn degrees(angle: Angle) -> f64 {
    (angle.si() * 180.0 / PI * 1e9).round() / 1e9
}
