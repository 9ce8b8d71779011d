//! `purfle proof`: warnings taken as errors, warnings quieted, and what mends itself.

use serde_json::{Value, json as shape};

use crate::bench::{Bench, SMALL, code, err, json, out};

/// The small rulebook without anything to say of it: one of its looks is read by nothing.
fn sound() -> String {
    SMALL.replace("  look kind ", "  # quiet look-unread because \"the sheet asks it\"\n  look kind ")
}

/// The same with a warning: a finding without `basis`.
fn warned() -> String {
    sound().replacen("  basis    \"common practice\"\n", "", 1)
}

/// The same with the warning quieted.
fn quieted() -> String {
    warned().replace("finding button-unseated", "# quiet no-basis because \"asked by telephone\"\nfinding button-unseated")
}

/// A house on the small rulebook: two faults with safe fixes (a choice with a capital, a step mistyped), and one with a
/// fix that may change what is meant.
const HOUSE: &str = "rulebook house \"Häuslich\"\n  edition 1\n  builds on small edition 2026.1\n\n\
    finding loose \"The button is loose\"\n  on       button\n  signs    sits is Crooked and gap is above 0.4 mm\n\
    \x20 urgency  bokk\n  hands    luthier\n  cost     nothing\n  bassis   \"common practice\"\n";

fn files(bench: &Bench) -> Vec<String> {
    let entries = std::fs::read_dir(bench.path()).expect("the folder");
    let mut names: Vec<String> =
        entries.map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

fn read(bench: &Bench, name: &str) -> String {
    std::fs::read_to_string(bench.path().join(name)).expect("it is there")
}

fn slugs(value: &Value, list: &str) -> Vec<String> {
    let all = value[list].as_array().expect("a list");
    all.iter().map(|one| one["slug"].as_str().expect("a slug").to_owned()).collect()
}

#[test]
fn strict_takes_warnings_as_errors_and_says_so() {
    let bench = Bench::new();
    bench.write("warned.purfle", warned().as_bytes());
    let plainly = bench.purfle(&["proof", "warned.purfle"]);
    assert_eq!((code(&plainly), err(&plainly).as_str()), (0, ""), "{}", out(&plainly));
    assert!(out(&plainly).contains("warned.purfle: 0 errors, 1 warning, 1 quieted\n"), "{}", out(&plainly));
    for (form, words) in [
        (
            "human",
            &["no-basis (a warning, taken as an error by --strict)", "0 errors, 1 warning taken as an error, 1 quieted"][..],
        ),
        ("plain", &["Diagnostic severity: error", "no-basis (a warning, taken as an error by --strict)"]),
        ("line", &["error[no-basis]", "(a warning, taken as an error by --strict.)"]),
        ("json", &["\"severity\":\"error\",\"strict\":true"]),
        ("sarif", &["\"level\":\"error\"", "\"strict\":true", "\"defaultConfiguration\":{\"level\":\"warning\"}"]),
    ] {
        let output = bench.purfle(&["proof", "warned.purfle", "--strict", "--as", form]);
        assert_eq!(code(&output), 1, "{form}");
        for words in words {
            assert!(out(&output).contains(words), "{form} lacks {words}: {}", out(&output));
        }
    }
    bench.write("sound.purfle", sound().as_bytes());
    assert_eq!(code(&bench.purfle(&["proof", "sound.purfle", "--strict"])), 0, "nothing is to be said of it");
    assert_eq!(code(&bench.purfle(&["triage", "warned.purfle", "none.csv"])), 2, "a warning stops nothing but a strict proof");
}

#[test]
fn a_quieted_warning_is_counted_and_not_told() {
    let bench = Bench::new();
    bench.write("quieted.purfle", quieted().as_bytes());
    let output = bench.purfle(&["proof", "quieted.purfle", "--strict"]);
    assert_eq!((code(&output), out(&output).as_str()), (0, "quieted.purfle: 0 errors, 0 warnings, 2 quieted\n"));
    let value = json(&bench.purfle(&["proof", "quieted.purfle", "--as", "json"]));
    assert_eq!(
        (slugs(&value, "diagnostics"), slugs(&value, "quieted")),
        (vec![], vec!["look-unread".to_owned(), "no-basis".to_owned()])
    );
    assert_eq!(value["quieted"][1]["because"], "asked by telephone");
    bench.write("idle.purfle", sound().replace("part post", "# quiet no-basis because \"of old\"\npart post").as_bytes());
    let idle = bench.purfle(&["proof", "idle.purfle"]);
    assert_eq!(code(&idle), 0);
    for words in ["quiet-nothing", "Nothing warns of `no-basis` here", "Take the comment out."] {
        assert!(out(&idle).contains(words), "{words}: {}", out(&idle));
    }
    assert_eq!(code(&bench.purfle(&["proof", "idle.purfle", "--mend", "--strict"])), 0);
    assert_eq!(read(&bench, "idle.purfle"), sound());
}

#[test]
fn mending_makes_the_safe_fixes_and_tells_each() {
    let bench = Bench::new();
    bench.write("house.purfle", HOUSE.as_bytes());
    let before = files(&bench);
    let output = bench.purfle(&["proof", "--mend", "house.purfle"]);
    let told = out(&output);
    assert_eq!((code(&output), err(&output).as_str()), (1, ""), "an error is left: {told}");
    let mended = HOUSE.replace("Crooked", "crooked").replace("bokk", "book");
    assert_eq!(read(&bench, "house.purfle"), mended);
    for words in [
        "house.purfle: 2 fixes made\n",
        "  line 7: Write `crooked` [unknown-choice]\n",
        "  line 8: Write `book` [unknown-name]\n",
        "house.purfle: 1 error, 0 warnings\n",
        "  Left to you: 1 fix that may change what is meant (in the help above).\n",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
    assert!(told.lines().all(|line| line.chars().count() <= 80), "{told}");
    assert_eq!((files(&bench), read(&bench, "small.purfle")), (before, SMALL.to_owned()), "and nothing else is touched");
    let again = bench.purfle(&["proof", "--mend", "house.purfle", "--as", "line"]);
    assert!(!out(&again).contains("mended[") && out(&again).lines().count() == 1, "{}", out(&again));
    assert!(
        err(&again).contains("Left to you: 1 fix that may change what is meant (see `purfle proof house.purfle`)"),
        "{}",
        err(&again)
    );
    assert_eq!(read(&bench, "house.purfle"), mended);
}

#[test]
fn mending_as_json_and_line_places_each_fix_in_the_mended_file() {
    let bench = Bench::new();
    bench.write("house.purfle", HOUSE.as_bytes());
    let value = json(&bench.purfle(&["proof", "--mend", "house.purfle", "--as", "json"]));
    assert_eq!(
        value["mended"],
        shape!([
            {"file": "house.purfle", "slug": "unknown-choice", "title": "Write `crooked`", "at": {"line": 7, "column": 20}},
            {"file": "house.purfle", "slug": "unknown-name", "title": "Write `book`", "at": {"line": 8, "column": 12}},
        ])
    );
    assert_eq!(slugs(&value, "diagnostics"), ["unknown-clause"]);
    let mended = read(&bench, "house.purfle");
    let line = mended.lines().nth(6).expect("a seventh line");
    assert!(line.chars().skip(19).collect::<String>().starts_with("crooked"), "{line}");
    bench.write("house.purfle", HOUSE.as_bytes());
    let lines = out(&bench.purfle(&["proof", "--mend", "house.purfle", "--as", "line"]));
    assert!(lines.contains("house.purfle:7:20: mended[unknown-choice]: Write `crooked`.\n"), "{lines}");
}

#[test]
fn what_an_alter_does_to_a_parents_line_is_told_and_quieted_at_the_alter() {
    let bench = Bench::new();
    bench.write("small.purfle", SMALL.as_bytes());
    let head = "rulebook house \"House\"\n  edition 1\n  builds on small edition 2026.1\n\n";
    let alter = "alter finding button-unseated because \"that is enough\"\n  signs sits is crooked\n";
    bench.write("house.purfle", format!("{head}{alter}").as_bytes());
    let told = out(&bench.purfle(&["proof", "house.purfle", "--as", "line"]));
    let lines: Vec<&str> = told.lines().filter(|line| line.contains("[line-idle]")).collect();
    assert_eq!(lines.len(), 1, "{told}");
    assert!(lines[0].starts_with("house.purfle:5:1: warning[line-idle]: This urgency of `button-unseated`"), "{told}");
    // That nothing reads the gap any more is the house's doing; that nothing reads the kind is told of the parent.
    assert!(told.contains("small.purfle:34:8: warning[look-unread]: Nothing reads `button.gap`"), "{told}");
    assert!(!told.contains("instrument.kind"), "{told}");
    let value = json(&bench.purfle(&["proof", "house.purfle", "--as", "json"]));
    let idle = value["diagnostics"].as_array().expect("a list").iter().find(|one| one["slug"] == "line-idle").expect("told");
    assert_eq!((&idle["places"][0]["file"], &idle["places"][0]["says"]), (&shape!("small.purfle"), &shape!("this line")));
    bench.write("house.purfle", format!("{head}# quiet line-idle because \"kept for later\"\n{alter}").as_bytes());
    let told = out(&bench.purfle(&["proof", "house.purfle", "--as", "line"]));
    assert!(!told.contains("line-idle") && !told.contains("quiet-nothing"), "{told}");
}

#[test]
fn a_parent_is_named_and_not_written_to() {
    let bench = Bench::new();
    let parent = SMALL.replace("sits is one of crooked", "sits is one of Crooked");
    bench.write("small.purfle", parent.as_bytes());
    bench.write("house.purfle", HOUSE.split("\nfinding").next().expect("its head").as_bytes());
    let output = bench.purfle(&["proof", "--mend", "house.purfle"]);
    let told = out(&output).split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(code(&output), 1);
    assert!(told.starts_with("house.purfle: nothing mended"), "{told}");
    assert!(told.contains("Not made: 1 fix in small.purfle; mend that with `purfle proof --mend small.purfle`."), "{told}");
    assert_eq!(read(&bench, "small.purfle"), parent);
    assert_eq!(code(&bench.purfle(&["proof", "--mend", "small.purfle"])), 0);
    assert_eq!(read(&bench, "small.purfle"), SMALL);
}

#[cfg(unix)]
#[test]
fn a_mended_file_keeps_its_rights_its_name_and_its_line_ends() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let bench = Bench::new();
    let path = bench.write("real.purfle", format!("\u{feff}{}", HOUSE.replace('\n', "\r\n")).as_bytes());
    std::fs::set_permissions(&path, PermissionsExt::from_mode(0o640)).expect("rights");
    symlink("real.purfle", bench.path().join("house.purfle")).expect("a name that points at it");
    assert_eq!(code(&bench.purfle(&["proof", "--mend", "house.purfle"])), 1);
    let text = read(&bench, "real.purfle");
    assert!(text.starts_with('\u{feff}') && text.contains("sits is crooked"), "{text}");
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
    assert!(std::fs::symlink_metadata(bench.path().join("house.purfle")).expect("it is there").is_symlink());
    assert_eq!(std::fs::metadata(&path).expect("it is there").permissions().mode() & 0o777, 0o640);
    std::fs::write(&path, HOUSE).expect("a file to write");
    std::fs::set_permissions(&path, PermissionsExt::from_mode(0o440)).expect("rights");
    let refused = bench.purfle(&["proof", "--mend", "house.purfle"]);
    assert_eq!(code(&refused), 2, "{}", out(&refused));
    assert!(err(&refused).contains("house.purfle: it cannot be mended: it may only be read"), "{}", err(&refused));
    assert_eq!(read(&bench, "real.purfle"), HOUSE);
}

#[test]
fn what_cannot_be_used_is_in_every_form() {
    let bench = Bench::new();
    for form in ["human", "plain", "line", "json", "sarif"] {
        let output = bench.purfle(&["proof", "none.purfle", "small.purfle", "--mend", "--as", form]);
        assert_eq!(code(&output), 2, "{form}");
        assert!(err(&output).contains("none.purfle: there is no such file"), "{form}: {}", err(&output));
    }
    let log = json(&bench.purfle(&["proof", "none.purfle", "--as", "sarif"]));
    assert_eq!(log["runs"][0]["invocations"][0]["executionSuccessful"], false);
    assert_eq!(log["runs"][0]["results"], shape!([]));
}

/// A finding that stands beside `button-unseated` and asks for other hands.
const LOOSE: &str = "\nfinding loose \"The button is loose\"\n  on       button\n  signs    gap is above 3 mm\n  urgency  halt\n\
    \x20 hands    player\n  goods    \"Button\"  5 USD\n  care     \"Slowly.\"\n  basis    \"common practice\"\n";

#[test]
fn a_witness_is_shown_to_people_and_its_record_can_be_judged() {
    let bench = Bench::new();
    bench.write("two.purfle", format!("{}{LOOSE}", sound()).as_bytes());
    for form in ["human", "plain"] {
        let told = out(&bench.purfle(&["proof", "two.purfle", "--as", form]));
        assert!(told.contains("  for instance: button.gap is "), "{form}: {told}");
    }
    let value = json(&bench.purfle(&["proof", "two.purfle", "--as", "json"]));
    assert_eq!(slugs(&value, "diagnostics"), ["overlap"]);
    let told = &value["diagnostics"][0];
    assert_eq!(told["witness-outcome"], "finds button-unseated, finds loose");
    assert!(told["witness-words"].as_str().is_some_and(|words| words.starts_with("button.gap is ")), "{told}");
    bench.write("witness.json", told["witness"].to_string().as_bytes());
    let judged = json(&bench.purfle(&["triage", "two.purfle", "witness.json", "--as", "json"]));
    assert_eq!((&judged["done"], &judged["refused"]), (&1.into(), &shape!([])));
    let findings = judged["outcomes"][0]["findings"].as_array().expect("a list");
    for name in ["button-unseated", "loose"] {
        assert!(findings.iter().any(|one| one["finding"] == name && one["state"] == "found"), "{name}: {judged}");
    }
}

#[test]
fn the_shipped_rulebooks_are_clean() {
    let bench = Bench::new();
    for rulebook in ["first-look", "harrow-bench"] {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../rulebooks/");
        let output = bench.purfle(&["proof", &format!("{path}{rulebook}.purfle"), "--strict", "--as", "line"]);
        assert_eq!((out(&output).as_str(), code(&output)), ("", 0), "{rulebook}");
    }
}
