//! `purfle tidy RULEBOOK…`: the one canonical layout.

use std::io::{self, BufWriter, IsTerminal, Write};
use std::path::Path;
use std::time::Duration;

use clap::Args;
use purfle_lang::source::LineIndex;
use purfle_lang::span::FileId;
use purfle_lang::syntax::parse;
use purfle_lang::tidy::Tidied;
use similar::TextDiff;

use super::output::rewrite;
use super::{Ending, complain, paint_out};
use crate::load::text;
use crate::records::STANDARD_INPUT;
use crate::report::{Ink, shown};

/// What `purfle tidy` is told.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The rulebooks (NAME.purfle); - reads the standard input and writes to the standard output
    #[arg(required = true)]
    rulebooks: Vec<String>,
    /// Write nothing; show what would be changed, and end with 1 if anything would
    #[arg(long)]
    check: bool,
}

/// How long a difference is sought that is as small as can be.
const PATIENCE: Duration = Duration::from_secs(2);

/// Runs the command.
pub fn run(arguments: &Arguments) -> io::Result<Ending> {
    if arguments.rulebooks.len() > 1 && !arguments.check && arguments.rulebooks.iter().any(|name| name == STANDARD_INPUT) {
        complain("-, the standard input, stands alone: what is written would run together with the rest");
        return Ok(Ending::Unusable);
    }
    let mut out = BufWriter::new(io::stdout());
    let mut ending = Ending::Well;
    for name in &arguments.rulebooks {
        ending = ending.max(one(&mut out, name, arguments.check)?);
    }
    out.flush()?;
    Ok(ending)
}

/// Lays out one rulebook.
fn one(out: &mut impl Write, name: &str, check: bool) -> io::Result<Ending> {
    let text = match text(name) {
        Ok(text) => text,
        Err(unusable) => {
            complain(&unusable.to_string());
            return Ok(Ending::Unusable);
        }
    };
    if parse(FileId::OWN, &text).tree.items.is_empty() {
        complain(&format!("{name}: nothing in it is an item of a rulebook, which begins with `rulebook NAME \"title\"`"));
        return Ok(Ending::Unusable);
    }
    let tidied = Tidied::new(&text);
    let called = if name == STANDARD_INPUT { "standard input" } else { name };
    let ending = if tidied.left().is_empty() { Ending::Well } else { Ending::Wrong };
    if check {
        if !tidied.was_tidy() {
            difference(out, called, &text, &tidied.text())?;
        }
        tell_left(called, &text, &tidied);
        return Ok(if tidied.was_tidy() { ending } else { Ending::Wrong });
    }
    let after = tidied.text();
    if name == STANDARD_INPUT {
        out.write_all(after.as_bytes())?;
    } else if tidied.was_tidy() {
        writeln!(out, "{}: it was tidy", shown(name))?;
    } else if let Err(why) = rewrite(Path::new(name), &after) {
        complain(&format!("{name}: {why}"));
        return Ok(Ending::Unusable);
    } else {
        writeln!(out, "{}: tidied", shown(name))?;
    }
    if ending != Ending::Well {
        // The lines that are named are those of what was written.
        tell_left(called, &after, &Tidied::new(&after));
    }
    Ok(ending)
}

/// Says which items stay as they are, since they cannot be read.
fn tell_left(called: &str, text: &str, tidied: &Tidied) {
    /// So many are named.
    const NAMED: usize = 8;
    let left = tidied.left();
    if left.is_empty() {
        return;
    }
    let index = LineIndex::new(text);
    let mut lines: Vec<String> = left.iter().take(NAMED).map(|&at| index.line_column(text, at).line.to_string()).collect();
    if left.len() > NAMED {
        lines.push(format!("{} more", left.len() - NAMED));
    }
    let lines = match lines.split_last() {
        Some((last, [])) => format!("the item at line {last} stays as it is, since it"),
        Some((last, before)) => format!("the items at lines {} and {last} stay as they are, since they", before.join(", ")),
        None => String::new(),
    };
    complain(&format!("{called}: {lines} cannot be read; `purfle proof` says why"));
}

/// Shows what would be changed. On paper as programs read it; on a terminal nothing in the text steers it.
fn difference(out: &mut impl Write, called: &str, before: &str, after: &str) -> io::Result<()> {
    let difference = TextDiff::configure().timeout(PATIENCE).diff_lines(before, after);
    let after = format!("{called}, tidied");
    let unified = difference.unified_diff().header(called, &after).to_string();
    if !io::stdout().is_terminal() {
        return out.write_all(unified.as_bytes());
    }
    for line in unified.lines() {
        let ink = match line.as_bytes().first() {
            Some(b'+') => Some(Ink::Well),
            Some(b'-') => Some(Ink::Grave),
            Some(b'@') => Some(Ink::Faint),
            _ => None,
        };
        let line = shown(line);
        writeln!(out, "{}", ink.map_or_else(|| line.clone().into_owned(), |ink| paint_out().ink(ink, &line)))?;
    }
    Ok(())
}
