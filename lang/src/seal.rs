//! The seal of a rulebook: a short digest of what it says.
//!
//! Two texts have the same seal where they say the same item by item, in the same order: layout, comments, how a number is
//! written and where a text is broken in two make no difference, nor do examples, which are no rules. A rulebook that is
//! built on another has the other's seal in its own, so whatever changes above it changes its seal; in which file the other
//! stands does not matter.
//!
//! It is the first eighty bits of a SHA-256 (FIPS 180-4): enough that no two rulebooks come to the same by chance. It is
//! no signature, and says nothing of who wrote a text.

use std::fmt::{self, Debug, Display, Formatter};

use sha2::{Digest, Sha256};

use crate::syntax::tree::{BuildsOn, Expr, Kind, Meant, Quantity, Tree, Visit, Walk};

/// What stands at the beginning of all that is digested, so that another way of digesting gives other seals.
const FORM: &[u8] = b"purfle seal 1\n";

/// How many bytes of the digest are kept.
const BYTES: usize = 10;

/// A seal, such as `3f09-77aa-0c1e-94d2-b680`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Seal([u8; BYTES]);

impl Display for Seal {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        for (at, pair) in self.0.chunks(2).enumerate() {
            let dash = if at == 0 { "" } else { "-" };
            write!(f, "{dash}{:02x}{:02x}", pair[0], pair[1])?;
        }
        Ok(())
    }
}

impl Seal {
    /// A seal as somebody wrote it: twenty digits from 0 to f, whatever their case, with or without the dashes and spaces
    /// between them. None where it is no seal.
    pub fn read(written: &str) -> Option<Self> {
        let digits: Option<Vec<u8>> = written
            .chars()
            .filter(|sign| !matches!(sign, '-' | ' '))
            .map(|sign| sign.to_digit(16).and_then(|digit| u8::try_from(digit).ok()))
            .collect();
        let digits = digits.filter(|digits| digits.len() == 2 * BYTES)?;
        let mut seal = [0; BYTES];
        for (byte, pair) in seal.iter_mut().zip(digits.chunks(2)) {
            *byte = pair[0] << 4 | pair[1];
        }
        Some(Self(seal))
    }
}

/// The seals of a chain of rulebooks: of the first, of the nearest parent after it, and so on.
pub fn seals(chain: &[Tree]) -> Vec<Seal> {
    let mut above = None;
    let mut seals: Vec<Seal> = Vec::with_capacity(chain.len());
    for tree in chain.iter().rev() {
        let digest = digest(tree, above);
        let mut seal = Seal::default();
        seal.0.iter_mut().zip(digest).for_each(|(byte, digested)| *byte = digested);
        seals.push(seal);
        above = Some(digest);
    }
    seals.reverse();
    seals
}

/// The whole digest of a rulebook, that of its parent given.
fn digest(tree: &Tree, above: Option<[u8; 32]>) -> [u8; 32] {
    let mut sealing = Sealing { said: FORM.to_vec() };
    sealing.said.extend(above.iter().flatten());
    for item in tree.items.iter().filter(|item| item.entry.kind != Kind::Example) {
        item.clone().walk(&mut sealing);
    }
    Sha256::digest(&sealing.said).into()
}

/// Writes down what a walk comes to, so that no two walks write the same unless they come to the same.
struct Sealing {
    said: Vec<u8>,
}

impl Sealing {
    fn say(&mut self, sort: u8, text: &str) {
        self.said.push(sort);
        self.said.extend((text.len() as u64).to_le_bytes());
        self.said.extend(text.as_bytes());
    }
}

impl Visit for Sealing {
    fn parent(&mut self, parent: &mut BuildsOn) {
        (parent.from, parent.seal) = (None, None);
    }

    fn quantity(&mut self, quantity: &mut Quantity) {
        Meant.quantity(quantity);
    }

    fn value(&mut self, value: &mut Expr) {
        Meant.value(value);
    }

    fn written(&mut self, written: &str) {
        self.say(b'w', written);
    }

    fn kind(&mut self, kind: &str) {
        self.say(b'k', kind);
    }

    fn plain(&mut self, value: &dyn Debug) {
        self.say(b'p', &format!("{value:?}"));
    }

    fn count(&mut self, count: usize) {
        self.said.push(b'c');
        self.said.extend((count as u64).to_le_bytes());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::span::FileId;
    use crate::syntax::parse;

    const SHOP: &str = "rulebook shop \"Shop\"\n  edition 1\n  money USD\n\
        part peg \"Peg\"\n  look turns \"How?\" measured in mm from 0 to 9\n\
        finding loose \"Loose\"\n  on peg\n  signs turns is above 0.2 mm\n  urgency soon\n  cost nothing\n  tell \"One two\"\n";

    fn sealed(texts: &[&str]) -> String {
        let chain: Vec<Tree> = texts.iter().map(|text| parse(FileId(0), text).tree).collect();
        seals(&chain)[0].to_string()
    }

    #[test]
    fn layout_comments_examples_and_how_a_number_is_written_do_not_change_it() {
        let shop = sealed(&[SHOP]);
        for other in [
            SHOP.replace("  on peg\n", "# why\n\n     on   peg   # here\n"),
            SHOP.replace("0.2 mm", "0.20 mm"),
            SHOP.replace("\"One two\"", "\"One\"\n    \"two\""),
            format!("{SHOP}example \"an example\"\n  record peg.turns is 3 mm\n  finds loose\n"),
        ] {
            assert_eq!(sealed(&[&other]), shop, "{other}");
        }
    }

    #[test]
    fn whatever_else_is_said_changes_it() {
        let shop = sealed(&[SHOP]);
        for (one, other) in [
            ("0.2", "0.3"),
            ("above", "at least"),
            ("soon", "halt"),
            ("turns is above 0.2 mm", "not (turns is above 0.2 mm)"),
            ("  cost nothing\n", "  cost on sight\n"),
            ("Loose", "Lose"),
            ("from 0 to 9", "from 0 to 9 give or take 0.1"),
            ("on peg", "on each peg"),
            ("edition 1", "edition 2"),
            ("  tell \"One two\"\n", ""),
        ] {
            let text = SHOP.replace(one, other);
            assert!(text != SHOP && sealed(&[&text]) != shop, "{one} to {other}");
        }
    }

    #[test]
    fn a_house_has_its_parents_seal_in_its_own() {
        let house = "rulebook house \"House\"\n  edition 1\n  builds on shop edition 1\nwithout finding loose because \"No.\"\n";
        let whole = sealed(&[house, SHOP]);
        assert_ne!(whole, sealed(&[house, &SHOP.replace("0.2", "0.3")]));
        assert_eq!(whole, sealed(&[house, &SHOP.replace("0.2", "0.20")]));
        assert_ne!(whole, sealed(&[&house.replace("No.", "Why?"), SHOP]));
        let named =
            house.replace("edition 1\nwithout", "edition 1 from \"shop.purfle\" seal \"0000-0000-0000-0000-0000\"\nwithout");
        assert_ne!(named, house);
        assert_eq!(whole, sealed(&[&named, SHOP]));
    }

    /// A seal is printed on paper and must come out the same in years.
    #[test]
    fn seals_stay_what_they_are() {
        assert_eq!(sealed(&[SHOP]), "a8b3-770f-4c7f-f5d5-8e50");
    }

    #[test]
    fn a_seal_is_read_as_people_write_it() {
        let seal = Seal::read("3f09-77aa-0c1e-94d2-b680");
        assert_eq!(seal.map(|seal| seal.to_string()).as_deref(), Some("3f09-77aa-0c1e-94d2-b680"));
        assert_eq!(Seal::read("3F0977AA 0C1E94D2 B680"), seal);
        for wrong in ["", "3f09", "3f09-77aa-0c1e-94d2-b68", "3f09-77aa-0c1e-94d2-b6800", "3f09-77aa-0c1e-94d2-b68g"] {
            assert_eq!(Seal::read(wrong), None, "{wrong}");
        }
    }
}
