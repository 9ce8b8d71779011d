//! CSV rows (RFC 4180): a row ends at a line end that stands outside quotation marks.

use std::io;

use super::window::{BLOCK, Cut, LONGEST_RECORD, Piece, Window, too_long};

/// Cuts a file at the ends of its rows.
pub struct Rows {
    window: Window,
    /// How far the window was looked through; a row begins here.
    at: usize,
    row: u64,
}

/// Where a row ends.
enum End {
    /// Its text ends before the first, the next row begins at the second.
    At(usize, usize),
    /// More of the file is needed to tell.
    Unknown,
    /// Its quotation marks are wrong; the next line is taken for the next row.
    Broken(&'static str),
}

impl Rows {
    /// Rows of what the window moves over.
    pub fn new(window: Window) -> Self {
        Self { window, at: 0, row: 0 }
    }

    /// The next row by itself; none at the end of the file. For the heading.
    pub fn next_row(&mut self) -> io::Result<Option<Result<Vec<u8>, String>>> {
        loop {
            let start = self.at;
            match self.row_end(start) {
                End::At(end, next) => {
                    self.row += 1;
                    self.at = next;
                    let text = self.window.bytes[start..end].to_vec();
                    if !text.trim_ascii().is_empty() {
                        return Ok(Some(Ok(text)));
                    }
                }
                End::Broken(why) => return Ok(Some(Err(why.to_owned()))),
                End::Unknown if self.window.ended => return Ok(None),
                End::Unknown if self.window.bytes.len() - start > LONGEST_RECORD => return Ok(Some(Err(too_long()))),
                End::Unknown => self.window.fill()?,
            }
        }
    }

    fn row_end(&self, start: usize) -> End {
        let bytes = &self.window.bytes;
        let mut at = start;
        loop {
            let Some(found) = memchr::memchr2(b'"', b'\n', &bytes[at..]).map(|found| at + found) else {
                return match self.window.ended {
                    true if start < bytes.len() => End::At(bytes.len(), bytes.len()),
                    _ => End::Unknown,
                };
            };
            if bytes[found] == b'\n' {
                return End::At(found - usize::from(found > start && bytes[found - 1] == b'\r'), found + 1);
            }
            if found > start && bytes[found - 1] != b',' {
                // A mark in the middle of a cell that is not quoted stands for itself.
                at = found + 1;
                continue;
            }
            at = found + 1;
            loop {
                let Some(mark) = memchr::memchr(b'"', &bytes[at..]).map(|mark| at + mark) else {
                    return if self.window.ended {
                        End::Broken(
                            "a quotation mark that opens a cell of this row is never closed; write a mark inside a cell twice",
                        )
                    } else {
                        End::Unknown
                    };
                };
                at = mark + 1;
                match bytes.get(at) {
                    Some(b'"') => at += 1,
                    Some(b',' | b'\n') => break,
                    Some(b'\r') if matches!(bytes.get(at + 1), Some(b'\n')) => break,
                    Some(b'\r') if at + 1 == bytes.len() && !self.window.ended => return End::Unknown,
                    None if self.window.ended => break,
                    None => return End::Unknown,
                    Some(_) => {
                        return End::Broken(
                            "there is text after the quotation mark that closes a cell of this row; write a mark inside a cell twice",
                        );
                    }
                }
            }
        }
    }

    /// Goes on with the line after the one where a broken row begins.
    fn skip_broken(&mut self) -> io::Result<()> {
        match memchr::memchr(b'\n', &self.window.bytes[self.at..]) {
            Some(end) => self.at += end + 1,
            None => {
                self.window.skip_line()?;
                self.at = 0;
            }
        }
        Ok(())
    }
}

impl Cut for Rows {
    fn next_block(&mut self) -> io::Result<Option<(Vec<u8>, Vec<Piece>)>> {
        let mut pieces = Vec::with_capacity(BLOCK / 128);
        loop {
            let start = self.at;
            let end = if start >= BLOCK && !pieces.is_empty() { End::Unknown } else { self.row_end(start) };
            match end {
                End::At(end, next) => {
                    self.row += 1;
                    self.at = next;
                    let text = start..end;
                    if text.len() > LONGEST_RECORD {
                        pieces.push(Piece { row: self.row, text: Err(too_long()) });
                    } else if !self.window.bytes[text.clone()].trim_ascii().is_empty() {
                        pieces.push(Piece { row: self.row, text: Ok(text) });
                    }
                }
                // What was cut so far goes first, so that skipping may move the window.
                End::Broken(_) | End::Unknown if !pieces.is_empty() => {
                    self.at = 0;
                    return Ok(Some((self.window.take(start), pieces)));
                }
                End::Broken(why) => {
                    self.row += 1;
                    self.skip_broken()?;
                    return Ok(Some((Vec::new(), vec![Piece { row: self.row, text: Err(why.to_owned()) }])));
                }
                End::Unknown if self.window.ended => return Ok(None),
                End::Unknown if self.window.bytes.len() - start > LONGEST_RECORD => {
                    self.row += 1;
                    let unclosed = memchr::memchr(b'\n', &self.window.bytes[start..]).is_some();
                    let why = if unclosed {
                        "a quotation mark that opens a cell of this row is not closed within 4 MiB; write a mark inside a cell twice".to_owned()
                    } else {
                        too_long()
                    };
                    self.skip_broken()?;
                    return Ok(Some((Vec::new(), vec![Piece { row: self.row, text: Err(why) }])));
                }
                End::Unknown => {
                    if start > 0 {
                        self.window.bytes.drain(..start);
                        self.at = 0;
                    }
                    self.window.fill()?;
                }
            }
        }
    }
}
