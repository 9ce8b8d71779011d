//! What may stand in the record of an example, and what it may expect.

use purfle_lang::book::{LookId, LookKind};
use purfle_lang::resolve::names::Repeats;
use purfle_lang::resolve::noted::Target;
use purfle_lang::unit::Dimension;

use super::condition::look_named;
use super::hand::Hand;
use super::menu::Menu;
use super::proposal::ProposalKind;
use super::value;
use crate::ide::tokens::{Token, TokenKind};

/// Proposes what may stand after these tokens of a record.
pub fn record(menu: &mut Menu, before: &[Token]) {
    let text = menu.cursor.text;
    let start = before.iter().rposition(|token| token.of(text) == ",").map_or(0, |at| at + 1);
    let entry: Vec<&Token> = before[start..].iter().collect();
    let words: Vec<&str> = entry.iter().map(|token| token.of(text)).collect();
    match words.as_slice() {
        [] => beginning(menu, &words_before(text, before)),
        ["no"] => menu.parts(|repeats| repeats == Repeats::AsFound, &[]),
        ["last"] => {
            let all = |_: LookId| true;
            if menu.path.is_empty() {
                paths(menu);
            } else {
                menu.after_path(&[], true, &all);
            }
        }
        ["the"] => menu.words(&["rest is good"]),
        ["the", "rest"] => menu.words(&["is good"]),
        ["the", "rest", "is"] => menu.words(&["good"]),
        ["quoted"] | ["inspected-on"] => menu.words(&["is"]),
        ["quoted", "is", ..] => value::units(menu, Dimension::MONEY, None),
        _ => of_path(menu, &entry),
    }
}

fn words_before<'t>(text: &'t str, before: &[Token]) -> Vec<&'t str> {
    before.iter().map(|token| token.of(text)).collect()
}

fn beginning(menu: &mut Menu, said: &[&str]) {
    if !menu.path.is_empty() {
        menu.after_path(&[], true, &|_| true);
        return;
    }
    menu.parts(|_| true, &[]);
    menu.lower(ProposalKind::Name, 4);
    paths(menu);
    if !said.windows(2).any(|pair| pair == ["the", "rest"]) {
        menu.first_word("the rest is good", "whatever is not written down shows what is good");
    }
    menu.words(&["no", "last", "quoted is", "inspected-on is"]);
}

fn paths(menu: &mut Menu) {
    menu.look_paths(&Hand::default(), &|_| true);
    let Some(names) = menu.names() else { return };
    // Of places as found the first is named; more have the next numbers.
    for (part, id) in names.parts.iter() {
        let Some(inside) = names.inside.get(id.index()).filter(|inside| inside.repeats == Repeats::AsFound) else { continue };
        for (look, look_id) in inside.looks.iter() {
            let path = format!("{part}.1.{look}");
            menu.name_as(&path, &path, Target::Look(look_id), 3);
        }
    }
}

/// After a path: what may be said of it.
fn of_path(menu: &mut Menu, entry: &[&Token]) {
    let text = menu.cursor.text;
    let no_hand = Hand::default();
    let Some((look, length)) = look_named(menu, &no_hand, entry) else {
        of_part(menu, entry);
        return;
    };
    let Some(kind) = menu.book().and_then(|book| book.looks.get(look.index())).map(|look| &look.kind) else { return };
    let rest: Vec<&str> = entry[length..].iter().map(|token| token.of(text)).collect();
    match (rest.as_slice(), kind) {
        ([], _) => menu.words(&["is", "not told", "does not apply"]),
        (["is"], LookKind::Dated) => menu.words(&["none"]),
        (["is", said @ ..], LookKind::YesNo | LookKind::OneOf(_) | LookKind::SomeOf(_)) => {
            let open = said.last().is_none_or(|last| matches!(*last, "or" | "and"));
            if open {
                let said: Vec<&str> = said.iter().map(|word| word.trim_matches('"')).collect();
                menu.choices(look, &said);
                if said.is_empty() && matches!(kind, LookKind::SomeOf(_)) {
                    menu.words(&["none"]);
                }
            } else {
                menu.words(if matches!(kind, LookKind::SomeOf(_)) { &["and"] } else { &["or"] });
            }
        }
        (["is", ..], _) => {
            let dimension = menu.book().and_then(|book| book.looks.get(look.index())).and_then(|look| look.dimension());
            let number = entry.last().is_some_and(|last| last.kind == TokenKind::Number);
            if let Some(dimension) = dimension.filter(|_| number) {
                value::units(menu, dimension, Some(look));
                menu.words(&["to"]);
            } else if rest == ["is"] {
                menu.words(&["at least", "at most"]);
            }
        }
        (["not"], _) => menu.words(&["told"]),
        _ => {}
    }
}

fn of_part(menu: &mut Menu, entry: &[&Token]) {
    let text = menu.cursor.text;
    let Some(part) = entry.first().map(|token| token.of(text)) else { return };
    let Some(names) = menu.names() else { return };
    let Some(inside) = names.parts.get(part).and_then(|part| names.inside.get(part.index())) else { return };
    let last = entry.last().map_or("", |token| token.of(text));
    match last {
        "is" => menu.words(&["good"]),
        "may" => menu.words(&["be more"]),
        "does" => menu.words(&["not apply"]),
        _ => {
            menu.words(&["is good", "does not apply"]);
            if inside.repeats == Repeats::AsFound && entry.len() == 1 {
                menu.words(&["may be more"]);
            }
        }
    }
}

/// What an example may expect.
pub fn expected(menu: &mut Menu, word: &str, before: &[Token]) {
    let text = menu.cursor.text;
    let words = words_before(text, before);
    let Some(names) = menu.names() else { return };
    match (word, words.as_slice()) {
        ("finds", []) => {
            menu.named(&names.findings, Target::Finding, &[]);
            menu.word("nothing else", "nothing is found beyond the other `finds` lines");
        }
        ("clear" | "open" | "suspects", []) => menu.named(&names.findings, Target::Finding, &[]),
        ("finds" | "clear" | "open" | "suspects", [finding, rest @ ..]) => {
            let known = names.findings.get(finding).and_then(|id| menu.book()?.findings.get(id.index()));
            match rest {
                ["on"] => {
                    if let Some(known) = known {
                        menu.places(known.on);
                    }
                }
                ["at"] | ["on", _, "at"] => menu.named(&names.steps, Target::Step, &[]),
                ["at", _] | ["on", _, "at", _] => menu.words(&["to"]),
                ["at", _, "to"] | ["on", _, "at", _, "to"] => menu.named(&names.steps, Target::Step, &[]),
                _ => {
                    if rest.is_empty() && known.is_some_and(|known| known.each) {
                        menu.words(&["on"]);
                    }
                    if word == "finds" {
                        menu.words(&["at"]);
                    }
                }
            }
        }
        ("urgency", [] | [_, "to"]) => menu.named(&names.steps, Target::Step, &[]),
        ("tier", [] | [_, "to"]) => menu.named(&names.tiers, Target::Tier, &[]),
        ("hands", [] | [_, "to"]) => {
            menu.named(&names.hands, Target::Hand, &[]);
            menu.words(&["none"]);
        }
        ("urgency" | "tier" | "hands", [_]) => menu.words(&["to"]),
        ("played", []) => menu.words(&["yes", "no", "open"]),
        ("looks", [] | ["not"]) => {
            if menu.path.is_empty() {
                if words.is_empty() {
                    menu.words(&["not"]);
                }
                menu.look_paths(&Hand::default(), &|_| true);
            } else {
                menu.after_path(&[], true, &|_| true);
            }
        }
        ("counsel", []) => menu.named(&names.counsels, Target::Counsel, &[]),
        ("counsel", [_]) => menu.words(&["found", "clear", "open"]),
        ("aid", []) => menu.named(&names.aids, Target::Aid, &[]),
        ("aid", [_]) => menu.words(&["eligible", "refused", "open"]),
        ("cost" | "left", _) if before.last().is_some_and(|last| last.kind == TokenKind::Number) => {
            value::units(menu, Dimension::MONEY, None);
            menu.words(&["to"]);
        }
        _ => {}
    }
}
