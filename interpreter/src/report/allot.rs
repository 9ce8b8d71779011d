//! The report of a fund shared out, in each of its forms.

mod csv;
mod html;
mod json;
mod terminal;
mod view;
mod words;

use std::io::{self, Write};

use purfle_lang::book::Book;

use super::layout::Paint;
use super::triage::hide_names;
use crate::allot::{Allotted, Batch, Budget};

/// What form the report takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AllotAs {
    /// For people, on a terminal or on paper.
    Terminal,
    /// For programs.
    Json,
    /// For spreadsheets: a row an instrument.
    Csv,
    /// One page that prints.
    Html,
}

/// All that the report is made from.
pub struct AllotReport<'a> {
    /// The rulebook.
    pub book: &'a Book,
    /// What there is to spend.
    pub budget: &'a Budget,
    /// The instruments.
    pub batch: &'a Batch,
    /// The plan.
    pub allotted: &'a Allotted,
}

/// Leaves out of refused records what private looks were given as.
pub fn without_names(book: &Book, batch: &mut Batch) {
    batch.refused.iter_mut().chain(&mut batch.earlier.refused).for_each(|refused| hide_names(book, refused));
}

/// Writes the report.
pub fn write(out: &mut dyn Write, report: &AllotReport<'_>, form: AllotAs, paint: Paint) -> io::Result<()> {
    match form {
        AllotAs::Json => json::write(out, report),
        AllotAs::Csv => out.write_all(csv::write(report).as_bytes()),
        AllotAs::Terminal => out.write_all(terminal::write(&view::AllotView::of(report), paint).as_bytes()),
        AllotAs::Html => out.write_all(html::write(report).map_err(io::Error::other)?.as_bytes()),
    }
}
