//! Found, clear or open, and what a look can still show.

use super::sheet::{Reading, Said};

/// Whether something holds in every case that is left, and whether in any.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Three {
    pub surely: bool,
    pub possibly: bool,
}

impl Three {
    pub const YES: Three = Three { surely: true, possibly: true };
    pub const NO: Three = Three { surely: false, possibly: false };

    pub fn and(self, other: Three) -> Three {
        Three { surely: self.surely && other.surely, possibly: self.possibly && other.possibly }
    }

    pub fn or(self, other: Three) -> Three {
        Three { surely: self.surely || other.surely, possibly: self.possibly || other.possibly }
    }

    /// Not met: the plain opposite.
    pub fn opposite(self) -> Three {
        Three { surely: !self.possibly, possibly: !self.surely }
    }
}

/// The choices a look can still show, one bit each in the order of its list, and whether somebody wrote it down.
#[derive(Debug, Clone, Copy)]
pub struct Set {
    pub can: u16,
    pub told: bool,
}

impl Set {
    /// What a word says; `good` is the bits of what is good, where the part was ticked.
    pub fn of(word: Option<&str>, choices: &[&str], good: Option<u16>) -> Set {
        match word {
            Some(word) if word != "?" => {
                Set { can: choices.iter().position(|choice| *choice == word).map_or(0, |at| 1 << at), told: true }
            }
            _ => Set { can: good.unwrap_or((1 << choices.len()) - 1), told: false },
        }
    }

    /// The look shows one of these, where it applies; what was told applies.
    pub fn is(self, wanted: u16, applies: Three) -> Three {
        let applies = if self.told { Three::YES } else { applies };
        applies.and(Three { surely: self.can & !wanted == 0, possibly: self.can & wanted != 0 })
    }
}

/// From the least to the greatest a measured look can still show, in hundredths.
#[derive(Debug, Clone, Copy)]
pub struct Span {
    pub low: i64,
    pub high: i64,
    pub told: bool,
}

impl Span {
    pub fn of(reading: Option<Reading>, give: i64, whole: (i64, i64), good: Option<(i64, i64)>) -> Span {
        match reading {
            Some(Reading(Some(at))) => Span { low: (at - give).max(whole.0), high: (at + give).min(whole.1), told: true },
            _ => {
                let (low, high) = good.unwrap_or(whole);
                Span { low, high, told: false }
            }
        }
    }

    pub fn above(self, limit: i64, applies: Three) -> Three {
        let applies = if self.told { Three::YES } else { applies };
        applies.and(Three { surely: self.low > limit, possibly: self.high > limit })
    }

    pub fn below(self, limit: i64, applies: Three) -> Three {
        let applies = if self.told { Three::YES } else { applies };
        applies.and(Three { surely: self.high < limit, possibly: self.low < limit })
    }
}

impl<T> Said<T> {
    /// The looks written down, and whether the part was ticked as good.
    pub fn looks(&self) -> (Option<&T>, bool) {
        match self {
            Said::Looks(looks) => (Some(looks), false),
            Said::Good => (None, true),
            Said::Nothing | Said::None => (None, false),
        }
    }
}
