//! Tests of circles, on books put together by hand.

use super::*;
use crate::book::{
    self, Comparison, Condition, Count, FindingId, HandId, LookAt, LookId, PartId, PlaceAt, PlaceId, Reckon, ReckonId, Test,
    Value, Work, WorkId,
};
use crate::number::Number;
use crate::resolve::by_hand::{at, book, finding, origin, part};
use crate::unit::Dimension;

fn is(look: LookId, place: PlaceAt) -> Condition {
    Condition::Test(Test::IsOneOf { look: LookAt { look, place }, choices: vec![1], not: false }, at(1000 + look.index()))
}

fn says(diagnostics: &[Diagnostic]) -> Vec<String> {
    diagnostics.iter().map(|diagnostic| diagnostic.says.clone()).collect()
}

#[test]
fn what_is_left_goes_round() {
    let mut book = book();
    let (_, look) = part(&mut book, "block", &[], None);
    let names = ["glue-dry", "block-loose", "block-torn"];
    let ids = names.map(|name| finding(&mut book, name, is(look, PlaceAt::Single)));
    for (from, to) in [(1, 2), (2, 0), (0, 1)] {
        let span = at(500 + 10 * from);
        book.findings[ids[from].index()].becomes.push(book::Arrow { to: ids[to], odds: None, within: None, span });
    }
    let diagnostics = circles(&book, &Written::default());
    assert_eq!(
        says(&diagnostics),
        [
            "What is left alone goes round in a circle: `glue-dry` becomes `block-loose`, which becomes `block-torn`, which becomes `glue-dry`."
        ]
    );
    let diagnostic = &diagnostics[0];
    assert_eq!((diagnostic.slug, diagnostic.span), ("circle-in-left", at(500)));
    let places: Vec<(Span, &str)> = diagnostic.places.iter().map(|place| (place.span, place.says.as_str())).collect();
    assert_eq!(places, [(at(510), "`block-loose` becomes `block-torn`"), (at(520), "`block-torn` becomes `glue-dry`")]);
}

#[test]
fn findings_that_yield_and_ask() {
    let mut book = book();
    let (_, look) = part(&mut book, "seam", &[], None);
    let one = finding(&mut book, "one", is(look, PlaceAt::Single));
    let other = finding(&mut book, "other", Condition::Found(one, at(70)));
    book.findings[0].unless.push(Condition::Not(Box::new(Condition::Found(other, at(60)))));
    let yields = vec![Arrow { from: one.index(), to: one.index(), span: at(80) }];
    let diagnostics = circles(&book, &Written { yields, ..Written::default() });
    assert_eq!(
        says(&diagnostics),
        [
            "`one` yields to itself.",
            "Findings ask for each other, so none can be judged first: `one` asks for `other`, which asks for `one`.",
        ]
    );
}

/// Whether a finding is graver when another is found does not decide whether it holds.
#[test]
fn an_urgency_line_makes_no_circle() {
    let mut book = book();
    let (_, look) = part(&mut book, "seam", &[], None);
    let one = finding(&mut book, "one", is(look, PlaceAt::Single));
    let other = finding(&mut book, "other", Condition::Found(one, at(70)));
    let when = Some(Condition::Found(other, at(60)));
    book.findings[0].urgency.push(book::UrgencyLine { step: book::StepId(0), when, span: at(60) });
    assert!(circles(&book, &Written::default()).is_empty());
}

#[test]
fn steps_that_include_each_other() {
    let mut book = book();
    for (index, name) in ["top-off", "strings-off"].into_iter().enumerate() {
        book.works.push(Work {
            name: name.to_owned(),
            words: String::new(),
            amount: Value::Number(Number::from_integer(1)),
            timed: false,
            by: HandId(0),
            once: true,
            includes: vec![WorkId::from_index(1 - index)],
            origin: origin(10 * index),
        });
    }
    let includes = vec![Arrow { from: 0, to: 1, span: at(40) }, Arrow { from: 1, to: 0, span: at(60) }];
    let diagnostics = circles(&book, &Written { includes, ..Written::default() });
    assert_eq!(
        says(&diagnostics),
        ["Bench steps that include each other would all fall away: `top-off` includes `strings-off`, which includes `top-off`."]
    );
    assert_eq!((diagnostics[0].span, diagnostics[0].places[0].span), (at(40), at(60)));
}

#[test]
fn parts_that_wait_for_their_own_looks() {
    let mut book = book();
    let (_, own) = part(&mut book, "endpin", &[], None);
    book.parts[0].only_when = Some(is(own, PlaceAt::Single));
    assert_eq!(
        says(&circles(&book, &Written::default())),
        [
            "Whether these apply depends on each other, so none can be asked first: `endpin.there` needs `endpin`, which needs `endpin.there`."
        ]
    );
}

#[test]
fn one_place_may_wait_for_another() {
    let mut book = book();
    let first = is(LookId(0), PlaceAt::Fixed(PlaceId(0)));
    part(&mut book, "peg", &[("E", None), ("A", Some(first))], None);
    assert!(circles(&book, &Written::default()).is_empty());
    // But not each for all of them.
    let any = Condition::Places { count: Count::Any, part: PartId(0), with: Box::new(is(LookId(0), PlaceAt::Here)), span: at(7) };
    book.looks[0].only_when = Some(any);
    let diagnostics = circles(&book, &Written::default());
    assert!(diagnostics.iter().all(|diagnostic| diagnostic.slug == "circle-in-only-when"));
    assert!(!diagnostics.is_empty());
}

/// The same slip at four pegs is told once.
#[test]
fn the_same_circle_at_every_place_is_one() {
    let mut book = book();
    let (_, peg) = part(&mut book, "peg", &[("E", None), ("A", None), ("D", None), ("G", None)], None);
    book.looks[0].only_when = Some(is(peg, PlaceAt::Here));
    let diagnostics = circles(&book, &Written::default());
    assert_eq!(says(&diagnostics), ["`peg.E.there` needs itself."]);
}

#[test]
fn reckonings_through_names_and_looks() {
    let mut book = book();
    part(&mut book, "string", &[], None);
    for (index, name) in ["load", "pull", "alone"].into_iter().enumerate() {
        let other = Value::Reckon(ReckonId::from_index(1 - index.min(1)));
        let value = if name == "alone" { Value::Look(LookAt { look: LookId(0), place: PlaceAt::Single }) } else { other };
        book.reckons.push(Reckon {
            name: name.to_owned(),
            words: String::new(),
            value,
            dimension: Dimension::NUMBER,
            origin: origin(20 + index),
        });
    }
    let compare = Test::Compare(Comparison::Above, Value::Reckon(ReckonId(2)), Value::Number(Number::from_integer(0)));
    book.looks[0].only_when = Some(Condition::Test(compare, at(90)));
    let diagnostics = circles(&book, &Written::default());
    assert_eq!(
        says(&diagnostics),
        [
            "Whether these apply depends on each other, so none can be asked first: `alone` needs `string.there`, which needs `alone`.",
            "Reckonings are worked out from each other: `load` needs `pull`, which needs `load`.",
        ]
    );
}

#[test]
fn a_long_circle_is_named_in_part() {
    let mut book = book();
    let (_, look) = part(&mut book, "seam", &[], None);
    let many = 500;
    for index in 0..many {
        let id = finding(&mut book, &format!("f{index}"), is(look, PlaceAt::Single));
        let to = FindingId::from_index((index + 1) % many);
        book.findings[id.index()].becomes.push(book::Arrow { to, odds: None, within: None, span: at(index) });
    }
    let diagnostics = circles(&book, &Written::default());
    assert_eq!(diagnostics.len(), 1);
    assert!(
        diagnostics[0].says.ends_with("`f11`, and so on through 500 in all, until one becomes `f0`."),
        "{}",
        diagnostics[0].says
    );
    assert_eq!(diagnostics[0].places.len(), MOST_NAMED - 1);
}
