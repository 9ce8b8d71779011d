//! What may stand on a line after its first word.

use purfle_lang::book::{LookId, LookKind};
use purfle_lang::resolve::noted::Target;
use purfle_lang::seal::seals;
use purfle_lang::syntax::tree::{Entry, ExprKind, Head, Kind, Says};
use purfle_lang::syntax::words::ALTERED;
use purfle_lang::unit::{Dimension, Unit};

use super::condition::condition;
use super::hand::Hand;
use super::menu::Menu;
use super::{lines, record, value};
use crate::ide::tokens::{Token, TokenKind, tokens};

/// Proposes what may stand after `before` in the clause or on the entry's own line.
pub fn after(menu: &mut Menu, before: &[Token]) {
    let Some(entry) = menu.cursor.entry() else { return };
    match menu.cursor.clause {
        Some(clause) if !clause.word.is_empty() => in_clause(menu, entry, clause.word, before),
        Some(_) => {}
        None => on_line(menu, entry, before),
    }
}

fn texts(before: &[Token]) -> usize {
    before.iter().filter(|token| token.kind == TokenKind::Text).count()
}

fn words<'t>(text: &'t str, before: &[Token]) -> Vec<&'t str> {
    before.iter().map(|token| token.of(text)).collect()
}

/// On the own line of an item, or of a look, a place, a way or a rung.
fn on_line(menu: &mut Menu, entry: &Entry, before: &[Token]) {
    let text = menu.cursor.text;
    let outermost = menu.cursor.entries.len() == 1;
    if outermost && menu.cursor.changes() {
        let verb = text.get(entry.keyword.range()).unwrap_or_default();
        changes(menu, verb, Some(entry.kind), before);
        return;
    }
    let said = words(text, before);
    // The name and the words are the author's; below an `alter`, what is there may be written again.
    let named = texts(before) > 0;
    if said.is_empty() && !outermost && menu.cursor.changes() {
        lines::names_within(menu, entry.kind);
        return;
    }
    match entry.kind {
        Kind::Part if named => menu.words(&["apart"]),
        _ if !named => {}
        kind => head(menu, kind, before, &said),
    }
}

/// What stands after the name and the words.
fn head(menu: &mut Menu, kind: Kind, before: &[Token], said: &[&str]) {
    let after_words = before.iter().rposition(|token| token.kind == TokenKind::Text).map_or(0, |at| at + 1);
    let rest = &said[after_words..];
    let number = before.last().is_some_and(|last| last.kind == TokenKind::Number);
    match kind {
        Kind::Work => work(menu, before, rest, number),
        Kind::Table => table(menu, rest),
        Kind::Reckon => match rest {
            [] => menu.words(&["as"]),
            _ => amount(menu, before, None),
        },
        Kind::Step => match rest {
            [] => menu.words(&["within", "at once", "not to be played"]),
            ["within", _] => menu.words(&["days", "weeks", "months", "years"]),
            ["at"] => menu.words(&["once"]),
            _ => menu.words(&["not to be played"]),
        },
        Kind::Hand if number => {
            money_then(menu, "per h");
        }
        Kind::Hand if !rest.is_empty() => menu.words(&["per h"]),
        Kind::Tier => match rest {
            [] => menu.words(&["up to", "beyond"]),
            _ if number => money_then(menu, ""),
            _ => {}
        },
        Kind::Place => match rest {
            [] => menu.words(&["only when"]),
            ["only"] => menu.words(&["when"]),
            ["only", "when", ..] => condition(menu, &before[after_words + 2..], false),
            _ => {}
        },
        Kind::Look => kind_of_answer(menu, before, rest),
        _ => {}
    }
}

fn money_then(menu: &mut Menu, then: &str) {
    let Some(book) = menu.book() else { return };
    let code = book.money.code();
    let written = if then.is_empty() { code.to_owned() } else { format!("{code} {then}") };
    menu.phrase(&written, "the rulebook's money", &written);
}

fn work(menu: &mut Menu, before: &[Token], rest: &[&str], number: bool) {
    match rest.last() {
        Some(&"by") => {
            if let Some(names) = menu.names() {
                menu.named(&names.hands, Target::Hand, &[]);
            }
            return;
        }
        Some(&("once" | "each")) => return,
        _ => {}
    }
    if number {
        value::units(menu, Dimension::TIME, None);
        value::units(menu, Dimension::MONEY, None);
        menu.words(&["to"]);
        return;
    }
    let after_sign = matches!(rest.last(), Some(&("*" | "/" | "+" | "-" | "(")));
    if rest.is_empty() || after_sign {
        let hand = Hand::of(menu, before);
        value::values(menu, &hand, Some(Dimension::TIME));
        value::values(menu, &hand, Some(Dimension::MONEY));
    } else {
        menu.word("once", "counted once an instrument");
        menu.word("each", "counted once at each place");
        menu.word("by", "at the rate of this hand");
        menu.words(&["*"]);
    }
}

/// Tables go by looks with choices, and by places.
fn table(menu: &mut Menu, rest: &[&str]) {
    if rest.is_empty() {
        menu.words(&["by"]);
        return;
    }
    if !matches!(rest.last(), Some(&("by" | ","))) {
        return;
    }
    let Some(book) = menu.book() else { return };
    let wanted = |look: LookId| {
        let kind = book.looks.get(look.index()).map(|look| &look.kind);
        matches!(kind, Some(LookKind::YesNo | LookKind::OneOf(_)))
    };
    if menu.path.is_empty() {
        menu.look_paths(&Hand::default(), &wanted);
        let Some(names) = menu.names() else { return };
        for (part, id) in names.parts.iter() {
            if names.inside.get(id.index()).is_some_and(|inside| !inside.places.is_empty()) {
                let path = format!("{part}.place");
                menu.name_as(&path, &path, Target::Part(id), 2);
            }
        }
    } else {
        menu.after_path(&[], false, &wanted);
        menu.words(&["place"]);
    }
}

/// The kinds of answer that a look can take.
pub fn kind_of_answer(menu: &mut Menu, before: &[Token], rest: &[&str]) {
    let number = before.last().is_some_and(|last| last.kind == TokenKind::Number);
    match rest {
        [] => {
            menu.word("yes or no", "");
            menu.phrase("one of", "one choice of two or more", "one of <straight>, <crooked>");
            menu.phrase("some of", "any number of choices, none included", "some of <dent>, <scratch>");
            menu.phrase("measured in", "a measurement", "measured in <mm> from <0> to <10>, give or take <0.5>");
            menu.phrase("counted from", "a whole number", "counted from <0> to <10>");
            menu.phrase("priced from", "a sum of money", "priced from <0> to <1000> <USD>");
            menu.word("dated", "a date, or none");
            menu.word("written", "free text, which no rule tests");
        }
        ["measured"] => menu.words(&["in"]),
        ["measured", "in"] => value::any_unit(menu),
        ["measured", "in", _] => menu.words(&["from"]),
        ["measured", "in", unit, ..] if number => {
            if let Some(unit) = Unit::parse(unit) {
                value::units(menu, unit.dimension(), None);
            }
            menu.words(&["to", "give or take"]);
        }
        ["priced", ..] if number => {
            value::units(menu, Dimension::MONEY, None);
            menu.words(&["to"]);
        }
        ["counted", ..] if number => menu.words(&["to"]),
        ["counted" | "priced"] => menu.words(&["from"]),
        ["yes"] => menu.words(&["or no"]),
        ["one" | "some"] => menu.words(&["of"]),
        _ => {}
    }
}

/// On a line at the margin that begins with `alter` or `without`, whether or not it can be read. False on any other.
pub fn changing(menu: &mut Menu) -> bool {
    let text = menu.cursor.text;
    let all = tokens(text, menu.cursor.line.start..menu.cursor.typed().start);
    let Some((verb, before)) = all.split_first() else { return false };
    let (verb, margin) = (verb.of(text), verb.range.start == menu.cursor.line.start);
    if !margin || !matches!(verb, "alter" | "without") {
        return false;
    }
    let kind = before.first().and_then(|kind| ALTERED.into_iter().find(|known| known.word() == kind.of(text)));
    changes(menu, verb, kind, before);
    true
}

/// After an `alter` or a `without` of that kind of thing.
fn changes(menu: &mut Menu, verb: &str, kind: Option<Kind>, before: &[Token]) {
    let text = menu.cursor.text;
    let said = words(text, before);
    match said.as_slice() {
        [] => lines::changed_kinds(menu, verb),
        [_] if !matches!(kind, None | Some(Kind::Urgency | Kind::Hands | Kind::Tiers)) => {
            kind.into_iter().for_each(|kind| lines::changed_names(menu, kind));
        }
        _ if said.contains(&"because") => {}
        _ => {
            menu.phrase("because", "the reason, which is shown wherever its effect is", "because \"<why>\"");
            if verb == "alter" {
                // What stands after the name on its line is written again.
                let number = before.last().is_some_and(|last| last.kind == TokenKind::Number);
                let Some(kind) = kind else { return };
                match kind {
                    Kind::Work => work(menu, before, said.get(2..).unwrap_or_default(), number),
                    Kind::Step if said.len() == 2 => menu.words(&["within", "at once", "not to be played"]),
                    Kind::Step if number => menu.words(&["days", "weeks", "months", "years"]),
                    Kind::Hand if number => money_then(menu, "per h"),
                    Kind::Tier if said.len() == 2 => menu.words(&["up to", "beyond"]),
                    Kind::Tier if number => money_then(menu, ""),
                    Kind::Reckon if said.len() == 2 => menu.words(&["as"]),
                    Kind::Reckon => amount(menu, before, None),
                    _ => {}
                }
            }
        }
    }
}

/// A value of a dimension, or of any.
fn amount(menu: &mut Menu, before: &[Token], dimension: Option<Dimension>) {
    let text = menu.cursor.text;
    let last = before.last();
    if last.is_some_and(|last| last.kind == TokenKind::Number) {
        match dimension {
            Some(dimension) => value::units(menu, dimension, None),
            None => value::any_unit(menu),
        }
        menu.words(&["to"]);
        return;
    }
    let ended = last.is_some_and(|last| {
        last.kind == TokenKind::Word && !matches!(last.of(text), "as" | "of" | "and" | "to" | "from" | "last")
    });
    if !ended {
        value::values(menu, &Hand::of(menu, before), dimension);
    }
}

/// Names with commas between: those that stand there are left out, and after a name nothing is proposed.
fn list_is_open(text: &str, before: &[Token]) -> bool {
    before.last().is_none_or(|last| last.of(text) == ",")
}

/// In a clause, by its word.
fn in_clause(menu: &mut Menu, entry: &Entry, word: &str, before: &[Token]) {
    let text = menu.cursor.text;
    let said = words(text, before);
    let Some(names) = menu.names() else { return };
    let kind = menu.cursor.kind();
    if kind == Some(Kind::Example) {
        if word == "record" {
            record::record(menu, before)
        } else {
            record::expected(menu, word, before)
        }
        return;
    }
    // A clause of two words may be half written.
    let second = word.split_once(' ').map(|(_, second)| second);
    if let Some(second) = second
        && said.first() != Some(&second)
        && before.is_empty()
    {
        menu.words(&[second]);
        if word != "covers above" {
            return;
        }
    }
    let after_word =
        if second.is_some() && said.first().copied() == second { before.get(1..).unwrap_or_default() } else { before };
    let said = words(text, after_word);
    match word {
        "signs" | "unless" | "only when" | "when" | "for" => condition(menu, after_word, kind == Some(Kind::Counsel)),
        "on" if kind == Some(Kind::Raise) && list_is_open(text, before) => menu.parts(|_| true, &said),
        "on" if kind == Some(Kind::Raise) => {}
        "on" => match said.as_slice() {
            [] => {
                menu.word("each", "each place by itself");
                menu.parts(|_| true, &[]);
            }
            ["each"] => menu.parts(|repeats| repeats != purfle_lang::resolve::names::Repeats::Single, &[]),
            _ => {}
        },
        "urgency" => match said.as_slice() {
            [] => menu.named(&names.steps, Target::Step, &[]),
            [_] => menu.words(&["if"]),
            _ => condition(menu, &after_word[1..], false),
        },
        "hands" if said.is_empty() => menu.named(&names.hands, Target::Hand, &[]),
        "work" | "includes" if list_is_open(text, before) => menu.named(&names.works, Target::Work, &said),
        "yields to" if list_is_open(text, after_word) => menu.named(&names.findings, Target::Finding, &said),
        "goods" if texts(before) > 0 => amount(menu, before, Some(Dimension::MONEY)),
        "cost" => menu.words(&["on sight", "nothing"]),
        "left" | "left becomes" => left(menu, &said, after_word),
        "again" | "again in" if after_word.last().is_some_and(|last| last.kind == TokenKind::Number) => {
            menu.words(&["days", "weeks", "months", "years"]);
        }
        "by" => match said.as_slice() {
            [_] => menu.words(&["step", "steps"]),
            [.., "than"] => menu.named(&names.steps, Target::Step, &[]),
            [_, "step" | "steps", ..] => menu.words(&["no higher than"]),
            _ => {}
        },
        "covers" | "covers above" => {
            if before.last().is_some_and(|last| last.kind == TokenKind::Number) {
                value::units(menu, Dimension::MONEY, None);
            } else if said.first() != Some(&"above") && list_is_open(text, before) {
                menu.words(&["above"]);
                menu.named(&names.findings, Target::Finding, &said);
            }
        }
        "needs" if list_is_open(text, before) => paths(menu, |_| true),
        "not beyond" | "not" if said.last() == Some(&"of") => paths(menu, |kind| matches!(kind, LookKind::Priced { .. })),
        "cap" | "family pays" | "least charge" if before.last().is_some_and(|last| last.kind == TokenKind::Number) => {
            value::units(menu, Dimension::MONEY, None);
        }
        "pays" | "not beyond" if before.last().is_some_and(|last| last.kind == TokenKind::Number) => {
            value::units(menu, Dimension::PERCENT, None);
        }
        "family pays" if said.is_empty() => menu.words(&["at least"]),
        "good" => good(menu, entry, before),
        "row" => row(menu, entry, before),
        "places" if said.is_empty() => menu.words(&["as found"]),
        "money" if said.is_empty() => {
            for code in ["USD", "EUR", "GBP", "CHF", "CAD", "AUD", "JPY", "SEK", "NOK", "DKK", "PLN", "CZK", "NZD"] {
                menu.unit(code, "ISO 4217", 1);
            }
        }
        "language" if said.is_empty() => menu.words(&["en", "en-GB", "de", "fr", "it", "es"]),
        "builds on" => {
            if let [.., "edition", _] = said.as_slice() {
                menu.phrase("from", "the file it stands in", "from \"<file>.purfle\"");
                sealed(menu);
            } else if let [.., "from", _] = said.as_slice() {
                sealed(menu);
            } else if said.len() == 1 {
                let edition = menu.analysis.trees.get(1).and_then(|parent| parent.edition()).map(|edition| edition.value.clone());
                let edition = edition.unwrap_or_else(|| "<2026.1>".to_owned());
                menu.phrase("edition", "the one it is written against", &format!("edition {edition}"));
            }
        }
        _ => {}
    }
}

/// The seal of the parent that is there.
fn sealed(menu: &mut Menu) {
    let seal = menu.analysis.trees.get(1..).and_then(|parents| seals(parents).first().copied());
    if let Some(seal) = seal {
        menu.phrase("seal", "what it says, in short: nobody can change it unseen", &format!("seal \"{seal}\""));
    }
}

fn paths(menu: &mut Menu, wanted: impl Fn(&LookKind) -> bool) {
    let Some(book) = menu.book() else { return };
    let wanted = |look: LookId| book.looks.get(look.index()).is_some_and(|look| wanted(&look.kind));
    if menu.path.is_empty() {
        menu.look_paths(&Hand::default(), &wanted);
    } else {
        menu.after_path(&[], false, &wanted);
    }
}

fn left(menu: &mut Menu, said: &[&str], before: &[Token]) {
    let Some(names) = menu.names() else { return };
    let number = before.last().is_some_and(|last| last.kind == TokenKind::Number);
    match said {
        [] | ["becomes"] => menu.named(&names.findings, Target::Finding, &[]),
        [.., "odds", _] if number => value::units(menu, Dimension::PERCENT, None),
        [.., "within", _] if number => menu.words(&["days", "weeks", "months", "years"]),
        _ => {
            let there = |word: &str| said.contains(&word);
            if !there("odds") {
                menu.phrase("odds", "how likely", "odds <20> %");
            }
            if !there("within") {
                menu.phrase("within", "how soon", "within <12> months");
            }
        }
    }
}

/// What a good one shows: choices of this look, values of its dimension.
fn good(menu: &mut Menu, entry: &Entry, before: &[Token]) {
    let text = menu.cursor.text;
    let Some(look) = look_of(menu, entry) else { return };
    let Some(of) = menu.book().and_then(|book| book.looks.get(look.index())) else { return };
    match &of.kind {
        LookKind::YesNo | LookKind::OneOf(_) | LookKind::SomeOf(_) => {
            if list_is_open(text, before) {
                menu.choices(look, &words(text, before));
                if matches!(of.kind, LookKind::SomeOf(_)) {
                    menu.words(&["none"]);
                }
            }
        }
        LookKind::Dated => menu.words(&["none"]),
        LookKind::Written => {}
        _ if before.last().is_some_and(|last| last.kind == TokenKind::Number) => {
            if let Some(dimension) = of.dimension() {
                value::units(menu, dimension, Some(look));
            }
            menu.words(&["to"]);
        }
        _ => amount(menu, before, of.dimension()),
    }
}

/// The look that an entry writes or alters.
fn look_of(menu: &Menu, entry: &Entry) -> Option<LookId> {
    let names = menu.names()?;
    let part = match &entry.owner {
        Some(owner) => owner.value.as_str(),
        None => menu.cursor.item?.entry.name_text(),
    };
    names.inside.get(names.parts.get(part)?.index())?.looks.get(entry.name_text())
}

/// The dimension of a table, by the first row of it that has a unit: here, or where the table was first written.
fn dimension_of_rows(menu: &Menu, table: &Entry) -> Option<Dimension> {
    let parents = menu.analysis.parents().entries.iter().map(|entry| &**entry);
    let before = parents.filter(|entry| entry.kind == Kind::Table && entry.name_text() == table.name_text());
    let rows = std::iter::once(table).chain(before).flat_map(|table| table.all("row"));
    let units = rows.filter_map(|row| match &row.says {
        Says::Row(row) => match &row.value.kind {
            ExprKind::Quantity(quantity) | ExprKind::Range(_, quantity) => quantity.unit.as_ref(),
            _ => None,
        },
        _ => None,
    });
    units.filter_map(|unit| Unit::parse(&unit.value)).map(Unit::dimension).next()
}

/// The keys of a row, then its value.
fn row(menu: &mut Menu, entry: &Entry, before: &[Token]) {
    let text = menu.cursor.text;
    let Some(names) = menu.names() else { return };
    if !list_is_open(text, before) {
        if before.last().is_some_and(|last| last.kind == TokenKind::Number) {
            match dimension_of_rows(menu, entry) {
                Some(dimension) => value::units(menu, dimension, None),
                None => value::any_unit(menu),
            }
            menu.words(&["to"]);
        }
        return;
    }
    let at = before.iter().filter(|token| token.of(text) == ",").count();
    let written = match &entry.head {
        Head::Table { by } if !by.is_empty() => Some(by.clone()),
        _ => {
            super::super::source::entry(menu.analysis, &[Kind::Table], entry.name_text()).and_then(|merged| match &merged.head {
                Head::Table { by } => Some(by.clone()),
                _ => None,
            })
        }
    };
    let path = written.and_then(|by| by.get(at).cloned());
    menu.word("any", "all the rest");
    let Some(path) = path else { return };
    let segments: Vec<&str> = path.segments.iter().map(|segment| segment.value.as_str()).collect();
    let Some(part) = segments.first().and_then(|part| names.parts.get(part)) else { return };
    match segments.last() {
        Some(&"place") => menu.places(part),
        Some(look) => {
            let look = names.inside.get(part.index()).and_then(|inside| inside.looks.get(look));
            if let Some(look) = look {
                menu.choices(look, &[]);
            }
        }
        None => {}
    }
}
