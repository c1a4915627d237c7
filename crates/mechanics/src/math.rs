//! Transcendental functions that give the same bits on every machine.
//!
//! The functions of `std` call whatever the platform's C library offers, and those differ in the
//! last digits; a step count or a stored result would then depend on the machine. Everything in
//! the workspace goes through these wrappers over `libm`, and `clippy.toml` bans the others.
//! `sqrt`, `abs`, `floor`, `hypot`-free arithmetic are exact or correctly rounded and stay as they are.

use core::f64::consts::{FRAC_1_SQRT_2, PI};

/// Sine of an angle in radians.
#[inline]
pub fn sin(angle: f64) -> f64 {
    libm::sin(angle)
}

/// Cosine of an angle in radians.
#[inline]
pub fn cos(angle: f64) -> f64 {
    libm::cos(angle)
}

/// Tangent of an angle in radians.
#[inline]
pub fn tan(angle: f64) -> f64 {
    libm::tan(angle)
}

/// Arc sine in radians, −π/2 to π/2; NaN outside −1 to 1.
#[inline]
pub fn asin(ratio: f64) -> f64 {
    libm::asin(ratio)
}

/// Arc cosine in radians, 0 to π; NaN outside −1 to 1.
#[inline]
pub fn acos(ratio: f64) -> f64 {
    libm::acos(ratio)
}

/// Arc tangent in radians, −π/2 to π/2.
#[inline]
pub fn atan(ratio: f64) -> f64 {
    libm::atan(ratio)
}

/// Angle of the vector (x, y) from the x axis in radians, −π to π. Arguments as in `y.atan2(x)`.
#[inline]
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x)
}

/// e to the power of `x`.
#[inline]
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// Natural logarithm; −∞ at 0, NaN below.
#[inline]
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// Decimal logarithm; −∞ at 0, NaN below.
#[inline]
pub fn log10(x: f64) -> f64 {
    libm::log10(x)
}

/// `base` to the power of `exponent`; NaN for a negative base with a fractional exponent.
#[inline]
pub fn powf(base: f64, exponent: f64) -> f64 {
    libm::pow(base, exponent)
}

/// `base` to a whole power by repeated multiplication, the same on every machine.
pub fn powi(base: f64, exponent: i32) -> f64 {
    let (mut square, mut left, mut product) = (base, exponent.unsigned_abs(), 1.0);
    while left > 0 {
        if left & 1 == 1 {
            product *= square;
        }
        square *= square;
        left >>= 1;
    }
    if exponent < 0 { 1.0 / product } else { product }
}

/// Cube root, of negative numbers as well.
#[inline]
pub fn cbrt(x: f64) -> f64 {
    libm::cbrt(x)
}

/// Error function, 2/√π ∫₀ˣ exp(−t²) dt.
#[inline]
pub fn erf(x: f64) -> f64 {
    libm::erf(x)
}

/// Complementary error function 1 − erf(x), without the loss of digits for large `x`.
#[inline]
pub fn erfc(x: f64) -> f64 {
    libm::erfc(x)
}

/// Probability that a standard normal variable lies below `z`: ½ erfc(−z/√2).
///
/// Exact to the last few digits in the far tails too (z = −8 gives 6.22e-16, not 0).
#[inline]
pub fn normal_cdf(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

/// Quantile of the standard normal distribution: the `z` for which [`normal_cdf`] gives `probability`.
///
/// −∞ at 0, +∞ at 1, NaN outside. The rational start of P. J. Acklam (2003, relative error 1.15e-9)
/// is sharpened by one step of Halley's method on [`normal_cdf`], to about 1e-15.
pub fn normal_quantile(probability: f64) -> f64 {
    if probability.is_nan() || !(0.0..=1.0).contains(&probability) {
        return f64::NAN;
    }
    if probability > 0.5 {
        return -lower_normal_quantile(1.0 - probability);
    }
    lower_normal_quantile(probability)
}

fn lower_normal_quantile(p: f64) -> f64 {
    if p == 0.0 {
        return f64::NEG_INFINITY;
    }
    let z = normal_quantile_start(p);
    let density = exp(-0.5 * z * z) / (2.0 * PI).sqrt();
    if density == 0.0 {
        return z;
    }
    let step = (normal_cdf(z) - p) / density;
    z - step / (1.0 + 0.5 * z * step)
}

/// Acklam's rational approximation for 0 < p ≤ ½.
fn normal_quantile_start(p: f64) -> f64 {
    const A: [f64; 6] = [
        -39.696_830_286_653_76,
        220.946_098_424_520_5,
        -275.928_510_446_968_7,
        138.357_751_867_269,
        -30.664_798_066_147_16,
        2.506_628_277_459_239,
    ];
    const B: [f64; 6] = [
        -54.476_098_798_224_06,
        161.585_836_858_040_9,
        -155.698_979_859_886_6,
        66.801_311_887_719_72,
        -13.280_681_552_885_72,
        1.0,
    ];
    const C: [f64; 6] = [
        -0.007_784_894_002_430_293,
        -0.322_396_458_041_136_5,
        -2.400_758_277_161_838,
        -2.549_732_539_343_734,
        4.374_664_141_464_968,
        2.938_163_982_698_783,
    ];
    const D: [f64; 5] = [
        0.007_784_695_709_041_462,
        0.322_467_129_070_039_8,
        2.445_134_137_142_996,
        3.754_408_661_907_416,
        1.0,
    ];
    let polynomial = |c: &[f64], x: f64| c.iter().fold(0.0, |sum, c| sum * x + c);
    if p < 0.02425 {
        let q = (-2.0 * ln(p)).sqrt();
        polynomial(&C, q) / polynomial(&D, q)
    } else {
        let q = p - 0.5;
        q * polynomial(&A, q * q) / polynomial(&B, q * q)
    }
}

/// √(x² + y²) without overflow on the way.
pub fn hypot(x: f64, y: f64) -> f64 {
    libm::hypot(x, y)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST/SEMATECH e-Handbook 1.3.6.7.1 and Abramowitz & Stegun table 26.1 (from memory).
    #[test]
    fn normal_tables() {
        for (p, z) in [
            (0.5, 0.0),
            (0.841_344_746_068_542_9, 1.0),
            (0.95, 1.644_853_626_951_472_7),
            (0.975, 1.959_963_984_540_054),
            (0.001, -3.090_232_306_167_813_5),
            (1e-10, -6.361_340_902_404_056),
        ] {
            assert!((normal_quantile(p) - z).abs() < 2e-14, "{p}: {}", normal_quantile(p));
            assert!((normal_cdf(z) - p).abs() < 1e-15);
        }
        assert!(normal_quantile(0.0) < f64::MIN && normal_quantile(1.0) > f64::MAX);
        assert!(normal_quantile(-0.1).is_nan() && normal_quantile(f64::NAN).is_nan());
    }

    #[test]
    fn quantile_inverts_the_distribution_over_the_tails() {
        let mut p = 1e-300;
        while p < 0.5 {
            let back = normal_cdf(normal_quantile(p));
            assert!((back / p - 1.0).abs() < 1e-11, "{p} came back as {back}");
            p *= 3.7;
        }
    }
}
