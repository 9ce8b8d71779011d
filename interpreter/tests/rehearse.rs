//! Rehearsing: every form of its report says the same, and what the examples of the standard rulebook reach.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

use purfle::load::load;
use purfle::rehearse::mutants::{Texts, Trial, changes};
use roxmltree::{Document, Node};
use serde_json::Value;

use crate::bench::{Bench, SMALL, code, err, json, out};

/// Where the standard rulebook is.
fn first_look() -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../rulebooks/first-look.purfle").to_string_lossy().into_owned()
}

/// What one kind of thing comes to: all there are, those reached, those missed.
fn reached(report: &Value, kind: &str) -> (u64, u64, Vec<String>) {
    let kinds = report["rulebooks"][0]["reached"].as_array().expect("a list");
    let of = kinds.iter().find(|reached| reached["kind"] == kind).expect("the kind");
    let missed = of["missed"].as_array().expect("a list").iter();
    (
        of["all"].as_u64().expect("a count"),
        of["reached"].as_u64().expect("a count"),
        missed.map(|missed| missed.as_str().expect("words").to_owned()).collect(),
    )
}

#[test]
fn the_examples_of_the_standard_rulebook_reach_all_of_it() {
    let output = Bench::new().purfle(&["rehearse", &first_look(), "--as", "json"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let report = json(&output);
    for (kind, least) in [("findings", 100), ("urgency lines", 100), ("choices", 100), ("table rows", 30)] {
        let (all, reached, missed) = reached(&report, kind);
        assert!(all > least, "{kind}: {all}");
        assert_eq!((reached, missed), (all, Vec::new()), "{kind}");
    }
}

/// A table that a comparison, a `good` and a price read, each in one of three examples.
const TABLES: &str = "
table lean-most \"Lean\" by instrument.kind
  row violin  2 deg
  row viola   3 deg
  row any     4 deg

table set-price \"Price\" by instrument.kind, instrument.strung
  row violin, yes  10 USD
  row violin, any  20 USD
  row any, any     30 USD

finding post-leans \"It leans\"
  on       post
  signs    lean is above lean-most
  urgency  book
  hands    luthier
  goods    \"Post\" set-price
  basis    \"common practice\"
";

#[test]
fn a_row_is_reached_where_the_record_settles_it_and_something_reads_it() {
    let bench = Bench::new();
    let of = |examples: &str| {
        bench.write("tables.purfle", format!("{SMALL}{TABLES}\n{examples}").as_bytes());
        let output = bench.purfle(&["rehearse", "tables.purfle", "--as", "json"]);
        reached(&json(&output), "table rows")
    };
    let missed = |examples: &str| of(examples).2;
    let all = [
        "lean-most `violin`",
        "lean-most `viola`",
        "lean-most `any`",
        "set-price `violin, yes`",
        "set-price `violin, any`",
        "set-price `any, any`",
    ];
    assert_eq!(of("").0, 6);
    assert_eq!(missed(""), all, "no example says how far the post leans");
    let leans = |record: &str| format!("example \"it leans\"\n  record {record}\n  open post-leans\n");
    assert_eq!(missed(&leans("post.lean is 1 deg")), all, "nobody says which instrument it is");
    assert_eq!(missed(&leans("instrument.kind is viola, post.lean is 1 deg")), [all[0], all[2], all[3], all[4], all[5]]);
    assert_eq!(
        missed(&leans("instrument.kind is violin, post.lean is 5 deg, instrument.strung is no")),
        [all[1], all[2], all[3], all[5]]
    );
    assert_eq!(
        missed(&leans("instrument.kind is viola, instrument.strung, post.lean is 5 deg")),
        [all[0], all[2], all[3], all[4]]
    );
    let called_good = "example \"good\"\n  record instrument.kind is viola, post is good\n  clear post-leans\n";
    let tables = format!("{SMALL}{TABLES}\n{called_good}").replace("good  0 to 2 deg", "good  lean-most");
    bench.write("good.purfle", tables.as_bytes());
    let output = bench.purfle(&["rehearse", "good.purfle", "--as", "json"]);
    assert_eq!(reached(&json(&output), "table rows").2, [all[0], all[2], all[3], all[4], all[5]]);
}

fn count(node: Node<'_, '_>, name: &str) -> u64 {
    node.attribute(name).expect("a count").parse().expect("a number")
}

/// The small rulebook with words that XML would trip over, and two examples that fail.
fn wrong() -> String {
    SMALL
        .replace("finds   button-unseated at book", "finds   button-unseated at halt\n  urgency fine\n  played  no")
        .replace("a gap, and nobody looked how it sits", "a gap < 1 mm & \\\"nobody\\\" <![CDATA[ looked ]]>")
        .replace("urgency book to halt", "urgency book")
}

#[test]
fn junit_is_xml_that_counts_what_the_others_count() {
    let bench = Bench::new();
    bench.write("wrong.purfle", wrong().as_bytes());
    bench.write("broken.purfle", SMALL.replace("hands    luthier", "hands    lutier").as_bytes());
    let parent = wrong().replace("rulebook small", "rulebook parent");
    bench.write("parent.purfle", parent.as_bytes());
    bench.write("house.purfle", b"rulebook house \"House\"\n  edition 1\n  builds on parent edition 2026.1\n");
    let arguments = |form: &'static str| {
        ["rehearse", "small.purfle", "wrong.purfle", "broken.purfle", "house.purfle", "none.purfle", "--as", form]
    };
    let (output, value) = (bench.purfle(&arguments("junit")), bench.purfle(&arguments("json")));
    assert_eq!((code(&output), code(&value)), (2, 2), "a file is not there: {}", err(&output));
    let (text, value) = (out(&output), json(&value));
    let document = Document::parse(&text).unwrap_or_else(|error| panic!("{error}: {text}"));
    let root = document.root_element();
    assert_eq!(root.tag_name().name(), "testsuites");
    let elements = |node: Node<'_, '_>, name: &str| node.descendants().filter(|node| node.has_tag_name(name)).count() as u64;
    let all: Vec<Node<'_, '_>> = root.children().filter(Node::is_element).collect();
    assert_eq!(all.len(), 5, "one suite a rulebook");
    for node in all.iter().copied().chain([root]) {
        for (attribute, element) in [("tests", "testcase"), ("failures", "failure"), ("errors", "error"), ("skipped", "skipped")]
        {
            assert_eq!(count(node, attribute), elements(node, element), "{attribute} of {:?}", node.attribute("name"));
        }
    }
    assert_eq!(["tests", "failures", "errors", "skipped"].map(|name| count(root, name)), [8, 2, 2, 2]);
    let rulebooks = value["rulebooks"].as_array().expect("a list");
    let summed = |field: &str| rulebooks.iter().map(|rulebook| rulebook[field].as_u64().expect("a count")).sum::<u64>();
    assert_eq!((summed("failed"), summed("different")), (count(root, "failures"), count(root, "skipped")));
    assert_eq!(value["unusable"][0]["file"], "none.purfle");

    let cases: Vec<Node<'_, '_>> = all[1].children().filter(Node::is_element).collect();
    let examples = rulebooks[1]["examples"].as_array().expect("a list");
    assert_eq!(cases.len(), examples.len());
    for (case, example) in cases.iter().zip(examples) {
        assert_eq!(case.attribute("name"), example["example"].as_str());
        assert_eq!(case.attribute("file"), example["file"].as_str());
        assert_eq!(case.attribute("line").and_then(|line| line.parse().ok()), example["line"].as_u64());
        let failure = case.descendants().find(|node| node.has_tag_name("failure")).expect("a failure");
        let told = failure.text().expect("what came out");
        for miss in example["misses"].as_array().expect("a list") {
            for field in ["expected", "came-out"] {
                assert!(told.contains(miss[field].as_str().expect("words")), "{field}: {told}");
            }
            let because = miss["because"].as_array().expect("a list");
            assert!(because.iter().all(|because| told.contains(because.as_str().expect("words"))), "{told}");
        }
    }
    assert!(cases[1].attribute("name").is_some_and(|name| name.contains("< 1 mm & \"nobody\" <![CDATA[ looked ]]>")));
    assert_eq!(examples[0]["misses"].as_array().map(Vec::len), Some(3), "each expectation that is missed: {}", examples[0]);
}

#[test]
fn a_long_list_of_what_is_missed_is_cut_and_counted() {
    let bench = Bench::new();
    let findings: String = (0..60)
        .map(|at| {
            format!("\nfinding number-{at} \"Number {at}\"\n  on button\n  signs gap is above {at} mm\n  urgency book\n  hands luthier\n  cost nothing\n  basis \"common practice\"\n")
        })
        .collect();
    bench.write("many.purfle", format!("{SMALL}{findings}").replace("from 0 to 8", "from 0 to 99").as_bytes());
    let output = bench.purfle(&["rehearse", "many.purfle"]);
    let text = out(&output);
    assert!(text.contains("more (--as json"), "{text}{}", err(&output));
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    assert!(text.lines().count() < 40, "{text}");
    let (_, _, missed) = reached(&json(&bench.purfle(&["rehearse", "many.purfle", "--as", "json"])), "findings");
    assert!(missed.len() > 40 && text.contains(&format!("and {} more", missed.len() - 20)));
}

/// An example that tells a button pulling out of a slack instrument from one under tension.
const SLACK: &str = "
example \"pulling out, and slack\"
  record  instrument.kind is viola, instrument.strung is no, button.sits is pulling-out
  finds   button-unseated at book
";

/// The text and the change of everything that no example of a rulebook notices.
fn unnoticed(mutants: &Value) -> BTreeSet<(String, String)> {
    let list = mutants["unnoticed"].as_array().expect("a list").iter();
    let words = |value: &Value| value.as_str().expect("words").to_owned();
    list.map(|one| (words(&one["written"]), words(&one["change"]))).collect()
}

fn mutants(bench: &Bench, text: &str) -> Value {
    bench.write("tried.purfle", text.as_bytes());
    let output = bench.purfle(&["rehearse", "tried.purfle", "--mutants", "--as", "json"]);
    assert_eq!(code(&output), 0, "what no example notices is no failure: {}{}", out(&output), err(&output));
    let mutants = json(&output)["rulebooks"][0]["mutants"].take();
    let count =
        |field: &str| mutants[field].as_array().map_or_else(|| mutants[field].as_u64().expect("a count"), |a| a.len() as u64);
    assert_eq!(count("changes"), count("noticed") + count("nothing") + count("unnoticed") + count("untried"));
    assert_eq!(count("untried"), 0);
    mutants
}

#[test]
fn what_a_missing_example_would_notice_is_listed() {
    let bench = Bench::new();
    let with = unnoticed(&mutants(&bench, &format!("{SMALL}{SLACK}")));
    let without = unnoticed(&mutants(&bench, SMALL));
    let pair = |written: &str, change: &str| (written.to_owned(), change.to_owned());
    let missing: BTreeSet<(String, String)> = without.difference(&with).cloned().collect();
    let expected = [pair("instrument.strung", "left out"), pair("sits is one of crooked, pulling-out", "without `pulling-out`")];
    assert_eq!(missing, BTreeSet::from(expected));
    assert!(with.is_subset(&without));
}

#[test]
fn an_example_that_is_shown_notices_its_change() {
    let bench = Bench::new();
    let before = mutants(&bench, SMALL);
    let shown: Vec<&Value> =
        before["unnoticed"].as_array().expect("a list").iter().filter(|one| one["record"].is_string()).collect();
    assert!(shown.len() > 5, "{before:#}");
    let examples: String = shown
        .iter()
        .enumerate()
        .map(|(at, one)| {
            let words = |field: &str| one[field].as_str().expect("words");
            format!("\nexample \"shown {at}\"\n  record {}\n  {}\n", words("record"), words("expects"))
        })
        .collect();
    let after = mutants(&bench, &format!("{SMALL}{examples}"));
    let left = after["unnoticed"].as_array().expect("a list").iter().filter(|one| one["record"].is_string());
    assert_eq!(left.count(), 0, "{after:#}");
}

#[test]
fn what_is_proved_to_change_nothing_is_left_out() {
    let bench = Bench::new();
    let text = SMALL.replace("    - gap is above 0.2 mm\n", "    - gap is above 0.2 mm\n    - gap is above 4 mm\n");
    let tried = mutants(&bench, &text);
    assert!(tried["nothing"].as_u64().is_some_and(|nothing| nothing > 0), "{tried:#}");
    let of = |tried: &Value| unnoticed(tried).into_iter().filter(|(written, _)| written == "gap is above 4 mm").count();
    assert_eq!(of(&tried), 0, "a gap above 4 mm is one above 0.2 mm: {tried:#}");
}

#[test]
fn without_time_nothing_is_tried_and_that_is_said() {
    let bench = Bench::new();
    let output = bench.purfle(&["rehearse", "small.purfle", "--mutants", "--within", "0"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let told = out(&output);
    assert!(told.contains("were not tried for want of time") && told.contains("--within"), "{told}");
    assert!(told.lines().all(|line| line.chars().count() <= 80), "{told}");
    let output = bench.purfle(&["rehearse", "small.purfle", "--within", "3"]);
    assert_eq!(code(&output), 2, "there is nothing to bound without --mutants");
    let output = bench.purfle(&["rehearse", "small.purfle", "--mutants"]);
    assert!(out(&output).lines().all(|line| line.chars().count() <= 80), "{}", out(&output));
    let junit = out(&bench.purfle(&["rehearse", "small.purfle", "--mutants", "--as", "junit"]));
    let document = Document::parse(&junit).unwrap_or_else(|error| panic!("{error}: {junit}"));
    let told = document.descendants().find(|node| node.has_tag_name("system-out")).and_then(|node| node.text());
    assert!(told.is_some_and(|told| told.contains("noticed by")), "{junit}");
}

/// Every so many changes to the standard rulebook are tried: all of them take too long for a test.
const EVERY: usize = 41;

/// The least share of them that the examples notice; at the time of writing it was more.
const LEAST_NOTICED: f64 = 0.7;

#[test]
fn the_examples_of_the_standard_rulebook_notice_most_changes() {
    let mut loaded = load(&first_look()).expect("the rulebook");
    let book = Arc::clone(&loaded.ready().expect("a sound rulebook").plan().book);
    let all = changes(&book, &Texts::new(&loaded.sources));
    assert!(all.len() > 1500, "{} changes", all.len());
    let some: Vec<_> = all.into_iter().step_by(EVERY).collect();
    let tried = Trial { book: &book, changes: &some, until: None, threads: 2 }.run(|| ());
    let (noticed, unnoticed) = (tried.noticed, tried.unnoticed.len());
    assert_eq!(noticed + unnoticed + tried.nothing, some.len());
    let share = noticed as f64 / (noticed + unnoticed) as f64;
    assert!(share >= LEAST_NOTICED, "{noticed} of {} changes are noticed: {share:.2}", noticed + unnoticed);
}

#[test]
fn what_only_costs_otherwise_in_a_house_is_told_shortly() {
    let bench = Bench::new();
    let record = "record  instrument.kind is viola, instrument.strung, button.sits is crooked, the rest is good";
    let mut dear = SMALL.replace("rulebook small", "rulebook dear");
    for number in 1..=23 {
        dear.push_str(&format!("\nexample \"crooked, number {number}\"\n  {record}\n  cost    1 USD\n"));
    }
    dear.push_str(&format!("\nexample \"a step as well\"\n  {record}\n  cost    1 USD\n  urgency halt\n"));
    bench.write("dear.purfle", dear.as_bytes());
    bench.write("house.purfle", b"rulebook house \"House\"\n  edition 1\n  builds on dear edition 2026.1\n");
    let output = bench.purfle(&["rehearse", "house.purfle"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let told = out(&output);
    // What is more than a sum is told at length, and first.
    let (at_length, shortly) = told.split_once("DIFFERS FROM dear only in what it costs: 23 examples\n").expect("both");
    assert!(at_length.contains("expected  urgency halt") && at_length.contains("came out  book"), "{at_length}");
    assert!(shortly.starts_with("  - crooked, number 1 (dear.purfle:78)\n    cost 40.00 USD, not 1 USD\n"), "{shortly}");
    assert_eq!(shortly.matches("cost 40.00 USD, not 1 USD").count(), 20, "{shortly}");
    assert!(shortly.contains("  - and 3 more (--as json has them all)\n"), "{shortly}");
    assert!(told.contains("26 examples of the rulebooks it is built on: 24 come out differently"), "{told}");
    // In its own rulebook each of them is a failure, told at length.
    let own = bench.purfle(&["rehearse", "dear.purfle"]);
    assert_eq!((code(&own), out(&own).matches("FAILS").count()), (1, 24), "{}", out(&own));
}
