//! What came of a rulebook's examples, for people: first those that come out otherwise, then what was reached.

use std::fmt::Write;

use super::view::{ExampleView, MissView, ReachedView, RulebookView};
use crate::report::{Ink, Paint, paragraph, plain, shown};

/// The most things that one list of what is not reached names.
const MOST_NAMED: usize = 20;

/// The whole report on one rulebook.
pub fn report(view: &RulebookView, paint: Paint) -> String {
    let mut text = String::new();
    let different = view.examples.iter().filter(|example| !example.misses.is_empty());
    let (dearer, others): (Vec<&ExampleView>, Vec<&ExampleView>) = different.partition(|example| only_in_money(example));
    for example in others {
        show(&mut text, example, paint);
    }
    for of_one in dearer.chunk_by(|one, next| one.rulebook == next.rulebook) {
        show_money(&mut text, of_one, paint);
    }
    summary(&mut text, view, paint);
    text
}

/// One example that came out differently: its record, and for each miss what was expected, what came out and why.
fn show(text: &mut String, example: &ExampleView, paint: Paint) {
    let mark = match example.inherited {
        false => paint.ink(Ink::Grave, "FAILS"),
        true => paint.ink(Ink::Warn, &format!("DIFFERS FROM {}", example.rulebook)),
    };
    let place = |file: &str, line: usize| format!("({}:{line})", shown(file));
    paragraph(text, "", &format!("{mark}  {}  {}", plain(&example.example), place(&example.file, example.line)));
    paragraph(text, "  record    ", &plain(&example.record));
    for MissView { expected, file, line, came_out, because } in &example.misses {
        paragraph(text, "  expected  ", &format!("{}  {}", shown(expected), place(file, *line)));
        paragraph(text, "  came out  ", &plain(came_out));
        if !because.is_empty() {
            paragraph(text, "  because   ", &plain(&because.join("; ")));
        }
    }
    text.push('\n');
}

/// Whether an example of a parent comes out differently in sums of money alone, as it does under other prices.
fn only_in_money(example: &ExampleView) -> bool {
    example.inherited && example.misses.iter().all(|miss| sum(miss).is_some())
}

/// The clause and the sum, where it is a sum that was expected.
fn sum(miss: &MissView) -> Option<(&str, &str)> {
    let (clause, sum) = miss.expected.split_once(' ')?;
    ["cost", "left"].contains(&clause).then(|| (clause, sum.trim_start()))
}

/// The examples of one parent that differ in sums alone, a few lines each: a house with a rate of its own has hundreds of them.
fn show_money(text: &mut String, examples: &[&ExampleView], paint: Paint) {
    let Some(first) = examples.first() else { return };
    let mark = paint.ink(Ink::Warn, &format!("DIFFERS FROM {}", first.rulebook));
    let count = counted(examples.len());
    paragraph(text, "", &format!("{mark}  only in what it costs: {count}"));
    for example in examples.iter().take(MOST_NAMED) {
        let sums = example.misses.iter().filter_map(|miss| {
            let (clause, expected) = sum(miss)?;
            Some(format!("{clause} {}, not {}", plain(&miss.came_out), shown(expected)))
        });
        let sums = sums.collect::<Vec<_>>().join("; ");
        paragraph(text, "  - ", &format!("{} ({}:{})", plain(&example.example), shown(&example.file), example.line));
        paragraph(text, "    ", &sums);
    }
    if let Some(more) = examples.len().checked_sub(MOST_NAMED).filter(|more| *more > 0) {
        paragraph(text, "  - ", &format!("and {more} more (--as json has them all)"));
    }
    text.push('\n');
}

fn counted(examples: usize) -> String {
    if examples == 1 { "1 example".to_owned() } else { format!("{examples} examples") }
}

fn summary(text: &mut String, view: &RulebookView, paint: Paint) {
    let own = view.examples.iter().filter(|example| !example.inherited).count();
    let inherited = view.examples.len() - own;
    let verdict = match view.failed {
        0 => paint.ink(Ink::Well, "all as agreed"),
        failed => paint.ink(Ink::Grave, &format!("{failed} not as agreed")),
    };
    paragraph(text, "", &format!("{}: {}, {verdict}.", view.called(), counted(own)));
    if inherited > 0 {
        let different = view.different;
        let come = if different == 1 { "comes" } else { "come" };
        let words = format!(
            "{} of the rulebooks it is built on: {different} {come} out differently, which is no failure.",
            counted(inherited)
        );
        paragraph(text, "", &words);
    }
    text.push_str("\nReached by an example:\n");
    let wide = view.reached.iter().map(|reached| reached.all.to_string().len()).max().unwrap_or(0);
    for ReachedView { kind, all, reached, missed } in view.reached.iter().filter(|reached| reached.all > 0) {
        let _ = writeln!(text, "  {kind:13}  {reached:>wide$} of {all:>wide$}");
        if !missed.is_empty() {
            paragraph(text, "    not: ", &listed(missed));
        }
    }
}

fn listed(missed: &[String]) -> String {
    let named = missed.iter().take(MOST_NAMED).map(String::as_str).collect::<Vec<_>>().join("; ");
    match missed.len().saturating_sub(MOST_NAMED) {
        0 => named,
        more => format!("{named}; and {more} more (--as json names them all)"),
    }
}
