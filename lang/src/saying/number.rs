//! Numbers with units: measured, counted and priced looks.

use super::{Bad, Saying, date, quoted, shown};
use crate::book::{Look, LookKind};
use crate::nearest::nearest;
use crate::number::{NotANumber, Number, format_decimal, parse_decimal};
use crate::unit::{Currency, Dimension, Unit};

/// What a number is read against.
pub(super) struct Scale {
    /// The unit of a bare number.
    unit: Unit,
    /// Least, base unit.
    low: Number,
    /// Greatest, base unit; none where nothing limits it.
    high: Option<Number>,
    /// Whether only whole numbers fit.
    whole: bool,
    /// Whether a single number is a reading, which widens.
    reading: bool,
}

impl Scale {
    /// The scale of a look that holds a number.
    pub(super) fn of(look: &Look, heading_unit: Option<Unit>, money: Currency) -> Self {
        let nought = Number::from_integer(0);
        match &look.kind {
            LookKind::Measured { unit, from, to, give_or_take } => Self {
                unit: heading_unit.unwrap_or(*unit),
                low: *from,
                high: Some(*to),
                whole: false,
                reading: give_or_take.is_some_and(|error| error > nought),
            },
            LookKind::Counted { from, to } => Self {
                unit: Unit::None,
                low: Number::from_integer((*from).into()),
                high: Some(Number::from_integer((*to).into())),
                whole: true,
                reading: false,
            },
            LookKind::Priced { from, to } => Self { low: *from, high: Some(*to), ..Self::price(money) },
            // The other kinds hold no number.
            LookKind::YesNo | LookKind::OneOf(_) | LookKind::SomeOf(_) | LookKind::Dated | LookKind::Written => {
                Self { unit: Unit::None, low: nought, high: None, whole: false, reading: false }
            }
        }
    }

    /// The scale of a sum of money that is no look's.
    pub(super) fn price(money: Currency) -> Self {
        Self { unit: Unit::Money(money), low: Number::from_integer(0), high: None, whole: false, reading: false }
    }

    fn dimension(&self) -> Dimension {
        self.unit.dimension()
    }

    fn holds(&self, value: Number) -> bool {
        value >= self.low && self.high.is_none_or(|high| value <= high)
    }
}

/// What a look that holds a number says.
pub(super) fn parse(scale: &Scale, text: &str) -> Result<Saying, Bad> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let is = |at: usize, word: &str| words.get(at).is_some_and(|written| written.eq_ignore_ascii_case(word));
    if is(0, "at") && (is(1, "least") || is(1, "most")) {
        let put_back = |quantity: &str| format!("{} {} {quantity}", words[0], words[1]);
        let quantity = Quantity::read(scale, &words[2..]).map_err(|bad| bad.within(put_back))?;
        let value = quantity.in_base(scale, quantity.unit).map_err(|bad| bad.within(put_back))?;
        return Ok(if is(1, "least") {
            Saying::Between { low: Some(value), high: None, reading: false }
        } else {
            Saying::Between { low: None, high: Some(value), reading: false }
        });
    }
    let start = usize::from(is(0, "from"));
    if let Some(to) = words.iter().position(|word| word.eq_ignore_ascii_case("to")).filter(|&to| to > start) {
        return range(scale, &words[start..to], &words[to + 1..]);
    }
    let quantity = Quantity::read(scale, &words).map_err(|bad| other_shapes(scale, &words).unwrap_or(bad))?;
    let value = quantity.in_base(scale, quantity.unit)?;
    Ok(Saying::Between { low: Some(value), high: Some(value), reading: scale.reading })
}

/// `A to B`: an end without a unit takes the other's.
fn range(scale: &Scale, from: &[&str], to: &[&str]) -> Result<Saying, Bad> {
    let (from_text, to_text) = (from.join(" "), to.join(" "));
    let low_back = |quantity: &str| format!("{quantity} to {to_text}");
    let high_back = |quantity: &str| format!("{from_text} to {quantity}");
    let low = Quantity::read(scale, from).map_err(|bad| bad.within(low_back))?;
    let high = Quantity::read(scale, to).map_err(|bad| bad.within(high_back))?;
    let low_value = low.in_base(scale, low.unit.or(high.unit)).map_err(|bad| bad.within(low_back))?;
    let high_value = high.in_base(scale, high.unit.or(low.unit)).map_err(|bad| bad.within(high_back))?;
    if low_value > high_value {
        let unit =
            |quantity: &Quantity, other: &Quantity| quantity.unit.or(other.unit).map_or(String::new(), |u| format!(" {u}"));
        let turned = format!(
            "{}{} to {}{}",
            format_decimal(high.number),
            unit(&high, &low),
            format_decimal(low.number),
            unit(&low, &high)
        );
        return Err(Bad::new("the greater end comes first").or(turned));
    }
    Ok(Saying::Between { low: Some(low_value), high: Some(high_value), reading: false })
}

/// A number and its own unit.
struct Quantity {
    number: Number,
    /// How many decimal places are written.
    places: usize,
    unit: Option<Unit>,
}

impl Quantity {
    fn read(scale: &Scale, words: &[&str]) -> Result<Self, Bad> {
        let text = words.join(" ");
        let end = text.find(|c: char| !matches!(c, '0'..='9' | '.' | ',' | '-')).unwrap_or(text.len());
        let (digits, rest) = text.split_at(end);
        let rest = rest.trim_start();
        if digits.is_empty() || !digits.bytes().any(|b| b.is_ascii_digit()) {
            return Err(no_number(scale, &text));
        }
        let unit = if rest.is_empty() { None } else { Some(unit(scale, digits, rest)?) };
        match parse_decimal(digits) {
            Ok(number) => Ok(Self { number, places: digits.split_once('.').map_or(0, |(_, places)| places.len()), unit }),
            Err(reason) => Err(bad_digits(digits, rest, reason)),
        }
    }

    /// The value in the base unit, if the look can hold it.
    fn in_base(&self, scale: &Scale, own: Option<Unit>) -> Result<Number, Bad> {
        let unit = own.unwrap_or(scale.unit);
        let shown =
            || if unit == Unit::None { format_decimal(self.number) } else { format!("{} {unit}", format_decimal(self.number)) };
        let value = unit.to_base(self.number).ok_or_else(|| Bad::new(format!("{} is too large", shown())))?;
        if scale.whole && !value.is_integer() {
            return Err(Bad::new(format!("{} is not a whole number", shown())));
        }
        if let Unit::Money(money) = unit {
            let places = money.minor_places();
            // What parts thousands elsewhere parts decimals here: 1.200 must not pass for 1.2.
            let thousands = self.places == 3 && places != 3;
            if thousands || !money.takes(value.fract()) {
                let mut why = if places == 0 {
                    format!("{money} has no decimal places")
                } else {
                    format!("{money} has {places} decimal places")
                };
                if thousands {
                    why.push_str("; nothing parts thousands");
                }
                return Err(Bad::new(why));
            }
        }
        if !scale.holds(value) {
            return Err(Bad::new(format!("{} is outside what this look takes", shown())));
        }
        Ok(value)
    }
}

/// The unit after a number. Capitals do not matter: no two units differ by them alone.
fn unit(scale: &Scale, digits: &str, text: &str) -> Result<Unit, Bad> {
    let known = Unit::parse(text).or_else(|| {
        let spelled = Unit::SPELLINGS.iter().find(|(spelling, _)| spelling.eq_ignore_ascii_case(text));
        spelled.map(|(_, unit)| *unit).or_else(|| Currency::parse(&text.to_ascii_uppercase()).map(Unit::Money))
    });
    let Some(unit) = known else {
        return Err(no_unit(scale, digits, text));
    };
    if scale.whole {
        return Err(Bad::new("a count has no unit").or(digits));
    }
    if unit.dimension() != scale.dimension() {
        let (given, wanted) = (unit.dimension(), scale.dimension());
        let mut wanted_in = wanted.to_string();
        // The two kinds of time are called by their units.
        if !wanted_in.contains(" in ") {
            wanted_in.push_str(&format!(" in {}", wanted.units()));
        }
        return Err(Bad::new(format!("{} {text} is {given}, and this look takes {wanted_in}", shown(digits))));
    }
    if let (Unit::Money(given), Unit::Money(own)) = (unit, scale.unit)
        && given != own
    {
        return Err(Bad::new(format!("{given} is not the rulebook's money, {own}")));
    }
    Ok(unit)
}

/// Ways of writing units that are not in the language, and what is meant.
const MEANT: [(&str, Unit); 22] = [
    ("\"", Unit::Inch),
    ("''", Unit::Inch),
    ("\u{2033}", Unit::Inch),
    ("\u{201d}", Unit::Inch),
    ("inches", Unit::Inch),
    ("millimetres", Unit::Mm),
    ("millimeters", Unit::Mm),
    ("centimetres", Unit::Cm),
    ("centimeters", Unit::Cm),
    ("\u{b0}", Unit::Deg),
    ("degree", Unit::Deg),
    ("degrees", Unit::Deg),
    ("\u{b0}C", Unit::DegC),
    ("C", Unit::DegC),
    ("\u{b0}F", Unit::DegF),
    ("F", Unit::DegF),
    ("percent", Unit::Percent),
    ("per cent", Unit::Percent),
    ("minutes", Unit::Min),
    ("hours", Unit::H),
    ("hour", Unit::H),
    ("hrs", Unit::H),
];

/// What is wrong with text after a number that is no unit.
fn no_unit(scale: &Scale, digits: &str, text: &str) -> Bad {
    if let Some(shape) = fraction_or_group(digits, text).or_else(|| power_of_ten(digits, text)) {
        return shape;
    }
    let why = format!("{} is not a unit", shown(text));
    if scale.whole || scale.unit == Unit::None {
        return Bad::new(why).or(digits);
    }
    let meant = MEANT.iter().find(|(spelling, _)| super::same_but_capitals(spelling, text)).map(|(_, unit)| *unit);
    let fitting = Unit::SPELLINGS.iter().filter(|(_, unit)| unit.dimension() == scale.dimension());
    let near = meant.or_else(|| nearest(text, fitting.map(|(spelling, _)| *spelling)).and_then(Unit::parse));
    match near.filter(|unit| unit.dimension() == scale.dimension()) {
        Some(unit) => Bad::new(why).or(format!("{digits} {unit}")),
        None => Bad::new(why).or(format!("{digits} {}", scale.unit)),
    }
}

/// `1/2 inch`, `3 1/2` and `1 200`: what is meant is written with a point, or without the gap.
fn fraction_or_group(digits: &str, text: &str) -> Option<Bad> {
    let text = text.strip_prefix(['\'', '\u{2019}']).unwrap_or(text);
    let end = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '/' | ' '))).unwrap_or(text.len());
    let (figures, unit) = text.split_at(end);
    let unit = unit.trim();
    let with_unit =
        |number: Number| if unit.is_empty() { format_decimal(number) } else { format!("{} {unit}", format_decimal(number)) };
    let parts: Vec<&str> = figures.split('/').map(str::trim).collect();
    let number = |text: &str| if text.len() <= 6 { parse_decimal(text).ok().filter(Number::is_integer) } else { None };
    let (whole, top, bottom) = match parts.as_slice() {
        ["", bottom] => (Number::from_integer(0), number(digits)?, number(bottom)?),
        [top, bottom] => (number(digits)?, number(top)?, number(bottom)?),
        [group] if group.len() == 3 && !group.contains(' ') => {
            let joined = parse_decimal(&format!("{digits}{group}")).ok()?;
            return Some(Bad::new("a number has no gaps or marks in it").or(with_unit(joined)));
        }
        _ => return None,
    };
    let bad = Bad::new("a fraction is written with a point");
    if *bottom.numer() <= 0 || top < Number::from_integer(0) {
        return Some(bad);
    }
    let value = if digits.starts_with('-') { whole - top / bottom } else { whole + top / bottom };
    // A third has no finite decimal, and a rounded one is for the writer to choose.
    let finite = parse_decimal(&format_decimal(value)).is_ok_and(|written| written == value);
    Some(if finite { bad.or(with_unit(value)) } else { bad })
}

/// `1e5`: no unit, but a number as machines write it.
fn power_of_ten(digits: &str, text: &str) -> Option<Bad> {
    let (power, unit) = text.strip_prefix(['e', 'E'])?.split_once(' ').unwrap_or((&text[1..], ""));
    let power: i32 = power.strip_prefix('+').unwrap_or(power).parse().ok()?;
    if !(-9..=9).contains(&power) {
        return Some(Bad::new("a number is written out, without a power of ten"));
    }
    let value = parse_decimal(digits).ok()? * Number::from_integer(10).pow(power);
    let unit = unit.trim();
    let space = if unit.is_empty() { "" } else { " " };
    Some(Bad::new("a number is written out, without a power of ten").or(format!("{}{space}{unit}", format_decimal(value))))
}

/// What is wrong with figures that are not a number.
fn bad_digits(digits: &str, unit: &str, reason: NotANumber) -> Bad {
    let with_unit = |number: &str| if unit.is_empty() { number.to_owned() } else { format!("{number} {unit}") };
    match reason {
        NotANumber::TooLong => Bad::new(format!("{} has too many digits", shown(digits))),
        NotANumber::Comma => {
            let (before, after) = digits.rsplit_once(',').unwrap_or((digits, ""));
            let one_comma = !before.contains([',', '.']) && !after.contains('.');
            if one_comma && after.len() == 3 && before != "0" && before != "-0" {
                let why = format!("{} may mean {before}{after} or {before}.{after}", shown(digits));
                return Bad::new(why);
            }
            let meant = if one_comma {
                format!("{before}.{after}")
            } else if digits.rfind('.') > digits.rfind(',') {
                digits.replace(',', "")
            } else {
                format!("{}.{after}", before.replace(['.', ','], ""))
            };
            let bad = Bad::new("a number is written with a point, and without commas");
            if parse_decimal(&meant).is_ok() { bad.or(with_unit(&meant)) } else { bad }
        }
        NotANumber::Shape => {
            let bad = Bad::new(format!("{} is not a number", quoted(digits)));
            let meant = [format!("0{digits}"), format!("{digits}0"), digits.trim_end_matches('.').to_owned()];
            match (digits.split_once('-'), meant.iter().find(|meant| parse_decimal(meant).is_ok())) {
                (_, Some(meant)) => bad.or(with_unit(meant)),
                (Some((low, high)), None) if parse_decimal(low).is_ok() && parse_decimal(high).is_ok() => {
                    Bad::new("a range is written with `to`").or(with_unit(&format!("{low} to {high}")))
                }
                _ => bad,
            }
        }
    }
}

/// What is wrong with text that does not begin with figures.
fn no_number(scale: &Scale, text: &str) -> Bad {
    if text.is_empty() {
        return Bad::new("a number is missing");
    }
    if scale.whole && text.eq_ignore_ascii_case("none") {
        return Bad::new("none of them is written 0").or("0");
    }
    Bad::new(format!("{} is not a number", quoted(text)))
}

/// Ways of saying one end of a range that are not in the language, and what is meant.
const ENDS: [(&str, &str); 16] = [
    (">=", "at least"),
    ("\u{2265}", "at least"),
    ("<=", "at most"),
    ("\u{2264}", "at most"),
    (">", "at least"),
    ("<", "at most"),
    ("above", "at least"),
    ("over", "at least"),
    ("more than", "at least"),
    ("min", "at least"),
    ("from", "at least"),
    ("below", "at most"),
    ("under", "at most"),
    ("less than", "at most"),
    ("up to", "at most"),
    ("max", "at most"),
];

/// What is wrong with text that is not a quantity but was meant as something: an end of a range, two whole numbers,
/// a range with a dash, money with its code first, a date that a spreadsheet has made.
fn other_shapes(scale: &Scale, words: &[&str]) -> Option<Bad> {
    let text = words.join(" ");
    for (written, meant) in ENDS {
        let rest =
            text.get(..written.len()).filter(|start| start.eq_ignore_ascii_case(written)).map(|_| text[written.len()..].trim());
        if let Some(rest) = rest.filter(|rest| Quantity::read(scale, &[rest]).is_ok()) {
            let why = format!("an end of a range is written `{meant}`, and belongs to the range");
            return Some(Bad::new(why).or(format!("{meant} {rest}")));
        }
    }
    if let Some((one, other)) = text.split_once(" or ") {
        let fits = |quantity: &str| Quantity::read(scale, &[quantity]).is_ok();
        let bad = Bad::new("several numbers are written as a range");
        return Some(if fits(one) && fits(other) { bad.or(format!("{} to {}", one.trim(), other.trim())) } else { bad });
    }
    if let Unit::Money(money) = scale.unit {
        let sign = ['$', '\u{20ac}', '\u{a3}', '\u{a5}'];
        let amount = text.strip_prefix(money.code()).or_else(|| text.strip_prefix(sign)).map(str::trim);
        if let Some(amount) = amount.filter(|amount| Quantity::read(scale, &[amount]).is_ok()) {
            return Some(Bad::new("the money's code stands after the sum").or(format!("{amount} {money}")));
        }
    }
    if let Some(figures) = text.strip_prefix(['+', '~']) {
        let why = "a number is written without a sign before it";
        return Quantity::read(scale, &[figures.trim()]).is_ok().then(|| Bad::new(why).or(figures.trim()));
    }
    if let Some(figures) = text.strip_prefix('\u{2212}') {
        return Some(Bad::new("a minus is written -").or(format!("-{}", figures.trim())));
    }
    if let Some(range) = dashed(scale, &text) {
        return Some(range);
    }
    if date::numbers_of_a_date(&text).is_some() && parse_decimal(&text).is_err() {
        return Some(Bad::new(format!(
            "{} looks like a date, which a spreadsheet may have made of what was typed",
            shown(&text)
        )));
    }
    None
}

/// `3 - 4 mm` and `3\u{2013}4 mm`, where `3 to 4 mm` is meant.
fn dashed(scale: &Scale, text: &str) -> Option<Bad> {
    let (low, high) = text.split_once(['\u{2013}', '\u{2014}']).or_else(|| text.split_once(" - "))?;
    let fits = |quantity: &str| Quantity::read(scale, &[quantity.trim()]).is_ok();
    (fits(low) && fits(high)).then(|| Bad::new("a range is written with `to`").or(format!("{} to {}", low.trim(), high.trim())))
}

impl Bad {
    /// What is offered in place of a part of the text, put back into the whole.
    fn within(self, whole: impl FnOnce(&str) -> String) -> Self {
        Self { nearest: self.nearest.map(|part| whole(&part)), ..self }
    }
}
