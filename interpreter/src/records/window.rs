//! A window that moves over a stream of bytes, and the blocks of whole records that are cut out of it.

use std::io::{self, Read};
use std::ops::Range;
use std::sync::Arc;

use super::heading::Heading;

/// How much is read at a time, and about how large a block is.
pub const BLOCK: usize = 512 * 1024;

/// The longest that one record may be, in bytes.
pub const LONGEST_RECORD: usize = 4 * 1024 * 1024;

/// Whole records, cut out of one file.
pub struct Block {
    /// The file, as given on the command line.
    pub file: Arc<str>,
    /// What the records are written in.
    pub kind: Kind,
    /// The bytes that the pieces point into.
    pub bytes: Arc<Vec<u8>>,
    /// One record each.
    pub pieces: Vec<Piece>,
}

impl Block {
    /// Whether it is so short that it is the last of its file; where only records of great length are in it, another may be.
    pub fn is_short(&self) -> bool {
        self.bytes.len() < BLOCK / 2
    }

    /// Cuts off what is more than the first pieces, so that another can work on it; none where there is no more.
    pub fn cut_after(&mut self, pieces: usize) -> Option<Self> {
        let rest = self.pieces.split_off(pieces.min(self.pieces.len()));
        let rest = Self { file: Arc::clone(&self.file), kind: self.kind.clone(), bytes: Arc::clone(&self.bytes), pieces: rest };
        (!rest.pieces.is_empty()).then_some(rest)
    }
}

/// What the records of a block are written in.
#[derive(Clone)]
pub enum Kind {
    /// A JSON object each.
    Json,
    /// A row of CSV each, under this heading.
    Row(Arc<Heading>),
    /// A row of a sheet each, under this heading.
    Cells(Arc<Heading>),
}

/// One record of a block.
pub struct Piece {
    /// Its row, line or place in the array, from 1.
    pub row: u64,
    /// Where it stands in the block, or why it cannot be read.
    pub text: Result<Range<usize>, String>,
}

/// Cuts a file into blocks of whole records.
pub trait Cut: Send {
    /// The next block; none at the end of the file.
    fn next_block(&mut self) -> io::Result<Option<(Vec<u8>, Vec<Piece>)>>;
}

/// The part of a stream that is in memory.
pub struct Window {
    read: Box<dyn Read + Send>,
    /// What is in memory.
    pub bytes: Vec<u8>,
    /// Whether the stream has no more.
    pub ended: bool,
}

impl Window {
    /// A window at the beginning of a stream, over what was already read of it.
    pub fn new(read: Box<dyn Read + Send>, bytes: Vec<u8>) -> Self {
        Self { read, bytes, ended: false }
    }

    /// Reads one block more.
    pub fn fill(&mut self) -> io::Result<()> {
        if self.ended {
            return Ok(());
        }
        self.bytes.reserve(BLOCK);
        let read = (&mut self.read).take(BLOCK as u64).read_to_end(&mut self.bytes)?;
        self.ended = read < BLOCK;
        Ok(())
    }

    /// Takes the first bytes out of the window.
    pub fn take(&mut self, upto: usize) -> Vec<u8> {
        let mut rest = Vec::with_capacity(BLOCK + 2 * (self.bytes.len() - upto));
        rest.extend_from_slice(&self.bytes[upto..]);
        self.bytes.truncate(upto);
        std::mem::replace(&mut self.bytes, rest)
    }

    /// Drops everything up to and with the next line end. Holds no more than a block.
    pub fn skip_line(&mut self) -> io::Result<()> {
        loop {
            if let Some(end) = memchr::memchr(b'\n', &self.bytes) {
                self.bytes.drain(..=end);
                return Ok(());
            }
            // A new allocation: the old one may have grown as long as a whole record.
            self.bytes = Vec::new();
            if self.ended {
                return Ok(());
            }
            self.fill()?;
        }
    }
}

/// Why a record that is too long is refused.
pub fn too_long() -> String {
    format!(
        "it is longer than {} MiB; no inspection record is, so a line end, a quotation mark or a bracket is probably missing",
        LONGEST_RECORD >> 20
    )
}
