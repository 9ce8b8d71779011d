//! What may stand in a value: units of its dimension, looks, tables, reckonings and formulas.

use purfle_lang::book::{LookId, LookKind};
use purfle_lang::formula::signature::SIGNATURES;
use purfle_lang::resolve::noted::Target;
use purfle_lang::unit::{Dimension, Unit};

use super::condition::look_named;
use super::hand::Hand;
use super::menu::Menu;
use crate::ide::tokens::{Token, TokenKind};

/// How a number may be compared.
pub fn comparisons(menu: &mut Menu) {
    for (word, detail) in [
        ("is above", "leaves the limit out"),
        ("is below", "leaves the limit out"),
        ("is at least", "takes the limit in"),
        ("is at most", "takes the limit in"),
        ("is from", "both ends taken in"),
    ] {
        menu.word(word, detail);
    }
}

/// The dimension of the table, reckoning or look that a test begins with.
pub fn dimension_of(menu: &Menu, hand: &Hand, test: &[&Token]) -> Option<Dimension> {
    let (book, names) = (menu.book()?, menu.names()?);
    if let Some((look, _)) = look_named(menu, hand, test) {
        return book.looks.get(look.index())?.dimension();
    }
    let first = test.iter().find(|token| token.kind == TokenKind::Word)?.of(menu.cursor.text);
    if let Some(table) = names.tables.get(first) {
        return book.tables.get(table.index()).map(|table| table.dimension);
    }
    if let Some(reckon) = names.reckons.get(first) {
        return book.reckons.get(reckon.index()).map(|reckon| reckon.dimension);
    }
    SIGNATURES.iter().find(|known| known.name == first).map(|known| known.gives)
}

/// Within a comparison of something of that dimension; `look` is what is compared, where it is a look.
pub fn compared(menu: &mut Menu, test: &[&Token], hand: &Hand, dimension: Dimension, look: Option<LookId>) {
    let text = menu.cursor.text;
    let words: Vec<&str> = test.iter().map(|token| token.of(text)).collect();
    let Some(last) = test.last() else { return };
    if last.kind == TokenKind::Number {
        units(menu, dimension, look);
        if words.contains(&"from") {
            menu.words(&["to"]);
        }
        return;
    }
    match last.of(text) {
        "is" => menu.words(&["above", "below", "at least", "at most", "from"]),
        "at" => menu.words(&["least", "most"]),
        word if after_value(word) => {
            let compares = words.contains(&"is");
            if compares {
                menu.words(&["and", "or"]);
            } else {
                comparisons(menu);
            }
        }
        _ => values(menu, hand, Some(dimension)),
    }
}

/// Whether a word ends a value: a unit, or a name. What goes on then is another test.
fn after_value(word: &str) -> bool {
    Unit::parse(word).is_some()
        || word == ")"
        || !(matches!(
            word,
            "above" | "below" | "least" | "most" | "from" | "to" | "of" | "and" | "+" | "-" | "*" | "/" | "(" | "," | "last"
        ))
}

/// Values of a dimension, or of any.
pub fn values(menu: &mut Menu, hand: &Hand, dimension: Option<Dimension>) {
    let Some(book) = menu.book() else { return };
    let fits = |of: Option<Dimension>| of.is_some_and(|of| dimension.is_none_or(|dimension| dimension == of));
    let looks: Vec<LookId> =
        (0..book.looks.len()).map(LookId::from_index).filter(|look| fits(book.looks[look.index()].dimension())).collect();
    let wanted = |look: LookId| looks.contains(&look);
    if !menu.path.is_empty() {
        menu.after_path(&hand.in_hand, false, &wanted);
        return;
    }
    if let Some(part) = hand.part {
        menu.looks(part, 1, &wanted);
    }
    menu.look_paths(hand, &wanted);
    let Some(names) = menu.names() else { return };
    for (name, table) in names.tables.iter() {
        // A factor of any dimension may be multiplied, so a bare number is never out of place.
        let of = book.tables.get(table.index()).map(|table| table.dimension);
        if fits(of) || of == Some(Dimension::NUMBER) {
            menu.name(name, Target::Table(table), 2);
        }
    }
    for (name, reckon) in names.reckons.iter() {
        if fits(book.reckons.get(reckon.index()).map(|reckon| reckon.dimension)) {
            menu.name(name, Target::Reckon(reckon), 2);
        }
    }
    for known in SIGNATURES.iter().filter(|known| fits(Some(known.gives))) {
        let holes: Vec<String> = known.wanted.iter().map(|(name, _)| format!("<{name}>")).collect();
        menu.formula(known.name, "a formula of the trade", &format!("{}({})", known.name, holes.join(", ")));
    }
    menu.words(&["last", "lower of", "higher of"]);
    if fits(Some(Dimension::DATE)) {
        menu.words(&["inspected-on"]);
    }
    if fits(Some(Dimension::TIME)) {
        menu.words(&["days from"]);
    }
}

/// The units of a dimension, the look's own first.
pub fn units(menu: &mut Menu, dimension: Dimension, look: Option<LookId>) {
    let Some(book) = menu.book() else { return };
    let own = look.and_then(|look| match book.looks.get(look.index())?.kind {
        LookKind::Measured { unit, .. } => Some(unit),
        _ => None,
    });
    if dimension == Dimension::MONEY {
        menu.unit(book.money.code(), "the rulebook's money", 0);
        return;
    }
    // The later spellings are those that are read and not written.
    let mut told: Vec<Unit> = Vec::new();
    for (spelling, unit) in Unit::SPELLINGS.iter().filter(|(_, unit)| unit.dimension() == dimension) {
        if told.contains(unit) {
            continue;
        }
        told.push(*unit);
        let (detail, rank) = if own == Some(*unit) { ("the look's own unit", 0) } else { ("", 1) };
        menu.unit(spelling, detail, rank);
    }
}

/// All units that may follow a number where its dimension is not known.
pub fn any_unit(menu: &mut Menu) {
    for dimension in
        [Dimension::LENGTH, Dimension::ANGLE, Dimension::PERCENT, Dimension::TEMPERATURE, Dimension::TIME, Dimension::MONTHS]
    {
        units(menu, dimension, None);
    }
    units(menu, Dimension::MONEY, None);
}
