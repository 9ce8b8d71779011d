//! Texts disturbed by chance.

use purfle_tests::dice::Dice;

/// The stretches of a line that are no text and no comment, and those that are.
fn stretches(line: &str) -> Vec<(bool, &str)> {
    let mut stretches = Vec::new();
    let (mut from, mut quoted, mut escaped) = (0, false, false);
    for (at, char) in line.char_indices() {
        match char {
            _ if escaped => escaped = false,
            '\\' if quoted => escaped = true,
            '"' if quoted => {
                stretches.push((false, &line[from..=at]));
                (from, quoted) = (at + 1, false);
            }
            '"' => {
                stretches.push((true, &line[from..at]));
                (from, quoted) = (at, true);
            }
            '#' if !quoted => {
                stretches.push((true, &line[from..at]));
                stretches.push((false, &line[at..]));
                return stretches;
            }
            _ => {}
        }
    }
    stretches.push((!quoted, &line[from..]));
    stretches
}

/// A text with other spaces, other indentation, other line ends and more blank lines where there was one: to the
/// language and to the layout it is the same.
pub fn harmless(text: &str, dice: &mut Dice) -> String {
    let indentation = *dice.pick(&[" ", "  ", "   ", "\t", "\u{a0}"]).expect("one of several");
    let end = *dice.pick(&["\n", "\r\n"]).expect("one of two");
    let more = dice.below(60) as u64;
    let mut mangled = String::new();
    if dice.chance(30) {
        mangled.push('\u{feff}');
    }
    for line in text.lines() {
        let written = line.trim_start_matches(' ');
        mangled.push_str(&indentation.repeat(line.len() - written.len()));
        for (plain, stretch) in stretches(written) {
            for char in stretch.chars() {
                mangled.push(char);
                if plain && char == ' ' {
                    while dice.chance(more) {
                        mangled.push_str(dice.pick(&[" ", "\t", "\u{a0}"]).expect("one of several"));
                    }
                }
            }
        }
        if dice.chance(more) && !written.contains('#') {
            mangled.push_str("  ");
        }
        mangled.push_str(end);
        while written.is_empty() && dice.chance(more) {
            mangled.push_str("   ");
            mangled.push_str(end);
        }
    }
    if dice.chance(30) {
        mangled.truncate(mangled.trim_end_matches(['\n', '\r']).len());
    }
    mangled
}

/// What is put where it does not belong.
const STRAY: [&str; 14] = ["\"", "#", "(", ")", ",", "-", " - ", "\\", "\r", "\u{feff}", "ü", " because \"x\"", "# here", "\t"];

/// Lines that are put in.
const LINES: [&str; 12] = [
    "# a comment",
    "  # deeper",
    "      # deeper still",
    "",
    "",
    "   ",
    "  - a bullet",
    "tell \"on the left\"",
    "  and more",
    "work stray \"Stray\" 1 h once",
    "  work inside \"Inside\" 1 h once",
    "  \"a text\"",
];

/// A text with anything done to it, once or many times.
pub fn wild(text: &str, dice: &mut Dice) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    for _ in 0..1 + dice.below(12) {
        let at = dice.below(lines.len().max(1));
        if lines.is_empty() {
            break;
        }
        match dice.below(8) {
            0 | 1 => lines.insert(at, (*dice.pick(&LINES).expect("one of several")).to_owned()),
            2 => drop(lines.remove(at)),
            3 => {
                let indent = " ".repeat(dice.below(9));
                lines[at] = format!("{indent}{}", lines[at].trim_start());
            }
            4 => lines[at] += ["  # beside", "#", " ", "\t# far"][dice.below(4)],
            5 => {
                let broken = lines[at].match_indices(' ').map(|(at, _)| at).nth(dice.below(8));
                if let Some(broken) = broken {
                    let rest = lines[at].split_off(broken);
                    lines.insert(at + 1, format!("    {}", rest.trim_start()));
                }
            }
            6 => {
                let places: Vec<usize> = lines[at].char_indices().map(|(at, _)| at).collect();
                if let Some(place) = dice.pick(&places) {
                    lines[at].insert_str(*place, dice.pick(&STRAY).expect("one of several"));
                }
            }
            _ => {
                let other = dice.below(lines.len());
                lines.swap(at, other);
            }
        }
    }
    let end = *dice.pick(&["\n", "\n", "\r\n", "\r"]).expect("one of several");
    let mut text = lines.join(end);
    if dice.chance(70) {
        text.push_str(end);
    }
    text
}
