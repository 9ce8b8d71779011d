//! The chapters of a handbook, one file each.

mod examples;
mod house;
mod index;
mod ladders;
mod leads;
mod parts;
mod rules;
mod tables;
mod work;

use super::document::{Block, Chapter, Handbook, Head, Item, Line};
use super::maker::Maker;
use crate::report::money_range;

/// The whole handbook. Chapters that would say nothing are left out.
pub fn all(maker: &Maker<'_>) -> Handbook {
    let book = maker.book;
    let mut chapters = vec![about(maker), ladders::chapter(maker)];
    chapters.extend(parts::chapters(maker));
    chapters.extend(leads::chapter(maker));
    chapters.extend(rules::chapters(maker));
    chapters.extend(work::chapter(maker));
    chapters.extend(tables::chapter(maker));
    chapters.extend(house::chapter(maker));
    chapters.extend(examples::chapter(maker));
    chapters.push(index::chapter(maker));
    Handbook {
        language: book.language.clone().unwrap_or_else(|| "en".to_owned()),
        title: book.title.clone(),
        under: under(maker),
        notices: book.notices.clone(),
        chapters,
    }
}

fn under(maker: &Maker<'_>) -> Vec<Line> {
    let book = maker.book;
    let mut lines = vec![Line::default().name(&book.name).say(format!(", edition {}, seal {}", book.edition, book.seal))];
    lines.extend(book.keeper.as_ref().map(|keeper| Line::words(format!("Kept by {keeper}"))));
    for parent in &book.parents {
        lines.push(
            Line::words("Builds on ").name(&parent.name).say(format!(", edition {}, seal {}", parent.edition, parent.seal)),
        );
    }
    let least =
        book.least_charge.map(|least| format!("; a visit with any work costs {} at the least", money_range(book, least, least)));
    lines.push(Line::words(format!("All money is in {}{}", book.money, least.unwrap_or_default())));
    lines
}

/// How to read it.
fn about(maker: &Maker<'_>) -> Chapter {
    let mut items = vec![
        Line::words(
            "Parts have numbers, and so have the findings on them: 3.2 is the second finding of part 3. W stands before the \
             number of a bench step, T before that of a table or of something worked out, R before a raise, A before advice, F \
             before a fund, L before a picture of what leads to what.",
        ),
        Line::words("What nobody has looked at is never taken for good: a finding is then neither found nor ruled out."),
        Line::words(
            "What a finding costs is told as if it were the only job, from the least to the greatest over every instrument that \
             it can be found on, the least charge included. Several findings together can cost less than their sum, because \
             work they share is done once.",
        ),
        Line::words("Names in small letters, such as ").name("button.gap").say(", are those that records and reports use."),
        Line::words(
            "Where the rulebook gives no source, it says so. A first look is not a diagnosis: a luthier has the last word.",
        ),
    ];
    if maker.is_house() {
        items.insert(
            1,
            Line::words(
                "C stands before the number of a change that a house has made to the rulebook it builds on. Each is marked where \
                 it has an effect, with its reason, and all are listed in ",
            )
            .link(super::document::Place::new("house", ""), "House rules")
            .say("."),
        );
    }
    Chapter {
        head: Head::plain("about", "How to read this handbook"),
        blocks: vec![Block::List(items.into_iter().map(Item::of).collect())],
        sections: Vec::new(),
    }
}
