//! The moisture of wood over a whole range of humidities and temperatures: between which ends it lies.

use std::ops::RangeInclusive;

use num_traits::CheckedMul;

use super::{HUMIDITY, TEMPERATURE, wood_moisture};
use crate::number::Number;

/// From this temperature (degC) on, moisture falls as it gets warmer, whatever the humidity. Below it, it rises up to
/// a turning point, which lies elsewhere for every humidity, and falls from there.
const FALLS_FROM: i128 = 8;
/// The turning point is looked for among steps of one in so many of a degree.
const STEPS_A_DEGREE: i128 = 10;
/// How much (in % of moisture, above and below the line) is added to the best of the steps.
///
/// Moisture bends by at most 0.0071 per square degree between -20 and 8 degC, so between two steps it rises by less
/// than 0.00001 above the better one; the rest is for what rounding takes.
pub const MOISTURE_SLACK: (i128, i128) = (1, 50_000);

/// Between which ends the moisture of wood lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Enclosed {
    /// The least that it comes to.
    pub least: Number,
    /// Not below the greatest that it comes to, and not above it by more than [`MOISTURE_SLACK`].
    pub greatest: Number,
    /// Whether [`wood_moisture`] has no value in some of the range.
    pub beyond: bool,
}

/// Encloses [`wood_moisture`] over all humidities and temperatures between the given ends, the lesser first. None
/// where it has no value in any of them. Over one humidity and one temperature both ends are its value.
///
/// Moisture rises with the humidity, so its least is found at the least humidity and its greatest at the greatest. As
/// it gets warmer moisture first rises and then falls, so its least is at one of the ends of the temperature, and its
/// greatest at the turning point, if that lies between them.
pub fn wood_moisture_over(humidity: (Number, Number), temperature: (Number, Number)) -> Option<Enclosed> {
    let (dry, damp) = common(humidity, HUMIDITY)?;
    let (cold, warm) = common(temperature, TEMPERATURE)?;
    let least = wood_moisture(dry, cold)?.min(wood_moisture(dry, warm)?);
    let at_the_ends = wood_moisture(damp, cold)?.max(wood_moisture(damp, warm)?);
    let greatest = if cold == warm || cold >= Number::from_integer(FALLS_FROM) {
        at_the_ends
    } else {
        let best = best_step(damp, cold, warm).map_or(at_the_ends, |best| best.max(at_the_ends));
        best + Number::new(MOISTURE_SLACK.0, MOISTURE_SLACK.1)
    };
    let beyond = (dry, damp) != humidity || (cold, warm) != temperature;
    Some(Enclosed { least, greatest, beyond })
}

/// What two ranges have in common.
fn common((least, greatest): (Number, Number), range: RangeInclusive<i128>) -> Option<(Number, Number)> {
    let both = (least.max(Number::from_integer(*range.start())), greatest.min(Number::from_integer(*range.end())));
    (both.0 <= both.1).then_some(both)
}

/// The greatest moisture at any step between two temperatures, found by halving: it rises up to there and then falls.
fn best_step(humidity: Number, cold: Number, warm: Number) -> Option<Number> {
    let scale = Number::from_integer(STEPS_A_DEGREE);
    let mut low = cold.checked_mul(&scale)?.ceil().to_integer();
    let mut high = warm.min(Number::from_integer(FALLS_FROM)).checked_mul(&scale)?.floor().to_integer();
    if low > high {
        return None;
    }
    let at = |step: i128| wood_moisture(humidity, Number::new(step, STEPS_A_DEGREE));
    while low < high {
        let middle = (low + high).div_euclid(2);
        if at(middle)? < at(middle + 1)? {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    at(low)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::number::parse_decimal;

    fn number(text: &str) -> Number {
        parse_decimal(text).unwrap()
    }

    /// Tenths of a per cent of humidity at which rises and turns are looked at, low ones closer together.
    fn humidities() -> impl Iterator<Item = Number> {
        (0..20).chain((20..100).step_by(10)).chain((100..=1000).step_by(50)).map(|tenths| Number::new(tenths, 10))
    }

    /// What the enclosure rests on, on a grid: one turning point at most, not above 8 degC.
    #[test]
    fn moisture_rises_and_then_falls_as_it_gets_warmer() {
        for humidity in humidities() {
            let at = |half: i128| wood_moisture(humidity, Number::new(half, 2)).unwrap();
            let steps: Vec<Number> = (-40..=200).map(at).collect();
            let turn = steps.windows(2).position(|pair| pair[1] < pair[0]).unwrap_or(steps.len() - 1);
            assert!(steps[..=turn].is_sorted(), "{humidity} %");
            assert!(steps[turn..].is_sorted_by(|a, b| a >= b), "{humidity} %");
            assert!(humidity == Number::from_integer(0) || turn <= 40 + 16, "{humidity} %: turns at step {turn}");
        }
    }

    /// No value on a dense grid lies outside, and the upper end is above what the grid reaches by the slack and what a
    /// grid as wide as this one may itself miss of the turning point.
    #[test]
    fn the_enclosure_holds_every_value_and_is_tight() {
        let temperatures = [
            ("-20", "100"),
            ("-20", "-10.03"),
            ("-10", "45"),
            ("-3.37", "8"),
            ("0", "7.99"),
            ("1.02", "1.08"),
            ("1.76", "1.77"),
            ("4", "4.5"),
            ("6.5", "31"),
            ("8", "21.3"),
            ("22", "22"),
        ];
        let slack = Number::new(MOISTURE_SLACK.0, MOISTURE_SLACK.1) + number("0.00003");
        for (cold, warm) in temperatures.map(|(cold, warm)| (number(cold), number(warm))) {
            // Beyond 9 degC it only falls, as another test holds, so the grid may be coarse there.
            let cool = warm.min(cold.max(Number::from_integer(9)));
            let grid: Vec<Number> = (0..=240).map(|i| cold + (cool - cold) * Number::new(i, 240)).chain([warm]).collect();
            for damp in humidities().skip(1).step_by(4) {
                let dry = damp / Number::from_integer(2);
                let over = wood_moisture_over((dry, damp), (cold, warm)).unwrap();
                let values = |humidity| grid.iter().map(move |warmth| wood_moisture(humidity, *warmth).unwrap());
                let place = format!("{dry} to {damp} %, {cold} to {warm} degC: {over:?}");
                let (least, greatest) = (values(dry).min().unwrap(), values(damp).max().unwrap());
                assert_eq!(over.least, least, "{place}");
                assert!(greatest <= over.greatest && over.greatest <= greatest + slack, "{place}, and it is {greatest}");
                assert!(!over.beyond, "{place}");
            }
        }
    }

    #[test]
    fn the_turning_point_is_between_the_ends() {
        let cool = wood_moisture_over((number("100"), number("100")), (number("-20"), number("20"))).unwrap();
        let corners = wood_moisture(number("100"), number("-20")).max(wood_moisture(number("100"), number("20"))).unwrap();
        assert!(cool.greatest > corners + number("0.2"), "{cool:?}, at the corners {corners}");
    }

    #[test]
    fn a_single_point_is_its_own_value() {
        for (humidity, temperature) in [("45", "21"), ("45", "-5"), ("100", "100")].map(|(h, t)| (number(h), number(t))) {
            let value = wood_moisture(humidity, temperature).unwrap();
            let enclosed = Enclosed { least: value, greatest: value, beyond: false };
            assert_eq!(wood_moisture_over((humidity, humidity), (temperature, temperature)), Some(enclosed));
        }
    }

    #[test]
    fn what_lies_beyond_is_cut_off_and_told() {
        let over = |humidity: (&str, &str), temperature: (&str, &str)| {
            let pair = |(a, b): (&str, &str)| (number(a), number(b));
            wood_moisture_over(pair(humidity), pair(temperature))
        };
        let inside = over(("20", "100"), ("-20", "30")).unwrap();
        assert_eq!(over(("20", "120"), ("-40", "30")), Some(Enclosed { beyond: true, ..inside }));
        assert_eq!(over(("20", "30"), ("101", "120")), None);
    }
}
