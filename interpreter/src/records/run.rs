//! Reads files of records from end to end: blocks to workers, answers in order, every mark once.

use std::fmt;
use std::io;
use std::sync::Arc;

use purfle_lang::book::Book;

use super::cells::CellReader;
use super::csv::RowReader;
use super::field::RECORD;
use super::identity::{Identities, Mark, Marker};
use super::input::{Input, Opened, Unusable};
use super::json;
use super::pool::in_order;
use super::reader::RecordReader;
use super::refused::{Fault, Refused};
use super::window::{Block, Kind, Piece};
use crate::record::{Record, Source};

/// What reading from end to end needs to know.
pub struct Run<'a> {
    /// The book whose looks are read.
    pub book: &'a Arc<Book>,
    /// The files, in order.
    pub inputs: &'a [Input],
    /// How many workers there are; one does without threads.
    pub threads: usize,
}

/// What became of one record.
pub type Answer<O> = Result<O, Refused>;

/// Why a run ended early.
#[derive(Debug)]
pub enum Stopped {
    /// A file could not be used.
    Input(Unusable),
    /// What came out could not be written.
    Output(io::Error),
}

impl From<Unusable> for Stopped {
    fn from(unusable: Unusable) -> Self {
        Self::Input(unusable)
    }
}

impl From<io::Error> for Stopped {
    fn from(error: io::Error) -> Self {
        Self::Output(error)
    }
}

impl fmt::Display for Stopped {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Input(unusable) => unusable.fmt(f),
            Self::Output(error) => write!(f, "the report cannot be written: {error}"),
        }
    }
}

impl std::error::Error for Stopped {}

/// One answer on its way back: the mark goes with it, to be compared with all marks before.
struct Met<O> {
    mark: Option<(Mark, Box<str>)>,
    row: u64,
    answer: Answer<O>,
}

impl Run<'_> {
    /// Hands every record to a worker made by `make`, and what it answers to `collect`, in the order of the files.
    /// A record whose mark was met before is refused, whatever the worker answered.
    pub fn each<O, W>(
        &self,
        make: impl Fn() -> W + Sync,
        mut collect: impl FnMut(Answer<O>) -> io::Result<()>,
    ) -> Result<(), Stopped>
    where
        O: Send,
        W: FnMut(&mut Record) -> Answer<O>,
    {
        let mut waiting = self.inputs.iter();
        let mut open: Option<Opened> = None;
        let produce = move || -> Result<Option<Block>, Stopped> {
            loop {
                if let Some(opened) = &mut open
                    && let Some(block) = opened.next_block()?
                {
                    return Ok(Some(block));
                }
                let Some(input) = waiting.next() else { return Ok(None) };
                open = Some(input.open(self.book)?);
            }
        };
        let marker = Marker::default();
        let make_reader = || {
            let mut reader = RecordReader::new(Arc::clone(self.book));
            let mut rows = (RowReader::default(), CellReader::default());
            let mut work = make();
            let marker = marker.clone();
            move |block: Block| {
                let mut answers = Vec::with_capacity(block.pieces.len());
                for piece in &block.pieces {
                    answers.extend(read_piece(&mut reader, &mut rows, &block, piece, &marker, &mut work));
                }
                (Arc::clone(&block.file), answers)
            }
        };
        let mut identities = Identities::new();
        in_order(self.threads, produce, make_reader, |(file, answers): (Arc<str>, Vec<Met<O>>)| {
            for Met { mark, row, answer } in answers {
                let Some((mark, id)) = mark else {
                    collect(answer)?;
                    continue;
                };
                match identities.meet(mark, &file, row) {
                    None => collect(answer)?,
                    Some(first) => collect(Err(told_twice(answer.err(), Source { file: Arc::clone(&file), row }, &id, &first)))?,
                }
            }
            Ok(())
        })
    }
}

fn read_piece<O>(
    reader: &mut RecordReader,
    (rows, cells): &mut (RowReader, CellReader),
    block: &Block,
    piece: &Piece,
    marker: &Marker,
    work: &mut impl FnMut(&mut Record) -> Answer<O>,
) -> Option<Met<O>> {
    let source = Source { file: Arc::clone(&block.file), row: piece.row };
    let range = match &piece.text {
        Ok(range) => range.clone(),
        Err(why) => return Some(Met { mark: None, row: piece.row, answer: Err(Refused::whole(source, why)) }),
    };
    reader.begin(source);
    match &block.kind {
        Kind::Json => json::read(reader, &block.bytes[range]),
        Kind::Cells(heading) => cells.read(reader, heading, &block.bytes[range]),
        Kind::Row(heading) => {
            if !rows.read(reader, heading, &block.bytes[range]) {
                return None;
            }
        }
    }
    let finished = reader.finish();
    let id = match &finished {
        Ok(record) => Some(record.id.as_str()),
        Err(refused) => refused.record.as_deref(),
    };
    let mark = id.map(|id| (marker.mark(id), id.into()));
    Some(Met { mark, row: piece.row, answer: finished.and_then(work) })
}

fn told_twice(before: Option<Refused>, source: Source, id: &str, (first_file, first_row): &(Arc<str>, u64)) -> Refused {
    let place = if *first_file == source.file { format!("row {first_row}") } else { format!("row {first_row} of {first_file}") };
    let why = format!("the same mark stands at {place}; every inspection needs a mark of its own");
    let fault = Fault::field(RECORD, id, why);
    let mut refused = before.unwrap_or(Refused { source, record: Some(id.to_owned()), faults: Vec::new(), untold: 0 });
    refused.faults.insert(0, fault);
    refused
}
