//! Keeps every inspection's mark once: two records of the same mark would be one inspection told twice.
//!
//! Only a hash of 88 bits is kept of each mark, in a table chosen by 6 more, keyed anew in every run, so that no file can
//! be made to collide.

use std::collections::hash_map::RandomState;
use std::hash::{BuildHasher, Hash, Hasher};
use std::sync::Arc;

use rustc_hash::FxHashSet;

/// The hash of a mark.
pub type Mark = [u64; 2];

/// Hashes marks alike throughout one run.
#[derive(Clone, Default)]
pub struct Marker {
    first: RandomState,
    second: RandomState,
}

impl Marker {
    /// The hash of a mark.
    pub fn mark(&self, text: &str) -> Mark {
        [self.first.hash_one(text), self.second.hash_one(text)]
    }

    /// Half of it, which two marks may share.
    pub fn half(&self, text: &str) -> u64 {
        self.first.hash_one(text)
    }
}

/// How many tables the marks are spread over, so that only a small one grows at a time.
const TABLES: usize = 64;

/// The marks met so far, and where each was met first.
pub struct Identities {
    tables: Vec<FxHashSet<Met>>,
    /// The files, each with how many rows those before it have.
    files: Vec<(u64, Arc<str>)>,
    /// The highest place so far.
    last: u64,
}

/// How many bits of what is kept of a mark are its place: a row, those of the files before counted along.
const PLACE_BITS: u32 = 40;

/// A mark's hash, as far as there is room beside the place where it was met first. Only the hash is compared.
#[derive(Clone, Copy)]
struct Met(u128);

impl Met {
    fn new([first, second]: Mark, place: u64) -> Self {
        let hash = u128::from(first) << 24 | u128::from(second >> PLACE_BITS);
        Self(hash << PLACE_BITS | u128::from(place & ((1 << PLACE_BITS) - 1)))
    }

    fn place(self) -> u64 {
        self.0 as u64 & ((1 << PLACE_BITS) - 1)
    }
}

impl PartialEq for Met {
    fn eq(&self, other: &Self) -> bool {
        self.0 >> PLACE_BITS == other.0 >> PLACE_BITS
    }
}

impl Eq for Met {}

impl Hash for Met {
    fn hash<H: Hasher>(&self, state: &mut H) {
        state.write_u64((self.0 >> 64) as u64);
    }
}

impl Identities {
    /// None met yet.
    pub fn new() -> Self {
        Self { tables: (0..TABLES).map(|_| FxHashSet::default()).collect(), files: Vec::new(), last: 0 }
    }

    /// Notes a mark. Where it was met before, returns the file and the row.
    pub fn meet(&mut self, mark: Mark, file: &Arc<str>, row: u64) -> Option<(Arc<str>, u64)> {
        if self.files.last().is_none_or(|(_, last)| last != file) {
            self.files.push((self.last, Arc::clone(file)));
        }
        let before = self.files.last().map_or(0, |(before, _)| *before);
        self.last = self.last.max(before + row);
        let met = Met::new(mark, before + row);
        let table = &mut self.tables[mark[1] as usize % TABLES];
        match table.get(&met).map(|first| first.place()) {
            None => {
                table.insert(met);
                None
            }
            Some(place) => {
                // A row counts from one.
                let (before, file) = &self.files[self.files.partition_point(|(before, _)| *before < place).checked_sub(1)?];
                Some((Arc::clone(file), place - before))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mark_met_again_tells_where_it_was_first() {
        let (marker, mut met) = (Marker::default(), Identities::new());
        let files: Vec<Arc<str>> = ["autumn.csv", "empty.csv", "spring.csv"].map(Arc::from).into();
        for (file, rows) in [(0, 2_000_u64), (2, 3_000)] {
            for row in 1..=rows {
                assert_eq!(met.meet(marker.mark(&format!("{file} {row}")), &files[file], row), None);
            }
        }
        for (file, row) in [(0, 1), (0, 2_000), (2, 1), (2, 2_999), (2, 3_000)] {
            let first = met.meet(marker.mark(&format!("{file} {row}")), &files[1], 7);
            assert_eq!(first, Some((Arc::clone(&files[file]), row)));
        }
    }
}
