//! Records as they come: every format, and what untidy or hostile ones get.

mod workbooks;

use std::io::Write;
use std::sync::Arc;

use purfle_lang::book::{LookId, PlaceId, RecordPath};
use purfle_lang::number::Number;
use purfle_lang::saying::Saying;

use super::input::{Input, Unusable};
use super::refused::Refused;
use super::run::{Run, Stopped};
use crate::fixture::book;
use crate::record::{Entry, Record};

/// A file of that name with those bytes, in a folder that goes away.
pub struct Files(tempfile::TempDir);

impl Files {
    pub fn new() -> Self {
        Self(tempfile::tempdir().expect("a folder to work in"))
    }

    pub fn write(&self, name: &str, bytes: &[u8]) -> String {
        let path = self.0.path().join(name);
        std::fs::File::create(&path).and_then(|mut file| file.write_all(bytes)).expect("a file to read");
        path.to_string_lossy().into_owned()
    }
}

/// Reads one file with one worker, with several, and with those of a block handed over backwards, which must all agree.
fn read(name: &str, bytes: &[u8]) -> Result<Vec<Result<Record, Refused>>, Unusable> {
    read_as(name, name, bytes)
}

/// The same of a file that is called by another name than its own, with a sheet behind it.
fn read_as(name: &str, called: &str, bytes: &[u8]) -> Result<Vec<Result<Record, Refused>>, Unusable> {
    let files = Files::new();
    let path = files.write(name, bytes).replace(name, called);
    let book = book();
    let backwards = |record: &Record| u64::MAX - record.source.row;
    let of = |threads: usize, likeness: Option<&(dyn Fn(&Record) -> u64 + Sync)>| {
        let inputs = [Input::new(&path, false)?];
        let mut answers = Vec::new();
        let run = Run { book: &book, inputs: &inputs, threads, likeness };
        let done = run.each(
            || |record: &mut Record| Ok(record.clone()),
            |answer| {
                answers.push(answer);
                Ok(())
            },
        );
        match done {
            Ok(()) => Ok(answers),
            Err(Stopped::Input(unusable)) => Err(unusable),
            Err(Stopped::Output(error)) => panic!("nothing is written here: {error}"),
        }
    };
    let alone = of(1, None)?;
    let together = of(3, None)?;
    assert_eq!(format!("{alone:?}"), format!("{together:?}"));
    assert_eq!(format!("{alone:?}"), format!("{:?}", of(1, Some(&backwards))?));
    Ok(alone)
}

fn records(name: &str, bytes: &[u8]) -> Vec<Record> {
    let answers = read(name, bytes).expect("a file that can be used");
    answers.into_iter().map(|answer| answer.expect("a record that is not refused")).collect()
}

fn look(path: &str) -> (LookId, RecordPath) {
    let book = book();
    match super::Field::parse(&book, path).expect("a field").target {
        super::Target::Look(look, at) => (look, at),
        other => panic!("{path} is {other:?}"),
    }
}

fn said(record: &Record, path: &str) -> Option<Saying> {
    let (look, at) = look(path);
    record.entries.iter().find_map(|entry| match entry {
        Entry::Look(l, p, saying) if (*l, *p) == (look, at) => Some(Saying::clone(saying)),
        _ => None,
    })
}

fn number(text: &str) -> Number {
    purfle_lang::number::parse_decimal(text).expect("a number")
}

fn reading(text: &str) -> Option<Saying> {
    Some(Saying::Between { low: Some(number(text)), high: Some(number(text)), reading: true })
}

#[test]
fn those_alike_are_handed_over_one_after_another_and_answered_in_order() {
    let files = Files::new();
    let path = files.write("a.csv", b"record,button.sits\na,crooked\nb,\nc,crooked\nc,wrong\nd,\ne,crooked\n");
    let (book, inputs) = (book(), [Input::new(&path, false).expect("a file that can be used")]);
    let likeness = |record: &Record| record.entries.len() as u64;
    let seen = std::sync::Mutex::new(Vec::new());
    let mut answers = Vec::new();
    let run = Run { book: &book, inputs: &inputs, threads: 1, likeness: Some(&likeness) };
    let work = || {
        |record: &mut Record| {
            seen.lock().expect("one worker").push(record.id.clone());
            Ok(record.id.clone())
        }
    };
    let done = run.each(work, |answer| {
        answers.push(answer.map_err(|refused| refused.source.row));
        Ok(())
    });
    assert!(done.is_ok());
    assert_eq!(seen.into_inner().expect("one worker"), ["b", "d", "a", "c", "e"]);
    let ok = |id: &str| Ok(id.to_owned());
    assert_eq!(answers, [ok("a"), ok("b"), ok("c"), Err(5), ok("d"), ok("e")]);
}

#[test]
fn every_format_carries_the_same_fields() {
    let nested = r#"{"record": "AR-001", "tag": "V12", "inspected-on": "2026-11-20", "quoted": 240.50,
        "button": {"gap": 0.5, "sits": "crooked"}, "peg": {"E": {"turns": "stuck"}, "A": "good"}, "crack": [{"length": 40}, {}],
        "room": "good", "instrument": {"strung": true, "kind": null}, "shelf": "top"}"#;
    let flat = r#"{"record":"AR-001","tag":"V12","inspected-on":"2026-11-20","quoted":"240.50 USD","button.gap":"0.5 mm","button.sits":"crooked","peg.E.turns":"stuck","peg.A":"good","crack.1.length":"40 mm","crack.2":"yes","room":"good","instrument.strung":"yes","shelf":"top"}"#;
    let csv = "\u{feff}record,tag,inspected-on,quoted,button.gap [in],button.sits,peg.E.turns,peg.A,crack.1.length [cm],crack.2,room,instrument.strung,shelf\r\n\
        AR-001,V12,2026-11-20,240.50,0.5 mm,crooked,stuck,good,4,yes,good,yes,top\r\n";
    let files = [
        ("a.json", nested.to_owned()),
        ("a.json", format!("[{nested}]")),
        ("a.jsonl", format!("{flat}\n")),
        ("a.jsonl", flat.to_owned()),
        ("a.csv", csv.to_owned()),
        ("records", csv.to_owned()),
        ("records", nested.to_owned()),
    ];
    for (name, text) in files {
        let records = records(name, text.as_bytes());
        let [record] = records.as_slice() else { panic!("{name}: {} records", records.len()) };
        assert_eq!(record.id, "AR-001");
        assert_eq!(record.tag.as_deref(), Some("V12"));
        assert_eq!(record.inspected_on, purfle_lang::unit::parse_date("2026-11-20"));
        assert_eq!(record.quoted, Some(number("240.5")));
        assert_eq!(said(record, "button.gap"), reading("0.5"));
        assert_eq!(said(record, "button.sits"), Some(Saying::OneOf(vec![1])));
        assert_eq!(said(record, "peg.E.turns"), Some(Saying::OneOf(vec![1])));
        assert_eq!(said(record, "crack.1.length"), reading("40"));
        assert_eq!(said(record, "instrument.strung"), Some(Saying::OneOf(vec![1])));
        assert_eq!(said(record, "instrument.kind"), None);
        let crack = book().find_part("crack").expect("a part");
        let peg = book().find_part("peg").expect("a part");
        assert!(record.entries.contains(&Entry::There(crack, RecordPath::Found(2))), "{name}: {:?}", record.entries);
        assert!(record.entries.contains(&Entry::Good(peg, Some(RecordPath::Fixed(PlaceId(2))))), "{name}");
        assert_eq!(record.carried, [("shelf".to_owned(), "top".to_owned())]);
    }
}

#[test]
fn whole_parts() {
    let crack = book().find_part("crack").expect("a part");
    let button = book().find_part("button").expect("a part");
    for (fields, expected) in [
        (r#""crack": "none""#, vec![Entry::NoPlaces(crack)]),
        (r#""crack": []"#, vec![Entry::NoPlaces(crack)]),
        (r#""crack": ["may be more"]"#, vec![Entry::MayBeMore(crack)]),
        (r#""crack": "May be more""#, vec![Entry::MayBeMore(crack)]),
        (r#""button": "-""#, vec![Entry::Absent(button, None)]),
        (r#""the rest": "good""#, vec![Entry::RestGood]),
        (r#""button": "", "crack": null, "peg": {}, "the rest": " ""#, vec![]),
    ] {
        let text = format!("{{\"record\": \"1\", {fields}}}");
        assert_eq!(records("a.json", text.as_bytes())[0].entries, expected, "{fields}");
    }
    // Nobody could tell of a whole part: so it stands with each look that has no answer of its own.
    let record = &records("a.json", br#"{"record": "1", "button": "?", "button.gap": 1}"#)[0];
    assert_eq!(said(record, "button.gap"), reading("1"));
    assert_eq!(said(record, "button.sits"), Some(Saying::CouldNotTell));
}

#[test]
fn equal_words_share_one_understanding() {
    let records = records("a.jsonl", b"{\"record\":1,\"button.sits\":\"crooked\"}\n{\"record\":2,\"button.sits\":\"crooked\"}\n");
    let shared = |record: &Record| match &record.entries[0] {
        Entry::Look(_, _, saying) => Arc::as_ptr(saying),
        other => panic!("{other:?}"),
    };
    assert_eq!(shared(&records[0]), shared(&records[1]));
}

/// The words of all faults of the only record of a JSON file, each after its field.
fn faults(name: &str, bytes: &[u8]) -> Vec<String> {
    let answers = read(name, bytes).expect("a file that can be used");
    let refused = answers.into_iter().find_map(Result::err).expect("a refused record");
    refused.faults.iter().map(|fault| format!("{}: {}", fault.field.as_deref().unwrap_or("record"), fault.why)).collect()
}

#[test]
fn bad_fields_are_refused_with_the_way_out() {
    for (fields, expected) in [
        (r#""buton.gap": 1"#, vec!["nearly names `button.gap`"]),
        (r#""Button gap": 1"#, vec!["nearly names `button.gap`"]),
        (r#""button_gap": 1"#, vec!["nearly names `button.gap`"]),
        (r#""Peg E turns": "slips""#, vec!["nearly names `peg.E.turns`"]),
        (r#""crack 1 length": 40"#, vec!["nearly names `crack.1.length`"]),
        (r#""Button": "good""#, vec!["nearly names `button`"]),
        (r#""pegs": "good""#, vec!["nearly names `peg`"]),
        (r#""inspected_on": "2026-01-01""#, vec!["nearly names `inspected-on`"]),
        (r#""button.gpa": 1"#, vec!["`button` has no look `gpa`", "gap, sits", "nearest is `button.gap`"]),
        (r#""peg.F.turns": "stuck""#, vec!["has no place `F`", "G, D, A, E"]),
        (r#""peg.turns": "stuck""#, vec!["place by place", "`peg.G.turns`"]),
        (r#""crack.length": 3"#, vec!["`crack.1.length`"]),
        (r#""crack.0.length": 3"#, vec!["numbered as found"]),
        (r#""crack.101.length": 3"#, vec!["up to 100"]),
        (r#""crack.2.length": 3"#, vec!["`crack.2` is written down and `crack.1` is not"]),
        (r#""crack": "none", "crack.1.length": 3"#, vec!["no `crack`", "`crack.1`", "empty one of the two"]),
        (r#""button": "-", "button.gap": 3"#, vec!["`button` does not apply", "`button.gap`"]),
        (r#""button": "fine""#, vec!["good, ?, -", "`button.gap`"]),
        (r#""crack": "yes""#, vec!["none (looked"]),
        (r#""button.sits": "croked""#, vec!["not one of its choices", "allowed", "nearest is `crooked`"]),
        (r#""button.sits": "03-Apr""#, vec!["spreadsheet"]),
        (r#""button.gap": {"a": 1}"#, vec!["takes one value"]),
        (r#""peg": [{"turns": "stuck"}]"#, vec!["its places have names", "G, D, A, E"]),
        (r#""button": [1]"#, vec!["takes one value"]),
        (r#""inspected-on": "2026-02-29""#, vec!["no day 2026-02-29"]),
        (r#""inspected-on": "20.11.2026""#, vec!["2026-11-20"]),
        (r#""quoted": "1,240""#, vec!["may mean 1240"]),
        (r#""quoted": "12 EUR""#, vec!["USD"]),
        (r#""quoted": -3"#, vec!["quoted"]),
        (r#""button.gap [lb]": 3"#, vec!["[lb] is no unit"]),
        (r#""button.gap [deg]": 3"#, vec!["unit deg does not fit", "mm, cm, m or inch"]),
        (r#""button.sits [mm]": "straight""#, vec!["no unit"]),
        (r#""button.gap": 1, "button.gap": 1"#, vec!["given twice"]),
        (r#""button": {"gap": 1}, "button": {"sits": "straight"}"#, vec!["given twice"]),
        (r#""button": {"gap": 1}, "button.gap": 2"#, vec!["given twice"]),
        (r#""button.gap": 1, "button.gap [in]": 2"#, vec!["given twice, here and as `button.gap`"]),
        (r#""shelf": 1, "shelf": 2"#, vec!["given twice"]),
        (r#""the rest": "bad""#, vec!["`good`"]),
    ] {
        let text = format!("{{\"record\": \"1\", {fields}}}");
        let told = faults("a.json", text.as_bytes());
        assert_eq!(told.len(), 1, "{fields}: {told:?}");
        for words in expected {
            assert!(told[0].contains(words), "{fields}: {told:?} lacks {words:?}");
        }
    }
}

#[test]
fn every_fault_of_a_record_is_told_at_once() {
    let told = faults("a.json", br#"{"buton": "good", "button.gap": "x", "crack.2": "yes"}"#);
    assert_eq!(told.len(), 4, "{told:?}");
    assert!(told.iter().any(|why| why.contains("it has no `record`")), "{told:?}");
}

#[test]
fn the_others_still_run() {
    let text = "{\"record\":1}\n{\"record\":\n\nnot json\n{\"record\":3} x\n[]\n\"5\"\n{\"record\":\"\"}\n{\"record\":1}\n{\"record\":9}";
    let answers = read("a.jsonl", text.as_bytes()).expect("a file that can be used");
    let told: Vec<(u64, String)> = answers
        .iter()
        .map(|answer| match answer {
            Ok(record) => (record.source.row, format!("read {}", record.id)),
            Err(refused) => (refused.source.row, refused.faults[0].why.clone()),
        })
        .collect();
    let rows: Vec<u64> = told.iter().map(|(row, _)| *row).collect();
    assert_eq!(rows, [1, 2, 4, 5, 6, 7, 8, 9, 10], "{told:?}");
    for (row, words) in [
        (1, "read 1"),
        (2, "not JSON at character"),
        (4, "not JSON at character 2"),
        (5, "not JSON at character 14"),
        (6, "it is a list, and a record is an object"),
        (7, "it is a text, and a record is an object"),
        (8, "it has no `record`"),
        (9, "the same mark stands at row 1"),
        (10, "read 9"),
    ] {
        assert!(told.iter().any(|(at, why)| *at == row && why.contains(words)), "row {row} lacks {words:?}: {told:?}");
    }
}

#[test]
fn slips_of_a_hand_that_writes_json_are_told_in_plain_words() {
    for (text, words) in [
        (r#"{"record": "A1", "tag": "T1",}"#, "no comma stands behind the last one"),
        (r#"{"record": "A1" "tag": "T1"}"#, "a comma stands between two fields"),
        (r#"{"record": "A1", tag: "T1"}"#, "the name of a field stands in quotation marks"),
        (r#"{"record" "A1"}"#, "a colon stands between the name of a field and what it says"),
        (r#"{"record": A1}"#, "a text stands in quotation marks"),
        (r#"{"record": "A1", "peg": [1 2]}"#, "a comma stands between two entries of a list"),
    ] {
        let told = faults("a.json", text.as_bytes());
        assert!(told.iter().any(|why| why.contains("not JSON at character") && why.contains(words)), "{text}: {told:?}");
    }
}

#[test]
fn arrays_are_read_element_by_element() {
    for (text, expected) in [
        ("[]", vec![]),
        ("[ ]\n", vec![]),
        (r#"[{"record":1}, {"record":"],["}]"#, vec!["1", "],["]),
        (r#"[{"record":1},, {"record":2}]"#, vec!["1", "comma is left over", "2"]),
        (r#"[{"record":1},]"#, vec!["1", "comma is left over"]),
        (r#"[{"record":1} {"record":2}, {"record":3}]"#, vec!["not JSON", "3"]),
        (r#"[{"record":1}, {"record":"2""#, vec!["1", "ends in the middle"]),
        (r#"[{"record":1}"#, vec!["ends in the middle"]),
        (r#"[{"record":1},"#, vec!["1", "before its array is closed"]),
        (r#"[{"record":1}] {"record":2}"#, vec!["1", "after the end of the array"]),
        (r#"[7, null, {"record":3}]"#, vec!["it is a number, and a record is an object", "it is null, and", "3"]),
        ("{\"record\":\n1}\n\n{\"record\": 2} {\"record\": 3}", vec!["1", "2", "3"]),
    ] {
        let answers = read("a.json", text.as_bytes()).expect("a file that can be used");
        let told: Vec<String> = answers
            .iter()
            .map(|answer| answer.as_ref().map_or_else(|refused| refused.faults[0].why.clone(), |record| record.id.clone()))
            .collect();
        assert_eq!(told.len(), expected.len(), "{text}: {told:?}");
        for (told, expected) in told.iter().zip(expected) {
            assert!(told.contains(expected), "{text}: {told}");
        }
    }
}

#[test]
fn csv_headings_are_understood_whole_or_the_file_is_refused() {
    for (heading, expected) in [
        ("record,buton.gap", vec!["column B, `buton.gap`", "nearly names `button.gap`"]),
        ("record,button.gap,button.gap", vec!["columns B and C both hold `button.gap`"]),
        ("record,shelf,shelf", vec!["columns B and C both hold `shelf`"]),
        ("tag,button.gap", vec!["no column is headed `record`"]),
        ("record,button.gap [lb]", vec!["column B", "[lb] is no unit"]),
        ("record;tag", vec!["parted by semicolons; save it as a workbook"]),
        ("record\ttag", vec!["parted by tabs"]),
        ("record,\"tag", vec!["heading cannot be read", "never closed"]),
        ("record,buton.gap,peg.F", vec!["column B", "column C"]),
    ] {
        let text = format!("{heading}\n1,2,3\n");
        let unusable = read("a.csv", text.as_bytes()).expect_err(heading).to_string();
        for words in expected {
            assert!(unusable.contains(words), "{heading}: {unusable}");
        }
    }
}

#[test]
fn csv_rows_are_refused_by_row() {
    let text = "record,button.sits,button.gap [in],,note\n\
        1,crooked,0.02,,\"two\nlines, and a \"\"mark\"\"\"\n\
        2,crooked\n\
        ,,,,\n\
        \n\
        3,croked,,,\n\
        4,straight,,x,\n\
        5,\"straight\" indeed,,,\n\
        6,straight,3\" long,,\n\
        7,,,,\n\
        8,,,,\"open";
    let answers = read("a.csv", text.as_bytes()).expect("a file that can be used");
    let told: Vec<(u64, String)> = answers
        .iter()
        .map(|answer| match answer {
            Ok(record) => (record.source.row, format!("{} {:?}", record.id, record.carried)),
            Err(refused) => {
                let fault = &refused.faults[0];
                (refused.source.row, format!("{} {:?} {}", fault.column.as_deref().unwrap_or("-"), fault.value, fault.why))
            }
        })
        .collect();
    for (row, words) in [
        (2, r#"1 [("note", "two\nlines, and a \"mark\"")]"#),
        (3, "2 cells and the heading has 5; an empty cell needs its comma too"),
        (6, "B Some(\"croked\")"),
        (7, r#"4 [("column D", "x")]"#),
        (8, "text after the quotation mark"),
        (9, "C Some("),
        (10, "7 []"),
        (11, "never closed"),
    ] {
        assert!(told.iter().any(|(at, why)| *at == row && why.contains(words)), "row {row} lacks {words:?}: {told:#?}");
    }
    assert_eq!(told.len(), 8, "{told:#?}");
    let first = answers[0].as_ref().expect("a record");
    // UCUM 2.2: an inch is 2.54 cm exactly.
    assert_eq!(said(first, "button.gap"), reading("0.508"));
}

#[test]
fn files_that_cannot_be_used() {
    for (name, bytes, words) in [
        ("a.csv", &b""[..], "it is empty"),
        ("a.jsonl", b" \n\n", "it is empty"),
        ("a.xlsx", b"PK\x03\x04rest", "save it anew"),
        ("a.csv", b"\xff\xfer\0e\0", "UTF-16"),
        ("a.csv", b"record,caf\xe9\n1,2\n", "not UTF-8 (byte 11)"),
        ("a.csv", b"record,tag\r1,2\r", "bare carriage returns"),
    ] {
        let unusable = read(name, bytes).expect_err(words).to_string();
        assert!(unusable.contains(words), "{unusable}");
    }
    let folder = Files::new();
    let folder = folder.0.path().to_string_lossy().into_owned();
    assert!(Input::new(&folder, false).is_err_and(|why| why.to_string().contains("folder")));
    assert!(Input::new("no-such-file.csv", false).is_err_and(|why| why.to_string().contains("there is no such file")));
    assert!(Input::new("/no/such/file.csv", false).is_err_and(|why| why.to_string().contains("there is no folder /no/such")));
}

#[test]
fn text_that_is_not_utf_8_is_refused_by_record() {
    let told = faults("a.jsonl", b"{\"record\":\"\xe9\"}\n");
    assert!(told[0].contains("not UTF-8 (byte 12 of the record)"), "{told:?}");
    let told = faults("a.csv", b"record,note,shelf\n1,\"a,b\",caf\xe9\n");
    assert!(told[0].contains("not UTF-8 in column C (byte 12 of the row)"), "{told:?}");
    assert_eq!(told.len(), 1, "what could not be read is not said to lack anything");
}

#[test]
fn hostile_sizes_and_depths_are_refused_and_the_rest_is_read() {
    let long = "x".repeat(50 << 20);
    let deep = format!("{}{}", "[".repeat(10_000), "]".repeat(10_000));
    let groups = format!("{}1{}", "{\"crack\":".repeat(10_000), "}".repeat(10_000));
    let crowd = (0..5000).map(|at| format!(",\"x{at}\":1")).collect::<String>();
    let cases = [
        ("a.jsonl", format!("{{\"record\":1}}\n{{\"record\":2,\"note\":\"{long}\"}}\n{{\"record\":3}}\n"), "longer than 4 MiB"),
        ("a.json", format!("[{{\"record\":1}},{{\"record\":2,\"note\":\"{long}\"}},{{\"record\":3}}]"), "longer than 4 MiB"),
        ("a.csv", format!("record,note\n1,\n2,{long}\n3,\n"), "longer than 4 MiB"),
        ("a.csv", format!("record,note\n1,\n2,\"{long}\n3,\n"), "longer than 4 MiB"),
        ("a.jsonl", format!("{{\"record\":1}}\n{{\"record\":2,\"button.gap\":{deep}}}\n{{\"record\":3}}\n"), "list of answers"),
        ("a.jsonl", format!("{{\"record\":1}}\n{{\"record\":2,\"crack\":{deep}}}\n{{\"record\":3}}\n"), "one value"),
        ("a.jsonl", format!("{{\"record\":1}}\n{groups}\n{{\"record\":3}}\n"), "crack"),
        ("a.jsonl", format!("{{\"record\":1}}\n{{\"record\":2{crowd}}}\n{{\"record\":3}}\n"), "more than 4096 fields"),
    ];
    for (name, text, words) in cases {
        let answers = read(name, text.as_bytes()).expect("a file that can be used");
        let told: Vec<String> = answers
            .iter()
            .map(|answer| match answer {
                Ok(record) => record.id.clone(),
                Err(refused) => refused.faults.iter().map(|fault| fault.why.clone()).collect::<Vec<_>>().join(" / "),
            })
            .collect();
        assert_eq!((told.len(), told[0].as_str(), told[2].as_str()), (3, "1", "3"), "{name} {words}");
        assert!(told[1].contains(words), "{name}: {} lacks {words}", told[1]);
    }
}

#[test]
fn blocks_do_not_split_records() {
    // Rows of many lengths, so that block ends fall everywhere in them.
    let mut csv = "record,note\n".to_owned();
    let mut lines = String::new();
    let mut array = "[".to_owned();
    for at in 0..30_000 {
        let note = "\\\"],{\n".chars().cycle().take(at % 53).collect::<String>();
        let json = serde_json::to_string(&note).expect("text");
        csv.push_str(&format!("{at},\"{}\"\n", note.replace('"', "\"\"")));
        lines.push_str(&format!("{{\"record\":{at},\"note\":{json}}}\n"));
        array.push_str(&format!("{}{{\"record\":{at},\"note\":{json}}}", if at > 0 { "," } else { "" }));
    }
    array.push(']');
    let expected = records("a.csv", csv.as_bytes());
    assert_eq!(expected.len(), 30_000);
    for (name, text) in [("a.jsonl", &lines), ("a.json", &array)] {
        let others = records(name, text.as_bytes());
        assert_eq!(others.len(), expected.len(), "{name}");
        for (one, other) in others.iter().zip(&expected) {
            let carried = |record: &Record| record.carried.iter().map(|(_, value)| value.clone()).collect::<String>();
            assert_eq!((&one.id, carried(one).trim()), (&other.id, carried(other).trim()), "{name}");
        }
    }
}
