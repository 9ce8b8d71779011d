//! Reckonings, read in the order in which they need one another.

use super::draft::Draft;
use super::expression::value;
use super::operand::Fact;
use crate::book::{PartId, Reckon, ReckonId, Value};
use crate::syntax::tree::{Expr, ExprKind};
use crate::unit::Dimension;

/// Reads every reckoning: `written` has each one's expression, none where it is broken.
pub fn reckons(draft: &mut Draft, written: &[Option<&Expr>]) {
    let needs: Vec<Vec<ReckonId>> = written.iter().map(|written| named(draft, *written)).collect();
    let (order, circling) = in_order(&needs);
    for index in order {
        let scope = draft.scope_of_all_places();
        let Some(typed) = written[index].and_then(|written| value(&scope, &draft.facts, written)) else { continue };
        let mut places: Vec<PartId> = Vec::new();
        draft.facts.needs(&draft.book, &typed.value, &mut places);
        let reckon: &mut Reckon = &mut draft.book.reckons[index];
        reckon.dimension = typed.dimension;
        reckon.value = typed.value;
        draft.facts.reckons[index] = Some(Fact { dimension: typed.dimension, ranged: typed.ranged, needs: places });
    }
    for index in circling {
        // What goes round in a circle has no dimension; what it names is kept, so that the circle can be told.
        draft.book.reckons[index].value =
            needs[index].iter().fold(nought(), |sofar, &other| Value::Lower(Box::new(sofar), Box::new(Value::Reckon(other))));
    }
}

/// A reckoning that has not been read.
pub fn unread(name: String, words: String, origin: crate::book::Origin) -> Reckon {
    Reckon { name, words, value: nought(), dimension: Dimension::NUMBER, origin }
}

fn nought() -> Value {
    Value::Number(crate::number::Number::from_integer(0))
}

/// The reckonings that an expression names.
fn named(draft: &Draft, written: Option<&Expr>) -> Vec<ReckonId> {
    let mut found = Vec::new();
    let mut next: Vec<&Expr> = written.into_iter().collect();
    while let Some(expression) = next.pop() {
        match &expression.kind {
            ExprKind::Path(path) => found.extend(path.single().and_then(|word| draft.names.reckons.get(&word.value))),
            ExprKind::Arithmetic(_, left, right)
            | ExprKind::Lower(left, right)
            | ExprKind::Higher(left, right)
            | ExprKind::DaysFrom(left, right) => next.extend([&**left, &**right]),
            ExprKind::Negative(inner) => next.push(inner),
            ExprKind::Formula(_, arguments) => next.extend(arguments),
            ExprKind::Quantity(_) | ExprKind::Range(..) | ExprKind::Date(_) | ExprKind::Last(_) | ExprKind::TotalCost => {}
        }
    }
    found
}

/// Indices in an order in which each comes after all that it needs, and those that never can.
fn in_order(needs: &[Vec<ReckonId>]) -> (Vec<usize>, Vec<usize>) {
    let mut placed = vec![false; needs.len()];
    let mut order = Vec::new();
    let mut waiting: Vec<usize> = (0..needs.len()).collect();
    loop {
        let before = waiting.len();
        waiting.retain(|&index| {
            let ready = needs[index].iter().all(|need| placed.get(need.index()).copied().unwrap_or(true));
            if ready {
                placed[index] = true;
                order.push(index);
            }
            !ready
        });
        if waiting.len() == before {
            return (order, waiting);
        }
    }
}
