//! How the lines of each kind of item are laid out: how far indented, where what follows a clause word stands, and
//! which parts of a line are set apart.

use super::token::{self, Token};
use crate::syntax::shape::{self, ITEMS};
use crate::syntax::split::{Doing, RawItem};
use crate::syntax::tree;

/// The most columns of a line, where it can be helped.
pub(super) const WIDTH: usize = 110;

/// How much deeper what belongs to something stands than the thing itself.
pub(super) const STEP: usize = 2;

/// How the lines of an item, a clause or a bullet are laid out.
#[derive(Debug, Clone, Copy)]
pub(super) struct Shape {
    /// How far the first line is indented.
    pub indent: usize,
    /// How many tokens its word is made of; none where the word is no different from the rest.
    pub word: usize,
    /// How far after the indentation stands what follows the word.
    pub column: usize,
    /// What is set apart on its first line.
    pub parts: Parts,
    /// Whether its parts are lined up with those of its neighbours.
    pub lined_up: bool,
}

/// The parts of a line that are set apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Parts {
    /// The line is one.
    One,
    /// A sentence of which one may be broken off after its words, and before its `because`.
    Sentence,
    /// Word and name, words, the rest.
    Named,
    /// The same, with `once` or `each` at the end.
    Work,
    /// Keys, value.
    Row,
    /// Words, price.
    Goods,
    /// What it becomes, odds, how soon.
    Left,
}

impl Parts {
    /// Where its parts begin, the first one not told. A part that is not there is empty. `word` is how many tokens the
    /// clause's word is.
    pub fn starts(self, tokens: &[Token<'_>], word: usize) -> Vec<usize> {
        match self {
            Parts::One | Parts::Sentence => Vec::new(),
            Parts::Named => named(tokens),
            Parts::Work => {
                let mut starts = named(tokens);
                let last = tokens.len().saturating_sub(1);
                if starts.last().is_some_and(|&start| start < last)
                    && tokens.last().is_some_and(|token| token.is("once") || token.is("each"))
                {
                    starts.push(last);
                }
                starts
            }
            Parts::Row => vec![keys(tokens)],
            Parts::Goods => vec![after_texts(tokens, word)],
            Parts::Left => (word + 1..tokens.len()).filter(|&at| tokens[at].is("odds") || tokens[at].is("within")).collect(),
        }
    }

    /// Where a line of this kind is best broken if it is too long: after its words, and before its reason.
    pub fn breaks(self, tokens: &[Token<'_>]) -> Vec<usize> {
        if !matches!(self, Parts::Sentence | Parts::Named | Parts::Work) {
            return Vec::new();
        }
        let because = (1..tokens.len()).filter(|&at| tokens[at].is("because"));
        let words = tokens.iter().position(|token| token.kind == token::Kind::Text);
        let words = words.filter(|&words| !tokens[..words].iter().any(|token| token.is("because")));
        let after = words.map(|words| after_texts(tokens, words));
        let mut breaks: Vec<usize> = after.filter(|&at| at < tokens.len()).into_iter().chain(because).collect();
        breaks.dedup();
        breaks
    }
}

/// The words and the rest, of a line that begins with a word and a name.
fn named(tokens: &[Token<'_>]) -> Vec<usize> {
    const WORDS: usize = 2;
    if tokens.get(WORDS).is_some_and(|token| token.kind == token::Kind::Text) {
        vec![WORDS, after_texts(tokens, WORDS)]
    } else {
        let rest = after_texts(tokens, WORDS);
        vec![rest, rest]
    }
}

/// The token after the texts that begin at `at`, and after the comma that may follow them.
fn after_texts(tokens: &[Token<'_>], at: usize) -> usize {
    let after = at + token::texts(tokens, at);
    after + usize::from(tokens.get(after).is_some_and(|token| token.kind == token::Kind::Comma))
}

/// Where the value of a row begins.
fn keys(tokens: &[Token<'_>]) -> usize {
    let comma = |at: usize| tokens.get(at).is_some_and(|token| token.kind == token::Kind::Comma);
    let key = |at: usize| tokens.get(at).is_some_and(|token| token.is_name() || token.kind == token::Kind::Text);
    let mut last = 1;
    while comma(last + 1) && key(last + 2) {
        last += 2;
    }
    (last + 1 + usize::from(comma(last + 1))).min(tokens.len())
}

/// How an item's own line is laid out.
pub(super) fn of_item(item: &RawItem) -> Shape {
    let parts = match (item.doing, item.kind) {
        (Doing::Writes, Some(tree::Kind::Work)) => Parts::Work,
        _ => Parts::Sentence,
    };
    Shape { indent: 0, word: 0, column: 0, parts, lined_up: parts == Parts::Work }
}

/// How a clause's line is laid out; `under` is the look, place or way it belongs to, if it belongs to one.
pub(super) fn of_clause(kind: tree::Kind, first: &str, under: Option<tree::Kind>) -> Shape {
    use tree::Kind::{Context, Finding, Hands, Part, Table, Tiers, Urgency, Way};
    let indent = if under.is_some() { 2 * STEP } else { STEP };
    let parts = match (kind, first) {
        (Urgency, "step") | (Hands, "hand") | (Tiers, "tier") | (Part | Context, "look" | "place") => Parts::Named,
        (Table, "row") => Parts::Row,
        (Finding, "way") => Parts::Sentence,
        (Finding | Way, "goods") => Parts::Goods,
        (Finding, "left") => Parts::Left,
        _ => Parts::One,
    };
    let lined_up = matches!(parts, Parts::Named | Parts::Row);
    if lined_up || parts == Parts::Sentence {
        return Shape { indent, word: 0, column: 0, parts, lined_up };
    }
    let word = if matches!(first, "least" | "builds" | "only" | "yields") { 2 } else { 1 };
    Shape { indent, word, column: column(under.unwrap_or(kind)), parts, lined_up }
}

/// How a bullet is laid out.
pub(super) fn of_bullet(clause: Shape) -> Shape {
    Shape { indent: clause.indent + STEP, word: 1, column: STEP, parts: Parts::One, lined_up: false }
}

/// Where what follows a clause word stands, counted from the word: two spaces after the longest of the usual ones.
fn column(kind: tree::Kind) -> usize {
    use tree::Kind::{Aid, Context, Counsel, Example, Finding, Look, Part, Place, Raise, Rulebook, Way, Work};
    match kind {
        Rulebook => "least charge ".len(),
        Work => "includes ".len(),
        Finding => "urgency  ".len(),
        Example => "suspects ".len(),
        Aid => "family  ".len(),
        Counsel => "basis  ".len(),
        Way => "hands  ".len(),
        Part | Context | Look | Place | Raise => "when  ".len(),
        _ => 0,
    }
}

/// The look, place or way that a clause belongs to, where `above` is the nearest of them above it in its item.
pub(super) fn owner(kind: tree::Kind, first: &str, above: Option<tree::Kind>) -> Option<tree::Kind> {
    let above = above?;
    let belongs = match kind {
        tree::Kind::Finding => first != "way",
        _ => !matches!(first, "look" | "place" | "places"),
    };
    belongs.then_some(above)
}

/// What a clause opens for the ones below it.
pub(super) fn opens(kind: tree::Kind, first: &str) -> Option<tree::Kind> {
    match (kind, first) {
        (tree::Kind::Part | tree::Kind::Context, "look") => Some(tree::Kind::Look),
        (tree::Kind::Part | tree::Kind::Context, "place") => Some(tree::Kind::Place),
        (tree::Kind::Finding, "way") => Some(tree::Kind::Way),
        _ => None,
    }
}

/// Whether a line of the item that began with this token would be something else than the line above going on.
pub(super) fn begins_something(kind: tree::Kind, token: Token<'_>) -> bool {
    let word = token.first_word();
    token.text == "-"
        || shape::clause(kind, word).is_some()
        || ["alter", "without"].contains(&word)
        || ITEMS.iter().any(|kind| kind.word() == word)
}

/// Whether two items may stand without a blank line between them.
pub(super) fn may_stand_close(one: &RawItem, other: &RawItem) -> bool {
    let short = |item: &RawItem| item.doing != Doing::Writes || matches!(item.kind, Some(tree::Kind::Work | tree::Kind::Reckon));
    short(one) && short(other)
}
