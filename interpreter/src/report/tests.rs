//! The three forms of a report, of one batch made by hand.

use std::sync::Arc;

use purfle_lang::book::{
    AidId, AidWord, CounselId, FindingId, HandId, LookId, PartId, PlaceId, PlayedWord, RecordPath, StateWord, StepId, TierId,
};
use purfle_lang::number::Number;
use purfle_lang::saying::Saying;
use purfle_lang::unit::parse_date;

use super::{As, Paint, Renderer, Settings, Triage};
use crate::fixture::book;
use crate::outcome::{AidOutcome, At, Figure, FigureSet, Judged, NextLook, Outcome, Range, Said, Sum};
use crate::record::{Entry, Record, Source};
use crate::records::{EarlierCounts, Fault, Refused};

fn sum(from: (i128, i128), to: i128) -> Sum {
    Sum { from: Number::new(from.0, from.1), to: Number::from_integer(to), exact: true, or_more: false, and_more: false }
}

fn same<T: Copy>(value: T) -> Range<T> {
    Range { from: value, to: value }
}

fn fine() -> Outcome {
    Outcome {
        played: PlayedWord::Yes,
        apart: Vec::new(),
        urgency: same(StepId(0)),
        suspected: StepId(0),
        urgency_exact: true,
        due: same(None),
        again: None,
        hands: same(None),
        first: Vec::new(),
        cost: sum((0, 1), 0),
        tier: same(TierId(0)),
        left: sum((0, 1), 0),
        left_tier: same(TierId(0)),
        quoted: None,
        findings: Vec::new(),
        not_ruled_out: Vec::new(),
        open: 0,
        unseen: Vec::new(),
        looks: Vec::new(),
        counsel: Vec::new(),
        aid: Vec::new(),
    }
}

fn grave() -> Outcome {
    let judged = |finding, at, state, urgency| Judged {
        finding: FindingId(finding),
        at,
        state,
        urgency,
        yields_to: None,
        cost: sum((95, 2), 88),
        left: sum((300, 1), 700),
        ways: Vec::new(),
        expected_extra: None,
    };
    let peg = At::Place(RecordPath::Fixed(PlaceId(3)));
    Outcome {
        played: PlayedWord::Open,
        urgency: Range { from: StepId(1), to: StepId(2) },
        due: Range { from: parse_date("2026-11-20"), to: parse_date("2026-12-20") },
        hands: same(Some(HandId(1))),
        first: vec![Said::Finding(FindingId(0))],
        suspected: StepId(1),
        // 47.50 and an eighth of a cent, and two thirds: each figure is rounded once.
        cost: Sum { or_more: true, ..sum((38_001, 800), 88) },
        left: Sum { exact: false, ..sum((2, 3), 700) },
        left_tier: Range { from: TierId(0), to: TierId(1) },
        quoted: Some(Number::from_integer(60)),
        findings: vec![
            Judged {
                expected_extra: Some(same(Number::from_integer(50))),
                ..judged(0, At::Part, StateWord::Found, Range { from: StepId(1), to: StepId(2) })
            },
            Judged { yields_to: Some(FindingId(0)), ..judged(2, peg, StateWord::Suspected, same(StepId(1))) },
        ],
        not_ruled_out: vec![judged(3, At::Unnamed, StateWord::Open, same(StepId(1)))],
        open: 1,
        unseen: vec![PartId(4)],
        looks: vec![
            NextLook { look: LookId(4), at: At::Part, can: FigureSet::of(&[Figure::Played, Figure::Urgency]), again: false },
            NextLook { look: LookId(5), at: peg, can: FigureSet::of(&[Figure::Cost]), again: true },
        ],
        counsel: vec![(CounselId(0), StateWord::Open)],
        aid: vec![AidOutcome {
            aid: AidId(0),
            state: AidWord::Open,
            pays: Range { from: Number::from_integer(0), to: Number::from_integer(44) },
            known: Number::from_integer(44),
            bound: None,
            and_more: false,
            exact: true,
            missing: vec![LookId(0)],
            why: None,
        }],
        ..fine()
    }
}

fn record(id: &str, row: u64) -> Record {
    let pupil = Entry::Look(LookId(9), RecordPath::Single, Arc::new(Saying::Text("Wren Example".to_owned())));
    let strung = Entry::Look(LookId(1), RecordPath::Single, Arc::new(Saying::OneOf(vec![1])));
    Record {
        source: Source { file: "season.csv".into(), row },
        id: id.to_owned(),
        tag: Some("V12".to_owned()),
        inspected_on: parse_date("2026-11-20"),
        entries: vec![strung, pupil],
        carried: vec![("shelf".to_owned(), "=top\u{202e}".to_owned())],
        ..Record::default()
    }
}

/// The report of a batch of three: one grave, one fine, one refused.
fn report(form: As, without_names: bool) -> String {
    let book = book();
    let settings = Settings { form, without_names, paint: Paint { colour: false } };
    let renderer = Renderer::new(Arc::clone(&book), settings);
    let mut grave = grave();
    grave.findings[0].ways = vec![sum((95, 2), 88), sum((100, 1), 120)];
    let mut out = Vec::new();
    let mut triage = Triage::new(book, settings, &mut out);
    let mut faults = vec![Fault::field("button.gap", "45,5", "write the decimal point as a point")];
    faults[0].column = Some("Q".to_owned());
    faults.push(Fault::field("owner.pupil", "Wren Example", "`Wren Example` is not allowed"));
    let refused = Refused {
        source: Source { file: "season.csv".into(), row: 4 },
        record: Some("AR-\u{1b}3".to_owned()),
        faults,
        untold: 2,
    };
    for answer in
        [Ok(renderer.outcome(&record("AR-002", 2), &fine())), Ok(renderer.outcome(&record("AR-001", 3), &grave)), Err(refused)]
    {
        triage.take(answer).expect("memory to write to");
    }
    let totals = triage.finish(&EarlierCounts::default()).expect("memory to write to");
    assert_eq!((totals.read, totals.done, totals.refused), (3, 2, 1));
    String::from_utf8(out).expect("UTF-8")
}

#[test]
fn terminal() {
    let report = report(As::Terminal, false);
    for line in report.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    assert!(report.is_ascii(), "only ASCII of our own");
    insta::assert_snapshot!(report);
}

#[test]
fn json() {
    let report = report(As::Json, false);
    let value: serde_json::Value = serde_json::from_str(&report).expect("JSON");
    let keys =
        |value: &serde_json::Value| value.as_object().map(|map| map.keys().cloned().collect::<Vec<_>>()).unwrap_or_default();
    assert_eq!((&value["purfle"], &value["read"], &value["done"]), (&1.into(), &3.into(), &2.into()));
    for key in ["purfle", "rulebook", "read", "done", "refused", "outcomes"] {
        assert!(keys(&value).iter().any(|known| known == key), "{key}");
    }
    let refused = &value["refused"][0];
    assert_eq!(refused["record"], "AR-\u{1b}3");
    assert_eq!(refused["more"][0]["field"], "owner.pupil");
    let grave = &value["outcomes"][1];
    assert_eq!(grave["urgency"]["from"], "book");
    assert_eq!(grave["urgency"]["suspected"], "book");
    assert_eq!(grave["urgency"]["to"], "halt");
    assert_eq!(grave["cost"]["from"], "47.50");
    assert_eq!(grave["cost"]["or-more"], true);
    assert_eq!(grave["left"]["cost"]["from"], "0.67");
    assert_eq!(grave["left"]["cost"]["exact"], false);
    assert_eq!(grave["findings"][0]["ways"][1]["cost"]["to"], "120.00");
    assert_eq!(grave["findings"][1]["place"], "E");
    assert_eq!(grave["looks"][1]["look"], "peg.turns");
    assert_eq!(grave["looks"][1]["place"], "E");
    assert_eq!(grave["aid"][0]["missing"][0], "instrument.kind");
    assert_eq!(grave["noted"]["owner.pupil"], "Wren Example");
    assert_eq!(grave["carried"]["shelf"], "=top\u{202e}");
    assert!(!report.contains('\u{202e}') && !report.contains('\u{1b}'), "what steers is escaped");
}

#[test]
fn csv_rows() {
    let report = report(As::Csv, false);
    let heading: Vec<&str> = report.lines().next().expect("a heading").split(',').collect();
    let column = |name: &str| heading.iter().position(|known| *known == name).expect("a column");
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(report.as_bytes());
    let rows: Vec<Vec<String>> =
        reader.records().map(|row| row.expect("a row of RFC 4180").iter().map(str::to_owned).collect()).collect();
    assert_eq!(rows.len(), 4);
    assert!(rows.iter().all(|row| row.len() == heading.len()), "every row has every column");
    assert_eq!(rows[2][column("found")], "button-unseated");
    assert_eq!(rows[2][column("suspected")], "peg-stuck E");
    assert_eq!(rows[2][column("cost-from")], "47.50");
    assert_eq!(rows[2][column("carried")], "shelf = =top\\u{202e}");
    assert_eq!(rows[3][column("judged")], "no");
    assert!(rows[3][column("why")].contains("column Q, button.gap = 45,5: write the decimal point as a point"));
}

#[test]
fn without_names_nothing_private_is_written() {
    for form in [As::Terminal, As::Json, As::Csv, As::Html] {
        assert!(report(form, false).contains("Wren Example") || form == As::Csv);
        let report = report(form, true);
        assert!(!report.contains("Wren"), "{report}");
        assert!(!report.contains("=top"), "{report}");
        assert!(report.contains("45,5"), "{report}");
    }
}

#[test]
fn html_pages() {
    let report = report(As::Html, false);
    let tree = crate::html::tree(&report);
    let page = |wanted: &str| {
        let found = tree.descendants().find(|node| node.attribute("class") == Some(wanted)).expect("a page");
        let texts: String = found.descendants().filter_map(|node| node.text().filter(|_| node.is_text())).collect();
        texts.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let batch = page("page batch");
    for words in ["3 records read: 2 judged, 1 refused", "AR-001", "now at least 47.50 USD", "button.gap = 45,5", "and 2 more"] {
        assert!(batch.contains(words), "{words}: {batch}");
    }
    // The fine one comes first, and is not the one that these are about.
    let (fine, grave) = report.split_once("id=\"i2\"").expect("two instruments");
    assert!(fine.contains("Nothing, as far as anybody looked"));
    for words in [
        "NOT CERTAIN: what was seen may forbid it.",
        "To be seen to by 2026-12-20, or at once if a closer look finds worse.",
        "The button is not seated against the rib",
        "What is suspected, and not certain",
        "Still to be answered: How is its kind?",
        "60.00 USD, by the shop that has seen it",
        "Wren Example",
        "=top\\u{202e}",
    ] {
        assert!(grave.contains(words), "{words}: {grave}");
    }
    assert!(!report.contains("<script"), "no script is needed");
}
