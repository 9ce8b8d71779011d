//! The first pass: every item gets its number and every name its owner, before anything is read.

use super::draft::Draft;
use super::ladders::words_or_name;
use super::names::{PartNames, Repeats};
use crate::book::{
    AidId, CounselId, FindingId, HandId, Look, LookId, LookKind, Origin, Part, PartId, Place, PlaceId, Places, RaiseId, ReckonId, StepId,
    TableId, TierId, WorkId,
};
use crate::chain::MergedItem;
use crate::diagnostic::Diagnostic;
use crate::syntax::tree::{ClauseKind, Head, Name};

/// Gives every item its number. Of two items of one kind and name the first keeps the name; both are read.
pub fn define(draft: &mut Draft, items: &[MergedItem]) {
    let mut counts = Counts::default();
    for merged in items {
        let item = &merged.item;
        let Some(name) = item.name.as_ref() else {
            ladder(draft, merged, &mut counts);
            continue;
        };
        let names = &mut draft.names;
        let result = match item.head {
            Head::Rulebook | Head::Urgency | Head::Hands | Head::Tiers | Head::Example(_) => Ok(()),
            Head::Work { .. } => names.works.define(name, WorkId::from_index(next(&mut counts.works)), "bench step"),
            Head::Table(_) => names.tables.define(name, TableId::from_index(next(&mut counts.tables)), "table"),
            Head::Reckon => names.reckons.define(name, ReckonId::from_index(next(&mut counts.reckons)), "reckoning"),
            Head::Finding => names.findings.define(name, FindingId::from_index(next(&mut counts.findings)), "finding"),
            Head::Raise => names.raises.define(name, RaiseId::from_index(next(&mut counts.raises)), "raise"),
            Head::Counsel => names.counsels.define(name, CounselId::from_index(next(&mut counts.counsels)), "counsel"),
            Head::Aid => names.aids.define(name, AidId::from_index(next(&mut counts.aids)), "repair fund"),
            Head::Part { .. } | Head::Context => {
                let id = PartId::from_index(draft.book.parts.len());
                let result = names.parts.define(name, id, "part");
                part(draft, merged, name, id);
                result
            }
        };
        if let Err(diagnostic) = result {
            draft.sink.push(diagnostic);
        }
        // A table and a reckoning are both used by their name alone.
        if matches!(item.head, Head::Table(_) | Head::Reckon) {
            shared_name(draft, name);
        }
    }
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

fn next(count: &mut usize) -> usize {
    *count += 1;
    *count - 1
}

/// The rungs of the three ladders.
fn ladder(draft: &mut Draft, merged: &MergedItem, counts: &mut Counts) {
    for clause in &merged.item.clauses {
        let names = &mut draft.names;
        let result = match &clause.kind {
            ClauseKind::Step { name, .. } => names.steps.define(name, StepId::from_index(next(&mut counts.steps)), "step"),
            ClauseKind::Hand { name, .. } => names.hands.define(name, HandId::from_index(next(&mut counts.hands)), "hand"),
            ClauseKind::Tier { name, .. } => names.tiers.define(name, TierId::from_index(next(&mut counts.tiers)), "tier"),
            _ => Ok(()),
        };
        if let Err(diagnostic) = result {
            draft.sink.push(diagnostic);
        }
    }
}

/// A part with the names of its places and looks; what they are is read later.
fn part(draft: &mut Draft, merged: &MergedItem, name: &Name, id: PartId) {
    let item = &merged.item;
    let mut inside = PartNames { name: name.value.clone(), repeats: Repeats::Single, places: Default::default(), looks: Default::default() };
    let mut places: Vec<Place> = Vec::new();
    let mut looks: Vec<LookId> = Vec::new();
    let mut as_found = None;
    for clause in &item.clauses {
        match &clause.kind {
            ClauseKind::Place { name, words } => {
                let place = PlaceId(u32::try_from(places.len()).unwrap_or(u32::MAX));
                match inside.places.define(name, place, "place of a part") {
                    Ok(()) => {}
                    Err(diagnostic) => draft.sink.push(diagnostic),
                }
                let words = words_or_name(words.as_ref(), name);
                places.push(Place { name: name.value.clone(), words, only_when: None, how: None, care: None });
            }
            ClauseKind::PlacesAsFound => as_found = Some(clause.span),
            ClauseKind::Look { name, question, .. } => {
                let look = LookId::from_index(draft.book.looks.len());
                match inside.looks.define(name, look, "look of a part") {
                    Ok(()) => {}
                    Err(diagnostic) => draft.sink.push(diagnostic),
                }
                looks.push(look);
                draft.book.looks.push(Look {
                    name: name.value.clone(),
                    part: id,
                    question: words_or_name(question.as_ref(), name),
                    kind: LookKind::Written,
                    good: None,
                    how: None,
                    care: None,
                    only_when: None,
                    private: false,
                    origin: Origin { span: name.span, ..merged.origin.clone() },
                });
            }
            _ => {}
        }
    }
    if let (Some(span), Some(first)) = (as_found, places.first()) {
        let says = format!("`{}` has places with names, such as `{}`, and `places as found` beside them.", name.value, first.name);
        draft.sink.push(Diagnostic::error("places-twice", span, says).help("Take one of the two out."));
    }
    inside.repeats = match (places.is_empty(), as_found) {
        (false, _) => Repeats::Fixed,
        (true, Some(_)) => Repeats::AsFound,
        (true, None) => Repeats::Single,
    };
    draft.book.parts.push(Part {
        name: name.value.clone(),
        words: words_or_name(item.words.as_ref(), name),
        context: matches!(item.head, Head::Context),
        apart: matches!(item.head, Head::Part { apart: true }),
        only_when: None,
        places: match inside.repeats {
            Repeats::Single => Places::Single,
            Repeats::Fixed => Places::Fixed(places),
            Repeats::AsFound => Places::AsFound,
        },
        looks,
        how: None,
        care: None,
        origin: merged.origin.clone(),
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
        draft.sink.push(Diagnostic::error("name-twice", name.span, says).help("Give one of the two another name.").place(first, "first written here"));
    }
}
