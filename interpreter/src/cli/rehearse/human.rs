//! What came of a rulebook's examples, for people: first those that come out otherwise, then what was reached.

use std::fmt::Write;

use super::view::{ExampleView, MissView, ReachedView, RulebookView};
use crate::report::{Ink, Paint, paragraph, plain, shown};

/// The most things that one list of what is not reached names.
const MOST_NAMED: usize = 20;

/// The whole report on one rulebook.
pub fn report(view: &RulebookView, paint: Paint) -> String {
    let mut text = String::new();
    for example in view.examples.iter().filter(|example| !example.misses.is_empty()) {
        show(&mut text, example, paint);
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

fn summary(text: &mut String, view: &RulebookView, paint: Paint) {
    let own = view.examples.iter().filter(|example| !example.inherited).count();
    let inherited = view.examples.len() - own;
    let verdict = match view.failed {
        0 => paint.ink(Ink::Well, "all as agreed"),
        failed => paint.ink(Ink::Grave, &format!("{failed} not as agreed")),
    };
    paragraph(text, "", &format!("{}: {own} examples, {verdict}.", view.called()));
    if inherited > 0 {
        let different = view.different;
        let words = format!(
            "{inherited} examples of the rulebooks it is built on: {different} come out differently, which is no failure."
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
