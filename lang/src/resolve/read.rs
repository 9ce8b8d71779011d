//! The order in which a rulebook is read: names, ladders, looks, tables, reckonings, then all that uses them.

use super::draft::{Draft, missing_clause};
use super::example::{self, LeftOut, Lookup, written_example};
use super::names::{NameKind, Sink};
use super::part::under;
use super::rows::Written;
use super::{define, finding, ladders, look, reckon, rest, table, work};
use crate::book::{FindingId, HandId, LookId, PartId, Places, Table, TableId, WorkId};
use crate::chain::Merged;
use crate::diagnostic::Diagnostic;
use crate::span::Span;
use crate::syntax::tree::{Clause, Entry, Expr, Head, Kind, Name, Row, Says};
use crate::unit::Dimension;

/// What the checks of the whole book need beside it.
pub struct Read {
    /// For each table that was read without an error, where its rows stand.
    pub rows: Vec<Option<Written>>,
    /// Whether the ladders were read without an error.
    pub ladders_sound: bool,
    /// Whether every `only when` was.
    pub applies_known: bool,
}

/// Reads all entries into the draft.
pub fn read(draft: &mut Draft, merged: &Merged) -> Read {
    define::define(draft, merged);
    let before = draft.sink.errors();
    empty_ladders(draft, merged);
    ladders_of(draft, merged);
    let ladders_sound = draft.sink.errors() == before && !merged.entries.iter().any(|entry| is_ladder(entry) && entry.lost());
    let parts: Vec<&Entry> = of(merged, &[Kind::Part, Kind::Context]).map(|(entry, _)| entry).collect();
    look_kinds(draft, &parts);
    let rows = tables(draft, merged);
    reckonings(draft, merged);
    let before = draft.sink.errors();
    for (index, part) in parts.iter().enumerate() {
        under_part(draft, PartId::from_index(index), part);
    }
    let applies_known = draft.sink.errors() == before && !parts.iter().any(|part| part.lost());
    works(draft, merged);
    findings(draft, merged);
    for (entry, name) in of(merged, &[Kind::Raise, Kind::Counsel, Kind::Aid]) {
        let origin = merged.origin(entry);
        match entry.kind {
            Kind::Raise => {
                let raise = rest::raise(draft, entry, name, origin);
                draft.book.raises.push(raise);
            }
            Kind::Counsel => {
                let counsel = rest::counsel(draft, entry, name, origin);
                draft.book.counsels.push(counsel);
            }
            _ => {
                let aid = rest::aid(draft, entry, name, origin);
                draft.book.aids.push(aid);
            }
        }
    }
    examples(draft, merged);
    draft.book.part_names = draft.names.parts.iter().map(|(name, id)| (name.to_owned(), id)).collect();
    draft.book.finding_names = draft.names.findings.iter().map(|(name, id)| (name.to_owned(), id)).collect();
    Read { rows, ladders_sound, applies_known }
}

/// The entries of some kinds, in the order written, that have a name: those that have a number.
fn of<'m>(merged: &'m Merged, kinds: &'static [Kind]) -> impl Iterator<Item = (&'m Entry, &'m Name)> {
    let entries = merged.entries.iter().map(|entry| &**entry);
    entries.filter(|entry| kinds.contains(&entry.kind)).filter_map(|entry| Some((entry, entry.name.as_ref()?)))
}

fn is_ladder(entry: &Entry) -> bool {
    matches!(entry.kind, Kind::Urgency | Kind::Hands | Kind::Tiers)
}

/// What is read, and whether reading it added no error.
fn soundly<T>(draft: &Draft, read: impl FnOnce() -> T) -> (T, bool) {
    let before = draft.sink.errors();
    let value = read();
    (value, draft.sink.errors() == before)
}

/// A ladder without a rung; one with a broken line may have lost it there.
fn empty_ladders(draft: &mut Draft, merged: &Merged) {
    let ladders = [
        (
            Kind::Urgency,
            NameKind::Step,
            draft.names.steps.is_empty(),
            "Add `urgency` and a `step` for each degree, mildest first.",
        ),
        (
            Kind::Hands,
            NameKind::Hand,
            draft.names.hands.is_empty(),
            "Add `hands` and a `hand` for each who may do the work, least skilled first.",
        ),
        (
            Kind::Tiers,
            NameKind::Tier,
            draft.names.tiers.is_empty(),
            "Add `tiers` and a `tier` for each, cheapest first, the last one `beyond`.",
        ),
    ];
    for (kind, rung, empty, help) in ladders {
        let broken = merged.entries.iter().any(|entry| entry.kind == kind && entry.lost());
        if empty && !broken && merged.rulebook.is_some() {
            let says = format!("The rulebook has no `{}`.", kind.word());
            draft.sink.push(Diagnostic::error("no-ladder", draft.rulebook, says).help(help));
            draft.names.lost.extend([rung]);
        }
    }
}

fn ladders_of(draft: &mut Draft, merged: &Merged) {
    for ladder in merged.entries.iter().filter(|entry| is_ladder(entry)) {
        for Clause { says, .. } in &ladder.clauses {
            let Says::Entry(rung) = says else { continue };
            if rung.name.is_none() {
                continue;
            }
            let origin = merged.origin(rung);
            match rung.kind {
                Kind::Step => {
                    let step = ladders::step(draft, rung, origin);
                    draft.book.steps.push(step);
                }
                Kind::Hand => {
                    let (hand, sound) = soundly(draft, || ladders::hand(draft, rung, origin));
                    if !sound || rung.lost() {
                        draft.troubled.hands.insert(HandId::from_index(draft.book.hands.len()));
                    }
                    draft.book.hands.push(hand);
                }
                Kind::Tier => {
                    let tier = ladders::tier(draft, rung, origin);
                    draft.book.tiers.push(tier);
                }
                _ => {}
            }
        }
    }
}

/// The looks of a part with their numbers.
fn looks_of<'e>(draft: &Draft, id: PartId, part: &'e Entry) -> Vec<(LookId, &'e Entry)> {
    let looks = draft.book.parts.get(id.index()).map_or(&[][..], |part| &part.looks);
    looks.iter().copied().zip(part.entries(Kind::Look).filter(|look| look.name.is_some())).collect()
}

fn look_kinds(draft: &mut Draft, parts: &[&Entry]) {
    for (index, part) in parts.iter().enumerate() {
        for (id, entry) in looks_of(draft, PartId::from_index(index), part) {
            let kind = match &entry.head {
                Head::Look { kind: Some(written) } => look::look_kind(&draft.scope(), id, written, entry.name_span()),
                _ => None,
            };
            match kind {
                Some(kind) => draft.book.looks[id.index()].kind = kind,
                None => {
                    draft.troubled.looks.insert(id);
                }
            }
        }
    }
}

/// Everything that is said of a part, its places and its looks.
fn under_part(draft: &mut Draft, id: PartId, entry: &Entry) {
    let lines = under(draft, id, entry, None);
    let part = &mut draft.book.parts[id.index()];
    (part.only_when, part.how, part.care) = (lines.only_when, lines.how, lines.care);
    for (index, place) in entry.entries(Kind::Place).filter(|place| place.name.is_some()).enumerate() {
        let lines = under(draft, id, place, None);
        if let Places::Fixed(places) = &mut draft.book.parts[id.index()].places
            && let Some(place) = places.get_mut(index)
        {
            (place.only_when, place.how, place.care) = (lines.only_when, lines.how, lines.care);
        }
    }
    for (look, written) in looks_of(draft, id, entry) {
        let lines = under(draft, id, written, Some(look));
        let look = &mut draft.book.looks[look.index()];
        (look.only_when, look.how, look.care, look.good) = (lines.only_when, lines.how, lines.care, lines.good);
        look.private = lines.private;
    }
}

fn tables(draft: &mut Draft, merged: &Merged) -> Vec<Option<Written>> {
    let mut all = Vec::new();
    for (index, (entry, name)) in of(merged, &[Kind::Table]).enumerate() {
        let keys = match &entry.head {
            Head::Table { by } => by.as_slice(),
            _ => &[],
        };
        let rows: Vec<(&Row, Span)> = entry
            .clauses
            .iter()
            .filter_map(|clause| match &clause.says {
                Says::Row(row) => Some((row, clause.span)),
                _ => None,
            })
            .collect();
        let broken = entry.lost();
        let (read, sound) = soundly(draft, || table::table(draft, name, keys, &rows, broken));
        let sound = sound && !broken;
        if !sound {
            draft.troubled.tables.insert(TableId::from_index(index));
        }
        draft.book.tables.push(Table {
            name: name.value.clone(),
            words: ladders::words(entry),
            keys: read.keys.unwrap_or_default(),
            rows: read.rows,
            dimension: read.fact.as_ref().map_or(Dimension::NUMBER, |fact| fact.dimension),
            origin: merged.origin(entry),
        });
        draft.facts.tables.push(read.fact);
        all.push(sound.then_some(read.written));
    }
    all
}

fn reckonings(draft: &mut Draft, merged: &Merged) {
    let mut written: Vec<Option<&Expr>> = Vec::new();
    for (entry, name) in of(merged, &[Kind::Reckon]) {
        let value = match &entry.head {
            Head::Reckon { value } => value.as_ref(),
            _ => None,
        };
        if value.is_none() && !entry.lost() {
            draft.sink.push(missing_clause(&name.value, name.span, "as", "Add `as` and what it is worked out from."));
        }
        written.push(value);
        draft.book.reckons.push(reckon::unread(name.value.clone(), ladders::words(entry), merged.origin(entry)));
        draft.facts.reckons.push(None);
    }
    reckon::reckons(draft, &written);
}

fn works(draft: &mut Draft, merged: &Merged) {
    for (index, (entry, name)) in of(merged, &[Kind::Work]).enumerate() {
        let (read, sound) = soundly(draft, || work::work(draft, entry, name, merged.origin(entry)));
        let readable = matches!(&entry.head, Head::Work { amount: Some(_), .. });
        let rate_lost = read.timed && draft.troubled.hands.contains(&read.by);
        if !sound || entry.lost() || !readable || rate_lost {
            draft.troubled.works.insert(WorkId::from_index(index));
        }
        draft.book.works.push(read);
    }
}

fn findings(draft: &mut Draft, merged: &Merged) {
    for (index, (entry, name)) in of(merged, &[Kind::Finding]).enumerate() {
        let (read, sound) =
            soundly(draft, || finding::finding(draft, FindingId::from_index(index), entry, name, merged.origin(entry)));
        if !sound || entry.lost() {
            draft.troubled.findings.insert(FindingId::from_index(index));
        }
        draft.book.findings.push(read);
    }
}

/// The worked examples: the rulebook's own, and those of its ancestors, which only run for show.
fn examples(draft: &mut Draft, merged: &Merged) {
    for entry in &merged.examples {
        let (written, broken) = written_example(&draft.sink, entry);
        // What could not be read may be the only thing expected.
        if broken && written.expects.is_empty() {
            continue;
        }
        let lookup = Lookup { names: &draft.names, book: &draft.book, troubled: &draft.troubled, sink: &draft.sink };
        let read = example::example(lookup, &written, merged.origin(entry));
        draft.book.examples.push(read);
    }
    inherited_examples(draft, merged);
}

/// The parents' examples, as far as they can run here.
fn inherited_examples(draft: &mut Draft, merged: &Merged) {
    let mut left_out = LeftOut::default();
    for entry in &merged.inherited_examples {
        // A house rulebook may have dropped what an example further up speaks of.
        let aside = Sink::default();
        let (written, broken) = written_example(&aside, entry);
        let lookup = Lookup { names: &draft.names, book: &draft.book, troubled: &draft.troubled, sink: &aside };
        let read = example::example(lookup, &written, merged.origin(entry));
        if aside.errors() > 0 {
            left_out.add(draft, &written, &read.origin.rulebook, &aside.into_inner());
        } else if !broken {
            draft.book.inherited_examples.push(read);
        }
    }
    draft.sink.extend(left_out.told());
}
