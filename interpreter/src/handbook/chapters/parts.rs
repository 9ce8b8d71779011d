//! Part by part: what to look at, and what may be found there.

pub mod finding;
mod looks;

use purfle_lang::book::{PartId, Places};
use purfle_lang::resolve::noted::Target;

use super::super::document::{Block, Chapter, Fact, Head, Line, Section};
use super::super::maker::Maker;
use super::super::numbering::{findings_on, parts_in_order};

/// What is known around the instrument, and its pieces: a chapter each.
pub fn chapters(maker: &Maker<'_>) -> Vec<Chapter> {
    let order = parts_in_order(maker.book);
    let chapter = |anchor: &str, title: &str, contexts: bool| {
        let parts = order.iter().filter(|part| maker.book[**part].context == contexts);
        let sections: Vec<Section> = parts.map(|part| section(maker, *part)).collect();
        (!sections.is_empty()).then(|| Chapter { head: Head::plain(anchor, title), blocks: Vec::new(), sections })
    };
    let known = chapter("contexts", "The instrument as a whole, and what is around it", true);
    known.into_iter().chain(chapter("parts", "Part by part", false)).collect()
}

fn section(maker: &Maker<'_>, id: PartId) -> Section {
    let part = &maker.book[id];
    let target = Target::Part(id);
    let mut facts: Vec<Fact> = Vec::new();
    facts.extend(part.only_when.as_ref().map(|only| maker.condition("Only when", Some(id), only)));
    facts.extend(part.apart.then(|| {
        Fact::of("Stands apart", Line::words("What must not be played because of it is this piece, and not the instrument."))
    }));
    facts.extend(places(maker, id));
    facts.extend(part.how.iter().map(|how| Fact::of("How", Line::words(how))));
    facts.extend(part.care.iter().map(|care| Fact::of("Care", Line::words(care))));
    facts.extend(Fact::lines("House rules", maker.house(target, &part.origin)));
    let mut blocks = Vec::new();
    if !facts.is_empty() {
        blocks.push(Block::Facts(facts));
    }
    if !part.looks.is_empty() {
        blocks.push(Block::Table(looks::table(maker, id)));
    }
    Section {
        head: maker.head(target, &part.words, &part.name),
        blocks,
        entries: findings_on(maker.book, id).map(|finding| finding::entry(maker, finding)).collect(),
    }
}

/// Where the part repeats.
fn places(maker: &Maker<'_>, id: PartId) -> Option<Fact> {
    match &maker.book[id].places {
        Places::Single => None,
        Places::AsFound => Some(Fact::of("Places", Line::words("As many as are found; a record numbers them 1, 2, 3."))),
        Places::Fixed(places) => Fact::lines(
            "Places",
            places.iter().zip(0..).map(|(place, at)| {
                let mut line = Line::words(format!("{} ", place.words)).name(&place.name);
                if let Some(only) = &place.only_when {
                    line = line.say(", only when ").then(maker.sentence(Some(id), only));
                }
                line = line.say(".");
                for (label, text) in [("How", &place.how), ("Care", &place.care)] {
                    if let Some(text) = text {
                        line = line.say(" ").strong(format!("{label}:")).say(format!(" {text}"));
                    }
                }
                let target = Target::Place(id, purfle_lang::book::PlaceId(at));
                let house = maker.house_of_place(target);
                house.into_iter().fold(line, |line, house| line.say(" ").then(house))
            }),
        ),
    }
}
