//! Which single slip of a digit turns what was expected into what was typed.

use super::Kind;

/// Longest number of digits that is looked through.
const MOST_DIGITS: usize = 12;

/// The wrong digit, or the neighbouring pair exchanged, that brings `value` nearest to `expected`, if within `near`.
///
/// `step` is the last digit as typed. A single digit is preferred to a pair.
pub(super) fn explain(value: f64, step: f64, expected: f64, near: f64) -> Option<(Kind, f64)> {
    let count = (value.abs() / step).round();
    if count.is_nan() || count >= 1e12 {
        return None;
    }
    let digits = digits_of(count as u64, expected.abs() / step);
    let nearest = |list: Vec<u64>| {
        let candidates = list.into_iter().map(|number| number as f64 * step * value.signum());
        let off = |candidate: &f64| (candidate - expected).abs();
        candidates.min_by(|a, b| off(a).total_cmp(&off(b))).filter(|candidate| off(candidate) <= near)
    };
    if let Some(likely) = nearest(replaced(&digits)) {
        return Some((Kind::Digit, likely));
    }
    nearest(transposed(&digits)).map(|likely| (Kind::Transposed, likely))
}

/// Digits from the last to the first, as many as the longer of both numbers has.
fn digits_of(mut count: u64, expected: f64) -> Vec<u8> {
    let mut digits = Vec::with_capacity(MOST_DIGITS);
    let mut left = expected;
    while (count > 0 || left >= 1.0) && digits.len() < MOST_DIGITS {
        digits.push((count % 10) as u8);
        count /= 10;
        left /= 10.0;
    }
    digits
}

fn number(digits: &[u8]) -> u64 {
    digits.iter().rev().fold(0, |sum, digit| 10 * sum + u64::from(*digit))
}

fn replaced(digits: &[u8]) -> Vec<u64> {
    let change = |place: usize, digit: u8| {
        let mut other = digits.to_vec();
        other[place] = digit;
        number(&other)
    };
    (0..digits.len())
        .flat_map(|place| (0..10).map(move |digit| (place, digit)))
        .filter(|&(place, digit)| digits[place] != digit)
        .map(|(place, digit)| change(place, digit))
        .collect()
}

fn transposed(digits: &[u8]) -> Vec<u64> {
    (1..digits.len())
        .filter(|&place| digits[place] != digits[place - 1])
        .map(|place| {
            let mut other = digits.to_vec();
            other.swap(place - 1, place);
            number(&other)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{Kind, explain};

    #[test]
    fn one_digit_or_a_pair() {
        let said = |value, expected| {
            explain(value, 0.001, expected, 0.004).map(|(kind, v)| (kind, (v * 1e3_f64).round()))
        };
        assert_eq!(said(89.702, 89.100), Some((Kind::Digit, 89_102.0)));
        assert_eq!(said(89.012, 89.100), Some((Kind::Transposed, 89_102.0)));
        assert_eq!(said(9.102, 89.100), Some((Kind::Digit, 89_102.0)));
        assert_eq!(said(88.977, 89.100), None, "three digits would have to be wrong");
        assert_eq!(said(f64::NAN, 89.100), None);
        assert_eq!(said(0.0, 0.0), None);
    }
}
