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
        let (one, other) = (fire(half_angle)?, fire(-half_angle)?);
        // Cylinders that share a pin have their throws at one angle: an order that fires only with split pins gives way.
        match (one, other) {
            (Ok(one), Ok(other)) => {
                Some(Ok(if self.pins_agree(&one) || !self.pins_agree(&other) { one } else { other }))
            }
            (Ok(fires), Err(_)) | (Err(_), Ok(fires)) => Some(Ok(fires)),
            (Err(error), Err(_)) => Some(Err(error)),
        }
    }

    /// Do cylinders that share a throw have it at the same angle?
    pub(super) fn pins_agree(&self, firing: &Firing) -> bool {
        let throws = self.throw_of_cylinder();
        let apart = |a: f64, b: f64| ((a - b + 180.0).rem_euclid(360.0) - 180.0).abs();
        throws.iter().zip(&firing.throws_deg).all(|(throw, angle)| {
            throws.iter().zip(&firing.throws_deg).all(|(other, b)| other != throw || apart(*angle, *b) < 1e-6)
        })
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

#[cfg(test)]
mod tests {
    use crate::document::{Arrangement, Document, Layout};
    use crate::quantity::Angle;

    #[test]
    fn a_v12_with_shared_pins_has_both_rods_of_a_pin_at_one_angle() {
        let order = [1, 12, 5, 8, 3, 10, 6, 7, 2, 11, 4, 9];
        // Numbered along bank a, then bank b; 60° and 360/6° apart, from the arithmetic of an even twelve.
        let layout = Layout {
            arrangement: Some(Arrangement::Vee),
            cylinders: Some(12),
            bank_angle: Some(Angle(60.0_f64.to_radians())),
            banks: Some(vec![(1..=6).collect(), (7..=12).collect()]),
            firing_order: Some(order.to_vec()),
            ..Layout::default()
        };
        let document = Document { layout, ..Document::default() };
        let firing = document.firing().expect("all is there").expect("it fires");
        for cylinder in 0..6 {
            let apart = (firing.throws_deg[cylinder] - firing.throws_deg[cylinder + 6]).rem_euclid(360.0);
            assert!(!(1e-6..=360.0 - 1e-6).contains(&apart), "pin {}: {:?}", cylinder + 1, firing.throws_deg);
        }
    }
}
