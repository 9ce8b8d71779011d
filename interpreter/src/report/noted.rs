//! What a record says, in two short paragraphs: whose instrument it is, and what was seen on it.

use std::fmt::Write;

use super::layout::paragraph;
use super::view::Observed;

/// Writes what a record notes and what was seen, each a paragraph.
pub fn write(out: &mut String, observed: &Observed) {
    let mut noted: Vec<(&str, Vec<String>)> = Vec::new();
    for note in &observed.notes {
        add(&mut noted, &note.part, format!("{} {}", note.name, note.brief));
    }
    for (name, text) in &observed.carried {
        add(&mut noted, "Besides", format!("{name} {text}"));
    }
    if !noted.is_empty() {
        paragraph(out, "noted  ", &joined(&noted));
    }
    let seen = seen(observed);
    if !seen.is_empty() {
        paragraph(out, "seen   ", &seen);
    }
}

/// What was seen, part by part, in the record's own words.
fn seen(observed: &Observed) -> String {
    let mut groups: Vec<(&str, Vec<String>)> = Vec::new();
    for seen in &observed.seen {
        add(&mut groups, &seen.part_name, format!("{} {}", seen.look, seen.brief));
    }
    let mut text = joined(&groups);
    let good: Vec<&str> = observed.good.iter().map(|(name, _)| name.as_str()).collect();
    let good = (!good.is_empty()).then(|| format!("good: {}", good.join(", ")));
    for other in observed.others.iter().map(|(name, _)| name.as_str()).chain(good.as_deref()) {
        let space = if text.is_empty() { "" } else { "; " };
        let _ = write!(text, "{space}{other}");
    }
    text
}

fn add<'a>(groups: &mut Vec<(&'a str, Vec<String>)>, name: &'a str, said: String) {
    match groups.iter_mut().find(|(known, _)| *known == name) {
        Some((_, all)) => all.push(said),
        None => groups.push((name, vec![said])),
    }
}

fn joined(groups: &[(&str, Vec<String>)]) -> String {
    let all: Vec<String> = groups.iter().map(|(name, said)| format!("{name}: {}", said.join(", "))).collect();
    all.join("; ")
}
