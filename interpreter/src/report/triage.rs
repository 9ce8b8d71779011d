//! The triage report in each of its forms: what a worker makes of one outcome, and what is made of all of them.

use std::io::{self, Write};
use std::sync::Arc;

use purfle_lang::book::{Book, LookId, LookKind};

use super::batch::Batch;
use super::brief::Brief;
use super::layout::{Ink, Paint, paragraph};
use super::spool::Spool;
use super::tags::{Tags, Visit, lasting_looks};
use super::text::shown;
use super::view::{PageView, SlipView};
use super::{csv, html, json, page, row, slip, xlsx};
use crate::outcome::Outcome;
use crate::photos;
use crate::record::Record;
use crate::records::{EarlierCounts, Fault, Field, Refused, Target};

/// What form a report takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum As {
    /// For people, on a terminal or on paper.
    Terminal,
    /// For programs.
    Json,
    /// For spreadsheets.
    Csv,
    /// For the teacher, the families and the luthier: one page that prints.
    Html,
    /// For spreadsheets, as a workbook.
    Xlsx,
}

/// What may be written, and how.
#[derive(Debug, Clone, Copy)]
pub struct Settings {
    /// The form.
    pub form: As,
    /// Leaves out every look marked private, and everything carried along, which may hold anything.
    pub without_names: bool,
    /// Colour.
    pub paint: Paint,
}

/// How many records there were.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Totals {
    /// All of them.
    pub read: u64,
    /// Judged ones.
    pub done: u64,
    /// Refused ones.
    pub refused: u64,
}

/// What a worker makes of one outcome.
pub struct Rendered {
    text: Vec<u8>,
    brief: Option<Brief>,
    /// The rows of a workbook.
    rows: Option<xlsx::Rows>,
    /// What the record's tag is held against.
    visit: Option<Visit>,
}

impl Rendered {
    /// What was made of the outcome, as text; nothing for a workbook.
    pub fn text(&self) -> &[u8] {
        &self.text
    }
}

/// Turns outcomes into text; every worker has its own.
#[derive(Clone)]
pub struct Renderer {
    book: Arc<Book>,
    settings: Settings,
    /// The looks that say what the instrument is.
    lasting: Arc<[LookId]>,
    /// What every row says of the rulebook.
    rules: Arc<str>,
}

impl Renderer {
    /// A renderer for outcomes of this book.
    pub fn new(book: Arc<Book>, settings: Settings) -> Self {
        let (lasting, rules) = (lasting_looks(&book).into(), row::rules(&book).into());
        Self { book, settings, lasting, rules }
    }

    /// The text of one outcome.
    pub fn outcome(&self, record: &Record, outcome: &Outcome) -> Rendered {
        let (book, settings) = (&*self.book, &self.settings);
        let mut text = Vec::new();
        let (mut brief, mut rows) = (None, None);
        match settings.form {
            As::Terminal => {
                text = slip::write(&SlipView::of(book, settings.without_names, record, outcome), settings.paint).into_bytes();
                brief = Some(Brief::of(book, record, outcome));
            }
            As::Html => {
                // What was seen since goes to the family, not what was seen before.
                if record.seen_again.is_none() {
                    let slip = SlipView::of(book, settings.without_names, record, outcome);
                    text = html::instrument(book, &slip, photos::named(book, record, settings.without_names)).into_bytes();
                }
                brief = Some(Brief::of(book, record, outcome));
            }
            As::Json => {
                // Writing to memory does not fail.
                let _ = json::outcome(&mut text, book, settings, record, outcome);
            }
            As::Xlsx => rows = Some(xlsx::outcome(book, settings, &self.rules, record, outcome)),
            As::Csv => {
                let mut row = String::with_capacity(512);
                csv::outcome(&mut row, book, settings, &self.rules, record, outcome);
                text = row.into_bytes();
            }
        }
        Rendered { text, brief, rows, visit: Visit::of(&self.lasting, record) }
    }
}

/// Gathers what the workers made into one report.
pub struct Triage<'a> {
    book: Arc<Book>,
    settings: Settings,
    out: &'a mut dyn Write,
    totals: Totals,
    batch: Batch,
    tags: Tags,
    outcomes: Spool,
    refused: Spool,
    /// The workbook, once it is begun.
    workbook: Option<xlsx::Sheets>,
    begun: bool,
}

impl<'a> Triage<'a> {
    /// A report that will be written to `out`.
    pub fn new(book: Arc<Book>, settings: Settings, out: &'a mut dyn Write) -> Self {
        let batch = Batch::new(&book);
        Self {
            book,
            settings,
            out,
            totals: Totals::default(),
            batch,
            tags: Tags::default(),
            outcomes: Spool::new(),
            refused: Spool::new(),
            workbook: None,
            begun: false,
        }
    }

    /// How many records there were so far.
    pub fn totals(&self) -> Totals {
        self.totals
    }

    fn begin(&mut self) -> io::Result<()> {
        if std::mem::replace(&mut self.begun, true) {
            return Ok(());
        }
        match self.settings.form {
            As::Csv => self.out.write_all(csv::heading().as_bytes())?,
            As::Xlsx => self.workbook = Some(xlsx::Sheets::new(&self.book)?),
            As::Terminal | As::Json | As::Html => {}
        }
        Ok(())
    }

    /// Takes the answer for the next record.
    pub fn take(&mut self, answer: Result<Rendered, Refused>) -> io::Result<()> {
        self.begin()?;
        self.totals.read += 1;
        match answer {
            Ok(mut rendered) => {
                self.totals.done += 1;
                let tag_note = rendered.visit.as_ref().map_or_else(String::new, |visit| self.tags.add(&self.book, visit));
                match self.settings.form {
                    As::Csv => {
                        self.out.write_all(&rendered.text)?;
                        let mut end = String::new();
                        csv::end(&mut end, &tag_note);
                        self.out.write_all(end.as_bytes())?;
                    }
                    As::Xlsx => {
                        if let (Some(workbook), Some(rows)) = (&mut self.workbook, &mut rendered.rows) {
                            rows.end(&tag_note);
                            workbook.take(rows)?;
                        }
                    }
                    As::Terminal => self.outcomes.push(&rendered.text)?,
                    As::Html => {
                        if !rendered.text.is_empty() {
                            self.outcomes.push(html::article(self.totals.done).as_bytes())?;
                            self.outcomes.push(&rendered.text)?;
                            self.outcomes.push(html::ARTICLE_END.as_bytes())?;
                        }
                    }
                    As::Json => {
                        self.outcomes.push(if self.totals.done > 1 { b",\n" } else { b"" })?;
                        self.outcomes.push(&rendered.text)?;
                    }
                }
                if let Some(mut brief) = rendered.brief {
                    brief.number = self.totals.done;
                    self.batch.add(brief);
                }
            }
            Err(mut refused) => {
                self.totals.refused += 1;
                if self.settings.without_names {
                    hide_names(&self.book, &mut refused);
                }
                self.take_refused(&refused)?;
            }
        }
        Ok(())
    }

    fn take_refused(&mut self, refused: &Refused) -> io::Result<()> {
        match self.settings.form {
            As::Csv => {
                let mut row = String::new();
                csv::refused(&mut row, &row::rules(&self.book), refused);
                self.out.write_all(row.as_bytes())
            }
            As::Json => {
                let mut text = Vec::new();
                json::refused(&mut text, refused)?;
                self.refused.push(if self.totals.refused > 1 { b",\n" } else { b"" })?;
                self.refused.push(&text)
            }
            As::Terminal => self.refused.push(refused_words(refused).as_bytes()),
            As::Html => self.refused.push(html::refused(refused).as_bytes()),
            As::Xlsx => self.workbook.as_mut().map_or(Ok(()), |workbook| workbook.refused(refused)),
        }
    }

    /// Writes what waited until everything was known. `earlier` are the records of last time, read beside.
    pub fn finish(mut self, earlier: &EarlierCounts) -> io::Result<Totals> {
        self.begin()?;
        let Self { book, settings, out, totals, batch, tags, outcomes, refused, workbook, .. } = self;
        match settings.form {
            As::Csv => {}
            As::Xlsx => workbook.map_or(Ok(()), |workbook| workbook.finish(out))?,
            As::Json => {
                let mut head = Vec::new();
                write!(head, "{{\"purfle\": {}, \"rulebook\": {{\"name\": ", json::VERSION)?;
                json::write(&mut head, &book.name)?;
                write!(head, ", \"edition\": ")?;
                json::write(&mut head, &book.edition)?;
                write!(head, ", \"seal\": \"{}\"", book.seal)?;
                write!(head, "}}, \"read\": {}, \"done\": {},\n \"refused\": [", totals.read, totals.done)?;
                out.write_all(&head)?;
                refused.pour(out)?;
                out.write_all(b"],\n \"outcomes\": [")?;
                outcomes.pour(out)?;
                out.write_all(b"]")?;
                if earlier.read > 0 {
                    let mut last = Vec::new();
                    write!(last, ",\n \"last\": {{\"read\": {}, \"refused\": [", earlier.read)?;
                    for (at, refused) in earlier.refused.iter().enumerate() {
                        last.extend_from_slice(if at > 0 { b",\n" } else { b"" });
                        let mut refused = refused.clone();
                        if settings.without_names {
                            hide_names(&book, &mut refused);
                        }
                        json::refused(&mut last, &refused)?;
                    }
                    out.write_all(&last)?;
                    out.write_all(b"]}")?;
                }
                if let Some(tags) = tags.view(&book) {
                    let mut told = b",\n \"tags\": ".to_vec();
                    json::write(&mut told, &tags)?;
                    out.write_all(&told)?;
                }
                out.write_all(b"}\n")?;
            }
            As::Terminal => {
                out.write_all(page::write(&PageView::of(&book, totals, batch, &tags), settings.paint).as_bytes())?;
                if totals.refused > 0 {
                    writeln!(out, "\n{}", settings.paint.ink(Ink::Heading, "Refused: put these right and run them again"))?;
                    refused.pour(out)?;
                }
                writeln!(out)?;
                outcomes.pour(out)?;
            }
            As::Html => {
                out.write_all(html::begin(&book, PageView::of(&book, totals, batch, &tags)).as_bytes())?;
                refused.pour(out)?;
                out.write_all(html::middle(&book, totals.refused > 0).as_bytes())?;
                outcomes.pour(out)?;
                out.write_all(html::END.as_bytes())?;
            }
        }
        out.flush()?;
        Ok(totals)
    }
}

/// A fault on one line: its column and field, the value, and why.
pub fn fault_words(fault: &Fault) -> String {
    let mut words = String::new();
    if let Some(column) = &fault.column {
        words.push_str(&format!("column {column}, "));
    }
    // Where fields disagree, the sentence names them all.
    if let Some(field) = fault.field.as_ref().filter(|field| !fault.why.starts_with(first_of(field))) {
        words.push_str(field);
        match fault.value.as_deref() {
            Some(value) if !value.is_empty() => words.push_str(&format!(" = {value}: ")),
            _ => words.push_str(": "),
        }
    }
    words.push_str(&fault.why);
    words
}

/// The first of several fields that are told together.
fn first_of(fields: &str) -> &str {
    fields.split(", ").next().unwrap_or_default()
}

/// A refused record for people: where it stands, then every fault.
pub fn refused_words(refused: &Refused) -> String {
    let mut out = String::new();
    let record = refused.record.as_deref().map(|record| format!(", record {}", shown(record))).unwrap_or_default();
    paragraph(&mut out, "  ", &format!("{}, row {}{record}", shown(&refused.source.file), refused.source.row));
    for fault in &refused.faults {
        paragraph(&mut out, "    - ", &shown(&fault_words(fault)));
    }
    if refused.untold > 0 {
        paragraph(&mut out, "    - ", &format!("and {} more", refused.untold));
    }
    out
}

/// What stands where something private stood.
const LEFT_OUT: &str = "(left out)";

/// Leaves out what a private look, or a field of nobody's, was given as.
pub(super) fn hide_names(book: &Book, refused: &mut Refused) {
    let public = |field: &str| match Field::parse(book, field) {
        Ok(Field { target: Target::Look(look, _), .. }) => !book[look].private && !matches!(book[look].kind, LookKind::Written),
        Ok(Field { target: Target::Carried, .. }) | Err(_) => false,
        Ok(_) => true,
    };
    for fault in &mut refused.faults {
        let public = fault.field.as_deref().is_some_and(|fields| fields.split(", ").all(public));
        let Some(value) = fault.value.as_mut().filter(|value| !public && !value.is_empty()) else { continue };
        match &fault.field {
            Some(fields) if fields.contains(", ") => fault.why = format!("{fields} cannot be so together"),
            // The reason repeats the value, in part or in other words.
            Some(field) if matches!(Field::parse(book, field), Ok(Field { target: Target::Look(..), .. })) => {
                "it is no answer to this look; the reason repeats it, and is left out with it".clone_into(&mut fault.why);
            }
            _ => {}
        }
        LEFT_OUT.clone_into(value);
    }
}
