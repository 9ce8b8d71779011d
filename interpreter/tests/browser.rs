//! The pages in Chromium, as their readers open them: held against an accessibility checker (axe-core), on a narrow
//! screen, by the keyboard, and printed on A4 and on Letter.
//!
//! It wants Chromium, Node and the packages of `tests/browser` (`npm ci` there), and `pdftotext` for the prints. Where
//! one of them is missing it says so and is not run, unless `PURFLE_BROWSER=must` is set, as `.ci/run` does.

use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

use crate::bench::{Bench, SMALL, code, err, out};
use crate::{allot, hostile};

const PAGES: [&str; 8] = [
    "season.html",
    "hostile.html",
    "photo.html",
    "viola.html",
    "all.html",
    "handbook.html",
    "hostile-handbook.html",
    "fund.html",
];

/// A program, if it is installed.
fn installed(names: &[&str]) -> Option<PathBuf> {
    let folders = std::env::var_os("PATH").map(|path| std::env::split_paths(&path).collect::<Vec<_>>()).unwrap_or_default();
    names.iter().flat_map(|name| folders.iter().map(move |folder| folder.join(name))).find(|path| path.is_file())
}

/// Everything that is needed: Chromium, Node and the script. None, and why said, where something is missing.
#[expect(clippy::print_stderr, reason = "whoever runs the tests is told that one was not run")]
fn needed() -> Option<(PathBuf, PathBuf, PathBuf)> {
    let scripts = root().join("tests/browser");
    let chromium = installed(&["chromium", "chromium-browser"]);
    let node = installed(&["node", "nodejs"]);
    let packages = ["axe-core", "playwright-core"].map(|name| scripts.join("node_modules").join(name).is_dir());
    let pdftotext = installed(&["pdftotext"]);
    let mut missing = Vec::new();
    for (there, what) in [
        (chromium.is_some(), "Chromium (Debian: chromium)"),
        (node.is_some(), "Node (Debian: nodejs)"),
        (packages.iter().all(|there| *there), "axe-core and playwright-core (`npm ci` in tests/browser)"),
        (pdftotext.is_some(), "pdftotext (Debian: poppler-utils)"),
    ] {
        if !there {
            missing.push(what);
        }
    }
    if !missing.is_empty() {
        let told = format!("the pages were not opened in a browser: there is no {}", missing.join(", no "));
        assert!(std::env::var("PURFLE_BROWSER").as_deref() != Ok("must"), "{told}");
        eprintln!("NOT RUN: {told}");
        return None;
    }
    Some((chromium?, node?, scripts.join("check.mjs")))
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("the folder above").to_path_buf()
}

/// Writes a page into the folder.
fn page(bench: &Bench, name: &str, arguments: &[&str]) {
    let output = bench.purfle(arguments);
    assert!(code(&output) <= 1, "{}", err(&output));
    bench.write(name, out(&output).as_bytes());
}

#[test]
fn pages_open_print_and_are_read_out() {
    let Some((chromium, node, script)) = needed() else { return };
    let bench = Bench::new();
    let shipped = |name: &str| root().join("rulebooks").join(name).display().to_string();
    let (standard, records) = (shipped("first-look.purfle"), shipped("demo/records.csv"));
    page(&bench, "season.html", &["triage", &standard, &records, "--as", "html"]);
    bench.write("hostile.jsonl", hostile::records().as_bytes());
    page(&bench, "hostile.html", &["triage", "small.purfle", "hostile.jsonl", "--as", "html"]);
    let picture = image::RgbImage::from_fn(1800, 1200, |x, y| image::Rgb([(x % 256) as u8, (y % 256) as u8, 128]));
    picture.save(bench.path().join("front.jpg")).expect("a photo");
    bench.write("photo.csv", b"record,button.sits,photos\nAR-001,crooked,front.jpg; ../away.jpg\n");
    page(&bench, "photo.html", &["triage", "small.purfle", "photo.csv", "--as", "html"]);
    page(&bench, "viola.html", &["sheet", &standard, "--for", "viola"]);
    page(&bench, "all.html", &["sheet", &standard]);
    page(&bench, "handbook.html", &["handbook", &shipped("harrow-bench.purfle")]);
    bench.write("hostile.purfle", hostile::rulebook(SMALL).as_bytes());
    page(&bench, "hostile-handbook.html", &["handbook", "hostile.purfle"]);
    bench.write("funds.purfle", allot::FUNDS.as_bytes());
    bench.write("funds.csv", allot::SEASON.as_bytes());
    page(&bench, "fund.html", &["allot", "funds.purfle", "funds.csv", "--budget", "300", "--as", "html"]);

    let run = Command::new(node).arg(script).arg(chromium).arg(bench.path()).args(PAGES).output().expect("node");
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    let met = std::fs::read(bench.path().join("met.json")).expect("what was met");
    let met: Value = serde_json::from_slice(&met).expect("JSON");
    for name in PAGES {
        let met = &met[name];
        for list in ["violations", "stirred", "colours"] {
            assert_eq!(met[list], Value::Array(Vec::new()), "{name}: {list}");
        }
        assert!(met["passes"].as_u64() > Some(15), "{name}: the checker looked: {met}");
        assert!(met["narrow"].as_u64() <= Some(320), "{name} scrolls sideways on a narrow screen: {met}");
        assert_eq!(met["links"], met["reached"], "{name}: every link is reached by the keyboard");
    }
    assert!(met["season.html"]["links"].as_u64() > Some(40));
    // The photo in the folder is shown, small; the one beside it is not, and the page says why.
    assert_eq!(met["photo.html"]["pictures"], serde_json::json!([900]));
    for paper in ["A4", "Letter"] {
        season_on_paper(&bench, paper);
        sheet_on_paper(&bench, paper);
        handbook_on_paper(&bench, paper);
    }
}

/// The text of each printed page.
fn printed(bench: &Bench, name: &str, paper: &str) -> Vec<String> {
    let print = bench.path().join(format!("{name}.{paper}.pdf"));
    let text = Command::new("pdftotext").arg("-layout").arg(print).arg("-").output().expect("pdftotext");
    let text = String::from_utf8(text.stdout).expect("UTF-8");
    text.split('\u{c}').map(|page| page.trim().to_owned()).filter(|page| !page.is_empty()).collect()
}

fn season_on_paper(bench: &Bench, paper: &str) {
    let pages = printed(bench, "season.html", paper);
    let begin = |words: &str| pages.iter().filter(|page| page.starts_with(words)).count();
    // 45 were judged; 3 of them are older inspections, which have no pages.
    assert_eq!((begin("For the family"), begin("For the luthier"), begin("For the teacher")), (42, 42, 1), "{paper}");
    for page in &pages {
        let of = ["For the family", "For the luthier", "For the teacher"].iter().filter(|words| page.contains(*words)).count();
        assert!(of <= 1, "{paper}: everybody's page begins on a sheet of its own: {page}");
    }
    for page in pages.iter().filter(|page| page.contains("Judged by first-look")) {
        let lines = page.lines().filter(|line| !line.trim().is_empty()).count();
        assert!(lines > 4, "{paper}: a foot without anything above it: {page}");
    }
    let going_on = pages.len() - 85;
    assert!(going_on <= 30, "{paper}: {going_on} pages that go on");
    // Whatever page is lost, the mark stands on the last of each.
    let marked = pages.iter().filter(|page| page.contains("AR-004")).count();
    assert!(marked >= 3, "{paper}: the teacher's, the family's and the luthier's");
    let family = pages.iter().find(|page| page.starts_with("For the family") && page.contains("AR-004")).expect("a page");
    for words in ["NO. Do not play it.", "42.50 to 76.50 USD", "If left", "A first look is not a diagnosis"] {
        assert!(family.contains(words), "{paper}: {words}: {family}");
    }
}

fn sheet_on_paper(bench: &Bench, paper: &str) {
    let pages = printed(bench, "viola.html", paper);
    assert!((4..=7).contains(&pages.len()), "{paper}: {} pages", pages.len());
    let text = pages.join("\n");
    for words in
        ["Inspection sheet: viola", "Tail button", "C peg", "Slide a card along the collar", "all good", "The whole body"]
    {
        assert!(text.contains(words), "{paper}: {words}");
    }
    assert!(!text.contains("E peg") && !text.contains("End pin and its socket"), "{paper}: only what a viola has");
}

fn handbook_on_paper(bench: &Bench, paper: &str) {
    let pages = printed(bench, "handbook.html", paper);
    assert!((70..=125).contains(&pages.len()), "{paper}: {} pages", pages.len());
    for (number, page) in pages.iter().enumerate() {
        assert!(page.ends_with(&format!("{}", number + 1)), "{paper}: every page has its number: {page}");
    }
    // A finding stands on one page, with what hangs on it.
    let page = pages.iter().find(|page| page.contains("5.1 The button is not seated against the rib")).expect("a page");
    for words in
        ["is above 0.4 mm", "Cost if left", "Button, boxwood or ebony: 8.00 to 18.00 USD", "has never moved in our hands"]
    {
        assert!(page.contains(words), "{paper}: {words}: {page}");
    }
    let text = pages.join("\n");
    for words in ["What leads to what, if it is left", "20 % in 1 year", "House rules", "Index of findings by name"] {
        assert!(text.contains(words), "{paper}: {words}");
    }
}
