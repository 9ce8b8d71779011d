//! Whether everything that can still matter is asked for.

use std::collections::BTreeSet;

use purfle::outcome::{At, Figure, NextLook, Outcome};
use purfle_lang::book::{Book, Condition, LookId, PartId, RecordPath};

use super::matters::What;
use super::verdict::ByCases;
use super::walk;

/// Looks that can still change whether it may be played, how soon, or what it costs, and that are not asked for: neither
/// they themselves nor, as long as it is not sure that they apply, a look that decides it.
pub fn not_asked(book: &Book, cases: &ByCases, outcome: &Outcome) -> Vec<String> {
    let mut lines = Vec::new();
    for one in &cases.matters {
        let figures: BTreeSet<Figure> = one.figures.intersection(&watched()).copied().collect();
        // A look at a place nobody has named is asked for by asking for the places.
        if figures.is_empty() || matches!(one.what, What::Look(_, At::Unnamed)) {
            continue;
        }
        let (asked, sure, part): (Vec<&NextLook>, bool, PartId) = match one.what {
            What::Look(look, at) => {
                let asked = outcome.looks.iter().filter(|next| (next.look, next.at) == (look, at)).collect();
                (asked, cases.surely.contains(&(look, at)), book[look].part)
            }
            What::Unnamed(part) => {
                let asked = outcome.looks.iter().filter(|next| book[next.look].part == part && next.at == At::Unnamed).collect();
                (asked, false, part)
            }
        };
        let deciders = match one.what {
            What::Look(look, at) => deciders_of_look(book, look, at),
            What::Unnamed(part) => deciders_of_part(book, part, None),
        };
        let decided = !sure && outcome.looks.iter().any(|next| deciders.contains(&next.look));
        let can: BTreeSet<Figure> = asked.iter().flat_map(|next| next.can.iter()).collect();
        if asked.is_empty() && !decided {
            lines.push(format!("{:?} of {} can change {figures:?} and is not asked for", one.what, book[part].name));
        } else if !asked.is_empty() && !can.is_superset(&figures) && !decided {
            lines.push(format!("{:?} of {} can change {figures:?}, and is asked for {can:?}", one.what, book[part].name));
        }
    }
    lines
}

fn watched() -> BTreeSet<Figure> {
    [Figure::Played, Figure::Urgency, Figure::Cost].into()
}

/// Every look that decides whether a look applies, also by deciding whether one of those does.
fn deciders_of_look(book: &Book, look: LookId, at: At) -> BTreeSet<LookId> {
    let place = match at {
        At::Place(RecordPath::Fixed(place)) => book[book[look].part].fixed_places()[place.index()].only_when.as_ref(),
        _ => None,
    };
    let mut deciders = deciders_of_part(book, book[look].part, place);
    book[look].only_when.iter().for_each(|when| add(book, when, &mut deciders));
    deciders
}

fn deciders_of_part(book: &Book, part: PartId, place: Option<&Condition>) -> BTreeSet<LookId> {
    let mut deciders = BTreeSet::new();
    for when in book[part].only_when.iter().chain(place) {
        add(book, when, &mut deciders);
    }
    deciders
}

fn add(book: &Book, when: &Condition, deciders: &mut BTreeSet<LookId>) {
    let mut read = Vec::new();
    walk::read_by(book, when, &mut |at| read.push(at.look));
    for look in read {
        if deciders.insert(look) {
            let place = At::Part;
            deciders.extend(deciders_of_look(book, look, place));
        }
    }
}
