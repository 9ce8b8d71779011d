//! What something is remembered by, packed bit by bit into few words.

use rustc_hash::FxHashMap;

/// A key in the making. Two keys that are put together by the same lengths are equal only where every piece is.
#[derive(Debug, Default)]
pub struct Key {
    words: Vec<u64>,
    /// How much of the last word is taken.
    taken: usize,
}

impl Key {
    /// Begins anew.
    pub fn clear(&mut self) {
        self.words.clear();
        self.taken = 0;
    }

    /// Adds the lowest bits of a value, so many of them; the others are nought.
    pub fn push(&mut self, value: u128, bits: usize) {
        debug_assert!(bits >= 128 || value >> bits == 0, "{value} does not fit {bits} bits");
        let (mut value, mut bits) = (value, bits);
        while bits > 0 {
            if self.taken == 64 || self.words.is_empty() {
                self.words.push(0);
                self.taken = 0;
            }
            let at = self.words.len() - 1;
            self.words[at] |= (value as u64) << self.taken;
            let put = bits.min(64 - self.taken);
            value >>= put;
            bits -= put;
            self.taken += put;
        }
    }
}

/// What is remembered by keys, all of which are put together by the same lengths, or by lengths that their first two words
/// decide.
#[derive(Debug)]
pub struct KeyMap<V> {
    /// Most keys are this short, and need no further place to be looked up in.
    short: FxHashMap<[u64; 2], V>,
    long: FxHashMap<Box<[u64]>, V>,
}

impl<V> Default for KeyMap<V> {
    fn default() -> Self {
        Self { short: FxHashMap::default(), long: FxHashMap::default() }
    }
}

impl<V> KeyMap<V> {
    /// What is remembered by a key.
    pub fn get(&self, key: &Key) -> Option<&V> {
        match short(&key.words) {
            Some(short) => self.short.get(&short),
            None => self.long.get(key.words.as_slice()),
        }
    }

    /// Remembers something.
    pub fn insert(&mut self, key: &Key, value: V) {
        match short(&key.words) {
            Some(short) => self.short.insert(short, value),
            None => self.long.insert(key.words.as_slice().into(), value),
        };
    }

    /// How much is remembered.
    pub fn len(&self) -> usize {
        self.short.len() + self.long.len()
    }

    /// Forgets everything.
    pub fn clear(&mut self) {
        self.short.clear();
        self.long.clear();
    }
}

fn short(words: &[u64]) -> Option<[u64; 2]> {
    match *words {
        [] => Some([0, 0]),
        [one] => Some([one, 0]),
        [one, two] => Some([one, two]),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::{Key, KeyMap};

    #[test]
    fn keys_of_every_length_are_found_again() {
        for bits in [0, 1, 64, 65, 128, 129, 400] {
            let key = |mark: u128| {
                let mut key = Key::default();
                (0..bits).for_each(|bit| key.push(mark >> (bit % 2) & 1, 1));
                key
            };
            let mut map = KeyMap::default();
            for mark in 0..4 {
                map.insert(&key(mark), mark);
            }
            // So many of the four differ.
            assert_eq!(map.len(), 1 << bits.min(2), "{bits} bits");
            for mark in 0..4 {
                let last_alike = (0..4).rev().find(|other| key(*other).words == key(mark).words);
                assert_eq!(map.get(&key(mark)).copied(), last_alike, "{bits} bits");
            }
            map.clear();
            assert_eq!((map.get(&key(1)), map.len()), (None, 0));
        }
    }

    #[test]
    fn every_piece_counts() {
        let pieces = [(5, 3), (0, 1), (u128::from(u64::MAX), 64), (1 << 100, 101), (1, 1), (u128::MAX, 128), (0, 9)];
        let key = |pieces: &[(u128, usize)]| {
            let mut key = Key::default();
            pieces.iter().for_each(|(value, bits)| key.push(*value, *bits));
            key
        };
        let whole = key(&pieces);
        let bits: usize = pieces.iter().map(|(_, bits)| bits).sum();
        assert_eq!(whole.words.len(), bits.div_ceil(64));
        // Read back, bit by bit, it is what was put in.
        let mut at = 0;
        for (value, bits) in pieces {
            for bit in 0..bits {
                assert_eq!(whole.words[at / 64] >> (at % 64) & 1, (value >> bit & 1) as u64, "bit {bit} of {value}");
                at += 1;
            }
        }
        for place in 0..pieces.len() {
            let mut other = pieces;
            other[place].0 ^= 1;
            assert_ne!(key(&other).words, whole.words, "piece {place}");
        }
    }
}
