//! The rulebook's own head: name, edition, keeper, money, language, least charge, and the notices of the whole chain.

use super::draft::{Draft, Once, Troubled, missing_clause};
use super::expression::sum;
use super::money::{money, same_money};
use super::names::{Names, Sink};
use super::operand::Facts;
use crate::book::Book;
use crate::chain::Merged;
use crate::diagnostic::Diagnostic;
use crate::span::Span;
use crate::syntax::tree::{ClauseKind, Expression, Head, Item, Name, Text};
use crate::unit::Currency;

/// The head of one rulebook of the chain.
#[derive(Default)]
struct Clauses<'t> {
    edition: Once<&'t Text>,
    keeper: Once<&'t Text>,
    money: Once<&'t Name>,
    language: Once<&'t Text>,
    notices: Vec<&'t Text>,
    least_charge: Once<&'t Expression>,
}

/// A draft with the head read, and nothing else. None where not even a placeholder for the money can be had.
pub fn draft(merged: &Merged) -> Option<Draft> {
    let sink = Sink::default();
    // Nearest first: what the rulebook does not say itself, the nearest of its ancestors says.
    let mut heads: Vec<(usize, &Item)> =
        merged.items.iter().filter(|one| matches!(one.item.head, Head::Rulebook)).map(|one| (one.level, &one.item)).collect();
    heads.sort_by_key(|(level, _)| *level);
    let own = heads.first().filter(|(level, _)| *level == 0).map(|(_, item)| *item);
    if let Some((_, second)) = heads.iter().filter(|(level, _)| *level == 0).nth(1) {
        let says = "A text is one rulebook, and here begins a second.";
        sink.push(Diagnostic::error("rulebook-twice", name_span(second), says).help("Put it into a file of its own."));
    }
    let clauses: Vec<Clauses> = heads.iter().map(|(_, item)| sorted(&sink, item)).collect();
    let at = own.map_or(Span::default(), name_span);
    if own.is_none() {
        let says = "This text does not say which rulebook it is.";
        sink.push(Diagnostic::error("no-rulebook", at, says).help("Begin with `rulebook NAME \"title\"` and its `edition` and `money`."));
    }
    if let (Some(item), Some(head)) = (own, clauses.first())
        && head.edition.is_empty()
        && !item.is_broken()
    {
        let name = item.name.as_ref().map_or("rulebook", |name| name.value.as_str());
        sink.push(missing_clause(name, at, "edition", "Add `edition` and a number or word that changes with every edition."));
    }
    let money = money_of(&sink, own, &clauses, at);
    let text = |pick: fn(&Clauses<'_>) -> Option<String>| clauses.iter().find_map(pick);
    let book = Book {
        name: own.and_then(|item| item.name.as_ref()).map(|name| name.value.clone()).unwrap_or_default(),
        title: own.and_then(|item| item.words.as_ref()).map(|words| words.value.clone()).unwrap_or_default(),
        edition: clauses.first().and_then(|head| head.edition.get()).map(|edition| edition.value.clone()).unwrap_or_default(),
        keeper: text(|head| head.keeper.get().map(|keeper| keeper.value.clone())),
        // Where the rulebook names no money that exists, its book is never handed out.
        money: money.or_else(|| Currency::parse("XXX"))?,
        language: text(|head| head.language.get().map(|language| language.value.clone())),
        notices: clauses.iter().rev().flat_map(|head| head.notices.iter().map(|notice| notice.value.clone())).collect(),
        least_charge: None,
        parents: merged.parents.clone(),
        steps: Vec::new(),
        hands: Vec::new(),
        tiers: Vec::new(),
        parts: Vec::new(),
        looks: Vec::new(),
        tables: Vec::new(),
        reckons: Vec::new(),
        works: Vec::new(),
        findings: Vec::new(),
        raises: Vec::new(),
        counsels: Vec::new(),
        aids: Vec::new(),
        examples: Vec::new(),
        inherited_examples: Vec::new(),
        part_names: Default::default(),
        finding_names: Default::default(),
    };
    for language in clauses.iter().filter_map(|head| head.language.get()) {
        check_language(&sink, language);
    }
    let mut draft =
        Draft { names: Names::default(), book, facts: Facts::default(), sink, money, troubled: Troubled::default(), rulebook: at };
    let charge = clauses.iter().find_map(|head| head.least_charge.get());
    draft.book.least_charge = charge.and_then(|written| sum(&draft.scope(), &draft.facts, written, "The least charge"));
    Some(draft)
}

fn name_span(item: &Item) -> Span {
    item.name.as_ref().map_or(item.span, |name| name.span)
}

fn sorted<'t>(sink: &Sink, item: &'t Item) -> Clauses<'t> {
    let mut head = Clauses::default();
    for clause in &item.clauses {
        let span = clause.span;
        match &clause.kind {
            ClauseKind::Edition(text) => head.edition.set(sink, "edition", span, text),
            ClauseKind::Keeper(text) => head.keeper.set(sink, "keeper", span, text),
            ClauseKind::Money(code) => head.money.set(sink, "money", span, code),
            ClauseKind::Language(text) => head.language.set(sink, "language", span, text),
            ClauseKind::Notice(text) => head.notices.push(text),
            ClauseKind::LeastCharge(written) => head.least_charge.set(sink, "least charge", span, written),
            _ => {}
        }
    }
    head
}

/// The money of the whole chain. A rulebook cannot reckon in another money than the one it is built on.
fn money_of(sink: &Sink, own: Option<&Item>, clauses: &[Clauses], at: Span) -> Option<Currency> {
    let codes: Vec<&Name> = clauses.iter().filter_map(|head| head.money.get().copied()).collect();
    if codes.is_empty() && own.is_none_or(Item::is_broken) {
        return None;
    }
    let first = money(sink, codes.first().copied(), at)?;
    for parent in codes.iter().skip(1) {
        same_money(sink, first, codes[0], parent);
    }
    codes.last().and_then(|code| Currency::parse(&code.value)).or(Some(first))
}

/// A BCP 47 tag: a language of two or three letters, then subtags of up to eight letters or digits.
fn check_language(sink: &Sink, language: &Text) {
    let mut tags = language.value.split('-');
    let first = tags.next().is_some_and(|tag| (2..=3).contains(&tag.len()) && tag.bytes().all(|b| b.is_ascii_alphabetic()));
    if first && tags.all(|tag| (1..=8).contains(&tag.len()) && tag.bytes().all(|b| b.is_ascii_alphanumeric())) {
        return;
    }
    let says = format!("`{}` is no language tag.", language.value);
    sink.push(Diagnostic::error("unknown-language", language.span, says).help("Write a tag such as `en` or `en-GB`."));
}
