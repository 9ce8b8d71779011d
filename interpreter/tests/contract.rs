//! The JSON reports have the shape that programs rely on: every field by its name and its kind, and no field more.
//!
//! Fields may be added, and then they are added here. A field that is gone, renamed or of another kind needs a new
//! number in `"purfle"`.

use std::path::Path;

use crate::bench::{Bench, code, err, json, out};
use serde_json::{Value, json};

/// Says where a value is not of a shape. A shape is an object of shapes (`*` stands for any other name), a list of one
/// shape, or words: `text`, `count`, `flag`, `sum` (a decimal text), `date`, or one of some words with `|` between
/// them. A question mark at the end lets `null` stand instead.
fn differs(value: &Value, shape: &Value, at: &str, told: &mut Vec<String>) {
    match (value, shape) {
        (Value::Object(fields), Value::Object(shapes)) => {
            for (name, value) in fields {
                match shapes.get(name).or(shapes.get("*")) {
                    Some(shape) => differs(value, shape, &format!("{at}.{name}"), told),
                    None => told.push(format!("{at}.{name} is new")),
                }
            }
            let gone = shapes.keys().filter(|name| *name != "*" && !fields.contains_key(*name));
            told.extend(gone.map(|name| format!("{at}.{name} is gone")));
        }
        (Value::Array(all), Value::Array(shapes)) => {
            let [shape] = shapes.as_slice() else { panic!("a list has one shape") };
            all.iter().for_each(|value| differs(value, shape, &format!("{at}[]"), told));
        }
        (value, Value::String(words)) if is(value, words) => {}
        _ => told.push(format!("{at} is {value}, not {shape}")),
    }
}

fn is(value: &Value, words: &str) -> bool {
    if let Some(words) = words.strip_suffix('?') {
        return value.is_null() || is(value, words);
    }
    match (words, value) {
        ("text", value) => value.is_string(),
        ("count", value) => value.is_u64(),
        ("flag", value) => value.is_boolean(),
        ("sum", Value::String(text)) => text.split_once('.').is_some_and(|(whole, part)| {
            let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
            digits(whole) && digits(part) && part.len() == 2
        }),
        ("date", Value::String(text)) => purfle_lang::unit::parse_date(text).is_some(),
        (words, Value::String(text)) => words.split('|').any(|word| word == text),
        _ => false,
    }
}

fn hold(value: &Value, shape: &Value) {
    let mut told = Vec::new();
    differs(value, shape, "", &mut told);
    told.dedup();
    assert!(told.is_empty(), "{}", told.join("\n"));
}

#[test]
fn what_is_not_of_a_shape_is_told() {
    let shape = json!({"record": "text", "cost": {"from": "sum"}, "looks": [{"again": "flag"}], "tag": "text?", "state": "a|b"});
    let right = json!({"record": "1", "cost": {"from": "0.50"}, "looks": [{"again": true}], "tag": null, "state": "b"});
    hold(&right, &shape);
    for (pointer, wrong, words) in [
        ("/record", json!(1), ".record is 1"),
        ("/cost/from", json!("0.5"), ".cost.from is"),
        ("/cost", json!({"form": "0.50"}), ".cost.form is new .cost.from is gone"),
        ("/looks/0/again", json!("yes"), ".looks[].again is"),
        ("/tag", json!([]), ".tag is []"),
        ("/state", json!("c"), ".state is \"c\""),
    ] {
        let mut value = right.clone();
        *value.pointer_mut(pointer).expect("a place") = wrong;
        let mut told = Vec::new();
        differs(&value, &shape, "", &mut told);
        assert!(told.join(" ").starts_with(words), "{told:?}");
    }
}

fn ends(shape: &str) -> Value {
    json!({"from": shape, "to": shape})
}

fn sum() -> Value {
    json!({"from": "sum", "to": "sum", "money": "USD", "exact": "flag", "or-more": "flag", "and-more": "flag"})
}

fn fault() -> Value {
    json!({"field": "text?", "value": "text?", "why": "text", "column": "text?"})
}

/// A record refused for one reason.
fn refusal() -> Value {
    let mut refusal = fault();
    for (name, shape) in [("source", "text"), ("row", "count"), ("record", "text?")] {
        refusal[name] = shape.into();
    }
    refusal
}

fn outcome(steps: &str, hands: &str, tiers: &str) -> Value {
    let hand = format!("{hands}?");
    let finding = json!({
        "finding": "text", "place": "text?", "state": "found|suspected", "urgency": ends(steps), "hands": hands,
        "cost": sum(), "ways": [{"way": "text", "words": "text", "cost": sum()}],
        "left": {"becomes": ["text"], "cost": sum(), "expected-extra": "?"},
        "yields-to": "text?", "words": "text", "tell": ["text"], "refer": ["text"], "care": ["text"]
    });
    let look = json!({
        "look": "text", "place": "text?", "can": ["played|urgency|hands|cost|left|aid|counsel"], "again": "flag",
        "question": "text"
    });
    json!({
        "record": "text", "tag": "text?", "inspected-on": "date?", "seen-again": "date?", "played": "yes|no|open",
        "urgency": {"from": steps, "suspected": steps, "to": steps, "exact": "flag"},
        "due": ends("date?"), "again": "date?", "hands": ends(&hand), "first": ["text"],
        "cost": sum(), "tier": ends(tiers), "left": {"cost": sum(), "tier": ends(tiers)},
        "findings": [finding], "unseen": ["text"], "not-ruled-out": ["text"], "looks": [look],
        "counsel": [{"counsel": "text", "state": "found|open", "tell": "text"}],
        "aid": [{"aid": "text", "state": "eligible|refused|open", "pays": ends("sum"), "exact": "flag",
            "missing": ["text"], "why": "text?"}],
        "quoted": "sum?", "apart": [{"part": "text", "played": "yes|no|open"}],
        "noted": {"*": "text"}, "carried": {"*": "text"}, "source": "text", "row": "count"
    })
}

/// The season of the standard rulebook, and of the house rules built on it: nearly every field is filled somewhere.
#[test]
fn triage_as_json() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let at = |name: &str| root.join("rulebooks").join(name).to_string_lossy().into_owned();
    let bench = Bench::new();
    for (rulebook, name) in [("first-look.purfle", "first-look"), ("harrow-bench.purfle", "harrow-bench")] {
        let output = bench.purfle(&["triage", &at(rulebook), &at("demo/records.csv"), "--as", "json"]);
        assert_eq!(code(&output), 1, "two records are wrong on purpose: {}", err(&output));
        let mut value = json(&output);
        for extra in value["outcomes"].as_array_mut().into_iter().flatten() {
            for finding in extra["findings"].as_array_mut().into_iter().flatten() {
                // Either none, or both ends.
                let extra = finding["left"]["expected-extra"].take();
                assert!(extra.is_null() || is(&extra["from"], "sum") && is(&extra["to"], "sum"), "{extra}");
            }
        }
        let steps = "fine|mention|book|soon|wait|halt";
        hold(
            &value,
            &json!({
                "purfle": "count", "rulebook": {"name": name, "edition": "2026.1", "seal": "text"}, "read": "count", "done": "count",
                "refused": [refusal()],
                "outcomes": [outcome(steps, "player|teacher|luthier", "pocket|bench|repair|major")]
            }),
        );
        assert_eq!((&value["purfle"], &value["read"], &value["done"]), (&1.into(), &47.into(), &45.into()));
        let outcomes = value["outcomes"].as_array().expect("a list");
        for list in ["findings", "unseen", "not-ruled-out", "looks", "counsel", "aid", "apart", "first"] {
            let filled = outcomes.iter().any(|outcome| outcome[list].as_array().is_some_and(|list| !list.is_empty()));
            assert!(filled, "nothing in the season fills {list}");
        }
    }
}

/// Columns may be added at the end.
#[test]
fn triage_as_csv() {
    let bench = Bench::new();
    bench.write("a.csv", b"record\n1\n");
    let report = out(&bench.purfle(&["triage", "small.purfle", "a.csv", "--as", "csv"]));
    let columns = "record,tag,inspected-on,judged,played,urgency-from,urgency-suspected,urgency-to,due-from,due-to,again,\
        hands-from,hands-to,first,cost-from,cost-to,cost-note,tier-from,tier-to,left-from,left-to,left-note,money,found,\
        suspected,not-ruled-out,unseen,look-next,counsel,aid,quoted,why,carried,source,row,seen-again,judged-by,tag-note";
    assert!(report.starts_with(columns), "{report}");
}

/// Every fault of a refused record, those beyond the ones that are told counted; and the records of last time.
#[test]
fn refusals_and_last_time() {
    let bench = Bench::new();
    let wrong: String = (0..25).map(|at| format!(",\"button.x{at}\":1")).collect();
    bench.write("a.jsonl", format!("{{\"record\":1,\"tag\":\"V1\"{wrong}}}\n{{\"record\":2}}\n").as_bytes());
    bench.write("last.csv", b"record,tag,inspected-on,post.lean\n9,V1,2025-11-20,1\n8,V1,2025-11-20,x\n");
    let value = json(&bench.purfle(&["triage", "small.purfle", "a.jsonl", "--last", "last.csv", "--as", "json"]));
    let mut full = refusal();
    full["more"] = json!([fault()]);
    full["untold"] = "count".into();
    hold(&value["refused"][0], &full);
    assert_eq!((value["refused"][0]["more"].as_array().map(Vec::len), &value["refused"][0]["untold"]), (Some(19), &5.into()));
    hold(&value["last"], &json!({"read": "count", "refused": [refusal()]}));
    assert_eq!((&value["last"]["read"], &value["last"]["refused"][0]["column"]), (&2.into(), &"D".into()));
}

#[test]
fn proof_as_json() {
    let bench = Bench::new();
    let broken =
        crate::bench::SMALL.replace("gap is above", "gpa is above").replace("edition      2026.1\n", "edition      2026.2\n");
    bench.write("small.purfle", broken.as_bytes());
    let house = "rulebook house \"House\"\n  edition 1\n  builds on small edition 2026.1\n";
    bench.write("house.purfle", house.as_bytes());
    let output = bench.purfle(&["proof", "house.purfle", "none.purfle", "--as", "json"]);
    assert_eq!(code(&output), 2, "a file could not be used: {}", out(&output));
    let value = json(&output);
    let place = json!({"line": "count", "column": "count"});
    let edit = json!({"file": "text", "from": place, "to": place, "text": "text"});
    hold(
        &value,
        &json!({
            "purfle": "count",
            "diagnostics": [{
                "slug": "text", "severity": "error|warning", "strict": "flag", "file": "text", "from": place, "to": place, "says": "text",
                "help": "text", "label": "text", "places": [{"file": "text", "from": place, "to": place, "says": "text"}],
                "witness": "?", "witness-before": "?", "witness-words": "text?", "witness-outcome": "text?",
                "fixes": [{"title": "text", "safe": "flag", "edits": [edit]}]
            }],
            "quieted": [{"slug": "text", "file": "text", "from": place, "to": place, "says": "text", "because": "text"}],
            "mended": [{"file": "text", "slug": "text", "title": "text", "at": place}],
            "unmended": [{"file": "text", "why": "text"}],
            "unusable": [{"file": "text", "why": ["text"]}]
        }),
    );
    let diagnostics = value["diagnostics"].as_array().expect("a list");
    let slugs: Vec<&str> = diagnostics.iter().filter_map(|diagnostic| diagnostic["slug"].as_str()).collect();
    assert!(slugs.contains(&"edition-differs"), "{slugs:?}");
    for list in ["places", "fixes"] {
        assert!(diagnostics.iter().any(|one| one[list].as_array().is_some_and(|list| !list.is_empty())), "nothing fills {list}");
    }
    // Lines and columns count from 1: `2026.1` in the third line of the house.
    let edition = diagnostics.iter().find(|one| one["slug"] == "edition-differs").expect("a diagnostic");
    assert_eq!(edition["from"], json!({"line": 3, "column": 27}));
    assert_eq!(edition["to"], json!({"line": 3, "column": 33}));
    assert_eq!(value["unusable"][0]["file"], "none.purfle");
}

#[test]
fn a_fund_shared_out() {
    let bench = Bench::new();
    bench.write("funds.purfle", crate::allot::FUNDS.as_bytes());
    let rows = "record,tag,owner.owns,owner.note,instrument.worth,post.stands,seam.opens,neck.moves\n\
        A-01,V1,school,,,no,no,no\nA-02,V2,family,yes,1000,no,yes,no\nA-03,V3,family,,1000,yes,yes,no\n\
        A-04,V4,family,no,1000,yes,yes,no\nA-05,V5,school,,,yes,yes,maybe so\n";
    bench.write("season.csv", rows.as_bytes());
    let output = bench.purfle(&["allot", "funds.purfle", "season.csv", "--budget", "130", "--as", "json"]);
    assert_eq!(code(&output), 1, "{}", err(&output));
    let ends = json!({"from": "sum", "to": "sum"});
    let way = json!({"finding": "text", "way": "text"});
    let offer = json!({"aid": "text", "ways": [way], "reserved": "sum", "likely": "sum", "cost": ends, "and-more": "flag", "quoted": "flag",
        "family": ends, "left": ends, "saving": "sum"});
    let steps = json!([{"step": "text", "helped": "count"}]);
    let total = |name: &str, shape: &str| {
        let mut total = json!({"helped": "count", "steps": steps, "saving": "sum", "reserved": "sum"});
        total[name] = shape.into();
        total
    };
    let mut rung = total("money", "sum");
    rung["proven"] = "flag".into();
    let shape = json!({"purfle": "count", "rulebook": {"name": "text", "edition": "text", "seal": "text"}, "read": "count", "done": "count",
        "older": "count", "refused": [{"*": "text?"}],
        "money": {"money": "text", "budget": "sum?", "keep": "sum", "to-share": "sum", "reserved": "sum", "likely": "sum",
            "funds": [{"aid": "text", "budget": "sum?", "reserved": "sum", "helped": "count"}]},
        "steps": [{"step": "text", "all": "count", "helped": "count"}], "saving": "sum",
        "proven": {"best": "flag", "more-helped-from": "text?", "more-saved": "sum", "less-spent": "sum"}, "tie": "none|by-record|unsettled",
        "further": {"step": "sum", "width": "five-hundred|a-tenth", "rungs": [rung]}, "orders": [total("order", "by-urgency|as-they-came")]});
    let mut value = json(&output);
    let fields = value.as_object_mut().expect("an object");
    let instruments = fields.remove("instruments").expect("the instruments");
    for record in fields["refused"].as_array_mut().expect("a list") {
        record.as_object_mut().expect("an object").remove("row");
    }
    hold(&value, &shape);
    let mut answers = Vec::new();
    for one in instruments.as_array().expect("a list") {
        let mut one = one.clone();
        let fields = one.as_object_mut().expect("an object");
        let given = fields.remove("given").expect("what is given");
        for offer_of in fields.remove("offers").expect("the offers").as_array().into_iter().flatten().chain(Some(&given)) {
            if !offer_of.is_null() {
                hold(offer_of, &offer);
            }
        }
        let more = fields.remove("more").expect("what more would do");
        if !more.is_null() {
            hold(&more, &json!({"sum": "sum", "exact": "flag", "aid": "text?"}));
        }
        answers.push(one["answer"].as_str().unwrap_or_default().to_owned());
        hold(
            &one,
            &json!({"record": "text", "tag": "text?", "step": "text", "may-pay": "sum?", "missing": ["text"], "looks": ["text"],
            "answer": "helped|elsewhere|open|on-sight|nothing|no-share|refused", "why": [{"aid": "text", "why": "text"}]}),
        );
    }
    answers.sort();
    answers.dedup();
    assert_eq!(answers, ["elsewhere", "helped", "open", "refused"], "each kind is among them");
}
