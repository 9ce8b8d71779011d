//! Links to what is built on.

use purfle_lang::span::FileId;

use super::marked_lines;
use super::shop::{HOUSE, SHOP};
use crate::analysis::Analysis;
use crate::ide::links::links;

#[test]
fn the_name_and_the_file_of_the_parent_lead_to_it() {
    let analysis = Analysis::of("rules/own.purfle", HOUSE, &[("rules/shop.purfle", SHOP)]);
    let all = links(&analysis, FileId::OWN);
    let spans: Vec<_> = all.iter().map(|link| link.span).collect();
    assert_eq!(marked_lines(HOUSE, &spans), "builds on [shop] edition 1 from [\"shop.purfle\"]");
    assert!(all.iter().all(|link| link.path.to_str() == Some("rules/shop.purfle") && link.tip == "Open shop"));
    assert_eq!(links(&Analysis::of("own.purfle", HOUSE, &[]), FileId::OWN), []);
}
