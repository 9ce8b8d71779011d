//! The two marks of a record, seen in its text without reading the rest of it.

use memchr::memmem::Finder;

use super::cells::{Cell, cells};
use super::csv::Cells;
use super::field::{RECORD, TAG};
use super::heading::Heading;
use super::plain::texts;
use super::window::Kind;

/// How much of a JSON object is taken for its beginning.
const BEGINNING: usize = 128;

/// Looks at records for their marks.
pub struct Glance {
    record: Finder<'static>,
    tag: Finder<'static>,
    cells: Cells,
}

/// What a glance shows: the inspection's own mark and the instrument's lasting one, if there are any.
pub type Marks<'t> = (Option<&'t str>, Option<&'t str>);

/// A mark as far as it can be told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mark<'t> {
    /// There is none.
    No,
    /// There is this one.
    One(&'t str),
    /// It takes reading to tell.
    Unsure,
}

impl Default for Glance {
    fn default() -> Self {
        Self { record: Finder::new(RECORD), tag: Finder::new(TAG), cells: Cells::default() }
    }
}

impl Glance {
    /// The marks of a record. None where it takes reading to tell.
    pub fn at<'t>(&'t mut self, kind: &Kind, text: &'t [u8]) -> Option<Marks<'t>> {
        match kind {
            Kind::Json => self.json(text),
            Kind::Row(heading) => self.row(heading, text),
            Kind::Cells(heading) => sheet_row(heading, text),
        }
    }

    fn json<'t>(&self, json: &'t [u8]) -> Option<Marks<'t>> {
        let both = at_the_beginning(json);
        if both.is_some() {
            return both;
        }
        if memchr::memchr(b'\\', json).is_some() {
            return None;
        }
        let sure = |mark| match mark {
            Mark::No => Some(None),
            Mark::One(text) => Some(Some(text)),
            Mark::Unsure => None,
        };
        Some((sure(mark(json, &self.record, RECORD))?, sure(mark(json, &self.tag, TAG))?))
    }

    fn row<'t>(&'t mut self, heading: &Heading, row: &'t [u8]) -> Option<Marks<'t>> {
        let row = std::str::from_utf8(row).ok()?;
        self.cells.split(row);
        let cell = |name: &str| {
            let at = heading.columns.iter().position(|column| column.text == name)?;
            self.cells.iter(row).nth(at).map(str::trim).filter(|cell| !cell.is_empty())
        };
        Some((cell(RECORD), cell(TAG)))
    }
}

fn sheet_row<'t>(heading: &Heading, row: &'t [u8]) -> Option<Marks<'t>> {
    let mut marks = (None, None);
    for (at, cell) in cells(row) {
        let mark = match heading.columns.get(at).map(|column| column.text.as_str()) {
            Some(RECORD) => &mut marks.0,
            Some(TAG) => &mut marks.1,
            _ => continue,
        };
        let Cell::Text(text) = cell else { return None };
        *mark = Some(text.trim()).filter(|text| !text.is_empty());
    }
    Some(marks)
}

/// Both marks, where they are among the texts that a JSON object begins with. If one is said again further on, the record
/// is refused, and has the mark that was said first. That of a refused record the tag is told too only has it read.
fn at_the_beginning(json: &[u8]) -> Option<Marks<'_>> {
    let beginning = &json[..json.len().min(BEGINNING)];
    let whole = std::str::from_utf8(beginning).map_or_else(|bad| bad.valid_up_to(), str::len);
    let beginning = std::str::from_utf8(&beginning[..whole]).ok()?;
    let mut marks = (None, None);
    for (name, text) in texts(beginning) {
        let mark = match name.trim() {
            RECORD => &mut marks.0,
            TAG => &mut marks.1,
            _ => continue,
        };
        let text = text.trim();
        if text.is_empty() || mark.replace(text).is_some() {
            return None;
        }
        if let (Some(_), Some(_)) = marks {
            return Some(marks);
        }
    }
    None
}

/// What stands behind a name. Wherever the name could be meant and it is not `"name":"text"`, or is so twice, nothing is
/// sure.
fn mark<'t>(json: &'t [u8], finder: &Finder<'_>, name: &str) -> Mark<'t> {
    let mut found = Mark::No;
    for at in finder.find_iter(json) {
        let before = at.checked_sub(1).map(|before| json[before]);
        let behind = &json[at + name.len()..];
        // In the midst of another word it is not the name; white space round it is taken off when a name is read.
        let word = |byte: u8| byte.is_ascii_graphic() && !matches!(byte, b'"' | b'[');
        if before.is_some_and(word) || behind.first().copied().is_some_and(word) {
            continue;
        }
        let said = behind.strip_prefix(b"\":\"").or_else(|| behind.strip_prefix(b"\": \""));
        let text = said.and_then(|said| memchr::memchr(b'"', said).map(|end| &said[..end]));
        let text = text.and_then(|text| std::str::from_utf8(text).ok()).map(str::trim).filter(|text| !text.is_empty());
        found = match (found, text) {
            (Mark::No, Some(text)) if before == Some(b'"') => Mark::One(text),
            _ => return Mark::Unsure,
        };
    }
    found
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::Glance;
    use crate::fixture::book;
    use crate::records::cells::{Cell, push};
    use crate::records::heading::Heading;
    use crate::records::window::Kind;

    #[test]
    fn marks_are_seen_in_json_or_nothing_is_said() {
        let glance = Glance::default();
        let at = |json: &'static str| glance.json(json.as_bytes());
        assert_eq!(at(r#"{"record":"R-1","tag": "T-1","peg":"good"}"#), Some((Some("R-1"), Some("T-1"))));
        assert_eq!(at(r#"{"record":"R-1","vintage-tag":"x","tags":"y","bow":{"stag":"z"}}"#), Some((Some("R-1"), None)));
        assert_eq!(at(r#"{"tag":" T-1 "}"#), Some((None, Some("T-1"))));
        for both in [
            r#"{"record":"R-1","tag":"T-1","tag":"T-2"}"#,
            r#"{"record":"R-1"," tag":"T-1"}"#,
            r#" { "tag" : " T-1" , "note" : "a tag", "record":"R-1", "pupil":"\u0041" "#,
            r#"{"note":"ü","record":"R-1","tag":"T-1","peg":{"#,
        ] {
            assert_eq!(at(both), Some((Some("R-1"), Some("T-1"))), "{both}");
        }
        for unsure in [
            r#"{"record":"R-1","tag":17}"#,
            r#"{"record":"R-1","record":"R-2","tag":"T-1"}"#,
            r#"{"record":"R-1","worth":1,"tag":"T-1","tag":"T-2"}"#,
            r#"{"record":"R-1","peg":{}," tag":"T-1"}"#,
            r#"{"record":"R-1","tag [x]":"T-1"}"#,
            r#"{"record":"R-1","worth":1,"tag" : "T-1"}"#,
            r#"{"record":"R-1","worth":1,"note":"a tag","tag":"T-1"}"#,
            r#"{"record":"R-1","t\u0061g":"T-1"}"#,
            r#"{"record":"","tag":"T-1"}"#,
            r#"{"record":"R-1","tag":"T-1"#,
        ] {
            assert_eq!(at(unsure), None, "{unsure}");
        }
    }

    #[test]
    fn marks_are_seen_in_rows() {
        let texts = ["tag", "note", "record"].map(str::to_owned);
        let heading = Arc::new(Heading::new(&book(), texts.into_iter()).expect("a heading"));
        let kind = Kind::Row(Arc::clone(&heading));
        let mut glance = Glance::default();
        assert_eq!(glance.at(&kind, b"T-1,,R-1"), Some((Some("R-1"), Some("T-1"))));
        assert_eq!(glance.at(&kind, b",\"a,b\", R-2 "), Some((Some("R-2"), None)));
        assert_eq!(glance.at(&kind, b"T-1"), Some((None, Some("T-1"))));
        let mut row = Vec::new();
        push(&mut row, 1, Cell::Text("a note"));
        push(&mut row, 2, Cell::Text("R-1 "));
        let kind = Kind::Cells(heading);
        assert_eq!(glance.at(&kind, &row), Some((Some("R-1"), None)));
        push(&mut row, 0, Cell::Bad("nobody can read it"));
        assert_eq!(glance.at(&kind, &row), None);
    }
}
