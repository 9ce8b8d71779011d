//! Prices that hang on numbers of a record: which of them can fall below nought, as far as the ends of their looks show.

use crate::book::{Book, Comparison, Condition, Cost, Finding, FindingId, LookId, LookKind, Test, Value, WorkId};
use crate::evaluate::{InHand, Input, Inputs, LookSpot, Reach, Spot, evaluate, inputs_of};
use crate::finite::classify::{has_range, key_size};
use crate::finite::compile::{Compiler, Owner};
use crate::finite::node::Node;
use crate::number::Number;
use crate::span::Span;

/// A price in the cost of a finding at a place.
#[derive(Debug, Clone)]
pub struct Priced {
    /// The finding at its place, by its number.
    pub standing: usize,
    /// The step; none for goods.
    pub work: Option<WorkId>,
    /// The goods, in their words; empty for a step.
    pub goods: String,
    /// Where it is mended.
    pub span: Span,
    /// When it is below nought.
    pub below: Node,
}

/// The prices of all findings that may fall below nought. Those that tables alone decide are known to be none.
pub fn prices(compiler: &mut Compiler<'_>, places: &[(FindingId, Spot)]) -> Vec<Priced> {
    let book = compiler.book;
    let mut all = Vec::new();
    for (standing, &(id, spot)) in places.iter().enumerate() {
        let finding = &book[id];
        let hand = if finding.each { InHand::nothing().with(finding.on, spot) } else { InHand::nothing() };
        let owner: Owner = finding.each.then_some((finding.on, spot));
        for (work, goods, value, span) in costs(finding).flat_map(|cost| amounts(book, cost)) {
            if !may_fall_below(book, value, &hand) {
                continue;
            }
            let test = Condition::Test(below(book, value), span);
            let below = compiler.condition(&test, &hand, owner, false);
            all.push(Priced { standing, work, goods: goods.to_owned(), span, below });
        }
    }
    all
}

fn costs(finding: &Finding) -> impl Iterator<Item = &Cost> {
    std::iter::once(&finding.cost).chain(finding.ways.iter().map(|way| &way.cost))
}

type Amount<'b> = (Option<WorkId>, &'b str, &'b Value, Span);

fn amounts<'b>(book: &'b Book, cost: &'b Cost) -> impl Iterator<Item = Amount<'b>> {
    let works = cost.work.iter().map(|&id| {
        let origin = &book[id].origin;
        (Some(id), "", &book[id].amount, origin.own().unwrap_or(origin.span))
    });
    works.chain(cost.goods.iter().map(|goods| (None, goods.words.as_str(), &goods.price, goods.span)))
}

/// A test that is met only where a price is below nought. `at most` looks at the lower end of a range, where `below` looks
/// at the upper one, so a range is held against a sum too small to be charged.
fn below(book: &Book, price: &Value) -> Test {
    let nought = Number::from_integer(0);
    if has_range(book, price) {
        let least = Number::new(-1, 1000);
        return Test::Compare(Comparison::AtMost, price.clone(), Value::Number(least));
    }
    Test::Compare(Comparison::Below, price.clone(), Value::Number(nought))
}

/// Whether a price hangs on numbers, and is below nought somewhere in what its looks can show, each taken by itself.
fn may_fall_below(book: &Book, price: &Value, hand: &InHand) -> bool {
    let (mut numbers, mut keys) = (Vec::new(), Vec::new());
    inputs_of(book, price, hand, &mut numbers, &mut keys);
    if numbers.is_empty() {
        return false;
    }
    evaluate(book, price, hand, &Anything(book)).is_some_and(|worked| worked.low.0 < Number::from_integer(0))
}

/// A record of which nothing is known.
struct Anything<'b>(&'b Book);

impl Inputs for Anything<'_> {
    fn number(&self, input: Input) -> Reach {
        let ends = match input {
            Input::Look(spot) | Input::Last(spot) => range(self.0, spot.look),
            Input::InspectedOn => Some(crate::cells::date_range()),
            Input::TotalCost => None,
        };
        Reach { ends, nothing: true }
    }

    fn key(&self, look: LookSpot) -> Vec<Option<usize>> {
        (0..key_size(self.0, look)).map(Some).chain([None]).collect()
    }
}

fn range(book: &Book, look: LookId) -> Option<(Number, Number)> {
    match book[look].kind {
        LookKind::Measured { from, to, .. } | LookKind::Priced { from, to } => Some((from, to)),
        LookKind::Counted { from, to } => Some((Number::from_integer(from.into()), Number::from_integer(to.into()))),
        LookKind::Dated => Some(crate::cells::date_range()),
        _ => None,
    }
}
