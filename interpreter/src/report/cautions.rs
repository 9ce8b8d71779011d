//! The standing cautions of the trade, printed where they apply.

use purfle_lang::book::{Book, PlayedWord};

use super::figures::pointed;
use crate::outcome::Outcome;

/// "Structural Damage", yopw.org; "Common violin repairs", askviolindealer.blogspot.com: household glue spoils the next repair.
/// "Instrument care", violinshoppe.com; "Cracks and open seams", volkweinsrepair.com: no solvent and no polish.
const MENDING: &str = "No household glue, no solvent and no polish; push nothing into the body. \
    A repair that was tried at home is the dearest kind.";

/// "Instrument maintenance guide", seerystrings.com; "Cracks and open seams", volkweinsrepair.com: when something is
/// failing, the tension comes off at once. "How to change your instrument's strings",
/// germantownviolincompany.blogspot.com; "How we change strings", teachsuzuki.blogspot.com: else one string at a time,
/// or the post falls. That the question comes first is our own reading of the two.
const TENSION: &str = "Is something failing now (the bridge or the post about to fall, the neck or a seam at a block \
    opening, a fresh crack)? Then take the tension off at once, little by little. If nothing is failing, never slacken \
    all strings: the sound post may fall.";

/// Common practice, no source.
const EYES: &str = "A string under tension can snap: keep face and eyes out of its line.";

/// All of them, for whoever is about to look.
pub const STANDING: [&str; 3] = [TENSION, EYES, MENDING];

/// The cautions that belong on this slip: none where nothing was found or suspected.
pub fn cautions(book: &Book, outcome: &Outcome) -> Vec<&'static str> {
    if outcome.findings.is_empty() {
        return Vec::new();
    }
    let failing = outcome.played != PlayedWord::Yes && pointed(book, outcome, None);
    if failing { vec![TENSION, EYES, MENDING] } else { vec![MENDING, EYES] }
}
