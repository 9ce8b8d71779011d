//! An `alter` that writes again just what is there already: all of it, or a clause of it.
//!
//! What is compared is what the clauses mean and not how they are written. Lines of one word are replaced together, so
//! they are compared together.

use super::change::key;
use super::is_ladder;
use super::target::described;
use crate::diagnostic::Diagnostic;
use crate::span::Span;
use crate::syntax::tree::{Clause, Entry, Head, Says, Tree, means_as};

const SLUG: &str = "alter-idle";

/// Something that an `alter` writes: a clause, the lines of one word, or a piece of its own line.
struct Piece<'e> {
    /// What it is, with its article.
    what: String,
    /// Where it stands, in as many stretches as it has lines.
    spans: Vec<Span>,
    /// What it stands for, where that says the same.
    before: Option<&'e Clause>,
    /// Whether it says what is there already.
    idle: bool,
    /// How it can be taken out.
    leaves: Leaves,
}

/// How a piece can be taken out of its text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Leaves {
    /// With its lines.
    Lines,
    /// Alone, out of the `alter`'s own line.
    Alone,
    /// Only with words beside it.
    WithOthers,
}

/// What is idle in an `alter` that has `written` for a change of `before`.
pub(super) fn idle(tree: &Tree, written: &Entry, before: &Entry) -> Vec<Diagnostic> {
    if is_ladder(written.kind) {
        // A ladder is written out whole, with what stays as it is.
        let idle = !written.lost() && means_as(&written.clauses, &before.clauses);
        return if idle { vec![all_of_it(tree, written, before, false)] } else { Vec::new() };
    }
    let mut pieces = line(written, before);
    let head = pieces.len();
    clauses(written, before, &mut pieces);
    // An item that cannot be told whole may say more than could be read.
    if !written.lost() && pieces.iter().all(|piece| piece.idle) {
        return vec![all_of_it(tree, written, before, pieces.is_empty())];
    }
    let idle = pieces.into_iter().enumerate().filter(|(at, piece)| piece.idle && !(written.broken && *at < head));
    idle.map(|(_, piece)| one_piece(tree, written, before, &piece)).collect()
}

fn all_of_it(tree: &Tree, written: &Entry, before: &Entry, empty: bool) -> Diagnostic {
    let what = described(written);
    let (says, help) = if empty {
        (
            format!("{what} is altered, and nothing is written that would be different."),
            "Write what is to be different, or take the `alter` out.",
        )
    } else {
        (
            format!("{what} is written again just as it is, so this `alter` changes nothing."),
            "Take the `alter` out, or write what is to be different.",
        )
    };
    let span = written.keyword.to(written.name_span());
    let mut diagnostic = Diagnostic::warning(SLUG, span, says).help(help).place(before.line, "as it is already");
    diagnostic.fixes.push(tree.take_out("Take the `alter` out", &[written.keyword.to(written.span)]));
    diagnostic
}

fn one_piece(tree: &Tree, written: &Entry, before: &Entry, piece: &Piece) -> Diagnostic {
    let says = format!("{} has {} already, so writing it again changes nothing.", described(written), piece.what);
    let span = piece.spans.first().copied().unwrap_or(written.keyword);
    let place = piece.before.map_or(before.line, |clause| clause.span);
    let mut diagnostic = Diagnostic::warning(SLUG, span, says)
        .help("Take it out: what an `alter` does not write stays as it is.")
        .place(place, "as it is already");
    match piece.leaves {
        Leaves::Lines => diagnostic.fixes.push(tree.take_out("Take it out", &piece.spans)),
        Leaves::Alone => return diagnostic.fix("Take it out", true, span, ""),
        Leaves::WithOthers => {}
    }
    diagnostic
}

/// What the `alter`'s own line writes again.
fn line<'e>(written: &Entry, before: &Entry) -> Vec<Piece<'e>> {
    let mut pieces = Vec::new();
    let mut add = |what: &str, span: Span, idle: bool, leaves: Leaves| {
        pieces.push(Piece { what: what.to_owned(), spans: vec![span], before: None, idle, leaves });
    };
    if let Some(words) = &written.words {
        add("these words", words.span, means_as(&written.words, &before.words), Leaves::Alone);
    }
    let name = written.name_span();
    match (&written.head, &before.head) {
        (Head::Work { amount, by, once }, Head::Work { amount: old_amount, by: old_by, once: old_once }) => {
            if let Some(amount) = amount {
                add("this amount", amount.span, means_as(&Some(amount.clone()), old_amount), Leaves::WithOthers);
            }
            if let Some(hand) = by {
                add(&format!("`by {}`", hand.value), hand.span, means_as(by, old_by), Leaves::WithOthers);
            }
            if let Some(times) = once {
                let word = if times.value { "`once`" } else { "`each`" };
                add(word, times.span, means_as(once, old_once), Leaves::Alone);
            }
        }
        (Head::Part { apart: Some(span) }, Head::Part { apart }) => add("`apart`", *span, apart.is_some(), Leaves::Alone),
        (Head::Table { by }, Head::Table { by: old }) if !by.is_empty() => {
            add("this `by`", by.first().map_or(name, |path| path.span), means_as(by, old), Leaves::WithOthers);
        }
        (Head::Reckon { value: Some(value) }, Head::Reckon { value: old }) => {
            add("this `as`", value.span, old.as_ref().is_some_and(|old| means_as(value, old)), Leaves::WithOthers);
        }
        (Head::Step { within, not_played }, Head::Step { within: old_within, not_played: old_not_played }) => {
            if within.is_some() {
                add("this `within`", name, means_as(within, old_within), Leaves::WithOthers);
            }
            if let Some(span) = not_played {
                add("`not to be played`", *span, old_not_played.is_some(), Leaves::WithOthers);
            }
        }
        (Head::Hand { rate: Some(rate) }, Head::Hand { rate: old }) => {
            add("this rate", rate.span(), old.as_ref().is_some_and(|old| means_as(rate, old)), Leaves::WithOthers);
        }
        (Head::Tier { limit: Some(limit) }, Head::Tier { limit: old }) => {
            add("this limit", name, old.as_ref().is_some_and(|old| means_as(limit, old)), Leaves::WithOthers);
        }
        (Head::Place { only_when: Some(condition) }, Head::Place { only_when: old }) => {
            add("this `only when`", condition.span, old.as_ref().is_some_and(|old| means_as(condition, old)), Leaves::WithOthers);
        }
        (Head::Look { kind: Some(kind) }, Head::Look { kind: old }) => {
            add("this kind of answer", name, old.as_ref().is_some_and(|old| means_as(kind, old)), Leaves::WithOthers);
        }
        _ => {}
    }
    pieces
}

/// What the clauses of an `alter` write again.
fn clauses<'e>(written: &Entry, before: &'e Entry, into: &mut Vec<Piece<'e>>) {
    let mut seen: Vec<&str> = Vec::new();
    for clause in &written.clauses {
        if let Some(key) = key(clause) {
            let old = before.clauses.iter().find(|old| old.word == clause.word && self::key(old).as_ref() == Some(&key));
            let readable = !matches!(&clause.says, Says::Entry(inner) if inner.lost());
            let idle = readable && old.is_some_and(|old| means_as(&clause.says, &old.says));
            let what = format!("this `{}`", clause.word);
            into.push(Piece { what, spans: vec![clause.span], before: old, idle, leaves: Leaves::Lines });
        } else if !seen.contains(&clause.word) {
            seen.push(clause.word);
            let lines: Vec<&Clause> = written.all(clause.word).collect();
            let old: Vec<&Clause> = before.all(clause.word).collect();
            let readable = lines.iter().all(|line| line.says != Says::Broken);
            let idle =
                readable && lines.len() == old.len() && lines.iter().zip(&old).all(|(line, old)| means_as(&line.says, &old.says));
            let what = match lines.len() {
                1 => format!("this `{}`", clause.word),
                _ => format!("these lines of `{}`", clause.word),
            };
            let spans = lines.iter().map(|line| line.span).collect();
            into.push(Piece { what, spans, before: old.first().copied(), idle, leaves: Leaves::Lines });
        }
    }
}
