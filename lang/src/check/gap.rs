#![doc = include_str!("../../pages/gap.md")]

use super::world::World;
use crate::book::{LookId, LookKind, PlaceId, Places, RecordEntry, RecordPath};
use crate::cells::Cell;
use crate::diagnostic::Diagnostic;
use crate::finite::node::{Node, VariableId};
use crate::finite::view::SlotId;
use crate::number::Number;
use crate::saying::{Saying, format};
use crate::search::{Question, Region, Verdict};
use crate::span::Span;
use crate::wording::listed;

use super::mentions::Mentions;

/// Looks of which something is passed over in silence.
pub fn check(world: &World) -> Vec<Diagnostic> {
    let mentions = Mentions::of(world.book);
    let mut found = Vec::new();
    for look in (0..world.book.looks.len()).map(LookId::from_index) {
        if matches!(world.book[look].kind, LookKind::Written) {
            continue;
        }
        if !mentions.read(look) {
            let says = format!("Nothing reads `{}`: whatever is seen there changes no outcome.", world.book.look_path(look));
            found.push(
                Diagnostic::warning("look-unread", look_span(world, look), says)
                    .help("Write a finding that reads it, or take the look out."),
            );
            continue;
        }
        found.extend(choices(world, &mentions, look));
        found.extend(stretches(world, &mentions, look));
    }
    found
}

fn look_span(world: &World, look: LookId) -> Span {
    world.place_of(&world.book[look].origin)
}

fn choices(world: &World, mentions: &Mentions, id: LookId) -> Option<Diagnostic> {
    let look = &world.book[id];
    let silent: Vec<usize> = (0..look.choices().len()).filter(|choice| !mentions.choice(id, *choice)).collect();
    let first = *silent.first()?;
    let names: Vec<String> = silent.iter().map(|choice| format!("`{}`", look.choices()[*choice].name)).collect();
    let path = world.book.look_path(id);
    let being = if matches!(look.kind, LookKind::SomeOf(_)) { "showing" } else { "being" };
    let says = format!("Nothing is said of `{path}` {being} {}: no finding, table or example mentions it.", listed(&names, "or"));
    let diagnostic = Diagnostic::warning("gap", look_span(world, id), says)
        .help("Write what it means into a finding, call it `good`, or show in an example that it means nothing.");
    let saying = match look.kind {
        LookKind::SomeOf(_) => Saying::Exactly(vec![first]),
        _ => Saying::OneOf(vec![first]),
    };
    let places: Vec<RecordPath> = match &world.book[look.part].places {
        Places::Single => vec![RecordPath::Single],
        Places::Fixed(places) => (0..places.len()).map(|at| RecordPath::Fixed(PlaceId(at as u32))).collect(),
        Places::AsFound => vec![RecordPath::Found(1)],
    };
    let words = format!("{path} is {}", look.choices()[first].name);
    let shown = places.into_iter().find_map(|place| {
        let record = [RecordEntry::Look(id, place, saying.clone())];
        world.comes_to(&record).map(|finds| (record, finds))
    });
    if let Some((record, finds)) = shown {
        return Some(world.with_example(diagnostic, &words, &record, &finds));
    }
    // Where it can be seen nowhere, what keeps it from being seen is told.
    let seen = world.view.slots.iter().any(|slot| slot.look.look == id && !world.never(&[&slot.applies], &[]));
    seen.then_some(diagnostic)
}

fn stretches(world: &World, mentions: &Mentions, id: LookId) -> Option<Diagnostic> {
    let look = &world.book[id];
    look.good.as_ref()?;
    // The places of a look have the same limits, so the first silent one speaks for all.
    let slots = (0..world.view.slots.len() as SlotId).filter(|slot| world.view.slots[*slot as usize].look.look == id);
    let (silent, case, claim, variable) = slots.filter_map(|slot| silent(world, mentions, slot)).next()?;
    let cells = &world.view.variables[variable as usize].cells;
    let words: Vec<String> = silent.iter().filter_map(|run| stretch(world, id, cells.get(run.0)?, cells.get(run.1)?)).collect();
    let path = world.book.look_path(id);
    let says = format!(
        "Nothing is said of `{path}` {}: it is not good there, and no finding or example speaks of it.",
        words.join(" or ")
    );
    let diagnostic = Diagnostic::warning("gap", look_span(world, id), says)
        .help("Widen `good`, move a limit, or show in an example that nothing is meant.");
    let words = format!("{path} where nothing is said of it");
    let Some(record) = world.record(&case, &claim) else { return Some(diagnostic) };
    match world.comes_to(&record) {
        Some(finds) => Some(world.with_example(diagnostic, &words, &record, &finds)),
        None => Some(diagnostic),
    }
}

/// Runs of silent cells of a look at a place (first and last), with a case that shows the first.
#[allow(clippy::type_complexity)]
fn silent(world: &World, mentions: &Mentions, slot: SlotId) -> Option<(Vec<(usize, usize)>, Vec<u8>, Node, VariableId)> {
    let at = &world.view.slots[slot as usize];
    let variable = at.variable?;
    let known = &world.view.variables[variable as usize];
    if world.derived(variable) || !known.cells.iter().any(|cell| matches!(cell, Cell::Point(_) | Cell::Between(..))) {
        return None;
    }
    let good = world.goods[slot as usize].clone()?;
    let tests = world.tests_of(variable);
    if tests.is_empty() || world.is_reckoned_with(variable) {
        return None;
    }
    let claim = Node::all([at.applies.clone(), Node::unmet(good.clone()), Node::unmet(Node::any(tests))]);
    let mut runs: Vec<(usize, usize)> = Vec::new();
    let mut shown: Option<(bool, Vec<u8>)> = None;
    for cell in 0..known.cells.len() {
        if mentions.value(at.look.look, ends(known.cells.get(cell)?)) {
            continue;
        }
        let mut region = Region::everywhere();
        region.narrow(variable, 1 << cell);
        let question = Question::new(&world.space).speaking_of(world.conditions()).within(&region);
        if let Verdict::Found(case) = question.meeting(&claim).preferring(&world.ordinary).answer() {
            if within_error(world, variable, &good, &case) {
                continue;
            }
            match runs.last_mut() {
                Some((_, last)) if *last + 1 == cell => *last = cell,
                _ => runs.push((cell, cell)),
            }
            // Within a stretch is better shown than at its end.
            let within = matches!(known.cells.get(cell), Some(Cell::Between(..)));
            if shown.as_ref().is_none_or(|(before, _)| within && !before) {
                shown = Some((within, case));
            }
        }
    }
    // A limit by itself is no stretch: what is said just beside it was meant to reach it.
    if matches!(world.book[at.look.look].kind, LookKind::Measured { .. } | LookKind::Priced { .. }) {
        runs.retain(|(first, last)| first != last || !matches!(known.cells.get(*first), Some(Cell::Point(_))));
    }
    let (_, case) = shown.filter(|_| !runs.is_empty())?;
    Some((runs, case, claim, variable))
}

/// Whether the value of a look in a case is within its reading error of what would be good there.
fn within_error(world: &World, variable: VariableId, good: &Node, case: &[u8]) -> bool {
    let known = &world.view.variables[variable as usize];
    let look = &world.book[world.view.slots[known.slot.unwrap_or_default() as usize].look.look];
    let LookKind::Measured { give_or_take: Some(error), .. } = look.kind else { return false };
    let Some(here) = known.cells.get(case[variable as usize] as usize).and_then(ends) else { return false };
    let mut other = case.to_vec();
    (0..known.cells.len()).any(|cell| {
        other[variable as usize] = cell as u8;
        let near = known.cells.get(cell).and_then(ends).is_some_and(|there| {
            let apart = (here.1 - there.1).max(there.0 - here.0);
            apart <= error
        });
        near && world.conditions().met(good, &other)
    })
}

fn ends(cell: Cell) -> Option<(Number, Number)> {
    match cell {
        Cell::Point(number) => Some((number, number)),
        Cell::Between(low, high) => Some((low, high)),
        Cell::Choice(_) | Cell::NoDate => None,
    }
}

fn stretch(world: &World, id: LookId, first: Cell, last: Cell) -> Option<String> {
    let look = &world.book[id];
    let (low, high) = (ends(first)?.0, ends(last)?.1);
    let (from, to) = match look.kind {
        LookKind::Measured { from, to, .. } | LookKind::Priced { from, to } => (from, to),
        LookKind::Counted { from, to } => (Number::from_integer(from.into()), Number::from_integer(to.into())),
        _ => (low, high),
    };
    let (low, high) = (low.max(from), high.min(to));
    let saying = Saying::Between { low: Some(low), high: Some(high), reading: low == high };
    let words = format(look, &saying, world.book.money);
    Some(if low == high { format!("at {words}") } else { format!("from {words}") })
}
