//! What a finding or a way costs: work and goods, or on sight, or nothing; saying none of them is an error.

use super::bounds::{Named, NoEnds};
use super::choices::Looks;
use super::draft::Draft;
use super::expression::value_of;
use super::rows::wording;
use super::scope::Scope;
use crate::book::{Book, Cost, Goods, PartId, Value, WorkId};
use crate::diagnostic::Diagnostic;
use crate::number::Number;
use crate::span::Span;
use crate::syntax::tree::{Goods as WrittenGoods, Name};
use crate::unit::Dimension;

/// The cost clauses as written.
#[derive(Debug, Default)]
pub struct Written<'t> {
    /// Bench steps.
    pub work: Vec<&'t Name>,
    /// Goods with their prices.
    pub goods: Vec<&'t WrittenGoods>,
    /// `cost on sight` (true) or `cost nothing` (false).
    pub cost: Option<(bool, Span)>,
    /// Every cost clause.
    pub spans: Vec<Span>,
    /// Whether one of them was broken, so that nothing can be said of what is missing.
    pub broken: bool,
}

/// Where the costs belong: the finding's part, whether each place counts, and what to call it.
pub struct Place<'t> {
    /// The part; none where it is not known.
    pub part: Option<PartId>,
    /// Whether the finding is on each place.
    pub each: bool,
    /// The finding or way.
    pub name: &'t Name,
}

/// Reads the cost of a finding or a way.
pub fn cost(draft: &Draft, scope: &Scope, written: &Written, place: &Place) -> Cost {
    one_kind(scope, written, place);
    let mut work: Vec<WorkId> = Vec::new();
    for name in &written.work {
        let Some(id) = scope.sink.keep(draft.names.work(name)) else { continue };
        if work.contains(&id) {
            let says = format!("`{}` asks for `{}` twice.", place.name.value, name.value);
            scope.sink.push(Diagnostic::error("name-twice", name.span, says).help("Take one of the two out."));
            continue;
        }
        work.push(id);
        work_in_place(draft, scope, id, name, place);
    }
    let mut goods = Vec::new();
    for one in &written.goods {
        let Some(typed) = value_of(scope, &draft.facts, &one.price, Dimension::MONEY, "The price of goods") else { continue };
        if let Some(diagnostic) = below_nought(&draft.book, &typed.value, typed.span) {
            scope.sink.push(diagnostic);
            continue;
        }
        goods.push(Goods { words: one.words.value.clone(), price: typed.value, span: typed.span });
    }
    Cost { work, goods, on_sight: written.cost.is_some_and(|(on_sight, _)| on_sight) }
}

/// Work and goods, or `cost on sight`, or `cost nothing`: one of them.
fn one_kind(scope: &Scope, written: &Written, place: &Place) {
    let name = &place.name.value;
    if written.spans.is_empty() && !written.broken {
        let says = format!("`{name}` does not say what it costs.");
        scope.sink.push(
            Diagnostic::error("no-cost", place.name.span, says)
                .label("no cost")
                .help("Add `work` or `goods`, or `cost on sight`, or `cost nothing`."),
        );
    }
    let Some((_, first)) = &written.cost else { return };
    if let Some(other) = written.spans.iter().find(|span| *span != first) {
        let says = format!("`{name}` has work or goods, and a `cost` beside them.");
        scope.sink.push(
            Diagnostic::error("cost-twice", *first, says)
                .help("Take the `cost` out, or the work and goods.")
                .place(*other, "this costs as well"),
        );
    }
}

/// A step whose amount goes by the place in hand needs a finding on each of that part.
fn work_in_place(draft: &Draft, scope: &Scope, id: WorkId, name: &Name, place: &Place) {
    let Some(work) = draft.book.works.get(id.index()).filter(|_| !draft.troubled.works.contains(&id)) else { return };
    let mut needs = Vec::new();
    draft.facts.needs(&draft.book, &work.amount, &mut needs);
    let Some(&lacking) = needs.iter().find(|part| !(place.each && place.part == Some(**part))) else { return };
    if place.part.is_none() {
        return;
    }
    let part = scope.part_name(lacking);
    let says = format!(
        "What `{}` costs goes by the place of `{part}`, and `{}` has no place of it in hand.",
        name.value, place.name.value
    );
    scope.sink.push(
        Diagnostic::error("no-place-in-hand", name.span, says)
            .help(format!("Write the finding `on each {part}`, or use another step.")),
    );
}

/// An error where a price comes to less than nothing, or divides by nought, for some record.
fn below_nought(book: &Book, value: &Value, span: Span) -> Option<Diagnostic> {
    let named = Named { tables: &book.tables, reckons: &book.reckons };
    let mut keys = Vec::new();
    named.keys(value, &mut keys);
    let looks = Looks { parts: &book.parts, looks: &book.looks };
    for choice in looks.choices(&keys, &[], true)? {
        let when = if choice.is_empty() { String::new() } else { format!(" for {}", wording(book, &choice)) };
        match named.ends(value, &choice) {
            Ok((low, _)) if low < Number::from_integer(0) => {
                let says = format!("This price comes to less than nothing{when}.");
                return Some(Diagnostic::error("below-nought", span, says).help("Change it so that it is never below 0."));
            }
            Err(NoEnds::DividedByNought) => {
                let says = format!("This price divides by nought{when}.");
                return Some(
                    Diagnostic::error("divided-by-nought", span, says).help("Change it so that the divisor is never 0."),
                );
            }
            Err(NoEnds::TooLarge) => return Some(super::quantity::too_large(span)),
            _ => {}
        }
    }
    None
}
