//! Whoever says of a condition whether it is found, clear or open.

use super::condition::{Condition, LOOKS, Row};

/// What comes out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// It holds, whatever was not seen.
    Found,
    /// It does not hold, whatever was not seen.
    Clear,
    /// That depends on what was not seen.
    Open,
}

/// A judge of conditions.
pub trait Judged {
    /// What comes out for a row.
    fn state(&self, condition: &Condition, row: &Row) -> State;
}

/// Goes through every value of everything that was not seen.
pub struct ByCases;

impl Judged for ByCases {
    fn state(&self, condition: &Condition, row: &Row) -> State {
        let mut case = row.0.map(|value| value.unwrap_or(0));
        let (mut met, mut unmet) = (false, false);
        loop {
            if condition.holds(&case) {
                met = true
            } else {
                unmet = true
            }
            // The next case: the unseen looks count up like the digits of a number.
            let next = (0..LOOKS.len()).filter(|&look| row.0[look].is_none()).find(|&look| {
                case[look] = (case[look] + 1) % LOOKS[look].values.len();
                case[look] != 0
            });
            if (met && unmet) || next.is_none() {
                break;
            }
        }
        match (met, unmet) {
            (true, false) => State::Found,
            (false, true) => State::Clear,
            _ => State::Open,
        }
    }
}
