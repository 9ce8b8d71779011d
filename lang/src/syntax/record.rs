//! The record of an example: entries between commas, each told apart by its words; values stay text.

use std::ops::Range;

use super::explain::number_with_comma;
use super::lower::skip;
use super::scan;
use super::split::clip;
use super::tree::{Name, Path, RecordEntry, RecordSays};
use crate::diagnostic::{Diagnostic, Edit, Fix};
use crate::span::{FileId, Span, Spanned};

const HELP: &str = "Write `button.gap is 0.5 mm`, `instrument.strung`, `button is good`, `the rest is good`, `no crack`, \
                    `crack may be more`, `button.gap not told`, `endpin does not apply`, `last post.lean is 3 deg`, \
                    `quoted is 240 USD` or `inspected-on is 2026-03-02`, with commas between.";

/// Reads the entries that stand in `range` of a text.
pub(super) fn entries(file: FileId, text: &str, range: Range<usize>, diagnostics: &mut Vec<Diagnostic>) -> Vec<RecordEntry> {
    let reader = Reader { file, text };
    let mut entries = Vec::new();
    let pieces = reader.pieces(range.clone());
    let alone = pieces.len() == 1;
    for piece in pieces {
        let words = reader.words(piece.clone());
        if let Some(comma) = reader.comma_in_number(&piece) {
            // What was read before the comma is half a number.
            entries.pop();
            diagnostics.push(comma);
            continue;
        }
        match (words.first(), words.last()) {
            (Some(first), Some(last)) => {
                let span = reader.span(&(first.start..last.end));
                if let Some(missing) = reader.comma_missing(&words) {
                    diagnostics.push(missing);
                    continue;
                }
                if let Some(plain) = reader.plain_speech(&words) {
                    diagnostics.push(plain);
                    continue;
                }
                match reader.entry(&words) {
                    Some(says) => entries.push(RecordEntry { says, span }),
                    None => diagnostics.push(
                        Diagnostic::error(
                            "record-entry",
                            span,
                            format!("`{}` is no entry of a record.", clip(&reader.plain(&words))),
                        )
                        .help(HELP),
                    ),
                }
            }
            _ => {
                let at = piece.end.min(range.end);
                let says =
                    if alone { "The record is empty." } else { "Between two commas, or after the last, an entry is missing." };
                let help = if alone { HELP } else { "Take the comma out, or write the entry." };
                diagnostics.push(Diagnostic::error("record-entry", Span::new(file, at, at), says).help(help));
            }
        }
    }
    entries
}

struct Reader<'a> {
    file: FileId,
    text: &'a str,
}

impl Reader<'_> {
    fn span(&self, range: &Range<usize>) -> Span {
        Span::new(self.file, range.start, range.end)
    }

    /// What stands between commas that are not in quotes, brackets or comments.
    fn pieces(&self, range: Range<usize>) -> Vec<Range<usize>> {
        let (mut pieces, mut start, mut at, mut depth) = (Vec::new(), range.start, range.start, 0_usize);
        while at < range.end {
            let Some(char) = self.text[at..range.end].chars().next() else { break };
            match char {
                '"' => at = self.after_text(at, range.end),
                '#' => at = skip(self.text, at, range.end),
                _ => {
                    match char {
                        '(' => depth += 1,
                        ')' => depth = depth.saturating_sub(1),
                        ',' if depth == 0 => {
                            pieces.push(start..at);
                            start = at + 1;
                        }
                        _ => {}
                    }
                    at += char.len_utf8();
                }
            }
        }
        pieces.push(start..range.end);
        pieces
    }

    /// The byte after a quoted text that begins at `at`.
    fn after_text(&self, at: usize, end: usize) -> usize {
        let mut escaped = false;
        for (index, char) in self.text[at + 1..end].char_indices() {
            match char {
                _ if escaped => escaped = false,
                '\\' => escaped = true,
                '"' | '\n' | '\r' => return at + 1 + index + 1,
                _ => {}
            }
        }
        end
    }

    /// The words of a piece: texts whole, everything else between spaces, comments left out.
    fn words(&self, piece: Range<usize>) -> Vec<Range<usize>> {
        let mut words = Vec::new();
        let mut at = skip(self.text, piece.start, piece.end);
        while at < piece.end {
            let rest = &self.text[at..piece.end];
            let end = if rest.starts_with('"') {
                self.after_text(at, piece.end)
            } else {
                let stops = |char: char| scan::is_space(char) || char == '"' || char == '#';
                at + rest.find(stops).unwrap_or(rest.len()).max(1)
            };
            words.push(at..end);
            at = skip(self.text, end, piece.end);
        }
        words
    }

    /// `0,5 mm`: a comma between two digits parts no entries.
    fn comma_in_number(&self, piece: &Range<usize>) -> Option<Diagnostic> {
        let digits = self.text[piece.clone()].bytes().take_while(u8::is_ascii_digit).count();
        let before = self.text[..piece.start].strip_suffix(',')?;
        let comma = Span::new(self.file, piece.start - 1, piece.start);
        (digits > 0 && before.ends_with(|char: char| char.is_ascii_digit()))
            .then(|| number_with_comma(before, comma, &self.text[piece.start..piece.start + digits]))
    }

    /// Words of conditions, which a record does without.
    fn plain_speech(&self, words: &[Range<usize>]) -> Option<Diagnostic> {
        let texts: Vec<&str> = words.iter().map(|word| &self.text[word.clone()]).collect();
        let at = |index: usize| self.span(&words[index]);
        let error = |span: Span, says: &str| Diagnostic::error("record-entry", span, says);
        match texts.as_slice() {
            ["not", look] => {
                let text = format!("{look} is no");
                let whole = at(0).to(at(1));
                Some(error(whole, "A record says what was seen.").help(format!("Write `{text}`.")).fix(
                    format!("Write `{text}`"),
                    false,
                    whole,
                    text,
                ))
            }
            ["everything" | "all", "else", "is", "good"] | ["everything", "is", "good"] => {
                let whole = at(0).to(at(texts.len() - 1));
                Some(error(whole, "What was not written down is called the rest.").help("Write `the rest is good`.").fix(
                    "Write `the rest is good`",
                    false,
                    whole,
                    "the rest is good",
                ))
            }
            [_, "is", "not", _, ..] => Some(
                error(at(2), "A record says what was seen, or what it can still be.")
                    .help("Write the choices that are possible, with `or` between."),
            ),
            [look, sign @ (">" | "<" | ">=" | "<=" | "≥" | "≤"), rest @ ..] if !rest.is_empty() => {
                let end = if sign.starts_with(['>', '≥']) { "at least" } else { "at most" };
                let text = format!("is {end}");
                let says = format!("`{sign}` is no word of the language.");
                let help = format!("Write `{look} {text} {}`.", clip(&rest.join(" ")));
                Some(error(at(1), &says).help(help).fix(format!("Write `{text}`"), false, at(1), text))
            }
            [look, _, ..] if look.len() > 1 && look.ends_with(':') => {
                let colon = Span { start: at(0).end - 1, ..at(0) };
                let look = look.trim_end_matches(':');
                Some(error(colon, "`:` is no word of the language.").help(format!("Write `{look} is …`.")).fix(
                    "Write `is`",
                    false,
                    colon,
                    " is",
                ))
            }
            [look, value, ..] if value.starts_with(|char: char| char.is_ascii_digit()) && look.contains('.') => {
                let text = format!("{look} is {}", clip(&texts[1..].join(" ")));
                let says = format!("Between `{look}` and `{value}` an `is` is missing.");
                let gap = Span { start: at(0).end, end: at(0).end, ..at(0) };
                Some(error(at(0), &says).help(format!("Write `{text}`.")).fix("Put `is` in", false, gap, " is"))
            }
            [part, look, "is", _, ..]
                if !matches!(*part, "the" | "last" | "no")
                    && self.name(&words[0]).is_some()
                    && self.path(&words[1]).is_some() =>
            {
                let (text, sign) = match (*part, *look) {
                    ("inspected", "on") => ("inspected-on".to_owned(), "hyphen"),
                    _ => (format!("{part}.{look}"), "point"),
                };
                let says = format!("Between `{part}` and `{look}` a {sign} is missing.");
                let whole = at(0).to(at(1));
                Some(error(whole, &says).help(format!("Write `{text} is …`.")).fix(format!("Write `{text}`"), false, whole, text))
            }
            [look, sign @ ("=" | ":" | "=="), _, ..] => {
                Some(error(at(1), &format!("`{sign}` is no word of the language.")).help(format!("Write `{look} is …`.")).fix(
                    "Write `is`",
                    false,
                    at(1),
                    "is",
                ))
            }
            _ => {
                // `and` joins the choices of a look; what follows it here is a path of its own.
                let and = texts.iter().position(|text| *text == "and")?;
                let (last, next) = (words.get(and.checked_sub(1)?)?, words.get(and + 1)?);
                let is_path = self.path(next).is_some_and(|path| path.segments.len() > 1);
                (is_path && texts.contains(&"is")).then(|| {
                    let before = Span::new(self.file, last.end, words[and].end);
                    error(at(and), "The entries of a record have commas between.").help("Write a comma for `and`.").fix(
                        "Write a comma",
                        false,
                        before,
                        ",",
                    )
                })
            }
        }
    }

    /// A comma for each `and` that has the path of another entry after it.
    fn commas_for_and(&self, words: &[Range<usize>]) -> Vec<Edit> {
        let joins = |three: &&[Range<usize>]| {
            &self.text[three[1].clone()] == "and" && self.path(&three[2]).is_some_and(|path| path.segments.len() > 1)
        };
        let edit = |three: &[Range<usize>]| Edit { span: Span::new(self.file, three[0].end, three[1].end), text: ",".to_owned() };
        words.windows(3).filter(joins).map(edit).collect()
    }

    /// Two entries without a comma between: `is` stands twice.
    fn comma_missing(&self, words: &[Range<usize>]) -> Option<Diagnostic> {
        let is = |word: &Range<usize>| &self.text[word.clone()] == "is";
        let first = words.iter().position(is)?;
        let second = first + 1 + words[first + 1..].iter().position(is)?;
        let (before, path) = (words.get(second.checked_sub(2)?)?, words.get(second - 1)?);
        if second < first + 3 || self.path(path).is_none_or(|path| path.segments.len() < 2) {
            return None;
        }
        let says = format!("Before `{}` a comma is missing.", clip(&self.text[path.clone()]));
        if &self.text[before.clone()] == "and" {
            let mut diagnostic =
                Diagnostic::error("record-entry", self.span(path), says).help("Write a comma for `and` between entries.");
            let edits = self.commas_for_and(words);
            diagnostic.fixes.push(Fix { title: "Write commas for `and`".to_owned(), safe: false, edits });
            return Some(diagnostic);
        }
        let at = Span::new(self.file, before.end, before.end);
        Some(Diagnostic::error("record-entry", self.span(path), says).help("Put commas between the entries of a record.").fix(
            "Put the comma in",
            false,
            at,
            ",",
        ))
    }

    fn plain(&self, words: &[Range<usize>]) -> String {
        words.iter().map(|word| &self.text[word.clone()]).collect::<Vec<_>>().join(" ")
    }

    /// A value as text: its words with single spaces between.
    fn value(&self, words: &[Range<usize>]) -> Option<Spanned<String>> {
        let (first, last) = (words.first()?, words.last()?);
        Some(Spanned::new(self.plain(words), self.span(&(first.start..last.end))))
    }

    fn entry(&self, words: &[Range<usize>]) -> Option<RecordSays> {
        let plain: Vec<&str> = words.iter().map(|word| &self.text[word.clone()]).collect();
        Some(match plain.as_slice() {
            ["the", "rest", "is", "good"] => RecordSays::RestGood,
            ["no", _] => RecordSays::NoPlaces(self.name(&words[1])?),
            [_, "may", "be", "more"] => RecordSays::MayBeMore(self.name(&words[0])?),
            ["quoted", "is", _, ..] => RecordSays::Quoted(self.value(&words[2..])?),
            ["inspected-on", "is", _, ..] => RecordSays::InspectedOn(self.value(&words[2..])?),
            ["last", _] => RecordSays::Last(self.path(&words[1])?, None),
            ["last", _, "is", _, ..] => RecordSays::Last(self.path(&words[1])?, Some(self.value(&words[3..])?)),
            [_] => RecordSays::Yes(self.path(&words[0])?),
            [_, "is", "good"] => RecordSays::Good(self.path(&words[0])?),
            [_, "not", "told"] => RecordSays::NotTold(self.path(&words[0])?),
            [_, "does", "not", "apply"] => RecordSays::DoesNotApply(self.path(&words[0])?),
            [_, "is", _, ..] => RecordSays::Is(self.path(&words[0])?, self.value(&words[2..])?),
            _ => return None,
        })
    }

    fn name(&self, word: &Range<usize>) -> Option<Name> {
        let text = &self.text[word.clone()];
        let is_name = text.starts_with(char::is_alphabetic) && text.chars().all(scan::is_word);
        is_name.then(|| Spanned::new(text.to_owned(), self.span(word)))
    }

    /// Names joined by points; the ones after the first may be numbers.
    fn path(&self, word: &Range<usize>) -> Option<Path> {
        let mut segments = Vec::new();
        let mut start = word.start;
        for segment in self.text[word.clone()].split('.') {
            let range = start..start + segment.len();
            let is_number = !segments.is_empty() && !segment.is_empty() && segment.bytes().all(|byte| byte.is_ascii_digit());
            segments.push(if is_number { Spanned::new(segment.to_owned(), self.span(&range)) } else { self.name(&range)? });
            start = range.end + 1;
        }
        Some(Path { segments, span: self.span(word) })
    }
}
