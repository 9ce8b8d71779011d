//! A bench step never costs less, at either end, than the steps it includes cost together.

use num_traits::{CheckedAdd, CheckedMul, Zero};

use super::bounds::{Choice, Named, NoEnds};
use super::choices::{Looks, MOST_CHOICES};
use super::rows::wording;
use super::uses::with_included;
use crate::book::{Book, WorkId};
use crate::diagnostic::Diagnostic;
use crate::number::{Number, format_rounded};
use crate::span::Span;

/// Checks every bench step whose price is known (`known` says which were read without an error).
pub fn check(book: &Book, known: &dyn Fn(WorkId) -> bool) -> Vec<Diagnostic> {
    (0..book.works.len())
        .map(WorkId::from_index)
        .filter(|&id| with_included(book, &[id]).into_iter().all(known))
        .filter_map(|id| check_work(book, id))
        .collect()
}

fn check_work(book: &Book, id: WorkId) -> Option<Diagnostic> {
    let work = &book[id];
    let named = Named { tables: &book.tables, reckons: &book.reckons };
    let parts = top_included(book, id)?;
    let mut keys = Vec::new();
    for &step in parts.iter().chain([&id]) {
        named.keys(&book[step].amount, &mut keys);
    }
    let looks = Looks { parts: &book.parts, looks: &book.looks };
    let Some(choices) = looks.choices(&keys, &[], true) else {
        let says = format!("What `{}` and its included steps cost has more than {MOST_CHOICES} combinations.", work.name);
        return Some(Diagnostic::error("too-many-combinations", work.origin.span, says).help("Use tables with fewer keys."));
    };
    for choice in &choices {
        let whole = match price(book, id, choice) {
            Ok(ends) => ends,
            Err(NoEnds::NoRow) => continue,
            Err(why) => return no_price(book, id, why, choice),
        };
        if whole.0 < Number::zero() {
            return Some(below_nought(book, id, choice));
        }
        if parts.is_empty() {
            continue;
        }
        let together = parts.iter().try_fold((Number::zero(), Number::zero()), |sum, &step| {
            let ends = price(book, step, choice)?;
            Ok((sum.0.checked_add(&ends.0).ok_or(NoEnds::TooLarge)?, sum.1.checked_add(&ends.1).ok_or(NoEnds::TooLarge)?))
        });
        match together {
            Ok(together) if whole.0 < together.0 || whole.1 < together.1 => {
                return Some(cheaper(book, id, &parts, whole, together, choice));
            }
            Ok(_) | Err(NoEnds::NoRow) => {}
            Err(why) => return no_price(book, id, why, choice),
        }
    }
    None
}

/// The included steps that no other included step includes; none where they go round in a circle.
fn top_included(book: &Book, id: WorkId) -> Option<Vec<WorkId>> {
    let all = with_included(book, &book[id].includes);
    if all.contains(&id) {
        return None;
    }
    let inner: Vec<WorkId> = all.iter().flat_map(|&step| with_included(book, &book[step].includes)).collect();
    let top: Vec<WorkId> = all.iter().copied().filter(|step| !inner.contains(step)).collect();
    if top.is_empty() && !all.is_empty() { None } else { Some(top) }
}

/// Both ends of what a step costs, in money.
fn price(book: &Book, id: WorkId, choice: &Choice) -> Result<(Number, Number), NoEnds> {
    let work = &book[id];
    let ends = Named { tables: &book.tables, reckons: &book.reckons }.ends(&work.amount, choice)?;
    if !work.timed {
        return Ok(ends);
    }
    let per_minute =
        book.hands.get(work.by.index()).and_then(|hand| hand.rate).ok_or(NoEnds::NotConstant)? / Number::from_integer(60);
    let charge = |minutes: Number| minutes.checked_mul(&per_minute).ok_or(NoEnds::TooLarge);
    Ok((charge(ends.0)?, charge(ends.1)?))
}

fn no_price(book: &Book, id: WorkId, why: NoEnds, choice: &Choice) -> Option<Diagnostic> {
    let work = &book[id];
    let span = work.origin.span;
    match why {
        NoEnds::NoRow => None,
        NoEnds::NotConstant if work.includes.is_empty() => None,
        NoEnds::NotConstant => {
            let span = with_included(book, &[id]).into_iter().find_map(|step| book[step].origin.own())?;
            let says = format!(
                "`{}` includes other steps, and a measured look decides the price, so it cannot be shown that it never costs less than they do.",
                work.name
            );
            Some(
                Diagnostic::warning("includes-unproved", span, says)
                    .help("Let tables alone decide the amounts of steps that include one another."),
            )
        }
        NoEnds::DividedByNought => {
            let says = format!("The amount of `{}` divides by nought for {}.", work.name, some(book, choice));
            Some(Diagnostic::error("divided-by-nought", span, says).help("Change the amount so that the divisor is never 0."))
        }
        NoEnds::TooLarge => {
            let says = format!("The amount of `{}` is too large to be reckoned with exactly.", work.name);
            Some(Diagnostic::error("too-large", span, says).help("Write smaller numbers."))
        }
    }
}

fn below_nought(book: &Book, id: WorkId, choice: &Choice) -> Diagnostic {
    let work = &book[id];
    Diagnostic::error(
        "below-nought",
        work.origin.span,
        format!("`{}` comes to less than nothing for {}.", work.name, some(book, choice)),
    )
    .help("Change the amount so that it is never below 0.")
}

fn cheaper(
    book: &Book,
    id: WorkId,
    parts: &[WorkId],
    whole: (Number, Number),
    together: (Number, Number),
    choice: &Choice,
) -> Diagnostic {
    let work = &book[id];
    let (end, own, theirs) = if whole.0 < together.0 { ("least", whole.0, together.0) } else { ("most", whole.1, together.1) };
    let places = book.money.minor_places();
    let sum = |number: Number| format!("{} {}", format_rounded(number, places), book.money);
    let when = if choice.is_empty() { String::new() } else { format!(" for {}", some(book, choice)) };
    let names: Vec<String> = parts.iter().map(|&step| format!("`{}`", book[step].name)).collect();
    let says = format!(
        "`{}` costs at {end} {}{when}, less than {} that it includes: {}.",
        work.name,
        sum(own),
        names.join(" and "),
        sum(theirs)
    );
    let mut diagnostic = Diagnostic::error("cheaper-than-included", work.origin.span, says)
        .label(format!("{} at {end}", sum(own)))
        .help("Raise its amount to that of the steps it includes, or write the package as a `way`.");
    for &step in parts {
        let span: Span = book[step].origin.span;
        diagnostic = diagnostic.place(span, "included");
    }
    diagnostic
}

fn some(book: &Book, choice: &Choice) -> String {
    if choice.is_empty() { "every instrument".to_owned() } else { wording(book, choice) }
}
