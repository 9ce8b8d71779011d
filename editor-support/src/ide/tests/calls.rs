//! What becomes what.

use purfle_lang::span::FileId;

use super::at;
use super::shop::SHOP;
use crate::ide::calls::{becomes, comes_of, prepare};

#[test]
fn a_finding_knows_what_it_becomes_and_what_it_comes_of() {
    let (analysis, offset) = at(&SHOP.replace("finding button-loose", "finding §button-loose"));
    let loose = prepare(&analysis, FileId::OWN, offset).expect("a finding");
    let [step] = &becomes(&analysis, loose.finding)[..] else { panic!("one arrow") };
    assert_eq!((step.station.name.as_str(), step.says.as_str()), ("button-torn", "odds 20 % within 1 year"));
    assert_eq!(analysis.written(step.written), "button-torn");
    let [back] = &comes_of(&analysis, step.station.finding)[..] else { panic!("one arrow") };
    assert_eq!(back.station, loose);
    assert!(analysis.written(loose.span).starts_with("finding button-loose"));
}
