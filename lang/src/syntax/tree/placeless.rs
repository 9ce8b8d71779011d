//! Every place that the tree holds: to move an item along with its text, and to tell whether two items say the same, to
//! the letter, wherever they stand. (What is only meant alike, such as 0.2 and 0.20, is the matter of
//! [`Bare`](super::Bare).)
//!
//! Every field and every variant is named, so that what the tree learns to hold cannot be forgotten here.

use std::sync::Arc;

use super::{
    Arrow, BuildsOn, ChoiceWords, Clause, Cond, CondKind, Count, Doing, Ends, Entry, Expect, Expr, ExprKind, Good, Goods, Head,
    Item, Kind, LadderTest, LookKind, On, Path, Quantity, RecordEntry, RecordSays, Row, Says, StepWithin, TierLimit, Total, Tree,
    UrgencyLine,
};
use crate::book::{AidWord, ArithmeticSign, Comparison, PlayedWord, StateWord};
use crate::span::{Span, Spanned};

impl Item {
    /// Whether both say the same, wherever they stand.
    pub fn says_as(&self, other: &Item) -> bool {
        let placeless = |item: &Item| {
            let mut item = item.clone();
            item.places(&mut |place| *place = Span::default());
            item
        };
        let (one, other) = (placeless(self), placeless(other));
        one.doing == other.doing && one.entry == other.entry && one.entry.broken == other.entry.broken
    }

    /// Calls `each` with every place in it. An entry that somebody else holds as well is copied first.
    pub(crate) fn each_place(&mut self, each: &mut dyn FnMut(&mut Span)) {
        self.places(each);
    }
}

impl Tree {
    /// Whether both say the same, item by item, wherever it stands. Comments say nothing.
    pub fn says_as(&self, other: &Tree) -> bool {
        self.items.len() == other.items.len() && self.items.iter().zip(&other.items).all(|(one, other)| one.says_as(other))
    }
}

/// Something that tells where it stands.
trait Placed {
    /// Calls `each` with every place in it.
    fn places(&mut self, each: &mut dyn FnMut(&mut Span));
}

impl Placed for Span {
    fn places(&mut self, each: &mut dyn FnMut(&mut Span)) {
        each(self);
    }
}

impl<T: Placed> Placed for Spanned<T> {
    fn places(&mut self, each: &mut dyn FnMut(&mut Span)) {
        self.value.places(each);
        self.span.places(each);
    }
}

impl<T: Placed> Placed for Option<T> {
    fn places(&mut self, each: &mut dyn FnMut(&mut Span)) {
        self.iter_mut().for_each(|one| one.places(each));
    }
}

impl<T: Placed> Placed for Vec<T> {
    fn places(&mut self, each: &mut dyn FnMut(&mut Span)) {
        self.iter_mut().for_each(|one| one.places(each));
    }
}

impl<T: Placed> Placed for Box<T> {
    fn places(&mut self, each: &mut dyn FnMut(&mut Span)) {
        (**self).places(each);
    }
}

impl<T: Placed + Clone> Placed for Arc<T> {
    fn places(&mut self, each: &mut dyn FnMut(&mut Span)) {
        Arc::make_mut(self).places(each);
    }
}

/// What has no place.
macro_rules! placeless {
    ($($type:ty),* $(,)?) => { $(impl Placed for $type { fn places(&mut self, _: &mut dyn FnMut(&mut Span)) {} })* };
}

/// A struct, with all its fields.
macro_rules! fields {
    ($type:ident $(<$of:ident>)? { $($field:ident),* $(,)? }) => {
        impl$(<$of: Placed>)? Placed for $type$(<$of>)? {
            fn places(&mut self, each: &mut dyn FnMut(&mut Span)) {
                let Self { $($field),* } = self;
                $($field.places(each);)*
            }
        }
    };
}

/// An enum, with all its variants and what they hold.
macro_rules! variants {
    ($type:ident { $($variant:ident $(($($inner:ident),*))? $({ $($field:ident),* })?),* $(,)? }) => {
        impl Placed for $type {
            fn places(&mut self, each: &mut dyn FnMut(&mut Span)) {
                match self {
                    $(Self::$variant $(($($inner),*))? $({ $($field),* })? => {
                        $($($inner.places(each);)*)?
                        $($($field.places(each);)*)?
                    })*
                }
            }
        }
    };
}

placeless!(String, bool, u32, &'static str, Kind, Count, Total, AidWord, ArithmeticSign, Comparison, PlayedWord, StateWord);

fields!(Item { doing, entry });
fields!(Entry { kind, keyword, name, owner, words, head, clauses, line, span, broken });
fields!(Clause { word, keyword, span, says });
fields!(ChoiceWords { choice, words });
fields!(BuildsOn { name, edition, from });
fields!(Row { keys, value });
fields!(On { each, part });
fields!(UrgencyLine { step, when });
fields!(Goods { words, price });
fields!(Arrow { to, odds, within });
fields!(RecordEntry { says, span });
fields!(Ends<T> { from, to });
fields!(Cond { kind, span });
fields!(Expr { kind, span });
fields!(Quantity { number, unit });
fields!(Path { segments, span });

variants!(Doing { Writes, Alters { keyword, because }, Drops { keyword, because } });
variants!(Head {
    Plain,
    Work { amount, by, once },
    Part { apart },
    Table { by },
    Reckon { value },
    Step { within, not_played },
    Hand { rate },
    Tier { limit },
    Place { only_when },
    Look { kind },
});
variants!(StepWithin { Duration(quantity), AtOnce(span) });
variants!(TierLimit { UpTo(quantity), Beyond(span) });
variants!(LookKind {
    YesNo,
    OneOf(choices),
    SomeOf(choices),
    Measured { unit, from, to, give_or_take },
    Counted { from, to },
    Priced { from, to },
    Dated,
    Written,
});
variants!(Good { Choices(choices), Value(value) });
variants!(Says {
    Broken,
    Entry(entry),
    Edition(name),
    Keeper(text),
    Money(name),
    Language(text),
    Notice(text),
    LeastCharge(quantity),
    BuildsOn(parent),
    Includes(names),
    Row(row),
    OnlyWhen(condition),
    PlacesAsFound,
    How(text),
    Care(text),
    Private,
    Good(good),
    On(on),
    OnParts(names),
    Signs(condition),
    Unless(condition),
    Urgency(line),
    Hands(name),
    Work(names),
    Goods(goods),
    CostOnSight,
    CostNothing,
    Left(arrow),
    Again(quantity),
    YieldsTo(names),
    First(text),
    Tell(text),
    Refer(text),
    Basis(text),
    When(condition),
    By { steps, cap },
    For(condition),
    CoversAbove(quantity),
    Covers(names),
    Pays(quantity),
    Cap(quantity),
    FamilyPays(quantity),
    NotBeyond(quantity, path),
    Needs(paths),
    Record(entries),
    Expect(expect),
});
variants!(RecordSays {
    Is(path, value),
    Yes(path),
    Good(path),
    NotTold(path),
    DoesNotApply(path),
    Last(path, value),
    NoPlaces(name),
    MayBeMore(name),
    RestGood,
    Quoted(value),
    InspectedOn(value),
});
variants!(Expect {
    Finding { state, finding, place, at },
    NothingElse,
    Urgency(ends),
    Played(word),
    Cost(value),
    Left(value),
    Tier(ends),
    Hands(ends),
    Due(ends),
    Looks { not, look },
    Counsel(name, word),
    Refused,
    Aid(name, word),
});
variants!(CondKind {
    All(conditions),
    Any(conditions),
    AtLeast(count, conditions),
    Not(condition),
    Bare(path),
    Is { path, not, choices },
    Has { path, choices },
    Compare { left, comparison, right },
    Between { value, low, high },
    Places { count, part, with },
    Found(name),
    PlaceIs { keyword, not, places },
    Total { total, not, test },
});
variants!(LadderTest { OneOf(names), Compare(comparison, name), From(from, to) });
variants!(ExprKind {
    Quantity(quantity),
    Range(from, to),
    Date(date),
    Path(path),
    Last(path),
    TotalCost,
    Arithmetic(sign, left, right),
    Negative(value),
    Lower(one, other),
    Higher(one, other),
    DaysFrom(from, to),
    Formula(name, arguments),
});
