//! Tests of worked examples, against a small book put together by hand.

use super::written::{Entry, Expected, Name, Path, Rungs, Says};
use super::*;
use crate::book::{
    AidId, AidWord, Choice, Condition, CounselId, Expectation, ExpectedRange, HandId, Look, LookId, LookKind, PartId, PlaceId,
    Places, PlayedWord, RecordEntry, RecordPath, StateWord, StepId, TierId,
};
use crate::number::Number;
use crate::resolve::by_hand::{at, book, finding, part};
use crate::resolve::names::{PartNames, Repeats};
use crate::saying::Saying;
use crate::span::Spanned;
use crate::unit::{Unit, parse_date};

fn name(text: &str) -> Name {
    Spanned::new(text.to_owned(), at(text.len()))
}

fn path(text: &str) -> Path {
    text.split('.').map(name).collect()
}

fn said(text: &str, says: Says) -> Entry {
    Entry::Said { last: false, path: path(text), says }
}

fn is(text: &str, value: &str) -> Entry {
    said(text, Says::Is(name(value)))
}

fn rungs(from: &str, to: Option<&str>) -> Rungs {
    Rungs { from: name(from), to: to.map(name) }
}

/// A book of a button, pegs at two places, and cracks as found.
fn sample() -> (Names, Book) {
    let mut book = book();
    let (button, _) = part(&mut book, "button", &[], None);
    let (peg, _) = part(&mut book, "peg", &[("E", None), ("A", None)], None);
    let (crack, _) = part(&mut book, "crack", &[], None);
    book.parts[crack.index()].places = Places::AsFound;
    let mut names = Names::default();
    for (id, repeats) in [(button, Repeats::Single), (peg, Repeats::Fixed), (crack, Repeats::AsFound)] {
        let part = &book.parts[id.index()];
        names.parts.define(&name(&part.name), id, "part").unwrap();
        let mut inside = PartNames {
            name: part.name.clone(),
            repeats,
            places: Default::default(),
            looks: Default::default(),
            lost_place: false,
            lost_look: false,
            dropped_looks: Vec::new(),
            dropped_places: Vec::new(),
        };
        for (index, place) in part.fixed_places().iter().enumerate() {
            inside.places.define(&name(&place.name), PlaceId(u32::try_from(index).unwrap()), "place").unwrap();
        }
        inside.looks.define(&name("there"), part.looks[0], "look").unwrap();
        names.inside.push(inside);
    }
    let choice = |name: &str| Choice { name: name.to_owned(), words: name.to_owned() };
    let number = |number: i128| Number::from_integer(number);
    let measured = LookKind::Measured { unit: Unit::Mm, from: number(0), to: number(8), give_or_take: Some(Number::new(1, 5)) };
    for (owner, look, kind) in [
        (button, "gap", measured.clone()),
        (button, "sits", LookKind::OneOf(vec![choice("straight"), choice("crooked"), choice("3/4")])),
        (button, "marks", LookKind::SomeOf(vec![choice("dent"), choice("scratch")])),
        (button, "note", LookKind::Written),
        (peg, "turns", LookKind::OneOf(vec![choice("free"), choice("stuck")])),
        (crack, "length", measured),
    ] {
        let id = LookId::from_index(book.looks.len());
        let like = Look { name: look.to_owned(), part: owner, kind, ..book.looks[0].clone() };
        book.looks.push(like);
        names.inside[owner.index()].looks.define(&name(look), id, "look").unwrap();
    }
    for (finding_name, on, each) in [("unseated", button, false), ("peg-stuck", peg, true), ("crack-open", crack, true)] {
        let id = finding(&mut book, finding_name, Condition::All(Vec::new()));
        (book.findings[id.index()].on, book.findings[id.index()].each) = (on, each);
        names.findings.define(&name(finding_name), id, "finding").unwrap();
    }
    for (index, step) in ["fine", "book", "halt"].into_iter().enumerate() {
        names.steps.define(&name(step), StepId::from_index(index), "step").unwrap();
    }
    names.hands.define(&name("player"), HandId(0), "hand").unwrap();
    names.hands.define(&name("luthier"), HandId(1), "hand").unwrap();
    names.tiers.define(&name("bench"), TierId(0), "tier").unwrap();
    names.counsels.define(&name("stop"), CounselId(0), "counsel").unwrap();
    names.aids.define(&name("fund"), AidId(0), "aid").unwrap();
    (names, book)
}

fn read(record: Vec<Entry>, expects: Vec<Expected>) -> (Example, Vec<Diagnostic>) {
    let (names, book) = sample();
    let sink = Sink::default();
    let place = |index: usize| at(1000 + index);
    let written = WrittenExample {
        words: name("a case"),
        record: record.into_iter().enumerate().map(|(index, entry)| Spanned::new(entry, place(index))).collect(),
        expects: expects.into_iter().enumerate().map(|(index, expected)| Spanned::new(expected, place(500 + index))).collect(),
    };
    let example =
        example(Lookup { names: &names, book: &book, troubled: &Default::default(), sink: &sink }, &written, Origin::default());
    (example, sink.into_inner())
}

/// The record as text, so that a test can say what it is.
fn record_of(entries: Vec<Entry>) -> Vec<String> {
    let (example, diagnostics) = read(entries, vec![Expected::NothingElse]);
    assert!(diagnostics.is_empty(), "{diagnostics:?}");
    example.record.iter().map(|entry| format!("{entry:?}")).collect()
}

/// What is wrong with one entry: the slug and the sentence.
fn wrong(entries: Vec<Entry>) -> (&'static str, Diagnostic) {
    let (_, mut diagnostics) = read(entries, vec![Expected::NothingElse]);
    assert_eq!(diagnostics.len(), 1, "{diagnostics:?}");
    let diagnostic = diagnostics.remove(0);
    assert!(diagnostic.is_error());
    (diagnostic.slug, diagnostic)
}

fn wrong_expectation(expects: Vec<Expected>) -> Diagnostic {
    let (_, mut diagnostics) = read(vec![Entry::RestGood], expects);
    assert_eq!(diagnostics.len(), 1, "{diagnostics:?}");
    diagnostics.remove(0)
}

#[test]
fn entries_of_every_kind() {
    let reading = |value: Number| Saying::Between { low: Some(value), high: Some(value), reading: true };
    let looks = |entry: RecordEntry| format!("{entry:?}");
    let day = parse_date("2026-03-02").unwrap();
    let read = record_of(vec![
        said("button.there", Says::Alone),
        is("button.gap", "0.5 mm"),
        is("button.sits", "crooked or \"3/4\""),
        is("button.marks", "dent\n and scratch"),
        is("button.note", "\"left in\" \"a \\\"hot\\\" car\""),
        is("peg.E", "good"),
        is("peg.E.there", "no"),
        said("peg.A.turns", Says::NotTold),
        is("crack.1.length", "at least 4 mm"),
        said("crack.2", Says::DoesNotApply),
        said("crack", Says::MayBeMore),
        Entry::Said { last: true, path: path("button.gap"), says: Says::Is(name("3 mm")) },
        Entry::Quoted(name("240 USD")),
        Entry::InspectedOn(name("2026-03-02")),
        Entry::RestGood,
    ]);
    let (e, a) = (RecordPath::Fixed(PlaceId(0)), RecordPath::Fixed(PlaceId(1)));
    let at_least = Saying::Between { low: Some(Number::from_integer(4)), high: None, reading: false };
    let expected = [
        RecordEntry::Look(LookId(0), RecordPath::Single, Saying::OneOf(vec![1])),
        RecordEntry::Look(LookId(3), RecordPath::Single, reading(Number::new(1, 2))),
        RecordEntry::Look(LookId(4), RecordPath::Single, Saying::OneOf(vec![1, 2])),
        RecordEntry::Look(LookId(5), RecordPath::Single, Saying::Exactly(vec![0, 1])),
        RecordEntry::Look(LookId(6), RecordPath::Single, Saying::Text("left in a \"hot\" car".to_owned())),
        RecordEntry::Good(PartId(1), Some(e)),
        RecordEntry::Look(LookId(1), e, Saying::OneOf(vec![0])),
        RecordEntry::Look(LookId(7), a, Saying::CouldNotTell),
        RecordEntry::Look(LookId(8), RecordPath::Found(1), at_least),
        RecordEntry::Absent(PartId(2), Some(RecordPath::Found(2))),
        RecordEntry::MayBeMore(PartId(2)),
        RecordEntry::Last(LookId(3), RecordPath::Single, reading(Number::from_integer(3))),
        RecordEntry::Quoted(Number::from_integer(240)),
        RecordEntry::InspectedOn(day),
        RecordEntry::RestGood,
    ];
    assert_eq!(read, expected.map(looks));
    assert_eq!(record_of(vec![Entry::No(name("crack"))]), record_of(vec![is("crack", "none")]));
}

#[test]
fn bad_entries_name_the_place_and_the_way_out() {
    for (entries, slug, says) in [
        (vec![is("buton.gap", "1")], "unknown-name", "No part is called `buton`."),
        (vec![is("button.gapp", "1")], "unknown-name", "No look of `button` is called `gapp`."),
        (vec![is("button.gap", "9 mm")], "bad-value", "`button.gap` cannot be read: 9 mm is outside what this look takes."),
        (vec![said("button.gap", Says::Alone)], "bad-value", "`button.gap` stands alone, and is no yes-or-no look."),
        (
            vec![is("button", "fine")],
            "bad-value",
            "`button` is a whole part, and of it only that it is good, or does not apply, may be said.",
        ),
        (vec![is("peg.turns", "stuck")], "no-place-in-hand", "`turns` is a look of `peg`, which has more than one place."),
        (vec![is("peg.D.turns", "stuck")], "unknown-name", "No place of `peg` is called `D`."),
        (vec![is("crack.length", "4")], "no-place-in-hand", "`length` is a look of `crack`, which has more than one place."),
        (vec![is("crack.one.length", "4")], "unknown-name", "The places of `crack` are as found, and have numbers."),
        (vec![is("crack.0.length", "4")], "unknown-name", "The places of `crack` are as found, and have numbers."),
        (vec![is("crack.2.length", "4")], "number-skipped", "`crack.2` is in the record, and `crack.1` is not."),
        (vec![is("button.E.gap", "1")], "no-places", "`button` has no places, and `E` stands where one would."),
        (
            vec![Entry::No(name("peg"))],
            "no-places",
            "The places of `peg` are not as found, so it cannot be said how many there are.",
        ),
        (
            vec![said("button", Says::MayBeMore)],
            "no-places",
            "The places of `button` are not as found, so it cannot be said how many there are.",
        ),
        (vec![is("button.gap", "1"), is("button.gap", "2")], "entry-twice", "This is said twice in one record."),
        (vec![Entry::RestGood, Entry::RestGood], "entry-twice", "This is said twice in one record."),
        (
            vec![Entry::No(name("crack")), is("crack.1.length", "4")],
            "entry-twice",
            "The record says that there is no `crack`, and says something of one.",
        ),
        (vec![Entry::Quoted(name("240 EUR"))], "bad-value", "`quoted` cannot be read: EUR is not the rulebook's money, USD."),
        (
            vec![Entry::InspectedOn(name("2/3/2026"))],
            "bad-value",
            "`inspected-on` cannot be read: 2/3/2026 may be 2026-02-03 or 2026-03-02.",
        ),
    ] {
        let (found, diagnostic) = wrong(entries);
        assert_eq!((found, diagnostic.says.as_str()), (slug, says));
        assert!(!diagnostic.help.is_empty(), "{says}");
    }
}

#[test]
fn fixes_can_be_written_into_a_rulebook() {
    for (entry, fix) in [
        (is("button.sits", "crookd"), "crooked"),
        (is("button.sits", "4-Mar"), "\"3/4\""),
        (is("button.marks", "dent, scrach"), "dent and scratch"),
        (is("button.gap", "0,5"), "0.5"),
        (is("button.gap", "unknown"), "button.gap not told"),
        (is("button.gap", "n/a"), "button.gap does not apply"),
    ] {
        let (_, diagnostic) = wrong(vec![entry]);
        assert_eq!(diagnostic.fixes.first().map(|fix| fix.edits[0].text.as_str()), Some(fix), "{}", diagnostic.says);
    }
}

#[test]
fn both_ends_of_a_bad_path_are_told() {
    let (_, diagnostics) = read(vec![is("peg.D.tuns", "stuck")], vec![Expected::NothingElse]);
    assert_eq!(diagnostics.len(), 2);
}

#[test]
fn expectations_of_every_kind() {
    let on = |text: &str| Some(path(text));
    let find = |finding: &str, on: Option<Path>, at: Option<Rungs>| Expected::Finding {
        state: StateWord::Found,
        finding: name(finding),
        on,
        at,
    };
    let (example, diagnostics) = read(
        vec![Entry::RestGood],
        vec![
            find("unseated", None, Some(rungs("book", Some("halt")))),
            find("peg-stuck", on("peg.A"), None),
            find("peg-stuck", on("E"), None),
            find("crack-open", on("2"), Some(rungs("book", None))),
            Expected::NothingElse,
            Expected::Urgency(rungs("fine", Some("book"))),
            Expected::Played(name("no")),
            Expected::Cost(name("47.50 to 88.50 USD")),
            Expected::Left(name("0")),
            Expected::Tier(rungs("bench", None)),
            Expected::Hands(rungs("none", Some("luthier"))),
            Expected::Due(name("2026-03-02 to 2026-04-01")),
            Expected::Looks { not: false, path: path("peg.turns") },
            Expected::Looks { not: true, path: path("peg.A.turns") },
            Expected::Looks { not: false, path: path("button.gap") },
            Expected::Counsel(name("stop"), name("open")),
            Expected::Aid(name("fund"), name("eligible")),
        ],
    );
    assert!(diagnostics.is_empty(), "{diagnostics:?}");
    let ladder = |from: u32, to: u32| ExpectedRange { from: StepId(from), to: StepId(to) };
    let finds = |finding: u32, place: Option<RecordPath>, at: Option<ExpectedRange<StepId>>| Expectation::Finding {
        state: StateWord::Found,
        finding: crate::book::FindingId(finding),
        place,
        at,
    };
    let fixed = |place: u32| Some(RecordPath::Fixed(PlaceId(place)));
    let money =
        |from: (i128, i128), to: (i128, i128)| ExpectedRange { from: Number::new(from.0, from.1), to: Number::new(to.0, to.1) };
    let day = |text: &str| parse_date(text).unwrap();
    let expected = [
        finds(0, None, Some(ladder(1, 2))),
        finds(1, fixed(1), None),
        finds(1, fixed(0), None),
        finds(2, Some(RecordPath::Found(2)), Some(ladder(1, 1))),
        Expectation::NothingElse,
        Expectation::Urgency(ladder(0, 1)),
        Expectation::Played(PlayedWord::No),
        Expectation::Cost(money((95, 2), (177, 2))),
        Expectation::Left(money((0, 1), (0, 1))),
        Expectation::Tier(ExpectedRange { from: TierId(0), to: TierId(0) }),
        Expectation::Hands(ExpectedRange { from: None, to: Some(HandId(1)) }),
        Expectation::Due(ExpectedRange { from: day("2026-03-02"), to: day("2026-04-01") }),
        Expectation::Looks(LookId(7), None),
        Expectation::LooksNot(LookId(7), fixed(1)),
        Expectation::Looks(LookId(3), None),
        Expectation::Counsel(CounselId(0), StateWord::Open),
        Expectation::Aid(AidId(0), AidWord::Eligible),
    ];
    let read: Vec<String> = example.expects.iter().map(|(expectation, _)| format!("{expectation:?}")).collect();
    assert_eq!(read, expected.map(|expectation| format!("{expectation:?}")));
}

#[test]
fn bad_expectations_name_the_way_out() {
    let find =
        |finding: &str, on: Option<Path>| Expected::Finding { state: StateWord::Clear, finding: name(finding), on, at: None };
    for (expects, slug, says) in [
        (vec![find("unseeted", None)], "unknown-name", "No finding is called `unseeted`."),
        (vec![find("unseated", Some(path("E")))], "no-places", "`unseated` is judged once for `button`, and not place by place."),
        (vec![find("peg-stuck", Some(path("G")))], "unknown-name", "No place of `peg` is called `G`."),
        (
            vec![find("peg-stuck", Some(path("button.E")))],
            "unknown-name",
            "`peg-stuck` is a finding on `peg`, and a place of that stands here.",
        ),
        (
            vec![Expected::Urgency(rungs("halt", Some("book")))],
            "range-turned",
            "`book` stands lower on the ladder than `halt`, and the lower one comes first.",
        ),
        (
            vec![Expected::Urgency(rungs("luthier", None))],
            "wrong-kind",
            "`luthier` is a hand, and a step of the urgency ladder stands here.",
        ),
        (vec![Expected::Played(name("maybe"))], "unknown-name", "`maybe` is no word of `played`."),
        (vec![Expected::Cost(name("at least 40"))], "bad-value", "`cost` cannot be read: one end of the range is missing."),
        (
            vec![Expected::Due(name("tomorrow"))],
            "bad-value",
            "`due` cannot be read: tomorrow is not a date written year-month-day.",
        ),
        (vec![Expected::Looks { not: false, path: path("button") }], "wrong-kind", "`button` is no look, and one stands here."),
        (vec![Expected::Counsel(name("stop"), name("fond"))], "unknown-name", "`fond` is no word of `counsel`."),
        (
            vec![Expected::Refused, Expected::NothingElse],
            "refused-and-more",
            "A record that is refused has nothing else come out of it.",
        ),
        (vec![], "clause-missing", "This example expects nothing, so it could never fail."),
    ] {
        let diagnostic = wrong_expectation(expects);
        assert_eq!((diagnostic.slug, diagnostic.says.as_str()), (slug, says));
        assert!(!diagnostic.help.is_empty(), "{says}");
    }
}
