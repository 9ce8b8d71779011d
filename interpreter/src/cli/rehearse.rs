//! `purfle rehearse RULEBOOK…`: the worked examples that a shop agrees on.

use std::io::{self, BufWriter, Write};
use std::sync::Arc;

use clap::Args;
use purfle_lang::book::Book;

use super::diagnostics::{Lines, refuse};
use super::{Ending, complain, paint_out};
use crate::judge::Judge;
use crate::load::{Loaded, load};
use crate::rehearse::coverage::{Coverage, Reached};
use crate::rehearse::{Miss, Rehearsed, record_words, rehearse};
use crate::report::{Ink, Paint, paragraph, plain, shown};

/// What `purfle rehearse` is told.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The rulebooks (NAME.purfle)
    #[arg(required = true)]
    rulebooks: Vec<String>,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> io::Result<Ending> {
    let mut out = BufWriter::new(io::stdout());
    let mut ending = Ending::Well;
    for name in &arguments.rulebooks {
        match load(name) {
            Err(unusable) => {
                ending = ending.max(Ending::Unusable);
                complain(&unusable.to_string());
            }
            Ok(mut loaded) => match loaded.ready() {
                None => {
                    ending = ending.max(Ending::Wrong);
                    refuse(&loaded);
                }
                Some(judge) => {
                    let stage = Stage { loaded: &loaded, paint: paint_out() };
                    ending = ending.max(stage.rehearse(&mut out, judge)?);
                }
            },
        }
    }
    out.flush()?;
    Ok(ending)
}

struct Stage<'a> {
    loaded: &'a Loaded,
    paint: Paint,
}

impl Stage<'_> {
    fn rehearse(&self, out: &mut dyn Write, mut judge: Judge) -> io::Result<Ending> {
        let book = Arc::clone(&judge.plan().book);
        let mut coverage = Coverage::new(Arc::clone(&book));
        let mut failed = 0;
        for example in &book.examples {
            let rehearsed = rehearse(&book, &mut judge, example);
            coverage.add(example);
            if !rehearsed.misses.is_empty() {
                failed += 1;
                let mark = self.paint.ink(Ink::Grave, "FAILS");
                self.show(out, &book, &mark, &rehearsed)?;
            }
        }
        let mut different = 0;
        for example in &book.inherited_examples {
            let rehearsed = rehearse(&book, &mut judge, example);
            coverage.add(example);
            if !rehearsed.misses.is_empty() {
                different += 1;
                let mark = self.paint.ink(Ink::Warn, &format!("DIFFERS FROM {}", example.origin.rulebook));
                self.show(out, &book, &mark, &rehearsed)?;
            }
        }
        let mut summary = String::new();
        let (all, inherited) = (book.examples.len(), book.inherited_examples.len());
        let verdict = if failed == 0 {
            self.paint.ink(Ink::Well, "all as agreed")
        } else {
            self.paint.ink(Ink::Grave, &format!("{failed} not as agreed"))
        };
        let name = format!("{} {}", book.name, shown(&book.edition));
        paragraph(&mut summary, "", &format!("{name}: {all} examples, {verdict}."));
        if inherited > 0 {
            let text = format!(
                "{inherited} examples of the rulebooks it is built on: {different} come out differently, which is no failure."
            );
            paragraph(&mut summary, "", &text);
        }
        for (what, Reached { all, reached, missed }) in
            [("Findings", coverage.findings()), ("Urgency lines", coverage.lines()), ("Choices", coverage.choices())]
        {
            let not = if missed.is_empty() { String::new() } else { format!(" Not reached: {}.", missed.join(", ")) };
            paragraph(&mut summary, "", &format!("{what} that an example reaches: {reached} of {all}.{not}"));
        }
        out.write_all(summary.as_bytes())?;
        Ok(if failed == 0 { Ending::Well } else { Ending::Wrong })
    }

    /// One example that came out differently: its record, and for each miss what was expected, what came out and why.
    fn show(&self, out: &mut dyn Write, book: &Book, mark: &str, rehearsed: &Rehearsed<'_>) -> io::Result<()> {
        let example = rehearsed.example;
        let mut text = String::new();
        paragraph(&mut text, "", &format!("{mark}  {}  ({})", plain(&example.words), self.place(example.origin.span)));
        paragraph(&mut text, "  record    ", &plain(&record_words(book, example)));
        for Miss { span, came_out, because } in &rehearsed.misses {
            paragraph(&mut text, "  expected  ", &format!("{}  ({})", self.written(*span), self.place(*span)));
            paragraph(&mut text, "  came out  ", &plain(came_out));
            if !because.is_empty() {
                paragraph(&mut text, "  because   ", &plain(&because.join("; ")));
            }
        }
        text.push('\n');
        out.write_all(text.as_bytes())
    }

    /// The text at a span, on one line.
    fn written(&self, span: purfle_lang::span::Span) -> String {
        let source = self.loaded.sources.get(span.file.0 as usize);
        let text = source.and_then(|source| source.text.get(span.range())).unwrap_or_default();
        shown(&text.split_whitespace().collect::<Vec<_>>().join(" ")).into_owned()
    }

    /// `first-look.purfle:123`
    fn place(&self, span: purfle_lang::span::Span) -> String {
        let Some(source) = self.loaded.sources.get(span.file.0 as usize) else { return String::new() };
        let line = Lines::new(&source.text).position(span.start as usize).line;
        format!("{}:{line}", shown(&source.name))
    }
}
