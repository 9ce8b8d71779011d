//! JSON that is no list of lines: the elements of one array, or objects one after the other over any number of lines.
//!
//! Only brackets and strings are looked at here, to find where a record ends; whether it is JSON is seen later.

use std::io;

use super::window::{BLOCK, Cut, LONGEST_RECORD, Piece, Window, too_long};

/// Cuts a file at the ends of its elements.
pub struct Elements {
    window: Window,
    /// Whether the elements stand in an array.
    array: bool,
    /// How far the window was looked through.
    at: usize,
    /// Where the element at hand begins.
    begun: Option<usize>,
    /// The element at hand is too long, and is being dropped.
    dropping: bool,
    depth: u64,
    in_string: bool,
    escaped: bool,
    row: u64,
    state: State,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    Opening,
    Within,
    Closed,
    Done,
}

impl Elements {
    /// The elements of an array, or objects one after the other.
    pub fn new(window: Window, array: bool) -> Self {
        let state = if array { State::Opening } else { State::Within };
        Self { window, array, at: 0, begun: None, dropping: false, depth: 0, in_string: false, escaped: false, row: 0, state }
    }

    /// Ends the element at hand before `end`.
    fn end_element(&mut self, end: usize, pieces: &mut Vec<Piece>) {
        self.row += 1;
        let start = self.begun.take();
        let text = match start {
            _ if self.dropping => Err(too_long()),
            Some(start) => Ok(start..end),
            None => Err("there is no record between two commas of the array; a comma is left over".to_owned()),
        };
        self.dropping = false;
        self.depth = 0;
        pieces.push(Piece { row: self.row, text });
    }

    /// Looks through the window from where it stopped.
    fn scan(&mut self, pieces: &mut Vec<Piece>) {
        while self.at < self.window.bytes.len() && self.state != State::Done {
            if self.in_string {
                self.scan_string();
                continue;
            }
            let byte = self.window.bytes[self.at];
            match self.state {
                State::Opening => {
                    if byte == b'[' {
                        self.state = State::Within;
                    }
                }
                State::Within => self.scan_byte(byte, pieces),
                State::Closed if byte.is_ascii_whitespace() => {}
                State::Closed | State::Done => {
                    self.row += 1;
                    let why = "there is text after the end of the array; one file holds one array";
                    pieces.push(Piece { row: self.row, text: Err(why.to_owned()) });
                    self.state = State::Done;
                }
            }
            self.at += 1;
        }
    }

    fn scan_byte(&mut self, byte: u8, pieces: &mut Vec<Piece>) {
        if self.array && self.depth == 0 && (byte == b',' || byte == b']') {
            let empty = self.begun.is_none() && !self.dropping;
            // Nothing before the closing bracket is an array without elements, or a comma left over.
            if !(empty && byte == b']' && self.row == 0) {
                self.end_element(self.at, pieces);
            }
            if byte == b']' {
                self.state = State::Closed;
            }
            return;
        }
        if byte.is_ascii_whitespace() {
            // Between objects that follow each other, what is no object ends with its line.
            if byte == b'\n' && !self.array && self.depth == 0 && (self.begun.is_some() || self.dropping) {
                self.end_element(self.at, pieces);
            }
            return;
        }
        if self.begun.is_none() && !self.dropping {
            self.begun = Some(self.at);
        }
        match byte {
            b'"' => self.in_string = true,
            b'{' | b'[' => self.depth += 1,
            b'}' | b']' => {
                self.depth = self.depth.saturating_sub(1);
                if self.depth == 0 && !self.array {
                    self.end_element(self.at + 1, pieces);
                }
            }
            _ => {}
        }
    }

    fn scan_string(&mut self) {
        if self.escaped {
            self.escaped = false;
            self.at += 1;
            return;
        }
        match memchr::memchr2(b'"', b'\\', &self.window.bytes[self.at..]) {
            Some(found) => {
                self.at += found + 1;
                if self.window.bytes[self.at - 1] == b'"' {
                    self.in_string = false;
                } else {
                    self.escaped = true;
                }
            }
            None => self.at = self.window.bytes.len(),
        }
    }

    /// What stands unfinished at the end of the file.
    fn finish(&mut self, pieces: &mut Vec<Piece>) {
        let unfinished = self.begun.is_some() || self.dropping;
        let closed = matches!(self.state, State::Closed | State::Done) || (!self.array && !unfinished);
        if closed {
            return;
        }
        let why = if unfinished {
            "the file ends in the middle of this record; it may have been cut short"
        } else {
            "the file ends before its array is closed with `]`; it may have been cut short"
        };
        self.row += 1;
        pieces.push(Piece { row: self.row, text: Err(why.to_owned()) });
        self.state = State::Done;
    }
}

impl Cut for Elements {
    fn next_block(&mut self) -> io::Result<Option<(Vec<u8>, Vec<Piece>)>> {
        let mut pieces = Vec::new();
        loop {
            self.scan(&mut pieces);
            if self.state == State::Done || self.window.ended {
                if self.state != State::Done {
                    self.finish(&mut pieces);
                    self.state = State::Done;
                }
                let bytes = std::mem::take(&mut self.window.bytes);
                self.at = 0;
                self.begun = None;
                return Ok((!pieces.is_empty()).then_some((bytes, pieces)));
            }
            let kept = self.begun.unwrap_or(self.at);
            if !pieces.is_empty() && kept >= BLOCK / 2 {
                let bytes = self.window.take(kept);
                self.at -= kept;
                self.begun = self.begun.map(|_| 0);
                return Ok(Some((bytes, pieces)));
            }
            if self.begun.is_some() && self.at - kept > LONGEST_RECORD {
                self.dropping = true;
                self.begun = None;
            }
            if self.begun.is_none() && pieces.is_empty() {
                self.window.bytes = Vec::new();
                self.at = 0;
            }
            self.window.fill()?;
        }
    }
}
