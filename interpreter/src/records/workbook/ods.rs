//! ODS (OpenDocument 1.2, part 1, chapter 9): a sheet streamed cell by cell.
//!
//! Read here and not by the library that reads XLSX: that one tells neither per cent from plain numbers nor errors from
//! text, holds every sheet in memory, and a damaged file keeps it busy without end.

use std::fs::File;
use std::io::{BufReader, Seek};

use quick_xml::Reader;
use quick_xml::XmlVersion;
use quick_xml::events::{BytesStart, Event};
use zip::ZipArchive;
use zip::read::ZipFile;

use super::super::cells::Cell;
use super::super::heading::error_words;
use super::number::{Beside, digits};
use super::sheets::{Sheet, Sheets, heads_records};
use super::sink::{MOST_COLUMNS, MOST_ROWS, Sink, UNSAVED};
use super::{Failed, broken};

/// The most characters of one cell.
const LONGEST_CELL: usize = 1 << 20;

/// Reads the sheet that is chosen into the sink, and returns its name.
pub fn read(mut file: File, sheets: &Sheets<'_>, sink: &mut Sink) -> Result<String, Failed> {
    let mut known = Vec::new();
    with_tables(&mut file, |tables| {
        while let Some(name) = tables.next_table()? {
            let mut headed = false;
            while tables.next_row()? {
                if tables.cells.iter().any(|(_, _, said)| matches!(said, Said::Text(_) | Said::Bad(_))) {
                    headed = tables.cells.iter().any(|(_, _, said)| matches!(said, Said::Text(text) if heads_records(text)));
                    break;
                }
            }
            known.push(Sheet { name, headed });
        }
        Ok(())
    })?;
    let chosen = sheets.choose(&known)?;
    with_tables(&mut file, |tables| {
        for _ in 0..=chosen {
            tables.next_table()?;
        }
        let mut number: u32 = 1;
        while tables.next_row()? {
            let blank = tables.cells.iter().all(|(_, _, said)| matches!(said, Said::Covered));
            for _ in 0..if blank { 0 } else { tables.repeats } {
                sink.begin(number)?;
                number = number.saturating_add(1);
                for (column, repeats, said) in &tables.cells {
                    put(sink, *column, *repeats, said)?;
                }
            }
            if blank {
                number = number.saturating_add(tables.repeats);
            }
        }
        Ok(())
    })?;
    Ok(known.swap_remove(chosen).name)
}

fn put(sink: &mut Sink, column: usize, repeats: usize, said: &Said) -> Result<(), Failed> {
    match said {
        Said::Covered if column < MOST_COLUMNS => sink.merged(column),
        Said::Covered => Ok(()),
        Said::Text(text) => (column..column.saturating_add(repeats)).try_for_each(|column| sink.take(column, Cell::Text(text))),
        Said::Bad(why) => (column..column.saturating_add(repeats)).try_for_each(|column| sink.take(column, Cell::Bad(why))),
    }
}

/// What one cell says.
enum Said {
    Text(String),
    Bad(String),
    /// It is merged into another one.
    Covered,
}

/// Walks through the tables of the content.
struct Tables<'z> {
    xml: Reader<BufReader<ZipFile<'z, BufReader<&'z mut File>>>>,
    buffer: Vec<u8>,
    within: bool,
    /// The row at hand: column, how often, and what is said; empty cells left out.
    cells: Vec<(usize, usize, Said)>,
    /// How many rows in a row are like it.
    repeats: u32,
}

fn with_tables(file: &mut File, work: impl FnOnce(&mut Tables<'_>) -> Result<(), Failed>) -> Result<(), Failed> {
    file.rewind()?;
    let mut archive = ZipArchive::new(BufReader::new(file)).map_err(broken)?;
    let content = archive.by_name("content.xml").map_err(broken)?;
    let mut xml = Reader::from_reader(BufReader::new(content));
    xml.config_mut().expand_empty_elements = true;
    work(&mut Tables { xml, buffer: Vec::new(), within: false, cells: Vec::new(), repeats: 0 })
}

/// What an element is for us.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Element {
    Table,
    Row,
    Cell,
    CoveredCell,
    Paragraph,
    Spaces,
    Tab,
    LineBreak,
    /// Nothing in it belongs to a cell's answer.
    Aside,
    Other,
}

impl Element {
    fn of(name: &str) -> Self {
        match name {
            "table:table" => Self::Table,
            "table:table-row" => Self::Row,
            "table:table-cell" => Self::Cell,
            "table:covered-table-cell" => Self::CoveredCell,
            "text:p" => Self::Paragraph,
            "text:s" => Self::Spaces,
            "text:tab" => Self::Tab,
            "text:line-break" => Self::LineBreak,
            "table:tracked-changes"
            | "table:shapes"
            | "office:annotation"
            | "office:forms"
            | "table:dde-links"
            | "table:scenario" => Self::Aside,
            name if name.starts_with("draw:") => Self::Aside,
            _ => Self::Other,
        }
    }
}

fn attribute(start: &BytesStart<'_>, name: &str) -> Result<Option<String>, Failed> {
    let found = start.try_get_attribute(name).map_err(broken)?;
    found.map(|found| found.normalized_value(XmlVersion::Explicit1_0).map(|text| text.into_owned()).map_err(broken)).transpose()
}

fn count(start: &BytesStart<'_>, name: &str) -> Result<usize, Failed> {
    match attribute(start, name)? {
        Some(text) => text.parse().map_err(|_| broken(format!("{name} is {text}"))),
        None => Ok(1),
    }
}

impl Tables<'_> {
    /// Goes on to the next table, and returns its name.
    fn next_table(&mut self) -> Result<Option<String>, Failed> {
        while self.within {
            self.next_row()?;
        }
        loop {
            self.buffer.clear();
            match self.xml.read_event_into(&mut self.buffer).map_err(broken)? {
                Event::Start(start) => match Element::of(start.name().as_ref()) {
                    Element::Table => {
                        self.within = true;
                        return Ok(Some(attribute(&start, "table:name")?.unwrap_or_default()));
                    }
                    Element::Aside => {
                        let end = start.to_end().into_owned();
                        self.skip(&end)?;
                    }
                    _ => {}
                },
                Event::Eof => return Ok(None),
                _ => {}
            }
        }
    }

    /// Goes on to the next row of the table; false at its end.
    fn next_row(&mut self) -> Result<bool, Failed> {
        self.cells.clear();
        loop {
            self.buffer.clear();
            match self.xml.read_event_into(&mut self.buffer).map_err(broken)? {
                Event::Start(start) => match Element::of(start.name().as_ref()) {
                    Element::Row => {
                        let repeats = count(&start, "table:number-rows-repeated")?;
                        self.repeats = u32::try_from(repeats).unwrap_or(u32::MAX).min(MOST_ROWS);
                        self.row()?;
                        return Ok(true);
                    }
                    Element::Aside => {
                        let end = start.to_end().into_owned();
                        self.skip(&end)?;
                    }
                    _ => {}
                },
                Event::End(end) if Element::of(end.name().as_ref()) == Element::Table => {
                    self.within = false;
                    return Ok(false);
                }
                Event::Eof => return Err(broken("it ends in the middle of a sheet")),
                _ => {}
            }
        }
    }

    fn row(&mut self) -> Result<(), Failed> {
        let mut column: usize = 0;
        loop {
            self.buffer.clear();
            match self.xml.read_event_into(&mut self.buffer).map_err(broken)? {
                Event::Start(start) => {
                    let element = Element::of(start.name().as_ref());
                    if !matches!(element, Element::Cell | Element::CoveredCell) {
                        let end = start.to_end().into_owned();
                        self.skip(&end)?;
                        continue;
                    }
                    let repeats = count(&start, "table:number-columns-repeated")?;
                    let start = start.into_owned();
                    let text = self.cell_text()?;
                    let said = if element == Element::CoveredCell { Some(Said::Covered) } else { said(&start, text)? };
                    if let Some(said) = said {
                        self.cells.push((column, repeats, said));
                    }
                    column = column.saturating_add(repeats);
                }
                Event::End(end) if Element::of(end.name().as_ref()) == Element::Row => return Ok(()),
                Event::Eof => return Err(broken("it ends in the middle of a row")),
                _ => {}
            }
        }
    }

    /// What a cell shows, up to its end.
    fn cell_text(&mut self) -> Result<String, Failed> {
        let (mut text, mut paragraphs, mut open) = (String::new(), 0, false);
        loop {
            self.buffer.clear();
            match self.xml.read_event_into(&mut self.buffer).map_err(broken)? {
                Event::Start(start) => match Element::of(start.name().as_ref()) {
                    Element::Paragraph => {
                        if paragraphs > 0 {
                            text.push('\n');
                        }
                        paragraphs += 1;
                        open = true;
                    }
                    Element::Spaces => {
                        let spaces = count(&start, "text:c")?.min(LONGEST_CELL);
                        text.extend(std::iter::repeat_n(' ', spaces));
                    }
                    Element::Tab => text.push('\t'),
                    Element::LineBreak => text.push('\n'),
                    Element::Aside | Element::Table => {
                        let end = start.to_end().into_owned();
                        self.skip(&end)?;
                    }
                    _ => {}
                },
                Event::End(end) => match Element::of(end.name().as_ref()) {
                    Element::Cell | Element::CoveredCell => return Ok(text),
                    Element::Paragraph => open = false,
                    _ => {}
                },
                Event::Text(piece) if open => text.push_str(&piece.xml10_content()),
                Event::CData(piece) if open => text.push_str(&piece.xml10_content()),
                Event::GeneralRef(entity) if open => match entity.resolve_char_ref().map_err(broken)? {
                    Some(character) => text.push(character),
                    None => match quick_xml::escape::resolve_xml_entity(entity.as_ref()) {
                        Some(known) => text.push_str(known),
                        None => return Err(broken("it has an entity that XML does not know")),
                    },
                },
                Event::Eof => return Err(broken("it ends in the middle of a cell")),
                _ => {}
            }
            if text.len() > LONGEST_CELL {
                return Err(
                    format!("one of its cells holds more than {} KiB of text, and no answer does", LONGEST_CELL >> 10).into()
                );
            }
        }
    }

    fn skip(&mut self, end: &quick_xml::events::BytesEnd<'_>) -> Result<(), Failed> {
        self.buffer.clear();
        self.xml.read_to_end_into(end.name(), &mut self.buffer).map(drop).map_err(broken)
    }
}

/// What a cell says, by its kind (OpenDocument 1.2, part 1, 19.385) and the text it shows.
fn said(start: &BytesStart<'_>, shown: String) -> Result<Option<Said>, Failed> {
    let kind = attribute(start, "office:value-type")?;
    if attribute(start, "calcext:value-type")?.as_deref() == Some("error") {
        return Ok(Some(Said::Bad(error_words(&shown))));
    }
    let value = || -> Result<Option<f64>, Failed> {
        attribute(start, "office:value")?.map(|text| text.parse().map_err(|_| broken(format!("a number is {text}")))).transpose()
    };
    let text = match kind.as_deref() {
        Some("float") => value()?.map(|value| Beside::of_shown(&shown).number(value)),
        Some("percentage") => value()?.map(|value| Beside { percent: true, ..Beside::default() }.number(value)),
        Some("currency") => match (value()?, attribute(start, "office:currency")?) {
            (Some(value), Some(money)) if !money.is_empty() => Some(format!("{} {money}", digits(value))),
            (value, _) => value.map(|value| Beside::of_shown(&shown).number(value)),
        },
        Some("date") => {
            attribute(start, "office:date-value")?.map(|day| day.strip_suffix("T00:00:00").unwrap_or(&day).replace('T', " "))
        }
        Some("boolean") => {
            attribute(start, "office:boolean-value")?.map(|yes| if yes == "true" { "yes" } else { "no" }.to_owned())
        }
        Some("string") => attribute(start, "office:string-value")?,
        _ => None,
    };
    if let Some(text) = text.or_else(|| (!shown.is_empty()).then_some(shown)) {
        return Ok((!text.trim().is_empty()).then_some(Said::Text(text)));
    }
    let unsaved = kind.is_none() && attribute(start, "table:formula")?.is_some();
    Ok(unsaved.then(|| Said::Bad(UNSAVED.to_owned())))
}
