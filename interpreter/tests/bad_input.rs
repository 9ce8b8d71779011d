//! Untidy and hostile input on the command line: each gets a message that names the place and the way out, the others
//! still run, every record is either judged or refused, and memory does not grow with a file.

use std::process::Output;

use crate::bench::{Bench, SMALL, code, err, json, out};
use serde_json::{Value, json};

/// Files with records in them that are refused: the file, how many are judged, and for each refused one the row, the
/// record, the column, the field, and words of the reason.
type Refusals<'a> = (&'a str, Vec<u8>, u64, Vec<(u64, Option<&'a str>, Option<&'a str>, Option<&'a str>, &'a str)>);

fn text(of: &Value) -> Option<&str> {
    of.as_str()
}

/// The words of an output, whatever the lines they were laid out in.
fn told(output: &Output) -> String {
    format!("{}{}", out(output), err(output)).split_whitespace().collect::<Vec<_>>().join(" ")
}

fn hold(bench: &Bench, (name, bytes, done, refusals): &Refusals) {
    bench.write(name, bytes);
    let output = bench.purfle(&["triage", "small.purfle", name, "--as", "json"]);
    let value = json(&output);
    let refused = value["refused"].as_array().expect("a list");
    assert_eq!(code(&output), i32::from(!refused.is_empty()), "{name}");
    assert_eq!(value["done"], *done, "{name}: {value:#}");
    assert_eq!(value["read"], done + refused.len() as u64, "{name}: read = done + refused");
    assert_eq!(value["outcomes"].as_array().map(Vec::len), Some(*done as usize), "{name}");
    assert_eq!(refused.len(), refusals.len(), "{name}: {value:#}");
    let words = told(&bench.purfle(&["triage", "small.purfle", name]));
    for (refusal, (row, record, column, field, why)) in refused.iter().zip(refusals) {
        let place = (text(&refusal["source"]), refusal["row"].as_u64(), text(&refusal["record"]));
        assert_eq!(place, (Some(*name), Some(*row), *record), "{refusal:#}");
        assert_eq!((text(&refusal["column"]), text(&refusal["field"])), (*column, *field), "{refusal:#}");
        assert!(text(&refusal["why"]).is_some_and(|told| told.contains(why)), "{why}: {refusal:#}");
        // People read the same as programs do.
        assert!(words.contains(&format!("{name}, row {row}")), "{name} {row}: {words}");
        let column = column.map(|column| format!("column {column}, ")).unwrap_or_default();
        let field = field.unwrap_or_default();
        assert!(words.contains(&format!("{column}{field}")) && words.contains(why), "{why}: {words}");
    }
}

#[test]
fn values_that_cannot_be() {
    let bench = Bench::new();
    let heading = "record,inspected-on,button.gap,button.sits,post.lean,quoted";
    let rows = "A,2026-11-20,0.4,crooked,2,60\n\
        B,2026-02-30,,,,\nC,20.11.2026,,,,\nD,,3 deg,,,\nE,,\"0,4\",,,\nF,,8.5,,,\nG,,,croked,,\nH,,,,31 deg,\n\
        I,,,,,12 EUR\nJ,,,,,\"1,200\"\nK,,1 furlong,,,\nL,,-0.1,,,\nM,,five,,,\nN,,1e400,,,\n";
    let refused = vec![
        (3, Some("B"), Some("B"), Some("inspected-on"), "there is no day 2026-02-30"),
        (4, Some("C"), Some("B"), Some("inspected-on"), "the nearest is `2026-11-20`"),
        (5, Some("D"), Some("C"), Some("button.gap"), "takes a length in mm, cm, m or inch"),
        (6, Some("E"), Some("C"), Some("button.gap"), "the nearest is `0.4`"),
        (7, Some("F"), Some("C"), Some("button.gap"), "allowed: 0 to 8 mm"),
        (8, Some("G"), Some("D"), Some("button.sits"), "the nearest is `crooked`"),
        (9, Some("H"), Some("E"), Some("post.lean"), "allowed: 0 to 30 deg"),
        (10, Some("I"), Some("F"), Some("quoted"), "EUR is not the rulebook's money, USD"),
        (11, Some("J"), Some("F"), Some("quoted"), "may mean 1200"),
        (12, Some("K"), Some("C"), Some("button.gap"), "furlong is not a unit"),
        (13, Some("L"), Some("C"), Some("button.gap"), "outside what this look takes"),
        (14, Some("M"), Some("C"), Some("button.gap"), "`five` is not a number"),
        (15, Some("N"), Some("C"), Some("button.gap"), "a number is written out, without a power of ten"),
    ];
    hold(&bench, &("values.csv", format!("{heading}\n{rows}").into_bytes(), 1, refused));
}

#[test]
fn rows_and_texts_that_cannot_be_read() {
    let bench = Bench::new();
    let deep = format!("{}{}", "[".repeat(10_000), "]".repeat(10_000));
    let nested = format!("{}1{}", "{\"record\":".repeat(10_000), "}".repeat(10_000));
    let long = "x".repeat(50 << 20);
    let whole = |row, why| (row, None, None, None, why);
    let cases: Vec<Refusals<'_>> = vec![
        (
            "ragged.csv",
            b"record,tag,button.gap\n1,a\n2,b,0,9\n3,c,0\n".to_vec(),
            1,
            vec![
                whole(2, "it has 2 cells and the heading has 3; an empty cell needs its comma too"),
                whole(3, "it has 4 cells and the heading has 3; a comma inside a cell needs quotation marks"),
            ],
        ),
        (
            "latin.csv",
            b"record,note\n1,caf\xe9\n2,ok\n".to_vec(),
            1,
            vec![whole(2, "not UTF-8 in column B (byte 6 of the row); save the file as UTF-8")],
        ),
        (
            "latin.jsonl",
            b"{\"record\":1,\"note\":\"caf\xe9\"}\n{\"record\":2}\n".to_vec(),
            1,
            vec![whole(1, "not UTF-8 (byte 24 of the record); save the file as UTF-8")],
        ),
        (
            "twice.csv",
            b"record\nA\nB\nA\n".to_vec(),
            2,
            vec![(4, Some("A"), None, Some("record"), "the same mark stands at row 2")],
        ),
        (
            "half.jsonl",
            [
                r#"{"record":"1","button.sits":"crooked\ud83d"}"#,
                r#"{"record":"2\ud800"}"#,
                r#"{"record":"3","tag":"\udc00"}"#,
                r#"{"record":"4","note":"\ud83c\udfbb"}"#,
            ]
            .join("\n")
            .into_bytes(),
            1,
            vec![
                (1, Some("1"), None, Some("button.sits"), "which is half a character"),
                (2, None, None, Some("record"), "which is half a character"),
                (3, Some("3"), None, Some("tag"), "which is half a character"),
            ],
        ),
        ("deep.json", deep.clone().into_bytes(), 0, vec![whole(1, "it is a list, and a record is an object")]),
        (
            "deep-field.jsonl",
            format!("{{\"record\":1,\"button.gap\":{deep}}}\n{{\"record\":2}}\n").into_bytes(),
            1,
            vec![(1, Some("1"), None, Some("button.gap"), "a list of answers holds single answers only")],
        ),
        (
            "deep-groups.jsonl",
            format!("{nested}\n{{\"record\":2}}\n").into_bytes(),
            1,
            vec![(1, None, None, Some("record"), "it takes one value, and a group in braces stands here")],
        ),
        ("cut.json", b"[{\"record\":1},{\"record\":2".to_vec(), 1, vec![whole(2, "it may have been cut short")]),
        ("long.csv", format!("record,note\n1,{long}\n2,\n").into_bytes(), 1, vec![whole(2, "it is longer than 4 MiB")]),
        (
            "long.jsonl",
            format!("{{\"record\":1,\"note\":\"{long}\"}}\n{{\"record\":2}}\n").into_bytes(),
            1,
            vec![whole(1, "it is longer than 4 MiB")],
        ),
        ("long.json", format!("{{\"record\":1,\"note\":\"{long}\"}}").into_bytes(), 0, vec![whole(1, "it is longer than 4 MiB")]),
    ];
    for case in &cases {
        hold(&bench, case);
    }
}

#[test]
fn a_mark_is_told_once_over_all_files() {
    let bench = Bench::new();
    bench.write("one.csv", b"record\nA\nB\n");
    bench.write("two.jsonl", b"{\"record\":\"C\"}\n{\"record\":\"A\"}\n");
    let value = json(&bench.purfle(&["triage", "small.purfle", "one.csv", "two.jsonl", "--as", "json"]));
    assert_eq!((&value["read"], &value["done"]), (&4.into(), &3.into()));
    let why = value["refused"][0]["why"].as_str().expect("a reason");
    assert!(why.contains("row 2 of one.csv") && why.contains("a mark of its own"), "{why}");
}

#[test]
fn a_record_that_no_instrument_can_be_like() {
    let bench = Bench::new();
    let rulebook = crate::bench::SMALL
        .replace("part post \"Sound post\"\n", "part post \"Sound post\"\n  only when instrument.kind is violin\n");
    bench.write("violins.purfle", rulebook.as_bytes());
    bench.write("a.csv", b"record,instrument.kind,post.lean\n1,viola,3\n2,violin,3\n");
    let value = json(&bench.purfle(&["triage", "violins.purfle", "a.csv", "--as", "json"]));
    assert_eq!((&value["read"], &value["done"]), (&2.into(), &1.into()));
    let refused = &value["refused"][0];
    assert_eq!((text(&refused["field"]), refused["row"].as_u64()), (Some("instrument.kind, post.lean"), Some(2)));
}

#[test]
fn headings_and_files_that_cannot_be_used() {
    let bench = Bench::new();
    std::fs::create_dir(bench.path().join("folder")).expect("a folder");
    let files: [(&str, &[u8]); 11] = [
        ("good.csv", b"record\n1\n"),
        ("empty.csv", b""),
        ("blank.json", b"\xef\xbb\xbf \n"),
        ("sheet.xlsx", b"PK\x03\x04rest"),
        ("wide.csv", b"\xff\xfer\0e\0"),
        ("missing.csv", b"tag,button.gap\nV1,0\n"),
        ("doubled.csv", b"record,button.gap,tag,button.gap [in]\n1,0,V1,0\n"),
        ("unknown.csv", b"record,buton.gap,button.gpa,part.x\n1,0,0,0\n"),
        ("units.csv", b"record,button.gap [deg],button.sits [mm]\n1,0,straight\n"),
        ("latin.csv", b"record,caf\xe9\n1,2\n"),
        ("latin.purfle", b"rulebook latin \"Caf\xe9\"\n"),
    ];
    for (name, bytes) in files {
        bench.write(name, bytes);
    }
    let long = format!("record,{}\n1,2\n", "x".repeat(5 << 20));
    bench.write("long.csv", long.as_bytes());
    for (arguments, words) in [
        (&["small.purfle", "empty.csv"][..], &["empty.csv: it is empty; save the records again"][..]),
        (&["small.purfle", "blank.json"], &["blank.json: it is empty"]),
        (&["small.purfle", "none.csv"], &["none.csv: there is no such file"]),
        (&["small.purfle", "folder"], &["folder: it is a folder; name the files in it"]),
        (&["small.purfle", "sheet.xlsx"], &["sheet.xlsx: it cannot be read as a spreadsheet", "save it anew"]),
        (&["small.purfle", "wide.csv"], &["wide.csv: it is UTF-16; save it as UTF-8"]),
        (&["small.purfle", "missing.csv"], &["missing.csv: no column is headed `record`", "the first row is the heading"]),
        (&["small.purfle", "doubled.csv"], &["columns B and D both hold `button.gap [in]`; keep one of them"]),
        (
            &["small.purfle", "unknown.csv"],
            &["column B, `buton.gap`", "nearly names `button.gap`", "column C", "the nearest is `button.gap`"],
        ),
        (&["small.purfle", "units.csv"], &["column B", "mm, cm, m or inch", "column C", "no unit"]),
        (&["small.purfle", "latin.csv"], &["latin.csv: its heading is not UTF-8 (byte 11); save the file as UTF-8"]),
        (&["small.purfle", "long.csv"], &["long.csv: its heading cannot be read: it is longer than 4 MiB"]),
        (&["small.purfle", "good.csv", "none.csv", "empty.csv"], &["none.csv: there is", "empty.csv: it is empty"]),
        (&["small.purfle", "good.csv", "--last", "none.csv"], &["none.csv: there is no such file"]),
        (&["none.purfle", "good.csv"], &["none.purfle: there is no such file"]),
        (&["folder", "good.csv"], &["folder: it is a folder; name the rulebook in it"]),
        (&["latin.purfle", "good.csv"], &["latin.purfle: it is not UTF-8 at byte 20 (line 1); save it as UTF-8"]),
        (&["good.csv", "small.purfle"], &["good.csv: it is named like records; the rulebook comes first"]),
        (&["small.purfle", "small.purfle"], &["small.purfle: it is named like a rulebook"]),
    ] {
        let output = bench.purfle(&[&["triage"], arguments].concat());
        assert_eq!((code(&output), out(&output).as_str()), (2, ""), "{arguments:?}: {}", err(&output));
        for word in words {
            assert!(err(&output).contains(word), "{arguments:?} lacks {word}: {}", err(&output));
        }
    }
}

#[test]
fn a_rulebook_whose_parent_is_not_as_named_does_not_run() {
    let bench = Bench::new();
    bench.write("a.csv", b"record\n1\n");
    for (builds_on, words) in [
        (
            "small edition 2025.9",
            &["edition 2025.9 of small", "edition 2026.1 is here", "Compare this rulebook, still built on edition 2025.9"][..],
        ),
        ("nowhere edition 1", &["nowhere.purfle: there is no such file", "Put nowhere.purfle beside this rulebook"]),
        ("other edition 2026.1 from \"small.purfle\"", &["builds on other", "is small"]),
        ("small edition 2026.1 from \"no/small.purfle\"", &["no/small.purfle: there is no such file", "after `from`"]),
    ] {
        bench.write("house.purfle", format!("rulebook house \"House\"\n  edition 1\n  builds on {builds_on}\n").as_bytes());
        let output = bench.purfle(&["triage", "house.purfle", "a.csv"]);
        assert_eq!((code(&output), out(&output).as_str()), (1, ""), "{builds_on}");
        let told = told(&output).replace("| ", "");
        for word in words.iter().chain(&["house.purfle:3:", "A rulebook with errors does not run."]) {
            assert!(told.contains(word), "{builds_on} lacks {word}: {told}");
        }
    }
}

/// A record of half a gibibyte, and thousands of records that are a third of one together, with less memory to be had
/// than either takes.
#[cfg(target_os = "linux")]
#[test]
fn memory_does_not_grow_with_a_file() {
    use std::io::{Seek, SeekFrom, Write};
    use std::process::Command;

    let bench = Bench::new();
    // What is skipped in a file takes no room on most disks.
    let file = |name: &str, rows: u64, gap: i64| {
        let mut file = std::io::BufWriter::new(std::fs::File::create(bench.path().join(name)).expect("a file"));
        file.write_all(b"record,button.gap\n1,0\n").expect("a disk");
        for row in 0..rows {
            write!(file, "row-{row},").expect("a disk");
            file.seek(SeekFrom::Current(gap)).expect("a disk");
            file.write_all(b"\n").expect("a disk");
        }
        file.write_all(b"2,0\n").expect("a disk");
    };
    file("long.csv", 1, 512 << 20);
    file("many.csv", 3000, 100 << 10);
    for (name, rows, why) in [("long.csv", 1, "longer than 4 MiB"), ("many.csv", 3000, "longer than 400 characters")] {
        let output = Command::new("sh")
            .args(["-c", "ulimit -v 250000 && exec \"$@\"", "sh", env!("CARGO_BIN_EXE_purfle")])
            .args(["triage", "small.purfle", name, "--as", "csv"])
            .current_dir(bench.path())
            // Room that is set aside and never used is not what is measured.
            .env("MALLOC_ARENA_MAX", "1")
            .output()
            .expect("the program");
        let report = out(&output);
        assert_eq!((code(&output), err(&output).as_str()), (1, ""), "{name}");
        assert_eq!(report.lines().count(), 1 + 2 + rows, "{name}: every record is judged or refused");
        assert_eq!(report.lines().filter(|row| row.contains(why)).count(), rows, "{name}");
    }
}

#[test]
fn a_look_with_more_limits_than_can_be_kept_apart_is_told_before_any_record() {
    let bench = Bench::new();
    let sizes = (1..=70).map(|size| format!("size-{size}")).collect::<Vec<_>>();
    let rows = sizes.iter().enumerate().map(|(at, size)| format!("  row {size} {at}.5 mm\n")).collect::<String>();
    let rulebook = SMALL.to_owned()
        + &format!(
            "context player \"The player\"\n  look size \"Which size?\"\n    one of {}\n\
             table reach \"Reach\" by player.size\n{rows}\
             part grip \"The grip\"\n  look width \"How wide is it?\"\n    measured in mm from 0 to 100\n\
             finding grip-wide \"The grip is wide\"\n  on grip\n  signs width is above reach\n  urgency book\n  \
             hands luthier\n  cost nothing\n  basis \"invented\"\n",
            sizes.join(", ")
        );
    bench.write("fine.purfle", rulebook.as_bytes());
    for arguments in [&["proof", "fine.purfle"][..], &["rehearse", "fine.purfle"], &["triage", "fine.purfle", "none.csv"]] {
        bench.write("none.csv", b"record\nA\n");
        let output = bench.purfle(arguments);
        let words = told(&output);
        assert_eq!(code(&output), 1, "{arguments:?}: {words}");
        assert!(words.contains("`grip.width` is compared with more limits than can be kept apart"), "{arguments:?}: {words}");
    }
}

/// A record that is fine, one of another day, one of another tag, and one that stands beside the second on its day.
#[test]
fn a_tag_on_two_records_of_one_day_is_told() {
    let bench = Bench::new();
    let heading = "record,tag,inspected-on,button.sits";
    let sound = format!("{heading}\nA1,T1,2026-11-01,crooked\nA2,T1,2026-11-02,straight\nA4,T2,2026-11-02,crooked\n");
    bench.write("sound.csv", sound.as_bytes());
    bench.write("tags.csv", format!("{sound}A3,T1,2026-11-02,crooked\n").as_bytes());
    let says = "One tag stands on several records of one day: T1 on 2 records (A2, A3). Each counts as an instrument of its own.";
    for form in ["terminal", "html"] {
        let report = |name: &str| told(&bench.purfle(&["triage", "small.purfle", name, "--as", form]));
        assert!(report("tags.csv").contains(says), "{form}");
        assert!(!report("sound.csv").contains("One tag stands on"), "{form}: seen again on another day");
    }
    let report = |name: &str| json(&bench.purfle(&["triage", "small.purfle", name, "--as", "json"]));
    let same_day = json!([{"tag": "T1", "inspected-on": "2026-11-02", "records": ["A2", "A3"], "count": 2}]);
    assert_eq!(report("tags.csv")["tags"], json!({"same-day": same_day, "unlike": []}));
    assert_eq!(report("sound.csv")["tags"], Value::Null);
    let notes = tag_notes(&out(&bench.purfle(&["triage", "small.purfle", "tags.csv", "--as", "csv"])));
    assert_eq!(notes, [("A1", ""), ("A2", ""), ("A4", ""), ("A3", "the same tag and day as A2")].map(owned));
}

/// What an instrument is does not change from day to day; whether it is strung does, and so does who owns it.
#[test]
fn a_tag_on_instruments_that_are_not_alike_is_told() {
    let bench = Bench::new();
    let by_kind = SMALL.replace(
        "part post \"Sound post\"\n",
        "part rod \"End pin\"\n  only when instrument.kind is viola\n  look loose \"Loose?\" yes or no\n    good no\n\npart post \"Sound post\"\n",
    );
    bench.write("kinds.purfle", by_kind.as_bytes());
    let heading = "record,tag,inspected-on,instrument.kind,instrument.strung";
    let rows = "A1,T1,2026-11-01,violin,yes\nA2,T1,2026-11-02,viola,no\nA3,T1,2026-11-03,viola,no\nA4,T2,2026-11-01,viola,yes\n\
                A5,T2,2026-11-02,violin or viola,no\n";
    bench.write("kinds.csv", format!("{heading}\n{rows}").as_bytes());
    let says = "One tag stands on instruments that are not alike: T1, instrument.kind: violin on A1, viola on A2. If it is one \
                instrument, put right the record that is wrong; if not, one of them needs another tag.";
    for form in ["terminal", "html"] {
        let report = |rulebook: &str| told(&bench.purfle(&["triage", rulebook, "kinds.csv", "--as", form]));
        assert!(report("kinds.purfle").contains(says), "{form}: {}", report("kinds.purfle"));
        assert!(!report("small.purfle").contains("not alike"), "{form}: nothing there hangs on the kind");
    }
    let report = json(&bench.purfle(&["triage", "kinds.purfle", "kinds.csv", "--as", "json"]));
    let shows = json!([{"record": "A1", "shows": "violin"}, {"record": "A2", "shows": "viola"}]);
    assert_eq!(report["tags"], json!({"same-day": [], "unlike": [{"tag": "T1", "look": "instrument.kind", "records": shows}]}));
    let notes = tag_notes(&out(&bench.purfle(&["triage", "kinds.purfle", "kinds.csv", "--as", "csv"])));
    let unlike = "instrument.kind is viola, and violin at A1 of the same tag";
    assert_eq!(notes[1..3], [("A2", &*format!("\"{unlike}\"")), ("A3", &*format!("\"{unlike}\""))].map(owned));
    assert!([0, 3, 4].iter().all(|at| notes[*at].1.is_empty()), "{notes:?}");
}

fn owned((record, note): (&str, &str)) -> (String, String) {
    (record.to_owned(), note.to_owned())
}

/// The records of a CSV report, each with the last cell of its row.
fn tag_notes(report: &str) -> Vec<(String, String)> {
    let note = |line: &str| match line.strip_suffix('"') {
        Some(quoted) => format!("\"{}\"", quoted.rsplit('"').next().unwrap_or_default()),
        None => line.rsplit(',').next().unwrap_or_default().to_owned(),
    };
    report.lines().skip(1).map(|line| (line.split(',').next().unwrap_or_default().to_owned(), note(line))).collect()
}
