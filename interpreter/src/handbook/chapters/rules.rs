//! What is judged over the whole: raises, advice and funds.

use purfle_lang::book::{Aid, AidId, CounselId, RaiseId};
use purfle_lang::resolve::noted::Target;
use purfle_lang::wording::quoted;

use super::super::document::{Block, Chapter, Fact, Head, Line, Section};
use super::super::maker::{Maker, percent};
use crate::report::money_range;

/// A chapter for each kind of which there is any.
pub fn chapters(maker: &Maker<'_>) -> Vec<Chapter> {
    let chapter = |anchor: &str, title: &str, says: &str, sections: Vec<Section>| {
        let blocks = vec![Block::Paragraph(Line::words(says))];
        (!sections.is_empty()).then(|| Chapter { head: Head::plain(anchor, title), blocks, sections })
    };
    let raises = "Each raise starts from a finding's own step. Of several the highest result counts, and none lowers.";
    let advice = "Advice is judged last, on the whole of what was found.";
    let funds = "Funds do not stack. A fund's own rules and the law where you are have the last word.";
    [
        chapter("raises", "What makes findings more urgent", raises, self::raises(maker)),
        chapter("advice", "Advice on the whole", advice, self::advice(maker)),
        chapter("funds", "Help with the cost", funds, self::funds(maker)),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn section(head: Head, facts: Vec<Option<Fact>>) -> Section {
    Section { head, blocks: vec![Block::Facts(facts.into_iter().flatten().collect())], entries: Vec::new() }
}

fn raises(maker: &Maker<'_>) -> Vec<Section> {
    let book = maker.book;
    let one = |(at, raise): (usize, &purfle_lang::book::Raise)| {
        let target = Target::Raise(RaiseId::from_index(at));
        let steps = if raise.by == 1 { "one step".to_owned() } else { format!("{} steps", raise.by) };
        let by = Line::words(format!("{steps} more urgent, no higher than "));
        section(
            maker.head(target, &raise.words, &raise.name),
            vec![
                Some(maker.condition("When", None, &raise.when)),
                Fact::lines("Findings on", [Line::joined(raise.on.iter().map(|part| maker.part(*part)), "; ")]),
                Some(Fact::of("By", by.then(maker.link(Target::Step(raise.cap), &quoted(&book[raise.cap].words))))),
                Fact::lines("House rules", maker.house(target, &raise.origin)),
            ],
        )
    };
    book.raises.iter().enumerate().map(one).collect()
}

fn advice(maker: &Maker<'_>) -> Vec<Section> {
    let one = |(at, counsel): (usize, &purfle_lang::book::Counsel)| {
        let target = Target::Counsel(CounselId::from_index(at));
        section(
            maker.head(target, &counsel.words, &counsel.name),
            vec![
                Some(maker.condition("When", None, &counsel.when)),
                Fact::texts("First of all", &counsel.first),
                Fact::texts("Advice", &counsel.tell),
                Fact::texts("Source", &counsel.basis),
                Fact::lines("House rules", maker.house(target, &counsel.origin)),
            ],
        )
    };
    maker.book.counsels.iter().enumerate().map(one).collect()
}

fn funds(maker: &Maker<'_>) -> Vec<Section> {
    let one = |(at, aid): (usize, &Aid)| {
        let target = Target::Aid(AidId::from_index(at));
        section(
            maker.head(target, &aid.words, &aid.name),
            vec![
                aid.who.as_ref().map(|who| maker.condition("For whom", None, who)),
                covers(maker, aid),
                Some(Fact::of("Pays", Line::words(pays(maker, aid)))),
                aid.not_beyond.map(|(share, look)| {
                    let beyond = format!("where the work it covers costs more than {} of ", percent(share));
                    Fact::of("Refuses", Line::words(beyond).then(maker.line(maker.wording(None).look(look))))
                }),
                Fact::lines(
                    "Needs",
                    aid.needs
                        .iter()
                        .map(|look| Line::words("an answer, and not no, to ").then(maker.line(maker.wording(None).look(*look)))),
                ),
                Fact::lines("House rules", maker.house(target, &aid.origin)),
            ],
        )
    };
    maker.book.aids.iter().enumerate().map(one).collect()
}

fn covers(maker: &Maker<'_>, aid: &Aid) -> Option<Fact> {
    let above = aid
        .covers_above
        .map(|sum| Line::words(format!("every finding that by itself costs more than {}", money_range(maker.book, sum, sum))));
    let named = Line::joined(aid.covers.iter().map(|finding| maker.finding(*finding)), "; ");
    let whatever = (!named.is_empty()).then(|| Line::words("whatever they cost: ").then(named));
    Fact::lines("Covers", above.into_iter().chain(whatever))
}

fn pays(maker: &Maker<'_>, aid: &Aid) -> String {
    let money = |sum| money_range(maker.book, sum, sum);
    let mut words = format!("{} of the work of the findings it covers, put together", percent(aid.pays));
    if let Some(cap) = aid.cap {
        words.push_str(&format!(", no more than {}", money(cap)));
    }
    if let Some(family) = aid.family_pays {
        words.push_str(&format!(", and so that the family pays at least {}", money(family)));
    }
    words
}
