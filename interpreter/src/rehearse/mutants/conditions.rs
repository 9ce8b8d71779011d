//! A condition changed in one place: a limit, a choice, a sign, or how many of its signs are needed.

use purfle_lang::book::{Book, Comparison, Condition, Count, LookKind, PlaceId, Test, Value};
use purfle_lang::span::Span;

use super::limits::{Scale, limits};
use crate::rehearse::reads::span_of;

/// A condition changed in one place.
pub struct Variant {
    /// The whole condition.
    pub condition: Condition,
    /// Where the change is.
    pub span: Span,
    /// What is changed there.
    pub says: String,
}

/// The condition changed in every way, one at a time.
pub fn variants(book: &Book, condition: &Condition) -> Vec<Variant> {
    let mut out = Vec::new();
    let whole = span_of(condition).unwrap_or_default();
    let one = |condition: Condition, says: String| Variant { condition, span: whole, says };
    match condition {
        Condition::All(all) => {
            nested(book, all, &Condition::All, &mut out);
            if all.len() > 1 {
                out.push(one(Condition::Any(all.clone()), "one of these is enough".to_owned()));
                dropped(all, &Condition::All, &mut out);
            }
        }
        Condition::Any(all) => {
            nested(book, all, &Condition::Any, &mut out);
            if all.len() > 1 {
                out.push(one(Condition::All(all.clone()), "all of these are needed".to_owned()));
                dropped(all, &Condition::Any, &mut out);
            }
        }
        Condition::AtLeast(count, all) => {
            let build = |all| Condition::AtLeast(*count, all);
            nested(book, all, &build, &mut out);
            dropped(all, &build, &mut out);
            for new in [count.saturating_sub(1), count + 1] {
                if (1..=all.len() as u32).contains(&new) && new != *count {
                    out.push(one(Condition::AtLeast(new, all.clone()), format!("{new} of these instead of {count}")));
                }
            }
        }
        Condition::Not(inner) => {
            nested_one(book, inner, &|inner| Condition::Not(Box::new(inner)), &mut out);
            out.push(one(Condition::clone(inner), "without its `not`".to_owned()));
        }
        Condition::Places { count, part, with, span } => {
            let build =
                |count: Count, with: Condition| Condition::Places { count, part: *part, with: Box::new(with), span: *span };
            nested_one(book, with, &|with| build(*count, with), &mut out);
            let mut counted = |new: Count, says: String| {
                out.push(Variant { condition: build(new, Condition::clone(with)), span: *span, says });
            };
            match count {
                Count::Any => counted(Count::Every, "`every` instead of `any`".to_owned()),
                Count::No => counted(Count::Any, "`any` instead of `no`".to_owned()),
                Count::Every => counted(Count::Any, "`any` instead of `every`".to_owned()),
                Count::AtLeast(least) => {
                    for new in [least.saturating_sub(1), least + 1] {
                        if new > 0 && new != *least {
                            counted(Count::AtLeast(new), format!("at least {new} instead of {least}"));
                        }
                    }
                }
            }
        }
        Condition::Test(test, span) => {
            let tests = tests(book, test).into_iter();
            out.extend(tests.map(|(test, says)| Variant { condition: Condition::Test(test, *span), span: *span, says }));
        }
        Condition::Found(..) => {}
    }
    out
}

fn nested(book: &Book, all: &[Condition], build: &dyn Fn(Vec<Condition>) -> Condition, out: &mut Vec<Variant>) {
    for (at, inner) in all.iter().enumerate() {
        let with = |condition: Condition| {
            let mut changed = all.to_vec();
            changed[at] = condition;
            build(changed)
        };
        nested_one(book, inner, &with, out);
    }
}

fn nested_one(book: &Book, inner: &Condition, build: &dyn Fn(Condition) -> Condition, out: &mut Vec<Variant>) {
    let changed = variants(book, inner).into_iter();
    out.extend(changed.map(|Variant { condition, span, says }| Variant { condition: build(condition), span, says }));
}

fn dropped(all: &[Condition], build: &dyn Fn(Vec<Condition>) -> Condition, out: &mut Vec<Variant>) {
    for at in 0..all.len() {
        let mut rest = all.to_vec();
        let span = span_of(&rest.remove(at)).unwrap_or_default();
        out.push(Variant { condition: build(rest), span, says: "left out".to_owned() });
    }
}

fn tests(book: &Book, test: &Test) -> Vec<(Test, String)> {
    match test {
        Test::IsOneOf { look, choices, not } => {
            let of = &book[look.look];
            let turned = |choices: Vec<usize>, not: bool| Test::IsOneOf { look: *look, choices, not };
            if matches!(of.kind, LookKind::YesNo) {
                return vec![(turned(choices.clone(), !not), "turned into its opposite".to_owned())];
            }
            let mut all = vec![(turned(choices.clone(), !not), if *not { "`is`, without `not`" } else { "`is not`" }.to_owned())];
            let picked = other_choices(choices, of.choices().len(), |at| of.choices()[at].name.clone());
            all.extend(picked.into_iter().map(|(choices, says)| (turned(choices, *not), says)));
            all
        }
        Test::HasAny { look, choices } => {
            let of = &book[look.look];
            let picked = other_choices(choices, of.choices().len(), |at| of.choices()[at].name.clone());
            picked.into_iter().map(|(choices, says)| (Test::HasAny { look: *look, choices }, says)).collect()
        }
        Test::NoDate { look, not } => vec![(Test::NoDate { look: *look, not: !not }, "turned into its opposite".to_owned())],
        Test::Compare(comparison, left, right) => compared(book, *comparison, left, right),
        Test::Between(value, low, high) => {
            let scale = Scale::beside(book, &[value, low, high]);
            let lows = limits(low, &scale).into_iter();
            let highs = limits(high, &scale).into_iter();
            let lows = lows.map(|(new, says)| (Test::Between(value.clone(), new, high.clone()), says));
            lows.chain(highs.map(|(new, says)| (Test::Between(value.clone(), low.clone(), new), says))).collect()
        }
        Test::PlaceIs { part, places, not } => {
            let of = book[*part].fixed_places();
            let turned = |places: Vec<PlaceId>, not: bool| Test::PlaceIs { part: *part, places, not };
            let mut all = vec![(turned(places.clone(), !not), "turned into its opposite".to_owned())];
            let chosen: Vec<usize> = places.iter().map(|place| place.index()).collect();
            for (chosen, says) in other_choices(&chosen, of.len(), |at| of[at].name.clone()) {
                all.push((turned(chosen.into_iter().map(|at| PlaceId(at as u32)).collect(), *not), says));
            }
            all
        }
        Test::TotalUrgency { from, to, not } => {
            vec![(Test::TotalUrgency { from: *from, to: *to, not: !not }, "turned into its opposite".to_owned())]
        }
        Test::TotalTier { from, to, not } => {
            vec![(Test::TotalTier { from: *from, to: *to, not: !not }, "turned into its opposite".to_owned())]
        }
    }
}

/// The choices without one of them, and with one more.
fn other_choices(choices: &[usize], count: usize, name: impl Fn(usize) -> String) -> Vec<(Vec<usize>, String)> {
    let mut all = Vec::new();
    for at in 0..count {
        if !choices.contains(&at) {
            all.push((choices.iter().copied().chain([at]).collect(), format!("`{}` as well", name(at))));
        } else if choices.len() > 1 {
            let rest = choices.iter().copied().filter(|choice| *choice != at).collect();
            all.push((rest, format!("without `{}`", name(at))));
        }
    }
    all
}

fn compared(book: &Book, comparison: Comparison, left: &Value, right: &Value) -> Vec<(Test, String)> {
    let (other, says) = match comparison {
        Comparison::Above => (Comparison::AtLeast, "`is at least` instead of `is above`"),
        Comparison::AtLeast => (Comparison::Above, "`is above` instead of `is at least`"),
        Comparison::Below => (Comparison::AtMost, "`is at most` instead of `is below`"),
        Comparison::AtMost => (Comparison::Below, "`is below` instead of `is at most`"),
    };
    let mut all = vec![(Test::Compare(other, left.clone(), right.clone()), says.to_owned())];
    let scale = Scale::beside(book, &[left, right]);
    let lefts = limits(left, &scale).into_iter();
    let rights = limits(right, &scale).into_iter();
    all.extend(lefts.map(|(new, says)| (Test::Compare(comparison, new, right.clone()), says)));
    all.extend(rights.map(|(new, says)| (Test::Compare(comparison, left.clone(), new), says)));
    all
}
