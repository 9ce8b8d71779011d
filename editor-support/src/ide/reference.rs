//! What the page about the language says of a word: the sentence is taken from there, and written nowhere else.

use std::sync::OnceLock;

use purfle_lang::syntax::tree::Kind;

/// The page.
const PAGE: &str = include_str!("../../../lang/reference.md");

/// A part of the page: its heading and its paragraphs, each with its line breaks taken out.
struct Section {
    heading: &'static str,
    paragraphs: Vec<String>,
}

fn sections() -> &'static [Section] {
    static SECTIONS: OnceLock<Vec<Section>> = OnceLock::new();
    SECTIONS.get_or_init(read)
}

/// The paragraphs of the page; each point of a list is one, and each row of a table. Blocks of code are left out.
fn read() -> Vec<Section> {
    let mut sections: Vec<Section> = Vec::new();
    let (mut code, mut open) = (false, false);
    for line in PAGE.lines() {
        if line.starts_with("```") {
            (code, open) = (!code, false);
            continue;
        }
        if code {
            continue;
        }
        if let Some(heading) = line.strip_prefix("## ").or_else(|| line.strip_prefix("### ")) {
            sections.push(Section { heading, paragraphs: Vec::new() });
            open = false;
            continue;
        }
        let Some(section) = sections.last_mut() else { continue };
        let begins = line.starts_with("- ") || line.starts_with('|');
        match section.paragraphs.last_mut() {
            _ if line.trim().is_empty() => open = false,
            Some(paragraph) if open && !begins => {
                paragraph.push(' ');
                paragraph.push_str(line.trim());
            }
            _ => {
                section.paragraphs.push(line.trim_start_matches("- ").trim().to_owned());
                open = true;
            }
        }
    }
    sections
}

/// The heading under which items of a kind are described.
fn heading(kind: Kind) -> &'static str {
    match kind {
        Kind::Urgency | Kind::Hands | Kind::Tiers | Kind::Step | Kind::Hand | Kind::Tier => "urgency, hands, tiers",
        Kind::Part | Kind::Context | Kind::Place => "context and part",
        Kind::Finding | Kind::Way => "finding",
        Kind::Example => "Examples",
        kind => kind.word(),
    }
}

fn section(heading: &str) -> Option<&'static Section> {
    sections().iter().find(|section| section.heading == heading)
}

/// What is said of an item's word.
pub fn of_item(kind: Kind) -> Option<&'static str> {
    let section = section(heading(kind))?;
    let beginning = format!("`{}", kind.word());
    let own = section.paragraphs.iter().find(|paragraph| paragraph.starts_with(&beginning));
    own.or_else(|| section.paragraphs.first()).map(String::as_str)
}

/// What is said of the word of a clause under an entry of a kind.
pub fn of_clause(kind: Kind, word: &str) -> Option<&'static str> {
    let own = section(heading(kind))?;
    // What stands under a look is described with the look, or with the part.
    let others = match kind {
        Kind::Part | Kind::Context => Some("look"),
        Kind::Look => Some("context and part"),
        Kind::Rulebook => Some("alter and without"),
        _ => None,
    };
    let all = || std::iter::once(own).chain(others.and_then(section));
    let begins = |paragraph: &&String| {
        let rest = paragraph.trim_start_matches("| ").strip_prefix('`').and_then(|rest| rest.strip_prefix(word));
        rest.is_some_and(|rest| rest.starts_with(['`', ' ']))
    };
    let found = all().find_map(|section| section.paragraphs.iter().find(begins));
    if let Some(paragraph) = found {
        return Some(paragraph);
    }
    // Else the sentence in which it is first spoken of.
    all().flat_map(|section| &section.paragraphs).find_map(|paragraph| sentence(paragraph, word))
}

/// What is said of `alter` and `without`.
pub fn of_change(word: &str) -> Option<&'static str> {
    let section = section("alter and without")?;
    let beginning = format!("`{word} ");
    section.paragraphs.iter().find(|paragraph| paragraph.starts_with(&beginning)).map(String::as_str)
}

/// What is said of a word of a condition or of a value.
pub fn of_word(word: &str) -> Option<&'static str> {
    let all = || ["Conditions", "Values"].into_iter().filter_map(section).flat_map(|section| &section.paragraphs);
    let begins = |paragraph: &&String| {
        let rest = paragraph.strip_prefix('`').and_then(|rest| rest.strip_prefix(word));
        rest.is_some_and(|rest| rest.starts_with(['`', ' ', '(']))
    };
    let found = all().find(begins).map(String::as_str);
    found.or_else(|| all().find(|paragraph| spoken_of(paragraph, word).is_some()).map(String::as_str))
}

/// Where a word stands as code, alone or at the beginning of it.
fn spoken_of(paragraph: &str, word: &str) -> Option<usize> {
    [format!("`{word}`"), format!("`{word} ")].iter().filter_map(|code| paragraph.find(code.as_str())).min()
}

/// The sentence of a paragraph that first speaks of a word.
fn sentence<'p>(paragraph: &'p str, word: &str) -> Option<&'p str> {
    let at = spoken_of(paragraph, word)?;
    let start = paragraph[..at].rfind(". ").map_or(0, |end| end + 2);
    let end = paragraph[at..].find(". ").map_or(paragraph.len(), |end| at + end + 1);
    paragraph.get(start..end)
}

#[cfg(test)]
mod tests {
    use super::*;
    use purfle_lang::syntax::words::{ITEMS, clauses};

    #[test]
    fn every_clause_and_every_item_has_its_sentence() {
        for kind in ITEMS.into_iter().chain([Kind::Look, Kind::Place, Kind::Way]) {
            assert!(of_item(kind).is_some(), "{}", kind.word());
            for clause in clauses(kind) {
                let said = of_clause(kind, clause.word);
                assert!(said.is_some_and(|said| said.contains(clause.word)), "{} {}: {said:?}", kind.word(), clause.word);
            }
        }
        assert!(of_change("alter").is_some() && of_change("without").is_some());
    }

    #[test]
    fn a_clause_gets_the_point_that_is_about_it() {
        let said = of_clause(Kind::Finding, "unless");
        assert_eq!(said, Some("`unless CONDITION`: what lets it off."));
        assert_eq!(of_clause(Kind::Finding, "hands"), Some("`hands HAND`: the least skilled hand that may do it."));
        assert!(of_word("found").is_some_and(|said| said.starts_with("`found F`")));
        assert!(of_word("wood-moisture").is_some_and(|said| said.contains("Wood Handbook")));
    }
}
