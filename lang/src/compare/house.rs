//! A house rulebook and a new edition of the one it is built on: which of its changes still apply, which change nothing
//! any more, and which meet a change of the new edition.

use super::items::{How, ItemChange, items};
use crate::chain::{Merged, finds};
use crate::diagnostic::Diagnostic;
use crate::span::Span;
use crate::syntax::tree::{Doing, Entry, Head, Item, Kind, Says, Tree};

/// How something of a house stands to the new edition.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stand {
    /// It applies as it did.
    Applies,
    /// It changes nothing any more.
    Idle,
    /// What it changes is gone, was changed by the new edition as well, or has taken its name.
    Clash,
}

/// An item of a house, as it stands to the new edition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HouseItem {
    /// `alter`, `without`, or nothing for what the house writes itself.
    pub doing: &'static str,
    /// What it is.
    pub kind: Kind,
    /// Its name, after that of the item it is in where it is written so.
    pub name: String,
    /// The whole item in the house's text.
    pub span: Span,
    /// How it stands.
    pub stand: Stand,
    /// Why, in a sentence without its end; nothing where it simply applies.
    pub why: String,
}

/// Every item of a house that changes what it is built on, and those of its own whose name the new edition has.
/// `old` and `new` are the two editions, each laid into one; `moved` is what the house is told on the new one.
pub fn house_items(house: &Tree, old: &Merged, new: &Merged, moved: &[Diagnostic]) -> Vec<HouseItem> {
    let changes = items(old, new);
    house.items.iter().filter_map(|item| stand(house, item, new, &changes, moved)).collect()
}

fn stand(house: &Tree, item: &Item, new: &Merged, changes: &[ItemChange], moved: &[Diagnostic]) -> Option<HouseItem> {
    let entry = &*item.entry;
    let name = called(entry);
    let there = finds(&new.entries, entry);
    let (doing, keyword, (stand, why)) = match &item.doing {
        Doing::Alters { keyword, .. } => ("alter", *keyword, altered(entry, &name, there, changes, moved)),
        Doing::Drops { keyword, .. } => ("without", *keyword, dropped(entry, &name, there, changes)),
        Doing::Writes => {
            let apart = matches!(entry.kind, Kind::Rulebook | Kind::Example) || entry.name.is_none() && !is_ladder(entry.kind);
            let gives_way = house.items.iter().any(|other| {
                matches!(other.doing, Doing::Drops { .. })
                    && kind(other.entry.kind) == kind(entry.kind)
                    && called(&other.entry) == name
            });
            if apart || gives_way || !there {
                return None;
            }
            let why = "the new edition has one of that name as well".to_owned();
            ("", entry.keyword, (Stand::Clash, why))
        }
    };
    Some(HouseItem { doing, kind: entry.kind, name, span: keyword.to(entry.span), stand, why })
}

fn altered(entry: &Entry, name: &str, there: bool, changes: &[ItemChange], moved: &[Diagnostic]) -> (Stand, String) {
    if !there {
        return (Stand::Clash, "what it alters is not in the new edition".to_owned());
    }
    let whole = entry.keyword.to(entry.name_span());
    if moved.iter().any(|told| told.slug == "alter-idle" && told.span == whole) {
        return (Stand::Idle, "the new edition says the same".to_owned());
    }
    let written = written(entry, name);
    let mut both: Vec<String> = Vec::new();
    for change in changes {
        match &change.how {
            How::Changed(clauses) if kind(change.kind) == kind(entry.kind) && change.name == name => {
                let same = |word: &String| written.contains(&(kind(entry.kind), name.to_owned(), word.clone()));
                both.extend(clauses.iter().map(|clause| clause.word.clone()).filter(same));
            }
            _ if written.iter().any(|(of, name, word)| word.is_empty() && *of == kind(change.kind) && *name == change.name) => {
                both.push(format!("{} {}", change.kind.word(), change.name));
            }
            _ => {}
        }
    }
    if !both.is_empty() {
        return (Stand::Clash, format!("the new edition changed this as well: {}", both.join(", ")));
    }
    let pieces = moved.iter().filter(|told| told.slug == "alter-idle" && within(told.span, entry.span)).count();
    if pieces > 0 {
        return (Stand::Applies, "a part of it says what the new edition says already".to_owned());
    }
    (Stand::Applies, String::new())
}

fn dropped(entry: &Entry, name: &str, there: bool, changes: &[ItemChange]) -> (Stand, String) {
    if !there {
        return (Stand::Clash, "the new edition does not have it any more, and what is not there cannot be left out".to_owned());
    }
    let changed = changes.iter().any(|change| {
        kind(change.kind) == kind(entry.kind)
            && change.name == name
            && matches!(change.how, How::Changed(_))
            && !change.only_words()
    });
    (Stand::Applies, if changed { "the new edition changed it".to_owned() } else { String::new() })
}

fn within(inner: Span, outer: Span) -> bool {
    inner.file == outer.file && outer.start <= inner.start && inner.end <= outer.end
}

fn is_ladder(kind: Kind) -> bool {
    matches!(kind, Kind::Urgency | Kind::Hands | Kind::Tiers)
}

fn kind(kind: Kind) -> Kind {
    if kind == Kind::Context { Kind::Part } else { kind }
}

/// The name of an item, after that of what it is in.
fn called(entry: &Entry) -> String {
    let owner = entry.owner.as_ref().map_or(String::new(), |owner| format!("{}.", owner.value));
    format!("{owner}{}", entry.name_text())
}

/// What an `alter` writes again: kind, name and the word of a clause or piece of its line; no word for an entry within it.
fn written(entry: &Entry, name: &str) -> Vec<(Kind, String, String)> {
    let own = |word: &str| (kind(entry.kind), name.to_owned(), word.to_owned());
    let mut all = Vec::new();
    if entry.words.is_some() {
        all.push(own("words"));
    }
    let mut piece = |there: bool, word: &str| {
        if there {
            all.push(own(word));
        }
    };
    match &entry.head {
        Head::Plain => {}
        Head::Work { amount, by, once } => {
            piece(amount.is_some(), "amount");
            piece(by.is_some(), "by");
            piece(once.is_some(), "once or each");
        }
        Head::Part { apart } => piece(apart.is_some(), "apart"),
        Head::Table { by } => piece(!by.is_empty(), "by"),
        Head::Reckon { value } => piece(value.is_some(), "as"),
        Head::Step { within, not_played } => {
            piece(within.is_some(), "within");
            piece(not_played.is_some(), "not to be played");
        }
        Head::Hand { rate } => piece(rate.is_some(), "rate"),
        Head::Tier { limit } => piece(limit.is_some(), "limit"),
        Head::Place { only_when } => piece(only_when.is_some(), "only when"),
        Head::Look { kind } => piece(kind.is_some(), "kind of answer"),
    }
    let owner = if is_ladder(entry.kind) { String::new() } else { format!("{name}.") };
    for clause in &entry.clauses {
        match &clause.says {
            Says::Entry(inner) => all.push((kind(inner.kind), format!("{owner}{}", inner.name_text()), String::new())),
            Says::Row(row) => {
                let keys: Vec<&str> = row.keys.iter().map(|key| key.value.as_str()).collect();
                all.push(own(&format!("row {}", keys.join(", "))));
            }
            _ => all.push(own(clause.word)),
        }
    }
    all
}
