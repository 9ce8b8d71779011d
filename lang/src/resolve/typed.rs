//! Values with their dimension: which may be added, multiplied and compared, and what to say when they may not.

use crate::book::{ArithmeticSign, Value};
use crate::diagnostic::Diagnostic;
use crate::number::{Number, format_decimal};
use crate::span::Span;
use crate::unit::Dimension;

/// A resolved value, what it is a quantity of, and where it was written.
#[derive(Debug, Clone)]
pub struct Typed {
    /// The value, in base units.
    pub value: Value,
    /// Its dimension.
    pub dimension: Dimension,
    /// Whether it may have two ends: a range, a table of ranges, or arithmetic on one.
    pub ranged: bool,
    /// Where it stands.
    pub span: Span,
}

impl Typed {
    /// A value of a single end.
    pub fn single(value: Value, dimension: Dimension, span: Span) -> Self {
        Self { value, dimension, ranged: false, span }
    }

    /// The number or range as text, where it was written without a unit.
    pub fn bare(&self) -> Option<String> {
        match self.value {
            _ if self.dimension != Dimension::NUMBER => None,
            Value::Number(number) => Some(format_decimal(number)),
            Value::Range(low, high) => Some(format!("{} to {}", format_decimal(low), format_decimal(high))),
            _ => None,
        }
    }
}

/// `left sign right`, or why it cannot be.
pub fn arithmetic(sign: ArithmeticSign, left: Typed, right: Typed) -> Result<Typed, Diagnostic> {
    for side in [&left, &right] {
        if !side.dimension.reckons() {
            return Err(only_compared(sign, side));
        }
    }
    if sign == ArithmeticSign::By && right.value == Value::Number(Number::from_integer(0)) {
        return Err(Diagnostic::error("divided-by-nought", right.span, "Nothing can be divided by nought.")
            .label("this is nought")
            .help("Write a divisor other than 0."));
    }
    let (dimension, share) = match sign {
        ArithmeticSign::Plus | ArithmeticSign::Minus => {
            if left.dimension != right.dimension {
                return Err(unlike(sign, &left, &right));
            }
            (left.dimension, Share::Neither)
        }
        ArithmeticSign::Times => product(&left, &right)?,
        ArithmeticSign::By => quotient(&left, &right)?,
    };
    let span = left.span.to(right.span);
    let ranged = left.ranged || right.ranged;
    let (left, right) = match share {
        Share::Neither => (left.value, right.value),
        Share::Left => (as_factor(left.value), right.value),
        Share::Right => (left.value, as_factor(right.value)),
    };
    Ok(Typed { value: Value::Arithmetic(sign, Box::new(left), Box::new(right)), dimension, ranged, span })
}

/// Which side of a product is a percentage that counts as a share of the other side.
enum Share {
    Neither,
    Left,
    Right,
}

fn product(left: &Typed, right: &Typed) -> Result<(Dimension, Share), Diagnostic> {
    let (a, b) = (left.dimension, right.dimension);
    if a == Dimension::NUMBER || b == Dimension::NUMBER {
        return Ok((if a == Dimension::NUMBER { b } else { a }, Share::Neither));
    }
    if b == Dimension::PERCENT {
        return Ok((a, Share::Right));
    }
    if a == Dimension::PERCENT {
        return Ok((b, Share::Left));
    }
    match a.times(b) {
        Some(dimension) => Ok((dimension, Share::Neither)),
        None => Err(too_many_powers(left, right)),
    }
}

fn quotient(left: &Typed, right: &Typed) -> Result<(Dimension, Share), Diagnostic> {
    let (a, b) = (left.dimension, right.dimension);
    if b == Dimension::PERCENT && a != Dimension::PERCENT {
        return Ok((a, Share::Right));
    }
    match a.by(b) {
        Some(dimension) => Ok((dimension, Share::Neither)),
        None => Err(too_many_powers(left, right)),
    }
}

/// A percentage as a share of one: 50 % of a sum is the sum times a half.
fn as_factor(value: Value) -> Value {
    let hundred = Number::from_integer(100);
    match value {
        Value::Number(number) => Value::Number(number / hundred),
        other => Value::Arithmetic(ArithmeticSign::By, Box::new(other), Box::new(Value::Number(hundred))),
    }
}

fn only_compared(sign: ArithmeticSign, side: &Typed) -> Diagnostic {
    let (what, help) = if side.dimension == Dimension::DATE {
        ("Dates are compared, not reckoned with", "Write `days from A to B` for the time between two dates.")
    } else {
        ("Temperatures are compared, not reckoned with", "Compare the temperature with another one, or use `wood-moisture`.")
    };
    Diagnostic::error(
        "cannot-reckon",
        side.span,
        format!("{what}: {} stands before or after `{}` here.", side.dimension, symbol(sign)),
    )
    .label(side.dimension.to_string())
    .help(help)
}

fn unlike(sign: ArithmeticSign, left: &Typed, right: &Typed) -> Diagnostic {
    let verb = if sign == ArithmeticSign::Plus { "added to" } else { "taken from" };
    let says = format!("{} cannot be {verb} {}.", upper(&right.dimension.to_string()), left.dimension);
    Diagnostic::error("unit-mismatch", right.span, says)
        .label(right.dimension.to_string())
        .place(left.span, left.dimension.to_string())
        .help(like_help(left.dimension, right.dimension))
}

/// What to write so that `given` becomes the `expected` dimension.
pub fn like_help(expected: Dimension, given: Dimension) -> String {
    let times = [Dimension::TIME, Dimension::MONTHS];
    if times.contains(&expected) && times.contains(&given) {
        return format!(
            "Write both in {}, or both in {}: a month is not a number of days.",
            Dimension::TIME.units(),
            Dimension::MONTHS.units()
        );
    }
    match expected.units() {
        _ if expected == Dimension::DATE => {
            "Write a date such as 2026-11-20, or hold `days from A to B` against a number of days.".to_owned()
        }
        "no unit" if expected == Dimension::NUMBER => "Write a number without a unit.".to_owned(),
        "no unit" => format!("Write {expected}."),
        units => format!("Write a value in {units}."),
    }
}

fn too_many_powers(left: &Typed, right: &Typed) -> Diagnostic {
    Diagnostic::error(
        "cannot-reckon",
        left.span.to(right.span),
        format!("{} and {} make no quantity that could be used.", upper(&left.dimension.to_string()), right.dimension),
    )
    .help("Leave one of the two out.")
}

fn symbol(sign: ArithmeticSign) -> &'static str {
    match sign {
        ArithmeticSign::Plus => "+",
        ArithmeticSign::Minus => "-",
        ArithmeticSign::Times => "*",
        ArithmeticSign::By => "/",
    }
}

/// The text with a capital first letter, to begin a sentence.
pub fn upper(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn literal(number: i128, dimension: Dimension) -> Typed {
        Typed::single(Value::Number(Number::from_integer(number)), dimension, Span::default())
    }

    fn dimension(sign: ArithmeticSign, left: Dimension, right: Dimension) -> Result<Dimension, &'static str> {
        arithmetic(sign, literal(6, left), literal(3, right)).map(|typed| typed.dimension).map_err(|diagnostic| diagnostic.slug)
    }

    #[test]
    fn like_is_added_to_like() {
        use ArithmeticSign::Plus;
        assert_eq!(dimension(Plus, Dimension::LENGTH, Dimension::LENGTH), Ok(Dimension::LENGTH));
        assert_eq!(dimension(Plus, Dimension::LENGTH, Dimension::MONEY), Err("unit-mismatch"));
        assert_eq!(dimension(Plus, Dimension::TIME, Dimension::MONTHS), Err("unit-mismatch"));
        assert_eq!(dimension(Plus, Dimension::TEMPERATURE, Dimension::TEMPERATURE), Err("cannot-reckon"));
        assert_eq!(dimension(Plus, Dimension::DATE, Dimension::TIME), Err("cannot-reckon"));
    }

    #[test]
    fn a_percentage_of_something_is_a_share_of_it() {
        use ArithmeticSign::{By, Times};
        assert_eq!(dimension(Times, Dimension::PERCENT, Dimension::MONEY), Ok(Dimension::MONEY));
        assert_eq!(dimension(Times, Dimension::NUMBER, Dimension::PERCENT), Ok(Dimension::PERCENT));
        assert_eq!(dimension(By, Dimension::MONEY, Dimension::PERCENT), Ok(Dimension::MONEY));
        assert_eq!(dimension(By, Dimension::LENGTH, Dimension::LENGTH), Ok(Dimension::NUMBER));
        let half = arithmetic(Times, literal(50, Dimension::PERCENT), literal(8, Dimension::MONEY)).map(|typed| typed.value);
        let expected = Value::Arithmetic(
            Times,
            Box::new(Value::Number(Number::new(1, 2))),
            Box::new(Value::Number(Number::from_integer(8))),
        );
        assert_eq!(half, Ok(expected));
    }

    #[test]
    fn nothing_is_divided_by_nought() {
        let zero = literal(0, Dimension::NUMBER);
        assert_eq!(
            arithmetic(ArithmeticSign::By, literal(1, Dimension::MONEY), zero).map_err(|d| d.slug).map(|t| t.dimension),
            Err("divided-by-nought")
        );
    }
}
