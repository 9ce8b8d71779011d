//! The three ladders are short enough to be kept apart and stand in order: graver is never slower and never less strict,
//! dearer is never cheaper.

use super::quantity::can_be_slower;
use crate::book::{Origin, Step, Tier, Within};
use crate::diagnostic::Diagnostic;
use crate::number::format_decimal;
use crate::span::Span;
use crate::unit::Currency;

/// The most rungs of a ladder. A counsel may ask where the whole outcome stands, and every rung is then a cell.
pub const MOST_RUNGS: usize = 64;

/// A ladder with more rungs than that; its rungs' own places are given.
pub fn length(ladder: &str, rungs: &[Span]) -> Option<Diagnostic> {
    let first = rungs.get(MOST_RUNGS)?;
    let says = format!("`{ladder}` has {} lines, and no more than {MOST_RUNGS} can be kept apart.", rungs.len());
    Some(
        Diagnostic::error("ladder-too-long", *first, says)
            .label("the first too many")
            .help("Take lines together, or take some out."),
    )
}

/// Steps that want to be seen later than a milder one, or that may be played where a milder one may not.
pub fn steps(written: &[Step]) -> Vec<Diagnostic> {
    let found = steps_as(written);
    let turned: Vec<Step> = written.iter().rev().cloned().collect();
    match written.first().filter(|_| found.len() > 1 && steps_as(&turned).is_empty()) {
        Some(first) => vec![upside_down(place(&first.origin), "the gravest step first", "the mildest")],
        None => found,
    }
}

/// Two rungs that cannot follow each other. It is told of the later one, unless that stands as a parent left it and the earlier
/// one does not.
fn between(says: String, later: (&Origin, String), earlier: (&Origin, String)) -> Diagnostic {
    let is_own = |(origin, _): &(&Origin, String)| origin.own().is_some();
    let (of, beside) = if !is_own(&later) && is_own(&earlier) { (earlier, later) } else { (later, earlier) };
    Diagnostic::error("ladder-order", place(of.0), says).label(of.1).place(place(beside.0), beside.1)
}

/// Where a rung stands, or was last altered by the rulebook itself.
fn place(origin: &Origin) -> Span {
    origin.own().unwrap_or(origin.span)
}

/// One message for a ladder of which every rung is in the wrong place.
fn upside_down(first: Span, written: &str, wanted: &str) -> Diagnostic {
    Diagnostic::error("ladder-order", first, format!("This ladder stands upside down, with {written}."))
        .help(format!("Turn the order of its lines round, so that {wanted} is first."))
}

fn steps_as(steps: &[Step]) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for pair in steps.windows(2) {
        let [milder, graver] = pair else { continue };
        if slower(graver.within, milder.within) {
            let says = format!(
                "`{}` is graver than `{}`, and {} is later than {}{}.",
                graver.name,
                milder.name,
                words(graver.within),
                words(milder.within),
                if mixed(graver.within, milder.within) { " in some part of the year" } else { "" }
            );
            found.push(
                between(says, (&graver.origin, words(graver.within)), (&milder.origin, words(milder.within)))
                    .help("Write the mildest step first, and give each one no more time than the one before."),
            );
        }
        if milder.not_played && !graver.not_played {
            let says =
                format!("`{}` is graver than `{}`, and only the milder one is not to be played.", graver.name, milder.name);
            found.push(
                between(says, (&graver.origin, "may be played".to_owned()), (&milder.origin, "not to be played".to_owned()))
                    .help("Add `not to be played`, or change the order."),
            );
        }
    }
    if let Some(mildest) = steps.first().filter(|step| step.not_played) {
        let says = format!("`{}` is the mildest step, which a good instrument gets, and it is not to be played.", mildest.name);
        found.push(
            Diagnostic::error("ladder-order", place(&mildest.origin), says)
                .help("Write a step before it for an instrument that is well."),
        );
    }
    found
}

fn slower(graver: Within, milder: Within) -> bool {
    match (graver, milder) {
        (_, Within::Whenever) | (Within::AtOnce, _) => false,
        (Within::Whenever, _) => true,
        (Within::Duration(_), Within::AtOnce) => true,
        (Within::Duration(graver), Within::Duration(milder)) => can_be_slower(graver, milder),
    }
}

fn mixed(graver: Within, milder: Within) -> bool {
    match (graver, milder) {
        (Within::Duration(graver), Within::Duration(milder)) => {
            std::mem::discriminant(&graver) != std::mem::discriminant(&milder)
        }
        _ => false,
    }
}

fn words(within: Within) -> String {
    match within {
        Within::Whenever => "whenever it suits".to_owned(),
        Within::Duration(duration) => format!("within {duration}"),
        Within::AtOnce => "at once".to_owned(),
    }
}

/// Tiers that do not rise, and a last one that has an end.
pub fn tiers(written: &[Tier], money: Currency) -> Vec<Diagnostic> {
    let found = tiers_as(written, money);
    let turned: Vec<Tier> = written.iter().rev().cloned().collect();
    match written.first().filter(|_| found.len() > 1 && tiers_as(&turned, money).is_empty()) {
        Some(first) => vec![upside_down(place(&first.origin), "the dearest tier first", "the cheapest")],
        None => found,
    }
}

fn tiers_as(tiers: &[Tier], money: Currency) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for pair in tiers.windows(2) {
        let [cheaper, dearer] = pair else { continue };
        match (cheaper.up_to, dearer.up_to) {
            (Some(low), Some(high)) if high <= low => {
                let sum = |number| format!("{} {money}", format_decimal(number));
                let says =
                    format!("`{}` comes after `{}`, and {} is not above {}.", dearer.name, cheaper.name, sum(high), sum(low));
                found.push(
                    between(
                        says,
                        (&dearer.origin, format!("up to {}", sum(high))),
                        (&cheaper.origin, format!("up to {}", sum(low))),
                    )
                    .help("Write the cheapest tier first."),
                );
            }
            (None, _) => {
                let says = format!("`{}` is `beyond` all sums, so no tier can follow it.", cheaper.name);
                found.push(
                    Diagnostic::error("ladder-order", place(&cheaper.origin), says)
                        .help("Write the cheapest tier first and the one that is `beyond` last.")
                        .place(place(&dearer.origin), "follows it"),
                );
            }
            _ => {}
        }
    }
    // One that is `beyond` and stands too early is told already, and the last is then perhaps only in its place.
    let misplaced = tiers.iter().rev().skip(1).any(|tier| tier.up_to.is_none());
    if let Some(last) = tiers.last().filter(|tier| tier.up_to.is_some() && !misplaced) {
        let says = format!("`{}` is the last tier, and a sum above it would fall into none.", last.name);
        found.push(Diagnostic::error("ladder-order", place(&last.origin), says).help("Write `beyond` for the last tier."));
    }
    found
}
