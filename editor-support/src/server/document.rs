//! A text that is open in the editor. What the editor has wins over what the disk has.

use std::path::PathBuf;

use purfle_lang::source::LineIndex;

use crate::proto::encoding::Encoding;
use crate::proto::from_proto::Change;
use crate::proto::page::Page;

/// An open text.
#[derive(Debug)]
pub struct Document {
    /// The file it is, or will be.
    pub path: PathBuf,
    /// The client's number for this state of the text.
    pub version: i32,
    /// The text.
    pub text: String,
    lines: LineIndex,
}

impl Document {
    /// A text as it was opened.
    pub fn new(path: PathBuf, version: i32, text: String) -> Self {
        let lines = LineIndex::new(&text);
        Self { path, version, text, lines }
    }

    /// The text with its lines.
    pub fn page(&self, encoding: Encoding) -> Page<'_> {
        Page { text: &self.text, lines: &self.lines, encoding }
    }

    /// Makes the changes, one after the other. Those before a whole new text need not be made.
    ///
    /// They come in order, so the version is taken as it is: to leave a change out because of its number could only
    /// make this text another than the client's.
    pub fn change(&mut self, version: i32, changes: Vec<Change>, encoding: Encoding) {
        let whole = changes.iter().rposition(|change| change.range.is_none()).unwrap_or(0);
        for change in changes.into_iter().skip(whole) {
            match change.range {
                Some(range) => {
                    let bytes = self.page(encoding).bytes(range);
                    self.text.replace_range(bytes, &change.text);
                }
                None => self.text = change.text,
            }
            self.lines = LineIndex::new(&self.text);
        }
        self.version = version;
    }
}

#[cfg(test)]
mod tests {
    use tower_lsp::lsp_types::{Position, Range};

    use super::*;

    fn change(from: (u32, u32), to: (u32, u32), text: &str) -> Change {
        let range = Range { start: Position::new(from.0, from.1), end: Position::new(to.0, to.1) };
        Change { range: Some(range), text: text.to_owned() }
    }

    #[test]
    fn changes_are_made_one_after_the_other_each_on_what_the_last_one_left() {
        let mut document = Document::new(PathBuf::new(), 1, "one\r\ntwo\n".to_owned());
        let changes = vec![change((0, 3), (1, 0), "\n"), change((1, 0), (1, 3), "zwei\n€"), change((2, 1), (9, 9), "!")];
        document.change(2, changes, Encoding::Utf16);
        assert_eq!((document.text.as_str(), document.version), ("one\nzwei\n€!", 2));
    }

    #[test]
    fn what_stands_before_a_whole_text_is_passed_over() {
        let mut document = Document::new(PathBuf::new(), 1, "one".to_owned());
        let whole = Change { range: None, text: "new".to_owned() };
        document.change(7, vec![change((0, 0), (0, 3), "lost"), whole, change((0, 3), (0, 3), "er")], Encoding::Utf16);
        assert_eq!((document.text.as_str(), document.version), ("newer", 7));
    }

    #[test]
    fn no_change_is_no_change() {
        let mut document = Document::new(PathBuf::new(), 1, "one".to_owned());
        document.change(2, Vec::new(), Encoding::Utf8);
        assert_eq!((document.text.as_str(), document.version), ("one", 2));
    }
}
