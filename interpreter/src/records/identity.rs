//! Keeps every inspection's mark once: two records of the same mark would be one inspection told twice.
//!
//! Only a hash of 128 bits is kept of each mark, keyed anew in every run, so that no file can be made to collide.

use std::collections::hash_map::RandomState;
use std::hash::BuildHasher;
use std::sync::Arc;

use rustc_hash::FxHashMap;

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
    tables: Vec<FxHashMap<Mark, u64>>,
    files: Vec<Arc<str>>,
}

/// How many bits of a place are its row; the rest number its file.
const ROW_BITS: u32 = 48;

impl Identities {
    /// None met yet.
    pub fn new() -> Self {
        Self { tables: (0..TABLES).map(|_| FxHashMap::default()).collect(), files: Vec::new() }
    }

    /// Notes a mark. Where it was met before, returns the file and the row.
    pub fn meet(&mut self, mark: Mark, file: &Arc<str>, row: u64) -> Option<(Arc<str>, u64)> {
        if self.files.last() != Some(file) {
            self.files.push(Arc::clone(file));
        }
        let place = ((self.files.len() as u64 - 1) << ROW_BITS) | (row & ((1 << ROW_BITS) - 1));
        let table = &mut self.tables[mark[1] as usize % TABLES];
        match table.entry(mark) {
            std::collections::hash_map::Entry::Vacant(empty) => {
                empty.insert(place);
                None
            }
            std::collections::hash_map::Entry::Occupied(met) => {
                let place = *met.get();
                let file = self.files.get((place >> ROW_BITS) as usize)?;
                Some((Arc::clone(file), place & ((1 << ROW_BITS) - 1)))
            }
        }
    }
}
