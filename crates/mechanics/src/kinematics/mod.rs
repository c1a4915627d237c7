//! Motion of the crank drive and the order in which cylinders fire.
//!
//! Conventions (reasons in `docs/physics/kinematics.md`):
//! - angles in radians in [`SliderCrank`], because its derivatives are by the radian; in whole-degree work on
//!   layouts ([`layout`]) the argument names end in `_deg`;
//! - crank angle zero: the throw points along its cylinder, away from the crank; with an offset, top dead
//!   centre is a little after or before that, see [`SliderCrank::top_dead_centre`];
//! - displacement counts from top dead centre, positive toward the crank; so do speed and acceleration.

mod crank;
pub mod layout;

pub use crank::{Extreme, Harmonic, Motion, SliderCrank};

use thiserror::Error;

/// Why a crank drive cannot turn or a firing order cannot be built.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum KinematicsError {
    /// A length that must be positive and finite.
    #[error("{name} is {value} m; it must be a positive length")]
    NotPositive {
        /// Which one.
        name: &'static str,
        /// What was given, m.
        value: f64,
    },
    /// The rod cannot pass the crank.
    #[error(
        "the rod of {rod_length} m cannot pass a crank radius of {crank_radius} m with an offset of {offset} m; \
         it must be longer than {least} m (radius + offset)"
    )]
    RodTooShort {
        /// Centre to centre, m.
        rod_length: f64,
        /// Half the nominal stroke, m.
        crank_radius: f64,
        /// Offset of the pin or cylinder, m.
        offset: f64,
        /// Radius plus offset, m.
        least: f64,
    },
    /// Two lists that must be equally long are not.
    #[error("{name} has {found} entries for {expected} cylinders")]
    CountDiffers {
        /// Which list.
        name: &'static str,
        /// Its length.
        found: usize,
        /// How many cylinders there are.
        expected: usize,
    },
    /// A layout with that many cylinders is not built.
    #[error("{cylinders} cylinders do not make {layout}: {expected}")]
    NoSuchLayout {
        /// How many were asked for.
        cylinders: usize,
        /// The layout's name.
        layout: &'static str,
        /// What is possible.
        expected: &'static str,
    },
    /// An angle that is not a finite number.
    #[error("{name} of cylinder {cylinder} is {value}; it must be a finite angle in degrees")]
    AngleNotFinite {
        /// Which angle.
        name: &'static str,
        /// Cylinder, from 1.
        cylinder: usize,
        /// What was given, degrees.
        value: f64,
    },
    /// The firing order names a cylinder that the engine does not have.
    #[error("the firing order names cylinder {cylinder}; the engine has cylinders 1 to {cylinders}")]
    NoSuchCylinder {
        /// The stranger.
        cylinder: usize,
        /// How many there are.
        cylinders: usize,
    },
    /// The firing order names a cylinder twice.
    #[error("the firing order names cylinder {cylinder} twice; each cylinder fires once in two turns")]
    FiresTwice {
        /// Which one, from 1.
        cylinder: usize,
    },
    /// A cylinder's dead centres do not fall where the order wants it to fire.
    #[error(
        "cylinder {cylinder} cannot fire after cylinder {after}, which fires at {after_deg}°: with the throw and \
         bank angles given, its top dead centres are at {dead_centre_deg}° and {}°, so the next one comes at \
         {found_deg}°, when the cycle of 720° is over", dead_centre_deg + 360.0
    )]
    OrderImpossible {
        /// Which one cannot, from 1.
        cylinder: usize,
        /// The cylinder before it in the order.
        after: usize,
        /// When that one fires, degrees.
        after_deg: f64,
        /// First top dead centre of this one in the cycle, degrees from cylinder 1's.
        dead_centre_deg: f64,
        /// The first top dead centre after `after_deg`.
        found_deg: f64,
    },
}

pub(crate) fn positive(name: &'static str, value: f64) -> Result<f64, KinematicsError> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(KinematicsError::NotPositive { name, value })
    }
}
