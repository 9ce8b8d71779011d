//! One small rulebook for each thing that can be wrong: what is said of it, and the text it points at.

mod chains;
mod choices;
mod circles;
mod costs;
mod findings;
mod heads;
mod looks;
mod names;
mod noted;
mod places;
mod tables;
mod units;
mod unused;

use super::{Resolved, resolve};
use crate::book::Book;
use crate::diagnostic::{Diagnostic, Severity};
use crate::span::FileId;
use crate::syntax::parse;

/// A rulebook that is well, for others to be written under.
const HEAD: &str = r#"
rulebook trial "A trial"
  edition 1
  money   USD

urgency
  step fine "Nothing to do"
  step soon "This week"     within 7 days
  step halt "Do not play"   at once, not to be played

hands
  hand player  "The player"
  hand luthier "A luthier"  60 USD per h

tiers
  tier low  "Low"  up to 100 USD
  tier high "High" beyond

context instrument "The instrument"
  look kind   "Which?"       one of violin, viola, cello, bass
  look strung "Strung?"      yes or no
  look worth  "Its worth?"   priced from 0 USD to 9000 USD

part nut "Nut"
  look gap     "Gap"      measured in mm from 0 to 9, give or take 0.2
  look state   "State"    one of sound, worn, broken
  look marks   "Marks"    some of dents, scratches
  look turns   "Turns?"   yes or no
  look pins    "Pins"     counted from 0 to 6
  look fitted  "Fitted"   dated
  look note    "Note"     written

part peg "Pegs"
  place E
  place A
  look turns "Does it turn?" one of freely, stiff
  look wear  "Wear"          measured in mm from 0 to 3

part crack "Cracks"
  places as found
  look length "Length" measured in mm from 0 to 300

work mend "Mend it" 0.5 h each
"#;

/// A sound finding with `lines` for its signs and more.
fn finding(lines: &str) -> String {
    format!(
        "finding trouble \"Trouble\"\n{lines}\n  urgency soon\n  hands luthier\n  cost nothing\n  basis \"common practice\"\n"
    )
}

/// A sound finding on the nut with these signs.
fn signs(signs: &str) -> String {
    finding(&format!("  on nut\n  signs {signs}"))
}

/// Reads a text that the parser has nothing against. Such small ones leave much unused, which `unused` alone is about.
#[track_caller]
fn read(text: &str) -> Resolved {
    let mut resolved = read_all(text);
    resolved.diagnostics.retain(|diagnostic| diagnostic.slug != "unused");
    resolved
}

#[track_caller]
fn read_all(text: &str) -> Resolved {
    let parsed = parse(FileId(0), text);
    let errors: Vec<&str> = parsed.diagnostics.iter().map(|diagnostic| diagnostic.says.as_str()).collect();
    assert!(errors.is_empty(), "the parser refuses it: {errors:?}\n{text}");
    resolve(&[parsed.tree])
}

/// What is said of [`HEAD`] with `text` after it: slug and spanned text, in the order of the text.
#[track_caller]
fn said(text: &str) -> Vec<(&'static str, String)> {
    said_of(&format!("{HEAD}\n{text}"))
}

#[track_caller]
fn said_of(text: &str) -> Vec<(&'static str, String)> {
    let spanned = |diagnostic: &Diagnostic| text[diagnostic.span.range()].to_owned();
    read(text).diagnostics.iter().map(|diagnostic| (diagnostic.slug, spanned(diagnostic))).collect()
}

/// Checks that just these are said.
#[track_caller]
fn says(text: &str, expected: &[(&str, &str)]) {
    let said = said(text);
    let said: Vec<(&str, &str)> = said.iter().map(|(slug, text)| (*slug, text.as_str())).collect();
    assert_eq!(said, expected, "{text}");
}

/// The single diagnostic of a text.
#[track_caller]
fn only(text: &str) -> Diagnostic {
    let resolved = read(&format!("{HEAD}\n{text}"));
    let [diagnostic] = &resolved.diagnostics[..] else { panic!("one thing to say, not {:#?}", resolved.diagnostics) };
    let blocks = resolved.book.is_none();
    assert_eq!(blocks, diagnostic.severity == Severity::Error, "only an error keeps the book back");
    diagnostic.clone()
}

/// The text with the first fix of its single diagnostic made.
#[track_caller]
fn mended(text: &str) -> String {
    let whole = format!("{HEAD}\n{text}");
    let diagnostic = only(text);
    let Some(fix) = diagnostic.fixes.first() else { panic!("a fix is offered: {diagnostic:#?}") };
    let mut mended = whole;
    for edit in fix.edits.iter().rev() {
        mended.replace_range(edit.span.range(), &edit.text);
    }
    mended
}

/// Checks that the first fix leaves nothing to say.
#[track_caller]
fn fix_settles(text: &str) {
    let mended = mended(text);
    let left = said_of(&mended);
    assert!(left.is_empty(), "{left:?}\n{mended}");
}

/// The book of a text without errors.
#[track_caller]
fn book(text: &str) -> Book {
    let resolved = read(&format!("{HEAD}\n{text}"));
    match resolved.book {
        Some(book) => book,
        None => panic!("no errors: {:#?}", resolved.diagnostics),
    }
}

#[test]
fn the_head_is_well() {
    assert!(said("").is_empty());
    assert_eq!(book(&signs("turns")).findings.len(), 1);
}

#[test]
fn every_sentence_stands_alone_and_every_help_begins_with_a_verb() {
    let text = format!(
        "{}{}",
        signs("gapp is above 40"),
        "work odd \"Odd\" 3 mm once\ncounsel c \"c\"\n  when nut.state is warm\n  tell \"x\"\n"
    );
    for diagnostic in read(&format!("{HEAD}\n{text}")).diagnostics {
        assert!(
            diagnostic.says.ends_with('.')
                && diagnostic.says.starts_with(|c: char| c.is_uppercase() || c == '`' || c.is_ascii_digit())
        );
        assert!(diagnostic.help.ends_with('.') && diagnostic.help.starts_with(char::is_uppercase), "{diagnostic:#?}");
    }
}
