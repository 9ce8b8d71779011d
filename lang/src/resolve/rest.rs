//! Raises, counsels and repair funds.

use super::condition::condition;
use super::draft::{Draft, Once, missing_clause};
use super::expression::{share, sum};
use super::finding::names_once;
use crate::book::{Aid, Condition, Counsel, LookId, LookKind, Origin, PlaceAt, Raise, StepId};
use crate::diagnostic::Diagnostic;
use crate::span::Spanned;
use crate::syntax::tree::{self, ClauseKind, Expression, Item, Name, path_span};

/// Reads a raise.
pub fn raise(draft: &Draft, item: &Item, name: &Name, words: String, origin: Origin) -> Raise {
    let sink = &draft.sink;
    let (mut when, mut by) = (Once::<&tree::Condition>::default(), Once::<(Spanned<u32>, Option<&Name>)>::default());
    let mut parts: Vec<&Name> = Vec::new();
    for clause in &item.clauses {
        match &clause.kind {
            ClauseKind::When(condition) => when.set(sink, "when", clause.span, condition),
            ClauseKind::On { parts: written, .. } => parts.extend(written),
            ClauseKind::By { steps, cap } => by.set(sink, "by", clause.span, (*steps, cap.as_ref())),
            _ => {}
        }
    }
    let on = names_once(sink, &parts, |part| draft.names.part(part));
    let lacks = |word: &str, help: &str| {
        if !item.is_broken() {
            sink.push(missing_clause(&name.value, name.span, word, help));
        }
    };
    if when.is_empty() {
        lacks("when", "Add `when` and a condition.");
    }
    if parts.is_empty() {
        lacks("on", "Add `on` and the parts whose findings it raises.");
    }
    if by.is_empty() {
        lacks("by", "Add `by` and a number of steps, such as `by 1 step`.");
    }
    // A place is in hand only where all that is raised is on that one part.
    let scope = match on[..] {
        [part] => draft.scope().inside(part, true),
        _ => draft.scope(),
    };
    let (steps, cap) = by.get().map_or((1, None), |(steps, cap)| {
        if steps.value == 0 {
            let says = "A raise by 0 steps raises nothing.";
            sink.push(Diagnostic::error("outside-range", steps.span, says).help("Write 1 or more."));
        }
        (steps.value, *cap)
    });
    let top = StepId::from_index(draft.book.steps.len().saturating_sub(1));
    Raise {
        name: name.value.clone(),
        words,
        when: when.get().and_then(|written| condition(&scope, &draft.facts, written)).unwrap_or(nothing()),
        on,
        by: steps,
        cap: cap.and_then(|cap| sink.keep(draft.names.step(cap))).unwrap_or(top),
        origin,
    }
}

/// Reads a counsel.
pub fn counsel(draft: &Draft, item: &Item, name: &Name, words: String, origin: Origin) -> Counsel {
    let sink = &draft.sink;
    let mut when = Once::<&tree::Condition>::default();
    let (mut tell, mut first, mut basis) = (Vec::new(), Vec::new(), Vec::new());
    for clause in &item.clauses {
        match &clause.kind {
            ClauseKind::When(condition) => when.set(sink, "when", clause.span, condition),
            ClauseKind::Tell(text) => tell.push(text.value.clone()),
            ClauseKind::First(text) => first.push(text.value.clone()),
            ClauseKind::Basis(text) => basis.push(text.value.clone()),
            _ => {}
        }
    }
    if when.is_empty() && !item.is_broken() {
        sink.push(missing_clause(&name.value, name.span, "when", "Add `when` and a condition; it may ask for the totals."));
    }
    if tell.is_empty() && first.is_empty() && !item.is_broken() {
        sink.push(missing_clause(&name.value, name.span, "tell", "Add `tell` or `first` and the advice."));
    }
    let mut scope = draft.scope();
    scope.totals = true;
    let when = when.get().and_then(|written| condition(&scope, &draft.facts, written)).unwrap_or(nothing());
    Counsel { name: name.value.clone(), words, when, tell, first, basis, origin }
}

/// The clauses of a fund that may stand once.
#[derive(Default)]
struct Fund<'t> {
    who: Once<&'t tree::Condition>,
    above: Once<&'t Expression>,
    pays: Once<&'t Expression>,
    cap: Once<&'t Expression>,
    family: Once<&'t Expression>,
    beyond: Once<(&'t Expression, &'t [Name])>,
}

/// Reads a repair fund.
pub fn aid(draft: &Draft, item: &Item, name: &Name, words: String, origin: Origin) -> Aid {
    let sink = &draft.sink;
    let scope = draft.scope();
    let mut fund = Fund::default();
    let (mut covers, mut needs): (Vec<&Name>, Vec<&[Name]>) = (Vec::new(), Vec::new());
    for clause in &item.clauses {
        let span = clause.span;
        match &clause.kind {
            ClauseKind::For(condition) => fund.who.set(sink, "for", span, condition),
            ClauseKind::CoversAbove(sum) => fund.above.set(sink, "covers above", span, sum),
            ClauseKind::Covers(findings) => covers.extend(findings),
            ClauseKind::Pays(share) => fund.pays.set(sink, "pays", span, share),
            ClauseKind::Cap(sum) => fund.cap.set(sink, "cap", span, sum),
            ClauseKind::FamilyPays(sum) => fund.family.set(sink, "family pays", span, sum),
            ClauseKind::NotBeyond { share, of } => fund.beyond.set(sink, "not beyond", span, (share, of)),
            ClauseKind::Needs(paths) => needs.extend(paths.iter().map(Vec::as_slice)),
            _ => {}
        }
    }
    if covers.is_empty() && fund.above.is_empty() && !item.is_broken() {
        sink.push(missing_clause(&name.value, name.span, "covers", "Add `covers above` and a sum, or `covers` and findings."));
    }
    if fund.pays.is_empty() && !item.is_broken() {
        sink.push(missing_clause(&name.value, name.span, "pays", "Add `pays` and a percentage; `pays 100 %` is all of it."));
    }
    let money = |clause: &Once<&Expression>, subject: &str| clause.get().and_then(|written| sum(&scope, &draft.facts, written, subject));
    let beyond = fund.beyond.get().and_then(|(part, of)| {
        let part = share(&scope, &draft.facts, part, "The share of what it is worth");
        let look = whole_look(draft, of);
        let look = look.filter(|&look| priced(draft, look, of));
        Some((part?, look?))
    });
    Aid {
        name: name.value.clone(),
        words,
        who: fund.who.get().and_then(|written| condition(&scope, &draft.facts, written)),
        covers_above: money(&fund.above, "What `covers above` names"),
        covers: names_once(sink, &covers, |name| draft.names.finding(name)),
        pays: fund.pays.get().and_then(|written| share(&scope, &draft.facts, written, "What a fund pays")).unwrap_or_default(),
        cap: money(&fund.cap, "The most a fund pays"),
        family_pays: money(&fund.family, "What the family pays at least"),
        not_beyond: beyond,
        needs: needs.iter().filter_map(|path| whole_look(draft, path)).collect(),
        origin,
    }
}

/// A look of a part without places.
fn whole_look(draft: &Draft, path: &[Name]) -> Option<LookId> {
    let at = draft.sink.keep(draft.scope().look_at(path))?;
    if at.place != PlaceAt::Single {
        let says = "A fund asks for one answer, and this look is taken at several places.";
        draft.sink.push(Diagnostic::error("wrong-kind", path_span(path), says).help("Write a look of a part without places."));
        return None;
    }
    Some(at.look)
}

fn priced(draft: &Draft, look: LookId, path: &[Name]) -> bool {
    let scope = draft.scope();
    let Some(look) = scope.look(look) else { return false };
    let is_priced = matches!(look.kind, LookKind::Priced { .. });
    if !is_priced {
        let says = format!("`{}` is no price, so nothing can be held against a share of it.", look.name);
        draft.sink.push(Diagnostic::error("wrong-kind", path_span(path), says).help("Write a look that is `priced`."));
    }
    is_priced
}

/// Stands for a condition that could not be read.
pub fn nothing() -> Condition {
    Condition::All(Vec::new())
}
