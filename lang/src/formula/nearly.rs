//! The moisture of wood in floating point, where that leaves no doubt which way it is rounded.

use num_traits::ToPrimitive;

use super::MOISTURE_PLACES;
use crate::number::Number;

/// Numbers up to this size are the same in floating point.
const WHOLE: u128 = 1 << f64::MANTISSA_DIGITS;

/// The scaled moisture is known to much less than this. Its terms are some thirty roundings of at most 2⁻⁵³ each, none of a
/// difference of nearly equal numbers (`1 - K h` stays above 0.12), and it is below 10⁸: that is less than 10⁻⁵.
const DOUBT: f64 = 1e-3;

/// What [`super::wood_moisture`] comes to, for a humidity and a temperature in its range; none where it lies too near the
/// middle between two roundings to be told like this, or where the numbers are too long.
pub fn wood_moisture(humidity: Number, temperature: Number) -> Option<Number> {
    let (h, t) = (float(humidity)? / 100.0, float(temperature)?);
    let quadratic = |c0: f64, c1: f64, c2: f64| c0 + t * (c1 + t * c2);
    let w = quadratic(349.0, 1.29, 0.0135);
    let k = quadratic(0.805, 0.000_736, -0.000_002_73);
    let k1 = quadratic(6.27, -0.009_38, -0.000_303);
    let k2 = quadratic(1.91, 0.0407, -0.000_293);
    let solved = k * h;
    let first = k1 * solved;
    let second = k2 * solved * first;
    let moisture = 1800.0 / w * (solved / (1.0 - solved) + (first + 2.0 * second) / (1.0 + first + second));
    let scale = 10_i128.pow(MOISTURE_PLACES);
    let scaled = moisture * scale.to_f64()?;
    let to_the_middle = (scaled - scaled.floor() - 0.5).abs();
    (to_the_middle > DOUBT).then(|| Some(Number::new(scaled.round().to_i128()?, scale)))?
}

fn float(number: Number) -> Option<f64> {
    let small = number.numer().unsigned_abs() <= WHOLE && number.denom().unsigned_abs() <= WHOLE;
    small.then(|| Some(number.numer().to_f64()? / number.denom().to_f64()?))?
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Wherever floating point tells, fractions tell the same; and it tells nearly everywhere.
    #[test]
    fn it_is_the_fraction_rounded() {
        let (mut told, mut all) = (0, 0);
        for tenths in (0..=1000).step_by(7) {
            for twentieths in (-400..=2000).step_by(13) {
                let (humidity, temperature) = (Number::new(tenths, 10), Number::new(twentieths, 20));
                all += 1;
                if let Some(moisture) = wood_moisture(humidity, temperature) {
                    told += 1;
                    assert_eq!(Some(moisture), super::super::exactly(humidity, temperature), "{humidity} %, {temperature} degC");
                }
            }
        }
        assert!(told * 100 > all * 98, "{told} of {all}");
    }

    #[test]
    fn long_numbers_are_left_to_fractions() {
        let long = Number::new((1 << 60) + 1, 1 << 54);
        assert_eq!((float(long), wood_moisture(long, Number::from_integer(20))), (None, None));
    }
}
