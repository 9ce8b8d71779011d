//! What editing costs, measured over the protocol with the program itself.
//!
//! `cargo bench -p purfle-editor --bench editing`. Times are those a client sees: from the last byte written to the answer
//! read. `-- --quick` makes a hundred edits where it makes ten thousand otherwise.

// A measurement that cannot be made says so and stops.
#![allow(clippy::expect_used, clippy::panic, clippy::print_stdout)]

mod client;
mod generated;

use std::time::{Duration, Instant};

use client::Client;
use serde_json::json;

const FIRST_LOOK: &str = include_str!("../../../rulebooks/first-look.purfle");

/// How many edits one row of the table is made of.
const EDITS: usize = 200;

fn main() {
    // `cargo test --benches` only wants to know that it can be started.
    if std::env::args().any(|argument| argument == "--test") {
        return;
    }
    let quick = std::env::args().any(|argument| argument == "--quick");
    println!("start to first diagnostics of first-look: {} (target 100 ms)", millis(percentile(starts(), 50)));
    println!("\n95th percentiles, the pause before a proof aside; \"after\" is right after an edit\n");
    println!(
        "{:>14} {:>7} {:>12} {:>12} {:>12} {:>12} {:>12}",
        "rulebook", "lines", "diagnostics", "completion", "after", "hover", "after"
    );
    row("first-look", FIRST_LOOK);
    for lines in [1_000, 2_000, 5_000, 10_000] {
        row("generated", &generated::rulebook(lines));
    }
    memory(if quick { 100 } else { 10_000 });
}

fn millis(time: Duration) -> String {
    format!("{:.2} ms", time.as_secs_f64() * 1e3)
}

fn percentile(mut times: Vec<Duration>, percent: usize) -> Duration {
    times.sort();
    let at = (times.len() * percent).div_ceil(100).max(1) - 1;
    times.get(at).copied().unwrap_or_default()
}

/// From starting the program to the first diagnostics of the standard rulebook.
fn starts() -> Vec<Duration> {
    let once = |_| {
        let begun = Instant::now();
        let mut client = Client::start(json!({}));
        client.open("untitled:first-look", FIRST_LOOK);
        client.published(1);
        let took = begun.elapsed();
        client.leave();
        took
    };
    (0..11).map(once).collect()
}

/// Where somebody types: in the middle of the signs of a finding in the middle of the text.
fn place(text: &str) -> (usize, usize) {
    let lines: Vec<&str> = text.lines().collect();
    let signs = |line: &usize| lines[*line].trim_start().starts_with("signs ") && lines[*line].len() > 12;
    let line = (lines.len() / 2..lines.len()).find(signs).expect("a finding");
    (line, lines[line].len())
}

fn row(name: &str, text: &str) {
    let uri = "untitled:edited";
    let mut client = Client::start(json!({}));
    client.open(uri, text);
    client.settle();
    let (line, end) = place(text);
    let signs = text.lines().nth(line).unwrap_or_default();
    let word = signs.len() - signs.trim_start().trim_start_matches("signs").trim_start().len();
    let at = |column: usize| json!({"textDocument": {"uri": uri}, "position": {"line": line, "character": column}});
    let (mut told, mut completed, mut after, mut hovered, mut hovered_after) = (vec![], vec![], vec![], vec![], vec![]);
    let typed = " or x";
    for edit in 0..EDITS {
        // Typed letter by letter, then taken back letter by letter.
        let (step, back) = (edit % typed.len(), edit / typed.len() % 2 == 1);
        let column = if back { end + typed.len() - step - 1 } else { end + step };
        let to = if back { column + 1 } else { column };
        let letter = if back { "" } else { &typed[step..=step] };
        let range = json!({"start": {"line": line, "character": column}, "end": {"line": line, "character": to}});
        let begun = Instant::now();
        let version = client.change(uri, &range, letter);
        match edit % 3 {
            0 => after.push(client.timed("textDocument/completion", at(column))),
            1 => hovered_after.push(client.timed("textDocument/hover", at(word))),
            _ => {
                client.published(version);
                told.push(begun.elapsed());
                completed.push(client.timed("textDocument/completion", at(column)));
                hovered.push(client.timed("textDocument/hover", at(word)));
            }
        }
        client.published(version);
    }
    let shown = [told, completed, after, hovered, hovered_after].map(|times| millis(percentile(times, 95)));
    let [told, completed, after, hovered, hovered_after] = shown;
    println!("{name:>14} {:>7} {told:>12} {completed:>12} {after:>12} {hovered:>12} {hovered_after:>12}", text.lines().count());
    client.leave();
}

/// What the program keeps with the standard rulebook and a house's rules open, before and after many edits.
fn memory(edits: usize) {
    let mut client = Client::start(json!({}));
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../rulebooks");
    let folder = std::fs::canonicalize(folder).expect("the rulebooks");
    let uri = |name: &str| format!("file://{}/{name}", folder.display());
    let (house, standard) = (uri("harrow-bench.purfle"), uri("first-look.purfle"));
    client.open(&standard, FIRST_LOOK);
    client.open(&house, include_str!("../../../rulebooks/harrow-bench.purfle"));
    client.settle();
    println!("\nmemory with first-look and harrow-bench open: {} (target 60 MB)", client.memory());
    let (line, end) = place(FIRST_LOOK);
    for round in 1..=4 {
        for edit in 0..edits / 4 {
            let (from, to, text) = if edit % 2 == 0 { (end, end, " or x") } else { (end, end + 5, "") };
            let range = json!({"start": {"line": line, "character": from}, "end": {"line": line, "character": to}});
            let version = client.change(&standard, &range, text);
            client.published(version);
        }
        client.settle();
        println!("after {:>6} edits: {}", edits / 4 * round, client.memory());
    }
    client.leave();
}
