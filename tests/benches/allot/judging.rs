//! What stands beside the sharing out: records judged by the standard rulebook, each other way of mending included; and
//! the whole answer, with what more money would buy.

use std::error::Error;
use std::fs::File;
use std::io::{BufWriter, Write};
use std::time::Instant;

use purfle::allot::{allot, budget, gather};
use purfle::load::load;
use purfle::records::Input;
use purfle::triage::Files;
use purfle_tests::generate::{Generator, Manner};

/// The standard rulebook.
const RULEBOOK: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../rulebooks/first-look.purfle");

/// Judges so many records made by chance, and shares out.
pub fn measure(records: u64) -> Result<(), Box<dyn Error>> {
    let folder = tempfile::tempdir()?;
    let mut loaded = load(RULEBOOK)?;
    let judge = loaded.ready().ok_or("the rulebook has errors: purfle proof names them")?;
    let book = judge.plan().book.clone();
    let path = folder.path().join("records.jsonl");
    let mut file = BufWriter::new(File::create(&path)?);
    Generator::new(&book, Manner::Ticks, 11).write(records, &mut file)?;
    file.flush()?;
    drop(file);
    let inputs = [Input::new(&path.to_string_lossy(), true)?];
    let files = Files { inputs: &inputs, last: &[] };
    for textbook in [true, false] {
        let begun = Instant::now();
        let batch = gather(&judge, files, textbook, || ())?;
        let took = begun.elapsed().as_secs_f64();
        let offers: usize = batch.instruments.iter().map(|instrument| instrument.offers.len()).sum();
        let ways = if textbook { "the textbook's way" } else { "all ways" };
        println!("{records} records judged by the standard rulebook, {ways}: {took:.2} s, {offers} offers");
        for sum in ["5000", "50000"] {
            let budget = budget(&book, &[sum.to_owned()], None)?;
            let begun = Instant::now();
            let allotted = allot(&book, &batch, &budget).map_err(|why| format!("{why:?}"))?;
            let took = begun.elapsed().as_secs_f64() * 1000.0;
            let (candidates, helped) = (allotted.candidates.len(), allotted.total.all());
            println!("  {sum} shared out, with all that more would buy: {took:.1} ms, {helped} of {candidates} helped");
        }
    }
    Ok(())
}
