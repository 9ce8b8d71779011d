//! The language reference is true: every block of it reads, resolves and rehearses as it says, and no word of the language is
//! missing from it.

pub mod blocks;
mod shop;

use std::collections::BTreeSet;
use std::sync::Arc;

use purfle::judge::Judge;
use purfle::load::load_text;
use purfle::plan::Plan;
use purfle::rehearse::rehearse;
use purfle_lang::book::Book;
use purfle_lang::diagnostic::Diagnostic;
use purfle_lang::finite::node::MOST_CELLS;
use purfle_lang::formula;
use purfle_lang::number::MOST_DIGITS;
use purfle_lang::resolve::MOST_RUNGS;
use purfle_lang::saying::{MOST_SAID, MOST_WRITTEN};
use purfle_lang::unit::Unit;

use blocks::{Block, blocks};
use shop::{Shop, read};

const REFERENCE: &str = include_str!("../lang/reference.md");
const GRAMMAR: &str = include_str!("../lang/src/syntax/purfle.pest");

fn shop(all: &[Block]) -> Shop {
    let shop: Vec<&Block> = all.iter().filter(|block| block.kind == "shop").collect();
    assert_eq!(shop.len(), 1, "the reference shows one shop");
    Shop { text: shop[0].text.clone() }
}

/// Runs every example; what comes out otherwise.
fn rehearsed(book: Book) -> Vec<String> {
    let book = Arc::new(book);
    let mut judge = Judge::new(Arc::new(Plan::new(Arc::clone(&book))));
    let mut misses = Vec::new();
    for example in &book.examples {
        let rehearsed = rehearse(&book, &mut judge, example);
        misses.extend(rehearsed.misses.iter().map(|miss| format!("{}: came out: {}", example.words, miss.came_out)));
    }
    misses
}

/// What is wrong with one block.
fn faults(block: &Block, shop: &Shop) -> Vec<String> {
    let whole = |texts: &[&str]| match read(texts) {
        Ok(book) => rehearsed(book),
        Err(errors) => errors,
    };
    let lines = || block.text.lines().map(str::trim).filter(|line| !line.is_empty());
    match block.kind.split_once(' ').unwrap_or((&block.kind, "")) {
        ("" | "shop", "") => whole(&[&block.text]),
        ("with", "shop") => {
            assert!(!block.text.trim().is_empty(), "an empty block shows nothing");
            whole(&[&shop.with(&block.text)])
        }
        ("builds", "on shop") => whole(&[&block.text, &shop.text]),
        ("signs", on) => lines().flat_map(|line| read(&[&shop.with_signs(on, line)]).err().unwrap_or_default()).collect(),
        ("when", "") => lines().flat_map(|line| read(&[&shop.with_counsel(line)]).err().unwrap_or_default()).collect(),
        ("record", "") => lines().flat_map(|line| read(&[&shop.with_record(line)]).err().unwrap_or_default()).collect(),
        ("wrong", rest) => {
            let on = rest.strip_prefix("signs ").expect("wrong signs on PART");
            lines().filter_map(|line| not_wrong(shop, on, line)).collect()
        }
        _ => vec![format!("`purfle {}` is no kind of block", block.kind)],
    }
}

/// A line that ends in `# slug` has that fault.
fn not_wrong(shop: &Shop, on: &str, line: &str) -> Option<String> {
    let (condition, slug) = line.split_once('#').expect("a line that is wrong names its fault");
    let errors = read(&[&shop.with_signs(on, condition.trim())]).err().unwrap_or_default();
    (!errors.iter().any(|error| error.contains(slug.trim()))).then(|| format!("`{line}` has the errors {errors:?}"))
}

#[test]
fn every_block_does_what_it_shows() {
    let all = blocks(REFERENCE);
    assert!(all.len() > 12, "the blocks of the reference are found");
    let shop = shop(&all);
    let told: Vec<String> = all
        .iter()
        .flat_map(|block| faults(block, &shop).into_iter().map(|fault| format!("lang/reference.md:{}: {fault}", block.line)))
        .collect();
    assert!(told.is_empty(), "{}", told.join("\n"));
}

#[test]
fn the_quieting_that_is_shown_quiets_its_warning() {
    let all = blocks(REFERENCE);
    let quieting = all.iter().find(|block| block.text.starts_with("# quiet ")).expect("a quieting is shown");
    let whole = shop(&all).with(&quieting.text);
    let told = |text: String| {
        let mut loaded = load_text("shop.purfle", text);
        loaded.hear();
        let slugs = |all: Vec<&Diagnostic>| all.into_iter().map(|told| told.slug).collect::<Vec<_>>();
        (slugs(loaded.diagnostics.iter().collect()), slugs(loaded.quieted.iter().map(|quieted| &quieted.diagnostic).collect()))
    };
    let without = whole.lines().filter(|line| !line.starts_with("# quiet ")).collect::<Vec<_>>().join("\n");
    assert!(told(without).0.contains(&"no-basis"), "it would be warned of");
    let (left, quieted) = told(whole);
    assert_eq!(quieted, ["no-basis"]);
    assert!(!left.iter().any(|slug| *slug == "no-basis" || slug.starts_with("quiet-")), "{left:?}");
}

/// Words between blanks, each blank one space.
fn plain(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_twenty_house_sentences_stand_in_the_shop() {
    let shop = plain(&shop(&blocks(REFERENCE)).text);
    let table = REFERENCE.split_once("## Twenty things a shop says").expect("the sentences").1;
    let table = table.split_once("```").expect("the shop after them").0;
    let rows: Vec<&str> = table.lines().filter(|line| line.starts_with("| ") && line.contains('`')).collect();
    assert_eq!(rows.len(), 20);
    for row in rows {
        let line = row.split('`').nth(1).expect("a line of a rulebook");
        assert!(shop.contains(&plain(line)), "`{line}` does not stand in the shop");
    }
}

/// Every word that the reference shows as the language writes it: in a block, or between backticks.
fn shown_words(page: &str) -> BTreeSet<&str> {
    // Blocks are odd pieces between fences; in prose, what is shown is every odd piece between backticks.
    let pieces = page.split("```").enumerate();
    let shown = pieces.flat_map(|(at, piece)| {
        let in_block = at % 2 == 1;
        piece.split('`').enumerate().filter(move |(at, _)| in_block || at % 2 == 1).map(|(_, shown)| shown)
    });
    shown.flat_map(|shown| shown.split(|c: char| !c.is_alphanumeric() && c != '-' && c != '%')).collect()
}

#[test]
fn every_word_of_the_language_is_in_the_reference() {
    let known = shown_words(REFERENCE);
    let keywords: Vec<&str> =
        GRAMMAR.lines().filter(|line| line.starts_with("k_")).filter_map(|line| line.split('"').nth(1)).collect();
    assert!(keywords.len() > 100, "the words of the grammar are found");
    let units = Unit::SPELLINGS.iter().map(|(spelling, _)| *spelling);
    let missing: Vec<&str> = keywords.into_iter().chain(units).filter(|word| !known.contains(word)).collect();
    assert!(missing.is_empty(), "not in the reference: {missing:?}");
}

#[test]
fn the_limits_are_those_of_the_code() {
    let stated = plain(REFERENCE);
    let (dry, wet) = (formula::HUMIDITY.start(), formula::HUMIDITY.end());
    let (cold, hot) = (formula::TEMPERATURE.start(), formula::TEMPERATURE.end());
    for limit in [
        format!("digits of a number | {MOST_DIGITS} |"),
        format!("up to {MOST_WRITTEN} characters"),
        format!("`written` ones aside | {MOST_SAID} characters"),
        format!("Outside {dry} to {wet} % or {cold} to {hot} degC"),
        format!("lines of a ladder | {MOST_RUNGS} |"),
        format!("as many as cut it into {MOST_CELLS} stretches"),
    ] {
        assert!(stated.contains(&limit), "the reference does not say `{limit}`");
    }
    assert_eq!(formula::MOISTURE_PLACES, 6, "the reference says six decimal places");
}
