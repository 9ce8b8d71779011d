//! Choices: yes or no, one of several, some of several.

use super::{Bad, Saying, date, quoted, same_but_capitals, shown};
use crate::book::Choice;
use crate::nearest::nearest;

pub(super) fn yes_or_no(text: &str) -> Result<Saying, Bad> {
    let index = |word: &str| match word {
        word if ["no", "n", "false"].iter().any(|no| no.eq_ignore_ascii_case(word)) => Some(0),
        word if ["yes", "y", "true"].iter().any(|yes| yes.eq_ignore_ascii_case(word)) => Some(1),
        _ => None,
    };
    if let Some(index) = index(text) {
        return Ok(Saying::OneOf(vec![index]));
    }
    let mut words = text.split_whitespace();
    if let (Some(one), Some(or), Some(other), None) = (words.next(), words.next(), words.next(), words.next())
        && or.eq_ignore_ascii_case("or")
        && let (Some(one), Some(other)) = (index(one), index(other))
        && one != other
    {
        return Ok(Saying::OneOf(vec![0, 1]));
    }
    let bad = Bad::new(format!("{} is neither yes nor no", quoted(text)));
    Err(match text {
        "1" | "x" | "X" | "\u{2713}" | "\u{2714}" => bad.or("yes"),
        "0" => bad.or("no"),
        text => match nearest(text, ["yes", "no", "true", "false"]) {
            Some("yes" | "true") => bad.or("yes"),
            Some(_) => bad.or("no"),
            None => bad,
        },
    })
}

pub(super) fn one_of(choices: &[Choice], text: &str) -> Result<Saying, Bad> {
    if let Some(index) = find(choices, text) {
        return Ok(Saying::OneOf(vec![index]));
    }
    let list = List::read(choices, text)?;
    if list.joints.last().is_some_and(|joint| *joint != Joint::Or) {
        let names: Vec<&str> = list.indices.iter().map(|&index| choices[index].name.as_str()).collect();
        let why = "it has one of its choices; several are joined by `or` where it could not be told which";
        return Err(Bad::new(why).or(names.join(" or ")));
    }
    Ok(Saying::OneOf(list.sorted()))
}

pub(super) fn some_of(choices: &[Choice], text: &str) -> Result<Saying, Bad> {
    if let Some(index) = find(choices, text) {
        return Ok(Saying::Exactly(vec![index]));
    }
    if text.eq_ignore_ascii_case("none") {
        return Ok(Saying::Exactly(Vec::new()));
    }
    let list = List::read(choices, text)?;
    if list.joints.contains(&Joint::Or) {
        return Err(Bad::new("`or` says nothing here: list all that is there, or write ? if it could not be told").or("?"));
    }
    Ok(Saying::Exactly(list.sorted()))
}

/// The choice that a text names, by its name or by its words; capitals matter only where two choices differ by them.
fn find(choices: &[Choice], text: &str) -> Option<usize> {
    let text = text.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).unwrap_or(text);
    if let Some(index) = choices.iter().position(|choice| choice.name == text) {
        return Some(index);
    }
    let only = |same: &dyn Fn(&Choice) -> bool| {
        let mut fitting = (0..choices.len()).filter(|&index| same(&choices[index]));
        fitting.next().filter(|_| fitting.next().is_none())
    };
    only(&|choice| choice.words == text)
        .or_else(|| only(&|choice| same_but_capitals(&choice.name, text)))
        .or_else(|| only(&|choice| same_but_capitals(&choice.words, text)))
}

/// What stands between two members of a list.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Joint {
    Comma,
    And,
    Or,
}

/// Several choices and what joins them.
struct List {
    indices: Vec<usize>,
    joints: Vec<Joint>,
}

impl List {
    /// Reads a list. The words of a choice may themselves have commas, `and` and `or` in them, so at each member the
    /// longest stretch that is a choice is taken.
    fn read(choices: &[Choice], text: &str) -> Result<Self, Bad> {
        let pieces = pieces(text);
        let mut list = Self { indices: Vec::new(), joints: Vec::new() };
        let mut from = 0;
        while from < pieces.len() {
            let found = (from..pieces.len()).rev().find_map(|to| {
                let stretch = text[pieces[from].start..pieces[to].end].trim();
                find(choices, stretch).map(|index| (index, to))
            });
            let Some((index, to)) = found else {
                let piece = &pieces[from];
                return Err(unknown(choices, text, piece));
            };
            list.indices.push(index);
            if to + 1 < pieces.len() {
                list.joints.push(pieces[to + 1].joint);
            }
            from = to + 1;
        }
        Ok(list)
    }

    fn sorted(mut self) -> Vec<usize> {
        self.indices.sort_unstable();
        self.indices.dedup();
        self.indices
    }
}

/// A stretch of text between two joints, and the joint before it.
struct Piece {
    start: usize,
    end: usize,
    joint: Joint,
}

fn pieces(text: &str) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let (mut start, mut joint) = (0, Joint::Comma);
    while let Some((end, next, following)) = next_joint(text, start) {
        pieces.push(Piece { start, end, joint });
        (start, joint) = (next, following);
    }
    pieces.push(Piece { start, end: text.len(), joint });
    pieces
}

/// Where the next joint at or after `from` begins and ends, and which it is. A comma with a word after it
/// (`straight, or crooked`) is one joint, the word's.
fn next_joint(text: &str, from: usize) -> Option<(usize, usize, Joint)> {
    text[from..].char_indices().find_map(|(at, character)| {
        let (start, after) = (from + at, from + at + character.len_utf8());
        match (character, joining_word(text, after)) {
            (',', None) => Some((start, after, Joint::Comma)),
            (',', Some((end, joint))) => Some((start, end, joint)),
            (character, Some((end, joint))) if character.is_whitespace() => Some((start, end, joint)),
            _ => None,
        }
    })
}

/// The joining word that stands by itself after `from`, and where it ends.
fn joining_word(text: &str, from: usize) -> Option<(usize, Joint)> {
    let rest = text[from..].trim_start();
    let start = text.len() - rest.len();
    [("or", Joint::Or), ("and", Joint::And)].into_iter().find_map(|(word, joint)| {
        let (head, tail) = rest.split_at_checked(word.len())?;
        (head.eq_ignore_ascii_case(word) && tail.starts_with(char::is_whitespace)).then_some((start + word.len(), joint))
    })
}

/// What is wrong with a member that is no choice.
fn unknown(choices: &[Choice], text: &str, piece: &Piece) -> Bad {
    let member = text[piece.start..piece.end].trim();
    if member.is_empty() {
        return Bad::new("a choice is missing in the list");
    }
    if let Some((first, second)) = date::numbers_of_a_date(member) {
        let why = format!("{} looks like a date, which a spreadsheet may have made of what was typed", shown(member));
        let typed = [format!("{first}/{second}"), format!("{second}/{first}")];
        let meant = typed.iter().find_map(|typed| choices.iter().find(|choice| choice.name == *typed || choice.words == *typed));
        return match meant {
            Some(choice) => Bad::new(format!("{why}: {}", choice.name)).or(choice.name.clone()),
            None => Bad::new(why),
        };
    }
    let bad = Bad::new(format!("{} is not one of its choices", quoted(member)));
    let known = choices.iter().flat_map(|choice| [choice.name.as_str(), choice.words.as_str()]);
    let meant = nearest(member, known).and_then(|known| choices.iter().find(|c| c.name == known || c.words == known));
    match meant {
        Some(choice) => {
            let start = piece.end - text[piece.start..piece.end].trim_start().len();
            bad.or(format!("{}{}{}", &text[..start], choice.name, &text[start + member.len()..]))
        }
        None => bad,
    }
}
