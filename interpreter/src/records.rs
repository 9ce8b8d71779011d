//! Inspection records in: JSON, JSON Lines, CSV and spreadsheets, streamed, with every bad field refused by record and by name.
//!
//! A file is cut into blocks of whole records by one thread, the blocks are understood by several, and what comes
//! of them is put together again in the order of the files. Nothing is held longer than its block.

mod absent;
mod cells;
mod csv;
mod earlier;
mod elements;
mod field;
mod format;
mod glance;
mod heading;
mod identity;
mod input;
mod json;
mod lines;
mod order;
mod places;
mod plain;
mod pool;
mod reader;
mod refused;
mod rows;
mod run;
mod say;
mod short;
#[cfg(test)]
mod tests;
mod window;
mod workbook;

pub use earlier::{Earlier, EarlierCounts};
pub use field::{Field, INSPECTED_ON, MOST_PLACES, QUOTED, RECORD, TAG, THE_REST, Target};
pub use format::Format;
pub use heading::letters;
pub use input::{Input, STANDARD_INPUT, Unusable};
pub use pool::in_order;
pub use reader::{Noting, RecordReader};
pub use refused::{Fault, Refused, shortened};
pub use run::{Answer, Repeated, Run, Stopped};
