//! The report as one page of HTML that needs nothing beside it: the batch, then for each instrument a page for the
//! family and one for the luthier. The templates lay out what the views say, and every text goes through our escaping.

use askama::Template;
use purfle_lang::book::Book;

use super::layout::Ink;
use super::slip::{LAST_WORD, rulebook_line};
use super::text::plain;
use super::triage::fault_words;
use super::view::{PageView, SlipView};
use crate::photos::Photo;
use crate::records::Refused;

/// What closes each instrument.
pub const ARTICLE_END: &str = "</article>\n";

/// What closes the page.
pub const END: &str = "</main>\n</body>\n</html>\n";

/// What opens an instrument; the batch page's links lead here.
pub fn article(number: u64) -> String {
    format!("<article id=\"i{number}\">\n")
}

#[derive(Template)]
#[template(path = "season_begin.html")]
struct Begin<'a> {
    language: &'a str,
    page: PageView,
}

#[derive(Template)]
#[template(path = "season_middle.html")]
struct Middle {
    refused: bool,
    notices: Vec<String>,
    rulebook: String,
}

#[derive(Template)]
#[template(path = "refused.html")]
struct RefusedItem<'a> {
    source: &'a str,
    row: u64,
    record: Option<&'a str>,
    faults: Vec<String>,
    untold: usize,
}

#[derive(Template)]
#[template(path = "instrument.html")]
struct Instrument<'a> {
    slip: &'a SlipView,
    photos: Vec<Photo>,
    money: &'static str,
    last_word: &'static str,
}

/// The page up to the list of refused records.
pub fn begin(book: &Book, page: PageView) -> String {
    written(&Begin { language: book.language.as_deref().unwrap_or("en"), page })
}

/// From there to the first instrument.
pub fn middle(book: &Book, refused: bool) -> String {
    let notices = book.notices.iter().map(|notice| plain(notice).into_owned()).collect();
    written(&Middle { refused, notices, rulebook: rulebook_line(book) })
}

/// A refused record.
pub fn refused(refused: &Refused) -> String {
    written(&RefusedItem {
        source: &refused.source.file,
        row: refused.source.row,
        record: refused.record.as_deref(),
        faults: refused.faults.iter().map(fault_words).collect(),
        untold: refused.untold,
    })
}

/// The pages of one instrument.
pub fn instrument(book: &Book, slip: &SlipView, photos: Vec<Photo>) -> String {
    written(&Instrument { slip, photos, money: book.money.code(), last_word: LAST_WORD })
}

/// A template written out. Writing to memory does not fail.
fn written(template: &impl Template) -> String {
    template.render().unwrap_or_default()
}
