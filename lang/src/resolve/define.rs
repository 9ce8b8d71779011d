//! The first pass: every entry gets its number and every name its owner, before anything is read.

use super::draft::Draft;
use super::dropped::DroppedName;
use super::ladders::words;
use super::names::{NameKind, Named, Names, PartNames, Repeats};
use super::noted::{Notes, Target};
use crate::book::{
    AidId, CounselId, FindingId, HandId, Look, LookId, LookKind, Part, PartId, Place, PlaceId, Places, RaiseId, ReckonId, StepId,
    TableId, TierId, WorkId,
};
use crate::chain::Merged;
use crate::diagnostic::Diagnostic;
use crate::syntax::tree::{Clause, Entry, Head, Kind, Name, Says};

/// Gives every entry its number. Of two entries of one kind and name the first keeps the name; both are read.
pub fn define(draft: &mut Draft, merged: &Merged) {
    let mut counts = Counts::default();
    draft.names.dropped = merged.dropped.iter().map(|dropped| DroppedName::of(dropped, kind_of(dropped.kind))).collect();
    for (index, dropped) in (0..).zip(&merged.dropped) {
        draft.names.notes.writes(dropped.written, Target::Dropped(index));
    }
    for entry in &merged.entries {
        if let Kind::Urgency | Kind::Hands | Kind::Tiers = entry.kind {
            ladder(draft, entry, &mut counts);
        }
        let Some(name) = &entry.name else {
            draft.names.lost.extend(kind_of(entry.kind));
            continue;
        };
        let Names { notes, works, tables, reckons, findings, raises, counsels, aids, parts, .. } = &mut draft.names;
        let result = match entry.kind {
            Kind::Work => numbered(notes, works, &mut counts.works, name, WorkId::from_index, Target::Work, "bench steps"),
            Kind::Table => numbered(notes, tables, &mut counts.tables, name, TableId::from_index, Target::Table, "tables"),
            Kind::Reckon => {
                numbered(notes, reckons, &mut counts.reckons, name, ReckonId::from_index, Target::Reckon, "reckonings")
            }
            Kind::Finding => {
                numbered(notes, findings, &mut counts.findings, name, FindingId::from_index, Target::Finding, "findings")
            }
            Kind::Raise => numbered(notes, raises, &mut counts.raises, name, RaiseId::from_index, Target::Raise, "raises"),
            Kind::Counsel => {
                numbered(notes, counsels, &mut counts.counsels, name, CounselId::from_index, Target::Counsel, "counsels")
            }
            Kind::Aid => numbered(notes, aids, &mut counts.aids, name, AidId::from_index, Target::Aid, "repair funds"),
            Kind::Part | Kind::Context => {
                let id = PartId::from_index(draft.book.parts.len());
                notes.writes(name.span, Target::Part(id));
                let result = parts.define(name, id, "parts");
                part(draft, merged, entry, name, id);
                result
            }
            _ => Ok(()),
        };
        note(draft, result);
        // A table and a reckoning are both used by their name alone.
        if let Kind::Table | Kind::Reckon = entry.kind {
            shared_name(draft, name);
        }
    }
}

/// The kind of name that an entry has.
fn kind_of(kind: Kind) -> Option<NameKind> {
    Some(match kind {
        Kind::Step => NameKind::Step,
        Kind::Hand => NameKind::Hand,
        Kind::Tier => NameKind::Tier,
        Kind::Part | Kind::Context => NameKind::Part,
        Kind::Table => NameKind::Table,
        Kind::Reckon => NameKind::Reckon,
        Kind::Work => NameKind::Work,
        Kind::Finding => NameKind::Finding,
        Kind::Raise => NameKind::Raise,
        Kind::Counsel => NameKind::Counsel,
        Kind::Aid => NameKind::Aid,
        _ => return None,
    })
}

#[derive(Default)]
struct Counts {
    steps: usize,
    hands: usize,
    tiers: usize,
    works: usize,
    tables: usize,
    reckons: usize,
    findings: usize,
    raises: usize,
    counsels: usize,
    aids: usize,
}

/// Gives the next thing of a kind its number and the name. Of two with one name the second has a number as well.
fn numbered<I: Copy>(
    notes: &Notes,
    named: &mut Named<I>,
    count: &mut usize,
    name: &Name,
    number: fn(usize) -> I,
    target: fn(I) -> Target,
    what: &str,
) -> Result<(), Diagnostic> {
    let id = number(*count);
    *count += 1;
    notes.writes(name.span, target(id));
    named.define(name, id, what)
}

fn note(draft: &Draft, result: Result<(), Diagnostic>) {
    if let Err(diagnostic) = result {
        draft.sink.push(diagnostic);
    }
}

/// The rungs of a ladder.
fn ladder(draft: &mut Draft, ladder: &Entry, counts: &mut Counts) {
    if ladder.clauses.iter().any(|clause| clause.says == Says::Broken) {
        let rung = match ladder.kind {
            Kind::Urgency => Kind::Step,
            Kind::Hands => Kind::Hand,
            _ => Kind::Tier,
        };
        draft.names.lost.extend(kind_of(rung));
    }
    for clause in &ladder.clauses {
        let Says::Entry(rung) = &clause.says else { continue };
        let Some(name) = &rung.name else {
            draft.names.lost.extend(kind_of(rung.kind));
            continue;
        };
        let Names { notes, steps, hands, tiers, .. } = &mut draft.names;
        let result = match rung.kind {
            Kind::Step => numbered(notes, steps, &mut counts.steps, name, StepId::from_index, Target::Step, "steps"),
            Kind::Hand => numbered(notes, hands, &mut counts.hands, name, HandId::from_index, Target::Hand, "hands"),
            Kind::Tier => numbered(notes, tiers, &mut counts.tiers, name, TierId::from_index, Target::Tier, "tiers"),
            _ => Ok(()),
        };
        note(draft, result);
    }
}

/// The looks or places of a part that were dropped.
fn dropped(merged: &Merged, kind: Kind, part: &str) -> Vec<DroppedName> {
    let own = merged.dropped.iter().filter(|dropped| dropped.kind == kind);
    let own = own.filter(|dropped| dropped.name.split_once('.').is_some_and(|(owner, _)| owner == part));
    own.map(|dropped| DroppedName::of(dropped, None)).collect()
}

/// A part with the names of its places and looks; what they are is read later.
fn part(draft: &mut Draft, merged: &Merged, entry: &Entry, name: &Name, id: PartId) {
    let mut inside = PartNames {
        name: name.value.clone(),
        repeats: Repeats::Single,
        places: Named::with_capitals(),
        looks: Default::default(),
        lost_place: false,
        lost_look: false,
        dropped_looks: dropped(merged, Kind::Look, &name.value),
        dropped_places: dropped(merged, Kind::Place, &name.value),
    };
    let mut places: Vec<Place> = Vec::new();
    for place in entry.entries(Kind::Place) {
        let Some(place_name) = &place.name else {
            inside.lost_place = true;
            continue;
        };
        let number = PlaceId(u32::try_from(places.len()).unwrap_or(u32::MAX));
        draft.names.notes.writes(place_name.span, Target::Place(id, number));
        note(draft, inside.places.define(place_name, number, &format!("places of `{}`", name.value)));
        places.push(Place { name: place_name.value.clone(), words: words(place), only_when: None, how: None, care: None });
    }
    let broken = |clause: &Clause| clause.says == Says::Broken && matches!(clause.word, "place" | "places");
    inside.lost_place |= entry.clauses.iter().any(broken);
    let mut looks: Vec<LookId> = Vec::new();
    for look in entry.entries(Kind::Look) {
        let Some(look_name) = &look.name else {
            inside.lost_look = true;
            continue;
        };
        let number = LookId::from_index(draft.book.looks.len());
        draft.names.notes.writes(look_name.span, Target::Look(number));
        note(draft, inside.looks.define(look_name, number, &format!("looks of `{}`", name.value)));
        looks.push(number);
        draft.book.looks.push(Look {
            name: look_name.value.clone(),
            part: id,
            question: words(look),
            kind: LookKind::Written,
            good: None,
            how: None,
            care: None,
            only_when: None,
            private: false,
            origin: merged.origin(look),
        });
    }
    let as_found = entry.clauses.iter().find(|clause| matches!(clause.says, Says::PlacesAsFound)).map(|clause| clause.span);
    if let (Some(span), Some(first)) = (as_found, places.first()) {
        let says =
            format!("`{}` has places with names, such as `{}`, and `places as found` beside them.", name.value, first.name);
        draft.sink.push(Diagnostic::error("places-twice", span, says).help("Take one of the two out."));
    }
    inside.repeats = match (places.is_empty(), as_found) {
        (false, _) => Repeats::Fixed,
        (true, Some(_)) => Repeats::AsFound,
        (true, None) => Repeats::Single,
    };
    draft.book.parts.push(Part {
        name: name.value.clone(),
        words: words(entry),
        context: entry.kind == Kind::Context,
        apart: matches!(entry.head, Head::Part { apart: Some(_) }),
        only_when: None,
        places: match inside.repeats {
            Repeats::Single => Places::Single,
            Repeats::Fixed => Places::Fixed(places),
            Repeats::AsFound => Places::AsFound,
        },
        looks,
        how: None,
        care: None,
        origin: merged.origin(entry),
    });
    draft.names.inside.push(inside);
}

fn shared_name(draft: &Draft, name: &Name) {
    let (table, reckon) = (draft.names.tables.span(&name.value), draft.names.reckons.span(&name.value));
    if let (Some(table), Some(reckon)) = (table, reckon)
        && (table == name.span || reckon == name.span)
    {
        let first = if table == name.span { reckon } else { table };
        let says = format!("`{}` is a table and a reckoning, and both are used by the name alone.", name.value);
        draft.sink.push(
            Diagnostic::error("name-twice", name.span, says)
                .help("Give one of the two another name.")
                .place(first, "first written here"),
        );
    }
}
