//! What a house has made of the rulebook it builds on.

use purfle_lang::resolve::noted::Target;
use purfle_lang::syntax::tree::Kind;

use super::super::changes::{Changes, words_at};
use super::super::document::{Block, Chapter, Head, Item, Line, Row, Section, Table};
use super::super::maker::Maker;

/// The chapter; none where the rulebook builds on no other.
pub fn chapter(maker: &Maker<'_>) -> Option<Chapter> {
    if !maker.is_house() {
        return None;
    }
    let editions = maker.book.parents.iter().map(|parent| {
        Item::of(Line::default().name(&parent.name).say(format!(", edition {}, seal {}", parent.edition, parent.seal)))
    });
    let blocks = vec![
        Block::Paragraph(Line::default().name(&maker.book.name).say(format!(
            ", edition {}, builds on the rulebooks below, the nearest first. What it neither changes nor drops stands as it is there.",
            maker.book.edition
        ))),
        Block::List(editions.collect()),
    ];
    let sections = [changes(maker), new(maker), dropped(maker)].into_iter().flatten().collect();
    Some(Chapter { head: Head::plain("house", "House rules"), blocks, sections })
}

fn table(anchor: &str, title: &str, head: &[&str], rows: Vec<Row>) -> Option<Section> {
    (!rows.is_empty()).then(|| Section {
        head: Head::plain(anchor, title),
        blocks: vec![Block::Table(Table {
            caption: String::new(),
            head: head.iter().map(|word| (*word).to_owned()).collect(),
            rows,
        })],
        entries: Vec::new(),
    })
}

fn changes(maker: &Maker<'_>) -> Option<Section> {
    let rows = maker.changes.all.iter().enumerate().map(|(at, change)| {
        let place = Changes::place(at);
        let on = change.on.iter().map(|(target, what)| {
            let line = thing(maker, *target);
            if what.is_empty() { line } else { line.say(format!(": {}", what.join(", "))) }
        });
        Row {
            anchor: place.anchor,
            cells: vec![
                std::iter::once(Line::default().strong(place.number)).chain(on).collect(),
                vec![Line::words(&change.because)],
                vec![Line::default().name(&change.rulebook)],
            ],
        }
    });
    table("changes", "Changes", &["What", "Why", "By"], rows.collect())
}

fn new(maker: &Maker<'_>) -> Option<Section> {
    let first = maker.book.parents.last().map_or("", |parent| parent.name.as_str());
    let new = maker.changes.origins.iter().filter(|(target, origin)| {
        !origin.rulebook.is_empty() && origin.rulebook != first && !matches!(target, Target::Rulebook(_))
    });
    let rows = new.map(|(target, origin)| Row {
        anchor: String::new(),
        cells: vec![vec![thing(maker, *target)], vec![Line::default().name(&origin.rulebook)]],
    });
    table("new", "New", &["What", "By"], rows.collect())
}

fn dropped(maker: &Maker<'_>) -> Option<Section> {
    let rows = maker.merged.dropped.iter().map(|dropped| {
        let words = words_at(maker.trees, dropped.written);
        let mut what = Line::words(format!("{} ", kind(dropped.kind)));
        if let Some(words) = words {
            what = what.say(words).say(" ");
        }
        Row {
            anchor: String::new(),
            cells: vec![
                vec![what.name(&dropped.name)],
                vec![Line::words(&dropped.because)],
                vec![Line::default().name(&dropped.rulebook)],
            ],
        }
    });
    table("dropped", "Dropped", &["What", "Why", "By"], rows.collect())
}

/// What something is and how it is called.
fn thing(maker: &Maker<'_>, target: Target) -> Line {
    let book = maker.book;
    let (kind, words) = match target {
        Target::Step(id) => (Kind::Step, &book[id].words),
        Target::Hand(id) => (Kind::Hand, &book[id].words),
        Target::Tier(id) => (Kind::Tier, &book[id].words),
        Target::Part(id) | Target::Place(id, _) => (if book[id].context { Kind::Context } else { Kind::Part }, &book[id].words),
        Target::Look(id) | Target::Choice(id, _) => (Kind::Look, &book[id].question),
        Target::Table(id) => (Kind::Table, &book[id].words),
        Target::Reckon(id) => (Kind::Reckon, &book[id].words),
        Target::Work(id) => (Kind::Work, &book[id].words),
        Target::Finding(id) | Target::Way(id, _) => (Kind::Finding, &book[id].words),
        Target::Raise(id) => (Kind::Raise, &book[id].words),
        Target::Counsel(id) => (Kind::Counsel, &book[id].words),
        Target::Aid(id) => (Kind::Aid, &book[id].words),
        Target::Rulebook(_) | Target::Dropped(_) => return Line::words("A whole ladder"),
    };
    let place = match target {
        Target::Place(part, at) => book[part].fixed_places().get(at.index()).map(|place| format!(", place {}", place.words)),
        _ => None,
    };
    let link = Line::words(format!("{} ", self::kind(kind))).link(maker.place(target), words);
    link.say(place.unwrap_or_default())
}

/// What a kind of thing is called at the beginning of a line.
fn kind(kind: Kind) -> &'static str {
    match kind {
        Kind::Step => "Step:",
        Kind::Hand => "Hands:",
        Kind::Tier => "Tier:",
        Kind::Part => "Part:",
        Kind::Context | Kind::Rulebook => "Surroundings:",
        Kind::Place => "Place:",
        Kind::Look => "Look:",
        Kind::Table => "Table:",
        Kind::Reckon => "Worked out:",
        Kind::Work => "Bench work:",
        Kind::Finding => "Finding:",
        Kind::Way => "Way to mend:",
        Kind::Raise => "Raise:",
        Kind::Counsel => "Advice:",
        Kind::Aid => "Fund:",
        Kind::Example => "Example:",
        Kind::Urgency | Kind::Hands | Kind::Tiers => "Ladder:",
    }
}
