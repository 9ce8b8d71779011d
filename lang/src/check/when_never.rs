#![doc = include_str!("../../pages/when-never.md")]

use super::world::World;
use crate::diagnostic::Diagnostic;

/// Raises, counsels and funds that never count, and parts, places and looks that are never there.
pub fn check(world: &World) -> Vec<Diagnostic> {
    let book = world.book;
    let never = |nodes: &[crate::finite::node::Node]| nodes.iter().all(|node| world.never(&[node], &[]));
    let mut found = Vec::new();
    for (raise, met) in book.raises.iter().zip(&world.raises) {
        if never(met) {
            let says = format!("`{}` never raises anything: its `when` is never met.", raise.name);
            found.push(Diagnostic::warning("when-never", world.place_of(&raise.origin), says));
        }
    }
    for (counsel, met) in book.counsels.iter().zip(&world.counsels) {
        if never(std::slice::from_ref(met)) {
            let says = format!("`{}` is never given: its `when` is never met.", counsel.name);
            found.push(Diagnostic::warning("when-never", world.place_of(&counsel.origin), says));
        }
    }
    for (aid, met) in book.aids.iter().zip(&world.aids) {
        if never(std::slice::from_ref(met)) {
            let says = format!("`{}` is for nobody: its `for` is never met.", aid.name);
            found.push(Diagnostic::warning("when-never", world.place_of(&aid.origin), says));
        }
    }
    for only_when in &world.only_when {
        if never(std::slice::from_ref(&only_when.node)) {
            let part = &book[only_when.part];
            let (what, origin) = match (only_when.look, only_when.place) {
                (Some(look), _) => (book.look_path(look), &book[look].origin),
                (None, Some(place)) => (format!("{}.{}", part.name, part.fixed_places()[place].name), &part.origin),
                (None, None) => (part.name.clone(), &part.origin),
            };
            let says = format!("`{what}` is never there: its `only when` is never met.");
            found.push(Diagnostic::warning("when-never", world.place_of(origin), says));
        }
    }
    found.into_iter().map(|diagnostic| diagnostic.help("Change the condition, or take it out with what hangs on it.")).collect()
}
