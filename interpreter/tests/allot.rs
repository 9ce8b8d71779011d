//! Sharing out a fund as it is typed: sums worked out by hand, what is refused and why, and what bad command lines get.

use serde_json::Value;

use crate::bench::{Bench, code, err, json, out};

/// Two funds: the school's pays all, the families' half, no less than 25 USD left to the family and no more than 150 USD.
pub const FUNDS: &str = include_str!("funds.purfle");

/// A season of a school and its families.
pub const SEASON: &str = "\
    record,tag,inspected-on,owner.owns,owner.pupil,owner.note,instrument.worth,post.stands,seam.opens,neck.moves,shelf\n\
    A-01,V1,2026-11-20,school,,,,no,no,no,top\n\
    A-02,V2,2026-11-20,school,,,,yes,yes,no,\n\
    A-03,V3,2026-11-20,family,Wren Example,yes,1000,no,no,no,\n\
    A-04,V4,2026-11-20,family,,yes,1000,yes,yes,no,\n\
    A-05,V5,2026-11-20,family,,,1000,yes,yes,no,\n\
    A-06,V6,2026-11-20,family,,no,1000,yes,yes,no,\n\
    A-07,V7,2026-11-20,school,,,,yes,no,no,\n\
    A-08,V8,2026-11-20,school,,,,yes,no,yes,\n\
    A-09,V9,2026-11-20,school,,,,no,yes,no,\n\
    A-10,V1,2026-10-01,school,,,,yes,yes,no,\n";

fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("funds.purfle", FUNDS.as_bytes());
    bench.write("season.csv", SEASON.as_bytes());
    bench
}

fn shared(bench: &Bench, more: &[&str]) -> Value {
    let output = bench.purfle(&[&["allot", "funds.purfle", "season.csv", "--as", "json"], more].concat());
    assert_eq!(code(&output), 0, "{}", err(&output));
    json(&output)
}

/// Who is helped, each with what is reserved and by which way.
fn given(value: &Value) -> Vec<(String, String, Option<String>)> {
    let instruments = value["instruments"].as_array().expect("a list");
    let text = |value: &Value| value.as_str().expect("a text").to_owned();
    let helped = instruments.iter().filter(|one| one["answer"] == "helped");
    helped
        .map(|one| {
            let given = &one["given"];
            let way = given["ways"][0]["way"].as_str().map(ToOwned::to_owned);
            (text(&one["record"]), text(&given["reserved"]), way)
        })
        .collect()
}

fn list(given: &[(&str, &str, Option<&str>)]) -> Vec<(String, String, Option<String>)> {
    given.iter().map(|(record, sum, way)| ((*record).to_owned(), (*sum).to_owned(), way.map(ToOwned::to_owned))).collect()
}

fn of<'a>(value: &'a Value, record: &str) -> &'a Value {
    let mut instruments = value["instruments"].as_array().expect("a list").iter();
    instruments.find(|one| one["record"] == record).expect("the record")
}

#[test]
fn enough_money_helps_everybody_that_a_fund_is_surely_for() {
    let bench = bench();
    let value = shared(&bench, &["--budget", "5000"]);
    // A post takes 60 to 120 USD, and left it takes a top of 400 USD besides; a seam 200 USD, or 80 USD where it is.
    let clamp = Some("clamp");
    let expected = [
        ("A-01", "120.00", None),
        ("A-02", "80.00", clamp),
        ("A-03", "60.00", None),
        ("A-04", "40.00", clamp),
        ("A-09", "200.00", clamp),
    ];
    assert_eq!(given(&value), list(&expected));
    assert_eq!((&value["saving"], &value["money"]["reserved"]), (&"2700.00".into(), &"500.00".into()));
    // At the least: 60, 80, 30, 40, 140.
    assert_eq!(value["money"]["likely"], "350.00");
    assert_eq!((&value["read"], &value["done"], &value["older"]), (&10.into(), &10.into(), &1.into()));
    let family = &of(&value, "A-03")["given"]["family"];
    assert_eq!((&family["from"], &family["to"]), (&"30.00".into(), &"60.00".into()));
    assert_eq!(value["proven"]["best"], true);

    let textbook = shared(&bench, &["--budget", "5000", "--textbook"]);
    let expected = [
        ("A-01", "120.00", None),
        ("A-02", "200.00", None),
        ("A-03", "60.00", None),
        ("A-04", "100.00", None),
        ("A-09", "320.00", None),
    ];
    assert_eq!(given(&textbook), list(&expected));
    assert_eq!(textbook["saving"], "2700.00");
}

#[test]
fn those_without_money_are_told_why_and_what_would_help() {
    let value = shared(&bench(), &["--budget", "5000"]);
    let open = of(&value, "A-05");
    assert_eq!((&open["answer"], &open["missing"]), (&"open".into(), &serde_json::json!(["owner.note"])));
    assert_eq!(open["may-pay"], "100.00");
    let refused = of(&value, "A-06");
    assert_eq!(refused["answer"], "refused");
    let why: Vec<&str> = refused["why"].as_array().expect("a list").iter().filter_map(|why| why["why"].as_str()).collect();
    assert_eq!(why, ["it is for other owners or schools", "something that it needs was answered with no"]);
    assert_eq!(of(&value, "A-07")["answer"], "nothing");
    // Nobody knows what a loose neck costs, and it may be more than what the school's fund asks for.
    assert_eq!(of(&value, "A-08")["answer"], "on-sight");
    // A-10 is an older inspection of V1.
    assert!(value["instruments"].as_array().expect("a list").iter().all(|one| one["record"] != "A-10"));
}

#[test]
fn the_gravest_come_first_and_more_money_is_told_to_the_cent() {
    let bench = bench();
    let value = shared(&bench, &["--budget", "300"]);
    // Two of the three that must not be played, for 180 USD; the third would take 200 USD. Then both open seams.
    let clamp = Some("clamp");
    let expected = [("A-01", "120.00", None), ("A-02", "80.00", clamp), ("A-03", "60.00", None), ("A-04", "40.00", clamp)];
    assert_eq!(given(&value), list(&expected));
    let missed = of(&value, "A-09");
    // With 380 USD all three can be helped.
    assert_eq!(
        (&missed["answer"], &missed["more"]["sum"], &missed["more"]["exact"]),
        (&"elsewhere".into(), &"80.00".into(), &true.into())
    );
    let steps: Vec<(&str, u64, u64)> = value["steps"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|step| {
            (step["step"].as_str().unwrap_or_default(), step["all"].as_u64().unwrap_or(9), step["helped"].as_u64().unwrap_or(9))
        })
        .collect();
    assert_eq!(steps, [("halt", 3, 2), ("book", 2, 2), ("fine", 0, 0)]);
    // Down the list: 120 and 60, 320 is too much, 200 too, then 100 of the textbook's.
    for order in value["orders"].as_array().expect("a list") {
        assert_eq!((&order["helped"], &order["saving"], &order["reserved"]), (&3.into(), &"1300.00".into(), &"280.00".into()));
    }
    let less = shared(&bench, &["--budget", "200 USD"]);
    assert_eq!(given(&less), list(&[("A-01", "120.00", None), ("A-03", "60.00", None)]));
    let more = |record: &str| of(&less, record)["more"]["sum"].as_str().map(ToOwned::to_owned);
    assert_eq!(["A-02", "A-04", "A-09"].map(more), ["100.00", "20.00", "180.00"].map(|sum| Some(sum.to_owned())));
    // What is kept for later is taken off first.
    assert_eq!(given(&shared(&bench, &["--budget", "1000", "--keep", "800"])), given(&less));
}

#[test]
fn each_fund_may_have_its_own_money() {
    let bench = bench();
    let value = shared(&bench, &["--budget", "school-fund=200", "--budget", "family-fund=50"]);
    let clamp = Some("clamp");
    assert_eq!(given(&value), list(&[("A-01", "120.00", None), ("A-02", "80.00", clamp), ("A-04", "40.00", clamp)]));
    let missed = of(&value, "A-03");
    assert_eq!((&missed["more"]["sum"], &missed["more"]["aid"]), (&"10.00".into(), &"family-fund".into()));
    // A fund that is not named has nothing.
    let value = shared(&bench, &["--budget", "school-fund=200"]);
    assert_eq!(given(&value), list(&[("A-01", "120.00", None), ("A-02", "80.00", clamp)]));
    // Both together: 150 USD for all, and no more than 50 USD of it for families.
    let value = shared(&bench, &["--budget", "150", "--budget", "family-fund=50"]);
    assert_eq!(given(&value), list(&[("A-01", "120.00", None)]));
}

#[test]
fn a_price_that_the_shop_has_named_counts() {
    let bench = bench();
    bench.write(
        "quoted.csv",
        b"record,owner.owns,post.stands,seam.opens,neck.moves,quoted\nB-1,school,yes,yes,no,150\nB-2,school,yes,yes,yes,\n",
    );
    let value = json(&bench.purfle(&["allot", "funds.purfle", "quoted.csv", "--as", "json", "--budget", "5000"]));
    // The open seam: 150 USD now by the shop, where 200 was worked out; left it takes 500 more. The other has a loose neck besides: what that costs is known only on
    // sight, and the school's fund has no cap that could be reserved.
    assert_eq!(given(&value), list(&[("B-1", "150.00", None)]));
    assert_eq!(of(&value, "B-1")["given"]["saving"], "500.00");
    assert_eq!(of(&value, "B-2")["answer"], "on-sight");
}

#[test]
fn prices_too_large_to_be_added_up_are_refused_and_the_others_shared_out() {
    let bench = bench();
    for price in ["10000000000.01", "60000000000000000", "90000000000000000", "9000000000000000000"] {
        let row = |mark: &str, price: &str| format!("{mark},school,yes,yes,no,{price}\n");
        let heading = "record,owner.owns,post.stands,seam.opens,neck.moves,quoted\n";
        let rows = [row("B-1", price), row("B-2", price), row("B-3", price), row("B-4", "150")].concat();
        bench.write("dear.csv", format!("{heading}{rows}").as_bytes());
        let output = bench.purfle(&["allot", "funds.purfle", "dear.csv", "--as", "json", "--budget", "5000"]);
        assert_eq!(code(&output), 1, "{price}: {}", err(&output));
        let value = json(&output);
        assert_eq!(given(&value), list(&[("B-4", "150.00", None)]), "{price}");
        let refused = value["refused"].as_array().expect("a list");
        assert_eq!(refused.len(), 3, "{price}: {refused:?}");
        for (refused, (record, row)) in refused.iter().zip([("B-1", 2), ("B-2", 3), ("B-3", 4)]) {
            assert_eq!((&refused["record"], &refused["row"]), (&record.into(), &row.into()), "{price}: {refused}");
            let told = refused.to_string();
            assert!(told.contains("quoted") && told.contains("up to 10000000000 USD"), "{price}: {told}");
        }
    }
}

#[test]
fn the_report_for_people() {
    let bench = bench();
    let output = bench.purfle(&["allot", "funds.purfle", "season.csv", "--budget", "300"]);
    let report = out(&output);
    assert!(report.lines().all(|line| line.chars().count() <= 80 && !line.contains('\u{1b}')), "{report}");
    insta::assert_snapshot!(report);
    let rows = out(&bench.purfle(&["allot", "funds.purfle", "season.csv", "--budget", "300", "--as", "csv"]));
    assert_eq!(rows.lines().count(), 10, "{rows}");
    assert!(rows.lines().any(|row| row.starts_with("A-09,V9,halt,elsewhere,,,,,,,,80.00,")), "{rows}");
}

#[test]
fn names_are_left_out() {
    let bench = bench();
    bench.write("wrong.csv", b"record,owner.owns,owner.pupil,shelf,seam.opens\nC-1,school,Wren Example,Robin's shelf,maybe so\n");
    for form in ["terminal", "json", "csv", "html"] {
        let arguments =
            ["allot", "funds.purfle", "season.csv", "wrong.csv", "--budget", "300", "--without", "names", "--as", form];
        let output = bench.purfle(&arguments);
        assert_eq!(code(&output), 1, "{form}: a record is refused");
        let report = out(&output);
        assert!(!report.contains("Wren") && !report.contains("Robin"), "{form}: {report}");
    }
}

#[test]
fn bad_sums_are_told_with_what_to_write() {
    let bench = bench();
    for (arguments, words) in [
        (&["--budget", "school-fnud=100"][..], "the nearest is `school-fund`"),
        (&["--budget", "wood=100"], "its funds: school-fund, family-fund"),
        (&["--budget", "-5"], "never below nought"),
        (&["--budget", "5000 EUR"], "USD"),
        (&["--budget", "10.005"], "USD has 2 decimal places"),
        (&["--budget", "lots"], "allowed: a sum such as 240 USD"),
        (&["--budget", "100", "--budget", "200"], "it is given twice"),
        (&["--budget", "100", "--keep", "200"], "more than there is to spend"),
        (&["--budget", "school-fund=100", "--keep", "20"], "give that with --budget MONEY"),
        (&["--budget", "99999999999999"], "more than can be shared out exactly"),
    ] {
        let output = bench.purfle(&[&["allot", "funds.purfle", "season.csv"], arguments].concat());
        assert_eq!(code(&output), 2, "{arguments:?}");
        assert!(err(&output).contains(words), "{arguments:?}: {}", err(&output));
        assert_eq!(out(&output), "", "{arguments:?}");
    }
    let output = bench.purfle(&["allot", "small.purfle", "season.csv", "--budget", "100"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("no repair fund"), "{}", err(&output));
}

#[test]
fn twelve_instruments_ask_the_fund_of_the_standard_rulebook() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join("rulebooks");
    let rulebook = root.join("first-look.purfle").display().to_string();
    let bench = Bench::new();
    bench.write("fund.csv", include_bytes!("fund.csv"));
    let records = "fund.csv";
    let value = json(&bench.purfle(&["allot", &rulebook, records, "--budget", "700", "--as", "json"]));
    // The four that must not be played take 191.25, 127.50, 127.50 and 325.12 USD, together 71.37 USD more than there is.
    let glue = Some("glue");
    assert_eq!(given(&value), list(&[("FR-02", "191.25", glue), ("FR-04", "127.50", glue), ("FR-05", "127.50", glue)]));
    assert_eq!(of(&value, "FR-01")["more"]["sum"], "71.37");
    // Then the one that the shop has priced: three quarters of 640 USD.
    assert_eq!(of(&value, "FR-11")["offers"][0]["reserved"], "480.00");
    for (record, answer) in [("FR-03", "open"), ("FR-06", "open"), ("FR-08", "refused"), ("FR-10", "nothing")] {
        assert_eq!(of(&value, record)["answer"], answer, "{record}");
    }
    assert_eq!(of(&value, "FR-06")["missing"], serde_json::json!(["owner.teacher-note"]));
}

/// The season of the demo, and that the plan beats the simpler orders there.
#[test]
fn a_plan_for_the_season_helps_more_than_simpler_orders() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join("rulebooks");
    let shipped = |name: &str| root.join(name).display().to_string();
    let (rulebook, records) = (shipped("first-look.purfle"), shipped("demo/records.csv"));
    let bench = Bench::new();
    let report = out(&bench.purfle(&["allot", &rulebook, &records, "--budget", "900"]));
    // Of 600.00, 153.75, 390.00, 457.50 and 180.00 USD for the gravest, the three least are 723.75 USD; the one of the step
    // below takes 172.50 USD, together 896.25 USD.
    for line in [
        "This plan                helps 3 + 1 + 0 = 4",
        "saves 1691.00 USD, reserves 896.25 USD",
        "Down the order of work   helps 2 + 0 + 0 = 2",
        "First come, first served helps 1 + 1 + 0 = 2",
    ] {
        assert!(report.contains(line), "{line}: {report}");
    }
}

#[test]
fn two_findings_are_both_mended_otherwise_where_that_is_what_the_money_buys() {
    let bench = bench();
    let post = "  work     post-set\n  left     becomes top-cracked\n  basis    \"common practice\"\n";
    let ways = "  left     becomes top-cracked\n  basis    \"common practice\"\n  way set \"Set it anew\"\n    work   post-set\n  \
        way wedge \"Wedge it for now\"\n    work   post-wedge\n";
    let work = "work top-mend ";
    let funds = FUNDS.replace(post, ways).replace(work, &format!("work post-wedge \"Wedge a post\"  30 USD  once\n{work}"));
    assert!(funds.contains("way wedge") && funds.contains("work post-wedge"));
    bench.write("funds.purfle", funds.as_bytes());
    let (heading, _) = SEASON.split_once('\n').expect("the heading");
    bench.write("season.csv", format!("{heading}\nB-01,V1,2026-11-20,school,,,,no,yes,no,\n").as_bytes());
    let taken = |budget: &str| {
        let value = shared(&bench, &["--budget", budget]);
        let given = &of(&value, "B-01")["given"];
        let ways = given["ways"]
            .as_array()
            .map(|ways| ways.iter().map(|way| way["way"].as_str().unwrap_or_default().to_owned()).collect::<Vec<_>>().join("+"));
        (given["reserved"].as_str().map(ToOwned::to_owned), ways)
    };
    // The school's fund pays all of it: two hours at 60 USD or 30 USD, and 200 USD or 80 USD.
    let told = |reserved: &str, ways: &str| (Some(reserved.to_owned()), Some(ways.to_owned()));
    assert_eq!(taken("109.99"), (None, None));
    assert_eq!(taken("110"), told("110.00", "wedge+clamp"));
    assert_eq!(taken("1000").0.as_deref(), Some("110.00"), "nothing else saves more");
    let all = shared(&bench, &["--budget", "1000"]);
    let offers: Vec<&str> =
        of(&all, "B-01")["offers"].as_array().into_iter().flatten().filter_map(|offer| offer["reserved"].as_str()).collect();
    assert_eq!(offers, ["320.00", "230.00", "200.00", "110.00"]);
}

#[test]
fn steps_of_five_hundred_stand_around_the_money_there_is() {
    let bench = bench();
    let money = |value: &Value| -> Vec<String> {
        let rungs = value["further"]["rungs"].as_array().expect("a list");
        rungs.iter().map(|rung| rung["money"].as_str().unwrap_or_default().to_owned()).collect()
    };
    let value = shared(&bench, &["--budget", "1200"]);
    assert_eq!((&value["further"]["step"], &value["further"]["width"]), (&"500.00".into(), &"five-hundred".into()));
    assert_eq!(money(&value)[..4], ["200.00", "700.00", "1200.00", "1700.00"]);
    // What there is buys what the plan says.
    assert_eq!(value["further"]["rungs"][2]["reserved"], value["money"]["reserved"]);
    let value = shared(&bench, &["--budget", "130"]);
    assert_eq!((&value["further"]["step"], &value["further"]["width"]), (&"20.00".into(), &"a-tenth".into()));
    assert_eq!(money(&value)[..3], ["10.00", "30.00", "50.00"]);
    let told = out(&bench.purfle(&["allot", "funds.purfle", "season.csv", "--budget", "130"]));
    assert!(told.contains("There is less than 500.00 USD, so a step is about a tenth of what there is."), "{told}");
}

#[test]
fn a_dearer_way_saves_nothing_by_being_dear() {
    let bench = bench();
    let dear = FUNDS.replace("    work   seam-clamp\n", "    goods  \"A new back\"  900 USD\n");
    assert_ne!(dear, FUNDS);
    bench.write("dear.purfle", dear.as_bytes());
    bench.write("dear.csv", b"record,owner.owns,post.stands,seam.opens,neck.moves,quoted\nB-1,school,yes,yes,no,\n");
    let value = json(&bench.purfle(&["allot", "dear.purfle", "dear.csv", "--as", "json", "--budget", "5000"]));
    assert_eq!(given(&value), list(&[("B-1", "200.00", None)]));
    let offers = of(&value, "B-1")["offers"].as_array().expect("a list");
    let said: Vec<_> = offers.iter().map(|offer| (offer["reserved"].as_str(), offer["saving"].as_str())).collect();
    assert_eq!(said, [(Some("200.00"), Some("500.00")), (Some("900.00"), Some("0.00"))]);
}

#[test]
fn a_worth_too_great_to_be_reckoned_with_bounds_nothing() {
    let bench = bench();
    let great = FUNDS
        .replace("priced from 0 to 10000 USD", "priced from 0 to 999999999999999999 USD")
        .replace("beyond 50 %", "beyond 66.6666666667 %")
        .replace("pays    50 %", "pays    33.3333333333 %");
    assert!(["999999999999999999", "66.6666666667", "33.3333333333"].iter().all(|number| great.contains(number)), "{great}");
    bench.write("great.purfle", great.as_bytes());
    let records = "record,owner.owns,owner.note,instrument.worth,post.stands,seam.opens,neck.moves,quoted\n\
                   B-1,family,yes,,yes,no,yes,\nB-2,family,yes,999999999999999999,yes,no,yes,999999999999999999\n";
    bench.write("great.csv", records.as_bytes());
    let value = json(&bench.purfle(&["triage", "great.purfle", "great.csv", "--as", "json"]));
    let pays = |at: usize| {
        let aids = value["outcomes"][at]["aid"].as_array().expect("a list");
        let fund = aids.iter().find(|aid| aid["aid"] == "family-fund").expect("the fund");
        (fund["state"].as_str(), fund["pays"]["from"].as_str(), fund["pays"]["to"].as_str())
    };
    // Its cap bounds the first; the second costs more than the part of its worth that the fund allows.
    assert_eq!(pays(0), (Some("open"), Some("0.00"), Some("150.00")));
    assert_eq!(pays(1), (Some("refused"), Some("0.00"), Some("0.00")));
}
