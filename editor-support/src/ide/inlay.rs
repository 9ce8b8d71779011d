//! Small remarks within the lines: what a finding costs and in which tier, and what an `alter` replaced.

use purfle::by_itself::Figure;
use purfle::report::{minor, money_range};
use purfle_lang::book::{Book, FindingId};
use purfle_lang::number::{Number, format_scaled};
use purfle_lang::resolve::noted::Target;
use purfle_lang::span::{FileId, Span};
use purfle_lang::syntax::tree::{Clause, Doing, Entry, Head, Item, Kind, Says};

use super::markup::block;
use super::source::one_line;
use crate::analysis::Analysis;

/// A remark behind a byte.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Inlay {
    /// Where: an empty span.
    pub at: Span,
    /// What stands there.
    pub label: String,
    /// More of it, in Markdown.
    pub tip: String,
}

/// The longest label of what was replaced; all of it stands in the tip.
const LONGEST: usize = 48;

/// The remarks in a range of a text. Costs stand there where the figures were worked out before.
pub fn inlays(analysis: &Analysis, file: FileId, from: u32, to: u32) -> Vec<Inlay> {
    let mut inlays = Vec::new();
    for item in analysis.items(file) {
        let span = item.entry.span;
        if span.end < from || to < span.start {
            continue;
        }
        match item.doing {
            Doing::Writes => inlays.extend(cost(analysis, item)),
            Doing::Alters { .. } => {
                inlays.extend(cost(analysis, item));
                replaced(analysis, &item.entry, &mut inlays);
            }
            Doing::Drops { .. } => {}
        }
    }
    inlays.retain(|inlay| from <= inlay.at.start && inlay.at.start <= to);
    inlays.sort_by_key(|inlay| inlay.at.start);
    inlays
}

/// What a finding costs, behind its own line.
fn cost(analysis: &Analysis, item: &Item) -> Option<Inlay> {
    let name = item.entry.name.as_ref().filter(|_| item.entry.kind == Kind::Finding)?;
    let Target::Finding(finding) = analysis.note_at(name.span.file, name.span.start)?.target else { return None };
    let (book, figure) = (analysis.book()?, analysis.known_figures()?.get(finding)?);
    let end = item.entry.line.end;
    Some(Inlay {
        at: Span { start: end, end, ..name.span },
        label: label(book, finding, figure),
        tip: tip(book, finding, figure),
    })
}

/// `40 to 85 USD, bench`
fn label(book: &Book, finding: FindingId, figure: &Figure) -> String {
    let cost = &figure.cost;
    let nothing = Number::from_integer(0);
    if (cost.from, cost.to) == (nothing, nothing) {
        let on_sight = book.findings.get(finding.index()).is_some_and(|finding| finding.counted_cost().on_sight);
        return if on_sight { "on sight" } else { "costs nothing" }.to_owned();
    }
    let tier = |sum: Number| {
        let places = book.money.minor_places();
        let printed = purfle_lang::number::parse_decimal(&format_scaled(minor(sum, places), places)).unwrap_or(sum);
        book.tiers.get(book.tier_of(printed).index()).map_or("", |tier| tier.name.as_str())
    };
    let (low, high) = (tier(cost.from), tier(cost.to));
    let tier = if low == high { low.to_owned() } else { format!("{low} to {high}") };
    let more = if cost.and_more { " and more" } else { "" };
    format!("{}{more}, {tier}", money_range(book, cost.from, cost.to))
}

fn tip(book: &Book, finding: FindingId, figure: &Figure) -> String {
    let becomes = book.findings.get(finding.index()).is_some_and(|finding| !finding.becomes.is_empty());
    let left = if becomes { format!("\n\nIf left: {}", purfle::report::sum(book, &figure.left)) } else { String::new() };
    format!("As the only job, over every instrument: {}{left}", purfle::report::sum(book, &figure.cost))
}

/// What stood where an `alter` writes something again.
fn replaced(analysis: &Analysis, written: &Entry, inlays: &mut Vec<Inlay>) {
    let Some(before) = before(analysis, written) else { return };
    heads(analysis, before, written, inlays);
    let mut told: Vec<&str> = Vec::new();
    for clause in &written.clauses {
        match &clause.says {
            Says::Entry(inner) => {
                let old = before.entries(inner.kind).find(|old| old.name_text() == inner.name_text());
                if let Some(old) = old {
                    push(analysis, inner.line, &[old.line], inlays);
                }
            }
            Says::Row(row) => {
                let keys =
                    |row: &purfle_lang::syntax::tree::Row| row.keys.iter().map(|key| key.value.clone()).collect::<Vec<_>>();
                let old = before.all("row").find(|old| matches!(&old.says, Says::Row(old) if keys(old) == keys(row)));
                if let Some(Clause { says: Says::Row(old), .. }) = old {
                    push(analysis, clause.span, &[old.value.span], inlays);
                }
            }
            Says::Broken => {}
            _ if told.contains(&clause.word) => {}
            _ => {
                // Of one clause word the lines here replace all lines there.
                told.push(clause.word);
                let old: Vec<Span> = before.all(clause.word).map(|old| old.span).collect();
                push(analysis, clause.span, &old, inlays);
            }
        }
    }
}

/// The entry of the rulebooks further up that is altered.
fn before<'a>(analysis: &'a Analysis, written: &Entry) -> Option<&'a Entry> {
    let entries = analysis.parents().entries.iter().map(|entry| &**entry);
    let same =
        |one: Kind, other: Kind| one == other || matches!((one, other), (Kind::Part | Kind::Context, Kind::Part | Kind::Context));
    let holder = match written.kind {
        Kind::Look | Kind::Place => Kind::Part,
        Kind::Way => Kind::Finding,
        Kind::Step => Kind::Urgency,
        Kind::Hand => Kind::Hands,
        Kind::Tier => Kind::Tiers,
        kind => {
            return entries.into_iter().find(|entry| same(entry.kind, kind) && entry.name_text() == written.name_text());
        }
    };
    let owner = written.owner.as_ref().map(|owner| owner.value.as_str());
    let mut holders = entries.filter(|entry| same(entry.kind, holder) && owner.is_none_or(|owner| entry.name_text() == owner));
    holders.find_map(|entry| entry.entries(written.kind).find(|entry| entry.name_text() == written.name_text()))
}

/// What stood on the entry's own line.
fn heads(analysis: &Analysis, before: &Entry, written: &Entry, inlays: &mut Vec<Inlay>) {
    let old = match (&before.head, &written.head) {
        (Head::Work { amount: Some(old), .. }, Head::Work { amount: Some(_), .. }) => Some(old.span),
        (Head::Reckon { value: Some(old) }, Head::Reckon { value: Some(_) }) => Some(old.span),
        (Head::Hand { rate: Some(old) }, Head::Hand { rate: Some(_) }) => Some(old.span()),
        (Head::Step { .. }, Head::Step { within: Some(_), .. })
        | (Head::Tier { .. }, Head::Tier { limit: Some(_) })
        | (Head::Look { .. }, Head::Look { kind: Some(_) }) => Some(before.line),
        _ => None,
    };
    let end = match &written.head {
        Head::Work { amount: Some(amount), .. } => Some(amount.span),
        Head::Reckon { value: Some(value) } => Some(value.span),
        Head::Hand { rate: Some(rate) } => Some(rate.span()),
        _ => Some(written.line),
    };
    if let (Some(old), Some(end)) = (old, end) {
        push(analysis, end, &[old], inlays);
    }
}

/// Says behind `new` what stood there, unless it says the same.
fn push(analysis: &Analysis, new: Span, old: &[Span], inlays: &mut Vec<Inlay>) {
    let lines: Vec<String> = old.iter().map(|span| one_line(analysis, *span)).collect();
    if lines.is_empty() || lines == [one_line(analysis, new)] {
        return;
    }
    let whole = lines.join("; ");
    let short: String = match whole.char_indices().nth(LONGEST) {
        Some((at, _)) => format!("{}…", &whole[..at]),
        None => whole,
    };
    let place = Span { start: new.end, end: new.end, ..new };
    // It stands at the end of a line, never between a word and its comma.
    inlays.push(Inlay { at: place, label: format!("was {short}"), tip: block(&lines.join("\n")) });
}
