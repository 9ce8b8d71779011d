//! The single tests of a condition, each where it was written.

use crate::book::{Book, Condition, Test};
use crate::evaluate::{InHand, Input, LookSpot, inputs_of};
use crate::finite::compile::{Compiler, Owner};
use crate::finite::node::Node;
use crate::span::Span;

/// A single test as it stands in the text, with the `not` around it carried in.
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// Where it stands.
    pub span: Span,
    /// The test; none for `found`.
    pub test: Option<Test>,
    /// Whether a `not` around it turns it round.
    pub not: bool,
    /// When it is met, at each place at which it is asked.
    pub met: Vec<Node>,
    /// When that place is there, as far as the condition itself goes through places.
    pub there: Vec<Node>,
    /// The looks the test itself names there, and those that what it compares is worked out from.
    pub named: Vec<Vec<LookSpot>>,
}

/// Adds the looks that a condition itself names, where it asks them, and those that what it compares is worked out from; not
/// those that decide what applies, nor what the findings read that it asks for.
pub fn named(compiler: &Compiler<'_>, condition: &Condition, hand: &InHand, into: &mut Vec<LookSpot>) {
    match condition {
        Condition::All(inner) | Condition::Any(inner) | Condition::AtLeast(_, inner) => {
            inner.iter().for_each(|condition| named(compiler, condition, hand, into));
        }
        Condition::Not(inner) => named(compiler, inner, hand, into),
        Condition::Places { part, with, .. } => {
            compiler.spots(*part).into_iter().for_each(|spot| named(compiler, with, &hand.with(*part, spot), into));
        }
        Condition::Test(test, _) => named_in_test(compiler.book, test, hand, into),
        Condition::Found(..) => {}
    }
}

fn named_in_test(book: &Book, test: &Test, hand: &InHand, into: &mut Vec<LookSpot>) {
    let mut numbers = Vec::new();
    match test {
        Test::IsOneOf { look, .. } | Test::HasAny { look, .. } | Test::NoDate { look, .. } => into.push(hand.look(book, *look)),
        Test::Compare(_, left, right) => {
            [left, right].into_iter().for_each(|value| inputs_of(book, value, hand, &mut numbers, into));
        }
        Test::Between(value, low, high) => {
            [value, low, high].into_iter().for_each(|value| inputs_of(book, value, hand, &mut numbers, into));
        }
        Test::PlaceIs { .. } | Test::TotalUrgency { .. } | Test::TotalTier { .. } => {}
    }
    into.extend(numbers.into_iter().filter_map(|input| if let Input::Look(look) = input { Some(look) } else { None }));
}

/// Adds the tests of a condition to `into`; one that is there already gets its places added.
pub fn sites(compiler: &mut Compiler<'_>, condition: &Condition, hand: &InHand, owner: Owner, not: bool, into: &mut Vec<Site>) {
    match condition {
        Condition::All(inner) | Condition::Any(inner) | Condition::AtLeast(_, inner) => {
            for condition in inner {
                sites(compiler, condition, hand, owner, not, into);
            }
        }
        Condition::Not(inner) => sites(compiler, inner, hand, owner, !not, into),
        Condition::Places { part, with, .. } => {
            for spot in compiler.spots(*part) {
                let applies = compiler.place_applies(*part, spot);
                let before: Vec<usize> = into.iter().map(|site| site.met.len()).collect();
                sites(compiler, with, &hand.with(*part, spot), owner, false, into);
                for (at, site) in into.iter_mut().enumerate() {
                    let first = before.get(at).copied().unwrap_or(0);
                    for node in site.met[first..].iter_mut().chain(&mut site.there[first..]) {
                        *node = Node::all([applies.clone(), std::mem::replace(node, Node::Constant(false))]);
                    }
                }
            }
        }
        Condition::Test(test, span) => {
            let met = compiler.condition(condition, hand, owner, not);
            let mut named = Vec::new();
            named_in_test(compiler.book, test, hand, &mut named);
            add(into, *span, Some(test), not, met, named);
        }
        Condition::Found(_, span) => {
            let met = compiler.condition(condition, hand, owner, not);
            add(into, *span, None, not, met, Vec::new());
        }
    }
}

fn add(into: &mut Vec<Site>, span: Span, test: Option<&Test>, not: bool, met: Node, named: Vec<LookSpot>) {
    match into.iter_mut().find(|site| site.span == span && site.not == not && site.test.as_ref() == test) {
        Some(site) => {
            site.met.push(met);
            site.there.push(Node::Constant(true));
            site.named.push(named);
        }
        None => into.push(Site {
            span,
            test: test.cloned(),
            not,
            met: vec![met],
            there: vec![Node::Constant(true)],
            named: vec![named],
        }),
    }
}
