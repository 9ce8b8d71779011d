//! The nearest right name for one that nobody knows.

/// The longest word that is compared; nobody mistypes a longer one.
const LONGEST: usize = 64;
/// Below this many letters a guess is only made when nothing but capitals and separators differ.
const SHORTEST_GUESS: usize = 3;

/// The candidate that the writer of `word` most likely meant; none where no candidate is near.
///
/// In this order: one that differs only in capitals and separators (`E-Peg`, `e peg`); one a few slips of the finger
/// away (Damerau-Levenshtein: a letter missing, added, changed or two swapped; one slip for every three letters); one
/// that contains the word or is contained in it. Of equals the first counts. A candidate equal to the word itself is
/// a candidate like any other.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    if word.len() > LONGEST * 4 {
        return None;
    }
    let wanted = Shape::of(word);
    if wanted.letters == 0 || wanted.letters > LONGEST {
        return None;
    }
    let plain = plain(word);
    let mut best: Option<(usize, &'a str)> = None;
    for candidate in candidates {
        if let Some(rank) = rank(&plain, wanted, candidate)
            && best.is_none_or(|(least, _)| rank < least)
        {
            best = Some((rank, candidate));
            if rank == 0 {
                break;
            }
        }
    }
    best.map(|(_, candidate)| candidate)
}

/// How near a candidate is: nought for the same letters, then slips, then what contains or is contained, by how much
/// longer the one is than the other. None for what is not near.
fn rank(wanted: &str, shape: Shape, candidate: &str) -> Option<usize> {
    let other = Shape::of(candidate);
    if other.letters == 0 || other.letters > LONGEST {
        return None;
    }
    let apart = shape.letters.abs_diff(other.letters);
    let slips = (shape.letters.min(other.letters) / 3).clamp(1, 3);
    // One slip changes the set of letters by two at most, and a part has no letter that the whole has not. Most
    // candidates are ruled out here, without looking at the order of their letters.
    let near_letters = (shape.set ^ other.set).count_ones() as usize <= 2 * slips;
    let may_contain = shape.set & other.set == shape.set || shape.set & other.set == other.set;
    if !(apart <= slips && near_letters || may_contain) {
        return None;
    }
    let candidate = plain(candidate);
    if wanted == candidate {
        return Some(0);
    }
    if shape.letters.min(other.letters) < SHORTEST_GUESS {
        return None;
    }
    if apart <= slips {
        let distance = strsim::damerau_levenshtein(wanted, &candidate);
        if distance <= slips {
            return Some(distance);
        }
    }
    let contains = candidate.contains(wanted) || wanted.contains(candidate.as_str());
    contains.then_some(LONGEST + apart)
}

/// What of a word is compared: its letters and digits, in small letters, without separators.
fn plain(word: &str) -> String {
    plain_letters(word).collect()
}

fn plain_letters(word: &str) -> impl Iterator<Item = char> {
    word.chars().filter(|c| !matches!(c, '-' | '_' | ' ' | '.' | '\t')).flat_map(char::to_lowercase)
}

/// The cheap part of a comparison.
#[derive(Clone, Copy)]
struct Shape {
    letters: usize,
    set: u64,
}

impl Shape {
    fn of(word: &str) -> Self {
        let start = Self { letters: 0, set: 0 };
        plain_letters(word)
            .take(LONGEST + 1)
            .fold(start, |shape, letter| Self { letters: shape.letters + 1, set: shape.set | 1 << (u32::from(letter) % 64) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PARTS: [&str; 7] = ["button", "bridge", "bow", "sound-post", "tailgut", "E", "peg.E.turns"];

    #[test]
    fn slips_of_the_finger() {
        for (word, meant) in [
            ("buton", Some("button")),
            ("birdge", Some("bridge")),
            ("sound_post", Some("sound-post")),
            ("Sound Post", Some("sound-post")),
            ("soundpsot", Some("sound-post")),
            ("post", Some("sound-post")),
            ("tailgut-end", Some("tailgut")),
            ("peg.e.turns", Some("peg.E.turns")),
            ("peg.turns", Some("peg.E.turns")),
            ("e", Some("E")),
            ("box", Some("bow")),
            ("scroll", None),
            ("", None),
            ("---", None),
        ] {
            assert_eq!(nearest(word, PARTS), meant, "{word}");
        }
    }

    #[test]
    fn short_words_are_not_guessed() {
        assert_eq!(nearest("F", PARTS), None);
        assert_eq!(nearest("bo", PARTS), None);
        assert_eq!(nearest("BOW", PARTS), Some("bow"));
    }

    #[test]
    fn fewer_slips_win_and_then_the_first() {
        assert_eq!(nearest("crook", ["cracked", "crooked", "brook"]), Some("brook"));
        assert_eq!(nearest("seem", ["seam", "seed"]), Some("seam"));
    }

    #[test]
    fn long_words_cost_nothing() {
        assert_eq!(nearest(&"x".repeat(10_000_000), PARTS), None);
        assert_eq!(nearest(&"é".repeat(100), PARTS), None);
    }
}
