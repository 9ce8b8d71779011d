//! Units, dimensions, money and durations, all exact.

mod currency;
mod dimension;
mod duration;

pub use currency::Currency;
pub use dimension::{Dimension, Unit};
pub use duration::{Duration, date_of, day_of, format_date, last_of_its_month, parse_date};
