//! The program run as anybody would run it: as a process of its own, from files to a file.

use std::env;
use std::error::Error;
use std::fs::{self, File};
use std::io::{BufRead, BufReader, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode, Stdio};
use std::time::{Duration, Instant};

use purfle_lang::book::Book;
use purfle_tests::generate::{Generator, Manner};

use super::report::{Rounds, line};

/// Set where this very program is to be `purfle`; it names the file to write the peak of memory to.
const AS_PROGRAM: &str = "PURFLE_SEASON_PEAK";

/// Whether this process is to be `purfle`.
pub fn is_program() -> bool {
    env::var_os(AS_PROGRAM).is_some()
}

/// Is `purfle`: judges by the command line and leaves behind how much memory it took.
pub fn be() -> ExitCode {
    let code = purfle::cli::run();
    if let (Some(file), Some(peak)) = (env::var_os(AS_PROGRAM), peak()) {
        let _ = fs::write(file, peak.to_string());
    }
    code
}

/// The most memory this process ever held, in KiB: `VmHWM` of proc(5).
fn peak() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.trim().strip_suffix("kB")?.trim().parse().ok()
}

/// How one run went.
pub struct Went {
    /// Start to end.
    pub took: Duration,
    /// The most memory it held, in MB; none where the system does not tell.
    pub peak: Option<f64>,
}

/// Runs `purfle` with these words, the report into `out`.
pub fn run(words: &[&str], out: &Path) -> Result<Went, Box<dyn Error>> {
    run_to(0, words, out)
}

/// The same where the program is to end with this code.
pub fn run_to(code: i32, words: &[&str], out: &Path) -> Result<Went, Box<dyn Error>> {
    let note = out.with_extension("peak");
    let began = Instant::now();
    let ended = Command::new(env::current_exe()?)
        .args(words)
        .env(AS_PROGRAM, &note)
        .stdin(Stdio::null())
        .stdout(File::create(out)?)
        .stderr(Stdio::piped())
        .output()?;
    let took = began.elapsed();
    if ended.status.code() != Some(code) {
        return Err(format!("purfle {words:?} ended with {}: {}", ended.status, String::from_utf8_lossy(&ended.stderr)).into());
    }
    let peak = fs::read_to_string(&note).ok().and_then(|text| text.parse::<f64>().ok()).map(|kib| kib * 1024.0 / 1e6);
    Ok(Went { took, peak })
}

/// Writes generated records to a file of this folder.
pub fn records(book: &Book, manner: Manner, count: u64, file: &Path) -> Result<f64, Box<dyn Error>> {
    let mut out = BufWriter::with_capacity(1 << 20, File::create(file)?);
    let mut generator = Generator::new(book, manner, 1);
    generator.write(count, &mut out)?;
    out.flush()?;
    Ok(generator.fields_per_record())
}

/// Forty records, start to end.
pub fn small(rulebook: &str, book: &Book, folder: &Path) -> Result<(), Box<dyn Error>> {
    let (file, out) = (folder.join("forty.jsonl"), folder.join("forty.out"));
    records(book, Manner::Ticks, 40, &file)?;
    let file = file.to_string_lossy();
    for (form, words) in [
        ("slips", vec!["triage", rulebook, &file]),
        ("CSV", vec!["triage", rulebook, &file, "--as", "csv"]),
        ("JSON", vec!["triage", rulebook, &file, "--as", "json"]),
    ] {
        let mut failed = None;
        let rounds = Rounds::of(11, || failed = run(&words, &out).err().or(failed.take()));
        match failed {
            Some(error) => return Err(error),
            None => line(&format!("40 records, start to end, as {form} (to reach: 50 ms)"), rounds),
        }
    }
    Ok(())
}

/// Makes many records, and tells how full they are.
pub fn make(name: &str, book: &Book, manner: Manner, count: u64, file: &Path) -> Result<(), Box<dyn Error>> {
    let fields = records(book, manner, count, file)?;
    let size = fs::metadata(file)?.len() as f64 / count as f64;
    line(&format!("{name}: fields, bytes a record"), format!("{fields:8.1}, {size:.0}"));
    Ok(())
}

/// Many records, JSON Lines to CSV; how long it took.
pub fn large(name: &str, rulebook: &str, file: &Path, count: u64) -> Result<Duration, Box<dyn Error>> {
    let out = file.with_extension("csv");
    let went = run(&["triage", rulebook, &file.to_string_lossy(), "--as", "csv"], &out)?;
    tell(name, count, &went);
    let (rows, enclosed) = enclosed(&out)?;
    let share = 100.0 * enclosed as f64 / rows as f64;
    line(&format!("{name}: rows with a sum that is only enclosed"), format!("{share:8.3} %  ({enclosed} of {rows})"));
    Ok(went.took)
}

/// One run of many records, told.
pub fn tell(name: &str, count: u64, went: &Went) {
    let per_second = count as f64 / went.took.as_secs_f64();
    line(&format!("{name}: {count} records (to reach: 100000 a second)"), format!("{per_second:8.0} a second"));
    if let Some(peak) = went.peak {
        line(&format!("{name}: most memory (to reach: 200 MB)"), format!("{peak:8.1} MB"));
    }
}

/// How many rows a CSV report has, and in how many of them a sum is marked as only enclosing.
fn enclosed(report: &Path) -> Result<(u64, u64), Box<dyn Error>> {
    let (mut rows, mut marked) = (0, 0);
    for row in BufReader::with_capacity(1 << 20, File::open(PathBuf::from(report))?).split(b'\n').skip(1) {
        let row = row?;
        rows += 1;
        marked += u64::from(row.windows(14).any(|part| part == b"at the outside"));
    }
    Ok((rows, marked))
}
