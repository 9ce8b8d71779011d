#![doc = include_str!("../../pages/cheaper-than-places.md")]

use super::world::World;
use crate::book::{Finding, Work, WorkId};
use crate::diagnostic::Diagnostic;
use crate::evaluate::{InHand, LookSpot, Spot, evaluate, inputs_of};
use crate::finite::classify::{Fixed, key_combinations, key_size};
use crate::finite::node::Node;
use crate::number::{Number, format_rounded};
use crate::search::{Question, Region, Verdict};

/// The most choices of the tables' keys that are gone through for one step.
const MOST_CHOICES: usize = 256;

/// Steps done once that cost less than a step at several places which they include.
pub fn check(world: &World) -> Vec<Diagnostic> {
    let book = world.book;
    let mut found = Vec::new();
    for (id, work) in book.works.iter().enumerate().filter(|(_, work)| work.once) {
        let inner = work.includes.iter().copied().filter(|inner| !book[*inner].once);
        found.extend(inner.filter_map(|inner| compared(world, WorkId::from_index(id), inner)).next());
    }
    found
}

/// What is told of a step and one that it includes.
fn compared(world: &World, whole: WorkId, inner: WorkId) -> Option<Diagnostic> {
    let book = world.book;
    let asks = |finding: &Finding, work: WorkId| finding.counted_cost().work.contains(&work);
    let of = |work: WorkId, each: bool| -> Vec<usize> {
        let findings = (0..book.findings.len()).filter(|at| asks(&book.findings[*at], work));
        findings.filter(|at| !each || book.findings[*at].each).flat_map(|at| world.of[at].iter().copied()).collect()
    };
    let (once, places) = (of(whole, false), of(inner, true));
    // Steps at the places of one finding: those of several may be at the same place.
    let findings: Vec<_> = places.iter().map(|at| world.standings[*at].finding).collect();
    let first = findings.first().copied()?;
    let places: Vec<usize> = places.into_iter().filter(|at| world.standings[*at].finding == first).collect();
    let (mut numbers, mut keys) = (Vec::new(), Vec::new());
    inputs_of(book, &book[whole].amount, &InHand::nothing(), &mut numbers, &mut keys);
    for at in &places {
        inputs_of(book, &book[inner].amount, &hand(world, *at), &mut numbers, &mut keys);
    }
    let choices = keys.iter().try_fold(1_usize, |all, key| all.checked_mul(key_size(book, *key) + 1));
    if !numbers.is_empty() || choices.is_none_or(|choices| choices > MOST_CHOICES) {
        return None;
    }
    let chosen = key_combinations(book, &keys).into_iter().filter(|chosen| chosen.iter().all(|(_, choice)| choice.is_some()));
    for chosen in chosen {
        let Some((region, applies)) = only(world, &chosen) else { continue };
        for once in &once {
            let Some((at, case, claim)) = together(world, *once, &places, &region, &applies) else { continue };
            let fixed = Fixed { numbers: &[], keys: &chosen };
            let Some(one) = ends(world, &book[whole], &InHand::nothing(), &fixed) else { continue };
            let all = at.iter().map(|at| ends(world, &book[inner], &hand(world, *at), &fixed));
            let Some(all) = all.reduce(|sum, next| Some((sum?.0 + next?.0, sum?.1 + next?.1))).flatten() else { continue };
            if one.0 >= all.0 && one.1 >= all.1 {
                continue;
            }
            let (end, one, all) = if one.0 < all.0 { ("least", one.0, all.0) } else { ("most", one.1, all.1) };
            let sum = |number: Number| format!("{} {}", format_rounded(number, book.money.minor_places()), book.money);
            let (name, inner_name) = (&book[whole].name, &book[inner].name);
            let says = format!(
                "`{name}` costs at {end} {}, less than `{inner_name}` at {} places, which it includes: {}.",
                sum(one),
                at.len(),
                sum(all)
            );
            let diagnostic = Diagnostic::warning("cheaper-than-places", world.place_of(&book[whole].origin), says)
                .label(format!("{} at {end}", sum(one)))
                .place(world.place_of(&book[inner].origin), "included at each place")
                .help("Raise its amount to that of all the places, or take the step out of its `includes`.");
            let finds: Vec<usize> = std::iter::once(*once).chain(at).collect();
            let mut diagnostic = world.shown(diagnostic, "", &case, &claim, &finds);
            // An example would agree to it, and mend nothing.
            diagnostic.fixes.clear();
            return Some(diagnostic);
        }
    }
    None
}

/// The place in hand of a finding at a place.
fn hand(world: &World, standing: usize) -> InHand {
    let standing = &world.standings[standing];
    match standing.spot {
        Spot::Single => InHand::nothing(),
        spot => InHand::nothing().with(world.book[standing.finding].on, spot),
    }
}

/// What a record leaves that makes these choices, and what has to apply for it; none where no variable stands for one.
fn only<'w>(world: &'w World, chosen: &[(LookSpot, Option<usize>)]) -> Option<(Region, Vec<&'w Node>)> {
    let (mut region, mut applies) = (Region::everywhere(), Vec::new());
    for (look, choice) in chosen {
        let slot = &world.view.slots[*world.view.slot_of.get(look)? as usize];
        applies.push(&slot.applies);
        if let (Some(variable), Some(choice)) = (slot.variable, choice) {
            let known = &world.view.variables[variable as usize];
            let cells = (0..known.size).filter(|cell| cell % known.cells.len() == *choice);
            region.narrow(variable, cells.fold(0, |set, cell| set | 1 << cell));
        }
    }
    Some((region, applies))
}

/// Places, two or more, at which a finding holds together with this one; with a case, and what it shows.
fn together(
    world: &World,
    once: usize,
    places: &[usize],
    region: &Region,
    applies: &[&Node],
) -> Option<(Vec<usize>, Vec<u8>, Node)> {
    let case = |claim: &Node| {
        let question = Question::new(&world.space).speaking_of(world.conditions()).within(region).preferring(&world.ordinary);
        let question = applies.iter().fold(question, |question, node| question.meeting(node));
        question.meeting(claim).answer()
    };
    let (mut at, mut claim, mut shown) = (Vec::new(), world.holds[once].clone(), None);
    for place in places {
        let more = Node::all([claim.clone(), world.holds[*place].clone()]);
        if let Verdict::Found(case) = case(&more) {
            (claim, shown) = (more, Some(case));
            at.push(*place);
        }
    }
    shown.filter(|_| at.len() > 1).map(|case| (at, case, claim))
}

/// Both ends of what a step costs, in money.
fn ends(world: &World, work: &Work, hand: &InHand, fixed: &Fixed<'_>) -> Option<(Number, Number)> {
    let worked = evaluate(world.book, &work.amount, hand, fixed)?;
    let rate = if work.timed { world.book[work.by].rate? / Number::from_integer(60) } else { Number::from_integer(1) };
    Some((worked.low.0 * rate, worked.high.1 * rate))
}
