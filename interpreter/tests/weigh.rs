//! `purfle weigh`: the forms of its report, and what it says of the shipped rulebooks.

use std::path::PathBuf;
use std::process::{Command, Output};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// The program run beside the shipped rulebooks.
fn weigh(arguments: &[&str]) -> Output {
    let program = Command::new(env!("CARGO_BIN_EXE_purfle")).current_dir(root()).arg("weigh").args(arguments).output();
    program.expect("the program runs")
}

fn text(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

fn json(arguments: &[&str]) -> serde_json::Value {
    let output = weigh(&[arguments, &["--as", "json"]].concat());
    serde_json::from_slice(&output.stdout).expect("JSON")
}

const STANDARD: &str = "rulebooks/first-look.purfle";
const HOUSE: &str = "rulebooks/harrow-bench.purfle";

#[test]
fn the_house_is_told_by_name_with_its_reasons() {
    let output = weigh(&[STANDARD, HOUSE]);
    assert_eq!(output.status.code(), Some(0));
    let text = text(&output);
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    for wanted in [
        "4 added, 1 dropped, 12 changed.",
        "  finding soft-bag \"It travels in a thin bag\"",
        "    was  rate 85 USD",
        "    now  rate 110 USD",
        "    because  Our bench rate since September. (harrow-bench)",
    ] {
        assert!(text.contains(wanted), "{wanted}\n{text}");
    }
    let json = json(&[STANDARD, HOUSE]);
    assert_eq!(json["purfle"], 1);
    assert_eq!(json["new"]["rulebook"], "harrow-bench");
    let rate = json["items"].as_array().and_then(|items| items.iter().find(|item| item["kind"] == "hand")).expect("a hand");
    assert_eq!(rate["name"], "luthier");
    assert_eq!(rate["change"], "changed");
    assert_eq!(rate["clauses"][0]["was"][0], "85 USD");
    assert_eq!(rate["reasons"][0]["because"], "Our bench rate since September.");
}

#[test]
fn what_cannot_be_weighed_ends_as_it_should() {
    assert_eq!(weigh(&[STANDARD, "rulebooks/no-such.purfle"]).status.code(), Some(2));
    let folder = tempfile::tempdir().expect("a folder");
    let broken = folder.path().join("broken.purfle");
    std::fs::write(&broken, "rulebook broken \"Broken\"\n  edition 1\n").expect("a file");
    let output = weigh(&[STANDARD, &broken.to_string_lossy()]);
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stderr).contains("money"), "it says why");
}

/// A small rulebook that stands by itself.
const SMALL: &str = include_str!("../../lang/src/compare/tests/old.purfle");

/// A folder with these files in it.
fn folder(files: &[(&str, &str)]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).expect("a file");
    }
    folder
}

fn path(folder: &tempfile::TempDir, name: &str) -> String {
    folder.path().join(name).to_string_lossy().into_owned()
}

/// The way in which a finding differs.
fn way<'v>(view: &'v serde_json::Value, finding: &str, way: &str) -> &'v serde_json::Value {
    let findings = view["proven"]["findings"].as_array().expect("findings");
    let finding = findings.iter().find(|one| one["finding"] == finding).unwrap_or_else(|| panic!("{finding}: {view}"));
    let ways = finding["ways"].as_array().expect("ways");
    ways.iter().find(|one| one["way"] == way).unwrap_or_else(|| panic!("{way}: {finding}"))
}

#[test]
fn a_difference_is_shown_by_a_record_and_what_comes_of_it_by_both() {
    let new = SMALL.replace("above 0.2 mm", "above 0.4 mm").replace("85 USD per h", "90 USD per h");
    let folder = folder(&[("old.purfle", SMALL), ("new.purfle", &new)]);
    let view = json(&[&path(&folder, "old.purfle"), &path(&folder, "new.purfle")]);
    assert_eq!(view["proven"]["can"], 1);
    assert_eq!(view["proven"]["not-decided"], 0);
    let lost = way(&view, "loose", "no-longer-found");
    assert_eq!(lost["known"], "can");
    assert_eq!(lost["before"], "found: book to halt, luthier, 40.00 to 46.00 USD");
    assert_eq!(lost["after"], "clear");
    let dearer = way(&view, "loose", "dearer");
    assert_eq!((&dearer["before"], &dearer["after"]), (&"40.00 to 46.00 USD".into(), &"40.00 to 48.00 USD".into()));
    let outcome = view["proven"]["outcome"].as_array().expect("figures");
    let known = |figure: &str| outcome.iter().find(|one| one["figure"] == figure).map(|one| one["known"].clone());
    assert_eq!(known("urgency"), Some("can".into()));
    assert_eq!(known("cost"), Some("can".into()));
    // The record is one that both rulebooks read, and what is told comes of it.
    let record = serde_json::to_string(&lost["record"]).expect("JSON");
    std::fs::write(folder.path().join("record.json"), record).expect("a file");
    for (rulebook, found) in [("old.purfle", 1), ("new.purfle", 0)] {
        let output = Command::new(env!("CARGO_BIN_EXE_purfle"))
            .args(["triage", &path(&folder, rulebook), &path(&folder, "record.json"), "--as", "json"])
            .output()
            .expect("the program runs");
        let triage: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
        let findings = triage["outcomes"][0]["findings"].as_array().expect("findings");
        assert_eq!(findings.len(), found, "{rulebook}: {triage}");
    }
}

/// What is proved holds for what an instrument is. A reading with another error leaves another range of that open, so one and
/// the same record can come out found by the one and suspected by the other.
#[test]
fn where_readings_are_taken_with_another_error_nothing_is_claimed_of_what_a_record_leaves_open() {
    let new = SMALL.replace("give or take 0.2", "give or take 0.5");
    let folder = folder(&[("old.purfle", SMALL), ("new.purfle", &new), ("past.csv", "record,button.gap\nA,0.5 mm\nB,2 mm\n")]);
    let files = ["old.purfle", "new.purfle", "past.csv"].map(|name| path(&folder, name));
    let arguments: Vec<&str> = files.iter().map(String::as_str).collect();
    let view = json(&arguments);
    assert_eq!((&view["proven"]["can"], &view["proven"]["readings"]), (&0.into(), &serde_json::json!(["button.gap"])));
    assert_eq!(view["counted"]["moved"][0]["because"][0], "loose was found, and is suspected now");
    let text = text(&weigh(&arguments));
    for claim in [
        "No finding comes out differently in any record that leaves nothing open: proved\nfor all 1.",
        "Readings of these looks are taken with another error: button.gap.",
        "1 comes out differently; 1 comes out as before",
    ] {
        assert!(text.contains(claim), "{claim}\n{text}");
    }
    assert!(!text.contains("in any record:"), "{text}");
}

/// Whoever would lose a fund, or get one, is named, and what funds pay is told with both ends.
#[test]
fn who_would_lose_a_fund_moves() {
    let old = format!("{SMALL}\naid gift \"A gift\"\n  for instrument.strung\n  covers above 30 USD\n  pays 50 %\n");
    let new = old.replace("covers above 30 USD", "covers above 45 USD");
    let past = "record,instrument.kind,instrument.strung,button.gap\nA,violin,yes,2 mm\nB,cello,no,2 mm\n";
    let folder = folder(&[("old.purfle", &old), ("new.purfle", &new), ("past.csv", past)]);
    let files = ["old.purfle", "new.purfle", "past.csv"].map(|name| path(&folder, name));
    let arguments: Vec<&str> = files.iter().map(String::as_str).collect();
    let view = json(&arguments);
    let counted = &view["counted"];
    assert_eq!(counted["moved"].as_array().map(Vec::len), Some(1), "{counted:#}");
    assert_eq!(counted["moved"][0]["record"], "A");
    let told = "fund gift: was eligible, pays 20.00 to 23.00 USD; now open, pays 0.00 to 23.00 USD";
    assert_eq!(counted["moved"][0]["what"][0], told);
    let (was, now) = (&counted["funds"][0]["was"], &counted["funds"][0]["now"]);
    assert_eq!((&was["from"], &was["to"]), (&"20.00".into(), &"23.00".into()));
    assert_eq!((&now["from"], &now["to"]), (&"0.00".into(), &"23.00".into()));
    let same = weigh(&[arguments[0], arguments[0], arguments[2]]);
    let nothing = "None comes out differently.\nNone costs more or less, now or if left.";
    assert!(text(&same).contains(nothing), "{}", text(&same));
}

fn on_past(old: &str, new: &str, past: &str) -> (tempfile::TempDir, [String; 3]) {
    let folder = folder(&[("old.purfle", old), ("new.purfle", new), ("past.csv", past)]);
    let files = ["old.purfle", "new.purfle", "past.csv"].map(|name| path(&folder, name));
    (folder, files)
}

/// What past records come to, and the lines that are told of each that moves.
fn past(old: &str, new: &str, past: &str) -> (serde_json::Value, Vec<(String, Vec<String>)>) {
    let (_folder, files) = on_past(old, new, past);
    let view = json(&files.each_ref().map(String::as_str));
    let moved = view["counted"]["moved"].as_array().expect("records").iter();
    let lines = |one: &serde_json::Value| {
        let lines = one["what"].as_array().expect("lines").iter();
        lines.map(|line| line.as_str().expect("a line").to_owned()).collect::<Vec<_>>()
    };
    let moved = moved.map(|one| (one["record"].as_str().expect("a mark").to_owned(), lines(one))).collect();
    (view["counted"].clone(), moved)
}

const PAST: &str = "record,instrument.kind,instrument.strung,button.gap\nA,violin,yes,2 mm\nB,cello,no,2 mm\nC,violin,no,0 mm\n";

#[test]
fn whoever_gets_less_of_a_fund_is_named_and_funds_are_not_added_up() {
    let fund = |name: &str, cap: u32| {
        format!("\naid {name} \"A {name}\"\n  for instrument.strung\n  covers above 30 USD\n  pays 50 %\n  cap {cap} USD\n")
    };
    let old = format!("{SMALL}{}{}", fund("gift", 30), fund("purse", 22));
    let new = format!("{SMALL}{}{}", fund("gift", 15), fund("jar", 22));
    let (counted, moved) = past(&old, &new, PAST);
    let told = [
        "fund gift: was eligible, pays 20.00 to 23.00 USD; now eligible, pays 15.00 USD",
        "fund purse: was eligible, pays 20.00 to 22.00 USD; there is no such fund any more",
        "fund jar: there was no such fund; now eligible, pays 20.00 to 22.00 USD",
    ];
    assert_eq!(moved, [("A".to_owned(), told.map(str::to_owned).to_vec())]);
    assert_eq!(counted["unmoved"], 2);
    let ends = |sum: &serde_json::Value| format!("{} to {}", sum["from"], sum["to"]).replace('"', "");
    let funds = counted["funds"].as_array().expect("funds").iter();
    let funds: Vec<_> =
        funds.map(|fund| (fund["fund"].as_str().expect("a name"), ends(&fund["was"]), ends(&fund["now"]))).collect();
    let none = "null to null".to_owned();
    assert_eq!(
        funds,
        [
            ("gift", "20.00 to 23.00".to_owned(), "15.00 to 15.00".to_owned()),
            ("purse", "20.00 to 22.00".to_owned(), none.clone()),
            ("jar", none, "20.00 to 22.00".to_owned()),
        ]
    );
    let (_folder, files) = on_past(&old, &new, PAST);
    let text = text(&weigh(&files.each_ref().map(String::as_str)));
    assert!(text.contains("  purse\n    was  20.00 to 22.00 USD\n    now  there is none\n"), "{text}");
}

#[test]
fn whoever_loses_a_counsel_a_day_or_a_tier_is_named() {
    let counsel =
        |when: &str| format!("{SMALL}\ncounsel loan \"A loan\"\n  when {when}\n  tell \"Ask.\"\n  basis \"common practice\"\n");
    let (soon, grave) = (counsel("total urgency is at least book"), counsel("total urgency is at least halt"));
    let (counted, moved) = past(&soon, &grave, PAST);
    assert_eq!(moved, [("B".to_owned(), vec!["counsel loan: was met, now not met".to_owned()])]);
    assert_eq!((&counted["dearer"], &counted["unmoved"]), (&0.into(), &2.into()));
    let (_, moved) = past(SMALL, &SMALL.replace("up to 30 USD", "up to 60 USD"), PAST);
    let tier = vec!["tier: was major, now pocket".to_owned()];
    assert_eq!(moved, [("A".to_owned(), tier.clone()), ("B".to_owned(), vec!["tier: was major, now pocket".to_owned()])]);
    let dated = "record,inspected-on,instrument.kind,instrument.strung,button.gap\nB,2026-03-02,cello,no,2 mm\n";
    let (_, moved) = past(SMALL, &SMALL.replace("within 30 days", "within 20 days"), dated);
    assert_eq!(moved, [("B".to_owned(), vec!["by which day: was 2026-04-01, now 2026-03-22".to_owned()])]);
}

#[test]
fn what_costs_more_only_if_left_and_what_is_known_only_on_sight_are_told() {
    let more = |becomes: &str| {
        format!(
            "{SMALL}\nfinding gone \"It is gone\"\n  on button\n  signs gap is above 5 mm\n  urgency book\n  hands luthier\n  \
             cost on sight\n{becomes}  basis \"common practice\"\n"
        )
    };
    let plain = more("");
    let left = SMALL.replace("  tell     \"Small now.\"", "  left becomes gone\n  tell     \"Small now.\"");
    let left = plain.replacen(SMALL, &left, 1);
    assert_ne!(plain, left);
    let (counted, _) = past(&plain, &left, PAST);
    assert_eq!((&counted["cost"]["now"]["more"], &counted["left"]["was"]["more"]), (&false.into(), &false.into()));
    assert_eq!(counted["left"]["now"]["more"], true);
    let gone = "record,instrument.kind,instrument.strung,button.gap\nD,violin,yes,7 mm\n";
    let (counted, _) = past(&plain, &plain, gone);
    assert_eq!((&counted["cost"]["was"]["more"], &counted["cost"]["now"]["exact"]), (&true.into(), &true.into()));
    let (_folder, files) = on_past(&plain, &plain, gone);
    let output = text(&weigh(&files.each_ref().map(String::as_str)));
    let words = output.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("Cost was 40.00 to 46.00 USD, and more that is hidden or known only on sight"), "{output}");
    let dear = plain.replace("cost on sight\n", "goods \"New\" 90 USD\n");
    let leaves = left.replace("cost on sight\n", "goods \"New\" 90 USD\n");
    let (counted, moved) = past(&dear, &leaves, "record,instrument.kind,instrument.strung,button.gap\nB,cello,no,2 mm\n");
    let counts = ["dearer", "cheaper", "dearer-if-left", "cheaper-if-left"].map(|of| counted[of].clone());
    assert_eq!(counts, [0, 0, 1, 0].map(serde_json::Value::from), "{moved:?}");
}

#[test]
fn a_witness_names_no_part_of_a_cent() {
    let old = SMALL.replace("  look strung", "  look worth \"Worth?\" priced from 0 to 5000 USD\n  look strung");
    let old = format!(
        "{old}\ncounsel beyond \"Beyond its worth\"\n  when total cost is above 0.8 * instrument.worth\n  tell \"Ask.\"\n  \
         basis \"common practice\"\n"
    );
    let new = old.replace("85 USD per h", "85.05 USD per h");
    let folder = folder(&[("old.purfle", &old), ("new.purfle", &new)]);
    let view = json(&[&path(&folder, "old.purfle"), &path(&folder, "new.purfle")]);
    let figures = view["proven"]["outcome"].as_array().expect("figures");
    let beyond = figures.iter().find(|one| one["figure"] == "counsel beyond").expect("a figure");
    let way = &beyond["ways"][0];
    assert_eq!(way["known"], "can", "{beyond}");
    let worth = way["record"]["instrument.worth"].as_str().expect("a sum");
    let places = worth.trim_end_matches(" USD").split_once('.').map_or(0, |(_, cents)| cents.len());
    assert!(places <= 2, "{worth}");
}

#[test]
fn what_stands_beside_the_figures_is_named_where_they_are_proved_the_same() {
    let old = SMALL.replace(
        "  tell     \"Small now.\"\n  basis    \"common practice\"\n",
        "  left     becomes gone odds 50 % within 12 months\n  basis    \"common practice\"\n  way fit \"Fit it\"\n    work refit\n  \
         way swap \"Swap it\"\n    goods \"Button\" 33 USD\n",
    );
    let old = old.replace("  work     refit\n  goods    \"Button\"  5 to 12 USD\n", "").replace(
        "raise strung",
        "finding gone \"It is gone\"\n  on button\n  signs gap is above 5 mm\n  urgency book\n  hands luthier\n  goods \"New\" 90 USD\n  \
         basis \"common practice\"\n\nraise strung",
    );
    let told = |from: &str, to: &str| {
        let new = old.replace(from, to);
        assert_ne!(new, old, "{from}");
        let folder = folder(&[("old.purfle", &old), ("new.purfle", &new)]);
        let files = [path(&folder, "old.purfle"), path(&folder, "new.purfle")];
        let view = json(&[&files[0], &files[1]]);
        let outcome = view["proven"]["outcome"].as_array().unwrap_or_else(|| panic!("{view}"));
        assert!(outcome.iter().all(|figure| figure["known"] == "same"), "{view}");
        let output = text(&weigh(&[&files[0], &files[1]])).split_whitespace().collect::<Vec<_>>().join(" ");
        (view["proven"]["beside"].clone(), output)
    };
    let (beside, output) = told("33 USD", "43 USD");
    assert_eq!(beside, serde_json::json!([{"finding": "loose", "what": ["ways"]}]));
    assert!(output.contains("or does not cost the same: loose. Slips show it,"), "{output}");
    let (beside, output) = told("odds 50 %", "odds 40 %");
    assert_eq!(beside, serde_json::json!([{"finding": "loose", "what": ["odds"]}]));
    assert!(output.contains("something becomes another is not the same in both: loose. Slips tell it,"), "{output}");
    assert_eq!(told("\"Swap it\"", "\"Change it\"").0, serde_json::json!([]));
}

#[test]
fn a_measure_is_written_as_it_is_read_where_the_error_of_a_reading_changes_nothing() {
    let example = |limit: &str| {
        let new = SMALL.replace("above 0.2 mm", limit);
        let folder = folder(&[("old.purfle", SMALL), ("new.purfle", &new)]);
        let view = json(&[&path(&folder, "old.purfle"), &path(&folder, "new.purfle")]);
        let lost = way(&view, "loose", "no-longer-found");
        assert_eq!(lost["after"], "clear");
        lost["example"].as_str().expect("words").to_owned()
    };
    // Half way between the limits a reading is far enough from both, or not.
    assert!(example("above 1.2 mm").contains("gap is 0.7 mm"), "{}", example("above 1.2 mm"));
    assert!(example("above 0.4 mm").contains("gap is 0.3 to 0.3 mm"), "{}", example("above 0.4 mm"));
}

#[test]
fn words_alone_change_nothing_and_that_is_said_to_be_proved() {
    let new = SMALL.replace("\"It is loose\"", "\"It sits loosely\"").replace("above 0.2 mm", "above 0.20 mm");
    let folder = folder(&[("old.purfle", SMALL), ("new.purfle", &new)]);
    let output = text(&weigh(&[&path(&folder, "old.purfle"), &path(&folder, "new.purfle")]));
    let output = output.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(output.contains("No finding comes out differently in any record: proved for all 1."), "{output}");
    assert!(output.contains("The outcome as a whole is the same for every record that both rulebooks take"), "{output}");
    assert!(output.contains("in 1 more only words changed, which changes no outcome."), "{output}");
}

/// The ways in which a figure of the outcome differs.
fn figure<'v>(view: &'v serde_json::Value, figure: &str) -> Vec<(&'v str, &'v str)> {
    let figures = view["proven"]["outcome"].as_array().expect("figures");
    let figure = figures.iter().find(|one| one["figure"] == figure).unwrap_or_else(|| panic!("{figure}: {view}"));
    let ways = figure["ways"].as_array().expect("ways").iter();
    ways.map(|one| (one["way"].as_str().expect("a way"), one["known"].as_str().expect("what is known"))).collect()
}

#[test]
fn a_change_that_can_only_make_it_cheaper_is_told_as_that() {
    let new = SMALL.replace("above 0.2 mm", "above 0.4 mm");
    let folder = folder(&[("old.purfle", SMALL), ("new.purfle", &new)]);
    let (old, new) = (path(&folder, "old.purfle"), path(&folder, "new.purfle"));
    for (one, other, way) in [(&old, &new, "cheaper"), (&new, &old, "dearer")] {
        let view = json(&[one, other]);
        assert_eq!(figure(&view, "cost"), [(way, "can")]);
        assert_eq!(figure(&view, "left"), [(way, "can")]);
    }
}

#[test]
fn a_choice_that_one_alone_takes_is_shown_with_what_is_found_only_with_it() {
    let new = SMALL
        .replace("one of violin, cello", "one of violin, cello, bass")
        .replace("is above 0.2 mm", "is above 0.2 mm or instrument.kind is bass");
    let folder = folder(&[("old.purfle", SMALL), ("new.purfle", &new)]);
    let (old, new) = (path(&folder, "old.purfle"), path(&folder, "new.purfle"));
    let view = json(&[&old, &new]);
    assert_eq!((&view["proven"]["can"], &view["proven"]["not-decided"]), (&0.into(), &0.into()), "{view}");
    let look = &view["proven"]["looks"][0];
    assert_eq!(look["look"], "instrument.kind");
    let found = &look["findings"][0];
    assert_eq!((&found["finding"], &found["way"], &found["known"]), (&"loose".into(), &"newly-found".into(), &"can".into()));
    assert_eq!(found["example"], "instrument.kind is bass, button.gap is 0 to 0 mm");
    assert!(found["after"].as_str().is_some_and(|after| after.starts_with("found: book")), "{found}");
    let told = text(&weigh(&[&old, &new])).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("No finding comes out differently in any record that both take: proved for all 1."), "{told}");
    assert!(told.contains("loose is found only with what the new one alone takes record instrument.kind is bass"), "{told}");
    let view = json(&[&new, &old]);
    assert_eq!(view["proven"]["looks"][0]["findings"][0]["way"], "no-longer-found");
}

#[test]
fn past_records_are_counted_with_what_moved_and_why() {
    let new = SMALL.replace("above 0.2 mm", "above 0.6 mm").replace("one of violin, cello", "one of violin, viola");
    let records = "record,tag,instrument.kind,instrument.strung,button.gap\n\
        A-1,T-1,violin,no,0\nA-2,T-2,violin,no,2\nA-3,T-3,violin,no,0.401\nA-4,T-4,cello,no,2\nA-5,T-5,viola,no,2\n";
    let new = new.replace("row cello  1.5", "row viola  1.5");
    let folder = folder(&[("old.purfle", SMALL), ("new.purfle", &new), ("records.csv", records)]);
    let arguments = [path(&folder, "old.purfle"), path(&folder, "new.purfle"), path(&folder, "records.csv")];
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let output = weigh(&arguments);
    assert_eq!(output.status.code(), Some(1), "records were refused");
    let view = json(&arguments);
    let counted = &view["counted"];
    assert_eq!((&counted["read"], &counted["judged"], &counted["unmoved"]), (&5.into(), &3.into(), &2.into()));
    assert_eq!(counted["moved"][0]["record"], "A-3");
    assert_eq!(counted["moved"][0]["what"][0], "how soon: was book, now fine to book");
    assert_eq!(counted["moves"][0]["count"], 1);
    assert_eq!(counted["cost"]["was"]["from"], "80.00");
    let refused = counted["refused"].as_array().expect("refused");
    let by: Vec<_> = refused.iter().map(|one| (one["record"].as_str(), one["by"].as_str())).collect();
    assert_eq!(by, [(Some("A-4"), Some("new")), (Some("A-5"), Some("old"))]);
}

#[test]
fn all_that_either_refuses_a_record_for_is_told() {
    let look = |only: &str| {
        let look = format!("  look hum \"Does it hum?\" yes or no\n    {only}\n    good no\n\nfinding loose");
        SMALL.replace("finding loose", &look)
    };
    let (violins, cellos) = (look("only when instrument.kind is violin"), look("only when instrument.kind is cello"));
    let records = "record,instrument.kind,button.hum\nA-1,violin,\nA-1,violin,yes\nA-1,cello,yes\nA-2,cello,yes\n";
    let folder = folder(&[("violins.purfle", &violins), ("cellos.purfle", &cellos), ("records.csv", records)]);
    let file = |name: &str| path(&folder, name);
    let told = |one: &serde_json::Value| {
        let said = |key: &str| -> Vec<&str> {
            let words = one[key].as_array().map(|all| all.iter().filter_map(|one| one.as_str()).collect::<Vec<_>>());
            let reason = |words: &str| if words.contains("same mark") { "mark" } else { "kind" };
            words.unwrap_or_default().into_iter().map(reason).collect()
        };
        (one["by"].as_str().expect("by whom").to_owned(), said("why"), said("old"), said("new"))
    };
    let view = json(&[&file("violins.purfle"), &file("cellos.purfle"), &file("records.csv")]);
    let refused = view["counted"]["refused"].as_array().expect("refused");
    let found: Vec<_> = refused.iter().map(told).collect();
    let both = "both".to_owned();
    let expected = [
        (both.clone(), vec!["mark"], vec![], vec!["kind"]),
        (both, vec!["mark"], vec!["kind"], vec![]),
        ("old".to_owned(), vec!["kind"], vec![], vec![]),
    ];
    assert_eq!(found, expected, "{refused:#?}");
    let output = text(&weigh(&[&file("violins.purfle"), &file("cellos.purfle"), &file("records.csv")]));
    let output = output.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(output.contains("- by the new rulebook only: "), "{output}");
    assert!(output.contains("- by the old rulebook only: "), "{output}");
}

/// A look that picks a row, one that a price is multiplied by, and places, each of which applies in some cases only.
fn picking(look: &str, count: &str, place: &str) -> String {
    let more = format!(
        "table wear \"Most by wear\" by button.state\n  row worn  0.1 mm\n  row any   0.3 mm\n\n\
         part button \"Button\"\n\
         \x20 look state \"Its state?\" one of new, worn\n    only when instrument.kind is {look}\n    good new\n\
         \x20 look chips \"How many chips?\" counted from 0 to 3\n    only when instrument.kind is {count}\n    good 0\n"
    );
    let pegs = format!(
        "part peg \"Peg\"\n  place E \"The E peg\"  only when instrument.kind is {place}\n  place A \"The A peg\"\n\
         \x20 look slips \"Does it slip?\" yes or no\n    good no\n\n\
         finding slipping \"It slips\"\n  on each peg\n  signs slips\n  urgency book\n  hands luthier\n  cost nothing\n\
         \x20 basis \"common practice\"\n\nfinding loose"
    );
    SMALL
        .replace("part button \"Button\"\n", &more)
        .replace("above 0.2 mm", "above wear")
        .replace("5 to 12 USD", "5 USD + 2 USD * chips")
        .replace("finding loose", &pegs)
}

#[test]
fn what_picks_a_row_and_a_place_stay_one_where_they_apply_in_other_cases() {
    let old = picking("violin", "violin", "violin");
    let weighed = |new: &str| {
        let folder = folder(&[("old.purfle", &old), ("new.purfle", new)]);
        json(&[&path(&folder, "old.purfle"), &path(&folder, "new.purfle")])
    };
    let proven = |view: &serde_json::Value, of: &str| view["proven"][of].clone();
    // By the row of what is worn, or by that of any where there is nothing to be worn.
    let view = weighed(&picking("cello", "violin", "violin"));
    assert_eq!((proven(&view, "apart"), proven(&view, "applies")), (serde_json::json!([]), serde_json::json!(["button.state"])));
    for (kind, by) in [("newly-found", "cello"), ("no-longer-found", "violin")] {
        let way = way(&view, "loose", kind);
        assert_eq!(way["known"], "can", "{view}");
        assert!(way["example"].as_str().is_some_and(|example| example.contains(by)), "{way}");
    }
    // A place that is there in other cases.
    let view = weighed(&picking("violin", "violin", "cello"));
    assert_eq!((proven(&view, "apart"), proven(&view, "applies")), (serde_json::json!([]), serde_json::json!(["peg.slips"])));
    let lost = way(&view, "slipping", "no-longer-found");
    assert_eq!((&lost["known"], &lost["after"]), (&"can".into(), &"clear at E".into()), "{lost}");
    assert!(lost["before"].as_str().is_some_and(|before| before.starts_with("found at E")), "{lost}");
    assert_eq!((&view["proven"]["can"], &view["proven"]["same"]), (&1.into(), &1.into()), "{view}");
    // A price that hangs on what may not apply is not said to be the same.
    let view = weighed(&picking("violin", "cello", "violin"));
    assert_eq!((proven(&view, "apart"), proven(&view, "applies")), (serde_json::json!([]), serde_json::json!(["button.chips"])));
    assert_eq!((&view["proven"]["can"], &view["proven"]["not-decided"]), (&0.into(), &1.into()), "{view}");
    assert_eq!(figure(&view, "cost"), [("dearer", "not-decided"), ("cheaper", "not-decided")]);
    assert!(weighed(&old)["proven"]["outcome"].as_array().is_some_and(|all| all.iter().all(|one| one["known"] == "same")));
}

#[test]
fn what_a_counsel_asks_of_a_sum_is_proved_the_same_or_shown_by_a_record_between_the_sums() {
    let told = |was: &str, now: &str| {
        let of = |when: &str| {
            let more = SMALL.replace("above 0.2 mm", "above 0.5 mm").replace("It is loose", "It is very loose");
            let more =
                more.split("finding loose").nth(1).and_then(|rest| rest.split("raise").next()).unwrap_or_default().to_owned();
            format!(
                "{SMALL}\nfinding looser{more}\ncounsel dear \"It costs a good deal\"\n  when     {when}\n  tell     \"Ask.\"\n  \
                 basis    \"common practice\"\n"
            )
        };
        let folder = folder(&[("old.purfle", &of(was)), ("new.purfle", &of(now))]);
        let view = json(&[&path(&folder, "old.purfle"), &path(&folder, "new.purfle")]);
        let outcome = view["proven"]["outcome"].as_array().unwrap_or_else(|| panic!("{view}")).clone();
        outcome.into_iter().find(|one| one["figure"] == "counsel dear")
    };
    // Nothing that it asks differs: no sum, and not for which instrument.
    for (was, now) in [
        ("total cost is above 45 USD", "total cost is above 45 USD and instrument.kind is one of violin, cello"),
        ("total tier is major", "not (not (total tier is major))"),
        ("total cost is above 45 USD", "total cost is above 45 USD or (instrument.strung and total cost is above 45 USD)"),
    ] {
        assert_eq!(told(was, now), None, "{was}, {now}");
    }
    // Only the sum has moved.
    for (was, now) in [
        ("total cost is above 30 USD", "total cost is above 50 USD"),
        ("total cost is above 47 USD", "total cost is above 100 USD"),
        ("total tier is major", "total tier is pocket"),
    ] {
        let dear = told(was, now).unwrap_or_else(|| panic!("{was}, {now}"));
        assert_eq!((&dear["known"], &dear["ways"][0]["known"]), (&"can".into(), &"can".into()), "{was}, {now}: {dear}");
    }
    // No instrument comes to so much, which nobody has proved.
    let dear = told("total cost is above 5000 USD", "total cost is above 6000 USD").expect("a figure");
    assert_eq!((&dear["known"], &dear["ways"][0]["example"]), (&"not-decided".into(), &serde_json::Value::Null), "{dear}");
}

const SHOP: &str = "rulebook house \"House\"\r\n  edition 7\r\n  money USD\r\n  builds on first edition 1 from \"first.purfle\"\r\n\
    \r\n# Ours.\r\nalter hand luthier 90 USD per h because \"Our rate.\"\r\n\
    alter finding loose because \"Ours are looser.\"\r\n  signs gap is above 0.5 mm\r\n\
    alter table slowness because \"We are slow.\"\r\n  row cello  1.7\r\n\
    without raise strung because \"We slacken them.\"\r\n";

fn editions() -> tempfile::TempDir {
    let second = SMALL
        .replace("  edition 1\n", "  edition 2\n")
        .replace("above 0.2 mm", "above 0.3 mm")
        .replace("85 USD per h", "90 USD per h");
    let second = second.split("raise strung").next().expect("a text").to_owned();
    folder(&[("first.purfle", SMALL), ("second.purfle", &second), ("house.purfle", SHOP)])
}

#[test]
fn a_house_is_weighed_on_a_new_edition_of_what_it_is_built_on() {
    let folder = editions();
    let (house, second) = (path(&folder, "house.purfle"), path(&folder, "second.purfle"));
    let view = json(&[&house, &second]);
    let items = view["house"]["items"].as_array().expect("items");
    let told: Vec<String> = items
        .iter()
        .map(|item| format!("{} {} {}: {}", item["doing"], item["kind"], item["name"], item["stand"]).replace('"', ""))
        .collect();
    assert_eq!(
        told,
        [
            "alter hand luthier: idle",
            "alter finding loose: clash",
            "alter table slowness: applies",
            "without raise strung: clash"
        ]
    );
    assert_eq!(items[1]["why"], "the new edition changed this as well: signs");
    // The house says the same on either edition, whatever its parent says.
    assert_eq!(view["proven"]["can"], 0, "{view}");
    // What is gone cannot be left out: an error, but nothing else hangs on the line.
    let errors = view["house"]["errors"].as_array().expect("errors");
    assert!(errors.len() == 1 && errors[0].as_str().is_some_and(|error| error.contains("`strung`")), "{errors:?}");
    let output = weigh(&[&house, &second]);
    assert_eq!(output.status.code(), Some(1));
    let told = text(&output).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("1 without effect any more, 2 to be looked at."), "{told}");
    assert!(told.contains("what follows takes the house without these lines: - "), "{told}");
}

#[test]
fn a_house_is_moved_byte_for_byte_with_what_to_review_marked() {
    let folder = editions();
    let (house, second, moved) = (path(&folder, "house.purfle"), path(&folder, "second.purfle"), path(&folder, "moved.purfle"));
    let output = weigh(&[&house, &second, "--move-to", "3", "--out", &moved]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("it is edition 2 of first, not 3"), "{output:?}");
    assert_eq!(weigh(&[&house, &second, "--move-to", "2", "--out", &moved]).status.code(), Some(0));
    let written = std::fs::read_to_string(&moved).expect("a file");
    let expected = SHOP
        .replace("edition 1 from \"first.purfle\"", "edition 2 from \"second.purfle\"")
        .replace("alter hand", "# To review, it may go: the new edition says the same.\r\nalter hand")
        .replace("alter finding", "# To review, look at it: the new edition changed this as well: signs.\r\nalter finding")
        .replace(
            "without",
            "# To review, look at it: the new edition does not have it any more, and what is not there cannot be left out.\r\nwithout",
        );
    assert_eq!(written, expected);
    let again = weigh(&[&house, &second, "--move-to", "2", "--out", &moved]);
    assert_eq!(again.status.code(), Some(2), "it is there already");
    assert_eq!(weigh(&[&house, &second, "--move-to", "2", "--out", &moved, "--force"]).status.code(), Some(0));
}
