//! Where each thing of a rulebook stands in its handbook, and the number by which it is found on paper.

use purfle_lang::book::{Book, FindingId, PartId};
use purfle_lang::resolve::noted::Target;

use super::document::Place;

/// The number of each part and of each finding on it: `7`, and `7.3` for the third finding of part 7.
#[derive(Debug)]
pub struct Numbering {
    parts: Vec<usize>,
    findings: Vec<(usize, usize)>,
    tables: usize,
}

impl Numbering {
    /// Numbers a book: contexts first, then pieces, each in the order written.
    pub fn new(book: &Book) -> Self {
        let order = parts_in_order(book);
        let mut parts = vec![0; book.parts.len()];
        for (at, part) in order.iter().enumerate() {
            if let Some(number) = parts.get_mut(part.index()) {
                *number = at + 1;
            }
        }
        let mut so_far = vec![0; book.parts.len()];
        let findings = book.findings.iter().map(|finding| {
            let on = finding.on.index();
            let count = so_far.get_mut(on).map_or(0, |count| {
                *count += 1;
                *count
            });
            (parts.get(on).copied().unwrap_or_default(), count)
        });
        let findings = findings.collect();
        Self { parts, findings, tables: book.tables.len() }
    }

    /// Where something stands; what has no place of its own stands where what it belongs to does.
    pub fn place(&self, target: Target) -> Place {
        let plain = |kind: &str, at: u32| Place::new(format!("{kind}-{at}"), "");
        let numbered = |kind: &str, letter: &str, at: usize| Place::new(format!("{kind}-{at}"), format!("{letter}{}", at + 1));
        match target {
            Target::Step(id) => plain("step", id.0),
            Target::Hand(id) => plain("hand", id.0),
            Target::Tier(id) => plain("tier", id.0),
            Target::Part(id) => {
                let number = self.parts.get(id.index()).copied().unwrap_or_default();
                Place::new(format!("part-{}", id.0), number.to_string())
            }
            Target::Place(part, _) => self.place(Target::Part(part)),
            Target::Look(id) | Target::Choice(id, _) => plain("look", id.0),
            Target::Finding(id) | Target::Way(id, _) => {
                let (part, at) = self.findings.get(id.index()).copied().unwrap_or_default();
                Place::new(format!("finding-{}", id.0), format!("{part}.{at}"))
            }
            Target::Work(id) => numbered("work", "W", id.index()),
            Target::Table(id) => numbered("table", "T", id.index()),
            // Tables and what is worked out stand in one chapter and share their numbers.
            Target::Reckon(id) => Place::new(format!("worked-{}", id.0), format!("T{}", self.tables + id.index() + 1)),
            Target::Raise(id) => numbered("raise", "R", id.index()),
            Target::Counsel(id) => numbered("advice", "A", id.index()),
            Target::Aid(id) => numbered("fund", "F", id.index()),
            Target::Rulebook(_) | Target::Dropped(_) => Place::new("house", ""),
        }
    }
}

/// Contexts first, then pieces.
pub fn parts_in_order(book: &Book) -> Vec<PartId> {
    let all = || (0..book.parts.len()).map(PartId::from_index);
    let (contexts, pieces) = (all().filter(|part| book[*part].context), all().filter(|part| !book[*part].context));
    contexts.chain(pieces).collect()
}

/// The findings on a part, in the order written.
pub fn findings_on(book: &Book, part: PartId) -> impl Iterator<Item = FindingId> {
    (0..book.findings.len()).map(FindingId::from_index).filter(move |finding| book[*finding].on == part)
}
