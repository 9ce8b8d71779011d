//! What can be proved about a whole rulebook: signs that never hold, findings that quarrel, choices that nobody handles.
//!
//! Every claim is about all records at once and is exact, or says "may". A claim that something can happen carries a
//! record in which it does.

pub(crate) mod enough;
mod mentions;
mod outcome;
mod prices;
mod record;
mod say;
mod sites;
mod stand_in;
mod steps;
mod work_out;
mod world;

mod always;
mod cheaper_than_places;
mod finer_than_reading;
mod gap;
mod good_found;
mod line_idle;
mod never;
mod overlap;
mod price_below_nought;
mod raise_idle;
mod shadow;
mod sign_always;
mod sign_never;
mod unless_idle;
mod when_never;

use crate::book::Book;
use crate::diagnostic::Diagnostic;

pub use world::World;

/// All that can be proved about a sound book; `text` is that of its own rulebook, at whose end a record that shows a
/// claim can be added as an example. In the order of the text.
pub fn check(book: &Book, text: &str) -> Vec<Diagnostic> {
    let Ok(world) = World::new(book, text) else {
        // A look that is cut too finely is told where the rulebook is made ready.
        return Vec::new();
    };
    let checks: [fn(&World) -> Vec<Diagnostic>; 13] = [
        sign_never::check,
        never::check,
        sign_always::check,
        always::check,
        line_idle::check,
        unless_idle::check,
        when_never::check,
        raise_idle::check,
        good_found::check,
        finer_than_reading::check,
        cheaper_than_places::check,
        price_below_nought::check,
        gap::check,
    ];
    let mut diagnostics: Vec<Diagnostic> = checks.into_iter().flat_map(|check| check(&world)).collect();
    let shadows = shadow::shadows(&world);
    diagnostics.extend(shadow::check(&world, &shadows));
    diagnostics.extend(overlap::check(&world, &shadows));
    let mut diagnostics: Vec<Diagnostic> = diagnostics.into_iter().map(|diagnostic| world.told_here(diagnostic)).collect();
    diagnostics.sort_by_key(|diagnostic| (diagnostic.span.file, diagnostic.span.start, diagnostic.span.end));
    diagnostics
}

#[cfg(test)]
mod tests;
