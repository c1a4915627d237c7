//! Four and eight numbers at once on x86-64, and the choice between them at run time.
//!
//! The only place of this crate with unsafe code. SAFETY, for all of it: the intrinsics need the CPU to have the features
//! of their names. [`Four`] and [`Eight`] are used by the `#[target_feature]` functions of `dispatch!` alone, everything
//! between those and an intrinsic is `inline(always)`, and [`Path::here`] has asked the CPU before such a function is
//! called. Loads and stores stay inside the rows: `path` checks the span of every pass against their length, and a build with
//! debug assertions each access.
#![allow(unsafe_code)]
#![allow(clippy::wildcard_imports, reason = "intrinsics are the vocabulary here")]

use super::lanes::{EXPONENT_BIAS, INTEGER_BITS, Lane, MANTISSA_MASK, ONE_BITS};
use std::arch::x86_64::*;
use std::ops::{Add, Mul, Neg, Sub};

/// Where a load of `width` numbers begins.
#[inline(always)]
fn from(row: &[f64], at: usize, width: usize) -> *const f64 {
    debug_assert!(at + width <= row.len());
    // SAFETY: `path` has checked that the rows are long enough for the span that a pass visits.
    unsafe { row.as_ptr().add(at) }
}

/// Where a store of `width` numbers begins.
#[inline(always)]
fn into(row: &mut [f64], at: usize, width: usize) -> *mut f64 {
    debug_assert!(at + width <= row.len());
    // SAFETY: as for `from`.
    unsafe { row.as_mut_ptr().add(at) }
}

macro_rules! operators {
    ($lane:ident, $add:ident, $sub:ident, $mul:ident) => {
        impl Add for $lane {
            type Output = Self;
            #[inline(always)]
            fn add(self, other: Self) -> Self {
                Self(unsafe { $add(self.0, other.0) })
            }
        }
        impl Sub for $lane {
            type Output = Self;
            #[inline(always)]
            fn sub(self, other: Self) -> Self {
                Self(unsafe { $sub(self.0, other.0) })
            }
        }
        impl Mul for $lane {
            type Output = Self;
            #[inline(always)]
            fn mul(self, other: Self) -> Self {
                Self(unsafe { $mul(self.0, other.0) })
            }
        }
        impl Neg for $lane {
            type Output = Self;
            #[inline(always)]
            fn neg(self) -> Self {
                Self::splat(-0.0) - self
            }
        }
    };
}

/// Four numbers: AVX2 with FMA.
#[derive(Clone, Copy)]
pub struct Four(__m256d);
operators!(Four, _mm256_add_pd, _mm256_sub_pd, _mm256_mul_pd);

impl Lane for Four {
    type Mask = __m256d;
    const WIDTH: usize = 4;
    #[inline(always)]
    fn splat(value: f64) -> Self {
        Self(unsafe { _mm256_set1_pd(value) })
    }
    #[inline(always)]
    fn load(row: &[f64], at: usize) -> Self {
        Self(unsafe { _mm256_loadu_pd(from(row, at, 4)) })
    }
    #[inline(always)]
    fn store(self, row: &mut [f64], at: usize) {
        unsafe { _mm256_storeu_pd(into(row, at, 4), self.0) }
    }
    #[inline(always)]
    fn fma(self, factor: Self, addend: Self) -> Self {
        Self(unsafe { _mm256_fmadd_pd(self.0, factor.0, addend.0) })
    }
    #[inline(always)]
    fn fnma(self, factor: Self, addend: Self) -> Self {
        Self(unsafe { _mm256_fnmadd_pd(self.0, factor.0, addend.0) })
    }
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        Self(unsafe { _mm256_min_pd(self.0, other.0) })
    }
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        Self(unsafe { _mm256_max_pd(self.0, other.0) })
    }
    #[inline(always)]
    fn abs(self) -> Self {
        Self(unsafe { _mm256_andnot_pd(_mm256_set1_pd(-0.0), self.0) })
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        Self(unsafe { _mm256_sqrt_pd(self.0) })
    }
    #[inline(always)]
    fn recip(self) -> Self {
        Self(unsafe { _mm256_div_pd(_mm256_set1_pd(1.0), self.0) })
    }
    #[inline(always)]
    fn recip_estimated(self) -> Self {
        self.recip()
    }
    #[inline(always)]
    fn over(self, divisor: Self) -> Self {
        Self(unsafe { _mm256_div_pd(self.0, divisor.0) })
    }
    #[inline(always)]
    fn exponent_and_mantissa(self) -> (Self, Self) {
        unsafe {
            let bits = _mm256_castpd_si256(self.0);
            let exponent = _mm256_or_si256(_mm256_srli_epi64::<52>(bits), four_times(INTEGER_BITS));
            let fraction = _mm256_and_si256(bits, four_times(MANTISSA_MASK));
            let mantissa = _mm256_or_si256(fraction, four_times(ONE_BITS));
            let exponent = Self(_mm256_castsi256_pd(exponent)) - Self::splat(EXPONENT_BIAS);
            (exponent, Self(_mm256_castsi256_pd(mantissa)))
        }
    }
    #[inline(always)]
    fn lt(self, other: Self) -> __m256d {
        unsafe { _mm256_cmp_pd::<_CMP_LT_OQ>(self.0, other.0) }
    }
    #[inline(always)]
    fn ge(self, other: Self) -> __m256d {
        unsafe { _mm256_cmp_pd::<_CMP_GE_OQ>(self.0, other.0) }
    }
    #[inline(always)]
    fn and(a: __m256d, b: __m256d) -> __m256d {
        unsafe { _mm256_and_pd(a, b) }
    }
    #[inline(always)]
    fn differ(a: __m256d, b: __m256d) -> __m256d {
        unsafe { _mm256_xor_pd(a, b) }
    }
    #[inline(always)]
    fn negative_with(self, a: Self, b: Self) -> Self {
        Self(unsafe { _mm256_or_pd(self.0, _mm256_or_pd(a.0, b.0)) })
    }
    #[inline(always)]
    fn none_negative(self) -> bool {
        unsafe { _mm256_movemask_pd(self.0) == 0 }
    }
    #[inline(always)]
    fn select(mask: __m256d, yes: Self, no: Self) -> Self {
        Self(unsafe { _mm256_blendv_pd(no.0, yes.0, mask) })
    }
    #[inline(always)]
    fn all(mask: __m256d) -> bool {
        unsafe { _mm256_movemask_pd(mask) == 0b1111 }
    }
    #[inline(always)]
    fn largest(self) -> f64 {
        let mut numbers = [0.0; 4];
        self.store(&mut numbers, 0);
        numbers[0].max(numbers[1]).max(numbers[2].max(numbers[3]))
    }
}

/// The same bits in each of four places.
#[inline(always)]
fn four_times(bits: u64) -> __m256i {
    unsafe { _mm256_set1_epi64x(bits.cast_signed()) }
}

/// Eight numbers: AVX-512 F and DQ.
#[derive(Clone, Copy)]
pub struct Eight(__m512d);
operators!(Eight, _mm512_add_pd, _mm512_sub_pd, _mm512_mul_pd);

impl Lane for Eight {
    type Mask = __mmask8;
    const WIDTH: usize = 8;
    #[inline(always)]
    fn splat(value: f64) -> Self {
        Self(unsafe { _mm512_set1_pd(value) })
    }
    #[inline(always)]
    fn load(row: &[f64], at: usize) -> Self {
        Self(unsafe { _mm512_loadu_pd(from(row, at, 8)) })
    }
    #[inline(always)]
    fn store(self, row: &mut [f64], at: usize) {
        unsafe { _mm512_storeu_pd(into(row, at, 8), self.0) }
    }
    #[inline(always)]
    fn fma(self, factor: Self, addend: Self) -> Self {
        Self(unsafe { _mm512_fmadd_pd(self.0, factor.0, addend.0) })
    }
    #[inline(always)]
    fn fnma(self, factor: Self, addend: Self) -> Self {
        Self(unsafe { _mm512_fnmadd_pd(self.0, factor.0, addend.0) })
    }
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        Self(unsafe { _mm512_min_pd(self.0, other.0) })
    }
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        Self(unsafe { _mm512_max_pd(self.0, other.0) })
    }
    #[inline(always)]
    fn abs(self) -> Self {
        Self(unsafe { _mm512_abs_pd(self.0) })
    }
    #[inline(always)]
    fn greater_magnitude(self, other: Self) -> Self {
        /// The greater magnitude with the sign cleared.
        const GREATER: i32 = 0b1011;
        Self(unsafe { _mm512_range_pd::<GREATER>(self.0, other.0) })
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        Self(unsafe { _mm512_sqrt_pd(self.0) })
    }
    #[inline(always)]
    fn recip(self) -> Self {
        Self(unsafe { _mm512_div_pd(_mm512_set1_pd(1.0), self.0) })
    }
    #[inline(always)]
    fn recip_estimated(self) -> Self {
        let one = Self::splat(1.0);
        let rough = Self(unsafe { _mm512_rcp14_pd(self.0) });
        // With e = 1 − x y the reciprocal is y (1 + e)(1 + e²) within e⁴, 2⁻⁵⁶.
        let wrong = self.fnma(rough, one);
        let better = rough.fma(wrong, rough);
        better.fma(wrong * wrong, better)
    }
    #[inline(always)]
    fn over_estimated(self, divisor: Self) -> Self {
        let rough = Self(unsafe { _mm512_rcp14_pd(divisor.0) });
        let wrong = divisor.fnma(rough, Self::splat(1.0));
        let first = self * rough;
        let better = first.fma(wrong, first);
        better.fma(wrong * wrong, better)
    }
    #[inline(always)]
    fn over(self, divisor: Self) -> Self {
        Self(unsafe { _mm512_div_pd(self.0, divisor.0) })
    }
    #[inline(always)]
    fn exponent_and_mantissa(self) -> (Self, Self) {
        unsafe {
            let mantissa = _mm512_getmant_pd::<_MM_MANT_NORM_1_2, _MM_MANT_SIGN_SRC>(self.0);
            (Self(_mm512_getexp_pd(self.0)), Self(mantissa))
        }
    }
    #[inline(always)]
    fn lt(self, other: Self) -> __mmask8 {
        unsafe { _mm512_cmp_pd_mask::<_CMP_LT_OQ>(self.0, other.0) }
    }
    #[inline(always)]
    fn ge(self, other: Self) -> __mmask8 {
        unsafe { _mm512_cmp_pd_mask::<_CMP_GE_OQ>(self.0, other.0) }
    }
    #[inline(always)]
    fn same_sign(self, other: Self) -> __mmask8 {
        unsafe {
            let signs = _mm512_xor_si512(_mm512_castpd_si512(self.0), _mm512_castpd_si512(other.0));
            _mm512_testn_epi64_mask(signs, _mm512_set1_epi64(i64::MIN))
        }
    }
    #[inline(always)]
    fn kept_within(self, a: Self, b: Self) -> Self {
        /// The lesser magnitude with the sign of the first.
        const LESSER: i32 = 0b0010;
        let one_sign = a.same_sign(b);
        Self(unsafe {
            _mm512_maskz_range_pd::<LESSER>(one_sign, self.0, _mm512_range_pd::<LESSER>(a.0, b.0))
        })
    }
    #[inline(always)]
    fn and(a: __mmask8, b: __mmask8) -> __mmask8 {
        a & b
    }
    #[inline(always)]
    fn differ(a: __mmask8, b: __mmask8) -> __mmask8 {
        a ^ b
    }
    #[inline(always)]
    fn negative_with(self, a: Self, b: Self) -> Self {
        /// Set where one of the three is.
        const ANY: i32 = 0xfe;
        unsafe {
            let (a, b) = (_mm512_castpd_si512(a.0), _mm512_castpd_si512(b.0));
            let signs = _mm512_ternarylogic_epi64::<ANY>(_mm512_castpd_si512(self.0), a, b);
            Self(_mm512_castsi512_pd(signs))
        }
    }
    #[inline(always)]
    fn none_negative(self) -> bool {
        unsafe { _mm512_movepi64_mask(_mm512_castpd_si512(self.0)) == 0 }
    }
    #[inline(always)]
    fn select(mask: __mmask8, yes: Self, no: Self) -> Self {
        Self(unsafe { _mm512_mask_blend_pd(mask, no.0, yes.0) })
    }
    #[inline(always)]
    fn all(mask: __mmask8) -> bool {
        mask == 0xff
    }
    #[inline(always)]
    fn largest(self) -> f64 {
        let mut numbers = [0.0; 8];
        self.store(&mut numbers, 0);
        let mut most = numbers[0];
        let mut at = 1;
        while at < 8 {
            most = if numbers[at] > most { numbers[at] } else { most };
            at += 1;
        }
        most
    }
}
