//! Exact numbers: fractions of 128-bit whole numbers, read from and written as decimal text.

use std::cmp::Ordering;

use num_rational::Ratio;
use num_traits::{CheckedMul, Zero};

/// An exact number. Twenty minutes are a third of an hour, so this is a fraction and never a binary float.
pub type Number = Ratio<i128>;

/// Which of two numbers is the greater. The same as [`Ord`], without its divisions where the numbers are not huge.
pub fn order(a: Number, b: Number) -> Ordering {
    match (a.numer().checked_mul(b.denom()), b.numer().checked_mul(a.denom())) {
        (Some(a), Some(b)) => a.cmp(&b),
        _ => a.cmp(&b),
    }
}

/// The most digits a written number may have, before and after the point together.
pub const MOST_DIGITS: usize = 20;

/// Why a piece of text is not a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotANumber {
    /// Nothing that looks like a number.
    Shape,
    /// A comma where a point belongs, as in `0,35`.
    Comma,
    /// More than [`MOST_DIGITS`] digits.
    TooLong,
}

/// Reads decimal text such as `-0.35` or `12`: an optional minus, digits, and optionally a point and digits.
pub fn parse_decimal(text: &str) -> Result<Number, NotANumber> {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    let all_digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty() || !all_digits(whole) || !all_digits(part) || (digits.contains('.') && part.is_empty()) {
        let comma = digits.contains(',') && digits.bytes().all(|b| b.is_ascii_digit() || b == b',' || b == b'.');
        return Err(if comma { NotANumber::Comma } else { NotANumber::Shape });
    }
    if whole.len() + part.len() > MOST_DIGITS {
        return Err(NotANumber::TooLong);
    }
    let mut numerator: i128 = 0;
    for byte in whole.bytes().chain(part.bytes()) {
        numerator = numerator * 10 + i128::from(byte - b'0');
    }
    if text.starts_with('-') {
        numerator = -numerator;
    }
    let scale = 10_i128.pow(part.len() as u32);
    Ok(if scale == 1 { Number::from_integer(numerator) } else { Number::new(numerator, scale) })
}

/// Writes a number as decimal text without trailing noughts; a fraction that has no finite decimal is
/// written to six places, rounded half to even.
pub fn format_decimal(number: Number) -> String {
    for places in 0..=12_u32 {
        if let Some(scaled) = number.checked_mul(&Number::from_integer(10_i128.pow(places)))
            && scaled.is_integer()
        {
            return format_scaled(scaled.to_integer(), places);
        }
    }
    let text = format_rounded(number, 6);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// Writes a number with exactly `places` decimal places, rounded half to even.
pub fn format_rounded(number: Number, places: u32) -> String {
    format_scaled(round_scaled(number, places), places)
}

/// `number` times ten to the power `places`, rounded to a whole number, half to even.
/// Saturates at the ends of the 128-bit range.
pub fn round_scaled(number: Number, places: u32) -> i128 {
    let Some(scaled) = number.checked_mul(&Number::from_integer(10_i128.pow(places.min(30)))) else {
        return if number < Number::zero() { i128::MIN } else { i128::MAX };
    };
    round_half_even(*scaled.numer(), *scaled.denom())
}

/// `numerator / denominator` rounded to a whole number, half to even. The denominator is above nought.
pub fn round_half_even(numerator: i128, denominator: i128) -> i128 {
    let floor = numerator.div_euclid(denominator);
    let rest = numerator.rem_euclid(denominator);
    match (rest.saturating_mul(2)).cmp(&denominator) {
        Ordering::Less => floor,
        Ordering::Greater => floor + 1,
        Ordering::Equal => floor + (floor & 1),
    }
}

/// Writes a whole number of the given decimal places: `(4750, 2)` is `47.50`.
pub fn format_scaled(scaled: i128, places: u32) -> String {
    if places == 0 {
        return scaled.to_string();
    }
    let sign = if scaled < 0 { "-" } else { "" };
    let unit = 10_u128.pow(places);
    let size = scaled.unsigned_abs();
    format!("{sign}{}.{:0width$}", size / unit, size % unit, width = places as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_are_exact() {
        assert_eq!(parse_decimal("0.35"), Ok(Number::new(7, 20)));
        assert_eq!(parse_decimal("-5"), Ok(Number::from_integer(-5)));
        assert_eq!(parse_decimal("0,35"), Err(NotANumber::Comma));
        assert_eq!(parse_decimal("1."), Err(NotANumber::Shape));
        assert_eq!(parse_decimal("1e3"), Err(NotANumber::Shape));
        assert_eq!(parse_decimal("123456789012345678901"), Err(NotANumber::TooLong));
    }

    #[test]
    fn order_is_that_of_the_numbers() {
        let huge = i128::MAX / 2;
        let numbers = [(-huge, 3), (-7, 2), (-10, 3), (0, 1), (1, 3), (33, 100), (1, 2), (huge, 7), (huge, 5), (huge, 1)];
        let numbers = numbers.map(|(numerator, denominator)| Number::new(numerator, denominator));
        for a in numbers {
            assert!(numbers.iter().all(|b| order(a, *b) == a.cmp(b)), "{a}");
        }
    }

    #[test]
    fn half_goes_to_even() {
        for (number, expected) in [("0.125", "0.12"), ("0.135", "0.14"), ("-0.125", "-0.12"), ("2.675", "2.68")] {
            assert_eq!(parse_decimal(number).map(|n| format_rounded(n, 2)), Ok(expected.to_owned()));
        }
        assert_eq!(format_decimal(Number::new(1, 3)), "0.333333");
        assert_eq!(format_decimal(Number::new(1, 40)), "0.025");
    }
}
