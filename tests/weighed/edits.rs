//! Small edits of a rulebook's text.

use crate::random::dice::Dice;

/// What is written, and what is written instead.
const EDITS: [(&str, &str); 22] = [
    ("is above", "is below"),
    ("is at least", "is above"),
    ("is not ", "is "),
    (" and ", " or "),
    (" or ", " and "),
    ("urgency mention", "urgency soon"),
    ("urgency soon", "urgency halt"),
    ("hands teacher", "hands luthier"),
    ("hands luthier", "hands teacher"),
    ("75 USD per h", "90 USD per h"),
    ("row cello 1.5", "row cello 2"),
    ("least charge 45 USD", "least charge 60 USD"),
    ("by 1 step", "by 2 steps"),
    ("12 USD", "14 USD"),
    ("cost nothing", "goods \"Wood\" 3 USD"),
    ("0.5 h", "0.6 h"),
    ("row violin 2 mm", "row violin 1.5 mm"),
    ("on each ", "on "),
    ("above 50 USD", "above 60 USD"),
    ("\n  unless ", "\n  unless not "),
    ("\n  yields to ", "\n  #"),
    ("\n  left becomes ", "\n  #"),
];

/// A text, and the same with one to three edits.
pub fn edited(text: String, number: u64) -> (String, String) {
    let mut dice = Dice::new(number ^ 1 << 42);
    let mut new = text.clone();
    for _ in 0..1 + dice.below(3) {
        let (from, to) = EDITS[dice.below(EDITS.len())];
        let places: Vec<usize> = new.match_indices(from).map(|(at, _)| at).collect();
        if let Some(at) = dice.pick(&places) {
            new.replace_range(*at..*at + from.len(), to);
        }
    }
    (text, new)
}
