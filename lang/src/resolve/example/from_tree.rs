//! From the tree's example to its entries and expectations, cut as looking them up needs them.

use super::written::{Entry, Expected, Name, Rungs, Says, WrittenExample};
use crate::book::{AidWord, PlayedWord, StateWord};
use crate::diagnostic::Diagnostic;
use crate::resolve::names::Sink;
use crate::span::{Span, Spanned};
use crate::syntax::tree::{self, Ends, Expect, Expr, ExprKind, Quantity, RecordSays};

/// The example as written; whether one of its clauses could not be read comes with it.
pub fn written_example(sink: &Sink, entry: &tree::Entry) -> (WrittenExample, bool) {
    let words = entry.words.clone().unwrap_or_else(|| Spanned::new(String::new(), entry.keyword));
    let mut written = WrittenExample { words, record: Vec::new(), expects: Vec::new() };
    let mut broken = entry.broken;
    for clause in &entry.clauses {
        match &clause.says {
            tree::Says::Record(entries) => written.record.extend(entries.iter().map(|one| Spanned::new(said(one), one.span))),
            tree::Says::Expect(expect) => {
                let read = expected(sink, expect, clause);
                broken |= read.is_none();
                written.expects.extend(read.map(|expected| Spanned::new(expected, clause.span)));
            }
            tree::Says::Broken => broken = true,
            _ => {}
        }
    }
    (written, broken)
}

fn said(entry: &tree::RecordEntry) -> Entry {
    let plain = |path: &tree::Path, says: Says| Entry::Said { last: false, path: path.segments.clone(), says };
    match &entry.says {
        RecordSays::Is(path, value) => plain(path, Says::Is(value.clone())),
        RecordSays::Yes(path) => plain(path, Says::Alone),
        RecordSays::Good(path) => {
            // The word is the last thing of its entry.
            let word = Span { start: entry.span.end.saturating_sub(4).max(path.span.end), ..entry.span };
            plain(path, Says::Is(Spanned::new("good".to_owned(), word)))
        }
        RecordSays::NotTold(path) => plain(path, Says::NotTold),
        RecordSays::DoesNotApply(path) => plain(path, Says::DoesNotApply),
        RecordSays::Last(path, value) => {
            let says = value.as_ref().map_or(Says::Alone, |value| Says::Is(value.clone()));
            Entry::Said { last: true, path: path.segments.clone(), says }
        }
        RecordSays::NoPlaces(part) => Entry::No(part.clone()),
        RecordSays::MayBeMore(part) => Entry::Said { last: false, path: vec![part.clone()], says: Says::MayBeMore },
        RecordSays::RestGood => Entry::RestGood,
        RecordSays::Quoted(value) => Entry::Quoted(value.clone()),
        RecordSays::InspectedOn(value) => Entry::InspectedOn(value.clone()),
    }
}

fn expected(sink: &Sink, expect: &Expect, clause: &tree::Clause) -> Option<Expected> {
    let word = |text: &str| Spanned::new(text.to_owned(), clause.span);
    Some(match expect {
        Expect::Finding { state, finding, place, at } => Expected::Finding {
            state: *state,
            finding: finding.clone(),
            on: place.as_ref().map(|path| path.segments.clone()),
            at: at.as_ref().map(rungs),
        },
        Expect::NothingElse => Expected::NothingElse,
        Expect::Urgency(ends) => Expected::Urgency(rungs(ends)),
        Expect::Played(played) => Expected::Played(word(match played {
            PlayedWord::Yes => "yes",
            PlayedWord::No => "no",
            PlayedWord::Open => "open",
        })),
        Expect::Cost(sum) => Expected::Cost(sum_text(sink, sum, clause.word)?),
        Expect::Left(sum) => Expected::Left(sum_text(sink, sum, clause.word)?),
        Expect::Tier(ends) => Expected::Tier(rungs(ends)),
        Expect::Hands(ends) => Expected::Hands(rungs(ends)),
        Expect::Due(ends) => Expected::Due(if ends.from.span == ends.to.span {
            ends.from.clone()
        } else {
            Spanned::new(format!("{} to {}", ends.from.value, ends.to.value), ends.from.span.to(ends.to.span))
        }),
        Expect::Looks { not, look } => Expected::Looks { not: *not, path: look.segments.clone() },
        Expect::Counsel(name, state) => Expected::Counsel(
            name.clone(),
            word(match state {
                StateWord::Found => "found",
                StateWord::Clear => "clear",
                StateWord::Open | StateWord::Suspected => "open",
            }),
        ),
        Expect::Refused => Expected::Refused,
        Expect::Aid(name, state) => Expected::Aid(
            name.clone(),
            word(match state {
                AidWord::Eligible => "eligible",
                AidWord::Refused => "refused",
                AidWord::Open => "open",
            }),
        ),
    })
}

fn rungs(ends: &Ends<Name>) -> Rungs {
    let one = ends.from.span == ends.to.span;
    Rungs { from: ends.from.clone(), to: (!one).then(|| ends.to.clone()) }
}

/// A sum or a range of sums as text; none after saying that something else stands there.
fn sum_text(sink: &Sink, sum: &Expr, clause: &str) -> Option<Spanned<String>> {
    let text = |quantity: &Quantity| match &quantity.unit {
        Some(unit) => format!("{} {}", quantity.number.value, unit.value),
        None => quantity.number.value.clone(),
    };
    match &sum.kind {
        ExprKind::Quantity(quantity) => Some(Spanned::new(text(quantity), sum.span)),
        ExprKind::Range(from, to) => Some(Spanned::new(format!("{} to {}", text(from), text(to)), sum.span)),
        _ => {
            let says = format!("`{clause}` of an example is a sum or a range of sums, as it is printed.");
            sink.push(Diagnostic::error("not-constant", sum.span, says).help("Write the figure."));
            None
        }
    }
}
