//! The rulebook's own head: name, edition, keeper, money, language, least charge, and the notices of the whole chain.

use super::draft::{Draft, Troubled, missing_clause};
use super::expression::sum;
use super::money::money;
use super::names::{Names, Sink};
use super::operand::Facts;
use crate::book::Book;
use crate::chain::Merged;
use crate::diagnostic::Diagnostic;
use crate::span::Span;
use crate::syntax::tree::{Entry, Name, Quantity, Says, Text};
use crate::unit::Currency;

/// What the head says.
#[derive(Default)]
struct Clauses<'t> {
    edition: Option<&'t Text>,
    keeper: Option<&'t Text>,
    money: Option<&'t Name>,
    language: Option<&'t Text>,
    least_charge: Option<&'t Quantity>,
}

/// A draft with the head read, and nothing else. None where not even a placeholder for the money can be had.
pub fn draft(merged: &Merged) -> Option<Draft> {
    let sink = Sink::default();
    let own = merged.rulebook.as_ref();
    let at = own.map_or(Span::default(), Entry::name_span);
    let head = own.map(|entry| sorted(entry)).unwrap_or_default();
    match own {
        None => {
            let says = "This text does not say which rulebook it is.";
            sink.push(
                Diagnostic::error("no-rulebook", at, says)
                    .help("Begin with `rulebook NAME \"title\"`, and give it an `edition` and its `money`."),
            );
        }
        Some(entry) if !entry.has("edition") => {
            let help = "Add `edition` and a number or word that changes with every edition.";
            sink.push(missing_clause(entry.name_text(), at, "edition", help));
        }
        Some(_) => {}
    }
    if let Some(language) = head.language {
        check_language(&sink, language);
    }
    let money = money_of(&sink, own, &head, at, merged.parents.iter().any(|parent| parent.name.is_empty()));
    let text = |clause: &Option<&Text>| clause.map(|text| text.value.clone());
    // Where the rulebook names no money that exists, its book is never handed out.
    let book = Book {
        name: own.map(|entry| entry.name_text().to_owned()).unwrap_or_default(),
        title: own.and_then(|entry| entry.words.as_ref()).map(|words| words.value.clone()).unwrap_or_default(),
        edition: text(&head.edition).unwrap_or_default(),
        keeper: text(&head.keeper),
        language: text(&head.language),
        notices: merged.notices.iter().map(|notice| notice.value.clone()).collect(),
        parents: merged.parents.clone(),
        ..Book::blank(money.or_else(|| Currency::parse("XXX"))?)
    };
    let mut draft = Draft {
        names: Names::default(),
        book,
        facts: Facts::default(),
        sink,
        money,
        troubled: Troubled::default(),
        rulebook: at,
    };
    draft.book.least_charge = head.least_charge.and_then(|written| sum(&draft.scope(), written, "The least charge"));
    Some(draft)
}

fn sorted(entry: &Entry) -> Clauses<'_> {
    let mut head = Clauses::default();
    for clause in &entry.clauses {
        match &clause.says {
            Says::Edition(text) => head.edition = Some(text),
            Says::Keeper(text) => head.keeper = Some(text),
            Says::Money(code) => head.money = Some(code),
            Says::Language(text) => head.language = Some(text),
            Says::LeastCharge(written) => head.least_charge = Some(written),
            _ => {}
        }
    }
    head
}

/// The money; nothing is said where there is no head, where its `money` could not be read, or where a parent has no head.
fn money_of(sink: &Sink, own: Option<&Entry>, head: &Clauses, at: Span, nameless_parent: bool) -> Option<Currency> {
    match head.money {
        None if nameless_parent => None,
        Some(code) => money(sink, Some(code), at),
        None if own.is_none_or(|entry| entry.has("money")) => None,
        None => money(sink, None, at),
    }
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
