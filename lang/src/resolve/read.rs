//! The order in which a rulebook is read: names, money, ladders, looks, tables, reckonings, then all that uses them.

use super::draft::Draft;
use super::part::{Owner, look_kinds, under};
use super::names::Sink;
use super::rows::Written;
use super::{define, example, finding, ladders, reckon, rest, table, work};
use crate::book::{FindingId, HandId, PartId, Places, Table, TableId, WorkId};
use crate::chain::MergedItem;
use crate::diagnostic::Diagnostic;
use crate::span::Span;
use crate::syntax::tree::{Clause, ClauseKind, Expression, Head, Item, Name};
use crate::unit::Dimension;

/// What the checks of the whole book need beside it.
pub struct Read {
    /// For each table that was read without an error, where its rows stand.
    pub rows: Vec<Option<Written>>,
    /// Whether the ladders were read without an error.
    pub ladders_sound: bool,
}

/// Reads all items into the draft.
pub fn read(draft: &mut Draft, items: &[MergedItem]) -> Read {
    define::define(draft, items);
    let before = draft.sink.errors();
    empty_ladders(draft, items);
    ladders_of(draft, items);
    let ladders_sound = draft.sink.errors() == before;
    let parts: Vec<&Item> = of(items, |head| matches!(head, Head::Part { .. } | Head::Context)).map(|(merged, _)| &merged.item).collect();
    looks(draft, &parts);
    let rows = tables(draft, items);
    reckonings(draft, items);
    for (index, item) in parts.iter().enumerate() {
        let id = PartId::from_index(index);
        for (owner, lines) in under(draft, id, item) {
            put(draft, id, owner, lines);
        }
    }
    works(draft, items);
    findings(draft, items);
    for (merged, name) in of(items, |head| matches!(head, Head::Raise | Head::Counsel | Head::Aid)) {
        let (item, origin) = (&merged.item, merged.origin.clone());
        let words = ladders::words_or_name(item.words.as_ref(), name);
        match item.head {
            Head::Raise => draft.book.raises.push(rest::raise(draft, item, name, words, origin)),
            Head::Counsel => draft.book.counsels.push(rest::counsel(draft, item, name, words, origin)),
            _ => draft.book.aids.push(rest::aid(draft, item, name, words, origin)),
        }
    }
    examples(draft, items);
    draft.book.part_names = draft.names.parts.iter().map(|(name, id)| (name.to_owned(), id)).collect();
    draft.book.finding_names = draft.names.findings.iter().map(|(name, id)| (name.to_owned(), id)).collect();
    Read { rows, ladders_sound }
}

/// The worked examples: the rulebook's own, and those of its parents, which only run for show.
fn examples(draft: &mut Draft, items: &[MergedItem]) {
    for merged in items {
        let Head::Example(written) = &merged.item.head else { continue };
        let own = merged.level == 0;
        let aside = Sink::default();
        let sink = if own { &draft.sink } else { &aside };
        let lookup = example::Lookup { names: &draft.names, book: &draft.book, sink };
        let read = example::example(lookup, written, merged.origin.clone());
        if own {
            draft.book.examples.push(read);
            continue;
        }
        // A house rulebook may have dropped what its parent's example speaks of.
        match aside.into_inner().into_iter().find(Diagnostic::is_error) {
            None => draft.book.inherited_examples.push(read),
            Some(error) => draft.sink.push(
                Diagnostic::warning("example-left-out", error.span, format!("The example \"{}\" of a rulebook further up cannot run here: {}", written.words.value, error.says))
                    .help("Write it again as it should be in this rulebook."),
            ),
        }
    }
}

/// The items of a kind, in the order written, that have a name.
fn of(items: &[MergedItem], kind: fn(&Head) -> bool) -> impl Iterator<Item = (&MergedItem, &Name)> {
    items.iter().filter(move |merged| kind(&merged.item.head)).filter_map(|merged| Some((merged, merged.item.name.as_ref()?)))
}

/// Whether reading something adds no error.
fn soundly<T>(draft: &Draft, read: impl FnOnce() -> T) -> (T, bool) {
    let before = draft.sink.errors();
    let value = read();
    (value, draft.sink.errors() == before)
}

fn ladders_of(draft: &mut Draft, items: &[MergedItem]) {
    for merged in items {
        for Clause { kind, .. } in &merged.item.clauses {
            let origin = |name: &Name| crate::book::Origin { span: name.span, ..merged.origin.clone() };
            match kind {
                ClauseKind::Step { name, words, within, not_played } => {
                    let step = ladders::step(draft, name, words.as_ref(), within.as_ref(), *not_played, origin(name));
                    draft.book.steps.push(step);
                }
                ClauseKind::Hand { name, words, rate } => {
                    let (hand, sound) = soundly(draft, || ladders::hand(draft, name, words.as_ref(), rate.as_ref(), origin(name)));
                    if !sound {
                        draft.troubled.hands.insert(HandId::from_index(draft.book.hands.len()));
                    }
                    draft.book.hands.push(hand);
                }
                ClauseKind::Tier { name, words, up_to } => {
                    let tier = ladders::tier(draft, name, words.as_ref(), up_to.as_ref(), origin(name));
                    draft.book.tiers.push(tier);
                }
                _ => {}
            }
        }
    }
}

fn looks(draft: &mut Draft, parts: &[&Item]) {
    for (index, item) in parts.iter().enumerate() {
        for (look, kind) in look_kinds(draft, PartId::from_index(index), item) {
            match kind {
                Some(kind) => draft.book.looks[look.index()].kind = kind,
                None => {
                    draft.troubled.looks.insert(look);
                }
            }
        }
    }
}

fn tables(draft: &mut Draft, items: &[MergedItem]) -> Vec<Option<Written>> {
    let mut all = Vec::new();
    for (index, (merged, name)) in of(items, |head| matches!(head, Head::Table(_))).enumerate() {
        let item = &merged.item;
        let keys = match &item.head {
            Head::Table(keys) => keys.as_slice(),
            _ => &[],
        };
        let rows: Vec<(&[Name], &Expression, Span)> = item
            .clauses
            .iter()
            .filter_map(|clause| match &clause.kind {
                ClauseKind::Row { keys, value } => Some((keys.as_slice(), value, clause.span)),
                _ => None,
            })
            .collect();
        let (read, sound) = soundly(draft, || table::table(draft, name, keys, &rows));
        let sound = sound && !item.is_broken();
        if !sound {
            draft.troubled.tables.insert(TableId::from_index(index));
        }
        draft.book.tables.push(Table {
            name: name.value.clone(),
            words: ladders::words_or_name(item.words.as_ref(), name),
            keys: read.keys.unwrap_or_default(),
            rows: read.rows,
            dimension: read.fact.as_ref().map_or(Dimension::NUMBER, |fact| fact.dimension),
            origin: merged.origin.clone(),
        });
        draft.facts.tables.push(read.fact);
        all.push(sound.then_some(read.written));
    }
    all
}

fn reckonings(draft: &mut Draft, items: &[MergedItem]) {
    let mut written = Vec::new();
    for (merged, name) in of(items, |head| matches!(head, Head::Reckon)) {
        let item = &merged.item;
        let expression = item.clauses.iter().find_map(|clause| match &clause.kind {
            ClauseKind::As(expression) => Some(expression),
            _ => None,
        });
        if expression.is_none() && !item.is_broken() {
            draft.sink.push(super::draft::missing_clause(&name.value, name.span, "as", "Add `as` and what it is worked out from."));
        }
        written.push(expression);
        let words = ladders::words_or_name(item.words.as_ref(), name);
        draft.book.reckons.push(reckon::unread(name.value.clone(), words, merged.origin.clone()));
        draft.facts.reckons.push(None);
    }
    reckon::reckons(draft, &written);
}

fn put(draft: &mut Draft, id: PartId, owner: Owner, lines: super::part::Under) {
    match owner {
        Owner::Part => {
            let part = &mut draft.book.parts[id.index()];
            (part.only_when, part.how, part.care) = (lines.only_when, lines.how, lines.care);
        }
        Owner::Place(place) => {
            if let Places::Fixed(places) = &mut draft.book.parts[id.index()].places
                && let Some(place) = places.get_mut(place.index())
            {
                (place.only_when, place.how, place.care) = (lines.only_when, lines.how, lines.care);
            }
        }
        Owner::Look(look) => {
            let look = &mut draft.book.looks[look.index()];
            (look.only_when, look.how, look.care, look.good) = (lines.only_when, lines.how, lines.care, lines.good);
            look.private = lines.private;
        }
    }
}

fn works(draft: &mut Draft, items: &[MergedItem]) {
    for (index, (merged, name)) in of(items, |head| matches!(head, Head::Work { .. })).enumerate() {
        let item = &merged.item;
        let Head::Work { amount, by, once } = &item.head else { continue };
        let includes = item.clauses.iter().filter_map(|clause| match &clause.kind {
            ClauseKind::Includes(names) => Some(names),
            _ => None,
        });
        let written = work::Written {
            name,
            words: ladders::words_or_name(item.words.as_ref(), name),
            amount: amount.as_ref(),
            by: by.as_ref(),
            once: *once,
            includes: includes.flatten().collect(),
        };
        let (read, sound) = soundly(draft, || work::work(draft, &written, merged.origin.clone()));
        if !sound || item.is_broken() || amount.is_none() {
            draft.troubled.works.insert(WorkId::from_index(index));
        }
        draft.book.works.push(read);
    }
}

fn findings(draft: &mut Draft, items: &[MergedItem]) {
    for (index, (merged, name)) in of(items, |head| matches!(head, Head::Finding)).enumerate() {
        let item = &merged.item;
        let words = ladders::words_or_name(item.words.as_ref(), name);
        let (read, sound) = soundly(draft, || finding::finding(draft, item, name, words, merged.origin.clone()));
        if !sound || item.is_broken() {
            draft.troubled.findings.insert(FindingId::from_index(index));
        }
        draft.book.findings.push(read);
    }
}

/// A ladder without a rung; one with a broken line may have lost it there.
fn empty_ladders(draft: &Draft, items: &[MergedItem]) {
    let ladders: [(&str, bool, fn(&Head) -> bool, &str); 3] = [
        ("urgency", draft.names.steps.is_empty(), |head| matches!(head, Head::Urgency), "Add `urgency` and a `step` for each degree, mildest first."),
        ("hands", draft.names.hands.is_empty(), |head| matches!(head, Head::Hands), "Add `hands` and a `hand` for each who may do the work, least skilled first."),
        ("tiers", draft.names.tiers.is_empty(), |head| matches!(head, Head::Tiers), "Add `tiers` and a `tier` for each, cheapest first, the last one `beyond`."),
    ];
    for (ladder, empty, is_ladder, help) in ladders {
        let broken = items.iter().any(|merged| is_ladder(&merged.item.head) && merged.item.is_broken());
        if empty && !broken {
            draft.sink.push(Diagnostic::error("no-ladder", draft.rulebook, format!("The rulebook has no `{ladder}`.")).help(help));
        }
    }
}
