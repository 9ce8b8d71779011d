//! Reads files of records from end to end: blocks to workers, answers in order, every mark once.

use std::fmt;
use std::io;
use std::sync::Arc;

use purfle_lang::book::Book;

use super::cells::CellReader;
use super::csv::RowReader;
use super::field::RECORD;
use super::glance::Glance;
use super::identity::{Identities, Mark, Marker};
use super::input::{Input, Opened, Unusable};
use super::json;
use super::pool::in_order;
use super::reader::{Noting, RecordReader};
use super::refused::{Fault, Refused};
use super::window::{Block, Kind, Piece};
use crate::record::{Record, Source};

/// The parts of the last block of a file, for each worker: more than one, as records are not all as much work.
const PARTS_EACH: usize = 8;

/// What reading from end to end needs to know.
pub struct Run<'a> {
    /// The book whose looks are read.
    pub book: &'a Arc<Book>,
    /// The files, in order.
    pub inputs: &'a [Input],
    /// How many workers there are; one does without threads.
    pub threads: usize,
    /// A number for each record, where there is one: those of a block that have the same are handed over one after another,
    /// so that what is remembered for one is still at hand for the next.
    pub likeness: Option<&'a (dyn Fn(&Record) -> u64 + Sync)>,
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

/// A record whose mark was met before: what that says of it, and where.
#[derive(Debug)]
pub struct Repeated {
    source: Source,
    record: Box<str>,
    fault: Fault,
}

impl Repeated {
    /// The record refused for that, and for whatever else is wrong with it.
    pub fn refused(&self, before: Option<Refused>) -> Refused {
        let Self { source, record, fault } = self;
        let nothing = || Refused { source: source.clone(), record: Some(record.to_string()), faults: Vec::new(), untold: 0 };
        let mut refused = before.unwrap_or_else(nothing);
        refused.faults.insert(0, fault.clone());
        refused
    }
}

/// One answer on its way back: the mark goes with it, to be compared with all marks before.
struct Met<O> {
    mark: Option<(Mark, Box<str>)>,
    row: u64,
    answer: Answer<O>,
}

/// A record that was read and waits for the worker.
struct Waiting {
    likeness: u64,
    /// Which of the records of its block it is.
    at: usize,
    /// The piece that it was read from.
    place: usize,
    mark: Option<(Mark, Box<str>)>,
}

impl Run<'_> {
    /// Hands every record to a worker made by `make`, and what it answers to `collect`, in the order of the files.
    /// A record whose mark was met before is refused, whatever the worker answered.
    pub fn each<O: Send, W: FnMut(&mut Record) -> Answer<O>>(
        &self,
        make: impl Fn() -> W + Sync,
        collect: impl FnMut(Answer<O>) -> io::Result<()>,
    ) -> Result<(), Stopped> {
        self.each_noted(Noting::Nothing, make, collect)
    }

    /// The same, and every record notes how its entries were written.
    pub fn each_noted<O: Send, W: FnMut(&mut Record) -> Answer<O>>(
        &self,
        noting: Noting,
        make: impl Fn() -> W + Sync,
        collect: impl FnMut(Answer<O>) -> io::Result<()>,
    ) -> Result<(), Stopped> {
        self.each_read(noting, || |_: &Kind, _: &[u8]| true, make, once(collect))
    }

    /// The same for two rulebooks: what the worker answered of a record whose mark was met before is handed over with
    /// that, as one of them may have refused it for something else.
    pub fn each_of_two<O: Send, W: FnMut(&mut Record) -> Answer<O>>(
        &self,
        noting: Noting,
        make: impl Fn() -> W + Sync,
        collect: impl FnMut(Answer<O>, Option<Repeated>) -> io::Result<()>,
    ) -> Result<(), Stopped> {
        self.each_read(noting, || |_: &Kind, _: &[u8]| true, make, collect)
    }

    /// The same with the records of which a first look at their text says that they are wanted.
    pub fn each_wanted<O: Send, W: FnMut(&mut Record) -> Answer<O>, F: FnMut(&Kind, &[u8]) -> bool>(
        &self,
        make_wanted: impl Fn() -> F + Sync,
        make: impl Fn() -> W + Sync,
        collect: impl FnMut(Answer<O>) -> io::Result<()>,
    ) -> Result<(), Stopped> {
        self.each_read(Noting::Nothing, make_wanted, make, once(collect))
    }

    fn each_read<O: Send, W: FnMut(&mut Record) -> Answer<O>, F: FnMut(&Kind, &[u8]) -> bool>(
        &self,
        noting: Noting,
        make_wanted: impl Fn() -> F + Sync,
        make: impl Fn() -> W + Sync,
        mut collect: impl FnMut(Answer<O>, Option<Repeated>) -> io::Result<()>,
    ) -> Result<(), Stopped> {
        let marker = Marker::default();
        let make_worker = || {
            let mut reader = PieceReader::new(self.book, noting);
            let (mut wanted, mut work) = (make_wanted(), make());
            let marker = marker.clone();
            let mut records: Vec<Record> = Vec::new();
            move |block: Block| {
                let mut answers: Vec<(usize, Met<O>)> = Vec::with_capacity(block.pieces.len());
                let mut waiting: Vec<Waiting> = Vec::with_capacity(block.pieces.len());
                for (place, piece) in block.pieces.iter().enumerate() {
                    if piece.text.as_ref().is_ok_and(|range| !wanted(&block.kind, &block.bytes[range.clone()])) {
                        continue;
                    }
                    let Some(finished) = reader.read(&block, piece) else { continue };
                    let mark = id_of(&finished).map(|id| (marker.mark(id), id.into()));
                    match finished {
                        Err(refused) => answers.push((place, Met { mark, row: piece.row, answer: Err(refused) })),
                        Ok(record) => {
                            let at = waiting.len();
                            if records.len() == at {
                                records.push(Record::default());
                            }
                            // The reader goes on with one that was used before.
                            std::mem::swap(record, &mut records[at]);
                            let likeness = self.likeness.map_or(0, |likeness| likeness(&records[at]));
                            waiting.push(Waiting { likeness, at, place, mark });
                        }
                    }
                }
                waiting.sort_unstable_by_key(|waiting| (waiting.likeness, waiting.at));
                for Waiting { at, place, mark, .. } in waiting {
                    let row = block.pieces[place].row;
                    answers.push((place, Met { mark, row, answer: work(&mut records[at]) }));
                }
                answers.sort_unstable_by_key(|(place, _)| *place);
                (block.file, answers)
            }
        };
        let mut identities = Identities::new();
        in_order(
            self.threads,
            self.blocks(self.threads * PARTS_EACH),
            make_worker,
            |(file, answers): (Arc<str>, Vec<(usize, Met<O>)>)| {
                for (_, Met { mark, row, answer }) in answers {
                    let repeated = mark.and_then(|(mark, record)| {
                        let (first_file, first_row) = identities.meet(mark, &file, row)?;
                        let place = if first_file == file {
                            format!("row {first_row}")
                        } else {
                            format!("row {first_row} of {first_file}")
                        };
                        let why = format!("the same mark stands at {place}; every inspection needs a mark of its own");
                        let fault = Fault::field(RECORD, &record, why);
                        Some(Repeated { source: Source { file: Arc::clone(&file), row }, record, fault })
                    });
                    collect(answer, repeated)?;
                }
                Ok(())
            },
        )
    }

    /// Hands half a hash of the mark and of the tag of every record to `collect`. Only records of which a glance does
    /// not show them are read.
    pub fn marks(&self, marker: &Marker, mut collect: impl FnMut(Option<u64>, Option<u64>)) -> Result<(), Stopped> {
        let make_worker = || {
            let mut reader = PieceReader::new(self.book, Noting::Nothing);
            let mut glance = Glance::default();
            move |block: Block| -> Vec<(Option<u64>, Option<u64>)> {
                let half = |text: Option<&str>| text.map(|text| marker.half(text));
                let marks_of = |piece: &Piece| {
                    let range = piece.text.as_ref().ok()?.clone();
                    if let Some((record, tag)) = glance.at(&block.kind, &block.bytes[range]) {
                        return Some((half(record), half(tag)));
                    }
                    let finished = reader.read(&block, piece)?;
                    let tag = finished.as_ref().ok().and_then(|record| record.tag.as_deref());
                    Some((half(id_of(&finished)), half(tag)))
                };
                block.pieces.iter().filter_map(marks_of).collect()
            }
        };
        in_order(self.threads, self.blocks(1), make_worker, |marks| {
            marks.into_iter().for_each(|(record, tag)| collect(record, tag));
            Ok(())
        })
    }

    /// The blocks of all files, one after the other; the last of each is dealt out in so many parts where there are several
    /// workers. Of a season it is the only one.
    fn blocks(&self, parts: usize) -> impl FnMut() -> Result<Option<Block>, Stopped> + Send {
        let mut waiting = self.inputs.iter();
        let mut open: Option<Opened> = None;
        let mut dealt: Option<(Block, usize)> = None;
        move || {
            loop {
                if let Some((mut block, each)) = dealt.take() {
                    dealt = block.cut_after(each).map(|rest| (rest, each));
                    return Ok(Some(block));
                }
                if let Some(opened) = &mut open
                    && let Some(block) = opened.next_block()?
                {
                    let number = if self.threads > 1 && block.is_short() { parts } else { 1 };
                    let each = block.pieces.len().div_ceil(number).max(1);
                    dealt = Some((block, each));
                    continue;
                }
                let Some(input) = waiting.next() else { return Ok(None) };
                open = Some(input.open(self.book)?);
            }
        }
    }
}

/// Reads records, whatever they are written in.
struct PieceReader {
    reader: RecordReader,
    rows: RowReader,
    cells: CellReader,
}

impl PieceReader {
    fn new(book: &Arc<Book>, noting: Noting) -> Self {
        let reader = RecordReader::new(Arc::clone(book)).noting(noting);
        Self { reader, rows: RowReader::default(), cells: CellReader::default() }
    }

    /// The record of a piece; none for a blank row.
    fn read(&mut self, block: &Block, piece: &Piece) -> Option<Result<&mut Record, Refused>> {
        let source = Source { file: Arc::clone(&block.file), row: piece.row };
        let text = match &piece.text {
            Ok(range) => &block.bytes[range.clone()],
            Err(why) => return Some(Err(Refused::whole(source, why))),
        };
        self.reader.begin(source);
        match &block.kind {
            Kind::Json => json::read(&mut self.reader, text),
            Kind::Cells(heading) => self.cells.read(&mut self.reader, heading, text),
            Kind::Row(heading) => {
                if !self.rows.read(&mut self.reader, heading, text) {
                    return None;
                }
            }
        }
        Some(self.reader.finish())
    }
}

/// The mark of a record, as far as it has one.
fn id_of<'r>(finished: &'r Result<&mut Record, Refused>) -> Option<&'r str> {
    match finished {
        Ok(record) => Some(record.id.as_str()),
        Err(refused) => refused.record.as_deref(),
    }
}

/// Refuses every record whose mark was met before.
fn once<O>(mut collect: impl FnMut(Answer<O>) -> io::Result<()>) -> impl FnMut(Answer<O>, Option<Repeated>) -> io::Result<()> {
    move |answer, repeated| match repeated {
        None => collect(answer),
        Some(repeated) => collect(Err(repeated.refused(answer.err()))),
    }
}
