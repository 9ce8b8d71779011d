//! JSON: one object is one record; groups and lists in it are the parts and their places.
//!
//! Values are taken as they are written, so that a number keeps every digit it has. What is plain is read by
//! [`super::plain`] and never comes further than [`read`].

use std::borrow::Cow;
use std::fmt;

use purfle_lang::book::{LookKind, PartId, Places, RecordPath};
use serde::de::{DeserializeSeed, Deserializer, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde_json::value::RawValue;

use super::field::{MOST_PLACES, Target};
use super::plain;
use super::reader::{NameId, RecordReader};
use super::refused::Fault;

/// A record is a group of parts, of places, of looks: nothing lies deeper.
pub const DEEPEST: usize = 3;

/// Adds the fields of one JSON object to the record at hand.
pub fn read(reader: &mut RecordReader, bytes: &[u8]) {
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(bad) => {
            let at = bad.valid_up_to() + 1;
            return reader.fault(Fault::whole(format!("it is not UTF-8 (byte {at} of the record); save the file as UTF-8")));
        }
    };
    if plain::read(reader, text) {
        return;
    }
    reader.again();
    let read = match not_a_group(text) {
        Some(stands) => Err(format!("it is {stands}, and a record is an object, such as {{\"record\": \"AR-001\"}}")),
        None => read_group(reader, None, text, DEEPEST),
    };
    if let Err(why) = read {
        reader.fault(Fault::whole(why));
    }
}

/// What a JSON value is that is no object; none where it is one, or no JSON at all.
fn not_a_group(text: &str) -> Option<&'static str> {
    let text = text.trim_ascii();
    match text.as_bytes().first()? {
        b'[' => Some("a list"),
        b'"' => Some("a text"),
        b'-' | b'0'..=b'9' => Some("a number"),
        _ => ["null", "true", "false"].into_iter().find(|word| *word == text),
    }
}

/// Reads one object whose fields' names go on from `stem` (`peg.E`, or nothing).
fn read_group(reader: &mut RecordReader, stem: Option<NameId>, text: &str, deeper: usize) -> Result<(), String> {
    let mut json = serde_json::Deserializer::from_str(text);
    json.deserialize_map(Fields { reader, stem, deeper }).and_then(|()| json.end()).map_err(|bad| not_json(&bad))
}

/// Why a text is no record, in words that name the place.
fn not_json(bad: &serde_json::Error) -> String {
    let told = bad.to_string();
    let said = in_plain_words(told.rsplit_once(" at line ").map_or(told.as_str(), |(said, _)| said));
    let place = match (bad.line(), bad.column()) {
        (0, _) => String::new(),
        (1, column) => format!(" at character {column}"),
        (line, column) => format!(" at character {column} of its line {line}"),
    };
    if bad.is_data() { said.to_owned() } else { format!("it is not JSON{place}: {said}") }
}

/// What the reader of JSON says where a text is no JSON, for somebody who wrote it by hand.
fn in_plain_words(said: &str) -> &str {
    match said {
        "key must be a string" => "the name of a field stands in quotation marks, and no comma stands behind the last one",
        "trailing comma" => "no comma stands behind the last one",
        "expected `,` or `}`" => "a comma stands between two fields, and a brace behind the last one",
        "expected `,` or `]`" => "a comma stands between two entries of a list, and a bracket behind the last one",
        "expected `:`" => "a colon stands between the name of a field and what it says",
        "expected value" => "a text stands in quotation marks; a number, true, false or null stands without them",
        "unexpected end of hex escape" | "lone leading surrogate in hex escape" => {
            "an escape such as \\ud83d is half a character; write the whole of it, or leave it out"
        }
        "EOF while parsing a value"
        | "EOF while parsing an object"
        | "EOF while parsing a list"
        | "EOF while parsing a string" => "the file ends in the middle of it",
        said => said,
    }
}

struct Fields<'r> {
    reader: &'r mut RecordReader,
    stem: Option<NameId>,
    deeper: usize,
}

impl<'de> Visitor<'de> for Fields<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a group in braces")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        let Fields { reader, stem, deeper } = self;
        while let Some(key) = map.next_key_seed(Key)? {
            let name = reader.name_under(stem, &key);
            let value: &RawValue = map.next_value()?;
            field(reader, name, value.get(), deeper);
        }
        Ok(())
    }
}

/// A key as it stands in the text, or unescaped.
struct Key;

impl<'de> DeserializeSeed<'de> for Key {
    type Value = Cow<'de, str>;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Self::Value, D::Error> {
        deserializer.deserialize_str(self)
    }
}

impl<'de> Visitor<'de> for Key {
    type Value = Cow<'de, str>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the name of a field")
    }

    fn visit_borrowed_str<E>(self, text: &'de str) -> Result<Self::Value, E> {
        Ok(Cow::Borrowed(text))
    }

    fn visit_str<E>(self, text: &str) -> Result<Self::Value, E> {
        Ok(Cow::Owned(text.to_owned()))
    }
}

/// Takes one field's value, as it is written.
fn field(reader: &mut RecordReader, name: NameId, raw: &str, deeper: usize) {
    if !reader.uses(name, raw) {
        return;
    }
    match raw.as_bytes().first() {
        Some(b'{') => group(reader, name, raw, deeper),
        Some(b'[') => list(reader, name, raw, deeper),
        _ => match scalar(raw) {
            Ok(Some(text)) => reader.value(name, &text),
            Ok(None) => reader.nothing(name),
            Err(why) => reader.field_fault(name, raw, why),
        },
    }
}

/// Why a text that JSON allows to be written is none.
const HALF_A_CHARACTER: &str =
    "it holds an escape such as \\ud83d, which is half a character; write the whole of it, or leave it out";

/// The text that a single value stands for; none for `null`. An error says why it stands for none.
fn scalar(raw: &str) -> Result<Option<Cow<'_, str>>, &'static str> {
    Ok(match raw {
        "null" => None,
        "true" => Some(Cow::Borrowed("yes")),
        "false" => Some(Cow::Borrowed("no")),
        _ => match raw.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')) {
            Some(inner) if memchr::memchr(b'\\', inner.as_bytes()).is_none() => Some(Cow::Borrowed(inner)),
            Some(_) => Some(Cow::Owned(serde_json::from_str::<String>(raw).map_err(|_| HALF_A_CHARACTER)?)),
            None => Some(Cow::Borrowed(raw)),
        },
    })
}

fn group(reader: &mut RecordReader, name: NameId, raw: &str, deeper: usize) {
    let part = match reader.target(name) {
        Some(Target::Carried) => return reader.carry(name, raw),
        Some(Target::Part(part, at)) => {
            if let Some(at @ RecordPath::Found(_)) = at {
                reader.there(part, at);
            }
            part
        }
        _ => return reader.field_fault(name, raw, "it takes one value, and a group in braces stands here"),
    };
    let Some(deeper) = deeper.checked_sub(1) else {
        return reader.field_fault(name, raw, format!("nothing of `{}` lies so deep", reader.book()[part].name));
    };
    if let Err(why) = read_group(reader, Some(name), raw, deeper) {
        reader.field_fault(name, raw, why);
    }
}

fn list(reader: &mut RecordReader, name: NameId, raw: &str, deeper: usize) {
    match reader.target(name) {
        Some(Target::Carried) => reader.carry(name, raw),
        Some(Target::Part(part, None)) if matches!(reader.book()[part].places, Places::AsFound) => {
            places(reader, name, part, raw, deeper);
        }
        Some(Target::Part(part, None)) if reader.book()[part].repeats() => {
            let places: Vec<&str> = reader.book()[part].fixed_places().iter().map(|place| place.name.as_str()).collect();
            let why = format!("its places have names: write a group in braces, with {}", super::field::listed(&places));
            reader.field_fault(name, raw, why);
        }
        Some(Target::Look(look, _)) => {
            let word = match reader.book()[look].kind {
                LookKind::SomeOf(_) => ", ",
                _ => " or ",
            };
            match values(raw) {
                Ok(values) if values.is_empty() && word == ", " => reader.value(name, "none"),
                Ok(values) if values.is_empty() => {}
                Ok(values) => reader.value(name, &values.join(word)),
                Err(why) => reader.field_fault(name, raw, why),
            }
        }
        _ => reader.field_fault(name, raw, "it takes one value, and a list in brackets stands here"),
    }
}

/// The single values of a list.
fn values(raw: &str) -> Result<Vec<String>, String> {
    elements(raw)?
        .into_iter()
        .map(|element| match element.as_bytes().first() {
            Some(b'{' | b'[') => Err("a list of answers holds single answers only".to_owned()),
            _ => match scalar(element)? {
                Some(text) => Ok(text.into_owned()),
                None => Err("a list of answers holds no null".to_owned()),
            },
        })
        .collect()
}

/// Whether an element of a list of places says that there may be more.
pub fn says_may_be_more(text: &str) -> bool {
    text.eq_ignore_ascii_case("may be more")
}

/// Places as found: a group each, or what may be said of a place as a whole; `may be more` at the end.
fn places(reader: &mut RecordReader, name: NameId, part: PartId, raw: &str, deeper: usize) {
    let elements = match elements(raw) {
        Ok(elements) => elements,
        Err(why) => return reader.field_fault(name, raw, why),
    };
    let mut count: u32 = 0;
    for element in &elements {
        if matches!(scalar(element), Ok(Some(text)) if says_may_be_more(&text)) {
            reader.may_be_more(part);
            continue;
        }
        count += 1;
        if count > MOST_PLACES {
            return reader.field_fault(name, raw, format!("it lists more than {MOST_PLACES} places"));
        }
        let place = reader.name_under(Some(name), &count.to_string());
        if *element == "null" || element.is_empty() {
            reader.there(part, RecordPath::Found(count));
        } else {
            field(reader, place, element, deeper);
        }
    }
    if elements.is_empty() {
        reader.no_places(part);
    }
}

fn elements(raw: &str) -> Result<Vec<&str>, String> {
    struct Raws;
    impl<'de> Visitor<'de> for Raws {
        type Value = Vec<&'de str>;

        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str("a list")
        }

        fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Self::Value, A::Error> {
            let mut elements = Vec::new();
            while elements.len() <= MOST_PLACES as usize {
                match seq.next_element::<&RawValue>()? {
                    Some(element) => elements.push(element.get()),
                    None => return Ok(elements),
                }
            }
            while seq.next_element::<IgnoredAny>()?.is_some() {}
            Ok(elements)
        }
    }
    let mut json = serde_json::Deserializer::from_str(raw);
    json.deserialize_seq(Raws).map_err(|bad| not_json(&bad))
}
