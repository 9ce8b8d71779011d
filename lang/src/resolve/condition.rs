//! Written conditions turned into conditions of the book, every error in them noted once.

use super::expression::{amount, value};
use super::operand::Facts;
use super::places::{count_possible, found, part_with_places};
use super::scope::Scope;
use super::single::{alone, between, compare, has, is_one_of, place_is, total};
use super::typed::Typed;
use crate::book::{Condition, LookKind};
use crate::diagnostic::{Diagnostic, Edit, Fix};
use crate::span::Span;
use crate::syntax::tree::{Cond, CondKind, Expr, ExprKind, Name, Quantity};

/// The condition as the book holds it; none where an error was found in it.
pub fn condition(scope: &Scope, facts: &Facts, written: &Cond) -> Option<Condition> {
    let span = written.span;
    scope.test.set(Some(span));
    match &written.kind {
        CondKind::All(inner) | CondKind::Any(inner) => {
            let and = matches!(written.kind, CondKind::All(_));
            if let Some(diagnostic) = choices_joined(scope, inner, and).or_else(|| left_out_of_brackets(scope, inner, and)) {
                scope.sink.push(diagnostic);
                return None;
            }
            let inner = all(scope, facts, inner)?;
            Some(if and { Condition::All(inner) } else { Condition::Any(inner) })
        }
        CondKind::AtLeast(count, inner) => {
            let conditions = all(scope, facts, inner);
            if count.value == 0 || count.value as usize > inner.len() {
                let says = format!("`at least {} of` stands before {} conditions.", count.value, inner.len());
                let help = format!("Write a number from 1 to {}.", inner.len());
                scope.sink.push(Diagnostic::error("outside-range", count.span, says).help(help));
                return None;
            }
            Some(Condition::AtLeast(count.value, conditions?))
        }
        CondKind::Not(inner) => Some(Condition::Not(Box::new(condition(scope, facts, inner)?))),
        CondKind::Bare(path) => alone(scope, &path.segments, span),
        CondKind::Is { path, choices, not } => is_one_of(scope, &path.segments, choices, *not, span),
        CondKind::Has { path, choices } => has(scope, &path.segments, choices, span),
        CondKind::Compare { comparison, left, right } => {
            let (left, right) = (value(scope, facts, left), value(scope, facts, right));
            compare(scope, comparison.value, left, right, span)
        }
        CondKind::Between { value: tested, low, high } => {
            let (tested, low, high) = (value(scope, facts, tested), low_end(scope, facts, low, high), value(scope, facts, high));
            between(scope, tested, low, high, span)
        }
        CondKind::PlaceIs { places, not, .. } => place_is(scope, places, *not, span),
        CondKind::Total { total: which, not, test } => total(scope, which.value, *not, test, span),
        CondKind::Places { count, part, with } => {
            let id = part_with_places(scope, part)?;
            let inside = scope.inside(id, true);
            let with = condition(&inside, facts, with);
            count_possible(scope, id, count.value, count.span)?;
            Some(Condition::Places { count: count.value, part: id, with: Box::new(with?), span })
        }
        CondKind::Found(finding) => found(scope, finding, span),
    }
}

/// `sits is crooked or pulling-out`, `marks has dent and crack`: a choice that stands where a test belongs.
fn choices_joined(scope: &Scope, written: &[Cond], and: bool) -> Option<Diagnostic> {
    (0..written.len()).find_map(|at| choices_joined_to(scope, &written[at], &written[at + 1..], and))
}

/// The same where they follow this test.
fn choices_joined_to(scope: &Scope, test: &Cond, rest: &[Cond], and: bool) -> Option<Diagnostic> {
    let (path, not, has, choices) = match &test.kind {
        CondKind::Is { path, not, choices } => (path, *not, false, choices),
        CondKind::Has { path, choices } => (path, false, true, choices),
        _ => return None,
    };
    let at = scope.look_at(&path.segments).ok()?;
    let look = scope.look(at.look)?;
    let several = matches!(look.kind, LookKind::SomeOf(_));
    if has && !several {
        return None;
    }
    let mut more: Vec<&str> = Vec::new();
    let mut end = test.span;
    for one in rest {
        let CondKind::Bare(path) = &one.kind else { break };
        let Some(word) = path.single() else { break };
        if !look.choices().iter().any(|choice| choice.name == word.value) || scope.look_at(&path.segments).is_ok() {
            break;
        }
        more.push(&word.value);
        end = one.span;
    }
    let first = *more.first()?;
    let whole = test.span.to(end);
    let path = path.text();
    let all = || choices.iter().map(|choice| choice.value.as_str()).chain(more.iter().copied()).collect::<Vec<_>>().join(", ");
    let text = match (several, and && !not) {
        (true, true) => {
            let choices: Vec<&str> = choices.iter().map(|choice| choice.value.as_str()).collect();
            let any = if choices.len() > 1 { "any of " } else { "" };
            let others: String = more.iter().map(|choice| format!(" and {path} has {choice}")).collect();
            format!("{path} has {any}{}{others}", choices.join(", "))
        }
        (true, false) => format!("{}{path} has any of {}", if not { "not " } else { "" }, all()),
        (false, _) => format!("{path} is {}one of {}", if not { "not " } else { "" }, all()),
    };
    let word = if and { "and" } else { "or" };
    let says = format!("`{word}` joins whole tests, and `{first}` is a choice of `{}`.", look.name);
    Some(Diagnostic::error("choice-alone", whole, says).help(format!("Write `{text}`.")).fix(
        format!("Write `{text}`"),
        false,
        whole,
        text,
    ))
}

/// `any peg with turns is slips or turns is stuck`: what is asked of a place ends at the `or`, unless brackets hold it.
fn left_out_of_brackets(scope: &Scope, written: &[Cond], and: bool) -> Option<Diagnostic> {
    (0..written.len()).find_map(|at| {
        let CondKind::Places { part, with, .. } = &written[at].kind else { return None };
        let inside = scope.inside(scope.names.part(part).ok()?, true);
        let of_the_part = |one: &&Cond| {
            let path = first_word(one).map(std::slice::from_ref);
            path.is_some_and(|path| scope.look_at(path).is_err() && inside.look_at(path).is_ok())
        };
        let rest: Vec<&Cond> = written[at + 1..].iter().take_while(of_the_part).collect();
        let (word, last) = (first_word(rest.first()?)?, rest.last()?);
        let joined = if and { "and" } else { "or" };
        let says = format!("`{}` is a look of `{}`, which is in hand only up to the `{joined}`.", word.value, part.value);
        let (from, to) = (with.span, last.span);
        let mut diagnostic = Diagnostic::error("unknown-name", word.span, says)
            .label("not in hand any more")
            .help(format!("Put brackets round all that is asked of a place: `{} with (… {joined} …)`.", part.value));
        let edit = |at: u32, text: &str| Edit { span: Span { file: from.file, start: at, end: at }, text: text.to_owned() };
        diagnostic.fixes.push(Fix {
            title: "Put the brackets".to_owned(),
            safe: false,
            edits: vec![edit(from.start, "("), edit(to.end, ")")],
        });
        Some(diagnostic)
    })
}

/// The word with which a single test begins, where it is a look without its part.
fn first_word(test: &Cond) -> Option<&Name> {
    match &test.kind {
        CondKind::Bare(path) | CondKind::Is { path, .. } | CondKind::Has { path, .. } => path.single(),
        CondKind::Compare { left: value, .. } | CondKind::Between { value, .. } => match &value.kind {
            ExprKind::Path(path) => path.single(),
            _ => None,
        },
        CondKind::Not(inner) => first_word(inner),
        _ => None,
    }
}

/// The lower end of `from A to B`: where it has no unit of its own, the upper end's is meant.
fn low_end(scope: &Scope, facts: &Facts, low: &Expr, high: &Expr) -> Option<Typed> {
    if let (ExprKind::Quantity(from), ExprKind::Quantity(to)) = (&low.kind, &high.kind)
        && from.unit.is_none()
    {
        let typed = amount(scope, &Quantity { number: from.number.clone(), unit: to.unit.clone() })?;
        return Some(Typed { span: low.span, ..typed });
    }
    value(scope, facts, low)
}

/// All of them, or none where any has an error; each is read, so that every error is noted.
fn all(scope: &Scope, facts: &Facts, written: &[Cond]) -> Option<Vec<Condition>> {
    let read: Vec<Option<Condition>> = written.iter().map(|one| condition(scope, facts, one)).collect();
    read.into_iter().collect()
}
