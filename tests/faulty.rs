//! A large rulebook with a fault in every tenth of its items, and where each of them is.

use std::fmt::Write;

/// A rulebook and its faults.
pub struct Faulty {
    /// The text.
    pub text: String,
    /// For each fault its line, counted from 1, and the name of its diagnostic.
    pub faults: Vec<(usize, &'static str)>,
}

/// What the findings need to stand on.
const HEAD: &str = "rulebook large \"A large one\"
  edition 1
  money   USD

urgency
  step fine \"Nothing to do\"
  step book \"Book a luthier\" within 30 days

hands
  hand player  \"The player\"
  hand luthier \"A luthier\" 85 USD per h

tiers
  tier job \"Any job\" beyond

part button \"Tail button\"
  look gap  \"Gap?\"             measured in mm from 0 to 8
  look sits \"How does it sit?\" one of straight, crooked

";

/// How many items [`HEAD`] holds.
const HEAD_ITEMS: usize = 5;

/// The lines of a sound finding below its name.
const LINES: [&str; 6] =
    ["on button", "signs gap is above 0.2 mm", "urgency book", "hands luthier", "cost nothing", "basis \"common practice\""];

/// Which of these lines is spoiled, how, and what it is then told to be.
const FAULTS: [(usize, &str, &str); 10] = [
    (0, "on buton", "unknown-name"),
    (1, "signs gap is abov 0.2 mm", "not-understood"),
    (1, "signs gap is above 0.2 USD", "unit-mismatch"),
    (1, "signs sits is croked", "unknown-choice"),
    (1, "sings gap is above 0.2 mm", "unknown-clause"),
    (2, "urgency bok", "unknown-name"),
    (3, "hands teacher", "unknown-name"),
    (4, "cost 5,50 USD", "not-understood"),
    (4, "work nobody-wrote-this", "unknown-name"),
    (5, "basis common practice", "not-understood"),
];

/// A rulebook of so many items, a fault in every tenth.
pub fn rulebook(items: usize) -> Faulty {
    let mut text = HEAD.to_owned();
    let mut line = HEAD.lines().count();
    let mut faults = Vec::new();
    for item in HEAD_ITEMS..items {
        let fault = (item % 10 == 5).then(|| FAULTS[item / 10 % FAULTS.len()]);
        // Writing to a text does not fail.
        let _ = writeln!(text, "finding thing-{item} \"Thing {item}\"");
        line += 1;
        for (at, sound) in LINES.into_iter().enumerate() {
            line += 1;
            let written = match fault {
                Some((spoiled, written, slug)) if spoiled == at => {
                    faults.push((line, slug));
                    written
                }
                _ => sound,
            };
            let _ = writeln!(text, "  {written}");
        }
    }
    Faulty { text, faults }
}
