//! Inspection records made by chance from any rulebook, the same ones each time they are made from the same number.
//!
//! An instrument is drawn first, as it truly is; the record then says of it what somebody with a sheet in hand would
//! write down. So no record contradicts itself, however much of it is missing.

mod draw;
mod write;

use std::io::{self, Write};

use purfle_lang::book::{Book, PartId};

use crate::dice::Dice;
use draw::Truth;

/// How the records are filled in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Manner {
    /// Part by part: a tick, `good`, for a part or a place at which all is well, and every look of one at which
    /// something is not.
    Ticks,
    /// Look by look, on a sheet that asks for some of the looks of most parts and is the same for all records.
    Looks {
        /// How many in a hundred of the looks that apply are on the sheet.
        percent: u64,
    },
    /// One part and nothing else but what decides whether it is there.
    OnlyPart(PartId),
}

/// Makes records, one after the other.
pub struct Generator<'a> {
    book: &'a Book,
    manner: Manner,
    seed: u64,
    dice: Dice,
    made: u64,
    fields: u64,
}

impl<'a> Generator<'a> {
    /// Records for `book`, filled in one manner, from the number `seed`.
    pub fn new(book: &'a Book, manner: Manner, seed: u64) -> Self {
        Self { book, manner, seed, dice: Dice::new(seed), made: 0, fields: 0 }
    }

    /// How many looks and ticks the records so far hold on average.
    pub fn fields_per_record(&self) -> f64 {
        if self.made == 0 { 0.0 } else { self.fields as f64 / self.made as f64 }
    }

    /// Writes the next record as one line of JSON, its end included.
    pub fn next_line(&mut self, line: &mut String) {
        self.made += 1;
        let mut truth = Truth::new(self.book, &mut self.dice);
        self.fields += write::record(line, &mut truth, self.manner, self.seed, self.made);
    }

    /// Writes `count` records as JSON Lines.
    pub fn write(&mut self, count: u64, out: &mut impl Write) -> io::Result<()> {
        let mut line = String::new();
        for _ in 0..count {
            line.clear();
            self.next_line(&mut line);
            out.write_all(line.as_bytes())?;
        }
        Ok(())
    }
}
