//! Dimensions, and the units that measure them.
//!
//! Exact factors: UCUM 2.2 (1 inch = 2.54 cm; a week is 7 days); degrees Fahrenheit by their definition, (F - 32) * 5 / 9.

use std::fmt;

use super::Currency;
use crate::number::Number;

/// What a quantity is a quantity of: powers of the base dimensions, or one of the two that are only compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Dimension {
    length: i8,
    angle: i8,
    percent: i8,
    time: i8,
    months: i8,
    money: i8,
    special: Special,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Special {
    None,
    Temperature,
    Date,
}

impl Dimension {
    /// A bare number.
    pub const NUMBER: Self = Self { length: 0, angle: 0, percent: 0, time: 0, months: 0, money: 0, special: Special::None };
    /// Base unit mm.
    pub const LENGTH: Self = Self { length: 1, ..Self::NUMBER };
    /// Base unit deg.
    pub const ANGLE: Self = Self { angle: 1, ..Self::NUMBER };
    /// Base unit %.
    pub const PERCENT: Self = Self { percent: 1, ..Self::NUMBER };
    /// Base unit min: `min h days weeks`.
    pub const TIME: Self = Self { time: 1, ..Self::NUMBER };
    /// Base unit months: `months years`. A month is not a number of days.
    pub const MONTHS: Self = Self { months: 1, ..Self::NUMBER };
    /// Base unit: one major unit of the rulebook's money.
    pub const MONEY: Self = Self { money: 1, ..Self::NUMBER };
    /// Base unit degC; compared, never added.
    pub const TEMPERATURE: Self = Self { special: Special::Temperature, ..Self::NUMBER };
    /// A day number; compared, never added.
    pub const DATE: Self = Self { special: Special::Date, ..Self::NUMBER };

    /// Whether values of it may be added, multiplied and divided.
    pub fn reckons(self) -> bool {
        self.special == Special::None
    }

    /// The dimension of a product; none if either cannot be reckoned with.
    pub fn times(self, other: Self) -> Option<Self> {
        self.combine(other, i8::checked_add)
    }

    /// The dimension of a quotient; none if either cannot be reckoned with.
    pub fn by(self, other: Self) -> Option<Self> {
        self.combine(other, i8::checked_sub)
    }

    fn combine(self, other: Self, with: fn(i8, i8) -> Option<i8>) -> Option<Self> {
        if !self.reckons() || !other.reckons() {
            return None;
        }
        Some(Self {
            length: with(self.length, other.length)?,
            angle: with(self.angle, other.angle)?,
            percent: with(self.percent, other.percent)?,
            time: with(self.time, other.time)?,
            months: with(self.months, other.months)?,
            money: with(self.money, other.money)?,
            special: Special::None,
        })
    }

    /// How to write a value of it: the units that fit, for a message.
    pub fn units(self) -> &'static str {
        match self {
            Self::LENGTH => "mm, cm, m or inch",
            Self::ANGLE => "deg",
            Self::PERCENT => "%",
            Self::TIME => "min, h, days or weeks",
            Self::MONTHS => "months or years",
            Self::MONEY => "the rulebook's money",
            Self::TEMPERATURE => "degC or degF",
            Self::DATE => "a date such as 2026-11-20",
            _ => "no unit",
        }
    }
}

impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = match *self {
            Self::NUMBER => "a bare number",
            Self::LENGTH => "a length",
            Self::ANGLE => "an angle",
            Self::PERCENT => "a percentage",
            Self::TIME => "a time in min, h, days or weeks",
            Self::MONTHS => "a time in months or years",
            Self::MONEY => "money",
            Self::TEMPERATURE => "a temperature",
            Self::DATE => "a date",
            _ => "",
        };
        if !name.is_empty() {
            return f.write_str(name);
        }
        let powers = [
            (self.length, "mm"),
            (self.angle, "deg"),
            (self.percent, "%"),
            (self.time, "min"),
            (self.months, "months"),
            (self.money, "money"),
        ];
        let part = |sign: i8| {
            let named: Vec<String> = powers
                .iter()
                .filter(|(power, _)| power.signum() == sign)
                .map(|(power, unit)| if power.abs() == 1 { (*unit).to_owned() } else { format!("{unit}^{}", power.abs()) })
                .collect();
            named.join(" * ")
        };
        match (part(1), part(-1)) {
            (top, bottom) if bottom.is_empty() => write!(f, "a quantity in {top}"),
            (top, bottom) if top.is_empty() => write!(f, "a quantity per {bottom}"),
            (top, bottom) => write!(f, "a quantity in {top} per {bottom}"),
        }
    }
}

/// A unit that may follow a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Unit {
    /// No unit: a bare number.
    None,
    /// Millimetre, the base of lengths.
    Mm,
    /// Centimetre.
    Cm,
    /// Metre.
    M,
    /// International inch, 25.4 mm exactly.
    Inch,
    /// Degree of angle.
    Deg,
    /// Degree Celsius, the base of temperatures.
    DegC,
    /// Degree Fahrenheit.
    DegF,
    /// Per cent.
    Percent,
    /// Minute, the base of times.
    Min,
    /// Hour.
    H,
    /// Day of 24 hours.
    Days,
    /// Week of 7 days.
    Weeks,
    /// Month on the calendar.
    Months,
    /// Year on the calendar.
    Years,
    /// Money.
    Money(Currency),
}

impl Unit {
    /// All units of measure with their spellings; the first spelling is the one written.
    pub const SPELLINGS: &'static [(&'static str, Unit)] = &[
        ("mm", Unit::Mm),
        ("cm", Unit::Cm),
        ("m", Unit::M),
        ("inch", Unit::Inch),
        ("deg", Unit::Deg),
        ("degC", Unit::DegC),
        ("degF", Unit::DegF),
        ("%", Unit::Percent),
        ("min", Unit::Min),
        ("h", Unit::H),
        ("days", Unit::Days),
        ("weeks", Unit::Weeks),
        ("months", Unit::Months),
        ("years", Unit::Years),
        // Singular forms and the short inch that a record or a heading may carry.
        ("day", Unit::Days),
        ("week", Unit::Weeks),
        ("month", Unit::Months),
        ("year", Unit::Years),
        ("in", Unit::Inch),
    ];

    /// The unit of that spelling: one of [`Unit::SPELLINGS`] or a currency code.
    pub fn parse(text: &str) -> Option<Unit> {
        let spelled = Self::SPELLINGS.iter().find(|(spelling, _)| *spelling == text).map(|(_, unit)| *unit);
        spelled.or_else(|| Currency::parse(text).map(Unit::Money))
    }

    /// What it measures.
    pub fn dimension(self) -> Dimension {
        match self {
            Unit::None => Dimension::NUMBER,
            Unit::Mm | Unit::Cm | Unit::M | Unit::Inch => Dimension::LENGTH,
            Unit::Deg => Dimension::ANGLE,
            Unit::DegC | Unit::DegF => Dimension::TEMPERATURE,
            Unit::Percent => Dimension::PERCENT,
            Unit::Min | Unit::H | Unit::Days | Unit::Weeks => Dimension::TIME,
            Unit::Months | Unit::Years => Dimension::MONTHS,
            Unit::Money(_) => Dimension::MONEY,
        }
    }

    /// How many base units one of this is; for temperatures, of a difference.
    pub fn factor(self) -> Number {
        match self {
            Unit::None | Unit::Mm | Unit::Deg | Unit::DegC | Unit::Percent | Unit::Min | Unit::Months | Unit::Money(_) => {
                Number::new_raw(1, 1)
            }
            Unit::Cm => Number::new_raw(10, 1),
            Unit::M => Number::new_raw(1000, 1),
            Unit::Inch => Number::new_raw(127, 5),
            Unit::DegF => Number::new_raw(5, 9),
            Unit::H => Number::new_raw(60, 1),
            Unit::Days => Number::new_raw(24 * 60, 1),
            Unit::Weeks => Number::new_raw(7 * 24 * 60, 1),
            Unit::Years => Number::new_raw(12, 1),
        }
    }

    /// A value in this unit turned into the base unit; none if it is too large to hold.
    pub fn to_base(self, value: Number) -> Option<Number> {
        use num_traits::{CheckedMul, CheckedSub};
        let shifted = if self == Unit::DegF { value.checked_sub(&Number::from_integer(32))? } else { value };
        shifted.checked_mul(&self.factor())
    }

    /// A value in the base unit turned into this unit; none if it is too large to hold.
    pub fn from_base(self, value: Number) -> Option<Number> {
        use num_traits::{CheckedAdd, CheckedDiv};
        let scaled = value.checked_div(&self.factor())?;
        if self == Unit::DegF { scaled.checked_add(&Number::from_integer(32)) } else { Some(scaled) }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unit::Money(currency) => write!(f, "{currency}"),
            unit => f.write_str(Self::SPELLINGS.iter().find(|(_, u)| u == unit).map_or("", |(spelling, _)| spelling)),
        }
    }
}
