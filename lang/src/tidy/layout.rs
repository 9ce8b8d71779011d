//! Units as rows, and rows as text.

use std::collections::BTreeSet;
use std::ops::Range;

use super::lined_up::LinedUp;
use super::row::{Row, Says, Slice};
use super::shape::{self, STEP, Shape};
use super::token::{self, Manner, Token};
use super::unit::{Role, Unit, Units};
use crate::syntax::scan::Line;
use crate::syntax::split::{Doing, RawItem};
use crate::syntax::tree;

/// What becomes of a stretch of text.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    /// The bytes.
    pub range: Range<usize>,
    /// What stands there in the canonical layout.
    pub text: String,
}

/// The whole text in pieces, one an item. The items in `kept` stay byte for byte as they are; so do the lines before
/// the first item where something is written there.
pub(super) fn pieces(units: &Units<'_>, kept: &BTreeSet<usize>) -> Vec<Piece> {
    let mut layout = Layout { units, kept, groups: 0 };
    let laid: Vec<Vec<Row<'_>>> = (0..units.units.len()).map(|at| layout.unit(at)).collect();
    let after = layout.after();
    let lined_up = LinedUp::new(laid.iter().flatten());
    let end = if units.text.find(['\n', '\r']).is_some_and(|at| units.text[at..].starts_with("\r\n")) { "\r\n" } else { "\n" };
    let mut pieces = Vec::new();
    let mut from = 0;
    for (at, (unit, rows)) in units.units.iter().zip(&laid).enumerate() {
        let range = from..units.start_of(unit.lines.end);
        from = range.end;
        let own = units.start_of(unit.lines.start);
        let mut text = String::new();
        if at == 0 && layout.something_stands_before() {
            text.push_str(&units.text[..own]);
        }
        text += &written(rows, &lined_up, end);
        if kept.contains(&at) {
            if at > 0 && layout.blank_above(unit.lines.start) {
                text.push_str(end);
            }
            text.push_str(&units.text[own..range.end]);
        }
        pieces.push(Piece { range, text });
    }
    if let Some(last) = pieces.last_mut()
        && !last.text.ends_with(['\n', '\r'])
    {
        last.text.push_str(end);
    }
    let text = if units.units.is_empty() && layout.something_stands_before() {
        units.text.to_owned()
    } else {
        written(&after, &lined_up, end)
    };
    pieces.push(Piece { range: from..units.text.len(), text });
    pieces
}

fn written(rows: &[Row<'_>], lined_up: &LinedUp, end: &str) -> String {
    let mut text = String::new();
    // Where the text began that the last line ended with.
    let mut under = None;
    for row in rows {
        if row.blank {
            text.push_str(end);
        }
        let mut indent = row.indent;
        let line = match &row.says {
            Says::Comment => String::new(),
            Says::Begins { parts, lined_up: group, text } => {
                let (line, last) = lined_up.line(parts, *group);
                under = text.map(|text| indent + last + text);
                line
            }
            Says::GoesOn { line, under_text, text } => {
                indent = under.filter(|_| *under_text).unwrap_or(indent);
                under = text.map(|text| indent + text);
                line.clone()
            }
        };
        text.push_str(&" ".repeat(indent));
        text.push_str(&line);
        if let Some(comment) = row.comment {
            if !line.is_empty() {
                text.push_str("  ");
            }
            text.push_str(comment);
        }
        text.push_str(end);
    }
    text
}

struct Layout<'u, 't> {
    units: &'u Units<'t>,
    kept: &'u BTreeSet<usize>,
    /// How many groups of lines that are lined up there are so far.
    groups: usize,
}

impl<'t> Layout<'_, 't> {
    /// Whether something is written before the first item.
    fn something_stands_before(&self) -> bool {
        let before = self.units.units.first().map_or(&self.units.after, |unit| &unit.before);
        self.units.lines[before.clone()].iter().any(|line| !line.written.is_empty())
    }

    /// Whether a blank line stands above a line.
    fn blank_above(&self, line: usize) -> bool {
        line.checked_sub(1).is_some_and(|above| {
            let above = &self.units.lines[above];
            above.written.is_empty() && above.comment.is_none()
        })
    }

    /// An item with the comments before it; without its own lines if it is kept as it is.
    fn unit(&mut self, at: usize) -> Vec<Row<'t>> {
        let unit = &self.units.units[at];
        let stands_before = at == 0 && self.something_stands_before();
        let mut rows = if stands_before { Vec::new() } else { self.comments(unit.before.clone()) };
        let close = at.checked_sub(1).is_some_and(|before| self.is_close(before, at));
        if !self.kept.contains(&at) {
            let follows = close && rows.is_empty() && !self.blank_above(unit.lines.start);
            let work = is_work(&self.units.items[at]);
            if work && !(follows && is_work(&self.units.items[at - 1])) {
                self.groups += 1;
            }
            let item = self.item(unit, &self.units.items[at], work.then_some(self.groups));
            rows.extend(item);
        }
        if let Some(first) = rows.first_mut() {
            first.blank = match at.checked_sub(1) {
                None => false,
                Some(before) => first.blank || !(close || self.kept.contains(&before) || self.kept.contains(&at)),
            };
        }
        rows
    }

    /// Whether an item may stand right below another one.
    fn is_close(&self, one: usize, other: usize) -> bool {
        ![one, other].iter().any(|at| self.kept.contains(at))
            && shape::may_stand_close(&self.units.items[one], &self.units.items[other])
    }

    /// The comments after the last item.
    fn after(&self) -> Vec<Row<'t>> {
        let mut rows = self.comments(self.units.after.clone());
        if let (true, Some(first)) = (self.units.units.is_empty(), rows.first_mut()) {
            first.blank = false;
        }
        rows
    }

    /// The comments on some lines, not indented.
    fn comments(&self, lines: Range<usize>) -> Vec<Row<'t>> {
        let rows = lines.filter_map(|at| {
            let line = &self.units.lines[at];
            line.comment.as_ref()?;
            Some(self.row(at, line, 0, Says::Comment))
        });
        rows.collect()
    }

    fn row(&self, at: usize, line: &Line, indent: usize, says: Says) -> Row<'t> {
        let begins = match says {
            Says::Comment => line.comment.as_ref().map_or(line.whole.start, |comment| comment.start),
            _ => line.written.start,
        };
        Row { blank: self.blank_above(at), indent, indented: begins - line.whole.start, says, comment: self.comment(line) }
    }

    fn comment(&self, line: &Line) -> Option<&'t str> {
        line.comment.clone().map(|comment| self.units.text[comment].trim_end())
    }

    /// The rows of an item. `work` is the group that its own line is lined up with.
    fn item(&mut self, unit: &Unit, item: &RawItem, work: Option<usize>) -> Vec<Row<'t>> {
        let Some(kind) = item.kind else { return Vec::new() };
        let mut rows: Vec<Row<'t>> = Vec::new();
        let mut slice = Slice::new(kind, shape::of_item(item), None);
        let mut manner = Manner::Grammar;
        let mut carried = Vec::new();
        let mut above = None;
        let mut clause_shape: Option<Shape> = None;
        // The lines of an item that are lined up with each other, by their first word.
        let mut groups: Vec<(&str, usize)> = Vec::new();
        for at in unit.lines.clone() {
            let line = &self.units.lines[at];
            let role = self.units.role(line);
            match role {
                Some(Role::Item) => slice = Slice::new(kind, shape::of_item(item), work),
                Some(Role::Clause(clause)) => {
                    let first = item.clauses[clause].first;
                    let under = shape::owner(kind, first, above);
                    above = shape::opens(kind, first).or(above);
                    let shape = shape::of_clause(kind, first, under);
                    let group = shape.lined_up.then(|| self.group(&mut groups, first));
                    clause_shape = Some(shape);
                    slice = Slice::new(kind, shape, group);
                    manner = if first == "record" { Manner::Record { open: 0 } } else { Manner::Grammar };
                }
                Some(Role::Bullet(_)) => {
                    if let Some(shape) = clause_shape {
                        slice = Slice::new(kind, shape::of_bullet(shape), None);
                    }
                }
                Some(Role::GoesOn) => {}
                None => {
                    if line.comment.is_some() {
                        rows.push(self.row(at, line, 0, Says::Comment));
                    }
                    continue;
                }
            }
            let mut tokens = std::mem::take(&mut carried);
            tokens.extend(token::tokens(self.units.text, line.written.clone(), &mut manner));
            let carry = line.comment.is_none() && at + 1 < unit.lines.end && self.goes_on_with(at + 1, &tokens);
            let laid = if role == Some(Role::GoesOn) { slice.goes_on(&tokens, carry) } else { slice.begins(&tokens, carry) };
            carried = laid.carried;
            let last = laid.rows.len().saturating_sub(1);
            for (number, (indent, says)) in laid.rows.into_iter().enumerate() {
                let row = self.row(at, line, indent, says);
                // A broken line's comment stands at its end.
                let comment = row.comment.filter(|_| number == last);
                rows.push(Row { blank: row.blank && number == 0, comment, ..row });
            }
        }
        place_comments(&mut rows);
        rows
    }

    /// Whether a line goes on with these tokens, other than with a text.
    fn goes_on_with(&self, line: usize, tokens: &[Token<'_>]) -> bool {
        let line = &self.units.lines[line];
        let text = self.units.text[line.written.clone()].starts_with('"')
            && tokens.last().is_some_and(|token| token.kind == token::Kind::Text);
        self.units.role(line) == Some(Role::GoesOn) && !text
    }

    fn group<'w>(&mut self, groups: &mut Vec<(&'w str, usize)>, first: &'w str) -> usize {
        if let Some((_, group)) = groups.iter().find(|(word, _)| *word == first) {
            return *group;
        }
        self.groups += 1;
        groups.push((first, self.groups));
        self.groups
    }
}

fn is_work(item: &RawItem) -> bool {
    item.doing == Doing::Writes && item.kind == Some(tree::Kind::Work)
}

/// Indents the comments of an item. A comment belongs to what follows it, and stands where that stands; one that its
/// author indented deeper than what follows belongs to what is above it.
fn place_comments(rows: &mut [Row<'_>]) {
    let mut at = 0;
    while at < rows.len() {
        if !matches!(rows[at].says, Says::Comment) {
            at += 1;
            continue;
        }
        let end = rows[at..].iter().position(|row| !matches!(row.says, Says::Comment)).map_or(rows.len(), |end| at + end);
        let above = at.checked_sub(1).map_or(0, |above| rows[above].indent);
        let (below, indented, goes_on) = match rows.get(end) {
            Some(row) => (row.indent, row.indented, matches!(row.says, Says::GoesOn { .. })),
            None => (0, 0, false),
        };
        let mut belongs_below = goes_on;
        for row in &mut rows[at..end] {
            belongs_below |= row.indented <= indented;
            row.indent = if belongs_below {
                below
            } else if above > below {
                above
            } else {
                below + STEP
            };
        }
        at = end;
    }
}
