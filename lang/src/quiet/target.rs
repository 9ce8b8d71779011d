//! What a quieting reaches: the item or clause that its line belongs to, and what an `alter` alters.

use crate::source::LineIndex;
use crate::span::Span;
use crate::syntax::tree::{Clause, Comment, Doing, Entry, Item, Kind, Says, Tree};

/// What a quieting reaches.
#[derive(Debug, Default)]
pub(super) struct Target {
    /// The item or clause itself, then what it alters in the rulebooks above.
    spans: Vec<Span>,
}

impl Target {
    /// What a comment reaches that stands in the first rulebook of `chain`. The others are those it is built on.
    pub fn of(chain: &[Tree], text: &str, index: &LineIndex, comment: &Comment) -> Self {
        let Some(((tree, parents), at)) = chain.split_first().zip(line_of(text, index, comment)) else { return Self::default() };
        let Some(item) = tree.items.iter().find(|item| holds(whole(item), at)) else { return Self::default() };
        if let Some(clause) = clause_at(&item.entry, at) {
            return Self { spans: vec![clause] };
        }
        let mut spans = vec![whole(item)];
        if matches!(item.doing, Doing::Alters { .. }) {
            spans.extend(parents.iter().flat_map(|parent| same(parent, &item.entry)));
        }
        Self { spans }
    }

    /// Whether the comment belongs to nothing.
    pub fn is_nothing(&self) -> bool {
        self.spans.is_empty()
    }

    /// Whether something told at this place is within reach.
    pub fn reaches(&self, span: Span) -> bool {
        self.spans.iter().any(|reached| reached.file == span.file && holds(*reached, span.start))
    }

    /// How much is within reach; of two quietings of one warning the narrower one is heard.
    pub fn breadth(&self) -> u32 {
        self.spans.first().map_or(0, |span| span.end - span.start)
    }
}

/// The first byte of the line that a comment speaks of: its own, or the next one written where it stands alone. None
/// where a blank line or the end of the text lies between.
fn line_of(text: &str, index: &LineIndex, comment: &Comment) -> Option<u32> {
    let own = index.line_column(text, comment.span.start as usize).line;
    let mut line = if comment.alone { own + 1 } else { own };
    loop {
        let range = index.line(text, line)?;
        let written = text[range.clone()].trim_start();
        match written.chars().next()? {
            '#' => line += 1,
            _ => return u32::try_from(range.end - written.len()).ok(),
        }
    }
}

fn holds(span: Span, at: u32) -> bool {
    (span.start..=span.end).contains(&at)
}

/// An item from its first word on.
fn whole(item: &Item) -> Span {
    match &item.doing {
        Doing::Writes => item.entry.span,
        Doing::Alters { keyword, .. } | Doing::Drops { keyword, .. } => keyword.to(item.entry.span),
    }
}

/// The innermost clause of an entry that holds a byte.
fn clause_at(entry: &Entry, at: u32) -> Option<Span> {
    let clause: &Clause = entry.clauses.iter().find(|clause| holds(clause.span, at))?;
    let inner = match &clause.says {
        Says::Entry(inner) => clause_at(inner, at),
        _ => None,
    };
    Some(inner.unwrap_or(clause.span))
}

/// Where a rulebook writes or alters what an entry names.
fn same(tree: &Tree, entry: &Entry) -> Vec<Span> {
    let name = |entry: &Entry| entry.name.as_ref().map(|name| name.value.clone());
    let owner = |entry: &Entry| entry.owner.as_ref().map(|owner| owner.value.clone());
    let mut spans = Vec::new();
    for item in &tree.items {
        let other = &*item.entry;
        if (other.kind, name(other), owner(other)) == (entry.kind, name(entry), owner(entry)) {
            spans.push(whole(item));
        } else if entry.owner.is_some() && owner(entry) == name(other) && owns(other.kind, entry.kind) {
            spans.extend(other.entries(entry.kind).filter(|inner| name(inner) == name(entry)).map(|inner| inner.span));
        }
    }
    spans
}

/// Whether an entry of the one kind has entries of the other.
fn owns(owner: Kind, kind: Kind) -> bool {
    match kind {
        Kind::Look | Kind::Place => matches!(owner, Kind::Part | Kind::Context),
        Kind::Way => owner == Kind::Finding,
        _ => false,
    }
}
