//! A line as it will stand: its parts, how far it is indented, and what it is lined up with.

use unicode_width::UnicodeWidthStr;

use super::shape::{Parts, STEP, Shape, WIDTH, begins_something};
use super::token::{self, Kind, Token};
use crate::syntax::tree;

/// What sets two parts of a line apart.
pub(super) const APART: &str = "  ";

/// A line.
#[derive(Debug)]
pub(super) struct Row<'t> {
    /// Whether a blank line stands above it.
    pub blank: bool,
    /// How far it is indented.
    pub indent: usize,
    /// How far its author indented it.
    pub indented: usize,
    pub says: Says,
    /// The comment at its end, or the one it is.
    pub comment: Option<&'t str>,
}

/// What is written on a line.
#[derive(Debug)]
pub(super) enum Says {
    /// Nothing but its comment.
    Comment,
    /// Something that begins an item, a clause or a bullet.
    Begins {
        /// Its parts; one in the middle may be empty.
        parts: Vec<String>,
        /// The lines it is lined up with, by a number they share.
        lined_up: Option<usize>,
        /// Where in its last part the text begins that it ends with.
        text: Option<usize>,
    },
    /// Something that goes on with the line above.
    GoesOn {
        line: String,
        /// Whether it goes on with the text that the line above ends with, and stands under it.
        under_text: bool,
        /// Where the text begins that it ends with.
        text: Option<usize>,
    },
}

/// The parts of a line that begins something.
fn parts(tokens: &[Token<'_>], shape: Shape) -> (Vec<String>, Option<usize>) {
    let word = shape.word.min(tokens.len());
    let mut starts = shape.parts.starts(tokens, word);
    while starts.last().is_some_and(|&start| start >= tokens.len()) {
        starts.pop();
    }
    let bounds: Vec<usize> = std::iter::once(word).chain(starts).chain([tokens.len()]).collect();
    let mut parts: Vec<String> = bounds.windows(2).map(|bounds| token::joined(&tokens[bounds[0]..bounds[1]])).collect();
    let last = bounds[bounds.len() - 2];
    let mut text = trailing_text(&tokens[last..]);
    if word > 0 {
        let head = token::joined(&tokens[..word]);
        let head = if tokens.len() > word { padded(&head, shape.column.max(head.width() + 1)) } else { head };
        if parts.len() == 1 {
            text = text.map(|text| text + head.width());
        }
        parts[0].insert_str(0, &head);
    }
    (parts, text)
}

/// Where the text begins that these tokens end with.
fn trailing_text(tokens: &[Token<'_>]) -> Option<usize> {
    let texts = tokens.iter().rev().take_while(|token| token.kind == Kind::Text).count();
    let before = tokens.len() - texts;
    let space = usize::from(before > 0 && tokens[before - 1].kind != Kind::Opens);
    (texts > 0).then(|| token::joined(&tokens[..before]).width() + space)
}

/// A text with spaces after it up to a width.
pub(super) fn padded(text: &str, width: usize) -> String {
    format!("{text}{}", " ".repeat(width.saturating_sub(text.width())))
}

/// Parts with two spaces between.
pub(super) fn set_apart(parts: &[String]) -> String {
    parts.iter().filter(|part| !part.is_empty()).map(String::as_str).collect::<Vec<_>>().join(APART)
}

/// Lays out one item, clause or bullet, line by line.
pub(super) struct Slice {
    kind: tree::Kind,
    shape: Shape,
    lined_up: Option<usize>,
    /// How far the lines that go on are indented.
    goes_on: usize,
    /// What the line above ends with, and which it is.
    above: Above,
}

#[derive(Debug, Clone, Copy, Default)]
struct Above {
    /// Whether it ends with a text.
    text: bool,
    /// How many lines there are.
    lines: usize,
    /// Whether a list goes on since the first of them.
    list: bool,
}

/// A line laid out.
pub(super) struct Laid<'t> {
    /// Its rows, each with its indentation: more than one where it would be too long.
    pub rows: Vec<(usize, Says)>,
    /// The end of a list that was too long and goes on with the next line.
    pub carried: Vec<Token<'t>>,
}

/// Where a line is broken.
struct Break {
    at: usize,
    /// Whether in a list.
    in_list: bool,
}

impl Slice {
    pub fn new(kind: tree::Kind, shape: Shape, lined_up: Option<usize>) -> Self {
        Self { kind, shape, lined_up, goes_on: shape.indent + STEP, above: Above::default() }
    }

    /// Its first line. The end of a list that is too long is carried to the next line if there is one: `carry`.
    pub fn begins<'t>(&mut self, tokens: &[Token<'t>], carry: bool) -> Laid<'t> {
        let shape = self.shape;
        let word = shape.word.min(tokens.len());
        if word > 0 && tokens.len() > word {
            self.goes_on = shape.indent + shape.column.max(token::joined(&tokens[..word]).width() + 1);
        }
        let fits = |tokens: &[Token<'_>]| shape.indent + set_apart(&parts(tokens, shape).0).width() <= WIDTH;
        let broken = self.broken(tokens, word + 1, shape.parts, fits);
        let (line, rest) = tokens.split_at(broken.at);
        let (parts, text) = parts(line, shape);
        self.above = Above { text: text.is_some(), lines: 1, list: ends_in_list(line) };
        let first = (shape.indent, Says::Begins { parts, lined_up: self.lined_up, text });
        let mut laid = self.rest(rest, carry && broken.in_list);
        laid.rows.insert(0, first);
        laid
    }

    /// A line that goes on with the one above.
    pub fn goes_on<'t>(&mut self, tokens: &[Token<'t>], carry: bool) -> Laid<'t> {
        let mut laid = Laid { rows: Vec::new(), carried: Vec::new() };
        let indent = self.indent(tokens);
        let fits = |tokens: &[Token<'_>]| indent + token::joined(tokens).width() <= WIDTH;
        // Of the parts of a sentence only its reason is still to come: words, if the line has them, stand at its start.
        let parts = if self.shape.parts == Parts::Sentence { Parts::Sentence } else { Parts::One };
        let broken = self.broken(tokens, 1, parts, fits);
        let (line, rest) = tokens.split_at(broken.at);
        let says = Says::GoesOn {
            line: token::joined(line),
            under_text: self.above.text && line.first().is_some_and(|token| token.kind == Kind::Text),
            text: trailing_text(line),
        };
        laid.rows.push((indent, says));
        self.above.text = line.last().is_some_and(|token| token.kind == Kind::Text);
        self.above.lines += 1;
        self.above.list &= !line.first().is_some_and(|token| token.is("because"));
        let after = self.rest(rest, carry && broken.in_list);
        laid.rows.extend(after.rows);
        Laid { rows: laid.rows, carried: after.carried }
    }

    /// What is left of a line that was broken.
    fn rest<'t>(&mut self, tokens: &[Token<'t>], carry: bool) -> Laid<'t> {
        if tokens.is_empty() || (carry && self.indent(tokens) + token::joined(tokens).width() <= WIDTH) {
            return Laid { rows: Vec::new(), carried: tokens.to_vec() };
        }
        self.goes_on(tokens, carry)
    }

    /// How far a line that goes on is indented. Under a word that is set apart, all of them alike. Else those after the
    /// first one a step more, unless they go on with a list that began on the own line, or give a reason.
    fn indent(&self, tokens: &[Token<'_>]) -> usize {
        let reason = tokens.first().is_some_and(|token| token.is("because"));
        if self.shape.word > 0 || self.above.lines <= 1 || self.above.list || reason { self.goes_on } else { self.goes_on + STEP }
    }

    /// Where a line is broken: at its end if it fits, else where it is best and, if possible, so that the first piece
    /// fits. `least` tokens stay on it.
    fn broken(&self, tokens: &[Token<'_>], least: usize, parts: Parts, fits: impl Fn(&[Token<'_>]) -> bool) -> Break {
        if fits(tokens) {
            return Break { at: tokens.len(), in_list: false };
        }
        let may = |at: &usize| *at >= least && *at < tokens.len() && !begins_something(self.kind, tokens[*at]);
        let best: Vec<usize> = parts.breaks(tokens).into_iter().filter(may).collect();
        let best = last_that_fits(&best, tokens, &fits);
        let piece = best.map_or(tokens, |at| &tokens[..at]);
        if best.is_some() && fits(piece) {
            return Break { at: piece.len(), in_list: false };
        }
        let in_list = |at: &usize| {
            let before = tokens[at - 1].kind;
            before == Kind::Comma || (before == Kind::Text && tokens[*at].kind == Kind::Text)
        };
        let others: Vec<usize> = (1..piece.len()).filter(in_list).filter(may).collect();
        match last_that_fits(&others, piece, &fits) {
            Some(at) => Break { at, in_list: best.is_none() },
            None => Break { at: piece.len(), in_list: false },
        }
    }
}

fn ends_in_list(tokens: &[Token<'_>]) -> bool {
    tokens.last().is_some_and(|token| token.kind == Kind::Comma)
}

/// The last place at which what stands before it fits; the first one if nothing does.
fn last_that_fits(places: &[usize], tokens: &[Token<'_>], fits: &impl Fn(&[Token<'_>]) -> bool) -> Option<usize> {
    let fitting = places.partition_point(|&at| fits(&tokens[..at]));
    places.get(fitting.saturating_sub(1)).copied()
}
