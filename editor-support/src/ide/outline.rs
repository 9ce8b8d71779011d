//! What a rulebook consists of, item by item, and a search over its names.

use purfle_lang::span::{FileId, Span};
use purfle_lang::syntax::tree::{Clause, Doing, Entry, Item, Kind, Says};

use crate::analysis::Analysis;

/// An item, or an entry within one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Symbol {
    /// Its name; the words of an example, the word of a ladder.
    pub name: String,
    /// Its words, its question, or the reason of a change.
    pub detail: String,
    /// What it is.
    pub kind: Kind,
    /// Whether it alters or drops something of a rulebook further up the chain.
    pub changes: bool,
    /// The name, or the word where it has none.
    pub at: Span,
    /// All of it.
    pub span: Span,
    /// What it holds.
    pub children: Vec<Symbol>,
}

/// The items of a text with what they hold.
pub fn outline(analysis: &Analysis, file: FileId) -> Vec<Symbol> {
    analysis.items(file).iter().map(item).collect()
}

fn item(item: &Item) -> Symbol {
    let mut symbol = entry(&item.entry);
    let (verb, because) = match &item.doing {
        Doing::Writes => return symbol,
        Doing::Alters { because, .. } => ("alter", because),
        Doing::Drops { because, .. } => ("without", because),
    };
    symbol.changes = true;
    let owner = item.entry.owner.as_ref().map_or(String::new(), |owner| format!("{}.", owner.value));
    symbol.name = format!("{verb} {owner}{}", symbol.name);
    symbol.detail = because.as_ref().map_or(String::new(), |because| because.value.clone());
    symbol
}

fn entry(entry: &Entry) -> Symbol {
    let words = entry.words.as_ref().map_or(String::new(), |words| words.value.clone());
    let (name, detail) = match entry.kind {
        Kind::Example => (words, String::new()),
        Kind::Urgency | Kind::Hands | Kind::Tiers => (entry.kind.word().to_owned(), words),
        _ => (entry.name_text().to_owned(), words),
    };
    // An editor takes no symbol without a name.
    let name = if name.is_empty() { entry.kind.word().to_owned() } else { name };
    let at = if entry.kind == Kind::Example {
        entry.words.as_ref().map_or(entry.keyword, |words| words.span)
    } else {
        entry.name_span()
    };
    let span = entry.span.to(at);
    Symbol {
        name,
        detail,
        kind: entry.kind,
        changes: false,
        at,
        span,
        children: entry.clauses.iter().filter_map(inside).collect(),
    }
}

fn inside(clause: &Clause) -> Option<Symbol> {
    match &clause.says {
        Says::Entry(inner) => Some(entry(inner)),
        _ => None,
    }
}

/// The symbols of all texts of the chain that fit what is asked, the best first: each letter of the question must stand in
/// the name in order. An empty question fits all.
pub fn search(analysis: &Analysis, asked: &str) -> Vec<Symbol> {
    let mut found: Vec<(usize, Symbol)> = Vec::new();
    for file in 0..analysis.trees.len() {
        let file = FileId(u16::try_from(file).unwrap_or(u16::MAX));
        for symbol in outline(analysis, file) {
            gather(symbol, "", asked, &mut found);
        }
    }
    found.sort_by_key(|(rank, symbol)| (*rank, symbol.at));
    found.into_iter().map(|(_, symbol)| symbol).collect()
}

fn gather(mut symbol: Symbol, owner: &str, asked: &str, into: &mut Vec<(usize, Symbol)>) {
    let children = std::mem::take(&mut symbol.children);
    if !owner.is_empty() {
        symbol.name = format!("{owner}.{}", symbol.name);
    }
    let name = symbol.name.clone();
    if let Some(rank) = fits(&symbol.name, asked) {
        into.push((rank, symbol));
    }
    for child in children {
        gather(child, &name, asked, into);
    }
}

/// How well a name fits, nought best; none where it does not.
fn fits(name: &str, asked: &str) -> Option<usize> {
    let (name, asked) = (name.to_lowercase(), asked.to_lowercase());
    if let Some(at) = name.find(&asked) {
        return Some(usize::from(at > 0));
    }
    let mut letters = name.chars();
    asked.chars().filter(|char| !char.is_whitespace()).all(|wanted| letters.any(|letter| letter == wanted)).then_some(2)
}
