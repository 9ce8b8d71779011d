//! What a piece of the tree says, wherever it was written: to the letter, or as it is meant.

use super::walk::{Visit, Walk};
use super::{Expr, ExprKind, Item, Quantity, Tree};
use crate::number::{format_decimal, parse_decimal};
use crate::span::Span;

impl Item {
    /// Whether both say the same, to the letter, wherever they stand.
    pub fn says_as(&self, other: &Item) -> bool {
        let (mut one, mut other) = (self.clone(), other.clone());
        one.walk(&mut Placeless);
        other.walk(&mut Placeless);
        one.doing == other.doing && one.entry == other.entry && one.entry.broken == other.entry.broken
    }

    /// Calls `each` with every place in it. An entry that somebody else holds as well is copied first.
    pub(crate) fn each_place(&mut self, each: &mut dyn FnMut(&mut Span)) {
        self.walk(&mut Places(each));
    }
}

impl Tree {
    /// Whether both say the same, item by item, wherever it stands. Comments say nothing.
    pub fn says_as(&self, other: &Tree) -> bool {
        self.items.len() == other.items.len() && self.items.iter().zip(&other.items).all(|(one, other)| one.says_as(other))
    }
}

/// Whether two clauses, or whatever else of a tree, mean the same: wherever they stand, and however a number is written.
pub(crate) fn means_as<T: Walk + Clone + PartialEq>(one: &T, other: &T) -> bool {
    meant(one) == meant(other)
}

/// It without its places, each number written in one way. What means the same is then equal.
pub(crate) fn meant<T: Walk + Clone>(it: &T) -> T {
    let mut it = it.clone();
    it.walk(&mut Meant);
    it
}

struct Places<'a>(&'a mut dyn FnMut(&mut Span));

impl Visit for Places<'_> {
    fn place(&mut self, place: &mut Span) {
        (self.0)(place);
    }
}

struct Placeless;

impl Visit for Placeless {
    fn place(&mut self, place: &mut Span) {
        *place = Span::default();
    }
}

/// Takes the places off, and writes each number in one way.
pub(crate) struct Meant;

impl Visit for Meant {
    fn place(&mut self, place: &mut Span) {
        *place = Span::default();
    }

    fn quantity(&mut self, quantity: &mut Quantity) {
        if let Ok(number) = parse_decimal(&quantity.number.value) {
            quantity.number.value = format_decimal(number);
        }
    }

    fn value(&mut self, value: &mut Expr) {
        // A first end without a unit has the second's.
        if let ExprKind::Range(from, to) = &mut value.kind
            && from.unit.is_none()
        {
            from.unit.clone_from(&to.unit);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::span::FileId;
    use crate::syntax::parse;
    use crate::syntax::tree::Clause;

    fn finding(lines: &str) -> Vec<Clause> {
        let parsed = parse(FileId(0), &format!("finding loose \"Loose\"\n{lines}"));
        assert!(parsed.diagnostics.is_empty(), "{:?}", parsed.diagnostics);
        meant(&parsed.tree.items[0].entry.clauses)
    }

    #[test]
    fn what_is_written_otherwise_and_means_the_same_is_equal() {
        let bullets = "  signs any of\n    - gap is above 0.20 mm  # a comment\n    - sits is crooked\n";
        assert_eq!(finding(bullets), finding("  signs gap is above 0.2 mm or (sits is crooked)\n"));
        assert_eq!(finding("  goods \"A\" 5 USD to 12 USD\n"), finding("  goods \"A\"   5 to 12.0 USD\n"));
        assert_eq!(finding("  tell \"One\" \"two\"\n"), finding("  tell \"One two\"\n"));
    }

    #[test]
    fn what_means_something_else_is_not() {
        for (one, other) in [
            ("  signs gap is above 0.2 mm\n", "  signs gap is at least 0.2 mm\n"),
            ("  signs a is b\n", "  signs a is not b\n"),
            ("  signs any peg with a is b\n", "  signs at least 2 peg with a is b\n"),
            ("  urgency book\n", "  urgency book if strung\n"),
            ("  on peg\n", "  on each peg\n"),
            ("  goods \"A\" 5 USD\n", "  goods \"B\" 5 USD\n"),
            ("  left becomes torn odds 10 %\n", "  left becomes torn odds 10 % within 2 years\n"),
        ] {
            assert_ne!(finding(one), finding(other));
        }
    }
}
