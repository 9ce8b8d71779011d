//! The commands as they are typed: what they print, what they end with, and what they leave behind.

use std::io::Read;
use std::process::{Command, Stdio};

use crate::bench::{Bench, SMALL, code, err, json, out};

const SEASON: &str = "record,tag,inspected-on,instrument.kind,instrument.strung,button.gap [in],button.sits,owner.pupil,shelf\n\
    AR-001,V1,2026-11-20,viola,yes,,crooked,Wren Example,top\n\
    AR-002,V2,2026-11-20,violin,yes,0,straight,,\n\
    AR-003,V3,2026-11-20,violin,yes,45 furlongs,,,\n\
    AR-004,V4,2026-11-20,violin,yes,0.02,,,low\n";

#[test]
fn triage_of_a_season() {
    let bench = Bench::new();
    bench.write("season.csv", SEASON.as_bytes());
    let output = bench.purfle(&["triage", "small.purfle", "season.csv"]);
    assert_eq!(code(&output), 1, "a record was refused: {}", err(&output));
    let report = out(&output);
    for words in ["4 records read: 3 judged, 1 refused", "AR-001", "column F", "Wren Example", "A first look is not a diagnosis"]
    {
        assert!(report.contains(words), "{words}: {report}");
    }
    assert!(report.lines().all(|line| line.chars().count() <= 80 && !line.contains('\u{1b}')));
    assert_eq!(err(&output), "", "nothing but the report is printed");
    insta::assert_snapshot!(report);

    let value = json(&bench.purfle(&["triage", "small.purfle", "season.csv", "--as", "json"]));
    assert_eq!((&value["read"], &value["done"]), (&4.into(), &3.into()));
    assert_eq!(value["rulebook"]["name"], "small");
    let crooked = &value["outcomes"][0];
    assert_eq!(crooked["urgency"]["from"], "book");
    assert_eq!(crooked["urgency"]["to"], "book");
    assert_eq!(crooked["findings"][0]["finding"], "button-unseated");
    // A luthier's 0.2 to 0.4 hours at 85 USD, no less than 40 USD; and the same with a button of 5 to 12 USD.
    let price =
        |way: usize| (&crooked["findings"][0]["ways"][way]["cost"]["from"], &crooked["findings"][0]["ways"][way]["cost"]["to"]);
    assert_eq!(price(0), (&"40.00".into(), &"40.00".into()));
    assert_eq!(price(1), (&"40.00".into(), &"46.00".into()));
    assert_eq!(value["outcomes"][1]["played"], "yes");
    assert_eq!(value["refused"][0]["record"], "AR-003");
    assert_eq!(value["refused"][0]["column"], "F");

    let without = out(&bench.purfle(&["triage", "small.purfle", "season.csv", "--as", "json", "--without", "names"]));
    assert!(!without.contains("Wren") && !without.contains("shelf"), "{without}");
}

#[test]
fn every_format_comes_to_the_same() {
    let bench = Bench::new();
    bench.write("a.csv", b"record,instrument.kind,button.sits\n1,viola,crooked\n2,violin,\n");
    bench.write("a.jsonl", b"{\"record\":1,\"instrument.kind\":\"viola\",\"button.sits\":\"crooked\"}\n{\"record\":2,\"instrument.kind\":\"violin\"}\n");
    bench.write("a.json", b"[{\"record\":1,\"instrument\":{\"kind\":\"viola\"},\"button\":{\"sits\":\"crooked\"}},{\"record\":2,\"instrument\":{\"kind\":\"violin\"}}]");
    let outcomes = |name: &str| {
        let mut value = json(&bench.purfle(&["triage", "small.purfle", name, "--as", "json"]));
        for outcome in value["outcomes"].as_array_mut().expect("a list") {
            for field in ["source", "row"] {
                outcome.as_object_mut().expect("an object").remove(field);
            }
        }
        value["outcomes"].take()
    };
    let csv = outcomes("a.csv");
    assert_eq!(csv.as_array().map(Vec::len), Some(2));
    assert_eq!(csv, outcomes("a.jsonl"));
    assert_eq!(csv, outcomes("a.json"));
    let piped = bench.purfle_with(&["triage", "small.purfle", "-", "--as", "csv"], "record,button.sits\n1,crooked\n");
    assert_eq!(code(&piped), 0, "{}", err(&piped));
    assert!(out(&piped).contains("button-unseated"));
}

#[test]
fn last_time_is_read_from_the_same_files_and_from_others() {
    let bench = Bench::new();
    let this = "record,tag,inspected-on,post.lean\n1,V1,2026-11-20,3\n2,V2,2026-11-20,3\n3,V3,2026-11-20,3\n";
    bench.write("this.csv", format!("{this}0,V1,2025-11-20,1\n").as_bytes());
    bench.write(
        "last.csv",
        b"record,tag,inspected-on,post.lean\n9,V2,2025-11-20,1\n8,V3,2027-01-01,1\n7,,2025-11-20,1\n6,V3,2025-11-20,x\n",
    );
    let output = bench.purfle(&["triage", "small.purfle", "this.csv", "--last", "last.csv", "--as", "json"]);
    let value = json(&output);
    let leans = |at: usize| value["outcomes"][at]["findings"].to_string().contains("post-leans-more");
    assert_eq!((leans(0), leans(1), leans(2), leans(3)), (true, true, false, false), "{value:#}");
    assert_eq!(value["last"]["read"], 4);
    assert_eq!(value["last"]["refused"][0]["record"], "6");
    assert_eq!(code(&output), 1, "an earlier record was refused");
    let piped = bench.purfle_with(&["triage", "small.purfle", "-", "--as", "csv"], &format!("{this}0,V1,2025-11-20,1\n"));
    assert_eq!(out(&piped).matches("post-leans-more").count(), 1, "what is piped is read twice too");
}

#[test]
fn files_are_written_whole_or_not_at_all() {
    let bench = Bench::new();
    bench.write("a.csv", b"record\n1\n");
    let there = || std::fs::read_dir(bench.path()).expect("the folder").count();
    let before = there();
    let refused = bench.purfle(&["triage", "small.purfle", "a.csv", "--as", "csv", "--out", "a.csv"]);
    assert_eq!((code(&refused), there()), (2, before));
    assert!(err(&refused).contains("--force"), "{}", err(&refused));
    assert_eq!(std::fs::read(bench.path().join("a.csv")).expect("the file"), b"record\n1\n");

    let written = bench.purfle(&["triage", "small.purfle", "a.csv", "--as", "csv", "--out", "report"]);
    assert_eq!((code(&written), there(), out(&written).as_str()), (0, before + 1, ""));
    let again = bench.purfle(&["triage", "small.purfle", "a.csv", "--as", "json", "--out", "report", "--force"]);
    assert_eq!((code(&again), there()), (0, before + 1));
    assert!(std::fs::read_to_string(bench.path().join("report")).expect("the report").starts_with("{\"purfle\": 1"));
    let nowhere = bench.purfle(&["triage", "small.purfle", "a.csv", "--out", "no/such/folder/report"]);
    assert_eq!((code(&nowhere), there()), (2, before + 1));
    // A name that tells of another form is not filled with this one.
    let says = "in.xlsx: it is named like xlsx, and the report is terminal; add --as xlsx, or name it otherwise";
    let otherwise = bench.purfle(&["triage", "small.purfle", "a.csv", "--out", "in.xlsx"]);
    assert_eq!((code(&otherwise), there()), (2, before + 1));
    assert!(err(&otherwise).contains(says), "{}", err(&otherwise));
}

#[cfg(unix)]
#[test]
fn a_report_may_be_read_by_whoever_may_read_what_its_maker_writes() {
    use std::os::unix::fs::PermissionsExt;
    let bench = Bench::new();
    bench.write("a.csv", b"record\n1\n");
    assert_eq!(code(&bench.purfle(&["triage", "small.purfle", "a.csv", "--out", "report"])), 0);
    let mode = |name: &str| std::fs::metadata(bench.path().join(name)).expect("the file").permissions().mode() & 0o777;
    std::fs::write(bench.path().join("plain"), "").expect("a file");
    assert_eq!(mode("report"), mode("plain"));
}

#[test]
fn a_file_that_is_named_twice_is_told() {
    let bench = Bench::new();
    bench.write("a.csv", b"record\n1\n");
    for (names, says) in [
        (&["a.csv", "a.csv"][..], "a.csv: it is named twice; name each file once"),
        (&["-", "-"], "-: the standard input can be read once only; name each file once"),
        (&["-", "--last", "-"], "-: the standard input can be read once only; name each file once"),
        (&["a.csv", "--last", "-", "--last", "-"], "-: the standard input can be read once only; name each file once"),
    ] {
        let told = bench.purfle(&[&["triage", "small.purfle"], names].concat());
        assert_eq!((code(&told), out(&told).as_str()), (2, ""), "{names:?}");
        assert!(err(&told).contains(says), "{}", err(&told));
    }
}

#[test]
fn files_that_cannot_be_used() {
    let bench = Bench::new();
    bench.write("latin.purfle", b"rulebook latin \"L\"\n  edition 1\n  keeper \"Caf\xe9\"\n");
    bench.write("blank.purfle", b"\n  \n");
    bench.write("a.csv", b"record\n1\n");
    bench.write("bad.csv", b"record,buton.gap\n1,2\n");
    std::fs::create_dir(bench.path().join("folder")).expect("a folder");
    for (arguments, words) in [
        (&["triage", "none.purfle", "a.csv"][..], "none.purfle: there is no such file"),
        (&["triage", "folder", "a.csv"], "folder: it is a folder"),
        (&["triage", "latin.purfle", "a.csv"], "not UTF-8 at byte 45 (line 3)"),
        (&["triage", "blank.purfle", "a.csv"], "it is empty"),
        (&["triage", "small.purfle", "folder"], "folder: it is a folder; name the files in it"),
        (&["triage", "small.purfle", "none.csv"], "none.csv: there is no such file"),
        (&["triage", "small.purfle", "bad.csv"], "column B, `buton.gap`"),
        (&["triage", "small.purfle"], "RECORDS"),
        (&["triage", "small.purfle", "a.csv", "--as", "pdf"], "possible values"),
        (&["proof", "none.purfle"], "there is no such file"),
        (&["rehearse", "none.purfle"], "there is no such file"),
        (&["proof"], "RULEBOOKS"),
    ] {
        let output = bench.purfle(arguments);
        assert_eq!(code(&output), 2, "{arguments:?}: {}", err(&output));
        assert!(err(&output).contains(words), "{arguments:?}: {}", err(&output));
        assert_eq!(out(&output), "", "{arguments:?}");
    }
}

#[test]
fn proof_tells_every_error_in_every_form() {
    let bench = Bench::new();
    let broken = SMALL.replace("gap is above 0.2 mm", "gpa is above 0.2 mm").replace("hands    luthier", "hands    lutier");
    bench.write("broken.purfle", broken.as_bytes());
    let sound = bench.purfle(&["proof", "small.purfle"]);
    assert_eq!(code(&sound), 0, "{}{}", out(&sound), err(&sound));
    assert!(out(&sound).contains("small.purfle: 0 errors"));
    for form in ["human", "plain", "line"] {
        let output = bench.purfle(&["proof", "broken.purfle", "--as", form]);
        let told = out(&output);
        assert_eq!(code(&output), 1, "{told}");
        assert!(told.contains("gpa") && told.contains("lutier"), "{form}: {told}");
    }
    let value = json(&bench.purfle(&["proof", "broken.purfle", "small.purfle", "--as", "json"]));
    assert_eq!(value["purfle"], 1);
    let diagnostics = value["diagnostics"].as_array().expect("a list");
    let lines: Vec<&str> = broken.lines().collect();
    for diagnostic in diagnostics.iter().filter(|diagnostic| diagnostic["severity"] == "error") {
        let at = |end: &str, what: &str| diagnostic[end][what].as_u64().expect("a number") as usize;
        let line = lines[at("from", "line") - 1];
        let text: String = line.chars().skip(at("from", "column") - 1).take(at("to", "column") - at("from", "column")).collect();
        assert!(["gpa", "lutier"].contains(&text.as_str()), "{text}: {diagnostic}");
        assert!(!diagnostic["says"].as_str().unwrap_or_default().is_empty());
        assert_eq!(diagnostic["file"], "broken.purfle");
    }
    assert!(diagnostics.len() >= 2);
    bench.write("a.csv", b"record\n1\n");
    let refused = bench.purfle(&["triage", "broken.purfle", "a.csv"]);
    assert_eq!((code(&refused), out(&refused).as_str()), (1, ""), "a rulebook with errors never runs");
    assert!(err(&refused).contains("gpa") && err(&refused).contains("does not run"), "{}", err(&refused));
}

#[test]
fn parents_are_found_beside_the_child_or_missed_by_name() {
    let bench = Bench::new();
    let child =
        |name: &str, rest: &str| bench.write(name, format!("rulebook house \"House rules\"\n  edition 1\n  {rest}\n").as_bytes());
    child("house.purfle", "builds on small edition 2026.1");
    child("lost.purfle", "builds on nowhere edition 1");
    child("astray.purfle", "builds on small edition 2026.1 from \"else/small.purfle\"");
    child("other.purfle", "builds on small edition 2025.9");
    bench.write("ring.purfle", b"rulebook ring \"R\"\n  edition 1\n  builds on rang edition 1\n");
    bench.write("rang.purfle", b"rulebook rang \"R\"\n  edition 1\n  builds on ring edition 1\n");
    for (name, ending, words) in [
        ("house.purfle", 0, &["0 errors"][..]),
        ("lost.purfle", 1, &["nowhere.purfle", "no such file", "from"]),
        ("astray.purfle", 1, &["else/small.purfle", "no such file", "after `from`"]),
        ("other.purfle", 1, &["2025.9", "2026.1"]),
        ("ring.purfle", 1, &["in a circle", "ring.purfle -> rang.purfle -> ring.purfle"]),
    ] {
        let output = bench.purfle(&["proof", name, "--as", "plain"]);
        let told = out(&output).split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(code(&output), ending, "{name}: {told}");
        for word in words {
            assert!(told.contains(word), "{name} lacks {word}: {told}");
        }
    }
}

#[test]
fn rehearse_shows_what_was_expected_and_what_came_out() {
    let bench = Bench::new();
    let sound = bench.purfle(&["rehearse", "small.purfle"]);
    assert_eq!(code(&sound), 0, "{}{}", out(&sound), err(&sound));
    // The urgency of the gap is `book to halt`, so both lines are reached; nobody has a violin, or slack strings.
    for words in [
        "small 2026.1 (seal 3af2-9f25-580b-8693-9824): 2 examples, all as agreed. Reached by an example:",
        "findings 1 of 2 not: post-leans-more",
        "urgency lines 2 of 3 not: post-leans-more at book",
        "choices 3 of 7 not: instrument.kind violin; instrument.strung no; button.sits straight or pulling-out",
    ] {
        let told = out(&sound).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains(words), "{words}: {told}");
    }
    let wrong = SMALL.replace("finds   button-unseated at book", "finds   button-unseated at halt");
    bench.write("wrong.purfle", wrong.as_bytes());
    let output = bench.purfle(&["rehearse", "wrong.purfle"]);
    assert_eq!(code(&output), 1);
    for words in [
        "FAILS",
        "expected  finds button-unseated at halt",
        "came out  button-unseated is found at book",
        "button.sits is crooked",
    ] {
        assert!(out(&output).contains(words), "{words}: {}", out(&output));
    }
    bench.write(
        "house.purfle",
        b"rulebook house \"House\"\n  edition 1\n  builds on wrong edition 2026.1 from \"wrong.purfle\"\n",
    );
    let child = wrong.replace("rulebook small", "rulebook wrong");
    bench.write("wrong.purfle", child.as_bytes());
    let output = bench.purfle(&["rehearse", "house.purfle"]);
    assert_eq!(code(&output), 0, "a parent's example that comes out differently is no failure: {}", out(&output));
    assert!(out(&output).contains("DIFFERS FROM wrong"), "{}", out(&output));
}

#[test]
fn a_reader_who_has_read_enough_is_left_in_peace() {
    let bench = Bench::new();
    let rows: String = (0..20_000).map(|at| format!("{at},crooked\n")).collect();
    bench.write("long.csv", format!("record,button.sits\n{rows}").as_bytes());
    let mut child = Command::new(env!("CARGO_BIN_EXE_purfle"))
        .args(["triage", "small.purfle", "long.csv", "--as", "csv"])
        .current_dir(bench.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program");
    let mut stdout = child.stdout.take().expect("its output");
    let mut few = [0; 64];
    stdout.read_exact(&mut few).expect("some bytes");
    drop(stdout);
    let output = child.wait_with_output().expect("its end");
    assert_eq!((code(&output), err(&output).as_str()), (0, ""));
}

/// What `seal` prints is what a house may write in its `builds on` line, and what every report bears.
#[test]
fn a_seal_holds_a_house_to_what_it_was_built_on() {
    let bench = Bench::new();
    let printed = out(&bench.purfle(&["seal", "small.purfle"]));
    let seal = printed.split_whitespace().next().expect("a seal").to_owned();
    assert_eq!(printed, format!("{seal}  small 2026.1\n"));
    let house = format!("rulebook house \"House\"\n  edition 1\n  builds on small edition 2026.1 seal \"{seal}\"\n");
    bench.write("house.purfle", house.as_bytes());
    let both = out(&bench.purfle(&["seal", "house.purfle"]));
    assert!(both.ends_with(&format!("{seal}    built on small 2026.1\n")), "{both}");
    let own = both.split_whitespace().next().expect("a seal");
    bench.write("a.csv", b"record\n1\n");
    for form in ["terminal", "json", "csv", "html"] {
        let report = out(&bench.purfle(&["triage", "house.purfle", "a.csv", "--as", form]));
        assert!(report.contains(own), "{form}: {report}");
    }

    // Another layout is no other rulebook; another limit is.
    bench.write("small.purfle", SMALL.replace("\n  ", "\n     ").as_bytes());
    assert_eq!(code(&bench.purfle(&["proof", "house.purfle"])), 0);
    let changed = SMALL.replace("85 USD per h", "86 USD per h");
    assert_ne!(changed, SMALL);
    bench.write("small.purfle", changed.as_bytes());
    let output = bench.purfle(&["proof", "house.purfle", "--as", "line"]);
    assert_eq!(code(&output), 1);
    assert!(out(&output).contains("seal-differs"), "{}", out(&output));
    let refused = bench.purfle(&["seal", "house.purfle", "missing.purfle"]);
    assert_eq!(code(&refused), 2);
    assert!(err(&refused).contains("missing.purfle"), "{}", err(&refused));
}
