//! The JSON report: version 1 of its shape. Fields may be added to it, never renamed without a new number.

use std::io::{self, Write};

use purfle_lang::book::{AidWord, Book, FindingId, HandId, PartId, PlayedWord, StateWord, StepId};
use purfle_lang::unit::format_date;
use serde::Serialize;
use serde::ser::{SerializeMap, Serializer};

use super::figures::{money, place_name, unaided_words};
use super::slip::first_lines;
use super::text::steers;
use super::triage::Settings;
use super::view::Said;
use crate::outcome::{Figure, Judged, Outcome, Range, Sum};
use crate::record::Record;
use crate::records::Refused;

/// The version of the report's shape.
pub const VERSION: u32 = 1;

#[derive(Serialize)]
struct Ends<T> {
    from: T,
    to: T,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct OutcomeView<'a> {
    record: &'a str,
    tag: Option<&'a str>,
    inspected_on: Option<String>,
    seen_again: Option<String>,
    played: &'static str,
    urgency: UrgencyView<'a>,
    due: Ends<Option<String>>,
    again: Option<String>,
    hands: Ends<Option<&'a str>>,
    first: Vec<&'a str>,
    cost: SumView,
    tier: Ends<&'a str>,
    left: LeftTotalView<'a>,
    findings: Vec<FindingView<'a>>,
    unseen: Vec<&'a str>,
    not_ruled_out: Vec<&'a str>,
    looks: Vec<LookView<'a>>,
    counsel: Vec<CounselView<'a>>,
    aid: Vec<AidView<'a>>,
    quoted: Option<String>,
    apart: Vec<ApartView<'a>>,
    noted: Pairs<'a>,
    carried: Pairs<'a>,
    source: &'a str,
    row: u64,
}

#[derive(Serialize)]
struct UrgencyView<'a> {
    from: &'a str,
    suspected: &'a str,
    to: &'a str,
    exact: bool,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct SumView {
    from: String,
    to: String,
    money: &'static str,
    exact: bool,
    or_more: bool,
    and_more: bool,
}

#[derive(Serialize)]
struct LeftTotalView<'a> {
    cost: SumView,
    tier: Ends<&'a str>,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct FindingView<'a> {
    finding: &'a str,
    place: Option<String>,
    state: &'static str,
    urgency: Ends<&'a str>,
    hands: &'a str,
    cost: SumView,
    ways: Vec<WayView<'a>>,
    left: FindingLeftView<'a>,
    yields_to: Option<&'a str>,
    words: &'a str,
    tell: &'a [String],
    refer: &'a [String],
    care: &'a [String],
}

#[derive(Serialize)]
struct WayView<'a> {
    way: &'a str,
    words: &'a str,
    cost: Option<SumView>,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct FindingLeftView<'a> {
    becomes: Vec<&'a str>,
    cost: SumView,
    expected_extra: Option<Ends<String>>,
}

#[derive(Serialize)]
struct LookView<'a> {
    look: String,
    place: Option<String>,
    can: Vec<&'static str>,
    again: bool,
    question: &'a str,
}

#[derive(Serialize)]
struct CounselView<'a> {
    counsel: &'a str,
    state: &'static str,
    tell: String,
}

#[derive(Serialize)]
struct AidView<'a> {
    aid: &'a str,
    state: &'static str,
    pays: Ends<String>,
    exact: bool,
    missing: Vec<String>,
    why: Option<&'static str>,
}

#[derive(Serialize)]
struct ApartView<'a> {
    part: &'a str,
    played: &'static str,
}

#[derive(Serialize)]
struct RefusedView<'a> {
    source: &'a str,
    row: u64,
    record: Option<&'a str>,
    field: Option<&'a str>,
    value: Option<&'a str>,
    why: &'a str,
    column: Option<&'a str>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    more: Vec<FaultView<'a>>,
    #[serde(skip_serializing_if = "is_none_left")]
    untold: usize,
}

#[derive(Serialize)]
struct FaultView<'a> {
    field: Option<&'a str>,
    value: Option<&'a str>,
    why: &'a str,
    column: Option<&'a str>,
}

fn is_none_left(count: &usize) -> bool {
    *count == 0
}

/// Names with their texts, written as an object in their order.
struct Pairs<'a>(Vec<(std::borrow::Cow<'a, str>, std::borrow::Cow<'a, str>)>);

impl Serialize for Pairs<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for (name, text) in &self.0 {
            map.serialize_entry(name, text)?;
        }
        map.end()
    }
}

/// One outcome as JSON.
pub fn outcome(out: &mut Vec<u8>, book: &Book, settings: &Settings, record: &Record, outcome: &Outcome) -> io::Result<()> {
    let step = |id: StepId| book[id].name.as_str();
    let hand = |id: Option<HandId>| id.map(|id| book[id].name.as_str());
    let part = |id: &PartId| book[*id].name.as_str();
    let carried = if settings.without_names { &[][..] } else { &record.carried };
    let mut not_ruled_out: Vec<&str> = Vec::new();
    for judged in &outcome.not_ruled_out {
        let name = book[judged.finding].name.as_str();
        if !not_ruled_out.contains(&name) {
            not_ruled_out.push(name);
        }
    }
    let view = OutcomeView {
        record: &record.id,
        tag: record.tag.as_deref(),
        inspected_on: record.inspected_on.map(format_date),
        seen_again: record.seen_again.map(format_date),
        played: played(outcome.played),
        urgency: UrgencyView {
            from: step(outcome.urgency.from),
            suspected: step(outcome.suspected),
            to: step(outcome.urgency.to),
            exact: outcome.urgency_exact,
        },
        due: Ends { from: outcome.due.from.map(format_date), to: outcome.due.to.map(format_date) },
        again: outcome.again.map(format_date),
        hands: Ends { from: hand(outcome.hands.from), to: hand(outcome.hands.to) },
        first: first_lines(book, outcome),
        cost: sum(book, &outcome.cost),
        tier: Ends { from: &book[outcome.tier.from].name, to: &book[outcome.tier.to].name },
        left: LeftTotalView {
            cost: sum(book, &outcome.left),
            tier: Ends { from: &book[outcome.left_tier.from].name, to: &book[outcome.left_tier.to].name },
        },
        findings: outcome.findings.iter().map(|judged| finding(book, judged)).collect(),
        unseen: outcome.unseen.iter().map(part).collect(),
        not_ruled_out,
        looks: outcome
            .looks
            .iter()
            .map(|next| LookView {
                look: book.look_path(next.look),
                place: place_name(book, book[next.look].part, next.at),
                can: next.can.iter().map(figure_name).collect(),
                again: next.again,
                question: &book[next.look].question,
            })
            .collect(),
        counsel: outcome
            .counsel
            .iter()
            .map(|(id, state)| CounselView {
                counsel: &book[*id].name,
                state: state_name(*state),
                tell: book[*id].tell.join("\n"),
            })
            .collect(),
        aid: outcome
            .aid
            .iter()
            .map(|aid| AidView {
                aid: &book[aid.aid].name,
                state: aid_name(aid.state),
                pays: Ends { from: money(book, aid.pays.from), to: money(book, aid.pays.to) },
                exact: aid.exact,
                // Where it is refused, no answer would change that.
                missing: match aid.state {
                    AidWord::Refused => Vec::new(),
                    _ => aid.missing.iter().map(|look| book.look_path(*look)).collect(),
                },
                why: aid.why.map(unaided_words),
            })
            .collect(),
        quoted: outcome.quoted.map(|quoted| money(book, quoted)),
        apart: outcome.apart.iter().map(|(id, word)| ApartView { part: part(id), played: played(*word) }).collect(),
        noted: Pairs(
            Said::all(book, record, settings.without_names)
                .filter(|said| said.is_note(book))
                .map(|said| (said.field(book).into(), said.value(book).into()))
                .collect(),
        ),
        carried: Pairs(carried.iter().map(|(name, text)| (name.as_str().into(), text.as_str().into())).collect()),
        source: &record.source.file,
        row: record.source.row,
    };
    write(out, &view)
}

/// One refused record as JSON.
pub fn refused(out: &mut Vec<u8>, refused: &Refused) -> io::Result<()> {
    let Some((first, more)) = refused.faults.split_first() else { return Ok(()) };
    let view = RefusedView {
        source: &refused.source.file,
        row: refused.source.row,
        record: refused.record.as_deref(),
        field: first.field.as_deref(),
        value: first.value.as_deref(),
        why: &first.why,
        column: first.column.as_deref(),
        more: more
            .iter()
            .map(|fault| FaultView {
                field: fault.field.as_deref(),
                value: fault.value.as_deref(),
                why: &fault.why,
                column: fault.column.as_deref(),
            })
            .collect(),
        untold: refused.untold,
    };
    write(out, &view)
}

fn finding<'a>(book: &'a Book, judged: &Judged) -> FindingView<'a> {
    let finding = &book[judged.finding];
    let step = |id: StepId| book[id].name.as_str();
    let name = |id: FindingId| book[id].name.as_str();
    FindingView {
        finding: &finding.name,
        place: place_name(book, finding.on, judged.at),
        state: state_name(judged.state),
        urgency: Ends { from: step(judged.urgency.from), to: step(judged.urgency.to) },
        hands: &book[finding.counted_hands()].name,
        cost: sum(book, &judged.cost),
        ways: finding
            .ways
            .iter()
            .enumerate()
            .map(|(at, way)| WayView {
                way: &way.name,
                words: &way.words,
                cost: judged.ways.get(at).map(|price| sum(book, price)),
            })
            .collect(),
        left: FindingLeftView {
            becomes: finding.becomes.iter().map(|arrow| name(arrow.to)).collect(),
            cost: sum(book, &judged.left),
            expected_extra: judged.expected_extra.map(|Range { from, to }| Ends { from: money(book, from), to: money(book, to) }),
        },
        yields_to: judged.yields_to.map(name),
        words: &finding.words,
        tell: &finding.tell,
        refer: &finding.refer,
        care: &finding.care,
    }
}

fn sum(book: &Book, sum: &Sum) -> SumView {
    SumView {
        from: money(book, sum.from),
        to: money(book, sum.to),
        money: book.money.code(),
        exact: sum.exact,
        or_more: sum.or_more,
        and_more: sum.and_more,
    }
}

/// `yes`, `no`, `open`.
pub fn played(word: PlayedWord) -> &'static str {
    match word {
        PlayedWord::Yes => "yes",
        PlayedWord::No => "no",
        PlayedWord::Open => "open",
    }
}

/// `found`, `clear`, `open`, `suspected`.
pub fn state_name(state: StateWord) -> &'static str {
    match state {
        StateWord::Found => "found",
        StateWord::Clear => "clear",
        StateWord::Open => "open",
        StateWord::Suspected => "suspected",
    }
}

/// `eligible`, `refused`, `open`.
pub fn aid_name(word: AidWord) -> &'static str {
    match word {
        AidWord::Eligible => "eligible",
        AidWord::Refused => "refused",
        AidWord::Open => "open",
    }
}

fn figure_name(figure: Figure) -> &'static str {
    match figure {
        Figure::Played => "played",
        Figure::Urgency => "urgency",
        Figure::Hands => "hands",
        Figure::Cost => "cost",
        Figure::Left => "left",
        Figure::Aid => "aid",
        Figure::Counsel => "counsel",
    }
}

/// Writes a value on one line, every character that steers a terminal or turns a line about escaped.
pub fn write<T: Serialize>(out: &mut Vec<u8>, value: &T) -> io::Result<()> {
    let mut serializer = serde_json::Serializer::with_formatter(out, Escaping);
    value.serialize(&mut serializer).map_err(io::Error::other)
}

struct Escaping;

impl serde_json::ser::Formatter for Escaping {
    fn write_string_fragment<W: ?Sized + Write>(&mut self, writer: &mut W, fragment: &str) -> io::Result<()> {
        let mut written = 0;
        for (at, character) in fragment.char_indices().filter(|(_, character)| steers(*character)) {
            writer.write_all(&fragment.as_bytes()[written..at])?;
            write!(writer, "\\u{:04x}", u32::from(character))?;
            written = at + character.len_utf8();
        }
        writer.write_all(&fragment.as_bytes()[written..])
    }
}

#[cfg(test)]
mod tests {
    use super::write;

    #[test]
    fn what_steers_is_escaped_and_comes_back() {
        let text = "a\u{202e}b\u{1b}[0m\u{85}é\n\"";
        let mut out = Vec::new();
        write(&mut out, &text).expect("memory to write to");
        assert!(out.iter().filter(|byte| !byte.is_ascii()).count() == 2, "only é is left as it is");
        assert_eq!(serde_json::from_slice::<String>(&out).expect("JSON"), text);
    }
}
