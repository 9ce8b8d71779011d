//! How soon, in whose hands, and what counts as cheap or dear.

use purfle_lang::book::{HandId, StepId, TierId, Within};
use purfle_lang::resolve::noted::Target;

use super::super::document::{Block, Chapter, Head, Line, Row, Table};
use super::super::maker::Maker;
use crate::report::money_range;

/// The chapter of the three ladders.
pub fn chapter(maker: &Maker<'_>) -> Chapter {
    let book = maker.book;
    let row = |target: Target, cells: Vec<Vec<Line>>| Row { anchor: maker.place(target).anchor, cells };
    let named = |words: &str, name: &str, house: Vec<Line>| {
        std::iter::once(Line::words(format!("{words} ")).name(name)).chain(house).collect::<Vec<_>>()
    };
    let steps = book.steps.iter().enumerate().map(|(at, step)| {
        let target = Target::Step(StepId::from_index(at));
        let within = match step.within {
            Within::Whenever => "no limit".to_owned(),
            Within::Duration(duration) => format!("within {duration}"),
            Within::AtOnce => "at once".to_owned(),
        };
        let played = if step.not_played { "Must not be played" } else { "May be played" };
        let cells = vec![
            named(&step.words, &step.name, maker.house(target, &step.origin)),
            vec![Line::words(within)],
            vec![if step.not_played { Line::default().strong(played) } else { Line::words(played) }],
        ];
        row(target, cells)
    });
    let hands = book.hands.iter().enumerate().map(|(at, hand)| {
        let target = Target::Hand(HandId::from_index(at));
        let rate = hand
            .rate
            .map_or_else(|| "not paid by the hour".to_owned(), |rate| format!("{} an hour", money_range(book, rate, rate)));
        row(target, vec![named(&hand.words, &hand.name, maker.house(target, &hand.origin)), vec![Line::words(rate)]])
    });
    let tiers = book.tiers.iter().enumerate().map(|(at, tier)| {
        let target = Target::Tier(TierId::from_index(at));
        let limit = tier.up_to.map_or_else(
            || "all beyond that".to_owned(),
            |limit| format!("up to {}, that sum included", money_range(book, limit, limit)),
        );
        row(target, vec![named(&tier.words, &tier.name, maker.house(target, &tier.origin)), vec![Line::words(limit)]])
    });
    let table = |caption: &str, head: &[&str], rows: Vec<Row>| {
        let head = head.iter().map(|word| (*word).to_owned()).collect();
        Block::Table(Table { caption: caption.to_owned(), head, rows })
    };
    Chapter {
        head: Head::plain("ladders", "How soon, by whom, how dear"),
        blocks: vec![
            table(
                "How soon: the mildest step first. Of several findings the gravest counts.",
                &["Step", "To be seen to", "Until then"],
                steps.collect(),
            ),
            table(
                "By whom: the least skilled first. Of several findings the most skilled hands count.",
                &["Hands", "Rate"],
                hands.collect(),
            ),
            table("How dear: the cheapest first, by the printed total.", &["Tier", "Total cost"], tiers.collect()),
        ],
        sections: Vec::new(),
    }
}
