//! JSON Lines: one record a line.

use std::io;

use super::window::{Cut, LONGEST_RECORD, Piece, Window, too_long};

/// Cuts a file at its line ends.
pub struct Lines {
    window: Window,
    /// Lines cut so far.
    line: u64,
}

impl Lines {
    /// Lines of what the window moves over.
    pub fn new(window: Window) -> Self {
        Self { window, line: 0 }
    }

    fn pieces(&mut self, bytes: &[u8]) -> Vec<Piece> {
        let mut pieces = Vec::with_capacity(bytes.len() / 512 + 1);
        let mut start = 0;
        while start < bytes.len() {
            let end = memchr::memchr(b'\n', &bytes[start..]).map_or(bytes.len(), |at| start + at);
            self.line += 1;
            if end - start > LONGEST_RECORD {
                pieces.push(Piece { row: self.line, text: Err(too_long()) });
            } else if !bytes[start..end].trim_ascii().is_empty() {
                pieces.push(Piece { row: self.line, text: Ok(start..end) });
            }
            start = end + 1;
        }
        pieces
    }
}

impl Cut for Lines {
    fn next_block(&mut self) -> io::Result<Option<(Vec<u8>, Vec<Piece>)>> {
        loop {
            self.window.fill()?;
            let cut = match memchr::memrchr(b'\n', &self.window.bytes) {
                _ if self.window.ended => self.window.bytes.len(),
                Some(end) => end + 1,
                None if self.window.bytes.len() > LONGEST_RECORD => {
                    self.line += 1;
                    self.window.skip_line()?;
                    return Ok(Some((Vec::new(), vec![Piece { row: self.line, text: Err(too_long()) }])));
                }
                None => continue,
            };
            if cut == 0 {
                return Ok(None);
            }
            let bytes = self.window.take(cut);
            let pieces = self.pieces(&bytes);
            return Ok(Some((bytes, pieces)));
        }
    }
}
