//! Lift of a valve over the crank angle.

use crate::monotone::MonotoneCurve;
use core::f64::consts::{PI, TAU};

/// Crank angle between two entries of the table inside [`Lift`], 0.25°.
const STEP: f64 = PI / 720.0;
const CYCLE: f64 = 2.0 * TAU;
/// Entries in one cycle.
const CYCLE_STEPS: f64 = 2880.0;

/// What is wrong with a lift curve. Lengths in metres, angles in radians of the crank.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LiftError {
    /// A size is not a finite number above its least value.
    #[error("{name} is {value}: expected a finite number {expected}")]
    OutOfRange {
        /// What the size is.
        name: &'static str,
        /// What was given.
        value: f64,
        /// What would be accepted.
        expected: &'static str,
    },
    /// A table needs at least four points.
    #[error("the lift table has {found} points: at least 4 are needed")]
    TooFewPoints {
        /// Points in the table.
        found: usize,
    },
    /// A lift below 0 in a table.
    #[error("lift point {point} is {lift} m: a lift cannot be negative")]
    NegativeLift {
        /// Which point, from 1.
        point: usize,
        /// Its lift.
        lift: f64,
    },
    /// The angles of a table do not rise, or are not numbers.
    #[error("lift point {point} is at {angle} rad, not after the point before it: angles must rise")]
    AnglesNotRising {
        /// Which point, from 1.
        point: usize,
        /// Its angle.
        angle: f64,
    },
    /// The table ends while the follower is still lifted above the check lift.
    #[error(
        "the lift table stops at {lift} m, above the check lift of {check_lift} m: it must reach the base circle"
    )]
    TableStopsOpen {
        /// Lift at its end.
        lift: f64,
        /// The check lift.
        check_lift: f64,
    },
    /// The whole lobe would be as long as the cycle or longer.
    #[error("the lobe lasts {duration} rad of the crank: it must be shorter than the cycle, 4π")]
    LongerThanTheCycle {
        /// Duration from base circle to base circle.
        duration: f64,
    },
    /// The lash is never taken up.
    #[error("lash {lash} m is not below the lift of the rocker, {peak} m: the valve would never open")]
    LashAboveLift {
        /// Lash at the valve.
        lash: f64,
        /// Peak lift at the valve without lash.
        peak: f64,
    },
    /// Ramp, duration and peak lift do not make a curve that rises all the way to its peak.
    #[error(
        "no smooth lobe has {duration} rad at {check_lift} m with this ramp: a shorter or lower ramp, or a longer duration, would"
    )]
    NoSuchLobe {
        /// Duration at the check lift.
        duration: f64,
        /// The check lift.
        check_lift: f64,
    },
}

/// A symmetrical lobe from the figures on a cam card, at the follower (lobe lift, before the rocker).
///
/// From the peak down: L + c₂t² + c₆t⁶ + c₈t⁸ over the flank, with the value, velocity and zero acceleration of the ramp at
/// its end; ramp h (2τ³ − τ⁴). Velocity and acceleration are continuous everywhere. Without a ramp the flank is
/// L (1 − 2t² + 2t⁶ − t⁸): mean over peak lift 0.508, half lift at 0.526 of the half duration.
/// The family is our own choice of exponents (polynomial cams: common practice); a table as read is better.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lobe {
    /// Peak lift, m, above 0.
    pub peak_lift: f64,
    /// Lift at which the duration is stated, m, above 0 and below the peak.
    pub check_lift: f64,
    /// Crank angle above the check lift, rad, below 4π.
    pub duration_at_check_lift: f64,
    /// Height of the ramp, m, 0 or more, below the peak.
    pub ramp_height: f64,
    /// Crank angle of one ramp, rad; above 0 when the ramp has a height.
    pub ramp_length: f64,
}

/// What stands between the lobe and the valve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Follower {
    /// Valve travel over follower travel, 1 for a bucket.
    pub rocker_ratio: f64,
    /// Lash at the valve, m, 0 or more.
    pub lash: f64,
}

/// Intake or exhaust.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The lobe centre stands after the top dead centre of gas exchange.
    Intake,
    /// The lobe centre stands before it.
    Exhaust,
}

/// Where the lobe stands on the crank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Intake or exhaust.
    pub side: Side,
    /// Crank angle between the lobe centre and the top dead centre of gas exchange, rad.
    pub lobe_centre: f64,
    /// Crank angle by which the cam is advanced from there (positive: all events earlier), rad.
    pub advance: f64,
}

impl Placement {
    /// Crank angle of the lobe centre, rad, 0 at the top dead centre of firing, from 0 to 4π.
    pub fn centre_angle(&self) -> f64 {
        let after = match self.side {
            Side::Intake => self.lobe_centre,
            Side::Exhaust => -self.lobe_centre,
        };
        (TAU + after - self.advance).rem_euclid(CYCLE)
    }
}

/// Opening and closing at one lift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Events {
    /// Crank angle of opening, rad, before the centre; may lie below 0.
    pub opens: f64,
    /// Crank angle of closing, rad, after the centre; may lie above 4π.
    pub closes: f64,
}

impl Events {
    /// Crank angle from opening to closing, rad.
    pub fn duration(&self) -> f64 {
        self.closes - self.opens
    }
}

#[derive(Debug, Clone, PartialEq)]
enum Profile {
    Smooth(SmoothLobe),
    Table { curve: MonotoneCurve, centre: f64 },
}

impl Profile {
    /// Follower lift at the crank angle from the lobe centre, m.
    fn at(&self, from_centre: f64) -> f64 {
        match self {
            Self::Smooth(lobe) => lobe.at(from_centre.abs()),
            Self::Table { curve, centre } => curve.at(from_centre + centre),
        }
    }
}

/// Valve lift over crank angle, periodic over the cycle, closed outside the lobe.
///
/// Held as a table every 0.25° with straight lines between: within 1 µm of the curve for lobes of road and race engines
/// (tested), exactly 0 where the valve is on its seat.
#[derive(Debug, Clone, PartialEq)]
pub struct Lift {
    profile: Profile,
    follower: Follower,
    centre: f64,
    /// Follower lift at which the duration was stated.
    checked_at: f64,
    /// Crank angle of the first entry from the centre.
    first: f64,
    table: Vec<f64>,
}

impl Lift {
    /// Lift from a smooth lobe.
    ///
    /// # Errors
    /// Names the size that is out of range, or says that no such lobe exists.
    pub fn from_lobe(lobe: &Lobe, follower: Follower, placement: Placement) -> Result<Self, LiftError> {
        let smooth = SmoothLobe::solve(lobe)?;
        let half = smooth.flank + smooth.ramp_length;
        Self::build(Profile::Smooth(smooth), (-half, half), lobe.check_lift, follower, placement)
    }

    /// Lift from a table as read: (crank angle rad, follower lift m), angles rising from any zero, from base circle to base
    /// circle. The lobe centre is the middle between the outermost crossings of `check_lift`, as it is found on the engine.
    ///
    /// # Errors
    /// Names the point that is wrong.
    pub fn from_table(
        points: &[(f64, f64)],
        check_lift: f64,
        follower: Follower,
        placement: Placement,
    ) -> Result<Self, LiftError> {
        let (curve, peak) = table_curve(points)?;
        within("check lift", check_lift, 0.0, peak, "above 0 and below the peak lift")?;
        let (first, last) = (points[0], points[points.len() - 1]);
        for end in [first, last] {
            if end.1 >= check_lift {
                return Err(LiftError::TableStopsOpen { lift: end.1, check_lift });
            }
        }
        let top = points.iter().fold(first, |best, point| if point.1 > best.1 { *point } else { best }).0;
        let opens = crossing(|angle| curve.at(angle) >= check_lift, top, first.0);
        let closes = crossing(|angle| curve.at(angle) >= check_lift, top, last.0);
        let centre = 0.5 * (opens + closes);
        let range = (first.0 - centre, last.0 - centre);
        Self::build(Profile::Table { curve, centre }, range, check_lift, follower, placement)
    }

    fn build(
        profile: Profile,
        range: (f64, f64),
        check_lift: f64,
        follower: Follower,
        placement: Placement,
    ) -> Result<Self, LiftError> {
        within("rocker ratio", follower.rocker_ratio, 0.0, f64::MAX, "above 0")?;
        if !(follower.lash.is_finite() && follower.lash >= 0.0) {
            return Err(LiftError::OutOfRange {
                name: "lash",
                value: follower.lash,
                expected: "of 0 or more",
            });
        }
        within("lobe centre", placement.lobe_centre, -TAU, TAU, "between −360° and 360°")?;
        within("cam advance", placement.advance, -TAU, TAU, "between −360° and 360°")?;
        let duration = range.1 - range.0;
        if duration >= CYCLE {
            return Err(LiftError::LongerThanTheCycle { duration });
        }
        let first = (range.0 / STEP).floor() - 1.0;
        let last = (range.1 / STEP).ceil() + 1.0;
        let valve = |angle: f64| {
            let lifted = if angle < range.0 || angle > range.1 { 0.0 } else { profile.at(angle) };
            (lifted * follower.rocker_ratio - follower.lash).max(0.0)
        };
        let count = ((last - first) as usize + 1).min(CYCLE_STEPS as usize);
        let table: Vec<f64> = (0..count).map(|i| valve((first + i as f64) * STEP)).collect();
        let peak = table.iter().copied().fold(0.0, f64::max);
        if peak <= 0.0 {
            return Err(LiftError::LashAboveLift {
                lash: follower.lash,
                peak: peak_of(&profile, range) * follower.rocker_ratio,
            });
        }
        Ok(Self {
            profile,
            follower,
            centre: placement.centre_angle(),
            checked_at: check_lift,
            first: first * STEP,
            table,
        })
    }

    /// Valve lift in metres at any crank angle in radians.
    #[inline]
    pub fn at(&self, angle: f64) -> f64 {
        const PER_STEP: f64 = 1.0 / STEP;
        let place = (angle - self.centre - self.first) * PER_STEP;
        let place = place - (place * (1.0 / CYCLE_STEPS)).floor() * CYCLE_STEPS;
        let i = place as usize;
        if i + 1 >= self.table.len() {
            return 0.0;
        }
        let fraction = place - i as f64;
        self.table[i] + fraction * (self.table[i + 1] - self.table[i])
    }

    /// The same curve with the whole cam moved earlier by `advance` radians of the crank.
    #[must_use]
    pub fn advanced(&self, advance: f64) -> Self {
        Self { centre: (self.centre - advance).rem_euclid(CYCLE), ..self.clone() }
    }

    /// A cam with the follower's lift multiplied by `lift` and its crank angles from the centre by `duration`, both near 1; lash, rocker
    /// and centre stay. A variation for studies: durations and ramps change in the same proportion.
    ///
    /// # Errors
    /// As for a table: when no lift is left, or it lasts longer than the cycle.
    pub fn varied(&self, lift: f64, duration: f64) -> Result<Self, LiftError> {
        within("factor on the lift", lift, 0.0, 3.0, "above 0, up to 3")?;
        within("factor on the duration", duration, 0.0, 3.0, "above 0, up to 3")?;
        let (first, last) = (self.first, self.first + STEP * (self.table.len() - 1) as f64);
        let count = ((last - first) / STEP).round() as usize;
        let points: Vec<(f64, f64)> = (0..=count)
            .map(|i| {
                let angle = first + i as f64 * STEP;
                let read = if i == 0 || i == count { 0.0 } else { self.profile.at(angle).max(0.0) };
                (angle * duration, read * lift)
            })
            .collect();
        let (curve, _) = table_curve(&points)?;
        let range = (points[0].0, points[count].0);
        // The centre stays where it was: the curve's own zero is the lobe centre.
        let profile = Profile::Table { curve, centre: 0.0 };
        let placement = Placement { side: Side::Intake, lobe_centre: 0.0, advance: 0.0 };
        let made = Self::build(profile, range, self.checked_at * lift, self.follower, placement)?;
        Ok(Self { centre: self.centre, checked_at: self.checked_at, ..made })
    }

    /// Lash, m at the valve.
    pub fn lash(&self) -> f64 {
        self.follower.lash
    }

    /// Crank angle of the lobe centre, rad.
    pub fn centre_angle(&self) -> f64 {
        self.centre
    }

    /// Greatest lift of the valve, m, lash taken off.
    pub fn peak(&self) -> f64 {
        self.table.iter().copied().fold(0.0, f64::max)
    }

    /// Area under the lift curve, ∫ lift dθ over a cycle, m·rad of the crank.
    pub fn area_under_curve(&self) -> f64 {
        self.table.iter().sum::<f64>() * STEP
    }

    /// When the valve leaves and meets its seat.
    pub fn events(&self) -> Events {
        self.events_where(|angle| self.curve(angle) > 0.0)
    }

    /// When the **valve** passes `lift` metres; `None` when it never does.
    pub fn events_at_valve_lift(&self, lift: f64) -> Option<Events> {
        (lift >= 0.0 && lift < self.peak()).then(|| self.events_where(|angle| self.curve(angle) > lift))
    }

    /// When the **follower** passes the check lift of the cam card, lash not counted: the timing that a card states.
    pub fn events_at_check_lift(&self) -> Events {
        self.events_where(|angle| self.profile.at(angle) >= self.checked_at)
    }

    /// Valve lift on the curve behind the table, at the angle from the centre.
    fn curve(&self, from_centre: f64) -> f64 {
        let last = self.first + STEP * self.table.len() as f64;
        if from_centre < self.first || from_centre > last {
            return 0.0;
        }
        (self.profile.at(from_centre) * self.follower.rocker_ratio - self.follower.lash).max(0.0)
    }

    fn events_where(&self, above: impl Fn(f64) -> bool + Copy) -> Events {
        let top =
            (0..self.table.len()).fold(0, |best, i| if self.table[i] > self.table[best] { i } else { best });
        let top = self.first + STEP * top as f64;
        let last = self.first + STEP * (self.table.len() - 1) as f64;
        Events {
            opens: self.centre + crossing(above, top, self.first),
            closes: self.centre + crossing(above, top, last),
        }
    }
}

/// The outermost angle, seen from `end`, at which `above` begins to hold on the way to `top`.
fn crossing(above: impl Fn(f64) -> bool, top: f64, end: f64) -> f64 {
    let steps = ((top - end).abs() / STEP).ceil().max(1.0);
    let at = |i: f64| end + (top - end) * (i / steps);
    let mut i = 0.0;
    while i < steps && !above(at(i)) {
        i += 1.0;
    }
    let (mut outside, mut inside) = (at((i - 1.0).max(0.0)), at(i));
    for _ in 0..60 {
        let middle = 0.5 * (outside + inside);
        if above(middle) { inside = middle } else { outside = middle }
    }
    inside
}

fn peak_of(profile: &Profile, range: (f64, f64)) -> f64 {
    (0..=400).map(|i| profile.at(range.0 + (range.1 - range.0) * f64::from(i) / 400.0)).fold(0.0, f64::max)
}

fn table_curve(points: &[(f64, f64)]) -> Result<(MonotoneCurve, f64), LiftError> {
    if points.len() < 4 {
        return Err(LiftError::TooFewPoints { found: points.len() });
    }
    for (i, &(angle, lift)) in points.iter().enumerate() {
        let point = i + 1;
        if !lift.is_finite() || lift.abs() > 1.0 {
            return Err(LiftError::OutOfRange {
                name: "a lift of the table",
                value: lift,
                expected: "in metres, below 1",
            });
        }
        if lift < 0.0 {
            return Err(LiftError::NegativeLift { point, lift });
        }
        if !angle.is_finite() || (i > 0 && angle <= points[i - 1].0) {
            return Err(LiftError::AnglesNotRising { point, angle });
        }
    }
    let duration = points[points.len() - 1].0 - points[0].0;
    if duration >= CYCLE {
        return Err(LiftError::LongerThanTheCycle { duration });
    }
    let peak = points.iter().map(|p| p.1).fold(0.0, f64::max);
    Ok((MonotoneCurve::new(points), peak))
}

fn within(
    name: &'static str,
    value: f64,
    above: f64,
    below: f64,
    expected: &'static str,
) -> Result<(), LiftError> {
    if value > above && value < below { Ok(()) } else { Err(LiftError::OutOfRange { name, value, expected }) }
}

/// A [`Lobe`] with its flank solved for.
#[derive(Debug, Clone, Copy, PartialEq)]
struct SmoothLobe {
    peak: f64,
    ramp_height: f64,
    ramp_length: f64,
    /// Crank angle from the peak to the top of the ramp.
    flank: f64,
    c2: f64,
    c6: f64,
    c8: f64,
}

impl SmoothLobe {
    fn solve(lobe: &Lobe) -> Result<Self, LiftError> {
        within("peak lift", lobe.peak_lift, 0.0, 1.0, "in metres, above 0 and below 1")?;
        within("check lift", lobe.check_lift, 0.0, lobe.peak_lift, "above 0 and below the peak lift")?;
        let duration = lobe.duration_at_check_lift;
        within("duration at the check lift", duration, 0.0, CYCLE, "above 0 and below 720°")?;
        if !(lobe.ramp_height >= 0.0 && lobe.ramp_height < lobe.peak_lift) {
            let expected = "of 0 or more and below the peak lift";
            return Err(LiftError::OutOfRange { name: "ramp height", value: lobe.ramp_height, expected });
        }
        if !(lobe.ramp_length >= 0.0 && lobe.ramp_length < TAU)
            || (lobe.ramp_height > 0.0 && lobe.ramp_length <= 0.0)
        {
            let expected = "above 0 and below 360° for a ramp with a height";
            return Err(LiftError::OutOfRange { name: "ramp length", value: lobe.ramp_length, expected });
        }
        let mut lobe = *lobe;
        if lobe.ramp_height <= 0.0 {
            lobe.ramp_length = 0.0;
        }
        let missing = LiftError::NoSuchLobe { duration, check_lift: lobe.check_lift };
        let (mut short, mut long) = (1e-3, TAU - lobe.ramp_length);
        let lift = |flank: f64| Self::with_flank(&lobe, flank).at(0.5 * duration);
        if lift(short) > lobe.check_lift || lift(long) < lobe.check_lift {
            return Err(missing);
        }
        for _ in 0..100 {
            let middle = 0.5 * (short + long);
            if lift(middle) < lobe.check_lift { short = middle } else { long = middle }
        }
        let solved = Self::with_flank(&lobe, long);
        let total = 2.0 * (solved.flank + solved.ramp_length);
        if total >= CYCLE {
            return Err(LiftError::LongerThanTheCycle { duration: total });
        }
        let falls = (0..200).all(|i| {
            let at = |i: i32| solved.at(solved.flank * f64::from(i) / 200.0);
            at(i + 1) <= at(i)
        });
        if falls { Ok(solved) } else { Err(missing) }
    }

    fn with_flank(lobe: &Lobe, flank: f64) -> Self {
        let rise = lobe.peak_lift - lobe.ramp_height;
        // Slope over t at the end of the flank: the ramp arrives with 2 h / length.
        let slope =
            if lobe.ramp_height > 0.0 { -2.0 * lobe.ramp_height / lobe.ramp_length * flank } else { 0.0 };
        // c₂ + c₆ + c₈ = −rise, 2c₂ + 6c₆ + 8c₈ = slope, 2c₂ + 30c₆ + 56c₈ = 0
        let c8 = (-12.0 * rise - 7.0 * slope) / 12.0;
        let c6 = (-slope - 48.0 * c8) / 24.0;
        let c2 = -rise - c6 - c8;
        Self {
            peak: lobe.peak_lift,
            ramp_height: lobe.ramp_height,
            ramp_length: lobe.ramp_length,
            flank,
            c2,
            c6,
            c8,
        }
    }

    fn at(&self, from_centre: f64) -> f64 {
        if from_centre <= self.flank {
            let t2 = (from_centre / self.flank) * (from_centre / self.flank);
            return self.peak + t2 * (self.c2 + t2 * t2 * (self.c6 + t2 * self.c8));
        }
        let left = self.flank + self.ramp_length - from_centre;
        if left <= 0.0 {
            return 0.0;
        }
        let t = left / self.ramp_length;
        self.ramp_height * t * t * t * (2.0 - t)
    }
}
