//! `proof --as sarif` against the JSON schema of the standard: Static Analysis Results Interchange Format (SARIF)
//! Version 2.1.0, OASIS Standard. The schema in `sarif/` is `Schemata/sarif-schema-2.1.0.json` of the standard's own
//! repository, which its `$id` names, as the crate `serde-sarif` 0.8.0 carries it.

use std::path::Path;

use jsonschema::Validator;
use purfle::cli::diagnostics::Severities;
use purfle::cli::diagnostics::sarif::Log;
use purfle::load::load_text;
use purfle_lang::diagnostic::Diagnostic;
use serde_json::Value;

use crate::supplied;

const SCHEMA: &str = include_str!("sarif/sarif-schema-2.1.0.json");

fn schema() -> Validator {
    // The pattern of a language tag, which no log of ours has, closes a bracket that it never opens.
    let schema = SCHEMA.replace("-[a-zA-Z]{2}]?$", "-[a-zA-Z]{2}?$");
    let schema: Value = serde_json::from_str(&schema).expect("JSON");
    jsonschema::options().should_validate_formats(true).build(&schema).expect("a schema")
}

fn written(log: &Log) -> Value {
    let mut text = Vec::new();
    log.write(&mut text).expect("memory to write to");
    serde_json::from_slice(&text).expect("JSON")
}

#[track_caller]
fn hold(schema: &Validator, value: &Value) {
    let wrong: Vec<String> = schema.iter_errors(value).map(|error| format!("{}: {error}", error.instance_path())).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Every text of the corpus, and a file that cannot be used.
fn corpus() -> Log {
    let mut log = Log::default();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("corpus");
    for folder in std::fs::read_dir(folder).expect("the corpus").map(|entry| entry.expect("an entry").path()) {
        for path in std::fs::read_dir(folder).into_iter().flatten().map(|entry| entry.expect("an entry").path()) {
            if path.extension().is_some_and(|extension| extension == "purfle") {
                let text = std::fs::read_to_string(&path).expect("UTF-8");
                log.add(&supplied::read(&supplied::whole(&text)), Severities::AsTheyAre);
            }
        }
    }
    log.unusable("a folder/är:50%.purfle", "there is no such file");
    log
}

#[test]
fn all_that_is_told_of_the_corpus_holds_to_the_schema() {
    let value = written(&corpus());
    hold(&schema(), &value);
    let results = value["runs"][0]["results"].as_array().expect("a list");
    assert!(results.len() > 150, "only {} results", results.len());
    for filled in ["relatedLocations", "fixes"] {
        assert!(results.iter().any(|result| result[filled].is_array()), "nothing fills {filled}");
    }
    let notification = &value["runs"][0]["invocations"][0]["toolExecutionNotifications"][0];
    let uri = &notification["locations"][0]["physicalLocation"]["artifactLocation"]["uri"];
    assert_eq!(uri, "a%20folder/%C3%A4r%3A50%25.purfle");
    for result in results {
        let rule = &value["runs"][0]["tool"]["driver"]["rules"][result["ruleIndex"].as_u64().expect("an index") as usize];
        assert_eq!(rule["id"], result["ruleId"]);
    }
}

#[test]
fn witnesses_quieted_warnings_and_strictness_hold_to_it() {
    let text =
        std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("../interpreter/tests/small.purfle")).expect("it");
    let text = text.replacen("  basis    \"common practice\"\n", "", 1);
    let bare = load_text("small.purfle", text.clone());
    let quieted =
        text.replace("finding button-unseated", "# quiet no-basis because \"asked by telephone\"\nfinding button-unseated");
    let mut loaded = load_text("small.purfle", quieted);
    loaded.hear();
    let told = bare.diagnostics.into_iter().find(|told| told.slug == "no-basis").expect("a warning");
    let shown = Diagnostic::warning("overlap", told.span, "The two disagree.").help("Let one yield.");
    loaded.diagnostics.push(shown.witness("instrument.kind is viola, button.gap is 0.5 mm", "finds button-unseated at book"));
    let mut log = Log::default();
    log.add(&loaded, Severities::Strict);
    let value = written(&log);
    hold(&schema(), &value);
    let [shown, quieted] = &value["runs"][0]["results"].as_array().expect("a list")[..] else { panic!("two results: {value}") };
    assert_eq!((&shown["level"], &shown["properties"]["strict"]), (&"error".into(), &true.into()));
    assert_eq!(shown["properties"]["witness"]["button.gap"], "0.5 mm");
    assert_eq!(shown["properties"]["witness-outcome"], "finds button-unseated at book");
    assert_eq!((&quieted["ruleId"], &quieted["level"]), (&"no-basis".into(), &"warning".into()));
    assert_eq!(quieted["suppressions"][0]["justification"], "asked by telephone");
}

#[test]
fn the_schema_sees_what_is_wrong() {
    let (schema, good) = (schema(), written(&corpus()));
    for (pointer, bad) in [
        ("/version", "2.2.0".into()),
        ("/runs/0/columnKind", "bytes".into()),
        ("/runs/0/results/0/level", "fatal".into()),
        ("/runs/0/results/0/message", serde_json::json!({})),
        ("/runs/0/results/0/locations/0/physicalLocation/region/startLine", 0.into()),
        ("/runs/0/results/0/ruleIndex", "first".into()),
    ] {
        let mut value = good.clone();
        *value.pointer_mut(pointer).unwrap_or_else(|| panic!("{pointer} is written")) = bad;
        assert!(!schema.is_valid(&value), "{pointer}");
    }
}
