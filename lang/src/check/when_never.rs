#![doc = include_str!("../../pages/when-never.md")]

use super::enough;
use super::say::whole;
use super::world::{OnlyWhen, World};
use crate::book::{Condition, Origin};
use crate::diagnostic::Diagnostic;
use crate::finite::node::Node;

/// Raises, counsels and funds that never count, and parts, places and looks that are never there.
pub fn check(world: &World) -> Vec<Diagnostic> {
    let book = world.book;
    let never = |nodes: &[Node]| nodes.iter().all(|node| world.never(&[node], &[]));
    let mut found = Vec::new();
    let mut tell = |condition: &Condition, nodes: &[Node], origin: &Origin, says: String| {
        if world.enough(&enough::condition(book, condition, true)) && never(nodes) {
            let span = whole(condition).unwrap_or(world.place_of(origin));
            found.push(Diagnostic::warning("when-never", span, says).label("never met"));
        }
    };
    for (raise, met) in book.raises.iter().zip(&world.raises) {
        tell(&raise.when, met, &raise.origin, format!("`{}` never raises anything: its `when` is never met.", raise.name));
    }
    for (counsel, met) in book.counsels.iter().zip(&world.counsels) {
        let says = format!("`{}` is never given: its `when` is never met.", counsel.name);
        tell(&counsel.when, std::slice::from_ref(met), &counsel.origin, says);
    }
    for (aid, met) in book.aids.iter().zip(&world.aids) {
        let Some(who) = &aid.who else { continue };
        tell(who, std::slice::from_ref(met), &aid.origin, format!("`{}` is for nobody: its `for` is never met.", aid.name));
    }
    let gone: Vec<&OnlyWhen> = world.only_when.iter().filter(|only_when| never(std::slice::from_ref(&only_when.node))).collect();
    for only_when in &gone {
        // What is in a part that is never there need not be told as well.
        let within = |other: &&&OnlyWhen| other.part == only_when.part && other.look.is_none() && other.place.is_none();
        let of_part = only_when.look.is_none() && only_when.place.is_none();
        if of_part || !gone.iter().any(|other| within(&other)) {
            let part = &book[only_when.part];
            let (what, origin, condition) = match (only_when.look, only_when.place) {
                (Some(look), _) => (book.look_path(look), &book[look].origin, &book[look].only_when),
                (None, Some(place)) => {
                    let place = &part.fixed_places()[place];
                    (format!("{}.{}", part.name, place.name), &part.origin, &place.only_when)
                }
                (None, None) => (part.name.clone(), &part.origin, &part.only_when),
            };
            let says = format!("`{what}` is never there: its `only when` is never met.");
            let span = condition.as_ref().and_then(whole).unwrap_or(world.place_of(origin));
            found.push(Diagnostic::warning("when-never", span, says).label("never met"));
        }
    }
    found.into_iter().map(|diagnostic| diagnostic.help("Change the condition, or take it out with what hangs on it.")).collect()
}
