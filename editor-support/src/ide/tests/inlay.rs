//! Remarks within the lines.

use purfle_lang::span::FileId;

use super::shop::{HOUSE, SHOP};
use crate::analysis::Analysis;
use crate::ide::inlay::inlays;

/// The lines with a remark, which stands in braces.
fn remarked(analysis: &Analysis) -> Vec<String> {
    let mut text = analysis.text(FileId::OWN).to_owned();
    let all = inlays(analysis, FileId::OWN, 0, u32::MAX);
    for inlay in all.iter().rev() {
        text.insert_str(inlay.at.range().start, &format!("{{{}}}", inlay.label));
    }
    text.lines().filter(|line| line.contains('{')).map(|line| line.trim().to_owned()).collect()
}

#[test]
fn a_finding_tells_cost_and_tier_once_they_are_known() {
    let analysis = Analysis::of("own.purfle", SHOP, &[]);
    assert_eq!(remarked(&analysis), Vec::<String>::new(), "nobody asked for the figures yet");
    analysis.figures();
    assert_eq!(
        remarked(&analysis),
        [
            "finding button-loose \"The button is loose\"{35.00 to 132.00 USD, pocket to major}",
            "finding button-torn \"The button is torn out\"{on sight}",
            "finding peg-slips \"The peg slips\"{costs nothing}",
        ]
    );
}

#[test]
fn an_alter_tells_what_it_replaced() {
    let analysis = Analysis::of("own.purfle", HOUSE, &[("shop.purfle", SHOP)]);
    assert_eq!(
        remarked(&analysis),
        [
            "alter hand luthier 80 USD{was 60 USD} per h because \"our rate\"",
            "urgency halt{was urgency book; urgency halt if sits is pulling-ou…}",
        ]
    );
}
