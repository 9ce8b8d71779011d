//! The demo season as pages of HTML: who has pages, what they weigh, and whose names they leave out.

use std::path::Path;

use crate::bench::{Bench, code, err, out};

/// The most bytes of a season's pages, photos apart.
const MOST: usize = 1_000_000;

fn shipped(name: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../rulebooks").join(name).display().to_string()
}

fn pages(rulebook: &str, more: &[&str]) -> String {
    let (rulebook, records) = (shipped(rulebook), shipped("demo/records.csv"));
    let output = Bench::new().purfle(&[&["triage", &rulebook, &records, "--as", "html"], more].concat());
    assert_eq!(code(&output), 1, "two are refused on purpose: {}", err(&output));
    out(&output)
}

#[test]
fn every_instrument_has_its_pages_and_the_whole_is_light() {
    for rulebook in ["first-look.purfle", "harrow-bench.purfle"] {
        let page = pages(rulebook, &[]);
        assert!(page.len() < MOST, "{rulebook}: {} bytes", page.len());
        let options = roxmltree::ParsingOptions { allow_dtd: true, ..Default::default() };
        let tree = roxmltree::Document::parse_with_options(&page, options).expect("a well-formed page");
        // 45 are judged; 3 of them are older inspections of instruments that were seen again.
        let instruments: Vec<_> = tree.descendants().filter(|node| node.has_tag_name("article")).collect();
        assert_eq!(instruments.len(), 42, "{rulebook}");
        for instrument in &instruments {
            let sections: Vec<_> = instrument.children().filter_map(|node| node.attribute("class")).collect();
            assert_eq!(sections, ["page family", "page referral"]);
            let headings: Vec<&str> =
                instrument.descendants().map(|node| node.tag_name().name()).filter(|name| *name == "h2").collect();
            assert_eq!(headings.len(), 2);
        }
        let ids: Vec<&str> = tree.descendants().filter_map(|node| node.attribute("id")).collect();
        let links: Vec<&str> = tree.descendants().filter_map(|node| node.attribute("href")).collect();
        assert!(links.len() >= 42, "every instrument is led to");
        for id in ids.iter().filter(|id| id.starts_with('i')) {
            assert!(links.contains(&format!("#{id}").as_str()), "{rulebook}: nothing leads to {id}");
        }
        for link in links {
            assert!(ids.contains(&link.trim_start_matches('#')), "{rulebook}: {link} leads nowhere");
        }
    }
}

#[test]
fn without_names_nobody_is_named() {
    let records = std::fs::read(shipped("demo/records.csv")).expect("the season");
    let mut reader = csv::Reader::from_reader(records.as_slice());
    let heading = reader.headers().expect("a heading").clone();
    let columns: Vec<usize> = ["owner.pupil", "owner.telephone", "note"]
        .iter()
        .map(|name| heading.iter().position(|known| known == *name).expect("a column"))
        .collect();
    let mut named: Vec<String> = Vec::new();
    for row in reader.records() {
        let row = row.expect("a row");
        // A row that is refused has its own way of leaving names out.
        named.extend(columns.iter().filter_map(|column| row.get(*column)).filter(|text| text.len() > 3).map(str::to_owned));
    }
    assert!(named.len() > 20, "the season has names in it: {named:?}");
    let (with, without) = (pages("first-look.purfle", &[]), pages("first-look.purfle", &["--without", "names"]));
    let (mut told, mut kept) = (0, Vec::new());
    for name in &named {
        let written = name.replace('&', "&amp;").replace('\'', "&#39;").replace('"', "&quot;");
        told += usize::from(with.contains(&written));
        kept.extend(without.contains(&written).then_some(name));
    }
    assert!(told > 20, "with names they are there: {told}");
    assert!(kept.is_empty(), "{kept:?}");
}
