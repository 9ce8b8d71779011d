//! Bench work: what each step takes and costs, and which findings ask for it.

use purfle_lang::book::{Cost, Work, WorkId};
use purfle_lang::resolve::noted::Target;
use purfle_lang::unit::Dimension;

use super::super::document::{Block, Chapter, Head, Line, Row, Table};
use super::super::maker::Maker;
use crate::report::money_range;

/// The chapter; none where no work is priced.
pub fn chapter(maker: &Maker<'_>) -> Option<Chapter> {
    let rows: Vec<Row> = maker.book.works.iter().enumerate().map(|(at, work)| row(maker, WorkId::from_index(at), work)).collect();
    let table = Table {
        caption: "Prices go from the least to the greatest over every instrument, before the least charge.".to_owned(),
        head: ["Step", "Takes", "Price", "Asked for by"].map(str::to_owned).into(),
        rows,
    };
    (!table.rows.is_empty()).then(|| Chapter {
        head: Head::plain("work", "Bench work"),
        blocks: vec![Block::Table(table)],
        sections: Vec::new(),
    })
}

fn row(maker: &Maker<'_>, id: WorkId, work: &Work) -> Row {
    let target = Target::Work(id);
    let place = maker.place(target);
    let mut step = vec![Line::default().strong(place.number).say(format!(" {} ", work.words)).name(&work.name)];
    if !work.includes.is_empty() {
        step.push(
            Line::words("Does as well: ").then(Line::joined(work.includes.iter().map(|other| maker.work(*other)), "; ")).say("."),
        );
    }
    step.extend(maker.house(target, &work.origin));
    let words = maker.wording(None);
    let mut takes =
        vec![if work.timed { maker.line(words.value(&work.amount, Dimension::TIME)) } else { Line::words("a fixed price") }];
    if work.timed {
        takes.push(Line::words("at the rate of ").then(maker.link(Target::Hand(work.by), &maker.book[work.by].words)));
    }
    let price = match purfle_lang::amount::price(maker.book, work) {
        Some((low, high)) => Line::words(money_range(maker.book, low, high)),
        None if work.timed => Line::words("by what is measured"),
        None => maker.line(words.value(&work.amount, Dimension::MONEY)),
    };
    takes.push(Line::words(if work.once { "counted once an instrument" } else { "counted once at each place" }));
    let asks = |cost: &Cost| cost.work.contains(&id);
    let asked = maker.findings_that(|finding| asks(&finding.cost) || finding.ways.iter().any(|way| asks(&way.cost)));
    let asked = maker.numbers(asked);
    let asked = if asked.is_empty() { Line::words("no finding") } else { asked };
    Row { anchor: place.anchor, cells: vec![step, takes, vec![price], vec![asked]] }
}
