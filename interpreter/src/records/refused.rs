//! A record that is not judged, and every reason why.

use crate::outcome::Impossible;
use crate::record::{Record, Source};

/// The most characters of a value that a message repeats.
const LONGEST_VALUE: usize = 120;

/// The most faults that are told of one record; the rest are counted.
pub const MOST_FAULTS: usize = 20;

/// A record that was refused; the others still run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// Where it was read.
    pub source: Source,
    /// The inspection's own mark, where one was read.
    pub record: Option<String>,
    /// What is wrong with it, in the order met; never empty.
    pub faults: Vec<Fault>,
    /// Faults beyond those told.
    pub untold: usize,
}

/// One thing wrong with a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The field, as written; none where the record as a whole is at fault.
    pub field: Option<String>,
    /// The letter of its column, in CSV.
    pub column: Option<String>,
    /// The value, as written, cut short where it is long.
    pub value: Option<String>,
    /// What is wrong, what is allowed and what comes nearest.
    pub why: String,
}

impl Fault {
    /// A fault of the record as a whole.
    pub fn whole(why: impl Into<String>) -> Self {
        Self { field: None, column: None, value: None, why: why.into() }
    }

    /// A fault of one field.
    pub fn field(field: &str, value: &str, why: impl Into<String>) -> Self {
        Self { field: Some(shortened(field)), column: None, value: Some(shortened(value)), why: why.into() }
    }
}

impl Refused {
    /// A record refused for one reason, of which nothing could be read.
    pub fn whole(source: Source, why: impl Into<String>) -> Self {
        Self { source, record: None, faults: vec![Fault::whole(why)], untold: 0 }
    }
}

impl Refused {
    /// A record that was understood, and that no instrument can be like.
    pub fn impossible(record: &Record, impossible: Impossible) -> Self {
        let Impossible { fields, why } = impossible;
        let (paths, values): (Vec<&str>, Vec<&str>) =
            fields.iter().map(|field| field.split_once(" = ").unwrap_or((field, ""))).unzip();
        let field = (!paths.is_empty()).then(|| paths.join(", "));
        let value = (!values.is_empty()).then(|| values.join(", "));
        let fault = Fault { field, column: None, value, why };
        Self { source: record.source.clone(), record: Some(record.id.clone()), faults: vec![fault], untold: 0 }
    }
}

/// A text short enough to repeat in a message.
pub fn shortened(text: &str) -> String {
    match text.char_indices().nth(LONGEST_VALUE) {
        Some((end, _)) => format!("{}...", &text[..end]),
        None => text.to_owned(),
    }
}
