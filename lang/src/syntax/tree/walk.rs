//! A walk through everything that a piece of the tree holds, in a fixed order.
//!
//! Every field and every variant is named, so that what the tree learns to hold cannot be forgotten here. Whoever moves an
//! item along with its text, asks whether two clauses mean the same, or seals a rulebook, is a [`Visit`].

use std::fmt::Debug;
use std::sync::Arc;

use super::{
    Arrow, BuildsOn, ChoiceWords, Clause, Cond, CondKind, Count, Doing, Ends, Entry, Expect, Expr, ExprKind, Good, Goods, Head,
    Item, Kind, LadderTest, LookKind, On, Path, Quantity, RecordEntry, RecordSays, Row, Says, StepWithin, TierLimit, Total,
    UrgencyLine,
};
use crate::book::{AidWord, ArithmeticSign, Comparison, PlayedWord, StateWord};
use crate::span::{Span, Spanned};

/// What is done at each thing that a walk comes to. Before a thing's parts comes the thing itself.
pub(crate) trait Visit {
    /// A place in a text.
    fn place(&mut self, _place: &mut Span) {}

    /// A parent.
    fn parent(&mut self, _parent: &mut BuildsOn) {}

    /// A number with its unit.
    fn quantity(&mut self, _quantity: &mut Quantity) {}

    /// A value.
    fn value(&mut self, _value: &mut Expr) {}

    /// A word, a text or a number, as written.
    fn written(&mut self, _written: &str) {}

    /// Which of several kinds of thing this is.
    fn kind(&mut self, _kind: &str) {}

    /// One of a few values that hold nothing else; it is told by the name that it has in the program.
    fn plain(&mut self, _value: &dyn Debug) {}

    /// How many things follow.
    fn count(&mut self, _count: usize) {}
}

/// Something that a walk goes through. What somebody else holds as well is copied first.
pub(crate) trait Walk {
    /// Goes through it and all that it holds.
    fn walk(&mut self, visit: &mut dyn Visit);
}

impl Walk for Span {
    fn walk(&mut self, visit: &mut dyn Visit) {
        visit.place(self);
    }
}

impl Walk for String {
    fn walk(&mut self, visit: &mut dyn Visit) {
        visit.written(self);
    }
}

impl Walk for &'static str {
    fn walk(&mut self, visit: &mut dyn Visit) {
        visit.written(self);
    }
}

impl<T: Walk> Walk for Spanned<T> {
    fn walk(&mut self, visit: &mut dyn Visit) {
        self.value.walk(visit);
        self.span.walk(visit);
    }
}

impl<T: Walk> Walk for Option<T> {
    fn walk(&mut self, visit: &mut dyn Visit) {
        visit.count(usize::from(self.is_some()));
        self.iter_mut().for_each(|one| one.walk(visit));
    }
}

impl<T: Walk> Walk for Vec<T> {
    fn walk(&mut self, visit: &mut dyn Visit) {
        visit.count(self.len());
        self.iter_mut().for_each(|one| one.walk(visit));
    }
}

impl<T: Walk> Walk for Box<T> {
    fn walk(&mut self, visit: &mut dyn Visit) {
        (**self).walk(visit);
    }
}

impl<T: Walk + Clone> Walk for Arc<T> {
    fn walk(&mut self, visit: &mut dyn Visit) {
        Arc::make_mut(self).walk(visit);
    }
}

/// What has neither a place nor anything else in it.
macro_rules! plain {
    ($($type:ty),* $(,)?) => { $(impl Walk for $type {
        fn walk(&mut self, visit: &mut dyn Visit) {
            visit.plain(self);
        }
    })* };
}

/// A struct, with all its fields, and what is done at it beforehand.
macro_rules! fields {
    ($type:ident $(<$of:ident>)? { $($field:ident),* $(,)? } $(, $at:ident)?) => {
        impl$(<$of: Walk>)? Walk for $type$(<$of>)? {
            fn walk(&mut self, visit: &mut dyn Visit) {
                $(visit.$at(self);)?
                let Self { $($field),* } = self;
                $($field.walk(visit);)*
            }
        }
    };
}

/// An enum, with all its variants and what they hold.
macro_rules! variants {
    ($type:ident { $($variant:ident $(($($inner:ident),*))? $({ $($field:ident),* })?),* $(,)? }) => {
        impl Walk for $type {
            fn walk(&mut self, visit: &mut dyn Visit) {
                match self {
                    $(Self::$variant $(($($inner),*))? $({ $($field),* })? => {
                        visit.kind(stringify!($variant));
                        $($($inner.walk(visit);)*)?
                        $($($field.walk(visit);)*)?
                    })*
                }
            }
        }
    };
}

plain!(bool, u32, Kind, Count, Total, AidWord, ArithmeticSign, Comparison, PlayedWord, StateWord);

fields!(Item { doing, entry });
fields!(Entry { kind, keyword, name, owner, words, head, clauses, line, span, broken });
fields!(Clause { word, keyword, span, says });
fields!(ChoiceWords { choice, words });
fields!(BuildsOn { name, edition, from, seal }, parent);
fields!(Row { keys, value });
fields!(On { each, part });
fields!(UrgencyLine { step, when });
fields!(Goods { words, price });
fields!(Arrow { to, odds, within });
fields!(RecordEntry { says, span });
fields!(Ends<T> { from, to });
fields!(Cond { kind, span });
fields!(Expr { kind, span }, value);
fields!(Quantity { number, unit }, quantity);
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
