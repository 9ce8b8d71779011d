//! Findings: every clause of one, its ways, and what it becomes.

use super::condition::condition;
use super::costs::{self, Place, cost};
use super::draft::{Draft, Once, missing_clause};
use super::expression::share;
use super::names::Sink;
use super::quantity::duration;
use super::scope::Scope;
use crate::book::{Arrow, Condition, Cost, Finding, HandId, Origin, PartId, UrgencyLine, Way};
use crate::diagnostic::Diagnostic;
use crate::number::Number;
use crate::span::{Span, Spanned};
use crate::syntax::tree::{self, ClauseKind, Expression, Item, Name};
use crate::unit::Unit;

/// The clauses of a finding, sorted by what they say.
#[derive(Default)]
struct Sorted<'t> {
    on: Once<(bool, &'t [Name])>,
    signs: Once<&'t tree::Condition>,
    unless: Vec<&'t tree::Condition>,
    urgency: Vec<(&'t Name, Option<&'t tree::Condition>, Span)>,
    again: Once<Spanned<(Number, Unit)>>,
    left: Vec<Left<'t>>,
    yields_to: Vec<&'t Name>,
    care: Vec<String>,
    basis: Vec<String>,
    first: Vec<String>,
    own: Mending<'t>,
    ways: Vec<(&'t Name, String, Mending<'t>)>,
    broken: bool,
}

struct Left<'t> {
    to: &'t Name,
    odds: Option<&'t Expression>,
    within: Option<Spanned<(Number, Unit)>>,
    span: Span,
}

/// What a finding or one of its ways says of mending it.
#[derive(Default)]
struct Mending<'t> {
    cost: costs::Written<'t>,
    hands: Once<&'t Name>,
    tell: Vec<String>,
    refer: Vec<String>,
}

/// Reads a finding. What has an error is left out; the book it goes into is then never handed out.
pub fn finding(draft: &Draft, item: &Item, name: &Name, words: String, origin: Origin) -> Finding {
    let sorted = sort(&draft.sink, item);
    let scope = draft.scope();
    let lacks = |word: &str, help: &str| {
        if !sorted.broken {
            draft.sink.push(missing_clause(&name.value, name.span, word, help));
        }
    };
    let (part, each) = on(draft, &sorted, &lacks);
    // Without its part a finding's plain names mean nothing, and every one of them would be one more error.
    let inside = part.map(|part| scope.inside(part, each));
    let read = |written: &tree::Condition| inside.as_ref().and_then(|inside| condition(inside, &draft.facts, written));
    if sorted.signs.is_empty() {
        lacks("signs", "Add `signs` and what is seen where it holds.");
    }
    let signs = sorted.signs.get().and_then(|written| read(written));
    let unless = sorted.unless.iter().filter_map(|written| read(written)).collect();
    let urgency = urgency_lines(draft, &sorted, name, &read, &lacks);
    let hands = sorted.own.hands.get().and_then(|hand| draft.sink.keep(draft.names.hand(hand)));
    let ways_have_hands = !sorted.ways.is_empty() && sorted.ways.iter().all(|(_, _, way)| !way.hands.is_empty());
    if sorted.own.hands.is_empty() && !ways_have_hands {
        lacks("hands", "Add `hands` and who may do the work.");
    }
    let cost_scope = inside.as_ref().unwrap_or(&scope);
    let mut own_cost = Cost::default();
    if sorted.ways.is_empty() {
        own_cost = cost(draft, cost_scope, &sorted.own.cost, &Place { part, each, name });
    } else if let Some(span) = sorted.own.cost.spans.first() {
        let says = format!("`{}` has ways to mend it, and costs of its own beside them.", name.value);
        draft.sink.push(
            Diagnostic::error("cost-beside-ways", *span, says)
                .help("Move this under the way it belongs to.")
                .place(sorted.ways[0].0.span, "the first way"),
        );
    }
    let ways: Vec<Way> = sorted.ways.iter().map(|(way, words, mending)| {
        let hands_read = mending.hands.get().and_then(|hand| draft.sink.keep(draft.names.hand(hand)));
        Way {
            name: way.value.clone(),
            words: words.clone(),
            hands: hands_read.or(hands).unwrap_or(HandId::from_index(0)),
            cost: cost(draft, cost_scope, &mending.cost, &Place { part, each, name: way }),
            tell: mending.tell.clone(),
            refer: mending.refer.clone(),
        }
    }).collect();
    Finding {
        name: name.value.clone(),
        words,
        on: part.unwrap_or(PartId::from_index(0)),
        each: each && part.is_some_and(|part| scope.repeats_at_all(part)),
        signs: signs.unwrap_or(Condition::All(Vec::new())),
        unless,
        urgency,
        hands: hands.or(ways.first().map(|way| way.hands)).unwrap_or(HandId::from_index(0)),
        cost: own_cost,
        ways,
        becomes: sorted.left.iter().filter_map(|left| arrow(draft, &scope, left)).collect(),
        again: sorted.again.get().and_then(|written| draft.sink.keep(duration(written.value.0, written.value.1, written.span))),
        yields_to: names_once(&draft.sink, &sorted.yields_to, |name| draft.names.finding(name)),
        first: sorted.first,
        tell: sorted.own.tell,
        refer: sorted.own.refer,
        care: sorted.care,
        basis: sorted.basis,
        origin,
    }
}

/// Sorts the clauses; those after a `way` belong to it.
fn sort<'t>(sink: &Sink, item: &'t Item) -> Sorted<'t> {
    let mut sorted = Sorted { broken: item.is_broken(), ..Sorted::default() };
    for clause in &item.clauses {
        let span = clause.span;
        let mending = match sorted.ways.last_mut() {
            Some((_, _, way)) => way,
            None => &mut sorted.own,
        };
        match &clause.kind {
            ClauseKind::Work(work) => {
                mending.cost.work.extend(work);
                mending.cost.spans.push(span);
            }
            ClauseKind::Goods { words, price } => {
                mending.cost.goods.push((words, price));
                mending.cost.spans.push(span);
            }
            ClauseKind::CostOnSight | ClauseKind::CostNothing => {
                mending.cost.cost.push((matches!(clause.kind, ClauseKind::CostOnSight), span));
                mending.cost.spans.push(span);
            }
            ClauseKind::HandsOf(hand) => mending.hands.set(sink, "hands", span, hand),
            ClauseKind::Tell(text) => mending.tell.push(text.value.clone()),
            ClauseKind::Refer(text) => mending.refer.push(text.value.clone()),
            // Whatever it was, nothing is said to be missing.
            ClauseKind::Broken => mending.cost.broken = true,
            ClauseKind::Way { name, words } => {
                let words = words.as_ref().map_or_else(|| name.value.clone(), |words| words.value.clone());
                if let Some((first, ..)) = sorted.ways.iter().find(|(other, ..)| other.value == name.value) {
                    let says = format!("There are two ways called `{}`.", name.value);
                    sink.push(Diagnostic::error("name-twice", name.span, says).help("Give this one another name.").place(first.span, "first written here"));
                }
                sorted.ways.push((name, words, Mending::default()));
            }
            ClauseKind::On { each, parts } => sorted.on.set(sink, "on", span, (*each, parts)),
            ClauseKind::Signs(condition) => sorted.signs.set(sink, "signs", span, condition),
            ClauseKind::Unless(condition) => sorted.unless.push(condition),
            ClauseKind::Urgency { step, when } => sorted.urgency.push((step, when.as_ref(), span)),
            ClauseKind::Again(within) => sorted.again.set(sink, "again", span, *within),
            ClauseKind::Left { to, odds, within } => sorted.left.push(Left { to, odds: odds.as_ref(), within: *within, span }),
            ClauseKind::YieldsTo(findings) => sorted.yields_to.extend(findings),
            ClauseKind::Care(text) => sorted.care.push(text.value.clone()),
            ClauseKind::Basis(text) => sorted.basis.push(text.value.clone()),
            ClauseKind::First(text) => sorted.first.push(text.value.clone()),
            _ => {}
        }
    }
    sorted
}

/// The part a finding is on, and whether on each of its places.
fn on(draft: &Draft, sorted: &Sorted, lacks: &dyn Fn(&str, &str)) -> (Option<PartId>, bool) {
    let Some((each, parts)) = sorted.on.get() else {
        lacks("on", "Add `on` and the part, or `on each` and the part.");
        return (None, false);
    };
    let Some(first) = parts.first() else { return (None, *each) };
    if let Some(second) = parts.get(1) {
        let says = "A finding is on one part.";
        draft.sink.push(Diagnostic::error("wrong-count", second.span, says).help("Write a finding for each part, or test the other part in `signs`."));
    }
    let part = draft.sink.keep(draft.names.part(first));
    if let Some(part) = part
        && *each
        && !draft.scope().repeats_at_all(part)
    {
        let says = format!("`{}` has no places, so nothing is on each of them.", first.value);
        draft.sink.push(Diagnostic::error("no-places", first.span, says).help(format!("Write `on {}`.", first.value)));
    }
    (part, *each)
}

/// The urgency lines; one of them at least has no `if`.
fn urgency_lines(
    draft: &Draft,
    sorted: &Sorted,
    name: &Name,
    read: &dyn Fn(&tree::Condition) -> Option<Condition>,
    lacks: &dyn Fn(&str, &str),
) -> Vec<UrgencyLine> {
    if sorted.urgency.is_empty() {
        lacks("urgency", "Add `urgency` and a step of the ladder.");
    } else if !sorted.broken && sorted.urgency.iter().all(|(_, when, _)| when.is_some()) {
        let says = format!("Every `urgency` of `{}` has an `if`, so there may be none that counts.", name.value);
        draft.sink.push(
            Diagnostic::error("no-plain-urgency", sorted.urgency[0].2, says).help("Add an `urgency` line without `if`, the mildest it can be."),
        );
    }
    let lines = sorted.urgency.iter().filter_map(|(step, when, span)| {
        let step = draft.sink.keep(draft.names.step(step));
        let when = when.map(read);
        Some(UrgencyLine { step: step?, when: match when { None => None, Some(read) => Some(read?) }, span: *span })
    });
    lines.collect()
}

/// `left becomes F odds N % within DURATION`.
fn arrow(draft: &Draft, scope: &Scope, left: &Left) -> Option<Arrow> {
    let to = draft.sink.keep(draft.names.finding(left.to));
    let odds = left.odds.and_then(|odds| share(scope, &draft.facts, odds, "The odds"));
    let within = left.within.and_then(|written| draft.sink.keep(duration(written.value.0, written.value.1, written.span)));
    Some(Arrow { to: to?, odds, within, span: left.span })
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
