//! What comparisons come to is the same however many places a record has, so it is kept: another layout of the same book
//! then only asks for it.

use rustc_hash::FxHashMap;

use super::classify::{Reading, read};
use super::node::Answer;
use crate::book::{Book, Comparison, Value};
use crate::cells::Cells;
use crate::evaluate::{InHand, LookSpot};

/// A comparison with the places in hand.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) struct Compared {
    pub(super) comparison: Comparison,
    pub(super) left: Value,
    pub(super) right: Value,
    pub(super) hand: InHand,
}

/// What a comparison's answers hang on.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) struct Asked {
    pub(super) compared: Compared,
    /// The looks that pick a table's row, and how many cells each has.
    pub(super) keys: Vec<(LookSpot, usize)>,
    /// How many cells the measure has, and which.
    pub(super) measured: Option<(usize, Cells)>,
}

/// Comparisons of one book, as they were written out before.
#[derive(Debug, Default)]
pub struct WrittenOut {
    readings: FxHashMap<Compared, Reading>,
    answers: FxHashMap<Asked, Vec<Answer>>,
}

impl WrittenOut {
    /// The comparison, sorted by what it takes to answer it.
    pub(super) fn reading(&mut self, book: &Book, compared: Compared) -> Reading {
        let known = self.readings.entry(compared);
        let sorted =
            known.or_insert_with_key(|Compared { comparison, left, right, hand }| read(book, *comparison, left, right, hand));
        sorted.clone()
    }

    /// The comparison's answer for each combination of cells, the first variable fastest; worked out where it is new.
    pub(super) fn answers(&mut self, asked: Asked, work_out: impl FnOnce(&Asked) -> Vec<Answer>) -> Vec<Answer> {
        self.answers.entry(asked).or_insert_with_key(work_out).clone()
    }
}
