//! Reading a text again, only where it has changed, comes to the same as reading it anew.

use purfle_lang::span::{FileId, Span};
use purfle_lang::syntax::tree::{Entry, Says};
use purfle_lang::syntax::{Kept, Parsed, parse, parse_again};
use purfle_tests::dice::Dice;

use crate::layout::mangle::wild;
use crate::layout::texts;

/// How many changes are made to each text, one after the other.
const CHANGES: u64 = 8;

/// What the equality of entries leaves out.
fn rest(entry: &Entry, into: &mut Vec<(Span, Span, bool)>) {
    into.push((entry.keyword, entry.line, entry.broken));
    for clause in &entry.clauses {
        if let Says::Entry(inner) = &clause.says {
            rest(inner, into);
        }
    }
}

/// How two readings differ, if they do.
fn difference(one: &Parsed, other: &Parsed) -> Option<String> {
    if one.diagnostics != other.diagnostics {
        return Some(format!("diagnostics: {:#?}\n{:#?}", one.diagnostics, other.diagnostics));
    }
    if one.tree.comments != other.tree.comments || one.tree.lost != other.tree.lost || one.tree.file != other.tree.file {
        return Some("comments, or whether something is lost".to_owned());
    }
    if one.tree.items.len() != other.tree.items.len() {
        return Some("the number of items".to_owned());
    }
    one.tree.items.iter().zip(&other.tree.items).find_map(|(one, other)| {
        let (mut ones, mut others) = (Vec::new(), Vec::new());
        rest(&one.entry, &mut ones);
        rest(&other.entry, &mut others);
        let same = one.doing == other.doing && one.entry == other.entry && ones == others;
        (!same).then(|| format!("an item: {one:#?}\n{other:#?}"))
    })
}

/// One character more or less, or another one.
fn touched(text: &str, dice: &mut Dice) -> String {
    let mut chars: Vec<char> = text.chars().collect();
    let at = dice.below(chars.len() + 1);
    match dice.below(3) {
        0 if at < chars.len() => drop(chars.remove(at)),
        1 if at < chars.len() => chars[at] = *dice.pick(&['a', ' ', '"', '\n', '#', ',']).expect("one of several"),
        _ => chars.insert(at, *dice.pick(&['a', ' ', '"', '\n', '#', '(', '-']).expect("one of several")),
    }
    chars.into_iter().collect()
}

#[test]
fn a_text_read_again_after_a_change_is_the_text_read_anew() {
    let mut dice = Dice::new(7);
    let texts = texts();
    let mut kept = Kept::default();
    for (name, text) in &texts {
        let mut text = text.clone();
        for _ in 0..CHANGES {
            let again = parse_again(FileId(0), &text, &mut kept);
            if let Some(difference) = difference(&parse(FileId(0), &text), &again) {
                panic!("{name}: {difference}\n{text}");
            }
            text = if dice.chance(50) { touched(&text, &mut dice) } else { wild(&text, &mut dice) };
        }
    }
}

#[test]
fn items_move_into_another_text_of_the_chain() {
    let (_, text) = texts().into_iter().find(|(name, _)| name.ends_with("first-look.purfle")).expect("the standard rulebook");
    let mut kept = Kept::default();
    parse_again(FileId(0), &text, &mut kept);
    let moved = format!("# above\n\n{text}");
    let again = parse_again(FileId(3), &moved, &mut kept);
    assert_eq!(difference(&parse(FileId(3), &moved), &again), None);
}
