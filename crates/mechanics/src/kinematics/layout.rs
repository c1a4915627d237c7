//! Bank angles, throws and firing order of four-stroke engines.
//!
//! All angles in degrees of crank rotation, positive in the direction in which the crank turns. Cylinders are
//! numbered from 1 by whatever rule the engine's owner uses; slices hold cylinder 1 first.
//!
//! - `bank_angles_deg`: how far the cylinder leans from upright.
//! - `throw_angles_deg`: the crank angle at which the throw of that cylinder points straight up, counted from the
//!   throw of cylinder 1 (whose own entry is 0). So cylinder i reaches top dead centre at
//!   throwᵢ + bankᵢ − (throw₁ + bank₁), modulo 360, with crank angle 0 at top dead centre of cylinder 1.

use super::KinematicsError;

/// How the cylinders stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Layout {
    /// One row, upright.
    Inline,
    /// Two rows at an included angle (degrees), one leaning against the rotation, the other with it.
    Vee {
        /// Between the rows, degrees.
        included_angle_deg: f64,
        /// How the cylinders are counted.
        numbering: BankNumbering,
    },
    /// Two rows opposite each other: 180° between them. Whether it is a boxer (each its own throw) or a 180° V
    /// (shared throws) follows from the throws.
    Flat {
        /// How the cylinders are counted.
        numbering: BankNumbering,
    },
}

/// How the cylinders of two rows are counted. The first row is the one that leans against the rotation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BankNumbering {
    /// 1, 3, 5 … in the first row, 2, 4, 6 … in the second.
    Alternating,
    /// 2, 4, 6 … in the first row, 1, 3, 5 … in the second.
    AlternatingSecondFirst,
    /// First row through, then the second.
    RowAfterRow,
    /// Second row (leaning with the rotation) through, then the first.
    RowAfterRowSecondFirst,
}

/// When the cylinders fire.
#[derive(Clone, Debug, PartialEq)]
pub struct FiringPlan {
    /// In the order of firing: cylinder (from 1) and crank angle, degrees, 0 to below 720 from the first.
    pub firings: Vec<(usize, f64)>,
    /// Degrees from each firing to the next, the last one back to the first; they sum to 720.
    pub intervals_deg: Vec<f64>,
    /// Whether all intervals agree within the tolerance.
    pub even: bool,
}

/// Two angles within this many degrees are the same throw or the same interval: drawings state whole tenths.
pub const ANGLE_TOLERANCE_DEG: f64 = 0.05;

/// Lean of each cylinder, degrees, for a common layout.
///
/// # Errors
/// When no such engine is built: inline 1 to 6 (and 8), two rows 2 to 12 and even.
pub fn bank_angles_deg(layout: Layout, cylinders: usize) -> Result<Vec<f64>, KinematicsError> {
    let (half_angle, numbering, name) = match layout {
        Layout::Inline if matches!(cylinders, 1..=6 | 8) => return Ok(vec![0.0; cylinders]),
        Layout::Inline => {
            return Err(KinematicsError::NoSuchLayout {
                cylinders,
                layout: "an inline engine",
                expected: "1 to 6 or 8",
            });
        }
        Layout::Vee { included_angle_deg, numbering } => (0.5 * included_angle_deg, numbering, "a V engine"),
        Layout::Flat { numbering } => (90.0, numbering, "a flat engine"),
    };
    if !half_angle.is_finite() {
        return Err(KinematicsError::AngleNotFinite { name: "bank angle", cylinder: 1, value: half_angle });
    }
    if !(2..=16).contains(&cylinders) || cylinders % 2 == 1 {
        return Err(KinematicsError::NoSuchLayout {
            cylinders,
            layout: name,
            expected: "an even number from 2 to 16",
        });
    }
    let in_first_row = |index: usize| match numbering {
        BankNumbering::Alternating => index.is_multiple_of(2),
        BankNumbering::AlternatingSecondFirst => !index.is_multiple_of(2),
        BankNumbering::RowAfterRow => index < cylinders / 2,
        BankNumbering::RowAfterRowSecondFirst => index >= cylinders / 2,
    };
    Ok((0..cylinders).map(|index| if in_first_row(index) { -half_angle } else { half_angle }).collect())
}

/// Throw angles, degrees 0 to below 360 from the throw of cylinder 1, that make the order fire evenly.
///
/// With even firing cylinder number k of the order fires at 720 k / n; its throw is that angle less its lean.
/// Cylinders with equal entries can share a crank pin ([`shared_throws`]).
/// Inline four 1-3-4-2: 0, 180, 180, 0. Cross-plane V8 of 90°: four pins at quarter turns.
///
/// # Errors
/// When the order is not each cylinder once, or the lists differ in length.
pub fn even_throw_angles_deg(
    bank_angles_deg: &[f64],
    firing_order: &[usize],
) -> Result<Vec<f64>, KinematicsError> {
    let cylinders = bank_angles_deg.len();
    check_angles("bank angle", bank_angles_deg)?;
    check_permutation(firing_order, cylinders)?;
    let mut throws = vec![0.0; cylinders];
    for (k, &cylinder) in firing_order.iter().enumerate() {
        throws[cylinder - 1] = 720.0 * k as f64 / cylinders as f64 - bank_angles_deg[cylinder - 1];
    }
    let datum = throws[0];
    Ok(throws.iter().map(|throw| wrap_deg(throw - datum, 360.0)).collect())
}

/// Throw angles when the cylinders that stand side by side in two rows share a pin, degrees.
///
/// `pins` names for each cylinder its pin (from 0), `pin_angles_deg` the angle of each pin. For an odd-firing V
/// with common pins, where [`even_throw_angles_deg`] would split them.
///
/// # Errors
/// When the lists differ in length or a pin is not there.
pub fn throw_angles_of_pins_deg(pins: &[usize], pin_angles_deg: &[f64]) -> Result<Vec<f64>, KinematicsError> {
    check_angles("pin angle", pin_angles_deg)?;
    let angle = |pin: usize| {
        pin_angles_deg.get(pin).copied().ok_or(KinematicsError::CountDiffers {
            name: "the list of pin angles",
            found: pin_angles_deg.len(),
            expected: pins.len(),
        })
    };
    let datum = pins.first().map_or(Ok(0.0), |&pin| angle(pin))?;
    pins.iter().map(|&pin| Ok(wrap_deg(angle(pin)? - datum, 360.0))).collect()
}

/// Crank angle of each cylinder's top dead centre, degrees 0 to below 360 from that of cylinder 1.
///
/// # Errors
/// When the lists differ in length or hold an angle that is not finite.
pub fn dead_centres_deg(
    bank_angles_deg: &[f64],
    throw_angles_deg: &[f64],
) -> Result<Vec<f64>, KinematicsError> {
    if throw_angles_deg.len() != bank_angles_deg.len() {
        return Err(KinematicsError::CountDiffers {
            name: "the list of throw angles",
            found: throw_angles_deg.len(),
            expected: bank_angles_deg.len(),
        });
    }
    check_angles("bank angle", bank_angles_deg)?;
    check_angles("throw angle", throw_angles_deg)?;
    let sums: Vec<f64> =
        bank_angles_deg.iter().zip(throw_angles_deg).map(|(bank, throw)| bank + throw).collect();
    let datum = sums.first().copied().unwrap_or(0.0);
    Ok(sums.iter().map(|sum| wrap_deg(sum - datum, 360.0)).collect())
}

/// When each cylinder fires, if the order can be built on this crank; a four-stroke cycle of 720°.
///
/// Each cylinder fires at one of its two top dead centres in the cycle, in the order given, each after the one
/// before it. Taking the earliest possible one every time decides it: if that does not fit, nothing does.
///
/// # Errors
/// [`KinematicsError::OrderImpossible`] names the cylinder that has no top dead centre left; other errors for lists
/// that are no permutation, differ in length or are not finite.
pub fn firing_plan(
    bank_angles_deg: &[f64],
    throw_angles_deg: &[f64],
    firing_order: &[usize],
) -> Result<FiringPlan, KinematicsError> {
    let cylinders = bank_angles_deg.len();
    check_permutation(firing_order, cylinders)?;
    let dead_centres = dead_centres_deg(bank_angles_deg, throw_angles_deg)?;
    let Some(&first) = firing_order.first() else {
        return Ok(FiringPlan { firings: Vec::new(), intervals_deg: Vec::new(), even: true });
    };
    let start = dead_centres[first - 1];
    let mut firings = vec![(first, 0.0)];
    for &cylinder in &firing_order[1..] {
        let (after, after_deg) = firings[firings.len() - 1];
        let phase = wrap_deg(dead_centres[cylinder - 1] - start, 360.0);
        let mut at = phase;
        while at < after_deg + ANGLE_TOLERANCE_DEG {
            at += 360.0;
        }
        if at > 720.0 - ANGLE_TOLERANCE_DEG {
            return Err(KinematicsError::OrderImpossible {
                cylinder,
                after,
                after_deg,
                dead_centre_deg: phase,
                found_deg: at,
            });
        }
        firings.push((cylinder, at));
    }
    let intervals_deg: Vec<f64> = firings
        .iter()
        .enumerate()
        .map(|(k, (_, at))| firings.get(k + 1).map_or(720.0, |(_, next)| *next) - at)
        .collect();
    let mean = 720.0 / cylinders as f64;
    let even = intervals_deg.iter().all(|interval| (interval - mean).abs() <= ANGLE_TOLERANCE_DEG);
    Ok(FiringPlan { firings, intervals_deg, even })
}

/// Cylinders (from 1) grouped by equal throw angle, in the order of their first cylinder.
pub fn shared_throws(throw_angles_deg: &[f64]) -> Vec<Vec<usize>> {
    let mut groups: Vec<(f64, Vec<usize>)> = Vec::new();
    for (index, &throw) in throw_angles_deg.iter().enumerate() {
        match groups.iter_mut().find(|(angle, _)| same_direction(*angle, throw)) {
            Some((_, group)) => group.push(index + 1),
            None => groups.push((throw, vec![index + 1])),
        }
    }
    groups.into_iter().map(|(_, group)| group).collect()
}

fn same_direction(a: f64, b: f64) -> bool {
    let apart = wrap_deg(a - b, 360.0);
    apart.min(360.0 - apart) <= ANGLE_TOLERANCE_DEG
}

/// The angle in 0 to below `turn`; what is within rounding of a whole turn is 0.
fn wrap_deg(angle: f64, turn: f64) -> f64 {
    let wrapped = angle - turn * (angle / turn).floor();
    if wrapped > turn - 1e-9 || wrapped < 1e-9 { 0.0 } else { wrapped }
}

fn check_angles(name: &'static str, angles: &[f64]) -> Result<(), KinematicsError> {
    match angles.iter().position(|angle| !angle.is_finite()) {
        Some(index) => {
            Err(KinematicsError::AngleNotFinite { name, cylinder: index + 1, value: angles[index] })
        }
        None => Ok(()),
    }
}

fn check_permutation(firing_order: &[usize], cylinders: usize) -> Result<(), KinematicsError> {
    let mut seen = vec![false; cylinders];
    for &cylinder in firing_order {
        let place = cylinder
            .checked_sub(1)
            .and_then(|index| seen.get_mut(index))
            .ok_or(KinematicsError::NoSuchCylinder { cylinder, cylinders })?;
        if *place {
            return Err(KinematicsError::FiresTwice { cylinder });
        }
        *place = true;
    }
    if firing_order.len() != cylinders {
        return Err(KinematicsError::CountDiffers {
            name: "the firing order",
            found: firing_order.len(),
            expected: cylinders,
        });
    }
    Ok(())
}
