//! What a finding becomes if it is left, and what becomes it.

use purfle_lang::book::FindingId;
use purfle_lang::resolve::noted::Target;
use purfle_lang::span::{FileId, Span};

use super::describe::percent;
use crate::analysis::Analysis;

/// A finding on a chain of `left becomes`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Station {
    /// Which; good for this analysis only.
    pub finding: FindingId,
    /// Its name.
    pub name: String,
    /// Its words.
    pub words: String,
    /// Its name where it is first written.
    pub at: Span,
    /// All of the item there.
    pub span: Span,
}

/// One arrow of the chain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// The finding at the other end.
    pub station: Station,
    /// Where the arrow is written, in the text of the finding that becomes the other.
    pub written: Span,
    /// `odds 20 % within 12 months`, as far as it is given.
    pub says: String,
}

/// The finding named at a byte.
pub fn prepare(analysis: &Analysis, file: FileId, offset: u32) -> Option<Station> {
    match analysis.note_at(file, offset)?.target {
        Target::Finding(finding) => station(analysis, finding),
        _ => None,
    }
}

/// What a finding becomes if it is left.
pub fn becomes(analysis: &Analysis, finding: FindingId) -> Vec<Step> {
    let Some(from) = analysis.shown().and_then(|book| book.findings.get(finding.index())) else { return Vec::new() };
    let arrows = from
        .becomes
        .iter()
        .filter_map(|arrow| Some(Step { station: station(analysis, arrow.to)?, written: arrow.span, says: says(arrow) }));
    arrows.collect()
}

/// What becomes a finding if it is left.
pub fn comes_of(analysis: &Analysis, finding: FindingId) -> Vec<Step> {
    let Some(book) = analysis.shown() else { return Vec::new() };
    let mut steps = Vec::new();
    for (at, from) in book.findings.iter().enumerate() {
        for arrow in from.becomes.iter().filter(|arrow| arrow.to == finding) {
            let Some(station) = station(analysis, FindingId::from_index(at)) else { continue };
            steps.push(Step { station, written: arrow.span, says: says(arrow) });
        }
    }
    steps
}

fn says(arrow: &purfle_lang::book::Arrow) -> String {
    let odds = arrow.odds.map(|odds| format!("odds {} %", percent(odds)));
    let within = arrow.within.map(|within| format!("within {within}"));
    odds.into_iter().chain(within).collect::<Vec<_>>().join(" ")
}

fn station(analysis: &Analysis, finding: FindingId) -> Option<Station> {
    let found = analysis.shown()?.findings.get(finding.index())?;
    let at = analysis.definition(Target::Finding(finding)).unwrap_or(found.origin.span);
    let item = analysis.items(at.file).iter().find(|item| item.entry.name_span() == at);
    let span = item.map_or(at, |item| item.entry.span);
    Some(Station { finding, name: found.name.clone(), words: found.words.clone(), at, span })
}
