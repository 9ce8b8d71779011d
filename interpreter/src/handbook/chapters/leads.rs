//! What leads to what, drawn and told.

use purfle_lang::book::{Arrow as Becomes, FindingId, StepId};
use purfle_lang::resolve::noted::Target;
use purfle_lang::wording::short;

use super::super::document::{Block, Chapter, Head, Item, Line, Place, Section};
use super::super::drawing::{Arrow, Shown, draw, split};
use super::super::maker::{Maker, percent};
use super::parts::finding::chance;
use crate::report::plain;

/// The chapter; none where nothing leads to anything.
pub fn chapter(maker: &Maker<'_>) -> Option<Chapter> {
    let book = maker.book;
    let arrows: Vec<Arrow> = book
        .findings
        .iter()
        .enumerate()
        .flat_map(|(from, finding)| {
            finding.becomes.iter().map(move |arrow| Arrow { from, to: arrow.to.index(), label: label(arrow) })
        })
        .collect();
    let pictures = split(&arrows, |finding| book.findings.get(finding).map_or(0, |finding| finding.on.index()));
    let sections: Vec<Section> = pictures.iter().enumerate().map(|(at, picture)| section(maker, at, picture)).collect();
    (!sections.is_empty()).then(|| Chapter {
        head: Head::plain("leads", "What leads to what, if it is left"),
        blocks: vec![Block::Paragraph(Line::words(
            "An arrow leads from a finding to what it becomes if it is left alone; beside it stand how often that happens, and \
             within what time, where the rulebook says. A thick box: this may not be played.",
        ))],
        sections,
    })
}

/// What stands beside an arrow.
fn label(arrow: &Becomes) -> String {
    let odds = arrow.odds.map(percent);
    let within = arrow.within.map(|within| format!("in {within}"));
    odds.into_iter().chain(within).collect::<Vec<_>>().join(" ")
}

/// One picture, and the same in words. Only the arrows of the picture are told, in the book's order.
fn section(maker: &Maker<'_>, at: usize, picture: &[Arrow]) -> Section {
    let book = maker.book;
    let mut parts: Vec<&str> = Vec::new();
    for finding in picture.iter().flat_map(|arrow| [arrow.from, arrow.to]) {
        let words = book.findings.get(finding).map_or("", |finding| short(&book[finding.on].words));
        if !parts.contains(&words) {
            parts.push(words);
        }
    }
    let told = picture.iter().filter_map(|arrow| {
        let finding = book.findings.get(arrow.from)?;
        let becomes = finding.becomes.iter().find(|becomes| becomes.to.index() == arrow.to && label(becomes) == arrow.label)?;
        let from = maker.quoted(FindingId::from_index(arrow.from));
        Some(Item::of(from.say(" becomes ").then(maker.quoted(becomes.to)).say(format!("{}.", chance(becomes)))))
    });
    Section {
        head: Head { place: Place::new(format!("leads-{at}"), format!("L{}", at + 1)), title: parts.join("; "), name: None },
        blocks: vec![Block::Drawing(draw(picture, |finding| shown(maker, finding))), Block::List(told.collect())],
        entries: Vec::new(),
    }
}

fn shown(maker: &Maker<'_>, at: usize) -> Shown {
    let id = FindingId::from_index(at);
    let Some(finding) = maker.book.findings.get(at) else {
        return Shown { number: String::new(), words: String::new(), thick: false };
    };
    let stops = |step: StepId| maker.book[step].not_played;
    let gravest = maker.figures.get(id).map(|figure| figure.urgency.to);
    let thick = gravest.map_or_else(|| finding.urgency.iter().any(|line| stops(line.step)), stops);
    Shown { number: maker.place(Target::Finding(id)).number, words: plain(&finding.words).into_owned(), thick }
}
