//! What one mistake brings along is not told as well, and what an item lacks is told in one message.

use crate::diagnostic::Diagnostic;
use crate::span::Span;

/// The diagnostics, without those that another one causes.
pub fn once(found: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let mut kept = lacking(found);
    // Whoever is less skilled and is given the work has been spoken of.
    let handed_down: Vec<Span> = of(&kept, "hands-less-skilled").filter_map(|told| Some(told.places.first()?.span)).collect();
    kept.retain(|told| told.slug != "care-missing" || !handed_down.contains(&told.span));
    // All prices are in the money that the head names, and that was told.
    let moneys: Vec<String> = of(&kept, "money-differs").map(|told| told.label.clone()).collect();
    kept.retain(|told| told.slug != "other-money" || !moneys.contains(&told.label));
    // Where the head names no money that exists, no sum of an example is in it.
    kept.retain(|told| told.slug != "bad-value" || !told.says.ends_with("is not the rulebook's money, XXX."));
    // Below the head of a second rulebook everything is perhaps there twice.
    let second: Vec<Span> = of(&kept, "rulebook-twice").map(|told| told.span).collect();
    let below = |span: Span| second.iter().any(|head| head.file == span.file && head.start < span.start);
    kept.retain(|told| told.slug != "name-twice" || !below(told.span));
    // Whoever alters something has a rulebook below in mind, and that has the ladders and the money.
    if of(&kept, "builds-on-nothing").next().is_some() {
        kept.retain(|told| !matches!(told.slug, "no-ladder" | "no-money"));
    }
    kept
}

fn of<'d>(found: &'d [Diagnostic], slug: &'static str) -> impl Iterator<Item = &'d Diagnostic> {
    found.iter().filter(move |told| told.slug == slug)
}

/// Puts together what one item lacks: such errors stand at one place and say what is missing in their labels.
fn lacking(found: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let mut kept: Vec<Diagnostic> = Vec::new();
    for told in found {
        let lacks = |other: &Diagnostic| other.slug == "clause-missing" && !other.label.is_empty();
        let first = kept.iter_mut().find(|first| lacks(first) && lacks(&told) && first.span == told.span);
        let Some(first) = first else {
            kept.push(told);
            continue;
        };
        let item = first.says.split(" has ").next().unwrap_or_default().to_owned();
        first.label = format!("{} and {}", first.label.replace(" and ", ", "), told.label);
        first.says = format!("{item} has {}.", first.label);
        first.help = format!("{} {}", first.help, told.help);
    }
    kept
}
