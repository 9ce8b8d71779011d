//! What something is remembered by, packed bit by bit into few words.

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

    /// All of it.
    pub fn words(&self) -> &[u64] {
        &self.words
    }
}

#[cfg(test)]
mod tests {
    use super::Key;

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
        assert_eq!(whole.words().len(), bits.div_ceil(64));
        // Read back, bit by bit, it is what was put in.
        let mut at = 0;
        for (value, bits) in pieces {
            for bit in 0..bits {
                assert_eq!(whole.words()[at / 64] >> (at % 64) & 1, (value >> bit & 1) as u64, "bit {bit} of {value}");
                at += 1;
            }
        }
        for place in 0..pieces.len() {
            let mut other = pieces;
            other[place].0 ^= 1;
            assert_ne!(key(&other).words(), whole.words(), "piece {place}");
        }
    }
}
