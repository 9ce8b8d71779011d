//! Explaining: what is said of signs, what decides, turns and settles a finding, where it is written and recorded, and
//! what somebody gets who asks for something else.

use serde_json::Value;

use crate::bench::{Bench, SMALL, code, err, json, out};

/// Three instruments, one of them seen twice.
const SEASON: &str = "record,tag,inspected-on,instrument.kind,instrument.strung,button.gap,button.sits,post.lean,the rest\n\
    AR-001,V1,2026-11-20,viola,yes,0.5,,4,\n\
    AR-002,V2,2026-11-20,violin,yes,0.3,?,,good\n\
    AR-003,V3,2026-11-20,violin,yes,0,straight,,\n\
    AR-004,V1,2026-05-02,viola,yes,,,2,\n";

fn season() -> Bench {
    let bench = Bench::new();
    bench.write("season.csv", SEASON.as_bytes());
    bench
}

/// The trace of one finding of a record of the season.
fn trace(bench: &Bench, record: &str, finding: &str) -> Value {
    let output = bench.purfle(&["trace", "small.purfle", "season.csv", finding, "--of", record, "--as", "json"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    json(&output)["traces"][0].clone()
}

#[test]
fn a_found_finding_is_explained_sign_by_sign() {
    let told = trace(&season(), "AR-001", "button-unseated");
    assert_eq!(told["state"], "found");
    let signs = &told["signs"];
    assert_eq!((&signs["says"], &signs["state"]), (&"one of these, or more".into(), &"met".into()));
    let gap = &signs["inner"][0];
    assert_eq!((&gap["says"], &gap["state"]), (&"gap is above 0.2 mm".into(), &"met".into()));
    let line = SMALL.lines().position(|line| line.contains("gap is above")).expect("the line") + 1;
    assert_eq!((&gap["written"]["file"], &gap["written"]["line"]), (&"small.purfle".into(), &line.into()));
    let read = &gap["reads"][0];
    assert_eq!((&read["look"], &read["how"], &read["value"]), (&"button.gap".into(), &"written".into(), &"0.5 mm".into()));
    assert_eq!((&read["give-or-take"], &read["can-be"]), (&"0.2 mm".into(), &"0.3 to 0.7 mm".into()));
    assert_eq!(read["recorded"], serde_json::json!({"file": "season.csv", "row": 2, "column": "F", "field": "button.gap"}));
    let sits = &signs["inner"][1];
    assert_eq!((&sits["state"], &sits["reads"][0]["how"]), (&"open".into(), &"not looked at".into()));

    let decided = &told["decided-by"];
    assert_eq!(
        (&decided["facts"][0]["look"], &decided["facts"][1], &decided["smallest"]),
        (&"button.gap".into(), &Value::Null, &true.into())
    );
    // Nobody looked how it sits: that has to be straight as well.
    let turn = &told["would-turn"];
    assert_eq!(
        (&turn["to"], &turn["smallest"], turn["ways"].as_array().expect("ways").len()),
        (&"clear".into(), &true.into(), 1)
    );
    let way = &turn["ways"][0];
    assert_eq!(
        (&way[0]["look"], &way[0]["shows"], &way[0]["distance"]),
        (&"button.gap".into(), &"at most 0.2 mm".into(), &"0.3 mm less".into())
    );
    assert_eq!((&way[1]["look"], &way[1]["shows"], &way[1]["unseen"]), (&"button.sits".into(), &"straight".into(), &true.into()));

    let lines = &told["urgency"]["lines"];
    assert_eq!((&lines[0]["step"], &lines[0]["wins"]), (&"book".into(), &"perhaps".into()));
    assert_eq!((&lines[1]["step"], &lines[1]["counts"], &lines[1]["wins"]), (&"halt".into(), &"open".into(), &"perhaps".into()));
    let ways = &told["bench"]["ways"];
    assert_eq!((&ways[0]["way"], &ways[1]["way"]), (&"Refit the button".into(), &"Fit a new button".into()));
    let work = &ways[1]["work"][0];
    assert_eq!(
        (&work["work"], &work["price"], &work["time"]),
        (&"seat-button".into(), &"17.00 to 34.00 USD".into(), &"0.2 to 0.4 h at 85.00 USD an hour".into())
    );
    assert_eq!(ways[1]["goods"][0]["price"], "5.00 to 12.00 USD");
    assert_eq!((&told["bench"]["cost"], &told["bench"]["least-charge"]), (&"40.00 USD".into(), &"40.00 USD".into()));
}

#[test]
fn a_value_within_its_reading_error_is_open_and_one_look_settles_it() {
    let told = trace(&season(), "AR-002", "button-unseated");
    assert_eq!(told["state"], "suspected");
    assert_eq!(told["decided-by"], Value::Null);
    assert_eq!(told["signs"]["inner"][1]["reads"][0]["how"], "could not tell");
    let settle = &told["would-settle"];
    assert_eq!((&settle["whatever"], &settle["smallest"]), (&true.into(), &true.into()));
    assert_eq!(settle["looks"], serde_json::json!(["button.gap", "button.sits"]));
    // The lean is good as all the rest is, and there is no record of last time to compare it with.
    let leans = trace(&season(), "AR-002", "post-leans-more");
    assert_eq!((&leans["state"], &leans["signs"]["state"]), (&"clear".into(), &"neither".into()));
    let reads = &leans["signs"]["reads"];
    assert_eq!(
        (&reads[0]["how"], &reads[0]["value"], &reads[0]["recorded"]["column"]),
        (&"good".into(), &"0 to 2 deg".into(), &"I".into())
    );
    assert_eq!((&reads[1]["how"], &reads[1]["last"]), (&"no earlier record".into(), &true.into()));
}

#[test]
fn the_record_before_is_told_beside_what_is_compared_with_it() {
    let told = trace(&season(), "AR-001", "post-leans-more");
    assert_eq!((&told["state"], &told["signs"]["says"]), (&"found".into(), &"lean is above last lean + 1 deg".into()));
    let reads = &told["signs"]["reads"];
    assert_eq!((&reads[0]["value"], &reads[1]["value"], &reads[1]["last"]), (&"4 deg".into(), &"2 deg".into(), &true.into()));
    let turned = &told["would-turn"]["ways"][0][0];
    assert_eq!((&turned["shows"], &turned["distance"]), (&"at most 3 deg".into(), &"1 deg less".into()));
}

/// What no look of a record decides may hang on the record before all the same.
#[test]
fn what_is_clear_for_want_of_a_record_before_is_not_said_to_be_clear_whatever_there_is() {
    let bench = season();
    let told = |of: &str| out(&bench.purfle(&["trace", "small.purfle", "season.csv", "post-leans-more", "--of", of]));
    let words = told("AR-002").split_whitespace().collect::<Vec<_>>().join(" ");
    let wanted = "It is clear whatever a record says that has this one's date and this one's record before, if there is one.";
    assert!(words.contains(wanted), "{words}");
    assert!(!told("AR-001").contains("whatever a record says"), "with a record before it is found");
}

#[test]
fn a_clear_finding_is_decided_by_all_that_rules_it_out_and_the_nearest_sign_would_turn_it() {
    let told = trace(&season(), "AR-003", "button-unseated");
    assert_eq!((&told["state"], &told["urgency"]["from"]), (&"clear".into(), &Value::Null));
    let facts: Vec<&str> =
        told["decided-by"]["facts"].as_array().expect("facts").iter().filter_map(|fact| fact["look"].as_str()).collect();
    assert_eq!(facts, ["button.gap", "button.sits"]);
    let ways = told["would-turn"]["ways"].as_array().expect("ways");
    assert_eq!(ways.len(), 2);
    assert_eq!((&ways[0][0]["shows"], &ways[0][0]["distance"]), (&"above 0.2 mm".into(), &"over 0.2 mm more".into()));
    assert_eq!(ways[1][0]["shows"], "crooked");
}

#[test]
fn the_whole_outcome_is_explained_in_short() {
    let bench = season();
    let output = bench.purfle(&["trace", "small.purfle", "season.csv", "--of", "AR-001"]);
    assert_eq!((code(&output), err(&output).as_str()), (0, ""));
    let report = out(&output);
    assert!(report.lines().all(|line| line.chars().count() <= 80 && !line.contains('\u{1b}')), "{report}");
    insta::assert_snapshot!(report);
    let value = json(&bench.purfle(&["trace", "small.purfle", "season.csv", "--of", "V3", "--as", "json"]));
    assert_eq!((&value["purfle"], &value["outcome"]["played"], &value["findings"]), (&1.into(), &"yes".into(), &Value::Null));
}

/// A piece that stands apart, and what forbids its use.
const BOW: &str = "
part bow \"The bow\" apart
  look head  \"How is its head?\"  one of sound, cracked
    good  sound

finding bow-head-cracked \"The head of the bow is cracked\"
  on       bow
  signs    head is cracked
  urgency  halt
  hands    luthier
  cost     on sight
  basis    \"common practice\"
";

#[test]
fn a_piece_that_stands_apart_is_explained_beside_the_instrument() {
    let bench = Bench::new();
    bench.write("bow.purfle", format!("{SMALL}{BOW}").as_bytes());
    let told = |record: &str| {
        let outcome = bench.purfle_with(&["trace", "bow.purfle", "-", "--as", "json"], record);
        json(&outcome)["outcome"].clone()
    };
    let cracked = told(r#"{"record": "1", "button": "good", "bow": {"head": "cracked"}}"#);
    assert_eq!(cracked["played"], "yes");
    let bow = |played: &str| serde_json::json!([{"part": "bow", "words": "The bow", "played": played, "by": "bow-head-cracked"}]);
    assert_eq!(cracked["apart"], bow("no"));
    assert_eq!(told(r#"{"record": "2", "button": "good"}"#)["apart"], bow("open"));
    assert_eq!(told(r#"{"record": "3", "the rest": "good"}"#)["apart"], serde_json::json!([]));
}

#[test]
fn one_finding_is_explained_in_sentences() {
    let report = out(&season().purfle(&["trace", "small.purfle", "season.csv", "button-unseated", "--of", "AR-001"]));
    assert!(report.lines().all(|line| line.chars().count() <= 80 && !line.contains('\u{1b}')), "{report}");
    insta::assert_snapshot!(report);
}

#[test]
fn the_change_of_a_house_is_told_with_its_reason() {
    let bench = season();
    bench.write(
        "house.purfle",
        b"rulebook house \"House\"\n  edition      1\n  money        USD\n  builds on    small edition 2026.1\n\n\
        alter finding button-unseated because \"A third of a millimetre has never moved here.\"\n  signs  gap is above 0.6 mm\n\n\
        alter hand luthier 100 USD per h because \"Our bench rate.\"\n",
    );
    let output = bench.purfle(&["trace", "house.purfle", "season.csv", "button-unseated", "--of", "AR-001", "--as", "json"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let told = &json(&output)["traces"][0];
    assert_eq!(
        (&told["state"], &told["written"]["file"], &told["signs"]["written"]["file"]),
        (&"suspected".into(), &"small.purfle".into(), &"house.purfle".into())
    );
    assert_eq!(told["changes"][0]["because"], "A third of a millimetre has never moved here.");
    assert_eq!((&told["changes"][0]["what"], &told["changes"][0]["written"]["line"]), (&serde_json::json!(["signs"]), &6.into()));
    let work = &told["bench"]["ways"][0]["work"][0];
    assert_eq!(
        (&work["time"], &work["changes"][0]["because"]),
        (&"0.2 to 0.4 h at 100.00 USD an hour".into(), &"Our bench rate.".into())
    );
}

#[test]
fn whoever_asks_for_something_else_is_told_what_there_is() {
    let bench = season();
    let asked = |arguments: &[&str]| {
        let output = bench.purfle(&[&["trace", "small.purfle"], arguments].concat());
        (code(&output), out(&output), err(&output))
    };
    for (arguments, words) in [
        (&["season.csv"][..], "it holds 4 records; say which one with --of MARK: AR-001, V1, AR-002"),
        (&["season.csv", "--of", "AR-01"], "no record and no instrument bears the mark `AR-01`. Did you mean `AR-001`?"),
        (&["season.csv", "--of", "V1"], "several records bear the mark `V1`; name one by its own: AR-001, AR-004"),
        (
            &["season.csv", "buton-unseated", "--of", "V2"],
            "no finding, counsel or fund `buton-unseated`. Did you mean `button-unseated`?",
        ),
        (&["season.csv", "button-unseated@E", "--of", "V2"], "leave out `@E`"),
        (&["nowhere.csv"], "there is no such file"),
    ] {
        let (code, out, err) = asked(arguments);
        assert_eq!((code, out.as_str()), (2, ""), "{arguments:?}: {err}");
        assert!(err.contains(words), "{arguments:?}: {err}");
    }
    bench.write("bad.json", br#"{"record": "AR-009", "button": {"gap": "45 mm"}}"#);
    let (code, out, err) = asked(&["bad.json"]);
    assert_eq!((code, out.as_str()), (1, ""));
    assert!(err.contains("button.gap = 45 mm") && err.contains("allowed: 0 to 8"), "{err}");
    bench.write("faulty.purfle", SMALL.replace("crooked, pulling-out\n  urgency", "crooked, puling-out\n  urgency").as_bytes());
    let output = bench.purfle(&["trace", "faulty.purfle", "season.csv"]);
    assert_eq!(crate::bench::code(&output), 1);
}

#[test]
fn one_record_by_the_standard_input_needs_no_mark() {
    let bench = Bench::new();
    let record = r#"{"record": "AR-009", "button": {"sits": "pulling-out"}, "instrument": {"strung": true}}"#;
    let output = bench.purfle_with(&["trace", "small.purfle", "-", "button-unseated", "--as", "json"], record);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let told = &json(&output)["traces"][0];
    assert_eq!((&told["state"], &told["urgency"]["from"]["step"]), (&"found".into(), &"halt".into()));
    assert_eq!(told["signs"]["inner"][1]["reads"][0]["recorded"]["field"], "button.sits");
    let lines = &told["urgency"]["lines"];
    assert_eq!((&lines[0]["wins"], &lines[1]["wins"]), (&"no".into(), &"yes".into()));
}

#[test]
fn how_soon_names_the_piece_that_stands_apart() {
    let bench = Bench::new();
    bench.write("bow.purfle", format!("{SMALL}{BOW}").as_bytes());
    let told = |record: &str| {
        let outcome = bench.purfle_with(&["trace", "bow.purfle", "-", "--as", "json"], record);
        json(&outcome)["outcome"]["urgency-by"].clone()
    };
    assert_eq!(
        told(r#"{"record": "1", "the rest": "good", "bow": {"head": "cracked"}}"#),
        serde_json::json!([
            "The bow, which stands apart, is at least `halt` by bow-head-cracked.",
            "Nothing found on the instrument itself makes it more urgent than the mildest step."
        ])
    );
    let open = told(r#"{"record": "2", "button": "good"}"#);
    let open: Vec<&str> = open.as_array().into_iter().flatten().filter_map(|line| line.as_str()).collect();
    assert!(open.iter().any(|line| line.starts_with("The bow, which stands apart, may be `halt`")), "{open:?}");
}

/// A counsel that reads what the work comes to, one that does not, and a fund.
const ADVICE: &str = "
context holder \"The holder\"
  look owns   \"Whose is it?\"                one of school, family
  look note   \"Is there a teacher's note?\"  yes or no

counsel dear \"It costs a good deal\"
  when     total cost is above 1 USD
  tell     \"Ask for a second price.\"
  basis    \"common practice\"

counsel shared \"It is the school's\"
  when     holder.owns is school
  tell     \"Tell the school.\"
  basis    \"common practice\"

aid families \"For families\"
  for      holder.owns is family
  covers   above 0 USD
  pays     100 %
  needs    holder.note
";

#[test]
fn counsels_and_funds_say_why() {
    let bench = Bench::new();
    bench.write("advice.purfle", format!("{SMALL}{ADVICE}").as_bytes());
    let told = |record: &str, form: &[&str]| {
        let outcome = bench.purfle_with(&[&["trace", "advice.purfle", "-"], form].concat(), record);
        assert_eq!(code(&outcome), 0, "{}", err(&outcome));
        outcome
    };
    let school = r#"{"record": "1", "the rest": "good", "quoted": "90 USD", "holder": {"owns": "school"}}"#;
    let value = json(&told(school, &["--as", "json"]))["outcome"].clone();
    let counsel = |name: &str| {
        let mut all = value["counsel"].as_array().expect("a list").iter();
        all.find(|one| one["counsel"] == name).unwrap_or_else(|| panic!("{name}: {value}"))
    };
    let (dear, shared) = (counsel("dear"), counsel("shared"));
    assert_eq!((&dear["state"], &dear["when"]["totals"]), (&"found".into(), &true.into()));
    assert_eq!((&dear["when"]["condition"]["state"], &dear["when"]["decided-by"]), (&"met".into(), &Value::Null));
    assert_eq!(shared["when"]["totals"], false);
    let facts = shared["when"]["decided-by"]["facts"].as_array().expect("facts");
    assert_eq!(facts.iter().map(|fact| &fact["look"]).collect::<Vec<_>>(), ["holder.owns"]);
    let fund = &value["aid"][0];
    assert_eq!((&fund["state"], &fund["for"]["condition"]["state"]), (&"refused".into(), &"not met".into()));
    assert_eq!(fund["by"][0], "It does not pay: it is for other owners or schools.");
    assert_eq!((&fund["needs"][0]["look"], &fund["needs"][0]["how"]), (&"holder.note".into(), &"not looked at".into()));
    let words = out(&told(school, &[]));
    for line in [
        "  * It costs a good deal [dear]",
        "    It hangs on all that was found. The work comes to 90.00 USD, the shop's own",
        "    Whatever else there is to see, it is not for this instrument already by\n    this:\n    - holder.owns is school",
        "    - holder.note: not looked at",
    ] {
        assert!(words.contains(line), "{line}\n{words}");
    }
}

/// A counsel and a fund of one name, which a finding bears as well.
const SAME_NAMES: &str = "
counsel button-unseated \"The button again\"
  when     holder.owns is school
  tell     \"Tell the school.\"
  basis    \"common practice\"

aid button-unseated \"For buttons\"
  covers   above 0 USD
  pays     100 %
";

#[test]
fn a_counsel_or_a_fund_is_explained_by_its_name() {
    let bench = Bench::new();
    bench.write("advice.purfle", format!("{SMALL}{ADVICE}{SAME_NAMES}").as_bytes());
    let school = r#"{"record": "1", "the rest": "good", "quoted": "90 USD", "holder": {"owns": "school"}}"#;
    let asked = |name: &str, record: &str, form: &[&str]| {
        bench.purfle_with(&[&["trace", "advice.purfle", "-", name], form].concat(), record)
    };
    let told = |name: &str, record: &str| {
        let output = asked(name, record, &["--as", "json"]);
        assert_eq!(code(&output), 0, "{}", err(&output));
        json(&output)
    };
    // One by itself says what it says beside the whole outcome.
    let whole = json(&bench.purfle_with(&["trace", "advice.purfle", "-", "--as", "json"], school))["outcome"].clone();
    for (key, name, of) in [("counsel", "dear", "counsel"), ("counsel", "shared", "counsel"), ("aid", "families", "aid")] {
        let value = told(name, school);
        let mut all = whole[key].as_array().expect("a list").iter();
        assert_eq!(all.find(|one| one[of] == name), Some(&value[key]), "{name}");
        assert_eq!((&value["outcome"], &value["traces"]), (&Value::Null, &Value::Null));
    }
    // One that is not given says why not, and by what.
    let family = r#"{"record": "2", "the rest": "good", "holder": {"owns": "family"}}"#;
    let shared = told("shared", family)["counsel"].clone();
    assert_eq!((&shared["state"], &shared["when"]["condition"]["state"]), (&"clear".into(), &"not met".into()));
    assert_eq!(shared["when"]["decided-by"]["facts"][0]["look"], "holder.owns");
    let line = ADVICE.lines().position(|line| line.starts_with("counsel shared")).expect("a line");
    assert_eq!(shared["written"]["line"], SMALL.lines().count() + 1 + line);
    assert_eq!(told("shared", r#"{"record": "3"}"#)["counsel"]["state"], "open");
    for (name, record, lines) in [
        (
            "shared",
            family,
            &["NOT GIVEN.", "When it is given", "  not met  holder.owns is school", "it is not given already by this:"][..],
        ),
        ("dear", school, &["GIVEN.", "It hangs on all that was found. The work comes to 90.00 USD"]),
        (
            "families",
            school,
            &["IT DOES NOT PAY.", "Whom it is for", "it is not for this instrument already", "What it needs\n  - holder.note"],
        ),
    ] {
        let words = out(&asked(name, record, &[]));
        for line in lines {
            assert!(words.contains(line), "{line}\n{words}");
        }
        assert!(words.lines().all(|line| line.chars().count() <= 80), "{words}");
    }
    // A word before the name says which of several is meant; only a finding has places.
    assert_eq!(told("counsel button-unseated", school)["counsel"]["words"], "The button again");
    assert_eq!(told("aid button-unseated", school)["aid"]["state"], "refused");
    assert_eq!(told("finding button-unseated", school)["traces"][0]["state"], "clear");
    for (name, words) in [
        (
            "button-unseated",
            "`button-unseated` is a finding, a counsel and a fund of the rulebook; say which: \"finding button-unseated\", \
             \"counsel button-unseated\" or \"aid button-unseated\"",
        ),
        ("dear@E", "`dear` is a counsel, which has no places; leave out `@E`"),
        ("familes", "no finding, counsel or fund `familes`. Did you mean `families`?"),
        ("counsel shard", "no counsel `shard`. Did you mean `shared`?"),
        ("aid dear", "no fund `dear`. Did you mean `counsel dear`?"),
    ] {
        let output = asked(name, school, &[]);
        assert_eq!((code(&output), out(&output).as_str()), (2, ""), "{name}");
        assert!(err(&output).contains(words), "{name}: {}", err(&output));
    }
}
