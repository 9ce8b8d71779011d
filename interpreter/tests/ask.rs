//! `purfle ask`: over a pipe, line by line, and in a terminal.

use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::bench::{Bench, SMALL, code, err, out};

fn record(bench: &Bench, name: &str) -> Value {
    serde_json::from_slice(&std::fs::read(bench.path().join(name)).expect("a record")).expect("JSON")
}

/// Answers the questions of the small rulebook, one a line.
fn ask(bench: &Bench, lines: &str) -> String {
    let output = bench.purfle_with(&["ask", "small.purfle", "a.json"], lines);
    assert_eq!(code(&output), 0, "{}{}", out(&output), err(&output));
    let printed = out(&output);
    for line in printed.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    assert!(
        printed.ends_with("a.json.\n")
            || printed.ends_with("goes on with\nit.\n")
            || printed.contains("the same command goes on"),
        "{printed}"
    );
    printed
}

/// Words, whatever the lines they were laid out in.
fn on_one_line(printed: &str) -> String {
    printed.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn it_asks_what_can_change_the_outcome_and_judges_in_the_end() {
    let bench = Bench::new();
    let printed = ask(&bench, "A-1\nV1\n2026-11-20\nyes\ncrooked\n");
    let order: Vec<usize> = ["[record]", "[tag]", "[inspected-on]", "[instrument.strung]", "[button.sits]"]
        .iter()
        .map(|field| printed.find(field).unwrap_or_else(|| panic!("{field}: {printed}")))
        .collect();
    assert!(order.is_sorted(), "{printed}");
    // Nothing is asked that changes nothing: not who plays it, nor the gap, once the button sits crooked.
    for field in ["[owner.pupil]", "[instrument.kind]", "[button.gap]", "[post.lean]"] {
        assert!(!printed.contains(field), "{field}: {printed}");
    }
    assert!(printed.contains("The button is not seated against the rib"), "{printed}");
}

#[test]
fn the_price_of_the_shop_is_taken_when_somebody_gives_it() {
    let bench = Bench::new();
    let printed = ask(&bench, "A-1\n\n\nyes\ncrooked\nchange quoted\n12 EUR\n120\nstop\n");
    assert!(on_one_line(&printed).contains("Which price has the shop named, for all that is to be done?"), "{printed}");
    assert!(printed.contains("a price such as 240 USD, or Enter."), "{printed}");
    assert!(printed.contains("USD"), "{printed}");
    assert_eq!(record(&bench, "a.json")["quoted"], json!("120"));
    let printed = ask(&bench, "show\nchange quoted\n\nstop\n");
    assert!(printed.contains("quoted = 120 USD"), "{printed}");
    assert_eq!(record(&bench, "a.json")["quoted"], Value::Null, "it was taken back");
}

#[test]
fn answers_are_read_like_the_fields_of_a_record() {
    let bench = Bench::new();
    let printed = ask(&bench, "A-1\n\n20.11.2026\n2026-11-20\nstop\n");
    assert!(printed.contains("the nearest is `2026-11-20`"), "{printed}");
    assert_eq!(record(&bench, "a.json"), json!({"record": "A-1", "inspected-on": "2026-11-20", "tag": null}));
    let printed = ask(
        &bench,
        "change button.gap\n45 mm\n0.3 to 0.6 mm\nchange button.sits\ncroked\nchange button.sit\nchange button.sits\n3\n",
    );
    for words in ["45 mm is outside what this look takes", "the nearest is `crooked`", "the nearest is `button.sits`"] {
        assert!(on_one_line(&printed).contains(words), "{words}: {printed}");
    }
    let saved = record(&bench, "a.json");
    assert_eq!((&saved["button.gap"], &saved["button.sits"]), (&json!("0.3 to 0.6 mm"), &json!("pulling-out")));
    // The record is one that triage takes.
    let output = bench.purfle(&["triage", "small.purfle", "a.json", "--as", "csv"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(out(&output).contains("A-1,,2026-11-20,yes"), "{}", out(&output));
}

#[test]
fn nothing_is_lost_when_the_lid_closes() {
    let bench = Bench::new();
    // The input ends in the middle of the interview.
    let printed = ask(&bench, "A-1\nV1\n2026-11-20\n");
    assert!(printed.ends_with("The record so far is in a.json; the same command goes on with it.\n"), "{printed}");
    assert_eq!(record(&bench, "a.json"), json!({"record": "A-1", "tag": "V1", "inspected-on": "2026-11-20"}));
    let printed = ask(&bench, "change instrument.kind\nviola\nstop\n");
    assert!(!printed.contains("[record]"), "what was answered is not asked again: {printed}");
    assert_eq!(record(&bench, "a.json")["instrument.kind"], "viola");
    let left: Vec<_> =
        std::fs::read_dir(bench.path()).expect("a folder").map(|entry| entry.expect("an entry").file_name()).collect();
    assert_eq!(left.len(), 2, "{left:?}");
}

#[test]
fn a_step_is_taken_back_and_an_answer_changed() {
    let bench = Bench::new();
    ask(&bench, "A-1\nV1\nback\nV2\n2026-11-20\nback\nback\nback\nback\nA-2\n\n\nchange tag\nV3\nchange tag\n\nstop\n");
    assert_eq!(record(&bench, "a.json"), json!({"record": "A-2", "tag": null, "inspected-on": null}));
}

#[test]
fn what_was_passed_over_is_kept_and_not_asked_again_by_itself() {
    let bench = Bench::new();
    let asked = |printed: &str| -> Vec<String> {
        let fields = printed.lines().filter_map(|line| line.rsplit_once('[')?.1.strip_suffix(']'));
        fields.map(str::to_owned).collect()
    };
    let printed = ask(&bench, "A-1\n\n\n\nstop\n");
    assert_eq!(asked(&printed), ["record", "tag", "inspected-on", "instrument.strung", "button.sits"], "{printed}");
    let kept = json!({"record": "A-1", "tag": null, "inspected-on": null, "instrument.strung": null});
    assert_eq!(record(&bench, "a.json"), kept);
    // Going on begins where it was left, and says what was passed over and still matters.
    let printed = ask(&bench, "stop\n");
    assert_eq!(asked(&printed), ["button.sits"], "{printed}");
    let says = "Passed over, and could still change what comes out: instrument.strung. Type again to be asked anew.";
    assert!(on_one_line(&printed).contains(says), "{printed}");
    assert_eq!(record(&bench, "a.json"), kept);
    // Whoever asks for it is asked anew; what is answered is passed over no longer.
    let printed = ask(&bench, "again\nV-1\ntoday\nyes\nagain\nstop\n");
    assert_eq!(asked(&printed)[..4], ["button.sits", "tag", "inspected-on", "instrument.strung"], "{printed}");
    assert!(on_one_line(&printed).contains("nothing was passed over; `change FIELD` asks for an answer anew"), "{printed}");
    let saved = record(&bench, "a.json");
    assert_eq!((&saved["tag"], &saved["instrument.strung"]), (&json!("V-1"), &json!("yes")));
    assert!(saved.as_object().expect("a record").values().all(|value| !value.is_null()), "{saved}");
    // Every other command reads it as not looked at.
    bench.write("a.json", b"{\"record\": \"A-1\", \"button\": {\"sits\": null}, \"instrument.strung\": null}");
    assert_eq!(code(&bench.purfle(&["triage", "small.purfle", "a.json"])), 0);
    let printed = ask(&bench, "\n\n\n");
    assert!(!asked(&printed).iter().any(|field| field == "button.sits"), "{printed}");
}

#[test]
fn what_is_called_good_was_not_passed_over() {
    let bench = Bench::new();
    ask(&bench, "A-1\n\n\n\n\nchange button.gap\ngood\nstop\n");
    let saved = record(&bench, "a.json");
    assert_eq!((&saved["button"], saved.get("button.sits")), (&json!("good"), None), "{saved}");
    assert_eq!(saved["instrument.strung"], Value::Null);
    let bench = Bench::new();
    ask(&bench, "A-1\n\n\n\n\nrest good\nstop\n");
    let saved = record(&bench, "a.json");
    assert_eq!((&saved["the rest"], saved.get("button.sits")), (&json!("good"), None), "{saved}");
}

#[test]
fn today_is_offered_where_a_day_is_asked() {
    let bench = Bench::new();
    let day = || jiff::ZonedDateTime::now().date().to_string();
    // Midnight may come in between.
    let (before, printed, after) = (day(), ask(&bench, "A-1\n\nTODAY\nstop\n"), day());
    let saved = record(&bench, "a.json")["inspected-on"].as_str().expect("a day").to_owned();
    assert!([&before, &after].contains(&&saved), "{saved}");
    assert!(
        on_one_line(&printed).contains(&format!("Answer: today for {saved}, or a date such as 2026-11-20, or Enter.")),
        "{printed}"
    );
}

#[test]
fn honest_answers_are_not_asked_again() {
    let bench = Bench::new();
    let printed = ask(&bench, "A-1\n\n\n?\n?\n?\n?\n?\n?\n?\n");
    assert!(printed.contains("Nothing else that can be looked at changes what comes out."), "{printed}");
    let saved = record(&bench, "a.json");
    assert_eq!(saved["button.sits"], "?");
    for field in ["[button.sits]", "[instrument.strung]"] {
        assert_eq!(printed.matches(&format!("{field}\n")).count(), 1, "{field}: {printed}");
    }
    let bench = Bench::new();
    let printed = ask(&bench, "A-1\n\n\n\n\n\n\n\n\n\n");
    assert!(printed.contains("Nothing is left to ask but what was passed over."), "{printed}");
    assert!(on_one_line(&printed).contains("Enter ends; again asks them anew; back"), "{printed}");
    let saved = record(&bench, "a.json");
    assert_eq!((&saved["record"], &saved["button.sits"]), (&json!("A-1"), &Value::Null));
    assert!(saved.as_object().expect("a record").contains_key("button.sits"), "{saved}");
}

#[test]
fn a_part_and_the_rest_may_be_good() {
    let bench = Bench::new();
    ask(&bench, "A-1\n\n\nchange button.gap\ngood\nrest good\n");
    let kept = json!({"record": "A-1", "button": "good", "the rest": "good", "tag": null, "inspected-on": null});
    assert_eq!(record(&bench, "a.json"), kept);
}

const CRACKS: &str = "
part crack \"Crack\"
  how   \"Tilt it in the light.\"
  places as found
  look length  \"How long is it?\"  measured in mm from 1 to 400
    care  \"Flex nothing.\"

finding crack-long \"A long crack\"
  on       each crack
  signs    length is above 30 mm
  urgency  halt
  hands    luthier
  work     post-set
  basis    \"common practice\"
";

#[test]
fn places_are_counted_and_then_asked_one_by_one() {
    let bench = Bench::new();
    bench.write(
        "small.purfle",
        SMALL.replace("\nfinding button-unseated", &format!("{CRACKS}\nfinding button-unseated")).as_bytes(),
    );
    let printed =
        ask(&bench, "A-1\n\n\nchange crack\nmany\n2 or more\nchange crack.1.length\n40\nchange crack.2.length\n?\nstop\n");
    assert!(on_one_line(&printed).contains("how many `crack` were found? allowed: none, a number up to 100"), "{printed}");
    assert!(printed.contains("[crack.1.length]") && printed.contains("[crack.2.length]"), "{printed}");
    assert!(printed.contains("How: Tilt it in the light.") && printed.contains("Care: Flex nothing."), "{printed}");
    assert!(printed.contains("A long crack"), "{printed}");
    let saved = record(&bench, "a.json");
    assert_eq!(
        (&saved["crack"], &saved["crack.1.length"], &saved["crack.2.length"]),
        (&json!("may be more"), &json!("40"), &json!("?"))
    );
    // The same again of a record that is gone on with, and then there are none.
    ask(&bench, "change crack\nnone\nstop\n");
    let kept = json!({"record": "A-1", "crack": "none", "tag": null, "inspected-on": null});
    assert_eq!(record(&bench, "a.json"), kept);
}

#[test]
fn files_that_an_interview_cannot_go_on_with() {
    let bench = Bench::new();
    bench.write("two.json", b"{\"record\": \"1\"}\n{\"record\": \"2\"}\n");
    bench.write("bad.json", b"{\"record\": \"1\", \"button.gap\": \"45 mm\"}\n");
    bench.write("broken.purfle", b"rulebook x\n");
    for (arguments, expected, words) in [
        (["ask", "small.purfle", "two.json"], 2, "it holds several records"),
        (["ask", "small.purfle", "bad.json"], 2, "45 mm is outside what this look takes"),
        (["ask", "small.purfle", "a.csv"], 2, "the record is written as JSON"),
        (["ask", "none.purfle", "a.json"], 2, "there is no such file"),
        (["ask", "broken.purfle", "a.json"], 1, "broken.purfle"),
    ] {
        let output = bench.purfle_with(&arguments, "");
        assert_eq!(code(&output), expected, "{arguments:?}: {}", err(&output));
        assert!(err(&output).contains(words), "{arguments:?}: {}", err(&output));
    }
}

#[test]
fn what_is_typed_is_data() {
    let bench = Bench::new();
    let printed = ask(&bench, "A\u{1b}[31m\u{202e}\n\n\nshow\nstop\n");
    assert!(!printed.contains(['\u{1b}', '\u{202e}']), "{printed:?}");
    assert!(printed.contains("record = A\\u{1b}[31m\\u{202e}"), "{printed}");
    let output = bench.purfle_with(&["ask", "small.purfle", "b.json"], "B\n\n\n");
    assert_eq!(code(&output), 0);
    let mut lines = b"C\n\n\n\xff\xfe\n".to_vec();
    lines.extend(std::iter::repeat_n(b'x', 1 << 20));
    let mut child = Command::new(env!("CARGO_BIN_EXE_purfle"))
        .args(["ask", "small.purfle", "c.json"])
        .current_dir(bench.path())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program");
    let _ = std::io::Write::write_all(&mut child.stdin.take().expect("its input"), &lines);
    let output = child.wait_with_output().expect("its end");
    assert_eq!(code(&output), 0);
    assert!(out(&output).contains("that is not UTF-8; type it again"), "{}", out(&output));
}

/// Runs tmux on a server of its own.
fn tmux(bench: &Bench, arguments: &[&str]) -> Option<String> {
    let socket = bench.path().join("tmux");
    let output = Command::new("tmux").arg("-S").arg(socket).args(arguments).current_dir(bench.path()).output().ok()?;
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    Some(String::from_utf8_lossy(&output.stdout).into_owned())
}

#[test]
fn a_session_in_a_terminal() {
    let bench = Bench::new();
    let program = format!("{} ask small.purfle a.json; echo ended $?; exec sleep 60", env!("CARGO_BIN_EXE_purfle"));
    if tmux(&bench, &["-f", "/dev/null", "new-session", "-d", "-x", "80", "-y", "60", &program]).is_none() {
        assert!(std::env::var_os("CI").is_none(), "tmux is missing: install it");
        let _ = std::io::Write::write_all(&mut std::io::stderr(), b"NOT RUN: a test needs tmux, which is not installed here\n");
        return;
    }
    let screen = || tmux(&bench, &["capture-pane", "-p"]).expect("a screen");
    let wait_for = |words: &str| {
        let begun = Instant::now();
        while !screen().contains(words) {
            assert!(begun.elapsed() < Duration::from_secs(60), "{words}: {}", screen());
            std::thread::sleep(Duration::from_millis(50));
        }
    };
    for (words, keys) in [
        ("[record]", "A-1"),
        ("[tag]", "V1"),
        ("[inspected-on]", "2026-11-20"),
        ("[instrument.strung]", "yes"),
        ("[button.sits]", "3"),
        ("Do not play", "stop"),
    ] {
        wait_for(words);
        // Colour takes no room.
        let wide = |line: &str| !line.ends_with(words) || line.chars().count() == 80;
        assert!(!words.starts_with('[') || screen().lines().all(wide), "{}", screen());
        tmux(&bench, &["send-keys", keys, "Enter"]);
    }
    wait_for("ended 0");
    assert!(screen().contains("The record is in a.json."), "{}", screen());
    tmux(&bench, &["kill-server"]);
    assert_eq!(record(&bench, "a.json")["button.sits"], "pulling-out");
}
