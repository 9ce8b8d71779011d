//! The fields of a record that belong to no part: its day and the shop's price.

use num_traits::Zero;
use purfle_lang::number::{NotANumber, Number, parse_decimal};
use purfle_lang::unit::{Currency, Unit, parse_date};

/// The day of the inspection, as a day number.
pub fn inspection_day(text: &str) -> Result<i64, String> {
    parse_date(text).ok_or_else(|| {
        let shape = text.len() == 10
            && text.bytes().enumerate().all(|(at, b)| if at == 4 || at == 7 { b == b'-' } else { b.is_ascii_digit() });
        if shape {
            format!("there is no day {text} in the calendar")
        } else {
            "a day is written year, month, day: 2026-11-20".to_owned()
        }
    })
}

/// The shop's price: one sum of the rulebook's money, its code optional.
pub fn price(text: &str, unit: Option<Unit>, money: Currency) -> Result<Number, String> {
    let (amount, code) = match text.split_once(' ') {
        Some((amount, code)) => (amount, Some(code.trim())),
        None => (text, None),
    };
    let given = match code {
        Some(code) => Some(Unit::parse(code).ok_or_else(|| format!("`{code}` is no money; write {money}, or the number alone"))?),
        None => unit,
    };
    if let Some(other) = given.filter(|unit| *unit != Unit::Money(money)) {
        return Err(format!("it is in {other}, and the rulebook's money is {money}"));
    }
    match parse_decimal(amount) {
        Ok(price) if price < Number::zero() => Err("a price is not below nought".to_owned()),
        Ok(price) => Ok(price),
        Err(NotANumber::Comma) => Err("write the decimal point as a point, and no commas: 1240.50".to_owned()),
        Err(NotANumber::TooLong) => Err("it has too many digits for a price".to_owned()),
        Err(NotANumber::Shape) => Err(format!("a price is one sum: 240, or 240 {money}")),
    }
}
