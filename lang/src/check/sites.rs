//! The single tests of a condition, each where it was written.

use super::mentions::Mentions;
use crate::book::{Book, Condition, LookId, Test};
use crate::evaluate::InHand;
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
}

impl Site {
    /// Whether the test itself names a look, or works its value out from it.
    pub fn names(&self, book: &Book, look: LookId) -> bool {
        self.test.as_ref().is_some_and(|test| Mentions::named_in_test(book, test).contains(&look))
    }
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
            add(into, *span, Some(test), not, met);
        }
        Condition::Found(_, span) => {
            let met = compiler.condition(condition, hand, owner, not);
            add(into, *span, None, not, met);
        }
    }
}

fn add(into: &mut Vec<Site>, span: Span, test: Option<&Test>, not: bool, met: Node) {
    match into.iter_mut().find(|site| site.span == span && site.not == not && site.test.as_ref() == test) {
        Some(site) => {
            site.met.push(met);
            site.there.push(Node::Constant(true));
        }
        None => into.push(Site { span, test: test.cloned(), not, met: vec![met], there: vec![Node::Constant(true)] }),
    }
}
