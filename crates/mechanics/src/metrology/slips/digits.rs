//! Which single slip of a digit turns what was expected into what was typed.

use super::Kind;

/// Longest number of digits that is looked through.
const MOST_DIGITS: usize = 12;

/// The slip of one digit that brings `value` nearest to `expected`, if within `near`; see [`candidates`].
pub(super) fn explain(value: f64, step: f64, expected: f64, near: f64) -> Option<(Kind, f64)> {
    let off = |candidate: &(Kind, f64)| (candidate.1 - expected).abs();
    let nearest = candidates(value, step, expected).into_iter().min_by(|a, b| off(a).total_cmp(&off(b)));
    nearest.filter(|candidate| off(candidate) <= near)
}

/// All that one slip of a digit makes of a value: a digit wrong, one missing or one too many, two neighbours exchanged.
///
/// `step` is the last digit as typed; `expected` says how many digits there should be.
pub(super) fn candidates(value: f64, step: f64, expected: f64) -> Vec<(Kind, f64)> {
    let count = (value.abs() / step).round();
    if count.is_nan() || count >= 1e12 || !expected.is_finite() {
        return Vec::new();
    }
    let digits = digits_of(count as u64, expected.abs() / step);
    let named = |list: Vec<u64>, kind: Kind| {
        list.into_iter().map(move |number| (kind, number as f64 * step * value.signum()))
    };
    named(replaced(&digits), Kind::Digit)
        .chain(named(left_out(count as u64, expected.abs() / step), Kind::Digit))
        .chain(named(transposed(&digits), Kind::Transposed))
        .collect()
}

/// With a digit more, where one may be missing (before the point, or behind it where the last one is a nought), or with one
/// less, where there is one too many.
fn left_out(count: u64, expected: f64) -> Vec<u64> {
    let typed = digits_of(count, 0.0);
    let wanted = digits_of(expected.round().clamp(0.0, 1e12) as u64, 0.0).len();
    let mut numbers = Vec::new();
    if typed.len() > wanted {
        let without = |place: usize| {
            let mut other = typed.clone();
            other.remove(place);
            number(&other)
        };
        numbers.extend((0..typed.len()).map(without));
    }
    // Behind the point the number keeps its size: no digit goes in front.
    let (start, places) = if typed.len() < wanted {
        (&typed[..], typed.len())
    } else if typed.len() == wanted && typed.first() == Some(&0) {
        (&typed[1..], typed.len().saturating_sub(2))
    } else {
        return numbers;
    };
    for place in 0..=places {
        numbers.extend((0..10).map(|digit| {
            let mut other = start.to_vec();
            other.insert(place, digit);
            number(&other)
        }));
    }
    numbers
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
        assert_eq!(said(89.123, 89.100), Some((Kind::Digit, 89_103.0)));
        assert_eq!(said(89.17, 89.107), Some((Kind::Digit, 89_107.0)), "a nought is missing");
        assert_eq!(said(899.102, 89.102), Some((Kind::Digit, 89_102.0)), "a nine too many");
        assert_eq!(
            explain(76.123, 0.001, 76.213, 0.02).map(|s| s.0),
            Some(Kind::Transposed),
            "nearer than 76.223"
        );
        assert_eq!(said(88.977, 89.100), None, "three digits would have to be wrong");
        assert_eq!(said(f64::NAN, 89.100), None);
        assert_eq!(said(0.0, 0.0), None);
    }
}
