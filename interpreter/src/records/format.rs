//! What a file of records is written in, by its name or else by its first bytes.

use std::path::Path;

/// What a file of records is written in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// JSON, one record a line.
    JsonLines,
    /// JSON, one array of records.
    JsonArray,
    /// JSON, one record or several after each other, over any number of lines.
    Json,
    /// CSV (RFC 4180) with a heading.
    Csv,
}

impl Format {
    /// The format of a file of that name that begins with these bytes (its byte-order mark already left out).
    pub fn of(name: &str, beginning: &[u8]) -> Format {
        let ending = Path::new(name).extension().and_then(|ending| ending.to_str()).map(str::to_ascii_lowercase);
        match ending.as_deref() {
            Some("jsonl" | "ndjson") => return Format::JsonLines,
            Some("csv") => return Format::Csv,
            _ => {}
        }
        match beginning.trim_ascii_start().first() {
            Some(b'[') => Format::JsonArray,
            Some(b'{') if one_a_line(beginning.trim_ascii_start()) => Format::JsonLines,
            Some(b'{') => Format::Json,
            _ if ending.as_deref() == Some("json") => Format::Json,
            _ => Format::Csv,
        }
    }
}

/// Whether the first line is an object by itself, and there are more lines.
fn one_a_line(beginning: &[u8]) -> bool {
    memchr::memchr(b'\n', beginning).is_some_and(|end| serde_json::from_slice::<serde::de::IgnoredAny>(&beginning[..end]).is_ok())
}

#[cfg(test)]
mod tests {
    use super::Format;

    #[test]
    fn the_name_decides_and_else_the_first_byte() {
        for (name, beginning, format) in [
            ("a.csv", "{", Format::Csv),
            ("a.jsonl", "", Format::JsonLines),
            ("a.JSON", " [{", Format::JsonArray),
            ("a.json", "{\"record\": \"1\"}\n{}\n", Format::JsonLines),
            ("a.json", "{\n  \"record\": \"1\"\n}\n", Format::Json),
            ("a.json", "{\"record\": \"1\"}", Format::Json),
            ("-", "record,tag\n", Format::Csv),
            ("-", "[", Format::JsonArray),
        ] {
            assert_eq!(Format::of(name, beginning.as_bytes()), format, "{name}: {beginning}");
        }
    }
}
