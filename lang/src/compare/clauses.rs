//! What two entries of one name say differently, clause by clause and piece by piece of their own line.

use crate::chain::clause_key;
use crate::span::Span;
use crate::syntax::tree::{Clause, Entry, Goods, Head, LookKind, Name, Quantity, Says, StepWithin, TierLimit, means_as, meant};

/// One thing that is said differently.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClauseChange {
    /// The word of the clause, with its keys where it is a row; `words`, or what a piece of an item's own line is called.
    pub word: String,
    /// Where the old one says it; nowhere where it says nothing of it.
    pub old: Vec<Span>,
    /// Where the new one says it.
    pub new: Vec<Span>,
    /// Whether it is no more than words, which change no outcome.
    pub only_words: bool,
}

/// Clauses that tell something and decide nothing.
const TELL: [&str; 10] = ["how", "care", "first", "tell", "refer", "basis", "keeper", "notice", "language", "private"];

/// What two entries say differently, entries within them left out: these are compared by themselves. `written` is where
/// what has no place of its own on an entry's line was written last.
pub(super) fn clauses(old: &Entry, new: &Entry, written: &dyn Fn(&Entry) -> Span) -> Vec<ClauseChange> {
    let mut changes = line(old, new, written);
    let mut words: Vec<String> = Vec::new();
    for clause in old.clauses.iter().chain(&new.clauses) {
        // What a rulebook is built on, and its edition, are not rules.
        let apart = matches!(clause.says, Says::Entry(_) | Says::BuildsOn(_) | Says::Edition(_) | Says::Notice(_));
        let word = called(clause);
        if !apart && !words.contains(&word) {
            words.push(word);
        }
    }
    for word in words {
        let of = |entry: &Entry| -> Vec<Clause> {
            entry
                .clauses
                .iter()
                .filter(|clause| called(clause) == word && !matches!(clause.says, Says::Entry(_)))
                .cloned()
                .collect()
        };
        let (before, after) = (of(old), of(new));
        if saying(&before) == saying(&after) {
            continue;
        }
        let tells = before.iter().chain(&after).all(|clause| TELL.contains(&clause.word));
        changes.push(ClauseChange {
            only_words: tells || saying(&without_words(&before)) == saying(&without_words(&after)),
            word,
            old: before.iter().map(|clause| clause.span).collect(),
            new: after.iter().map(|clause| clause.span).collect(),
        });
    }
    changes
}

/// What the lines of one word say, without their places. Their order means something only where they are counted down.
fn saying(clauses: &[Clause]) -> Vec<Says> {
    clauses.iter().map(|clause| meant(clause).says).collect()
}

/// The same with the words of goods left out.
fn without_words(clauses: &[Clause]) -> Vec<Clause> {
    let mut bare = clauses.to_vec();
    for clause in &mut bare {
        if let Says::Goods(Goods { words, .. }) = &mut clause.says {
            words.value.clear();
        }
    }
    bare
}

/// `signs`, or `row cello, any`.
fn called(clause: &Clause) -> String {
    match (&clause.says, clause_key(clause)) {
        (Says::Row(_), Some(key)) => format!("{} {key}", clause.word),
        _ => clause.word.to_owned(),
    }
}

/// What the two lines themselves say differently; `line` is where what has no place of its own was written last.
fn line(old: &Entry, new: &Entry, line: &dyn Fn(&Entry) -> Span) -> Vec<ClauseChange> {
    let mut changes = Vec::new();
    let words = |entry: &Entry| entry.words.as_ref().map(|words| words.value.clone());
    if words(old) != words(new) {
        let span = |entry: &Entry| entry.words.iter().map(|words| words.span).collect();
        changes.push(ClauseChange { word: "words".to_owned(), old: span(old), new: span(new), only_words: true });
    }
    if means_as(&old.head, &new.head) {
        return changes;
    }
    let (before, after) = (pieces(old, line), pieces(new, line));
    let one_kind = std::mem::discriminant(&old.head) == std::mem::discriminant(&new.head);
    for ((word, was, old_span), (_, now, new_span)) in before.into_iter().zip(after).filter(|_| one_kind) {
        if was != now {
            let only_words = wordless(&was) == wordless(&now);
            let spans = |span: Option<Span>| span.into_iter().collect();
            changes.push(ClauseChange { word: word.to_owned(), old: spans(old_span), new: spans(new_span), only_words });
        }
    }
    changes
}

/// The pieces of an entry's own line beside its name and words: what each is called, what it says, and where.
fn pieces(entry: &Entry, line: &dyn Fn(&Entry) -> Span) -> Vec<(&'static str, Head, Option<Span>)> {
    let quantity = |quantity: &Quantity| {
        let number = quantity.number.span;
        quantity.unit.as_ref().map_or(number, |unit| number.to(unit.span))
    };
    let pieces = match &entry.head {
        Head::Plain => Vec::new(),
        Head::Work { amount, by, once } => {
            let amount_only = Head::Work { amount: amount.clone(), by: None, once: None };
            let by_only = Head::Work { amount: None, by: by.clone(), once: None };
            let once_only = Head::Work { amount: None, by: None, once: *once };
            vec![
                ("amount", amount_only, amount.as_ref().map(|amount| amount.span)),
                ("by", by_only, by.as_ref().map(|by| by.span)),
                ("once or each", once_only, once.as_ref().map(|once| once.span)),
            ]
        }
        Head::Step { within, not_played } => {
            let span = within.as_ref().map(|within| match within {
                StepWithin::Duration(duration) => quantity(duration),
                StepWithin::AtOnce(span) => *span,
            });
            let within_only = Head::Step { within: within.clone(), not_played: None };
            let played_only = Head::Step { within: None, not_played: *not_played };
            vec![("within", within_only, span), ("not to be played", played_only, *not_played)]
        }
        Head::Part { apart } => vec![("apart", entry.head.clone(), *apart)],
        Head::Table { by } => {
            vec![("by", entry.head.clone(), by.iter().map(|path| path.span).reduce(Span::to))]
        }
        Head::Reckon { value } => vec![("as", entry.head.clone(), value.as_ref().map(|value| value.span))],
        Head::Hand { rate } => vec![("rate", entry.head.clone(), rate.as_ref().map(quantity))],
        Head::Tier { limit } => {
            let span = limit.as_ref().map(|limit| match limit {
                TierLimit::UpTo(sum) => quantity(sum),
                TierLimit::Beyond(span) => *span,
            });
            vec![("limit", entry.head.clone(), span)]
        }
        Head::Place { only_when } => {
            vec![("only when", entry.head.clone(), only_when.as_ref().map(|condition| condition.span))]
        }
        Head::Look { .. } => vec![("kind of answer", entry.head.clone(), Some(line(entry)))],
    };
    pieces.into_iter().map(|(word, head, span)| (word, meant(&head), span)).collect()
}

/// The head of a look without the words of its choices.
fn wordless(head: &Head) -> Head {
    let mut head = head.clone();
    if let Head::Look { kind: Some(LookKind::OneOf(choices) | LookKind::SomeOf(choices)) } = &mut head {
        choices.iter_mut().for_each(|choice| choice.words = None);
    }
    head
}

/// The names of the entries of a ladder or list, in order.
pub(super) fn names(entry: &Entry) -> Vec<&str> {
    let inner = |clause| match clause {
        &Clause { says: Says::Entry(ref inner), .. } => inner.name.as_ref().map(|name: &Name| name.value.as_str()),
        _ => None,
    };
    entry.clauses.iter().filter_map(inner).collect()
}
