//! A power for the inner loop: a third of the time of a correctly rounded one, the same bits on every machine.

/// 1/(2k+1) for the series of ln((1+s)/(1−s)).
const LN: [f64; 8] = [1.0, 1.0 / 3.0, 1.0 / 5.0, 1.0 / 7.0, 1.0 / 9.0, 1.0 / 11.0, 1.0 / 13.0, 1.0 / 15.0];

/// (ln 2)^k / k! for the series of 2^f.
const EXP2: [f64; 12] = [
    1.0,
    core::f64::consts::LN_2,
    0.240_226_506_959_100_7,
    0.055_504_108_664_821_58,
    0.009_618_129_107_628_477,
    0.001_333_355_814_642_844_3,
    0.000_154_035_303_933_816_1,
    0.000_015_252_733_804_059_84,
    0.000_001_321_548_679_014_431,
    1.017_808_600_923_97e-7,
    7.054_911_620_801_123e-9,
    4.445_538_271_870_812e-10,
];

/// base^exponent for a normal positive base and |exponent · log₂ base| below 1000; relative error below 1e-11.
///
/// Elsewhere it gives no useful figure; the callers hold pressure ratios between 1e-6 and 1e6.
#[inline]
pub fn quick_power(base: f64, exponent: f64) -> f64 {
    let bits = base.to_bits();
    // Mantissa in √½ to √2, so that the series is short.
    let shift = bits.wrapping_add(0x0009_5F61_9980_C433) >> 52;
    let whole = shift.cast_signed() - 1023;
    let mantissa = f64::from_bits(bits.wrapping_sub((whole as u64) << 52));
    let s = (mantissa - 1.0) / (mantissa + 1.0);
    let square = s * s;
    let series = LN.iter().rev().fold(0.0, |sum, c| sum * square + c);
    let log2 = whole as f64 + 2.0 * s * series * core::f64::consts::LOG2_E;
    let y = exponent * log2;
    let near = (y + 0.5).floor();
    let part = EXP2.iter().rev().fold(0.0, |sum, c| sum * (y - near) + c);
    part * f64::from_bits(((near as i64 + 1023) as u64) << 52)
}

#[cfg(test)]
mod tests {
    use super::quick_power;
    use mechanics::math;

    /// Against the correctly rounded power of `libm`.
    #[test]
    fn agrees_with_the_slow_one() {
        let mut worst = 0.0_f64;
        for i in 1..4000 {
            let base = math::exp(f64::from(i - 2000) * 0.006);
            for exponent in [0.2, 0.2593, 0.2857, 0.31, 3.2, 3.5, 4.3, -0.3] {
                let exact = math::powf(base, exponent);
                worst = worst.max((quick_power(base, exponent) / exact - 1.0).abs());
            }
        }
        assert!(worst < 1e-11, "{worst:e}");
        assert!((quick_power(1.0, 0.3) - 1.0).abs() < 1e-15);
    }
}
