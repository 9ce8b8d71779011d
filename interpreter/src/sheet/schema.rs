//! A JSON Schema (2020-12) of one record: every record that is read is valid, and what is refused for its shape is not.
//!
//! What hangs on several fields at once, such as places numbered with a gap, no schema of this kind can say; the program
//! still refuses it. Names that belong to nobody are carried along, so they are allowed; those that nearly belong to
//! somebody are not.

mod pattern;

use purfle_lang::book::{Book, Look, LookKind, Places};
use purfle_lang::number::{Number, format_decimal, parse_decimal};
use purfle_lang::unit::{Dimension, Unit};
use serde_json::{Map, Value, json};

use super::Scope;
use super::view::{Sheet, SheetLook, SheetPart};
use crate::records::{INSPECTED_ON, MOST_PLACES, QUOTED, RECORD, TAG, THE_REST};
use crate::report::sealed;
use pattern::{any_case, date, escaped, group, like, list_of, number, words};

/// The schema of a record of everything that may apply.
pub fn schema(scope: &Scope<'_>) -> Value {
    let book = scope.book();
    let sheet = Sheet::new(scope);
    let mut fields = Fields::default();
    fields.add(None, &escaped(RECORD), described(scalar(r"\S"), "The inspection's own mark; no two records may have the same."));
    fields.add(
        None,
        &escaped(TAG),
        described(json!({"type": ["string", "number", "boolean", "null"]}), "The instrument's lasting mark."),
    );
    let day = json!({"type": ["string", "null"], "pattern": format!("^\\s*({})?\\s*$", date(false))});
    fields.add(None, &escaped(INSPECTED_ON), described(day, "The day of the inspection."));
    let price = price(book);
    let quoted = format!("{}({})?", escaped(QUOTED), headed(&[book.money.code()]));
    fields.add(None, &quoted, described(price, "The shop's own price, once it has seen the instrument."));
    let rest = json!({"type": ["string", "null"], "pattern": format!("^\\s*({})?\\s*$", any_case("good"))});
    fields.add(None, &escaped(THE_REST), described(rest, "Everything that is not mentioned is good."));
    for part in sheet.contexts.iter().chain(&sheet.parts) {
        add_part(&mut fields, book, part);
    }
    let Fields { parts, patterns, known, definitions } = fields;
    let parts = group(parts.iter().map(|part| like(part)));
    let fixed = group([RECORD, TAG, INSPECTED_ON, QUOTED, THE_REST].map(like).into_iter());
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": format!("A record for {} {}", book.name, book.edition),
        "$comment": format!("Made from {}.", sealed(&book.name, &book.edition, book.seal)),
        "description": "One inspection of one instrument. Empty, null or absent is not looked at; ? is could not tell; - is does not apply.",
        "type": "object",
        "required": [RECORD],
        "patternProperties": patterns,
        "$defs": definitions,
        "propertyNames": {"anyOf": [
            {"pattern": format!("^\\s*({})\\s*$", known.join("|"))},
            {"not": {"pattern": format!("^\\s*({parts}[sS]?\\s*(\\.|$)|{fixed}[sS]?\\s*$)")}}
        ]}
    })
}

/// The fields of a record, by patterns of their names.
#[derive(Default)]
struct Fields {
    /// The names of parts, which a field may not merely resemble.
    parts: Vec<String>,
    patterns: Map<String, Value>,
    known: Vec<String>,
    /// What is said once and meant in several places.
    definitions: Map<String, Value>,
}

impl Fields {
    fn add(&mut self, part: Option<&String>, name: &str, schema: Value) {
        self.parts.extend(part.cloned());
        self.known.push(name.to_owned());
        self.patterns.insert(format!("^\\s*({name})\\s*$"), schema);
    }

    /// Says something once, and returns what stands for it.
    fn define(&mut self, name: String, schema: Value) -> Value {
        // A name of a rulebook has letters, digits and hyphens, and needs no escaping in a pointer.
        let pointer = format!("#/$defs/{name}");
        self.definitions.insert(name, schema);
        json!({"$ref": pointer})
    }
}

fn described(mut schema: Value, words: &str) -> Value {
    if let Value::Object(fields) = &mut schema {
        fields.insert("description".to_owned(), words.into());
    }
    schema
}

/// One value, as text of this shape or as anything else that is written without one.
fn scalar(pattern: &str) -> Value {
    json!({"type": ["string", "number", "boolean"], "pattern": pattern})
}

/// A unit in brackets behind a field's name.
fn headed(units: &[&str]) -> String {
    format!("\\s*\\[\\s*{}\\s*\\]", group(units.iter().map(|unit| escaped(unit))))
}

fn add_part(fields: &mut Fields, book: &Book, part: &SheetPart) {
    let name = escaped(&part.name);
    const { assert!(MOST_PLACES == 100) };
    let found = "([1-9][0-9]?|100)".to_owned();
    let places: Option<String> = match book.find_part(&part.name).map(|id| &book[id].places) {
        Some(Places::AsFound) => Some(found),
        Some(Places::Fixed(all)) => Some(group(all.iter().map(|place| escaped(&place.name)))),
        Some(Places::Single) | None => None,
    };
    let looks: Vec<(String, Value)> = part.looks.iter().flat_map(|look| look_of(fields, book, part, look)).collect();
    let of_looks = |stem: &str| -> Map<String, Value> {
        looks.iter().map(|(name, schema)| (format!("^\\s*{stem}{name}\\s*$"), schema.clone())).collect()
    };
    let object =
        |patterns: Map<String, Value>| json!({"type": "object", "patternProperties": patterns, "additionalProperties": false});
    let whole = |allowed: &[&str]| {
        let words = group(allowed.iter().map(|word| any_case(word)));
        json!({"type": ["string", "null"], "pattern": format!("^\\s*({words})?\\s*$")})
    };
    let Some(places) = places else {
        fields.add(
            Some(&part.name),
            &name,
            described(json!({"anyOf": [whole(&["good", "?", "-"]), object(of_looks(""))]}), &part.words),
        );
        for (look, schema) in &looks {
            fields.add(None, &format!("{name}\\.{look}"), schema.clone());
        }
        return;
    };
    let place =
        json!({"anyOf": [whole(if part.as_found { &["yes", "good", "?"] } else { &["good", "?", "-"] }), object(of_looks(""))]});
    let mut within = of_looks(&format!("{places}\\."));
    within.insert(format!("^\\s*{places}\\s*$"), place.clone());
    let mut all =
        vec![whole(if part.as_found { &["none", "may be more", "good", "?", "-"] } else { &["good", "?", "-"] }), object(within)];
    if part.as_found {
        let open = any_case("may be more");
        let word = json!({"type": ["string", "boolean", "null"], "pattern": format!("^\\s*({}|{open})?\\s*$", group(["yes", "good", "?"].map(any_case).into_iter()))});
        all.push(json!({"type": "array", "items": {"anyOf": [word, object(of_looks(""))]}}));
    }
    fields.add(Some(&part.name), &name, described(json!({"anyOf": all}), &part.words));
    fields.add(None, &format!("{name}\\.{places}"), place);
    for (look, schema) in &looks {
        fields.add(None, &format!("{name}\\.{places}\\.{look}"), schema.clone());
    }
}

/// The patterns of a look's own name, and what it takes under each: with a unit behind it, a bare number is in that unit.
fn look_of(fields: &mut Fields, book: &Book, part: &SheetPart, asked: &SheetLook) -> Vec<(String, Value)> {
    let Some(id) = book.find_part(&part.name).and_then(|part| book.find_look(part, &asked.name)) else { return Vec::new() };
    let look = &book[id];
    let units = match &look.kind {
        LookKind::Measured { unit, .. } => spellings(unit.dimension()),
        LookKind::Priced { .. } => vec![book.money.code()],
        _ => Vec::new(),
    };
    let mut words = asked.question.clone();
    for how in asked.how.iter().chain(&part.how) {
        words.push(' ');
        words.push_str(how);
    }
    let name = escaped(&asked.name);
    let path = format!("{}.{}", part.name, asked.name);
    let bare = fields.define(path.clone(), described(value(book, look, true), &words));
    let mut all = vec![(name.clone(), bare)];
    if !units.is_empty() {
        let with_unit = fields.define(format!("{path}-with-unit"), described(value(book, look, false), &words));
        all.push((format!("{name}{}", headed(&units)), with_unit));
    }
    all
}

fn spellings(dimension: Dimension) -> Vec<&'static str> {
    Unit::SPELLINGS.iter().filter(|(_, unit)| unit.dimension() == dimension).map(|(spelling, _)| *spelling).collect()
}

/// What one look takes: a value, or a list of values that is read as if `or` (or a comma) stood between them.
fn value(book: &Book, look: &Look, bounded: bool) -> Value {
    let text = |own: &str| format!("^\\s*({own}|\\?|-)?\\s*$");
    let (mut types, pattern) = match &look.kind {
        LookKind::YesNo => {
            let word = group(["yes", "y", "true", "no", "n", "false"].map(any_case).into_iter());
            (vec!["string", "boolean"], text(&format!("{word}(\\s+{}\\s+{word})?", any_case("or"))))
        }
        LookKind::OneOf(choices) | LookKind::SomeOf(choices) => {
            let mut names: Vec<&str> = choices.iter().flat_map(|choice| [choice.name.as_str(), choice.words.as_str()]).collect();
            if matches!(look.kind, LookKind::SomeOf(_)) {
                names.push("none");
            }
            let mut types = vec!["string"];
            if names.iter().any(|name| name.parse::<f64>().is_ok()) {
                types.push("number");
            }
            if names.iter().any(|name| ["yes", "no"].contains(&name.to_lowercase().as_str())) {
                types.push("boolean");
            }
            (types, text(&list_of(&words(&names))))
        }
        LookKind::Measured { unit, .. } => (vec!["string", "number"], text(&number(&spellings(unit.dimension())))),
        LookKind::Counted { .. } => (vec!["string", "number"], text(&number(&[]))),
        LookKind::Priced { .. } => (vec!["string", "number"], text(&number(&[book.money.code()]))),
        LookKind::Dated => (vec!["string"], text(&date(true))),
        LookKind::Written => {
            return json!({"type": ["string", "number", "boolean", "null", "array"], "items": {"type": ["string", "number", "boolean"]}});
        }
    };
    let mut single = json!({"type": types.clone(), "pattern": pattern});
    if let Some(fields) = single.as_object_mut() {
        for (name, limit) in limits(look, bounded) {
            fields.insert(name.to_owned(), limit);
        }
    }
    let list = json!({"type": "array", "items": single.clone()});
    types.push("null");
    if let Some(fields) = single.as_object_mut() {
        fields.insert("type".to_owned(), types.into());
    }
    json!({"anyOf": [single, list]})
}

/// What bare numbers are held to.
fn limits(look: &Look, bounded: bool) -> Vec<(&'static str, Value)> {
    let (least, greatest) = match &look.kind {
        LookKind::Measured { unit, from, to, .. } => (unit.from_base(*from), unit.from_base(*to)),
        LookKind::Priced { from, to } => (Some(*from), Some(*to)),
        LookKind::Counted { from, to } => {
            return vec![("minimum", (*from).into()), ("maximum", (*to).into()), ("multipleOf", 1.into())];
        }
        _ => (None, None),
    };
    // A limit without a finite decimal no schema can say.
    let limit = |number: Option<Number>| {
        let text = format_decimal(number?);
        let same = parse_decimal(&text).is_ok_and(|read| Some(read) == number);
        same.then(|| serde_json::from_str(&text).ok()).flatten()
    };
    let all = [("minimum", limit(least)), ("maximum", limit(greatest))];
    all.into_iter().filter(|_| bounded).filter_map(|(name, limit)| Some((name, limit?))).collect()
}

/// A sum of the rulebook's money that is no look's.
fn price(book: &Book) -> Value {
    let pattern = format!("^\\s*({})?\\s*$", number(&[book.money.code()]));
    json!({"type": ["string", "number", "null"], "pattern": pattern, "minimum": 0})
}
