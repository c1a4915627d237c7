//! A few numbers that go through the kernel side by side.

use std::ops::{Add, Mul, Neg, Sub};

/// Bits of the mantissa of a binary64 (IEEE 754-2019, 3.4).
pub(super) const MANTISSA_MASK: u64 = (1 << 52) - 1;
/// Bits of 1.0.
pub(super) const ONE_BITS: u64 = 1.0_f64.to_bits();
/// Bits of 2^52: a small integer put into its mantissa reads as 2^52 + that integer.
pub(super) const INTEGER_BITS: u64 = 4_503_599_627_370_496.0_f64.to_bits();
/// What an exponent reads too much by `INTEGER_BITS`: 2^52 and the bias of the exponent.
pub(super) const EXPONENT_BIAS: f64 = 4_503_599_627_370_496.0 + 1023.0;

/// Several `f64` worked on at once. Everything is `inline(always)` and free of closures, so that the code takes the
/// target features of the function it ends up in.
pub trait Lane:
    Copy + Add<Output = Self> + Sub<Output = Self> + Mul<Output = Self> + Neg<Output = Self>
{
    /// Yes or no for each number.
    type Mask: Copy;
    /// How many numbers.
    const WIDTH: usize;
    /// The same number in every place.
    fn splat(value: f64) -> Self;
    /// The numbers from `row[at]` on.
    fn load(row: &[f64], at: usize) -> Self;
    /// Writes the numbers from `row[at]` on.
    fn store(self, row: &mut [f64], at: usize);
    /// `self · factor + addend`, rounded once where the machine can, else twice.
    fn fma(self, factor: Self, addend: Self) -> Self;
    /// `addend − self · factor`.
    fn fnma(self, factor: Self, addend: Self) -> Self;
    /// The lesser.
    fn min(self, other: Self) -> Self;
    /// The greater.
    fn max(self, other: Self) -> Self;
    /// Without sign.
    fn abs(self) -> Self;
    /// The greater magnitude, without sign.
    #[inline(always)]
    fn greater_magnitude(self, other: Self) -> Self {
        self.abs().max(other.abs())
    }
    /// Square root.
    fn sqrt(self) -> Self;
    /// 1/x by the divider.
    fn recip(self) -> Self;
    /// 1/x to rounding by estimate and Newton steps where that frees the divider.
    fn recip_estimated(self) -> Self;
    /// self/divisor by the divider.
    fn over(self, divisor: Self) -> Self;
    /// self/divisor to rounding by an estimate of 1/divisor where that frees the divider.
    #[inline(always)]
    fn over_estimated(self, divisor: Self) -> Self {
        self.over(divisor)
    }
    /// Exponent e and mantissa m of x = m·2^e with 1 ≤ m < 2, for a normal positive x.
    fn exponent_and_mantissa(self) -> (Self, Self);
    /// self < other.
    fn lt(self, other: Self) -> Self::Mask;
    /// self ≥ other.
    fn ge(self, other: Self) -> Self::Mask;
    /// Whether self and other have one sign.
    #[inline(always)]
    fn same_sign(self, other: Self) -> Self::Mask {
        Self::splat(0.0).lt(self * other)
    }
    /// Between 0 and the lesser of `a` and `b` where those have one sign, else 0; self is between them where they have.
    #[inline(always)]
    fn kept_within(self, a: Self, b: Self) -> Self {
        let zero = Self::splat(0.0);
        let (low, high) = (a.max(b).min(zero), a.min(b).max(zero));
        self.max(low).min(high)
    }
    /// Both.
    fn and(a: Self::Mask, b: Self::Mask) -> Self::Mask;
    /// One of them and not the other.
    fn differ(a: Self::Mask, b: Self::Mask) -> Self::Mask;
    /// A number that is negative where one of the three is.
    fn negative_with(self, a: Self, b: Self) -> Self;
    /// Whether none is negative.
    fn none_negative(self) -> bool;
    /// `yes` where the mask holds, else `no`.
    fn select(mask: Self::Mask, yes: Self, no: Self) -> Self;
    /// Whether the mask holds everywhere.
    fn all(mask: Self::Mask) -> bool;
    /// The greatest of the numbers.
    fn largest(self) -> f64;
}

impl Lane for f64 {
    type Mask = bool;
    const WIDTH: usize = 1;
    #[inline(always)]
    fn splat(value: f64) -> Self {
        value
    }
    #[inline(always)]
    fn load(row: &[f64], at: usize) -> Self {
        row[at]
    }
    #[inline(always)]
    fn store(self, row: &mut [f64], at: usize) {
        row[at] = self;
    }
    #[inline(always)]
    fn fma(self, factor: Self, addend: Self) -> Self {
        self * factor + addend
    }
    #[inline(always)]
    fn fnma(self, factor: Self, addend: Self) -> Self {
        addend - self * factor
    }
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        if self < other { self } else { other }
    }
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        if self > other { self } else { other }
    }
    #[inline(always)]
    fn abs(self) -> Self {
        f64::abs(self)
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        f64::sqrt(self)
    }
    #[inline(always)]
    fn recip(self) -> Self {
        1.0 / self
    }
    #[inline(always)]
    fn recip_estimated(self) -> Self {
        1.0 / self
    }
    #[inline(always)]
    fn over(self, divisor: Self) -> Self {
        self / divisor
    }
    #[inline(always)]
    fn exponent_and_mantissa(self) -> (Self, Self) {
        let bits = self.to_bits();
        let exponent = f64::from_bits(INTEGER_BITS | (bits >> 52)) - EXPONENT_BIAS;
        (exponent, f64::from_bits(MANTISSA_MASK & bits | ONE_BITS))
    }
    #[inline(always)]
    fn lt(self, other: Self) -> bool {
        self < other
    }
    #[inline(always)]
    fn ge(self, other: Self) -> bool {
        self >= other
    }
    #[inline(always)]
    fn and(a: bool, b: bool) -> bool {
        a & b
    }
    #[inline(always)]
    fn differ(a: bool, b: bool) -> bool {
        a ^ b
    }
    #[inline(always)]
    fn negative_with(self, a: Self, b: Self) -> Self {
        f64::from_bits(self.to_bits() | a.to_bits() | b.to_bits())
    }
    #[inline(always)]
    fn none_negative(self) -> bool {
        self.is_sign_positive()
    }
    #[inline(always)]
    fn select(mask: bool, yes: Self, no: Self) -> Self {
        if mask { yes } else { no }
    }
    #[inline(always)]
    fn all(mask: bool) -> bool {
        mask
    }
    #[inline(always)]
    fn largest(self) -> f64 {
        self
    }
}
