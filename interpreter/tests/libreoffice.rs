//! Workbooks made, opened and saved again by a program that is not ours: LibreOffice Calc.
//!
//! It is started without a window and with a profile of its own. Where it is missing the tests say so and hold nothing;
//! on the machine that runs all tests it may not be missing.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use serde_json::Value;

use crate::bench::{Bench, code, err, json, out};

/// Whether LibreOffice is there. If not, that is said where no test runner hides it.
fn there() -> bool {
    let there = Command::new("soffice").arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok();
    assert!(there || std::env::var_os("CI").is_none(), "soffice is missing: install libreoffice-calc-nogui");
    if !there {
        let _ = writeln!(std::io::stderr(), "NOT RUN: a test needs LibreOffice (soffice), which is not installed here");
    }
    there
}

/// Lets LibreOffice open files of the bench and save them again in another form, into a folder of their own.
fn convert(bench: &Bench, form: &str, files: &[&str]) {
    let profile = format!("-env:UserInstallation=file://{}/profile", bench.path().display());
    let converted = Command::new("soffice")
        .args([&profile, "--headless", "--norestore", "--convert-to", form, "--outdir", "saved"])
        .args(files)
        .current_dir(bench.path())
        .output()
        .expect("soffice");
    let said = format!("{}{}", String::from_utf8_lossy(&converted.stdout), String::from_utf8_lossy(&converted.stderr));
    for file in files {
        let stem = Path::new(file).file_stem().expect("a name").to_string_lossy();
        let ending = form.split(':').next().unwrap_or(form);
        assert!(bench.path().join("saved").join(format!("{stem}.{ending}")).exists(), "{file} was not saved: {said}");
    }
}

/// A bench with the shipped rulebooks and season on it.
fn season() -> Bench {
    let bench = Bench::new();
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../rulebooks");
    for (name, from) in [("first-look.purfle", "first-look.purfle"), ("records.csv", "demo/records.csv")] {
        bench.write(name, &std::fs::read(root.join(from)).expect("what is shipped"));
    }
    bench
}

/// The report on one file of records, without the name of the file.
fn triaged(bench: &Bench, records: &str) -> Value {
    let output = bench.purfle(&["triage", "first-look.purfle", records, "--as", "json"]);
    assert!(code(&output) <= 1, "{}", err(&output));
    let mut report = json(&output);
    let mut sources = 0;
    for list in ["refused", "outcomes"] {
        for record in report[list].as_array_mut().expect("a list") {
            let source = record["source"].take();
            assert!(source.as_str().is_some_and(|source| source.starts_with(records)), "{source}");
            sources += 1;
        }
    }
    assert!(sources > 40);
    report
}

#[test]
fn a_season_saved_by_another_program_comes_out_the_same() {
    if !there() {
        return;
    }
    let bench = season();
    // It understands the dates and the numbers of the CSV, and keeps them as such.
    convert(&bench, "xlsx", &["records.csv"]);
    convert(&bench, "ods", &["records.csv"]);
    let expected = triaged(&bench, "records.csv");
    assert_eq!(triaged(&bench, "saved/records.xlsx"), expected);
    assert_eq!(triaged(&bench, "saved/records.ods"), expected);
    // Each form saved again as the other one.
    std::fs::rename(bench.path().join("saved/records.xlsx"), bench.path().join("first.xlsx")).expect("a file");
    std::fs::rename(bench.path().join("saved/records.ods"), bench.path().join("second.ods")).expect("a file");
    convert(&bench, "ods", &["first.xlsx"]);
    convert(&bench, "xlsx", &["second.ods"]);
    assert_eq!(triaged(&bench, "saved/first.ods"), expected);
    assert_eq!(triaged(&bench, "saved/second.xlsx"), expected);
}

#[test]
fn an_empty_workbook_is_opened_and_saved_and_still_takes_records() {
    if !there() {
        return;
    }
    let bench = season();
    let made = bench.purfle(&["sheet", "first-look.purfle", "--as", "xlsx", "--for", "viola", "--out", "empty.xlsx"]);
    assert_eq!(code(&made), 0, "{}", err(&made));
    convert(&bench, "ods", &["empty.xlsx"]);
    convert(&bench, "xlsx", &["empty.xlsx"]);
    for name in ["empty.xlsx", "saved/empty.xlsx", "saved/empty.ods"] {
        let output = bench.purfle(&["triage", "first-look.purfle", name, "--as", "json"]);
        assert_eq!(code(&output), 0, "{name}: {}", err(&output));
        assert_eq!(json(&output)["read"], 0, "{name}");
        // The sheet that explains the columns is there too, and no record.
        let output = bench.purfle(&["triage", "first-look.purfle", &format!("{name}#Columns")]);
        assert_eq!(code(&output), 2);
        assert!(err(&output).contains("no column is headed `record`"), "{name}: {}", err(&output));
    }
}

#[test]
fn a_report_stays_text_sums_and_days() {
    if !there() {
        return;
    }
    let bench = season();
    bench.write(
        "hostile.csv",
        b"record,inspected-on,button.sits,shelf\n=1+1,2026-11-20,crooked,\"=HYPERLINK(\"\"x\"\")\"\n+2,2026-11-20,straight,@SUM(A1)\n",
    );
    let made = bench.purfle(&["triage", "first-look.purfle", "hostile.csv", "--as", "xlsx", "--out", "report.xlsx"]);
    assert_eq!(code(&made), 0, "{}", err(&made));
    convert(&bench, "csv", &["report.xlsx"]);
    let saved = std::fs::read_to_string(bench.path().join("saved/report.csv")).expect("UTF-8");
    let rows: Vec<&str> = saved.lines().collect();
    assert!(rows[1].starts_with("=1+1,,2026-11-20,"), "{}", rows[1]);
    assert!(rows[2].starts_with("+2,,2026-11-20,"), "{}", rows[2]);
    assert!(saved.contains("@SUM(A1)") && saved.contains("HYPERLINK"), "{saved}");
    let plain = out(&bench.purfle(&["triage", "first-look.purfle", "hostile.csv", "--as", "csv"]));
    let cost = plain.lines().nth(1).and_then(|row| row.split(',').nth(14)).expect("a cost");
    assert!(rows[1].contains(&format!(",{cost},")), "{cost}: {}", rows[1]);
}

/// A flat OpenDocument spreadsheet with cells of every kind, formulas among them, for another program to save.
fn cells_of_every_kind() -> String {
    let style = |name: &str, format: &str| {
        format!("<style:style style:name=\"{name}\" style:family=\"table-cell\" style:data-style-name=\"{format}\"/>")
    };
    let digits = "<number:number number:decimal-places=\"1\" number:min-decimal-places=\"1\" number:min-integer-digits=\"1\"/>";
    let styles = [
        format!("<number:percentage-style style:name=\"N1\">{digits}<number:text>%</number:text></number:percentage-style>"),
        format!("<number:currency-style style:name=\"N2\"><number:currency-symbol number:language=\"en\" number:country=\"US\">$</number:currency-symbol>{digits}</number:currency-style>"),
        format!("<number:number-style style:name=\"N3\">{digits}<number:text> mm</number:text></number:number-style>"),
        "<number:date-style style:name=\"N4\"><number:day/><number:text>/</number:text><number:month/><number:text>/</number:text><number:year/></number:date-style>".to_owned(),
        "<number:boolean-style style:name=\"N5\"><number:boolean/></number:boolean-style>".to_owned(),
        style("percent", "N1"),
        style("money", "N2"),
        style("length", "N3"),
        style("day", "N4"),
        style("truth", "N5"),
        "<style:style style:name=\"away\" style:family=\"table-column\"/>".to_owned(),
    ]
    .concat();
    let text = |text: &str| format!("<table:table-cell office:value-type=\"string\"><text:p>{text}</text:p></table:table-cell>");
    let row = |cells: &[String]| format!("<table:table-row>{}</table:table-row>", cells.concat());
    let cell = |style: &str, attributes: &str| format!("<table:table-cell table:style-name=\"{style}\" {attributes}/>");
    let heading = [
        "record",
        "tag",
        "inspected-on",
        "room.hygrometer",
        "room.humidity",
        "instrument.worth",
        "button.gap",
        "instrument.strung",
        "button.sits",
        "note",
    ];
    let full = |record: &str, tag: &str, gap: &str| {
        row(&[
            text(record),
            tag.to_owned(),
            cell("day", "office:value-type=\"date\" office:date-value=\"2026-11-20\""),
            cell("truth", "office:value-type=\"boolean\" office:boolean-value=\"true\""),
            cell("percent", "office:value-type=\"percentage\" office:value=\"0.48\""),
            cell("money", "office:value-type=\"currency\" office:currency=\"USD\" office:value=\"400\""),
            gap.to_owned(),
            cell("truth", "table:formula=\"of:=1=1\" office:value-type=\"boolean\" office:boolean-value=\"true\""),
            text("crooked"),
            text("=1+1"),
        ])
    };
    let sum = cell("length", "table:formula=\"of:=[.K2]+0.2\" office:value-type=\"float\" office:value=\"0.3\"");
    let lost = "<table:table-cell table:formula=\"of:=NA()\" office:value-type=\"string\" office:string-value=\"\" calcext:value-type=\"error\"><text:p>#N/A</text:p></table:table-cell>";
    let joined = "<table:table-cell office:value-type=\"string\" table:number-rows-spanned=\"2\" table:number-columns-spanned=\"1\"><text:p>V3</text:p></table:table-cell>";
    let rows = [
        row(&heading.map(text)),
        full("F-1", "<table:table-cell table:formula=\"of:=&quot;V&quot;&amp;1\" office:value-type=\"string\" office:string-value=\"V1\"><text:p>V1</text:p></table:table-cell>", &sum),
        full("F-2", &text("V2"), lost),
        full("F-3", joined, &cell("length", "office:value-type=\"float\" office:value=\"0.04\"")),
        full("F-4", "<table:covered-table-cell/>", &text("0.5 mm")),
    ]
    .concat();
    let hidden = "<table:table-column table:number-columns-repeated=\"4\"/><table:table-column table:visibility=\"collapse\"/>";
    let notes = format!("<table:table table:name=\"Notes\">{}</table:table>", row(&[text("nothing to see")]));
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><office:document office:mimetype=\"application/vnd.oasis.opendocument.spreadsheet\" office:version=\"1.3\" \
         xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" \
         xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\" xmlns:style=\"urn:oasis:names:tc:opendocument:xmlns:style:1.0\" \
         xmlns:number=\"urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0\" xmlns:of=\"urn:oasis:names:tc:opendocument:xmlns:of:1.2\" \
         xmlns:calcext=\"urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0\">\
         <office:automatic-styles>{styles}</office:automatic-styles><office:body><office:spreadsheet>{notes}\
         <table:table table:name=\"Season\">{hidden}{rows}</table:table></office:spreadsheet></office:body></office:document>"
    )
}

#[test]
fn cells_of_every_kind_survive_another_program() {
    if !there() {
        return;
    }
    let bench = season();
    bench.write("every.fods", cells_of_every_kind().as_bytes());
    convert(&bench, "xlsx", &["every.fods"]);
    convert(&bench, "ods", &["every.fods"]);
    let table = "record,tag,inspected-on,room.hygrometer,room.humidity,instrument.worth,button.gap,instrument.strung,button.sits,note\n\
        F-1,V1,2026-11-20,yes,48 %,400 USD,0.2 mm,yes,crooked,=1+1\nF-3,V3,2026-11-20,yes,48 %,400 USD,0.04 mm,yes,crooked,=1+1\n";
    bench.write("every.csv", table.as_bytes());
    let outcomes = |name: &str| {
        let value = json(&bench.purfle(&["triage", "first-look.purfle", name, "--as", "json"]));
        let mut outcomes = value["outcomes"].as_array().expect("a list").clone();
        for outcome in &mut outcomes {
            (outcome["source"], outcome["row"]) = (Value::Null, Value::Null);
        }
        let refused = value["refused"].as_array().expect("a list").iter();
        let told: Vec<String> = refused
            .map(|refused| ["source", "row", "record", "column", "why"].map(|field| refused[field].to_string()).join(" "))
            .collect();
        (outcomes, told)
    };
    let (expected, _) = outcomes("every.csv");
    assert_eq!(expected.len(), 2);
    for name in ["saved/every.xlsx", "saved/every.ods"] {
        let (outcomes, told) = outcomes(name);
        assert_eq!(outcomes, expected, "{name}");
        assert_eq!(told.len(), 2, "{told:?}");
        assert!(told[0].starts_with(&format!("\"{name}#Season\" 3 \"F-2\" \"G\" \"#N/A is an error")), "{told:?}");
        assert!(told[1].starts_with(&format!("\"{name}#Season\" 5 \"F-4\" \"B\" \"the cell is merged")), "{told:?}");
    }
}
