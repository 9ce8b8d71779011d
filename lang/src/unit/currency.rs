//! ISO 4217 currencies with their minor units.

use std::fmt;

use num_traits::CheckedMul;

use crate::number::Number;

/// A currency of ISO 4217.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Currency(iso_currency::Currency);

impl Currency {
    /// The currency of a three-letter code in capitals.
    pub fn parse(code: &str) -> Option<Self> {
        if code.len() != 3 || !code.bytes().all(|b| b.is_ascii_uppercase()) {
            return None;
        }
        iso_currency::Currency::from_code(code).map(Self)
    }

    /// Its three-letter code.
    pub fn code(self) -> &'static str {
        self.0.code()
    }

    /// How many decimal places its minor unit has; 0 where the standard names none.
    pub fn minor_places(self) -> u32 {
        self.0.exponent().map_or(0, u32::from)
    }

    /// Whether a sum can be given in it: it has no part of the minor unit.
    pub fn takes(self, sum: Number) -> bool {
        let minor = Number::from_integer(10_i128.pow(self.minor_places()));
        sum.checked_mul(&minor).is_some_and(|sum| sum.is_integer())
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}
