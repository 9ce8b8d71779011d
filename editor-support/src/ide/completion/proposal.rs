//! One thing that may be written at the pointer.

use purfle_lang::resolve::noted::Target;
use purfle_lang::span::Span;

/// What is proposed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ProposalKind {
    /// The word of an item, a clause or a condition.
    Word,
    /// A whole item or several lines, with holes to fill in.
    Skeleton,
    /// A name.
    Name,
    /// A look.
    Look,
    /// A choice of a look, or a key of a row.
    Choice,
    /// A place.
    Place,
    /// A unit or a money.
    Unit,
    /// A formula of the trade.
    Formula,
}

/// A piece of what is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece {
    /// Text as it is.
    Text(String),
    /// Something to be filled in, with what stands there until then.
    Hole(String),
}

/// One thing that may be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Proposal {
    /// What is shown in the list and typed to find it.
    pub label: String,
    /// What it is.
    pub kind: ProposalKind,
    /// A few words beside it; may be empty.
    pub detail: String,
    /// What it stands for, where it is a name; [`super::super::describe::describe`] tells more of it.
    pub about: Option<Target>,
    /// What is written.
    pub writes: Vec<Piece>,
    /// What it is written in the place of.
    pub replaces: Span,
    /// Lower stands higher in the list.
    pub rank: u8,
}

impl Proposal {
    /// What is written, the holes with their words.
    pub fn plain(&self) -> String {
        let text = |piece: &Piece| match piece {
            Piece::Text(text) | Piece::Hole(text) => text.clone(),
        };
        self.writes.iter().map(text).collect()
    }

    /// What is written, the holes numbered as editors number them: `${1:words}`.
    pub fn numbered(&self) -> String {
        let escaped = |text: &str| text.replace('\\', "\\\\").replace('$', "\\$").replace('}', "\\}");
        let mut hole = 0;
        let mut text = String::new();
        for piece in &self.writes {
            match piece {
                Piece::Text(plain) => text.push_str(&escaped(plain)),
                Piece::Hole(words) => {
                    hole += 1;
                    text.push_str(&format!("${{{hole}:{}}}", escaped(words)));
                }
            }
        }
        text
    }

    /// Whether there are holes in it.
    pub fn has_holes(&self) -> bool {
        self.writes.iter().any(|piece| matches!(piece, Piece::Hole(_)))
    }
}

/// Text with holes: what stands between `<` and `>` is one.
pub fn pieces(text: &str) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('<') {
        let Some((hole, after)) = after.split_once('>') else { break };
        if !before.is_empty() {
            pieces.push(Piece::Text(before.to_owned()));
        }
        pieces.push(Piece::Hole(hole.to_owned()));
        rest = after;
    }
    if !rest.is_empty() {
        pieces.push(Piece::Text(rest.to_owned()));
    }
    pieces
}
