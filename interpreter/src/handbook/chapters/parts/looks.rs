//! The looks of a part: what is asked, what may be answered, what is good.

use purfle_lang::book::PartId;
use purfle_lang::resolve::noted::Target;

use super::super::super::document::{Line, Row, Table};
use super::super::super::maker::Maker;

/// A row for each look.
pub fn table(maker: &Maker<'_>, part: PartId) -> Table {
    let words = maker.wording(Some(part));
    let rows = maker.book[part].looks.iter().map(|id| {
        let look = &maker.book[*id];
        let target = Target::Look(*id);
        let mut asked = vec![Line::words(format!("{} ", look.question)).name(maker.book.look_path(*id))];
        asked.extend(
            look.only_when.as_ref().map(|only| Line::words("Only when ").then(maker.sentence(Some(part), only)).say(".")),
        );
        asked.extend(look.how.iter().map(|how| Line::default().strong("How:").say(format!(" {how}"))));
        asked.extend(look.care.iter().map(|care| Line::default().strong("Care:").say(format!(" {care}"))));
        asked.extend(look.private.then(|| Line::words("Personal: left out wherever names are left out.")));
        asked.extend(maker.house(target, &look.origin));
        let good = look.good.as_ref().map_or_else(|| Line::words("\u{2013}"), |good| maker.line(words.good(look, good)));
        Row { anchor: maker.place(target).anchor, cells: vec![asked, vec![Line::words(words.answer(look))], vec![good]] }
    });
    Table {
        caption: "What to look at".to_owned(),
        head: ["Question", "Answer", "Good"].map(str::to_owned).into(),
        rows: rows.collect(),
    }
}
