//! What came of examples as JUnit XML, for whoever gathers the results of tests.
//!
//! `testsuites` holds a `testsuite` for each rulebook, and that a `testcase` for each example, with `file` and `line`. An
//! example that comes out otherwise has a `failure`; one of a parent that does is `skipped` with the reason, since it is
//! no failure. A rulebook that does not run is a suite with one case that has an `error`. What no example notices is
//! information, and stands in `system-out`.

use std::fmt::Write;

use super::mutants;
use super::view::{ExampleView, Report, RulebookView};

/// The whole report.
pub fn report(report: &Report) -> String {
    let mut xml = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    let suites: Vec<String> = report
        .rulebooks
        .iter()
        .map(suite)
        .chain(report.unusable.iter().map(|unusable| stopped(&unusable.file, &unusable.file, &unusable.why.join(" "))))
        .collect();
    let examples = |of: fn(&RulebookView) -> usize| report.rulebooks.iter().map(of).sum::<usize>();
    let errors = report.unusable.len() + report.rulebooks.iter().filter(|view| view.errors > 0).count();
    let tests = examples(|view| view.examples.len()) + errors;
    let (failures, skipped) = (examples(|view| view.failed), examples(|view| view.different));
    let counts = counts(tests, failures, errors, skipped);
    let _ = writeln!(xml, "<testsuites name=\"purfle rehearse\"{counts}>");
    suites.iter().for_each(|suite| xml.push_str(suite));
    xml.push_str("</testsuites>\n");
    xml
}

fn counts(tests: usize, failures: usize, errors: usize, skipped: usize) -> String {
    format!(" tests=\"{tests}\" failures=\"{failures}\" errors=\"{errors}\" skipped=\"{skipped}\"")
}

fn suite(view: &RulebookView) -> String {
    if view.errors > 0 {
        let why = format!("The rulebook has {} errors, and does not run; `purfle proof` shows them.", view.errors);
        return stopped(&view.rulebook, &view.file, &why);
    }
    let mut xml = String::new();
    let name = view.called();
    let counts = counts(view.examples.len(), view.failed, 0, view.different);
    let _ = writeln!(xml, "  <testsuite name=\"{}\" file=\"{}\"{counts}>", escaped(&name), escaped(&view.file));
    view.examples.iter().for_each(|example| case(&mut xml, example));
    if let Some(tried) = &view.mutants {
        let _ = writeln!(xml, "    <system-out>{}</system-out>", escaped(&mutants::report(tried)));
    }
    xml.push_str("  </testsuite>\n");
    xml
}

/// A suite that could not begin.
fn stopped(name: &str, file: &str, why: &str) -> String {
    let (name, file, why) = (escaped(name), escaped(file), escaped(why));
    format!(
        "  <testsuite name=\"{name}\" file=\"{file}\"{}>\n    <testcase name=\"the rulebook runs\" classname=\"{name}\" \
         file=\"{file}\">\n      <error message=\"{why}\" type=\"rulebook\"/>\n    </testcase>\n  </testsuite>\n",
        counts(1, 0, 1, 0)
    )
}

fn case(xml: &mut String, example: &ExampleView) {
    let ExampleView { example: words, rulebook, inherited, file, line, record, misses } = example;
    let _ = write!(
        xml,
        "    <testcase name=\"{}\" classname=\"{}\" file=\"{}\" line=\"{line}\"",
        escaped(words),
        escaped(rulebook),
        escaped(file)
    );
    if misses.is_empty() {
        xml.push_str("/>\n");
        return;
    }
    let message: Vec<String> =
        misses.iter().map(|miss| format!("expected {}, came out {}", miss.expected, miss.came_out)).collect();
    let message = escaped(&message.join("; "));
    if *inherited {
        let _ = write!(xml, ">\n      <skipped message=\"comes out differently, which is no failure: {message}\"/>\n");
    } else {
        let mut text = format!("record    {record}\n");
        for miss in misses {
            let _ = writeln!(text, "expected  {}  ({}:{})", miss.expected, miss.file, miss.line);
            let _ = writeln!(text, "came out  {}", miss.came_out);
            if !miss.because.is_empty() {
                let _ = writeln!(text, "because   {}", miss.because.join("; "));
            }
        }
        let _ = write!(xml, ">\n      <failure message=\"{message}\" type=\"example\">{}</failure>\n", escaped(&text));
    }
    xml.push_str("    </testcase>\n");
}

/// A text for an element or an attribute in double quotes. What XML cannot hold becomes U+FFFD; line ends are kept.
fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\n' | '\t' | '\r' => {
                let _ = write!(safe, "&#{};", u32::from(character));
            }
            '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => safe.push('\u{fffd}'),
            other => safe.push(other),
        }
    }
    safe
}
