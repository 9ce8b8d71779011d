//! The places as found that one record writes down: all of them from the first on, or none.

use purfle_lang::book::{Book, PartId, RecordPath};

use super::field::MOST_PLACES;
use super::refused::Fault;

/// What one record says of the places of its parts that repeat freely.
#[derive(Debug, Default)]
pub struct PlacesSeen {
    parts: Vec<PartPlaces>,
}

#[derive(Debug)]
struct PartPlaces {
    part: PartId,
    /// One bit a place.
    written: u128,
    none: bool,
}

const _: () = assert!(MOST_PLACES < u128::BITS);

impl PlacesSeen {
    /// Forgets everything, for the next record.
    pub fn clear(&mut self) {
        self.parts.clear();
    }

    /// Something was written of this place.
    pub fn write(&mut self, part: PartId, at: RecordPath) {
        if let RecordPath::Found(number) = at {
            self.of(part).written |= 1 << number;
        }
    }

    /// The record says that there are none.
    pub fn none(&mut self, part: PartId) {
        self.of(part).none = true;
    }

    fn of(&mut self, part: PartId) -> &mut PartPlaces {
        let at = match self.parts.iter().position(|known| known.part == part) {
            Some(at) => at,
            None => {
                self.parts.push(PartPlaces { part, written: 0, none: false });
                self.parts.len() - 1
            }
        };
        &mut self.parts[at]
    }

    /// What does not fit together.
    pub fn faults<'a>(&'a self, book: &'a Book) -> impl Iterator<Item = Fault> + 'a {
        self.parts.iter().filter_map(|places| {
            let name = &book[places.part].name;
            if places.written == 0 {
                return None;
            }
            let first = places.written.trailing_zeros();
            if places.none {
                return Some(Fault::field(
                    name,
                    "none",
                    format!("it says that there is no `{name}`, and `{name}.{first}` is written down; empty one of the two"),
                ));
            }
            // Counted from 1 on without a gap, the written places and nought make a row of ones.
            let gap = (places.written | 1).trailing_ones();
            let last = u128::BITS - 1 - places.written.leading_zeros();
            (gap <= last).then(|| {
                let seen = if gap < first { first } else { last };
                Fault::field(
                    &format!("{name}.{seen}"),
                    "",
                    format!("`{name}.{seen}` is written down and `{name}.{gap}` is not; number them from 1 without a gap"),
                )
            })
        })
    }
}
