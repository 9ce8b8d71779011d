//! The tree as it is meant, without the places at which it was written: two clauses that say the same are then equal.

use super::clause::{Arrow, Good, Goods, On, Row, Says, UrgencyLine};
use super::condition::{Cond, CondKind, LadderTest};
use super::expression::{Expr, ExprKind, Path, Quantity};
use super::{ChoiceWords, Clause, Entry, Head, LookKind, StepWithin, TierLimit};
use crate::number::{format_decimal, parse_decimal};
use crate::span::{Span, Spanned};

/// Something that can be laid bare of its places.
pub trait Bare: Clone {
    /// Takes the places off, and writes each number in one way.
    fn lay_bare(&mut self);

    /// It without its places.
    fn bare(&self) -> Self {
        let mut bare = self.clone();
        bare.lay_bare();
        bare
    }
}

/// Lays several things bare.
macro_rules! lay_bare {
    ($($it:expr),*) => { { $($it.lay_bare();)* } };
}

impl Bare for Span {
    fn lay_bare(&mut self) {
        *self = Span::default();
    }
}

impl<T: Clone> Bare for Spanned<T> {
    fn lay_bare(&mut self) {
        self.span.lay_bare();
    }
}

impl<T: Bare> Bare for Option<T> {
    fn lay_bare(&mut self) {
        self.iter_mut().for_each(T::lay_bare);
    }
}

impl<T: Bare> Bare for Vec<T> {
    fn lay_bare(&mut self) {
        self.iter_mut().for_each(T::lay_bare);
    }
}

impl<T: Bare> Bare for Box<T> {
    fn lay_bare(&mut self) {
        (**self).lay_bare();
    }
}

impl Bare for Path {
    fn lay_bare(&mut self) {
        lay_bare!(self.segments, self.span);
    }
}

impl Bare for Quantity {
    fn lay_bare(&mut self) {
        lay_bare!(self.number, self.unit);
        if let Ok(number) = parse_decimal(&self.number.value) {
            self.number.value = format_decimal(number);
        }
    }
}

impl Bare for Expr {
    fn lay_bare(&mut self) {
        self.span.lay_bare();
        match &mut self.kind {
            ExprKind::Quantity(quantity) => quantity.lay_bare(),
            ExprKind::Range(from, to) => {
                lay_bare!(from, to);
                // A first end without a unit has the second's.
                if from.unit.is_none() {
                    from.unit.clone_from(&to.unit);
                }
            }
            ExprKind::Date(date) => date.lay_bare(),
            ExprKind::Path(path) | ExprKind::Last(path) => path.lay_bare(),
            ExprKind::Arithmetic(sign, left, right) => lay_bare!(sign, left, right),
            ExprKind::Lower(left, right) | ExprKind::Higher(left, right) | ExprKind::DaysFrom(left, right) => {
                lay_bare!(left, right)
            }
            ExprKind::Negative(inner) => inner.lay_bare(),
            ExprKind::Formula(name, arguments) => lay_bare!(name, arguments),
            ExprKind::TotalCost => {}
        }
    }
}

impl Bare for Cond {
    fn lay_bare(&mut self) {
        self.span.lay_bare();
        match &mut self.kind {
            CondKind::All(inner) | CondKind::Any(inner) => inner.lay_bare(),
            CondKind::AtLeast(count, inner) => lay_bare!(count, inner),
            CondKind::Not(inner) => inner.lay_bare(),
            CondKind::Bare(path) => path.lay_bare(),
            CondKind::Is { path, choices, .. } | CondKind::Has { path, choices } => lay_bare!(path, choices),
            CondKind::Compare { left, comparison, right } => lay_bare!(left, comparison, right),
            CondKind::Between { value, low, high } => lay_bare!(value, low, high),
            CondKind::Places { count, part, with } => lay_bare!(count, part, with),
            CondKind::Found(name) => name.lay_bare(),
            CondKind::PlaceIs { keyword, places, .. } => lay_bare!(keyword, places),
            CondKind::Total { total, test, .. } => {
                total.lay_bare();
                match test {
                    LadderTest::OneOf(names) => names.lay_bare(),
                    LadderTest::Compare(comparison, name) => lay_bare!(comparison, name),
                    LadderTest::From(from, to) => lay_bare!(from, to),
                }
            }
        }
    }
}

impl Bare for Clause {
    fn lay_bare(&mut self) {
        lay_bare!(self.keyword, self.span, self.says);
    }
}

impl Bare for Says {
    fn lay_bare(&mut self) {
        match self {
            Says::Entry(entry) => entry.lay_bare(),
            Says::Edition(text)
            | Says::Keeper(text)
            | Says::Money(text)
            | Says::Language(text)
            | Says::Notice(text)
            | Says::How(text)
            | Says::Care(text)
            | Says::Hands(text)
            | Says::First(text)
            | Says::Tell(text)
            | Says::Refer(text)
            | Says::Basis(text) => text.lay_bare(),
            Says::LeastCharge(quantity)
            | Says::Again(quantity)
            | Says::CoversAbove(quantity)
            | Says::Pays(quantity)
            | Says::Cap(quantity)
            | Says::FamilyPays(quantity) => quantity.lay_bare(),
            Says::Includes(names) | Says::OnParts(names) | Says::Work(names) | Says::YieldsTo(names) | Says::Covers(names) => {
                names.lay_bare()
            }
            Says::OnlyWhen(condition)
            | Says::Signs(condition)
            | Says::Unless(condition)
            | Says::When(condition)
            | Says::For(condition) => condition.lay_bare(),
            Says::Row(Row { keys, value }) => lay_bare!(keys, value),
            Says::Good(Good::Choices(names)) => names.lay_bare(),
            Says::Good(Good::Value(value)) => value.lay_bare(),
            Says::On(On { part, .. }) => part.lay_bare(),
            Says::Urgency(UrgencyLine { step, when }) => lay_bare!(step, when),
            Says::Goods(Goods { words, price }) => lay_bare!(words, price),
            Says::Left(Arrow { to, odds, within }) => lay_bare!(to, odds, within),
            Says::By { steps, cap } => lay_bare!(steps, cap),
            Says::NotBeyond(share, look) => lay_bare!(share, look),
            Says::Needs(looks) => looks.lay_bare(),
            // Heads and examples are never written again, so nothing is compared with them.
            Says::BuildsOn(_) | Says::Record(_) | Says::Expect(_) => {}
            Says::Broken | Says::PlacesAsFound | Says::Private | Says::CostOnSight | Says::CostNothing => {}
        }
    }
}

impl Bare for Entry {
    fn lay_bare(&mut self) {
        lay_bare!(self.keyword, self.name, self.owner, self.words, self.head, self.clauses, self.line, self.span);
    }
}

impl Bare for Head {
    fn lay_bare(&mut self) {
        match self {
            Head::Plain => {}
            Head::Work { amount, by, once } => lay_bare!(amount, by, once),
            Head::Part { apart } => apart.lay_bare(),
            Head::Table { by } => by.lay_bare(),
            Head::Reckon { value } => value.lay_bare(),
            Head::Step { within, not_played } => lay_bare!(within, not_played),
            Head::Hand { rate } => rate.lay_bare(),
            Head::Tier { limit } => limit.lay_bare(),
            Head::Place { only_when } => only_when.lay_bare(),
            Head::Look { kind } => kind.lay_bare(),
        }
    }
}

impl Bare for StepWithin {
    fn lay_bare(&mut self) {
        match self {
            StepWithin::Duration(quantity) => quantity.lay_bare(),
            StepWithin::AtOnce(span) => span.lay_bare(),
        }
    }
}

impl Bare for TierLimit {
    fn lay_bare(&mut self) {
        match self {
            TierLimit::UpTo(quantity) => quantity.lay_bare(),
            TierLimit::Beyond(span) => span.lay_bare(),
        }
    }
}

impl Bare for ChoiceWords {
    fn lay_bare(&mut self) {
        lay_bare!(self.choice, self.words);
    }
}

impl Bare for LookKind {
    fn lay_bare(&mut self) {
        match self {
            LookKind::OneOf(choices) | LookKind::SomeOf(choices) => choices.lay_bare(),
            LookKind::Measured { unit, from, to, give_or_take } => lay_bare!(unit, from, to, give_or_take),
            LookKind::Counted { from, to } | LookKind::Priced { from, to } => lay_bare!(from, to),
            LookKind::YesNo | LookKind::Dated | LookKind::Written => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::span::FileId;
    use crate::syntax::parse;

    fn finding(lines: &str) -> Vec<Clause> {
        let parsed = parse(FileId(0), &format!("finding loose \"Loose\"\n{lines}"));
        assert!(parsed.diagnostics.is_empty(), "{:?}", parsed.diagnostics);
        parsed.tree.items[0].entry.clauses.bare()
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
