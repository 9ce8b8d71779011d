//! Sets of small numbers, one bit each.

/// A set of numbers below a fixed size.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Bits {
    words: Vec<u64>,
}

impl Bits {
    /// No number, with room for those below `size`.
    pub fn none(size: usize) -> Bits {
        Bits { words: vec![0; size.div_ceil(64)] }
    }

    /// Every number below `size`.
    pub fn all(size: usize) -> Bits {
        let mut words = vec![u64::MAX; size.div_ceil(64)];
        if let Some(last) = words.last_mut().filter(|_| !size.is_multiple_of(64)) {
            *last = (1 << (size % 64)) - 1;
        }
        Bits { words }
    }

    /// Those of `numbers`, with room for those below `size`.
    pub fn of(size: usize, numbers: impl IntoIterator<Item = usize>) -> Bits {
        let mut bits = Bits::none(size);
        for number in numbers {
            bits.insert(number);
        }
        bits
    }

    /// Puts a number in.
    pub fn insert(&mut self, number: usize) {
        self.words[number / 64] |= 1 << (number % 64);
    }

    /// Takes a number out.
    pub fn remove(&mut self, number: usize) {
        self.words[number / 64] &= !(1 << (number % 64));
    }

    /// Whether a number is in it.
    pub fn has(&self, number: usize) -> bool {
        self.words[number / 64] >> (number % 64) & 1 == 1
    }

    /// Leaves what is in the other as well.
    pub fn keep(&mut self, other: &Bits) {
        for (word, other) in self.words.iter_mut().zip(&other.words) {
            *word &= other;
        }
    }

    /// Adds what is in the other.
    pub fn join(&mut self, other: &Bits) {
        for (word, other) in self.words.iter_mut().zip(&other.words) {
            *word |= other;
        }
    }

    /// How many there are.
    pub fn count(&self) -> u64 {
        self.words.iter().map(|word| u64::from(word.count_ones())).sum()
    }

    /// The numbers, rising.
    pub fn iter(&self) -> impl Iterator<Item = usize> + '_ {
        self.words.iter().enumerate().flat_map(|(at, word)| ones(*word).map(move |bit| at * 64 + bit))
    }

    /// The numbers above `floor`, rising.
    pub fn iter_above(&self, floor: usize) -> impl Iterator<Item = usize> + '_ {
        let first = floor / 64;
        self.words.iter().enumerate().skip(first).flat_map(move |(at, word)| {
            // Twice, because a shift by 64 is none.
            let kept = if at == first { word & (u64::MAX << (floor % 64) << 1) } else { *word };
            ones(kept).map(move |bit| at * 64 + bit)
        })
    }
}

fn ones(mut word: u64) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        (word != 0).then(|| {
            let bit = word.trailing_zeros() as usize;
            word &= word - 1;
            bit
        })
    })
}
