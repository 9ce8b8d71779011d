//! Text to raw items: the first word of a line decides what the line is, and nothing else does.

use std::ops::Range;

use super::meant;
use super::scan::{self, Line};
use super::shape::{self, ALTERED, DROPPED, ITEMS};
use super::tree::{Comment, Kind};
use crate::diagnostic::{Diagnostic, Edit, Fix};
use crate::nearest::nearest;
use crate::span::{FileId, Span};

/// What an item's first word says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Doing {
    /// An item.
    Writes,
    /// `alter`
    Alters,
    /// `without`
    Drops,
}

/// An item as lines.
#[derive(Debug, Clone)]
pub(crate) struct RawItem {
    pub doing: Doing,
    /// What it is, or is most likely meant to be. None where no guess could be made, which has been reported.
    pub kind: Option<Kind>,
    /// Its own line and what goes on with it.
    pub line: Slice,
    /// Its clauses.
    pub clauses: Vec<RawClause>,
}

/// A clause as lines.
#[derive(Debug, Clone)]
pub(crate) struct RawClause {
    /// Its own line and what goes on with it.
    pub line: Slice,
    /// Its bullets.
    pub bullets: Vec<Slice>,
    /// Its first word, as meant.
    pub first: &'static str,
}

/// A stretch of text that is read at once.
#[derive(Debug, Clone)]
pub(crate) struct Slice {
    /// The bytes, from the first word to the last thing written.
    pub range: Range<usize>,
    /// Where the first of its lines ends.
    pub own_end: usize,
    /// The first word; a bullet's is empty and stands at its minus.
    pub first: Range<usize>,
    /// Whether something in it was reported already, so that it is read quietly.
    pub spoiled: bool,
    /// Where the lines that go on with it begin.
    pub goes_on: Vec<Range<usize>>,
}

/// All that the lines of a text say.
pub(crate) struct Split {
    pub items: Vec<RawItem>,
    pub comments: Vec<Comment>,
    pub diagnostics: Vec<Diagnostic>,
}

/// Splits a text into items, clauses and bullets.
pub(crate) fn split(file: FileId, text: &str) -> Split {
    let mut splitter = Splitter {
        file,
        text,
        items: Vec::new(),
        comments: Vec::new(),
        diagnostics: Vec::new(),
        lost: false,
        unclosed: Vec::new(),
        unindented: None,
        indented: false,
    };
    let start = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    for line in scan::lines(text, start) {
        splitter.line(&line);
    }
    Split { items: splitter.items, comments: splitter.comments, diagnostics: splitter.diagnostics }
}

struct Splitter<'a> {
    file: FileId,
    text: &'a str,
    items: Vec<RawItem>,
    comments: Vec<Comment>,
    diagnostics: Vec<Diagnostic>,
    /// Indented lines before the first item were reported.
    lost: bool,
    /// The last line with a text that it does not close and the lines after it, while it may be closed on a later one.
    unclosed: Vec<Range<usize>>,
    /// Where the diagnostic stands of the clauses that are not indented, as long as only such clauses follow.
    unindented: Option<usize>,
    /// Whether a line under the item in hand is indented.
    indented: bool,
}

impl Splitter<'_> {
    fn span(&self, range: &Range<usize>) -> Span {
        Span::new(self.file, range.start, range.end)
    }

    fn line(&mut self, line: &Line) {
        if let Some(comment) = &line.comment {
            self.comments.push(Comment { span: self.span(comment), alone: line.written.is_empty() });
        }
        if line.written.is_empty() {
            return;
        }
        let before = std::mem::take(&mut self.unclosed);
        if let Some(quote) = line.unclosed {
            self.not_closed(line, quote, before);
        } else if !self.text[line.written.clone()].contains('"') && !before.is_empty() {
            // A line without a quote may lie between the two ends of a text.
            self.unclosed = before;
            self.unclosed.push(line.written.clone());
        }
        let first = line.first_word(self.text);
        if !line.indented {
            self.item(line, first);
        } else if self.items.is_empty() {
            self.before_any_item(line, first);
        } else {
            self.indented(line, first);
        }
    }

    /// A text that its line does not close. `before` are the lines from the last such line on, if it may be its end.
    fn not_closed(&mut self, line: &Line, quote: usize, before: Vec<Range<usize>>) {
        let end_of = |range: &Range<usize>| Span::new(self.file, range.end, range.end);
        let start_of = |range: &Range<usize>| Span::new(self.file, range.start, range.start);
        let add = |span: Span, text: &str| Edit { span, text: text.to_owned() };
        if let ([opening, between @ ..], Some(told)) = (&before[..], self.diagnostics.last_mut())
            && line.indented
            && line.written.end == quote + 1
        {
            // It goes over several lines: each of them gets quotes of its own.
            let mut edits = vec![add(end_of(opening), "\"")];
            for line in between {
                edits.extend([add(start_of(line), "\""), add(end_of(line), "\"")]);
            }
            edits.push(add(start_of(&line.written), "\""));
            told.fixes = vec![self::edits("Put each of its lines in quotes of its own", false, edits)];
            return;
        }
        self.unclosed = vec![line.written.clone()];
        if let Some(bent) = self.other_quote(line, quote) {
            let diagnostic =
                Diagnostic::error("not-a-straight-quote", bent, "A text has one straight quote and one that is not.");
            self.diagnostics.push(diagnostic.help("Write `\"` before and after the text.").fix(
                "Put a straight quote",
                false,
                bent,
                "\"",
            ));
            return;
        }
        let at = Span::new(self.file, quote, quote + 1);
        // What stands in columns goes on behind a gap.
        let written = &self.text[quote + 1..line.written.end];
        let gap = written.trim_end().find("  ").filter(|gap| *gap > 0).map(|gap| quote + 1 + gap);
        let (title, end) = match gap {
            Some(gap) => ("Close the text before the gap", Span::new(self.file, gap, gap)),
            None => ("Close the text at the end of the line", end_of(&line.written)),
        };
        let diagnostic =
            Diagnostic::error("text-not-closed", at, "This text is not closed; a text ends on the line it begins on.");
        self.diagnostics.push(if self.text[..quote].ends_with(|char: char| char.is_ascii_digit()) {
            diagnostic.label("opens a text").help("Write inches with their word: `0.5 inch`.").fix(
                "Write `inch`",
                false,
                at,
                " inch",
            )
        } else {
            diagnostic
                .label("opened here")
                .help("Close it with a double quote. A longer text goes on in quotes of its own on the next line.")
                .fix(title, false, end, "\"")
        });
    }

    /// The quote of a word processor that belongs to a straight one: the last before it, where that ends the line, or
    /// the first after it.
    fn other_quote(&self, line: &Line, quote: usize) -> Option<Span> {
        let bent = |char: char| matches!(char, '“' | '”' | '„' | '«' | '»');
        let before = &self.text[line.written.start..quote];
        let after = &self.text[quote + 1..line.written.end];
        let at = if after.is_empty() {
            line.written.start + before.rfind(|char: char| bent(char) || char == '"')?
        } else {
            quote + 1 + after.find(bent)?
        };
        let char = self.text[at..].chars().next().filter(|char| bent(*char))?;
        Some(Span::new(self.file, at, at + char.len_utf8()))
    }

    fn slice(&self, line: &Line) -> Slice {
        Slice {
            range: line.written.clone(),
            own_end: line.written.end,
            first: line.first.clone(),
            spoiled: line.unclosed.is_some(),
            goes_on: Vec::new(),
        }
    }

    /// An unindented line.
    fn item(&mut self, line: &Line, first: &str) {
        let rest = self.text[line.first.end..line.written.end].trim_start_matches(scan::is_blank);
        if let Some(clause) = self.clause_of_current(first)
            && !starts_item(first, rest)
        {
            self.not_indented(line, first);
            self.push_clause(line, clause);
            return;
        }
        // A run of lines at the margin goes over items, as long as nothing between them is indented.
        if std::mem::take(&mut self.indented) {
            self.unindented = None;
        }
        let (doing, kind, spoiled) = match first {
            "alter" => (Doing::Alters, self.target(line, rest, &ALTERED), false),
            "without" => (Doing::Drops, self.target(line, rest, &DROPPED), false),
            _ => match ITEMS.into_iter().find(|kind| kind.word() == first) {
                Some(kind) => (Doing::Writes, Some(kind), false),
                None => {
                    let (doing, kind) = self.unknown_item(line, first);
                    (doing, kind, true)
                }
            },
        };
        let mut slice = self.slice(line);
        slice.spoiled |= spoiled || kind.is_none();
        self.items.push(RawItem { doing, kind, line: slice, clauses: Vec::new() });
    }

    /// A clause that is not indented. A run of them is one mistake.
    fn not_indented(&mut self, line: &Line, first: &str) {
        let at = Span::new(self.file, line.whole.start, line.whole.start);
        let known = self.unindented.and_then(|known| self.diagnostics.get_mut(known));
        if let Some(fix) = known.and_then(|known| known.fixes.first_mut()) {
            fix.edits.push(Edit { span: at, text: "  ".to_owned() });
            fix.title = format!("Indent the {} lines", fix.edits.len());
            return;
        }
        self.unindented = Some(self.diagnostics.len());
        self.diagnostics.push(
            Diagnostic::error("not-indented", self.span(&line.first), format!("`{first}` is a clause and is not indented."))
                .help("Indent it, and all clauses below it that are not, under the items they belong to.")
                .fix("Indent the line", true, at, "  "),
        );
    }

    /// The item word after `alter` or `without`.
    fn target(&mut self, line: &Line, rest: &str, allowed: &[Kind]) -> Option<Kind> {
        let word = &rest[..rest.find(|char| !scan::is_word(char)).unwrap_or(rest.len())];
        let found = allowed.iter().copied().find(|kind| kind.word() == word);
        if found.is_some() {
            return found;
        }
        let verb = line.first_word(self.text);
        let start = line.written.end - rest.len();
        let at = Span::new(self.file, start, start + word.len());
        let words: Vec<&str> = allowed.iter().map(|kind| kind.word()).collect();
        let says = if word.is_empty() {
            format!("After `{verb}` the kind of item is missing.")
        } else {
            format!("`{verb}` does not go with `{word}`.")
        };
        let meant = meant::item(word).filter(|meant| words.contains(meant));
        let near = meant.or_else(|| nearest(word, words.iter().copied()));
        let mut diagnostic = Diagnostic::error("unknown-item", at, says).help(match near {
            Some(near) => format!("Write `{verb} {near}`."),
            None => format!("Write one of {} after it, then the name.", list(&words)),
        });
        if let Some(near) = near {
            diagnostic = diagnostic.fix(format!("Write `{near}`"), false, at, near);
        }
        self.diagnostics.push(diagnostic);
        None
    }

    /// A line that starts with no item word.
    fn unknown_item(&mut self, line: &Line, first: &str) -> (Doing, Option<Kind>) {
        let words = || ITEMS.iter().map(|kind| kind.word()).chain(["alter", "without"]);
        if first.is_empty() {
            let written = &self.text[line.written.clone()];
            let shown = clip(written.split(scan::is_blank).next().unwrap_or(written));
            let at =
                Span::new(self.file, line.written.start, line.written.start + written.chars().next().map_or(0, char::len_utf8));
            let diagnostic = Diagnostic::error(
                "unknown-item",
                at,
                format!("A line that is not indented starts an item, and `{shown}` is no word of an item."),
            );
            let comment = ["//", "/*", "--", ";", "%"].into_iter().find(|signs| written.starts_with(signs));
            if let Some(signs) = comment {
                let at = Span::new(self.file, line.written.start, line.written.start + signs.len());
                self.diagnostics.push(diagnostic.help("Begin the comment with `#`.").fix(
                    "Begin the comment with `#`",
                    false,
                    at,
                    "#",
                ));
                return (Doing::Writes, None);
            }
            if ["{", "}", "{}", "(", ")", "[", "]", "};"].contains(&written) {
                let help =
                    "Take it out: what is indented below an item belongs to it, and the item ends where the next one starts.";
                self.diagnostics.push(diagnostic.help(help).fix("Take it out", false, self.span(&line.written), ""));
                return (Doing::Writes, None);
            }
            let mut diagnostic =
                diagnostic.help(format!("Begin it with one of {}, or indent it.", list(&words().collect::<Vec<_>>())));
            diagnostic = diagnostic.fix("Indent the line", false, Span::new(self.file, line.whole.start, line.whole.start), "  ");
            self.diagnostics.push(diagnostic);
            return (Doing::Writes, None);
        }
        let at = self.span(&line.first);
        let meant = meant::item(first);
        let near = meant.or_else(|| nearest(first, words()));
        let mut diagnostic = Diagnostic::error("unknown-item", at, format!("`{}` starts no item.", clip(first)));
        if matches!(first, "if" | "when") {
            let help = "Write a `finding` with its `signs` and its `urgency` on lines below it.";
            self.diagnostics.push(diagnostic.help(help));
            return (Doing::Writes, None);
        }
        if first == "end" {
            let help = "Take it out: an item ends where the next one starts.";
            self.diagnostics.push(diagnostic.help(help).fix("Take it out", false, self.span(&line.written), ""));
            return (Doing::Writes, None);
        }
        if let Some(near) = near {
            diagnostic = diagnostic.help(format!("Write `{near}`.")).fix(format!("Write `{near}`"), meant.is_none(), at, near);
        } else {
            diagnostic = diagnostic.help(format!("Begin the item with one of {}.", list(&words().collect::<Vec<_>>())));
        }
        self.diagnostics.push(diagnostic);
        match near {
            Some("alter" | "without") | None => (Doing::Writes, None),
            Some(near) => (Doing::Writes, ITEMS.into_iter().find(|kind| kind.word() == near)),
        }
    }

    fn before_any_item(&mut self, line: &Line, first: &str) {
        if self.is_item_indented(line, first) {
            self.item_indented(line, first);
            return;
        }
        if self.lost {
            return;
        }
        self.lost = true;
        let indentation = Span::new(self.file, line.whole.start, line.written.start);
        self.diagnostics.push(
            Diagnostic::error(
                "before-first-item",
                self.span(&line.written),
                "This line is indented, and no item stands above it.",
            )
            .help("Begin with an item at the start of a line, such as `rulebook first-look \"First look\"`.")
            .fix("Take the indentation away", false, indentation, ""),
        );
    }

    /// An indented line under an item.
    fn indented(&mut self, line: &Line, first: &str) {
        self.indented = true;
        let item = self.is_item_indented(line, first);
        if let Some(clause) = self.clause_of_current(first).filter(|_| !item)
            && self.really_clause(clause, line)
        {
            self.push_clause(line, clause);
        } else if line.is_bullet(self.text) {
            self.bullet(line);
        } else if item {
            self.item_indented(line, first);
        } else {
            self.goes_on(line);
        }
    }

    /// An item that is indented. It is read all the same.
    fn item_indented(&mut self, line: &Line, first: &str) {
        let indentation = Span::new(self.file, line.whole.start, line.written.start);
        self.diagnostics.push(
            Diagnostic::error("item-indented", self.span(&line.first), format!("`{first}` starts an item and is indented."))
                .help("Begin the item at the start of the line.")
                .fix("Take the indentation away", true, indentation, ""),
        );
        self.item(line, first);
    }

    /// The clause of the item in hand that begins with this word.
    fn clause_of_current(&self, first: &str) -> Option<&'static str> {
        let kind = self.items.last()?.kind?;
        shape::clause(kind, first).map(|shape| shape.first)
    }

    /// `not` begins a clause of a repair fund only together with `beyond`: a condition may go on with a `not`.
    fn really_clause(&self, clause: &str, line: &Line) -> bool {
        let rest = self.text[line.first.end..line.written.end].trim_start_matches(scan::is_blank);
        clause != "not" || rest.starts_with("beyond")
    }

    /// An item's word, a name and a quote can go on with nothing.
    fn is_item_indented(&self, line: &Line, first: &str) -> bool {
        let rest = self.text[line.first.end..line.written.end].trim_start_matches(scan::is_blank);
        let name = rest.find(|char| !scan::is_word(char)).unwrap_or(rest.len());
        let after = rest[name..].trim_start_matches(scan::is_blank);
        match first {
            "alter" | "without" => name > 0 && rest.contains("because"),
            "example" => name == 0 && after.starts_with('"'),
            _ => name > 0 && after.starts_with('"') && ITEMS.iter().any(|kind| kind.word() == first),
        }
    }

    fn push_clause(&mut self, line: &Line, first: &'static str) {
        let slice = self.slice(line);
        if let Some(item) = self.items.last_mut() {
            item.clauses.push(RawClause { line: slice, bullets: Vec::new(), first });
        }
    }

    fn bullet(&mut self, line: &Line) {
        let mut slice = self.slice(line);
        slice.first = slice.range.start..slice.range.start;
        // The slice begins at the minus; what is read begins after it.
        let Some(item) = self.items.last_mut() else { return };
        if let Some(clause) = item.clauses.last_mut() {
            clause.bullets.push(slice);
            return;
        }
        if !item.line.spoiled {
            let at = Span::new(self.file, line.written.start, line.written.start + 1);
            self.diagnostics.push(
                Diagnostic::error("bullet-without-clause", at, "A bullet stands under no clause.")
                    .help("Put bullets under a condition that ends in `all of`, `any of` or `at least 2 of`."),
            );
        }
    }

    fn goes_on(&mut self, line: &Line) {
        let Some(item) = self.items.last_mut() else { return };
        let slice = match item.clauses.last_mut() {
            Some(clause) => clause.bullets.last_mut().unwrap_or(&mut clause.line),
            None => &mut item.line,
        };
        slice.range.end = line.written.end;
        slice.spoiled |= line.unclosed.is_some();
        slice.goes_on.push(line.written.clone());
    }
}

/// Whether an unindented line surely starts an item, though its word is also a clause of the item above.
fn starts_item(first: &str, rest: &str) -> bool {
    match first {
        "urgency" | "hands" | "tiers" => rest.is_empty(),
        "example" => true,
        // An item's word is followed by a name and a quote; the clause of the same word is not.
        "work" | "counsel" | "aid" => {
            let name = rest.find(|char| !scan::is_word(char)).unwrap_or(rest.len());
            rest[name..].trim_start_matches(scan::is_blank).starts_with('"')
        }
        _ => false,
    }
}

/// The start of a text that may be long, for a message.
pub(super) fn clip(text: &str) -> String {
    const MOST: usize = 40;
    match text.char_indices().nth(MOST) {
        Some((at, _)) => format!("{}…", &text[..at]),
        None => text.to_owned(),
    }
}

/// `a`, `b` or `c`
pub(super) fn list(words: &[&str]) -> String {
    let quoted: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
    match quoted.as_slice() {
        [] => String::new(),
        [only] => only.clone(),
        [front @ .., last] => format!("{} or {last}", front.join(", ")),
    }
}

/// A fix that moves nothing but takes several edits in one.
pub(super) fn edits(title: &str, safe: bool, edits: Vec<Edit>) -> Fix {
    Fix { title: title.to_owned(), safe, edits }
}
