//! The published formulas of the trade that a rulebook may use: how moist wood is in a room, and how far it moves.

mod enclosed;
mod nearly;
pub mod signature;

use num_bigint::BigInt;
use num_integer::Integer;
use num_traits::{CheckedMul, CheckedSub, One, Signed, ToPrimitive};

use crate::number::Number;

pub use enclosed::{Enclosed, MOISTURE_SLACK, wood_moisture_over};

/// How many decimal places [`wood_moisture`] is rounded to.
pub const MOISTURE_PLACES: u32 = 6;
/// The relative humidity, in %, that [`wood_moisture`] takes.
pub const HUMIDITY: std::ops::RangeInclusive<i128> = 0..=100;
/// The temperature, in degC, that [`wood_moisture`] takes.
pub const TEMPERATURE: std::ops::RangeInclusive<i128> = -20..=100;

/// The moisture content, in % of the dry weight, that wood comes to in air of a relative humidity (%) and a
/// temperature (degC).
///
/// The equation of A. J. Hailwood and S. Horrobin (Transactions of the Faraday Society 42B, 1946) with two hydrates, as
/// fitted to wood in the USDA Wood Handbook, FPL-GTR-190 (Forest Products Laboratory, 2010), chapter 4, with the
/// constants for degrees Celsius given by W. T. Simpson (FPL-RN-0268, 1998). With `h` the humidity as a fraction of one:
///
/// ```text
/// W  = 349   + 1.29     T + 0.0135     T²
/// K  = 0.805 + 0.000736 T - 0.00000273 T²
/// K1 = 6.27  - 0.00938  T - 0.000303   T²
/// K2 = 1.91  + 0.0407   T - 0.000293   T²
/// M  = 1800/W ( K h / (1 - K h)  +  (K1 K h + 2 K1 K2 K² h²) / (1 + K1 K h + K1 K2 K² h²) )
/// ```
///
/// It is the exact fraction rounded once, half to even, to six decimal places: so that comparing it is exact, repeatable
/// and cheap. Where floating point leaves no doubt how it is rounded, fractions are not needed ([`nearly`]). That is far finer than what it says of real wood; the laboratory's own review (Glass,
/// Zelinka and Johnson, FPL-GTR-229, 2014) calls the data behind it fit for practice and not for science.
///
/// None outside a humidity of 0 to 100 % or a temperature of -20 to 100 degC. The handbook's table begins at 30 degF
/// (about -1 degC); below that the equation is carried on. In all of the range it rises with the humidity. It falls with
/// the temperature from 8 degC on; between -20 and 8 degC it rises a little first, up to a turning point that is not the
/// same for every humidity ([`wood_moisture_over`] looks for it).
pub fn wood_moisture(humidity: Number, temperature: Number) -> Option<Number> {
    if !within(humidity, HUMIDITY) || !within(temperature, TEMPERATURE) {
        return None;
    }
    nearly::wood_moisture(humidity, temperature).or_else(|| exactly(humidity, temperature))
}

/// [`wood_moisture`] in fractions.
fn exactly(humidity: Number, temperature: Number) -> Option<Number> {
    let t = Fraction::of(temperature);
    // Constants are whole numbers over a power of ten: c0 + c1 T + c2 T² as (c0 + T (c1 + T c2)) / scale.
    let quadratic = |c0: i64, c1: i64, c2: i64, scale: i64| {
        let inner = Fraction::whole(c1).plus(&t.times(&Fraction::whole(c2)));
        Fraction::whole(c0).plus(&t.times(&inner)).by(&Fraction::whole(scale))
    };
    let w = quadratic(3_490_000, 12_900, 135, 10_000);
    let k = quadratic(80_500_000, 73_600, -273, 100_000_000);
    let k1 = quadratic(6_270_000, -9_380, -303, 1_000_000);
    let k2 = quadratic(1_910_000, 40_700, -293, 1_000_000);

    let solved = k.times(&Fraction::of(humidity)).by(&Fraction::whole(100));
    let first = k1.times(&solved);
    let second = k2.times(&solved).times(&first);
    let (one, two) = (Fraction::whole(1), Fraction::whole(2));
    // In the range K h stays below 0.88 and W above 0, so neither denominator comes near nought.
    let in_solution = solved.by(&one.plus(&solved.times(&Fraction::whole(-1))));
    let in_hydrates = first.plus(&two.times(&second)).by(&one.plus(&first).plus(&second));
    Fraction::whole(1800).by(&w).times(&in_solution.plus(&in_hydrates)).rounded()
}

/// How much wider (above nought) or narrower a piece of wood gets when its moisture goes from one percentage to
/// another: `width * coefficient * (to - from)`, in the unit of the width.
///
/// The dimensional change coefficient is that of the wood and of the cut, per per cent of moisture: radial for quarter
/// sawn plates, tangential for slab cut ones. USDA Wood Handbook, FPL-GTR-190 (2010), chapter 13, which gives it for
/// moistures between 6 and 14 %; beyond them real wood moves a little otherwise, and the straight line is carried on.
///
/// None where the numbers are too large to hold.
pub fn wood_movement(width: Number, coefficient: Number, from: Number, to: Number) -> Option<Number> {
    width.checked_mul(&coefficient)?.checked_mul(&to.checked_sub(&from)?)
}

fn within(number: Number, range: std::ops::RangeInclusive<i128>) -> bool {
    Number::from_integer(*range.start()) <= number && number <= Number::from_integer(*range.end())
}

/// A fraction without limits of size, for the terms of the equation outgrow 128 bits. It is never reduced on the way:
/// that would cost far more than all the rest.
struct Fraction {
    top: BigInt,
    bottom: BigInt,
}

impl Fraction {
    fn of(number: Number) -> Self {
        Self { top: BigInt::from(*number.numer()), bottom: BigInt::from(*number.denom()) }
    }

    fn whole(number: i64) -> Self {
        Self { top: BigInt::from(number), bottom: BigInt::one() }
    }

    fn plus(&self, other: &Self) -> Self {
        Self { top: &self.top * &other.bottom + &other.top * &self.bottom, bottom: &self.bottom * &other.bottom }
    }

    fn times(&self, other: &Self) -> Self {
        Self { top: &self.top * &other.top, bottom: &self.bottom * &other.bottom }
    }

    fn by(&self, other: &Self) -> Self {
        Self { top: &self.top * &other.bottom, bottom: &self.bottom * &other.top }
    }

    /// Rounded half to even to [`MOISTURE_PLACES`]; none unless what is below the line is above nought.
    fn rounded(&self) -> Option<Number> {
        if !self.bottom.is_positive() {
            return None;
        }
        let scale = 10_i128.pow(MOISTURE_PLACES);
        let (floor, rest) = (&self.top * scale).div_mod_floor(&self.bottom);
        let up = match (rest * 2_u8).cmp(&self.bottom) {
            std::cmp::Ordering::Less => false,
            std::cmp::Ordering::Greater => true,
            std::cmp::Ordering::Equal => floor.is_odd(),
        };
        let scaled = floor.to_i128()?.checked_add(i128::from(up))?;
        Some(Number::new(scaled, scale))
    }
}

#[cfg(test)]
mod tests {
    use num_traits::Zero;

    use super::*;
    use crate::number::{format_decimal, parse_decimal};

    fn number(text: &str) -> Number {
        parse_decimal(text).unwrap()
    }

    #[test]
    fn moisture_is_none_outside_its_range() {
        for (humidity, temperature) in [("-0.1", "20"), ("100.1", "20"), ("50", "-20.1"), ("50", "100.1")] {
            assert_eq!(wood_moisture(number(humidity), number(temperature)), None, "{humidity} % at {temperature}");
        }
        for (humidity, temperature) in [("0", "-20"), ("100", "100"), ("0", "100"), ("100", "-20")] {
            assert!(wood_moisture(number(humidity), number(temperature)).is_some(), "{humidity} % at {temperature}");
        }
        assert_eq!(wood_moisture(number("0"), number("20")), Some(Number::zero()));
    }

    #[test]
    fn moisture_rises_with_humidity() {
        for temperature in (-20..=100).step_by(10) {
            let at = |humidity: i128| wood_moisture(Number::from_integer(humidity), Number::from_integer(temperature)).unwrap();
            assert!((0..100).all(|humidity| at(humidity) < at(humidity + 1)), "{temperature}");
        }
    }

    #[test]
    fn moisture_falls_with_temperature_from_8_degrees_on() {
        for humidity in (5..=100).step_by(5) {
            let at =
                |temperature: i128| wood_moisture(Number::from_integer(humidity), Number::from_integer(temperature)).unwrap();
            assert!((8..100).all(|temperature| at(temperature) > at(temperature + 1)), "{humidity}");
        }
    }

    #[test]
    fn moisture_takes_long_fractions() {
        let moisture = wood_moisture(number("45.123456789012345678"), Number::new(63_333_333_333_333, 3_000_000_000_000));
        assert!(moisture.is_some_and(|moisture| format_decimal(moisture).starts_with("8.4")), "{moisture:?}");
    }

    #[test]
    fn movement_is_exact_and_signed() {
        let movement = |from: &str, to: &str| wood_movement(number("206"), number("0.00148"), number(from), number(to));
        assert_eq!(movement("11.0", "7.7"), Some(number("-1.006104")));
        assert_eq!(movement("8", "8"), Some(Number::zero()));
        let huge = Number::from_integer(i128::MAX);
        assert_eq!(wood_movement(huge, number("2"), number("6"), number("8")), None);
    }
}
