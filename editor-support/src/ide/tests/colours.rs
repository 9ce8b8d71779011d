//! What each word is.

use purfle_lang::span::FileId;

use super::shop::{SHOP, with};
use crate::analysis::Analysis;
use crate::ide::colours::{Colour, colours};

/// The words of one line with their colours.
fn line(text: &str, begins: &str) -> Vec<(String, Colour)> {
    let analysis = Analysis::of("own.purfle", text, &[]);
    let start = text.find(begins).expect("the line");
    let end = start + text[start..].find('\n').expect("its end");
    let all = colours(&analysis, FileId::OWN);
    let here = all.iter().filter(|coloured| (start..end).contains(&coloured.span.range().start));
    here.map(|coloured| (analysis.written(coloured.span).to_owned(), coloured.colour)).collect()
}

#[test]
fn words_are_coloured_by_what_they_stand_for() {
    use Colour::*;
    let named = |all: Vec<(String, Colour)>| -> Vec<(String, Colour)> { all };
    let expected = |all: &[(&str, Colour)]| -> Vec<(String, Colour)> {
        all.iter().map(|(word, colour)| ((*word).to_owned(), *colour)).collect()
    };
    assert_eq!(
        named(line(SHOP, "urgency  halt if")),
        expected(&[
            ("urgency", Keyword),
            ("halt", Rung),
            ("if", Operator),
            ("sits", Look),
            ("is", Operator),
            ("pulling-out", Choice),
            ("and", Operator),
            ("instrument", Part),
            ("strung", Look),
        ])
    );
    assert_eq!(
        named(line(SHOP, "work seat-button")),
        expected(&[
            ("work", Keyword),
            ("seat-button", Work),
            ("\"Refit the button\"", Text),
            ("0.5", Number),
            ("to", Operator),
            ("1", Number),
            ("h", Unit),
            ("slowness", Value),
            ("once", Operator),
        ])
    );
}

#[test]
fn what_cannot_be_read_is_coloured_by_how_it_is_written() {
    use Colour::*;
    let text = with("signs    gap", "  signs    gap is abov 0.2 mm # why");
    let all = line(&text, "signs    gap is abov");
    let colours: Vec<Colour> = all.iter().map(|(_, colour)| *colour).collect();
    assert!(colours.starts_with(&[Keyword]) && colours.ends_with(&[Number, Unit, Comment]), "{all:?}");
}
