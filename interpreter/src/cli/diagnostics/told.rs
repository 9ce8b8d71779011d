//! A diagnostic dressed for miette: spans clamped to their text, one source for each file.

use std::fmt;
use std::io;

use miette::{LabeledSpan, MietteError, MietteSpanContents, SourceCode, SourceSpan, SpanContents};
use purfle_lang::diagnostic::{Diagnostic, Severity};
use purfle_lang::source::LineIndex;
use purfle_lang::span::{FileId, Span};

use super::{RAISED, Severities, Style, draw};
use crate::load::SourceText;
use crate::report::{paragraph, shown};

/// The longest line that is shown whole, in bytes.
const LONGEST_LINE: usize = 1_000;

/// How much of a longer line is shown before and after what is at fault, in bytes.
const OF_A_LONG_LINE: usize = 100;

/// The texts of a chain, made harmless for a terminal.
pub struct Texts {
    texts: Vec<Text>,
}

/// One text and where its lines begin, so that showing a few of them does not read all of it.
#[derive(Debug)]
struct Text {
    name: String,
    text: String,
    index: LineIndex,
}

impl Texts {
    /// Dresses the texts of a chain.
    pub fn new(sources: &[SourceText]) -> Self {
        let text = |source: &SourceText| {
            let text = harmless(&source.text);
            Text { name: shown(&source.name).into_owned(), index: LineIndex::new(&text), text }
        };
        Self { texts: sources.iter().map(text).collect() }
    }

    fn get(&self, file: FileId) -> Option<&Text> {
        self.texts.get(file.0 as usize)
    }
}

impl SourceCode for Text {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        lines_before: usize,
        lines_after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let line_of = |byte: usize| self.index.line_column(&self.text, byte).line;
        let end = span.offset() + span.len();
        if end > self.text.len() {
            return Err(MietteError::OutOfBounds);
        }
        let line = |number: usize| self.index.line(&self.text, number).ok_or(MietteError::OutOfBounds);
        let long = |number: usize| line(number).is_ok_and(|line| line.len() > LONGEST_LINE);
        let begins = line_of(span.offset());
        // A span that ends behind a line break ends on the line before it.
        let ends = line_of(end.saturating_sub(1).max(span.offset()));
        // What is shown is one stretch of the text, so there are no lines round a long one and no long ones round others.
        let mut first = begins;
        while first > begins.saturating_sub(lines_before).max(1) && !long(first) && !long(first - 1) {
            first -= 1;
        }
        let mut last = ends;
        while last < (ends + lines_after).min(self.index.lines()) && !long(last) && !long(last + 1) {
            last += 1;
        }
        let (mut shown_from, mut shown_to) = (line(first)?.start, line(last)?.end);
        if long(first) {
            shown_from = shown_from.max(character_start(&self.text, span.offset().saturating_sub(OF_A_LONG_LINE)));
        }
        if long(last) {
            shown_to = shown_to.min(character_start(&self.text, end + OF_A_LONG_LINE));
        }
        // Asked for no lines before, the contents begin with the span itself: so the place in the heading is told.
        let start = if lines_before == 0 { span.offset() } else { shown_from };
        let end = shown_to.max(start);
        let shown = SourceSpan::from(start..end);
        let data = &self.text.as_bytes()[start..end];
        let column = self.index.line_column(&self.text, start).column - 1;
        Ok(Box::new(MietteSpanContents::new_named(self.name.clone(), data, shown, first - 1, column, last - first + 1)))
    }
}

/// A text with every character that steers replaced by one as long, so that spans keep their meaning.
fn harmless(text: &str) -> String {
    let steers = |character: char| crate::report::steers(character) && !matches!(character, '\n' | '\r' | '\t');
    text.chars()
        .flat_map(|character| match (steers(character), character.len_utf8()) {
            (false, _) => [Some(character), None],
            (true, 1) => [Some('?'), None],
            (true, 2) => [Some('?'), Some('?')],
            (true, _) => [Some('\u{fffd}'), None],
        })
        .flatten()
        .collect()
}

/// A diagnostic as miette shows it.
#[derive(Debug)]
pub struct Told<'a> {
    diagnostic: &'a Diagnostic,
    severities: Severities,
    says: String,
    help: Option<String>,
    labels: Vec<LabeledSpan>,
    source: Option<&'a Text>,
    /// Places in other files, each drawn by itself.
    elsewhere: Vec<Elsewhere<'a>>,
}

impl<'a> Told<'a> {
    /// Dresses one diagnostic.
    pub fn new(diagnostic: &'a Diagnostic, texts: &'a Texts, severities: Severities) -> Self {
        let own = diagnostic.span.file;
        let source = texts.get(own);
        let mut labels = Vec::new();
        if let Some(source) = source {
            labels.push(label(&source.text, diagnostic.span, &diagnostic.label, true));
            let here = diagnostic.places.iter().filter(|place| place.span.file == own);
            labels.extend(here.map(|place| label(&source.text, place.span, &place.says, false)));
        }
        let elsewhere = diagnostic
            .places
            .iter()
            .filter(|place| place.span.file != own)
            .filter_map(|place| {
                let source = texts.get(place.span.file)?;
                let label = label(&source.text, place.span, "", false);
                Some(Elsewhere { says: shown(&place.says).into_owned(), label, source })
            })
            .collect();
        let mut help = shown(&diagnostic.help).into_owned();
        // A fix is often all there is to say, and the help has said it.
        for fix in diagnostic.fixes.iter().filter(|fix| fix.title != diagnostic.help.trim_end_matches('.')) {
            if !help.is_empty() {
                help.push('\n');
            }
            help.push_str(&format!("Fix: {}", shown(&fix.title)));
        }
        let says = shown(&diagnostic.says).into_owned();
        Self { diagnostic, severities, says, help: (!help.is_empty()).then_some(help), labels, source, elsewhere }
    }

    /// The diagnostic, and below it the places in other files that matter to it.
    pub fn drawn(&self, style: Style) -> io::Result<String> {
        let mut text = draw(self, style)?;
        if let Some(witness) = &self.diagnostic.witness {
            paragraph(&mut text, "  for instance: ", &format!("{}\n{}", shown(&witness.record), shown(&witness.outcome)));
        }
        for place in &self.elsewhere {
            text.push_str(&draw(place, style)?);
        }
        Ok(text)
    }
}

/// A label that miette can draw: inside the text, on characters, and never empty behind the last line end.
fn label(text: &str, span: Span, words: &str, primary: bool) -> LabeledSpan {
    let range = span.range();
    let range = range.start..range.end.min(range.start.saturating_add(LONGEST_LINE));
    let mut start = character_start(text, range.start);
    let mut end = character_start(text, range.end).max(start);
    // An end within a character belongs behind it.
    if end < range.end {
        end += text[end..].chars().next().map_or(0, char::len_utf8);
    }
    if start == end {
        let visible = text.trim_end().len();
        start = start.min(visible);
        end = start;
        if start == visible {
            start = text[..start].char_indices().next_back().map_or(0, |(at, _)| at);
        }
    }
    let words = (!words.is_empty()).then(|| shown(words).into_owned());
    if primary { LabeledSpan::new_primary_with_span(words, start..end) } else { LabeledSpan::new_with_span(words, start..end) }
}

/// Where the character begins that a byte belongs to; the end of the text for bytes past it.
fn character_start(text: &str, byte: usize) -> usize {
    let mut at = byte.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

impl fmt::Display for Told<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.says)
    }
}

impl std::error::Error for Told<'_> {}

impl miette::Diagnostic for Told<'_> {
    fn code<'b>(&'b self) -> Option<Box<dyn fmt::Display + 'b>> {
        let slug = self.diagnostic.slug;
        Some(if self.severities.raises(self.diagnostic) { Box::new(format!("{slug} ({RAISED})")) } else { Box::new(slug) })
    }

    fn severity(&self) -> Option<miette::Severity> {
        Some(match self.severities.of(self.diagnostic) {
            Severity::Error => miette::Severity::Error,
            Severity::Warning => miette::Severity::Warning,
        })
    }

    fn help<'b>(&'b self) -> Option<Box<dyn fmt::Display + 'b>> {
        self.help.as_ref().map(|help| Box::new(help) as Box<dyn fmt::Display + 'b>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.source.map(|source| source as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        Some(Box::new(self.labels.iter().cloned()))
    }
}

/// A related place in another file.
#[derive(Debug)]
struct Elsewhere<'a> {
    says: String,
    label: LabeledSpan,
    source: &'a Text,
}

impl fmt::Display for Elsewhere<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.says)
    }
}

impl std::error::Error for Elsewhere<'_> {}

impl miette::Diagnostic for Elsewhere<'_> {
    fn severity(&self) -> Option<miette::Severity> {
        Some(miette::Severity::Advice)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(self.source)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        Some(Box::new(std::iter::once(self.label.clone())))
    }
}

#[cfg(test)]
mod tests {
    use purfle_lang::diagnostic::Diagnostic;
    use purfle_lang::span::{FileId, Span};

    use super::{Severities, Style, Texts, Told};
    use crate::load::SourceText;

    fn drawn(diagnostic: &Diagnostic) -> String {
        let text = |name: &str, text: &str| SourceText { name: name.to_owned(), text: text.to_owned() };
        let texts = Texts::new(&[
            text("house.purfle", "rulebook house \"Höhe\"\n  edition 1\n\u{1b}[31m\n\n"),
            text("first-look.purfle", "rulebook first-look \"First\"\n"),
        ]);
        let out = Told::new(diagnostic, &texts, Severities::AsTheyAre).drawn(Style::Ascii).expect("memory to write to");
        assert!(!out.contains('\u{1b}') && !out.contains("Failed to read"), "{out}");
        out
    }

    fn span(file: u16, start: usize, end: usize) -> Span {
        Span::new(FileId(file), start, end)
    }

    #[test]
    fn every_span_can_be_drawn() {
        let length = "rulebook house \"Höhe\"\n  edition 1\n\u{1b}[31m\n\n".len();
        for start in 0..length + 3 {
            for end in [start, start + 1, start + 2, length, 10_000] {
                let out = drawn(&Diagnostic::error("some-slug", span(0, start, end), "It is wrong.").label("just here"));
                assert!(out.contains("just here") && out.contains("some-slug"), "{start}..{end}: {out}");
            }
        }
    }

    #[test]
    fn of_a_long_line_only_what_is_near_the_fault_is_shown() {
        let (before, after) = ("é".repeat(5_000), "x".repeat(5_000));
        let text = format!("{before}\nshort\n{before} fault {after}\n{after}\n");
        let at = text.find("fault").expect("it is there");
        let texts = Texts::new(&[SourceText { name: "long.purfle".to_owned(), text: text.clone() }]);
        let short = text.find("short").expect("it is there");
        for (start, end) in [(at, at + 5), (short, short + 5), (0, 2), (at, text.len())] {
            let diagnostic = Diagnostic::error("some-slug", span(0, start, end), "It is wrong.").label("just here");
            let out = Told::new(&diagnostic, &texts, Severities::AsTheyAre).drawn(Style::Ascii).expect("memory to write to");
            assert!(out.contains("just here") && out.len() < 6_000, "{start}..{end}: {} bytes\n{out}", out.len());
            assert_eq!(out.contains("fault"), start == at, "{out}");
        }
    }

    #[test]
    fn a_record_that_shows_it_stands_below() {
        let record = "instrument.kind is viola, button.gap is 0.5 mm, button.sits is straight, bridge.leans not told";
        let diagnostic = Diagnostic::warning("overlap", span(0, 9, 14), "The two disagree.").help("Let one yield.");
        insta::assert_snapshot!(drawn(&diagnostic.witness(record, "finds button-unseated at book")));
    }

    #[test]
    fn places_in_other_files_are_shown_with_their_text() {
        let diagnostic = Diagnostic::error("edition-differs", span(0, 9, 14), "The editions differ.")
            .help("Compare the two editions.")
            .place(span(1, 9, 19), "its parent")
            .place(span(0, 27, 34), "the edition it names")
            .fix("Write edition 2", true, span(0, 35, 36), "2");
        insta::assert_snapshot!(drawn(&diagnostic));
    }
}
