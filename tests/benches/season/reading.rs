//! Reading records and nothing else: what is left of the time for judging and writing.

use std::error::Error;
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

use purfle::record::Record;
use purfle::records::{Earlier, Input, Run};
use purfle_lang::book::Book;

use super::report::line;

/// Reads a file on one thread, as records and as earlier records, and prints the time a record.
pub fn measure(name: &str, book: &Arc<Book>, file: &Path, count: u64) -> Result<(), Box<dyn Error>> {
    let input = [Input::new(&file.to_string_lossy(), false).map_err(|bad| bad.to_string())?];
    let per_record = |began: Instant| began.elapsed().as_secs_f64() / count as f64 * 1e6;
    let began = Instant::now();
    let mut entries = 0_usize;
    let make = || |record: &mut Record| Ok(record.entries.len());
    Run { book, inputs: &input, threads: 1, likeness: None }
        .each(make, |answer| {
            entries += answer.unwrap_or(0);
            Ok(())
        })
        .map_err(|stopped| stopped.to_string())?;
    line(&format!("{name}: reading alone, one thread"), format!("{:8.2} us a record", per_record(began)));
    let began = Instant::now();
    Earlier::read(book, &[], &input, 1).map_err(|stopped| stopped.to_string())?;
    line(&format!("{name}: reading what the record before says, one thread"), format!("{:8.2} us a record", per_record(began)));
    line(&format!("{name}: entries a record"), format!("{:8.1}", entries as f64 / count as f64));
    Ok(())
}
