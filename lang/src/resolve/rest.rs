//! Raises, counsels and repair funds.

use super::condition::condition;
use super::draft::{Draft, missing_clause};
use super::expression::{share, sum};
use super::finding::names_once;
use super::ladders::words;
use super::names::Sink;
use crate::book::{Aid, Condition, Counsel, LookId, LookKind, Origin, PlaceAt, Raise, StepId};
use crate::diagnostic::Diagnostic;
use crate::span::Spanned;
use crate::syntax::tree::{Cond, Entry, Name, Path, Quantity, Says};

/// Reads a raise.
pub fn raise(draft: &Draft, entry: &Entry, name: &Name, origin: Origin) -> Raise {
    let sink = &draft.sink;
    let (mut when, mut by) = (Option::<&Cond>::None, Option::<(&Spanned<String>, Option<&Name>)>::default());
    let mut parts: Vec<&Name> = Vec::new();
    for clause in &entry.clauses {
        match &clause.says {
            Says::When(condition) => when = Some(condition),
            Says::OnParts(written) => parts.extend(written),
            Says::By { steps, cap } => by = Some((steps, cap.as_ref())),
            _ => {}
        }
    }
    let on = names_once(sink, &parts, |part| draft.names.part(part));
    let lacks = |word: &str, help: &str| {
        if !entry.has(word) {
            sink.push(missing_clause(&name.value, name.span, word, help));
        }
    };
    lacks("when", "Add `when` and a condition.");
    lacks("on", "Add `on` and the parts whose findings it raises.");
    lacks("by", "Add `by` and a number of steps, such as `by 1 step`.");
    // A place is in hand only where all that is raised is on that one part.
    let scope = match on[..] {
        [part] => draft.scope().inside(part, true),
        _ => draft.scope(),
    };
    let (steps, cap) = by.map_or((1, None), |(steps, cap)| (count_of(sink, steps), cap));
    let top = StepId::from_index(draft.book.steps.len().saturating_sub(1));
    Raise {
        name: name.value.clone(),
        words: words(entry),
        when: when.and_then(|written| condition(&scope, &draft.facts, written)).unwrap_or(nothing()),
        on,
        by: steps,
        cap: cap.and_then(|cap| sink.keep(draft.names.step(cap))).unwrap_or(top),
        origin,
    }
}

/// By how many steps; 1 after saying what is wrong.
fn count_of(sink: &Sink, written: &Spanned<String>) -> u32 {
    match written.value.parse() {
        Ok(steps) if steps > 0 => steps,
        _ => {
            let says = format!("A raise goes up by a whole number of steps, and `{}` is none.", written.value);
            sink.push(Diagnostic::error("outside-range", written.span, says).help("Write 1 or more."));
            1
        }
    }
}

/// Reads a counsel.
pub fn counsel(draft: &Draft, entry: &Entry, name: &Name, origin: Origin) -> Counsel {
    let sink = &draft.sink;
    let mut when = Option::<&Cond>::None;
    let (mut tell, mut first, mut basis) = (Vec::new(), Vec::new(), Vec::new());
    for clause in &entry.clauses {
        match &clause.says {
            Says::When(condition) => when = Some(condition),
            Says::Tell(text) => tell.push(text.value.clone()),
            Says::First(text) => first.push(text.value.clone()),
            Says::Basis(text) => basis.push(text.value.clone()),
            _ => {}
        }
    }
    if !entry.has("when") {
        sink.push(missing_clause(&name.value, name.span, "when", "Add `when` and a condition; it may ask for the totals."));
    }
    if !entry.has("tell") && !entry.has("first") {
        sink.push(missing_clause(&name.value, name.span, "tell", "Add `tell` or `first` and the advice."));
    }
    let mut scope = draft.scope();
    scope.totals = true;
    let when = when.and_then(|written| condition(&scope, &draft.facts, written)).unwrap_or(nothing());
    Counsel { name: name.value.clone(), words: words(entry), when, tell, first, basis, origin }
}

/// The clauses of a fund that may stand once.
#[derive(Default)]
struct Fund<'t> {
    who: Option<&'t Cond>,
    above: Option<&'t Quantity>,
    pays: Option<&'t Quantity>,
    cap: Option<&'t Quantity>,
    family: Option<&'t Quantity>,
    beyond: Option<(&'t Quantity, &'t Path)>,
}

/// Reads a repair fund.
pub fn aid(draft: &Draft, entry: &Entry, name: &Name, origin: Origin) -> Aid {
    let sink = &draft.sink;
    let scope = draft.scope();
    let mut fund = Fund::default();
    let (mut covers, mut needs): (Vec<&Name>, Vec<&Path>) = (Vec::new(), Vec::new());
    for clause in &entry.clauses {
        match &clause.says {
            Says::For(condition) => fund.who = Some(condition),
            Says::CoversAbove(sum) => fund.above = Some(sum),
            Says::Covers(findings) => covers.extend(findings),
            Says::Pays(share) => fund.pays = Some(share),
            Says::Cap(sum) => fund.cap = Some(sum),
            Says::FamilyPays(sum) => fund.family = Some(sum),
            Says::NotBeyond(share, of) => fund.beyond = Some((share, of)),
            Says::Needs(paths) => needs.extend(paths),
            _ => {}
        }
    }
    if !entry.has("covers") && !entry.has("covers above") {
        sink.push(missing_clause(&name.value, name.span, "covers", "Add `covers above` and a sum, or `covers` and findings."));
    }
    if !entry.has("pays") {
        sink.push(missing_clause(&name.value, name.span, "pays", "Add `pays` and a percentage; `pays 100 %` is all of it."));
    }
    let money = |clause: &Option<&Quantity>, subject: &str| clause.and_then(|written| sum(&scope, written, subject));
    let beyond = fund.beyond.and_then(|(part, of)| {
        let part = share(&scope, part, "The share of what it is worth");
        let look = whole_look(draft, of);
        let look = look.filter(|&look| priced(draft, look, of));
        Some((part?, look?))
    });
    Aid {
        name: name.value.clone(),
        words: words(entry),
        who: fund.who.and_then(|written| condition(&scope, &draft.facts, written)),
        covers_above: money(&fund.above, "What `covers above` names"),
        covers: names_once(sink, &covers, |name| draft.names.finding(name)),
        pays: fund.pays.and_then(|written| share(&scope, written, "What a fund pays")).unwrap_or_default(),
        cap: money(&fund.cap, "The most a fund pays"),
        family_pays: money(&fund.family, "What the family pays at least"),
        not_beyond: beyond,
        needs: needs.iter().filter_map(|path| whole_look(draft, path)).collect(),
        origin,
    }
}

/// A look of a part without places.
fn whole_look(draft: &Draft, path: &Path) -> Option<LookId> {
    let at = draft.sink.keep(draft.scope().look_at(&path.segments))?;
    if at.place != PlaceAt::Single {
        let says = "A fund asks for one answer, and this look is taken at several places.";
        draft.sink.push(Diagnostic::error("wrong-kind", path.span, says).help("Write a look of a part without places."));
        return None;
    }
    Some(at.look)
}

fn priced(draft: &Draft, look: LookId, path: &Path) -> bool {
    let scope = draft.scope();
    let Some(look) = scope.look(look) else { return false };
    let is_priced = matches!(look.kind, LookKind::Priced { .. });
    if !is_priced {
        let says = format!("`{}` is no price, so nothing can be held against a share of it.", look.name);
        draft.sink.push(Diagnostic::error("wrong-kind", path.span, says).help("Write a look that is `priced`."));
    }
    is_priced
}

/// Stands for a condition that could not be read.
pub fn nothing() -> Condition {
    Condition::All(Vec::new())
}
