//! Positions counted in the plainest way, to hold the server's against.

use std::ops::Range;

use serde_json::{Value, json};

/// Where the lines of a text begin and end, without their breaks.
fn lines(text: &str) -> Vec<Range<usize>> {
    let mut lines = Vec::new();
    let (mut start, mut at) = (0, 0);
    let bytes = text.as_bytes();
    while at < bytes.len() {
        let long = match (bytes[at], bytes.get(at + 1)) {
            (b'\r', Some(b'\n')) => 2,
            (b'\r' | b'\n', _) => 1,
            _ => 0,
        };
        if long > 0 {
            lines.push(start..at);
            start = at + long;
        }
        at += long.max(1);
    }
    lines.push(start..text.len());
    lines
}

/// The position of a byte that lies between two characters and not inside a line break.
pub fn position(text: &str, byte: usize, utf8: bool) -> Value {
    let lines = lines(text);
    let line = lines.iter().rposition(|line| line.start <= byte).expect("a line");
    let before = &text[lines[line].start..byte.min(lines[line].end).max(lines[line].start)];
    let column = if utf8 { before.len() } else { before.encode_utf16().count() };
    json!({"line": line, "character": column})
}

/// The range of some bytes.
pub fn range(text: &str, bytes: Range<usize>, utf8: bool) -> Value {
    json!({"start": position(text, bytes.start, utf8), "end": position(text, bytes.end, utf8)})
}
