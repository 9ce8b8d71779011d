//! A text as units: each item with the comments that stand before it.

use std::collections::HashMap;
use std::ops::Range;

use crate::span::FileId;
use crate::syntax::scan::{self, Line};
use crate::syntax::split::{self, RawItem};

/// What a line is to its item.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// The item's own line.
    Item,
    /// A clause, by its number.
    Clause(usize),
    /// A bullet of a clause.
    Bullet(usize),
    /// It goes on with the line above.
    GoesOn,
}

/// An item with what stands before it. Lines are told by their number in the text.
#[derive(Debug)]
pub(super) struct Unit {
    /// The comments before it, blank lines included.
    pub before: Range<usize>,
    /// Its own line, its clauses and the comments among and after them.
    pub lines: Range<usize>,
}

/// A text with its lines told apart.
pub(super) struct Units<'t> {
    pub text: &'t str,
    pub lines: Vec<Line>,
    pub items: Vec<RawItem>,
    /// For each item its unit.
    pub units: Vec<Unit>,
    /// The lines after the last item.
    pub after: Range<usize>,
    roles: HashMap<usize, Role>,
}

impl<'t> Units<'t> {
    pub fn new(text: &'t str) -> Self {
        let items = split::split(FileId(0), text).items;
        let start = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
        let lines: Vec<Line> = scan::lines(text, start).collect();
        let roles = roles(&items);
        let own: Vec<usize> =
            items.iter().map(|item| lines.partition_point(|line| line.written.start < item.line.range.start)).collect();
        let mut units: Vec<Unit> = Vec::new();
        let mut done = 0;
        for (at, &first) in own.iter().enumerate() {
            let next = own.get(at + 1).copied().unwrap_or(lines.len());
            let end = end_of_item(&lines, first..next);
            units.push(Unit { before: done..first, lines: first..end });
            done = end;
        }
        let after = done..lines.len();
        Self { text, lines, items, units, after, roles }
    }

    /// What a line is to its item; none for blank lines, comments and what belongs to no item.
    pub fn role(&self, line: &Line) -> Option<Role> {
        if line.written.is_empty() { None } else { self.roles.get(&line.written.start).copied() }
    }

    /// The item that a byte stands in; none before the first one.
    pub fn item_at(&self, byte: usize) -> Option<usize> {
        self.items.partition_point(|item| item.line.range.start <= byte).checked_sub(1)
    }

    /// The byte at which a line begins; the end of the text after the last one.
    pub fn start_of(&self, line: usize) -> usize {
        self.lines.get(line).map_or(self.text.len(), |line| line.whole.start)
    }
}

/// The line after the last one of an item: the last on which something of it is written, and the indented comments that
/// follow. Comments that are not indented belong to the next item.
fn end_of_item(lines: &[Line], within: Range<usize>) -> usize {
    let first = within.start;
    let lines = &lines[within];
    let mut end = lines.iter().rposition(|line| !line.written.is_empty()).map_or(0, |last| last + 1);
    for (at, line) in lines.iter().enumerate().skip(end) {
        match &line.comment {
            Some(comment) if comment.start > line.whole.start => end = at + 1,
            Some(_) => break,
            None => {}
        }
    }
    first + end
}

fn roles(items: &[RawItem]) -> HashMap<usize, Role> {
    let mut roles = HashMap::new();
    let mut add = |slice: &split::Slice, role: Role| {
        roles.insert(slice.range.start, role);
        roles.extend(slice.goes_on.iter().map(|line| (line.start, Role::GoesOn)));
    };
    for item in items {
        add(&item.line, Role::Item);
        for (at, clause) in item.clauses.iter().enumerate() {
            add(&clause.line, Role::Clause(at));
            clause.bullets.iter().for_each(|bullet| add(bullet, Role::Bullet(at)));
        }
    }
    roles
}
