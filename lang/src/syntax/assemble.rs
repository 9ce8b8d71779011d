//! Raw items to the tree's items: each line and clause read by itself, and each clause put where it belongs.

use std::ops::Range;
use std::sync::Arc;

use super::explain::numbered;
use super::grammar::{self, Pair, Rule};
use super::lower::{Line, Lower, Unread, skip};
use super::meant;
use super::record;
use super::scan;
use super::shape::{self, ClauseShape};
use super::split::{self, RawClause, RawItem, Slice, clip, edits, list};
use super::tree::{Clause, Doing, Entry, Head, Item, Kind, Says, UNKNOWN};
use crate::diagnostic::{Diagnostic, Edit, Fix};
use crate::nearest::nearest;
use crate::span::Span;

/// Reads one item. None where its kind is not known, which has been reported.
pub(super) fn item(lower: &mut Lower<'_>, raw: RawItem) -> Option<Item> {
    let kind = raw.kind?;
    lower.unknown_clauses.clear();
    let (rule, shape, example) = match raw.doing {
        split::Doing::Writes => shape::line(kind),
        split::Doing::Alters => shape::alter(kind),
        split::Doing::Drops => (Rule::without_item, shape::WITHOUT.0, shape::WITHOUT.1),
    };
    let mut raw = raw;
    let (pair, rest) = peel(lower, rule, &mut raw.line, 0, kind);
    if let Some(rest) = rest {
        raw.clauses.insert(0, rest);
    }
    let (line, broken) = match read(lower, rule, shape, example, &raw.line, pair) {
        Some(pair) => (lower.line(kind, &pair, &[]), raw.line.spoiled),
        None => (lower.rescue(kind, raw.doing, &raw.line), true),
    };
    let keyword = Span::new(lower.file, raw.line.first.start, raw.line.first.end);
    let own = Span::new(lower.file, raw.line.range.start, raw.line.range.end);
    let mut line = line;
    let nameless = raw.doing != split::Doing::Writes && !broken && line.owner.is_none();
    if let Some(because) = line.name.take_if(|name| nameless && name.value == "because" && line.because.is_none()) {
        let verb = if raw.doing == split::Doing::Drops { "without" } else { "alter" };
        let says = format!("After `{verb} {}` the name is missing.", kind.word());
        let help = format!("Write the name after `{}`; for example: `{example}`.", kind.word());
        lower.diagnostics.push(Diagnostic::error("not-understood", because.span, says).label("the name is missing").help(help));
        line.because = line.words.take();
    }
    let because = line.because.clone();
    if raw.doing != split::Doing::Writes && because.is_none() && !broken {
        let at = Span::new(lower.file, raw.line.range.end, raw.line.range.end);
        lower.diagnostics.push(
            Diagnostic::error("because-missing", at, "The reason is missing; every departure from a rulebook gives its reason.")
                .help("Write `because \"…\"` at the end of the line; the reason is shown wherever its effect is."),
        );
    }
    let doing = match raw.doing {
        split::Doing::Writes => Doing::Writes,
        split::Doing::Alters => Doing::Alters { keyword, because },
        split::Doing::Drops => Doing::Drops { keyword, because },
    };
    let broken = broken || line.lost;
    let mut entry = entry(kind, keyword, line, own, broken);
    if let (split::Doing::Drops, Some(first)) = (raw.doing, raw.clauses.first()) {
        let at = Span::new(lower.file, first.line.range.start, first.line.range.end);
        lower.diagnostics.push(
            Diagnostic::error("clause-out-of-place", at, "Nothing stands under a `without`: it drops the item whole.")
                .help("Take the lines below out, or write `alter` to change only these."),
        );
        return Some(Item { doing, entry: Arc::new(entry) });
    }
    let mut clauses = Clauses { lower, entry: &mut entry, under: None };
    let mut queue: std::collections::VecDeque<RawClause> = raw.clauses.into();
    clauses.unknown();
    while let Some(mut raw) = queue.pop_front() {
        let Some(shape) = shape::clause(kind, raw.first) else { continue };
        let (pair, rest) = clauses.peel_all(kind, shape, &mut raw);
        if let Some(rest) = rest {
            queue.push_front(rest);
        }
        clauses.clause(kind, shape, &raw, pair);
        clauses.unknown();
    }
    Some(Item { doing, entry: Arc::new(entry) })
}

fn entry(kind: Kind, keyword: Span, line: Line, own: Span, broken: bool) -> Entry {
    Entry {
        kind,
        keyword,
        name: line.name,
        owner: line.owner,
        words: line.words,
        head: line.head,
        clauses: Vec::new(),
        line: own,
        span: own,
        broken,
    }
}

/// Where a line that goes on with `slice` cannot go on, and the slice reads without it, the line is a clause whose
/// word nobody knows: it is reported, cut off and, where its word is nearly right, handed back as that clause. The
/// pair is what the slice says, as far as it was read on the way.
fn peel<'t>(
    lower: &mut Lower<'t>,
    rule: Rule,
    slice: &mut Slice,
    skipped: usize,
    kind: Kind,
) -> (Option<Pair<'t>>, Option<RawClause>) {
    if slice.goes_on.is_empty() {
        return (None, None);
    }
    if shape::clause(kind, &lower.text[slice.first.clone()]).is_none() && slice.spoiled && skipped == 0 {
        // Its word is not known; below it may stand more of that sort.
        let below = meant_below(lower.text, kind, slice).and_then(|index| cut_at(lower.text, slice, index));
        let rest = below.map(|(front, rest)| {
            *slice = front;
            rest
        });
        if let Some(line) = slice.goes_on.first() {
            // Nothing is told of these lines, and what they say may be what is missed.
            lower.unknown_clauses.push(Span::new(lower.file, line.start, line.end));
        }
        return (None, rest.and_then(|rest| unknown_lines(lower, kind, rest)));
    }
    if slice.spoiled {
        return (None, None);
    }
    let before = lower.diagnostics.len();
    let failure = match lower.read(rule, slice, skipped) {
        Ok(pair) => return (Some(pair), None),
        Err(Unread::Stopped(failure)) => failure,
        Err(Unread::Reported) => {
            lower.diagnostics.truncate(before);
            return (None, None);
        }
    };
    let Some((front, rest)) = cut(lower.text, slice, failure.at) else { return (None, None) };
    let Ok(pair) = lower.read(rule, &front, skipped) else { return (None, None) };
    *slice = front;
    (Some(pair), unknown_lines(lower, kind, rest))
}

/// Reports the word that a slice begins with, and those of the lines below it that are meant for a clause; gives the
/// first that is, if it is nearly right, as that clause.
fn unknown_lines(lower: &mut Lower<'_>, kind: Kind, mut rest: Slice) -> Option<RawClause> {
    loop {
        if let Some(first) = unknown_clause(lower, kind, &rest) {
            return Some(RawClause { line: rest, bullets: Vec::new(), first });
        }
        let index = meant_below(lower.text, kind, &rest)?;
        rest = cut_at(lower.text, &rest, index)?.1;
    }
}

/// The first line that goes on with a slice and begins with what is nearly a clause word.
fn meant_below(text: &str, kind: Kind, slice: &Slice) -> Option<usize> {
    let words = || shape::clauses(kind).iter().map(|shape| shape.first);
    slice.goes_on.iter().position(|line| {
        let written = &text[line.clone()];
        let word = &written[..written.find(|char| !scan::is_word(char)).unwrap_or(written.len())];
        meant::clause(kind, word).is_some() || (word.len() > 3 && nearest(word, words()).is_some())
    })
}

/// Cuts a slice before the line on which it cannot go on, if it is at the first word of a line that it cannot. A line
/// with a minus before it, or a number, is rather meant for a bullet.
fn cut(text: &str, slice: &Slice, stopped: usize) -> Option<(Slice, Slice)> {
    let at = skip(text, stopped.min(slice.range.end), slice.range.end);
    let index = slice.goes_on.iter().position(|line| line.start == at)?;
    let (front, rest) = cut_at(text, slice, index)?;
    let bullet = text[rest.range.clone()].starts_with('-') || numbered(&text[rest.range.clone()]) > 0;
    (!rest.first.is_empty() && !bullet).then_some((front, rest))
}

/// Cuts a slice before one of the lines that go on with it. What is cut off is spoiled: its word is not known.
fn cut_at(text: &str, slice: &Slice, index: usize) -> Option<(Slice, Slice)> {
    let line = slice.goes_on.get(index)?;
    let written = &text[line.clone()];
    let length = written.find(|char| !scan::is_word(char)).unwrap_or(written.len());
    let mut front = slice.clone();
    front.range.end = index.checked_sub(1).map_or(slice.own_end, |before| slice.goes_on[before].end);
    front.goes_on.truncate(index);
    let rest = Slice {
        range: line.start..slice.range.end,
        own_end: line.end,
        first: line.start..line.start + length,
        spoiled: true,
        goes_on: slice.goes_on[index + 1..].to_vec(),
    };
    Some((front, rest))
}

/// Reads a slice, unless that was done on the way here, and tells why it cannot be read.
fn read<'t>(
    lower: &mut Lower<'t>,
    rule: Rule,
    shape: &str,
    example: &str,
    slice: &Slice,
    pair: Option<Pair<'t>>,
) -> Option<Pair<'t>> {
    if let Some(pair) = pair {
        lower.begin(slice.range.start);
        return Some(pair);
    }
    match lower.read(rule, slice, 0) {
        Ok(pair) => Some(pair),
        Err(Unread::Reported) => None,
        Err(Unread::Stopped(failure)) => {
            lower.report(rule, &failure, slice.range.end, shape, example);
            None
        }
    }
}

/// Reports bullets under a clause that would read if it said which of them are to hold.
fn headless(lower: &mut Lower<'_>, rule: Rule, slice: &Slice) -> bool {
    let line = &lower.text[slice.range.clone()];
    if slice.spoiled || grammar::read(rule, line).is_ok() || grammar::read(rule, &format!("{line} any of")).is_err() {
        return false;
    }
    let end = Span::new(lower.file, slice.range.end, slice.range.end);
    let mut diagnostic =
        Diagnostic::error("bullets-without-head", end, "This line does not say which of its bullets are to hold.")
            .label("`all of`, `any of` or `at least 2 of` is missing")
            .help("Write `all of`, `any of` or `at least 2 of` before the bullets.");
    for head in ["any of", "all of"] {
        diagnostic = diagnostic.fix(format!("Write `{head}`"), false, end, format!(" {head}"));
    }
    lower.diagnostics.push(diagnostic);
    true
}

/// What to write where a clause that begins with `first` is meant, and for what: both words of those that begin with two, where
/// the first is right as it stands, or where they stand as one.
fn whole_beginning(text: &str, kind: Kind, first: &'static str, slice: &Slice) -> (Range<usize>, &'static str) {
    let word = slice.first.clone();
    let written = &text[word.clone()];
    let whole = shape::clauses(kind).iter().filter(|shape| shape.first == first).map(|shape| shape.word);
    if let Some(whole) = whole.clone().find(|whole| *whole != first && *whole == written.replace('-', " ")) {
        return (word, whole);
    }
    if (written, first) == ("becomes", "left") {
        return (word, "left becomes");
    }
    if written != first {
        return (word, first);
    }
    let rest = &text[word.end..slice.range.end];
    let next = rest.split_whitespace().next().unwrap_or_default();
    let both = word.start..slice.range.end - rest.trim_start().len() + next.len();
    let whole: Vec<&str> = whole.collect();
    let near = nearest(&format!("{first} {next}"), whole.iter().copied());
    (both, near.and_then(|near| whole.iter().copied().find(|one| *one == near)).or(whole.first().copied()).unwrap_or(first))
}

/// Reports a word that begins no clause of this kind of entry; the nearest that does.
fn unknown_clause(lower: &mut Lower<'_>, kind: Kind, slice: &Slice) -> Option<&'static str> {
    let word = &slice.first;
    let written = &lower.text[word.clone()];
    let span = Span::new(lower.file, word.start, word.end);
    let words: Vec<&'static str> = shape::clauses(kind).iter().map(|shape| shape.first).collect();
    let near = meant::clause(kind, written).or_else(|| nearest(written, words.iter().copied()));
    let near = near.and_then(|near| words.iter().copied().find(|word| *word == near));
    let says = format!("`{}` begins no clause of `{}`, and cannot go on with the line above.", clip(written), kind.word());
    let mut diagnostic = Diagnostic::error("unknown-clause", span, says);
    if let ["or" | "and" | "also" | "then"] = [written]
        && let Some(next) = lower.text[word.end..slice.range.end].split_whitespace().next()
        && let Some(meant) = words.iter().copied().find(|word| *word == next)
    {
        let help = format!("Begin the line with `{next}`.");
        let gone = Span::new(lower.file, word.start, lower.text.len() - lower.text[word.end..].trim_start().len());
        lower.diagnostics.push(diagnostic.help(help).fix(format!("Take `{written}` out"), false, gone, ""));
        return Some(meant);
    }
    diagnostic = match near {
        None if let [only] = words[..]
            && kind != Kind::Work =>
        {
            let starts = std::iter::once(word.start).chain(slice.goes_on.iter().map(|line| line.start));
            let edit = |start: usize| Edit { span: Span::new(lower.file, start, start), text: format!("{only} ") };
            let lines = clip(lower.text[word.start..slice.own_end].trim_end());
            let mut told = diagnostic.help(format!("Begin each line with `{only}`: `{only} {lines}`."));
            let title = if slice.goes_on.is_empty() {
                format!("Write `{only}` before it")
            } else {
                format!("Write `{only}` before these lines")
            };
            told.fixes.push(Fix { title, safe: false, edits: starts.map(edit).collect() });
            told
        }
        Some(near) => {
            let (range, whole) = whole_beginning(lower.text, kind, near, slice);
            let span = Span::new(lower.file, range.start, range.end);
            diagnostic.help(format!("Write `{whole}`.")).fix(format!("Write `{whole}`"), false, span, whole)
        }
        None if words.is_empty() => diagnostic.help(format!("Write nothing below a `{}`: it has no clauses.", kind.word())),
        None => diagnostic.help(format!("Begin a clause of `{}` with {}.", kind.word(), list(&words))),
    };
    lower.diagnostics.push(diagnostic);
    if near.is_none() {
        lower.unknown_clauses.push(span);
    }
    near
}

/// Puts clauses into an entry.
struct Clauses<'l, 't, 'e> {
    lower: &'l mut Lower<'t>,
    entry: &'e mut Entry,
    /// The clause (a look, a place, a way) that takes what follows.
    under: Option<usize>,
}

impl<'t> Clauses<'_, 't, '_> {
    /// Cuts off lines that go on with the clause or with a bullet and cannot. What follows them goes along.
    fn peel_all(&mut self, kind: Kind, shape: &ClauseShape, raw: &mut RawClause) -> (Option<Pair<'t>>, Option<RawClause>) {
        if shape.rule == Rule::record_clause {
            return (None, self.peel_record(kind, raw));
        }
        let lines = raw.line.goes_on.len();
        let (pair, rest) = peel(self.lower, shape.rule, &mut raw.line, 0, kind);
        if raw.line.goes_on.len() < lines {
            let bullets = std::mem::take(&mut raw.bullets);
            return (pair, rest.map(|rest| RawClause { bullets, ..rest }));
        }
        for at in 0..raw.bullets.len() {
            let lines = raw.bullets[at].goes_on.len();
            if lines == 0 {
                continue;
            }
            let (_, rest) = peel(self.lower, Rule::bullet, &mut raw.bullets[at], 1, kind);
            if raw.bullets[at].goes_on.len() < lines {
                let bullets = raw.bullets.split_off(at + 1);
                return (pair, rest.map(|rest| RawClause { bullets, ..rest }));
            }
        }
        (pair, None)
    }

    /// In a record a line goes on after a comma, or inside a value; one that does neither and begins with what is
    /// nearly a clause word is that clause.
    fn peel_record(&mut self, kind: Kind, raw: &mut RawClause) -> Option<RawClause> {
        let text = self.lower.text;
        let words = || shape::clauses(kind).iter().map(|shape| shape.first);
        let index = raw.line.goes_on.iter().enumerate().position(|(index, line)| {
            let written = &text[line.clone()];
            let word = &written[..written.find(|char| !scan::is_word(char)).unwrap_or(written.len())];
            let before = index.checked_sub(1).map_or(raw.line.own_end, |before| raw.line.goes_on[before].end);
            let goes_on = text[..before].ends_with(',') || written[word.len()..].starts_with('.') || word.len() < 4;
            !goes_on && (meant::clause(kind, word).is_some() || nearest(word, words()).is_some())
        })?;
        let (front, rest) = cut_at(text, &raw.line, index)?;
        raw.line = front;
        let near = unknown_clause(self.lower, kind, &rest);
        near.map(|first| RawClause { line: rest, bullets: Vec::new(), first })
    }

    fn clause(&mut self, kind: Kind, shape: &'static ClauseShape, raw: &RawClause, pair: Option<Pair<'t>>) {
        let keyword = Span::new(self.lower.file, raw.line.first.start, raw.line.first.end);
        let end = raw.bullets.last().map_or(raw.line.range.end, |bullet| bullet.range.end);
        let span = Span::new(self.lower.file, raw.line.range.start, end);
        let says = if shape.rule == Rule::record_clause {
            self.record(raw)
        } else {
            let pair = match pair {
                None if !raw.bullets.is_empty() && headless(self.lower, shape.rule, &raw.line) => None,
                pair => read(self.lower, shape.rule, shape.shape, shape.example, &raw.line, pair),
            };
            match (nested(shape.rule), pair) {
                (Some(inner), pair) => self.nested(inner, raw, keyword, pair),
                (None, Some(pair)) => self.lower.clause(&pair, &raw.bullets),
                (None, None) => Says::Broken,
            }
        };
        let clause = Clause { word: shape.word, keyword, span, says };
        self.place(kind, shape, clause);
    }

    /// A clause with a name of its own.
    fn nested(&mut self, kind: Kind, raw: &RawClause, keyword: Span, pair: Option<Pair<'t>>) -> Says {
        let own = Span::new(self.lower.file, raw.line.range.start, raw.line.range.end);
        let (line, broken) = match pair {
            Some(pair) => (self.lower.line(kind, &pair, &raw.bullets), raw.line.spoiled),
            None => (self.lower.rescue(kind, split::Doing::Writes, &raw.line), true),
        };
        let broken = broken || line.lost;
        Says::Entry(Box::new(entry(kind, keyword, line, own, broken)))
    }

    fn record(&mut self, raw: &RawClause) -> Says {
        self.lower.no_bullets(&raw.bullets);
        if raw.line.spoiled {
            return Says::Broken;
        }
        let range = raw.line.first.end..raw.line.range.end;
        Says::Record(record::entries(self.lower.file, self.lower.text, range, &mut self.lower.diagnostics))
    }

    /// Keeps a broken clause for each whose word nobody knows: it may be the one that is missed.
    fn unknown(&mut self) {
        for span in std::mem::take(&mut self.lower.unknown_clauses) {
            self.entry.span = self.entry.span.to(span);
            self.entry.clauses.push(Clause { word: UNKNOWN, keyword: span, span, says: Says::Broken });
        }
    }

    /// Puts a clause where it belongs.
    fn place(&mut self, kind: Kind, shape: &'static ClauseShape, clause: Clause) {
        let whole = self.entry.span.to(clause.span);
        self.entry.span = whole;
        let opens = matches!(&clause.says, Says::Entry(inner) if matches!(inner.kind, Kind::Look | Kind::Place | Kind::Way));
        if opens {
            self.entry.clauses.push(clause);
            self.under = Some(self.entry.clauses.len() - 1);
            return;
        }
        match kind {
            Kind::Part | Kind::Context if !matches!(shape.word, "look" | "place" | "places") => self.of_part(shape, clause),
            Kind::Finding => self.of_finding(shape, clause),
            _ => push(self.lower, self.entry, shape, clause),
        }
    }

    /// `how`, `care`, `only when`, `private` and `good` belong to the look or place above, else to the part.
    fn of_part(&mut self, shape: &'static ClauseShape, clause: Clause) {
        let owner = self.under.and_then(|at| self.entry.clauses.get_mut(at));
        let Some(Clause { says: Says::Entry(owner), span, .. }) = owner else {
            if matches!(shape.word, "private" | "good") {
                out_of_place(self.lower, &clause, "stands under no look, and belongs to one");
            } else {
                push(self.lower, self.entry, shape, clause);
            }
            return;
        };
        if owner.kind == Kind::Place && matches!(shape.word, "private" | "good") {
            out_of_place(self.lower, &clause, "stands under a place, and belongs to a look");
            return;
        }
        *span = span.to(clause.span);
        owner.span = owner.span.to(clause.span);
        push(self.lower, owner, shape, clause);
    }

    /// What follows a way is the way's own.
    fn of_finding(&mut self, shape: &'static ClauseShape, clause: Clause) {
        let goes_to_way = shape::clause(Kind::Way, shape.first).is_some();
        let owner = self.under.and_then(|at| self.entry.clauses.get_mut(at));
        let Some(Clause { says: Says::Entry(owner), span, .. }) = owner else {
            push(self.lower, self.entry, shape, clause);
            return;
        };
        if goes_to_way {
            *span = span.to(clause.span);
            owner.span = owner.span.to(clause.span);
            push(self.lower, owner, shape, clause);
            return;
        }
        let says = format!("`{}` stands after a `way`, and belongs to the finding.", clause.word);
        let mut diagnostic = Diagnostic::error("clause-after-way", clause.keyword, says)
            .help("Move it above the first way: only `work`, `goods`, `cost`, `hands`, `tell` and `refer` may follow one.");
        if let Some(way) = self.entry.clauses.iter().find(|clause| clause.word == "way") {
            diagnostic = diagnostic.place(way.keyword, "the first way");
            diagnostic.fixes.push(move_up(self.lower.text, &clause, way));
        }
        self.lower.diagnostics.push(diagnostic);
        push(self.lower, self.entry, shape, clause);
    }
}

/// Which clauses have a name and a head of their own.
fn nested(rule: Rule) -> Option<Kind> {
    Some(match rule {
        Rule::step_clause => Kind::Step,
        Rule::hand_clause => Kind::Hand,
        Rule::tier_clause => Kind::Tier,
        Rule::place_clause => Kind::Place,
        Rule::look_clause => Kind::Look,
        Rule::way_clause => Kind::Way,
        _ => return None,
    })
}

/// Adds a clause, unless it stands there already and may not do so twice.
fn push(lower: &mut Lower<'_>, entry: &mut Entry, shape: &ClauseShape, clause: Clause) {
    let on_own_line = clause.word == "only when" && matches!(entry.head, Head::Place { only_when: Some(_) });
    // One that could not be read is not the first of two.
    let first = || {
        let before = entry.all(clause.word).find(|first| first.says != Says::Broken || clause.says == Says::Broken);
        before.map(|first| first.keyword).or_else(|| on_own_line.then_some(entry.line))
    };
    if let Some(first) = shape.once.then(first).flatten() {
        if clause.says == Says::Broken {
            return;
        }
        let says = format!("`{}` stands here twice.", clause.word);
        lower.diagnostics.push(
            Diagnostic::error("clause-twice", clause.keyword, says).help("Keep one of the two.").place(first, "the first one"),
        );
        return;
    }
    entry.clauses.push(clause);
}

fn out_of_place(lower: &mut Lower<'_>, clause: &Clause, why: &str) {
    lower.diagnostics.push(
        Diagnostic::error("clause-out-of-place", clause.keyword, format!("`{}` {why}.", clause.word))
            .help("Write it under the look it is meant for."),
    );
}

/// The edits that move a clause's lines before another's.
fn move_up(text: &str, clause: &Clause, before: &Clause) -> crate::diagnostic::Fix {
    let line_start = |at: u32| text[..at as usize].rfind(['\n', '\r']).map_or(0, |end| end + 1);
    let (from, to) = (line_start(clause.span.start), line_start(before.span.start));
    let rest = &text[clause.span.end as usize..];
    let line_end = rest.find(['\n', '\r']).map_or(rest.len(), |end| end + if rest[end..].starts_with("\r\n") { 2 } else { 1 });
    let end = clause.span.end as usize + line_end;
    let mut moved = text[from..end].to_owned();
    if !moved.ends_with(['\n', '\r']) {
        moved.push('\n');
    }
    let file = clause.span.file;
    // Of what decides an outcome, it may be the way alone that was meant.
    edits(
        "Move it above the first way",
        clause.word == "basis",
        vec![Edit { span: Span::new(file, to, to), text: moved }, Edit { span: Span::new(file, from, end), text: String::new() }],
    )
}
