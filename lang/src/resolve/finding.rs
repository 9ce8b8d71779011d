//! Findings: every clause of one, and what it becomes.

use super::condition::condition;
use super::costs::{self, Place, cost};
use super::draft::{Draft, missing_clause};
use super::expression::share;
use super::ladders::words;
use super::names::Sink;
use super::quantity::read_duration;
use super::scope::Scope;
use super::ways::ways;
use crate::book::{self, Condition, Cost, Finding, FindingId, HandId, Origin, PartId, UrgencyLine};
use crate::diagnostic::Diagnostic;
use crate::span::Span;
use crate::syntax::tree::{Arrow, Cond, Entry, Kind, Name, On, Quantity, Says, UrgencyLine as WrittenUrgency};

/// The clauses of a finding, sorted by what they say.
#[derive(Default)]
struct Sorted<'t> {
    on: Option<&'t On>,
    signs: Option<&'t Cond>,
    unless: Vec<&'t Cond>,
    urgency: Vec<(&'t WrittenUrgency, Span)>,
    again: Option<&'t Quantity>,
    left: Vec<&'t Arrow>,
    yields_to: Vec<&'t Name>,
    care: Vec<String>,
    basis: Vec<String>,
    first: Vec<String>,
    own: Mending<'t>,
}

/// What a finding or one of its ways says of mending it.
#[derive(Default)]
pub struct Mending<'t> {
    /// What it costs.
    pub cost: costs::Written<'t>,
    /// Who does it.
    pub hands: Option<&'t Name>,
    /// For the player.
    pub tell: Vec<String>,
    /// For the luthier.
    pub refer: Vec<String>,
}

/// Reads a finding. What has an error is left out; the book it goes into is then never handed out.
pub fn finding(draft: &Draft, id: FindingId, entry: &Entry, name: &Name, origin: Origin) -> Finding {
    let sorted = sort(entry);
    let scope = draft.scope();
    let lacks = |word: &str, help: &str| {
        if !entry.has(word) {
            draft.sink.push(missing_clause(&name.value, name.span, word, help));
        }
    };
    let (part, each) = on(draft, &sorted, &lacks);
    // Without its part a finding's plain names mean nothing, and every one of them would be one more error.
    let inside = part.map(|part| scope.inside(part, each));
    let read = |written: &Cond| inside.as_ref().and_then(|inside| condition(inside, &draft.facts, written));
    lacks("signs", "Add `signs` and what is seen where it holds.");
    let signs = sorted.signs.and_then(&read);
    let unless = sorted.unless.iter().filter_map(|written| read(written)).collect();
    let urgency = urgency_lines(draft, entry, &sorted, name, &read, &lacks);
    let hands = sorted.own.hands.and_then(|hand| draft.sink.keep(draft.names.hand(hand)));
    let mut way_entries = entry.entries(Kind::Way).peekable();
    let has_ways = way_entries.peek().is_some();
    if !has_ways || way_entries.any(|way| !way.has("hands")) {
        lacks("hands", "Add `hands` and who may do the work.");
    }
    let cost_scope = inside.as_ref().unwrap_or(&scope);
    let mut own_cost = Cost::default();
    if !has_ways {
        own_cost = cost(draft, cost_scope, &sorted.own.cost, &Place { part, each, name });
    } else if let Some(span) = sorted.own.cost.spans.first() {
        let says = format!("`{}` has ways to mend it, and costs of its own beside them.", name.value);
        let mut diagnostic = Diagnostic::error("cost-beside-ways", *span, says).help("Move this under the way it belongs to.");
        if let Some(way) = entry.entries(Kind::Way).next() {
            diagnostic = diagnostic.place(way.name_span(), "the first way");
        }
        draft.sink.push(diagnostic);
    }
    let ways = ways(draft, cost_scope, (id, entry), (part, each), hands);
    Finding {
        name: name.value.clone(),
        words: words(entry),
        on: part.unwrap_or(PartId::from_index(0)),
        each: each && part.is_some_and(|part| scope.repeats_at_all(part)),
        signs: signs.unwrap_or(Condition::All(Vec::new())),
        unless,
        urgency,
        hands: hands.or(ways.first().map(|way| way.hands)).unwrap_or(HandId::from_index(0)),
        cost: own_cost,
        ways,
        becomes: sorted.left.iter().filter_map(|left| arrow(draft, &scope, left)).collect(),
        again: sorted.again.and_then(|written| read_duration(&draft.scope(), written)),
        yields_to: names_once(&draft.sink, &sorted.yields_to, |name| draft.names.finding(name)),
        first: sorted.first,
        tell: sorted.own.tell,
        refer: sorted.own.refer,
        care: sorted.care,
        basis: sorted.basis,
        origin,
    }
}

fn sort(entry: &Entry) -> Sorted<'_> {
    let mut sorted = Sorted::default();
    for clause in &entry.clauses {
        let span = clause.span;
        match &clause.says {
            Says::On(on) => sorted.on = Some(on),
            Says::Signs(condition) => sorted.signs = Some(condition),
            Says::Unless(condition) => sorted.unless.push(condition),
            Says::Urgency(line) => sorted.urgency.push((line, span)),
            Says::Again(within) => sorted.again = Some(within),
            Says::Left(arrow) => sorted.left.push(arrow),
            Says::YieldsTo(findings) => sorted.yields_to.extend(findings),
            Says::Care(text) => sorted.care.push(text.value.clone()),
            Says::Basis(text) => sorted.basis.push(text.value.clone()),
            Says::First(text) => sorted.first.push(text.value.clone()),
            _ => sorted.own.take(clause),
        }
    }
    sorted
}

/// The part a finding is on, and whether on each of its places.
fn on(draft: &Draft, sorted: &Sorted, lacks: &dyn Fn(&str, &str)) -> (Option<PartId>, bool) {
    let Some(On { each, part: name }) = sorted.on else {
        lacks("on", "Add `on` and the part, or `on each` and the part.");
        return (None, false);
    };
    let part = draft.sink.keep(draft.names.part(name));
    if let Some(part) = part
        && *each
        && !draft.scope().repeats_at_all(part)
        && !draft.names.inside.get(part.index()).is_some_and(|inside| inside.lost_place)
    {
        let says = format!("`{}` has no places, so nothing is on each of them.", name.value);
        draft.sink.push(Diagnostic::error("no-places", name.span, says).help(format!("Write `on {}`.", name.value)));
    }
    (part, *each)
}

/// The urgency lines; one of them at least has no `if`.
fn urgency_lines(
    draft: &Draft,
    entry: &Entry,
    sorted: &Sorted,
    name: &Name,
    read: &dyn Fn(&Cond) -> Option<Condition>,
    lacks: &dyn Fn(&str, &str),
) -> Vec<UrgencyLine> {
    lacks("urgency", "Add `urgency` and a step of the ladder.");
    let broken = entry.all("urgency").any(|clause| matches!(clause.says, Says::Broken));
    if let Some((_, first)) = sorted.urgency.first()
        && !broken
        && sorted.urgency.iter().all(|(line, _)| line.when.is_some())
    {
        let says = format!("Every `urgency` of `{}` has an `if`, so there may be none that counts.", name.value);
        draft.sink.push(
            Diagnostic::error("no-plain-urgency", *first, says)
                .help("Add an `urgency` line without `if`, the mildest it can be."),
        );
    }
    let lines = sorted.urgency.iter().filter_map(|(line, span)| {
        let step = draft.sink.keep(draft.names.step(&line.step));
        let when = match line.when.as_ref().map(read) {
            None => None,
            Some(when) => Some(when?),
        };
        Some(UrgencyLine { step: step?, when, span: *span })
    });
    lines.collect()
}

/// `left becomes F odds N % within DURATION`.
fn arrow(draft: &Draft, scope: &Scope, left: &Arrow) -> Option<book::Arrow> {
    let to = draft.sink.keep(draft.names.finding(&left.to));
    let odds = left.odds.as_ref().and_then(|odds| share(scope, odds, "The likelihood"));
    let within = left.within.as_ref().and_then(|written| read_duration(&draft.scope(), written));
    Some(book::Arrow { to: to?, odds, within, span: left.to.span })
}

/// Every name looked up; a second mention of one is reported.
pub fn names_once<I: Copy + PartialEq>(sink: &Sink, names: &[&Name], find: impl Fn(&Name) -> Result<I, Diagnostic>) -> Vec<I> {
    let mut found: Vec<I> = Vec::new();
    for name in names {
        let Some(id) = sink.keep(find(name)) else { continue };
        if found.contains(&id) {
            let says = format!("`{}` stands here twice.", name.value);
            sink.push(Diagnostic::error("name-twice", name.span, says).help("Take one of the two out."));
        } else {
            found.push(id);
        }
    }
    found
}
