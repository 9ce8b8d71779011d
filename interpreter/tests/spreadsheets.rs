//! `triage --as xlsx` and `purfle sheet --as xlsx` or `csv`, read back by a library that reads workbooks.

use calamine::{Data, DataType, Range, Reader, Xlsx, open_workbook};

use crate::bench::{Bench, code, err, out};

fn sheets(bench: &Bench, name: &str) -> Vec<(String, Range<Data>)> {
    let mut workbook: Xlsx<_> = open_workbook(bench.path().join(name)).expect("a workbook");
    workbook.worksheets()
}

/// The cell of a row under a heading.
fn cell<'a>(sheet: &'a Range<Data>, row: usize, heading: &str) -> &'a Data {
    let headings = sheet.rows().next().expect("a heading");
    let column = headings.iter().position(|cell| cell.as_string().as_deref() == Some(heading)).expect(heading);
    sheet.get((row, column)).unwrap_or(&Data::Empty)
}

fn text(cell: &Data) -> String {
    match cell {
        Data::String(text) => text.clone(),
        other => panic!("{other:?} is no text"),
    }
}

const RECORDS: &str = "record,tag,inspected-on,instrument.kind,instrument.strung,button.gap,button.sits,owner.pupil,quoted,shelf\n\
    1,V1,2026-11-20,viola,yes,,pulling-out,Ottoline Penhaligon,60,\"=2+2\"\n\
    \"=1+1\",V2,2026-11-20,violin,yes,0,straight,,,\n\
    3,V3,2026-11-20,violin,yes,9,croked,,,\n";

fn report(bench: &Bench, more: &[&str]) -> Vec<(String, Range<Data>)> {
    bench.write("a.csv", RECORDS.as_bytes());
    let arguments = [&["triage", "small.purfle", "a.csv", "--as", "xlsx", "--out", "a.xlsx", "--force"], more].concat();
    let output = bench.purfle(&arguments);
    assert_eq!(code(&output), 1, "one record is refused: {}", err(&output));
    assert_eq!(out(&output), "");
    sheets(bench, "a.xlsx")
}

#[test]
fn outcomes_findings_and_refused_records_have_a_sheet_each() {
    let bench = Bench::new();
    let sheets = report(&bench, &[]);
    let names: Vec<&str> = sheets.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, ["Outcomes", "Findings", "Refused"]);
    let [outcomes, findings, refused] = [0, 1, 2].map(|at: usize| &sheets[at].1);
    assert_eq!((outcomes.height(), findings.height(), refused.height()), (3, 2, 3));
    assert_eq!(text(cell(outcomes, 1, "played")), "no");
    assert_eq!(text(cell(outcomes, 1, "found")), "button-unseated");
    // The cheapest way takes 0.2 to 0.4 h at 85 USD, and the least charge is 40 USD.
    assert_eq!(cell(outcomes, 1, "cost-from"), &Data::Float(40.0));
    assert_eq!(cell(outcomes, 1, "cost-to"), &Data::Float(40.0));
    assert_eq!(cell(outcomes, 1, "quoted"), &Data::Float(60.0));
    assert_eq!(cell(outcomes, 1, "row"), &Data::Float(2.0));
    let day = cell(outcomes, 1, "inspected-on");
    assert!(matches!(day, Data::DateTime(day) if day.to_ymd_hms_milli() == (2026, 11, 20, 0, 0, 0, 0)), "{day:?}");
    // What a spreadsheet would run is a text.
    assert_eq!(text(cell(outcomes, 2, "record")), "=1+1");
    assert_eq!(text(cell(outcomes, 1, "carried")), "shelf = =2+2");
    assert_eq!(text(cell(findings, 1, "words")), "The button is not seated against the rib");
    assert_eq!(text(cell(findings, 1, "urgency-to")), "halt");
    assert_eq!(cell(findings, 1, "cost-to"), &Data::Float(40.0));
    assert_eq!((text(cell(refused, 1, "column")), text(cell(refused, 2, "column"))), ("F".to_owned(), "G".to_owned()));
    assert_eq!(text(cell(refused, 1, "value")), "9");
    assert!(text(cell(refused, 2, "why")).contains("the nearest is `crooked`"));
    let headings: Vec<String> = outcomes.rows().next().expect("a heading").iter().map(text).collect();
    assert!(!headings.contains(&"judged".to_owned()) && !headings.contains(&"why".to_owned()), "{headings:?}");
}

#[test]
fn a_row_says_what_its_tag_contradicts() {
    let bench = Bench::new();
    bench.write("a.csv", b"record,tag,inspected-on\n1,V1,2026-11-20\n2,V1,2026-11-20\n");
    let output = bench.purfle(&["triage", "small.purfle", "a.csv", "--as", "xlsx", "--out", "a.xlsx"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let sheets = sheets(&bench, "a.xlsx");
    assert_eq!(cell(&sheets[0].1, 1, "tag-note"), &Data::Empty);
    assert_eq!(text(cell(&sheets[0].1, 2, "tag-note")), "the same tag and day as 1");
}

#[test]
fn names_are_left_out_of_a_workbook() {
    let bench = Bench::new();
    for (without, expected) in [(&[][..], true), (&["--without", "names"][..], false)] {
        let all = format!("{:?}", report(&bench, without));
        assert_eq!(all.contains("shelf = =2+2"), expected);
        assert!(!all.contains("Penhaligon"));
    }
}

#[test]
fn a_workbook_wants_a_file() {
    let bench = Bench::new();
    bench.write("a.csv", b"record\n1\n");
    for arguments in [&["triage", "small.purfle", "a.csv", "--as", "xlsx"][..], &["sheet", "small.purfle", "--as", "xlsx"]] {
        let output = bench.purfle(arguments);
        assert_eq!(code(&output), 2);
        assert!(err(&output).contains("--out"), "{}", err(&output));
        assert!(output.stdout.is_empty());
    }
    bench.write("there.xlsx", b"mine");
    let output = bench.purfle(&["sheet", "small.purfle", "--as", "xlsx", "--out", "there.xlsx"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("--force"), "{}", err(&output));
    assert_eq!(std::fs::read(bench.path().join("there.xlsx")).expect("the file"), b"mine");
}

#[test]
fn an_empty_workbook_asks_for_what_the_rulebook_asks() {
    let bench = Bench::new();
    let output = bench.purfle(&["sheet", "small.purfle", "--as", "xlsx", "--out", "a.xlsx"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let sheets = sheets(&bench, "a.xlsx");
    let [records, columns, choices] = [0, 1, 2].map(|at: usize| &sheets[at].1);
    let headings: Vec<String> = records.rows().next().expect("a heading").iter().map(text).collect();
    let expected = [
        "record",
        "tag",
        "inspected-on",
        "instrument.kind",
        "instrument.strung",
        "owner.pupil",
        "button",
        "button.gap [mm]",
        "button.sits",
        "post",
        "post.lean [deg]",
        "quoted [USD]",
        "the rest",
    ];
    assert_eq!(headings, expected);
    assert_eq!(records.height(), 1);
    assert_eq!(text(cell(columns, 8, "Heading")), "button.gap [mm]");
    assert_eq!(text(cell(columns, 8, "Question")), "Gap between the collar and the rib");
    assert_eq!(text(cell(columns, 8, "What may be written")), "0 to 8 mm");
    let listed: Vec<String> = choices
        .rows()
        .filter_map(|row| row.get(8 - choices.start().expect("cells").1 as usize))
        .map(|cell| cell.to_string())
        .collect();
    assert_eq!(listed[..6], ["for button.sits", "straight", "crooked", "pulling-out", "?", "-"]);
    // The heading is what the reader takes, and a table without rows is a season without records.
    let table = bench.purfle(&["sheet", "small.purfle", "--as", "csv"]);
    assert_eq!(out(&table), format!("{}\r\n", expected.join(",")));
    bench.write("a.csv", &[&table.stdout[..], b"1,V1,2026-11-20,viola,yes,,,0.5,crooked,,,,\r\n"].concat());
    let judged = bench.purfle(&["triage", "small.purfle", "a.csv", "--as", "csv"]);
    assert_eq!(code(&judged), 0, "{}{}", out(&judged), err(&judged));
    assert!(out(&judged).contains("button-unseated"));
    // One rulebook always makes one and the same file.
    let again = bench.purfle(&["sheet", "small.purfle", "--as", "xlsx", "--out", "b.xlsx"]);
    assert_eq!(code(&again), 0);
    let bytes = |name: &str| std::fs::read(bench.path().join(name)).expect("the file");
    assert!(bytes("a.xlsx") == bytes("b.xlsx"));
}
