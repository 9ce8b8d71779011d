//! What may stand in a condition: what is asked, how, and of which choices.

use purfle_lang::book::{LookId, LookKind};
use purfle_lang::resolve::names::Repeats;
use purfle_lang::resolve::noted::Target;
use purfle_lang::unit::Dimension;

use super::hand::Hand;
use super::menu::Menu;
use super::proposal::ProposalKind;
use super::value;
use crate::ide::tokens::{Token, TokenKind};

/// Words after which a new test begins.
const JOINTS: [&str; 7] = ["and", "or", "not", "(", "if", "-", "with"];

/// Proposes what may stand after these tokens of a condition. `totals`: whether it is a counsel's.
pub fn condition(menu: &mut Menu, before: &[Token], totals: bool) {
    let hand = Hand::of(menu, before);
    let test = current_test(menu.cursor.text, before);
    let words: Vec<&str> = test.iter().map(|token| token.of(menu.cursor.text)).collect();
    match words.as_slice() {
        [] | ["all" | "any", "of"] => beginning(menu, &hand, words.is_empty() && before.is_empty(), totals),
        ["found"] => {
            if let Some(names) = menu.names() {
                menu.named(&names.findings, Target::Finding, &[]);
            }
        }
        ["any" | "no" | "every"] | ["at", "least", _] => {
            menu.parts(|repeats| repeats != Repeats::Single, &[]);
            if words.len() != 1 || words == ["any"] {
                menu.words(&["of"]);
            }
        }
        ["any" | "no" | "every", _] | ["at", "least", _, _] => menu.words(&["with"]),
        ["at"] => menu.words(&["least"]),
        ["place"] => menu.words(&["is", "is not", "is one of"]),
        ["place", "is", rest @ ..] => {
            if let Some(part) = hand.in_hand.last() {
                menu.places(*part);
            }
            if rest.is_empty() {
                menu.words(&["not", "one of"]);
            }
        }
        ["total"] => menu.words(&["cost", "urgency", "tier"]),
        ["total", "cost", ..] => value::compared(menu, &test, &hand, Dimension::MONEY, None),
        ["total", _] => {
            menu.words(&["is", "is not", "is one of", "is at least", "is at most", "is above", "is below", "is from"]);
        }
        ["total", ladder, rest @ ..] => rungs(menu, ladder, rest),
        _ => on_look(menu, &hand, &test),
    }
}

/// The tokens of the test in which the pointer stands.
fn current_test<'t>(text: &str, before: &'t [Token]) -> Vec<&'t Token> {
    let mut start = 0;
    for (at, token) in before.iter().enumerate() {
        // `from 1 to 2 and`, but `lower of a and b`.
        let word = token.of(text);
        let previous = at.checked_sub(1).and_then(|at| before.get(at)).map_or("", |token| token.of(text));
        let inside_value = word == "and" && before[start..at].iter().any(|token| matches!(token.of(text), "lower" | "higher"));
        let in_formula = word == "(" && previous.starts_with("wood-");
        let negation = word == "not" && previous == "is";
        let subtraction = word == "-" && at > start && !is_bullet(text, token);
        let joint = JOINTS.contains(&word) && !inside_value && !in_formula && !negation && !subtraction;
        if joint || is_head(text, &before[start..=at]) {
            start = at + 1;
        }
    }
    before[start..].iter().collect()
}

/// `all of`, `any of`, `at least 2 of`: bullets follow.
fn is_head(text: &str, tokens: &[Token]) -> bool {
    let words: Vec<&str> = tokens.iter().map(|token| token.of(text)).collect();
    matches!(words.as_slice(), ["all" | "any", "of"] | ["at", "least", _, "of"])
}

/// Whether a minus is the first thing on its line.
fn is_bullet(text: &str, token: &Token) -> bool {
    let before = text.get(..token.range.start).unwrap_or_default();
    let line = before.rfind(['\n', '\r']).map_or(before, |at| &before[at + 1..]);
    line.trim().is_empty()
}

/// What a test may begin with.
fn beginning(menu: &mut Menu, hand: &Hand, first: bool, totals: bool) {
    let tested = |menu: &Menu, look: LookId| {
        let kind = menu.book().and_then(|book| book.looks.get(look.index())).map(|look| &look.kind);
        menu.unread(look) || !matches!(kind, Some(LookKind::Written))
    };
    let wanted: Vec<LookId> = looks_where(menu, |look| tested(menu, look));
    let wanted = |look: LookId| wanted.contains(&look);
    if !menu.path.is_empty() {
        menu.after_path(&hand.in_hand, false, &wanted);
        return;
    }
    if let Some(part) = hand.part {
        menu.looks(part, 0, &wanted);
    }
    menu.look_paths(hand, &wanted);
    menu.words(&["not", "found", "any", "no", "every", "at least", "last", "higher of", "lower of"]);
    if first {
        menu.phrase("all of", "every bullet below", "all of\n    - <condition>\n    - <condition>");
        menu.phrase("any of", "one bullet below or more", "any of\n    - <condition>\n    - <condition>");
    }
    if !hand.in_hand.is_empty() {
        menu.word("place is", "the place in hand");
    }
    if totals {
        for (word, detail) in [
            ("total cost", "what all that is found costs"),
            ("total urgency", "the highest step of all"),
            ("total tier", "the tier of the total cost"),
        ] {
            menu.word(word, detail);
        }
    }
    if let Some(names) = menu.names() {
        menu.named(&names.tables, Target::Table, &[]);
        menu.lower(ProposalKind::Name, 4);
        menu.named(&names.reckons, Target::Reckon, &[]);
    }
}

fn looks_where(menu: &Menu, wanted: impl Fn(LookId) -> bool) -> Vec<LookId> {
    let count = menu.book().map_or(0, |book| book.looks.len());
    (0..count).map(LookId::from_index).filter(|look| wanted(*look)).collect()
}

/// The look that the first tokens of a test name, and how many they are.
pub fn look_named(menu: &Menu, hand: &Hand, test: &[&Token]) -> Option<(LookId, usize)> {
    let text = menu.cursor.text;
    let start = usize::from(test.first().is_some_and(|token| token.of(text) == "last"));
    let mut segments: Vec<&str> = Vec::new();
    let mut at = start;
    while let Some(token) = test.get(at) {
        let word = matches!(token.kind, TokenKind::Word | TokenKind::Number);
        let dot = token.of(text) == ".";
        // Segments and points take turns.
        if segments.len() * 2 == at - start && word {
            segments.push(token.of(text));
        } else if !(dot && segments.len() * 2 == at - start + 1) {
            break;
        }
        at += 1;
    }
    let names = menu.names()?;
    let inside = |part| names.inside.get(names.parts.get(part)?.index());
    let look = match segments.as_slice() {
        [look] => names.inside.get(hand.part?.index())?.looks.get(look),
        [part, look] | [part, _, look] => inside(part)?.looks.get(look),
        _ => None,
    }?;
    Some((look, at))
}

/// After a look: how it may be asked, and of what.
fn on_look(menu: &mut Menu, hand: &Hand, test: &[&Token]) {
    let text = menu.cursor.text;
    let Some((look, length)) = look_named(menu, hand, test) else {
        value_first(menu, hand, test);
        return;
    };
    let Some(kind) = menu.book().and_then(|book| book.looks.get(look.index())).map(|look| &look.kind) else { return };
    let rest: Vec<&str> = test[length..].iter().map(|token| token.of(text)).collect();
    match (rest.as_slice(), kind) {
        ([], LookKind::YesNo) => menu.words(&["is no", "and", "or"]),
        ([], LookKind::OneOf(_)) => menu.words(&["is", "is not", "is one of"]),
        ([], LookKind::SomeOf(_)) => menu.words(&["has", "has any of"]),
        ([], LookKind::Dated) => {
            menu.words(&["is none"]);
            value::comparisons(menu);
        }
        ([], LookKind::Written) => {}
        ([], _) => value::comparisons(menu),
        (["is"], LookKind::YesNo) => menu.choices(look, &["yes"]),
        (["is"], LookKind::OneOf(_)) => {
            menu.choices(look, &[]);
            menu.words(&["not", "one of"]);
        }
        (["is", "not"], LookKind::OneOf(_)) => {
            menu.choices(look, &[]);
            menu.words(&["one of"]);
        }
        (["has"], LookKind::SomeOf(_)) => {
            menu.choices(look, &[]);
            menu.words(&["any of"]);
        }
        (["is" | "has", listed @ ..], LookKind::OneOf(_) | LookKind::SomeOf(_)) => {
            let open = listed.last().is_some_and(|last| matches!(*last, "of" | ","));
            if open {
                let listed: Vec<&str> = listed.iter().map(|word| word.trim_matches('"')).collect();
                menu.choices(look, &listed);
            } else {
                menu.words(&["and", "or"]);
            }
        }
        _ => {
            let dimension = menu.book().and_then(|book| book.looks.get(look.index())).and_then(|look| look.dimension());
            if let Some(dimension) = dimension {
                value::compared(menu, test, hand, dimension, Some(look));
            }
        }
    }
}

/// A test that begins with a table, a reckoning or arithmetic.
fn value_first(menu: &mut Menu, hand: &Hand, test: &[&Token]) {
    let text = menu.cursor.text;
    if !menu.path.is_empty() {
        menu.after_path(&hand.in_hand, false, &|_| true);
        return;
    }
    if let [only] = test
        && only.of(text) == "last"
    {
        let all: Vec<LookId> = looks_where(menu, |_| true);
        if let Some(part) = hand.part {
            menu.looks(part, 0, &|look| all.contains(&look));
        }
        menu.look_paths(hand, &|look| all.contains(&look));
        return;
    }
    let dimension = value::dimension_of(menu, hand, test);
    if let Some(dimension) = dimension {
        value::compared(menu, test, hand, dimension, None);
    } else {
        value::comparisons(menu);
    }
}

/// The rungs of a ladder.
fn rungs(menu: &mut Menu, ladder: &str, rest: &[&str]) {
    let Some(names) = menu.names() else { return };
    match ladder {
        "urgency" => menu.named(&names.steps, Target::Step, rest),
        "tier" => menu.named(&names.tiers, Target::Tier, rest),
        _ => {}
    }
    match rest {
        ["is"] => menu.words(&["not", "one of", "at least", "at most", "above", "below", "from"]),
        ["is", "from", _] => menu.words(&["to"]),
        _ => {}
    }
}
