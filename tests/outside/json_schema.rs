//! `purfle sheet --as schema` against a library that knows JSON Schema (draft 2020-12, json-schema.org): what the reader
//! takes is valid, and what it refuses for its shape is not.

use std::path::Path;

use jsonschema::Validator;
use purfle::load::load;
use purfle::sheet::{Scope, schema};
use serde_json::{Map, Value, json};

use purfle_tests::generate::{Generator, Manner};

fn root() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn book(name: &str) -> purfle_lang::book::Book {
    let path = root().join("rulebooks").join(name);
    load(&path.to_string_lossy()).expect("a rulebook").book.expect("a sound one")
}

fn validator(book: &purfle_lang::book::Book) -> Validator {
    let schema = schema(&Scope::everything(book));
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    jsonschema::meta::validate(&schema).expect("a schema of the draft it names");
    jsonschema::options().build(&schema).expect("a schema")
}

#[track_caller]
fn hold(schema: &Validator, record: &Value) {
    let wrong: Vec<String> = schema.iter_errors(record).map(|error| format!("{}: {error}", error.instance_path())).collect();
    assert!(wrong.is_empty(), "{record}\n{}", wrong.join("\n"));
}

/// The demo season's rows as flat records.
fn rows() -> Vec<Value> {
    let mut table = csv::Reader::from_path(root().join("rulebooks/demo/records.csv")).expect("the season");
    let heading = table.headers().expect("a heading").clone();
    let row = |cells: csv::StringRecord| -> Value {
        let fields = heading.iter().zip(&cells).map(|(name, cell)| (name.to_owned(), cell.into()));
        fields.collect::<Map<String, Value>>().into()
    };
    table.records().map(|cells| row(cells.expect("a row"))).collect()
}

#[test]
fn the_demo_season_is_valid() {
    let schema = validator(&book("first-look.purfle"));
    let text = std::fs::read_to_string(root().join("rulebooks/demo/records.jsonl")).expect("the season");
    let nested: Vec<Value> = text.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect();
    assert!(nested.len() > 40);
    for record in nested.iter().chain(&rows()) {
        // One record is out of a look's range, written with its unit: that hangs on arithmetic.
        hold(&schema, record);
    }
}

#[test]
fn records_made_by_chance_are_valid() {
    for name in ["first-look.purfle", "harrow-bench.purfle"] {
        let book = book(name);
        let schema = validator(&book);
        for manner in [Manner::Ticks, Manner::Looks { percent: 60 }] {
            let mut generator = Generator::new(&book, manner, 7);
            let mut line = String::new();
            for _ in 0..150 {
                line.clear();
                generator.next_line(&mut line);
                hold(&schema, &serde_json::from_str(&line).expect("JSON"));
            }
        }
    }
}

#[test]
fn what_the_reader_takes_in_other_shapes_is_valid() {
    let schema = validator(&book("first-look.purfle"));
    for fields in [
        json!({}),
        json!({"tag": 17, "inspected-on": null, "quoted": "240 USD", "the rest": " Good "}),
        json!({"button": null, "peg": "?", "crack": "May be more"}),
        json!({"button": {"gap [in]": 0.02, "sits": ["crooked", "pulling-out"]}, "Alder Row": {"anything": [1, 2]}}),
        json!({"button.gap": "0.3 to 0.6 mm", "button.sits": "Crooked or pulling-out", "button.turns": true}),
        json!({"peg": {"E": {"turns": "stuck"}, "A.turns": "slips", "D": "good"}, "peg.G.turns": "-"}),
        json!({"crack": [{"length": 40, "where": "?"}, null, "yes", "may be more"]}),
        json!({"crack": {"1": {"length": "4 cm"}, "2.length": "at least 30"}, "crack.3": "yes", "crack.4.length [cm]": 3}),
        json!({"stringset": {"fitted": "none"}, "instrument.worth": "at most 500 usd", "room": {"temperature": "68 degF"}}),
        json!({"stringset.fitted": "2025-01-01 to 2025-06-30", "owner.pupil": 7, "record.x": {"y": 1}}),
    ] {
        hold(&schema, &with_mark(fields));
    }
}

fn with_mark(mut record: Value) -> Value {
    record["record"] = "AR-001".into();
    record
}

#[test]
fn what_is_refused_for_its_shape_is_not_valid() {
    let schema = validator(&book("first-look.purfle"));
    for fields in [
        json!({"buton": "x", "Button": "good"}),
        json!({"pegs": "good"}),
        json!({"Record": "x"}),
        json!({"inspected_on": "2026-11-20"}),
        json!({"The Rest": "good"}),
        json!({"button.gab": 1}),
        json!({"button": {"gab": 1}}),
        json!({"button": "bad"}),
        json!({"button": [1]}),
        json!({"button.gap": 45}),
        json!({"button.gap": -1}),
        json!({"button.gap": "five"}),
        json!({"button.gap": "0,5"}),
        json!({"button.gap": "1 furlong"}),
        json!({"button.gap [deg]": 1}),
        json!({"button.gap": {"mm": 1}}),
        json!({"button.gap": true}),
        json!({"button.sits": "croked"}),
        json!({"button.sits": 3}),
        json!({"button.turns": "perhaps"}),
        json!({"peg.G.turns": "at the nut"}),
        json!({"peg.turns": "stuck"}),
        json!({"peg": {"turns": "stuck"}}),
        json!({"peg.X.turns": "stuck"}),
        json!({"crack.length": 3}),
        json!({"crack.0.length": 3}),
        json!({"crack.101": "yes"}),
        json!({"crack": [{"lenght": 3}]}),
        json!({"crack": 2}),
        json!({"inspected-on": "20.11.2026"}),
        json!({"inspected-on": 46346}),
        json!({"quoted": "12 EUR"}),
        json!({"quoted": -1}),
        json!({"the rest": "bad"}),
        json!({"stringset.fitted": "last year"}),
        json!({"tag": ["a"]}),
        json!({"owner.pupil": {"first": "x"}}),
    ] {
        let record = with_mark(fields);
        assert!(!schema.is_valid(&record), "{record} is valid");
    }
    for record in [json!({}), json!({"record": ""}), json!({"record": null}), json!([]), json!("AR-001"), json!({"tag": "x"})] {
        assert!(!schema.is_valid(&record), "{record} is valid");
    }
}
