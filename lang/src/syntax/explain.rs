//! Why the grammar stopped, in plain words: what was expected, what was found, what to write.

mod keyword;
mod mend;

use keyword::keyword;

use super::grammar::{self, Failure, Rule};
use super::lower::{self, skip};
use super::scan;
use super::split::clip;
use crate::diagnostic::{Diagnostic, Edit, Fix};
use crate::span::{FileId, Span};

/// The slice in which the grammar stopped.
pub(super) struct Place<'a> {
    pub file: FileId,
    pub text: &'a str,
    /// The text without its comments, byte for byte.
    pub plain: &'a str,
    /// Its first byte.
    pub start: usize,
    /// One past its last byte.
    pub end: usize,
}

/// Words that join a condition or a clause together, tried when the word before the fault looks like one of them.
const JOINING: [&str; 12] =
    ["above", "below", "least", "most", "from", "within", "becomes", "odds", "measured", "counted", "priced", "found"];

/// What a message calls the end.
const END: &str = "the end of the clause";

/// What a message calls text.
const TEXT: &str = "text in double quotes";

/// The small words, which are not names.
const SMALL: [&str; 21] = [
    "and", "or", "not", "is", "has", "any", "every", "no", "all", "at", "from", "to", "in", "of", "on", "if", "with", "found",
    "last", "place", "total",
];

/// Tells why the grammar stopped at reading the slice by `rule`. `shape` and `example` show how it should look.
pub(super) fn explain(place: &Place<'_>, rule: Rule, failure: &Failure, shape: &str, example: &str) -> Diagnostic {
    let at = skip(place.text, failure.at.min(place.end), place.end);
    let token = token(place, at);
    let mut wanted = Wanted::of(&failure.wanted);
    if place.text[..last_written(place, at)].ends_with('"') {
        // Text may always go on with more text; saying so each time would mislead.
        wanted.leave_out(TEXT);
    }
    let commas = if shape.contains(", …") { " Put a comma between the members of a list." } else { "" };
    let shown = format!("Write it as: {shape}; for example: `{example}`.{commas}");
    if let Some(diagnostic) = brackets(place, at, token) {
        return diagnostic;
    }
    if token.is_empty() {
        let end = last_written(place, at);
        let span = Span::new(place.file, end, end);
        let told =
            Diagnostic::error("not-understood", span, format!("Something is missing here: {} is expected.", wanted.list()))
                .label(format!("{} is missing", wanted.list()))
                .help(shown);
        let whole = |word: &str| grammar::read(rule, &format!("{} {word}", &place.plain[place.start..end])).is_ok();
        return match wanted.keywords[..] {
            [only] if wanted.words.len() == 1 && whole(only) => {
                told.fix(format!("Write `{only}`"), false, span, format!(" {only}"))
            }
            _ => told,
        };
    }
    let span = Span::new(place.file, at, at + token.len());
    if let Some(diagnostic) = special(place, at, token, &wanted) {
        return diagnostic;
    }
    let says = format!("`{}` stands where {} is expected.", clip(token), wanted.list());
    let diagnostic = Diagnostic::error("not-understood", span, says).label(format!("expected {}", wanted.list()));
    match mend::mend(place, rule, at, &wanted) {
        Some(mend) => {
            // Where the words that are to be changed stand before, they are what cannot be read.
            let words = mend.fix.iter().flat_map(|fix| &fix.edits).map(|edit| edit.span).find(|span| (span.start as usize) < at);
            let words = words.map(|words| (words, place.text[words.range()].trim())).filter(|(_, words)| !words.is_empty());
            let mut diagnostic = match words {
                Some((words, text)) => {
                    let words = Span { end: words.start + text.len() as u32, ..words };
                    Diagnostic::error("not-understood", words, format!("`{}` cannot be read here.", clip(text)))
                }
                None => diagnostic,
            };
            diagnostic = diagnostic.help(format!("{} {shown}", mend.help));
            diagnostic.fixes.extend(mend.fix);
            diagnostic
        }
        None if SIGNS.contains(&token) => diagnostic
            .help("Write `is above`, `is below`, `is at least`, `is at most`, `is`, `is not`, `and`, `or` or `not` in words."),
        None => diagnostic.help(shown),
    }
}

/// Signs that other languages compare and join with.
const SIGNS: [&str; 9] = ["<", ">", "=", "≤", "≥", "≠", "!", "&", "|"];

/// The token at a byte: a word, a text, or a single character. Empty at the end.
fn token<'a>(place: &Place<'a>, at: usize) -> &'a str {
    let rest = &place.text[at..place.end];
    let Some(first) = rest.chars().next() else { return rest };
    let length = if first == '"' {
        let line = rest.find(['\n', '\r']).unwrap_or(rest.len());
        rest[1..line].find('"').map_or(line, |close| close + 2)
    } else if scan::is_word(first) {
        rest.find(|char| !(scan::is_word(char) || char == '.')).unwrap_or(rest.len())
    } else {
        first.len_utf8()
    };
    &rest[..length]
}

/// The end of the last thing written before a byte.
fn last_written(place: &Place<'_>, at: usize) -> usize {
    place.text[..at].trim_end_matches(scan::is_space).len()
}

/// A bracket that is never closed, or closes what was never opened.
fn brackets(place: &Place<'_>, at: usize, token: &str) -> Option<Diagnostic> {
    let open = open_brackets(&place.text[place.start..at]);
    match (open.last(), token) {
        (Some(open), "") => {
            let span = Span::new(place.file, place.start + open, place.start + open + 1);
            let end = last_written(place, at);
            Some(
                Diagnostic::error("bracket-not-closed", span, "This bracket is never closed.")
                    .help("Close it with `)` where what belongs together ends.")
                    .fix("Close it at the end", false, Span::new(place.file, end, end), ")"),
            )
        }
        (None, ")") => {
            let span = Span::new(place.file, at, at + 1);
            Some(
                Diagnostic::error("bracket-not-opened", span, "This bracket closes nothing.")
                    .help("Take it out, or write `(` where what belongs together begins.")
                    .fix("Take it out", false, span, ""),
            )
        }
        _ => None,
    }
}

/// The brackets still open at the end of a text.
fn open_brackets(text: &str) -> Vec<usize> {
    let mut open = Vec::new();
    for (at, opens) in lower::brackets(text) {
        if opens {
            open.push(at);
        } else {
            open.pop();
        }
    }
    open
}

/// Mistakes with a message of their own.
fn special(place: &Place<'_>, at: usize, token: &str, wanted: &Wanted) -> Option<Diagnostic> {
    let span = Span::new(place.file, at, at + token.len());
    let first = token.chars().next()?;
    if let Some(minus) = minus_glued(place, at) {
        return Some(minus_without_spaces(minus, false, true));
    }
    let before = place.text[..at].chars().next_back();
    let after = place.text[at + token.len()..place.end].chars().next();
    match first {
        ',' if before.is_some_and(|char| char.is_ascii_digit()) && after.is_some_and(|char| char.is_ascii_digit()) => {
            Some(comma_in_number(place, span))
        }
        // A comma that may stand there was taken, though it is one inside a number.
        '0'..='9' if let Some(comma) = comma_before(place, at) => Some(comma_in_number(place, comma)),
        '.' | '/' if let Some(date) = date_round(place, at) => Some(
            Diagnostic::error("not-understood", date, "A date is written year, month, day, with a minus between.")
                .help("Write it like `2026-11-20`."),
        ),
        '0'..='9' if token.split('.').count() == 3 && let Some(date) = date_round(place, at) => Some(
            Diagnostic::error("not-understood", date, "A date is written year, month, day, with a minus between.")
                .help("Write it like `2026-11-20`."),
        ),
        '$' | '€' | '£' | '¥' => {
            let alone = place.text[place.start..at].trim_end() == "money";
            let help = if alone {
                "Write the code of the money: `money USD`."
            } else {
                "Write a sum as a number and the code of its money: `40 USD`."
            };
            Some(Diagnostic::error("not-understood", span, format!("`{first}` is no word of the language.")).help(help))
        }
        _ if numbered(&place.text[at..place.end]) > 0 && let Some(bullets) = other_bullets(place, at) => Some(bullets),
        '*' | '•' | '·' | '–' | '—' | '-' if let Some(bullets) = other_bullets(place, at) => Some(bullets),
        '“' | '”' | '„' | '«' | '»' | '‘' | '’' | '\'' => {
            let line = &place.text[at..place.end];
            let line = &line[..line.find(['\n', '\r']).unwrap_or(line.len())];
            let mut edits = vec![Edit { span, text: "\"".to_owned() }];
            let closing = |(_, char): &(usize, char)| matches!(char, '“' | '”' | '«' | '»' | '‘' | '’' | '\'');
            if let Some((close, char)) = line.char_indices().skip(1).filter(closing).last() {
                let span = Span::new(place.file, at + close, at + close + char.len_utf8());
                edits.push(Edit { span, text: "\"".to_owned() });
            }
            let mut diagnostic = Diagnostic::error("not-a-straight-quote", span, "Text stands in straight double quotes.")
                .help("Write `\"` before and after the text.");
            diagnostic.fixes.push(Fix { title: "Put straight quotes".to_owned(), safe: false, edits });
            Some(diagnostic)
        }
        '0'..='9'
            if wanted.choice
                && (wanted.words.iter().any(|words| words.contains("`above`"))
                    || place.text[place.start..at].trim_end().ends_with(" is not")) => Some(
            Diagnostic::error("not-understood", span, format!("`{}` stands where a choice of the look is expected.", clip(token)))
                .help("Compare a number with `is above`, `is below`, `is at least`, `is at most` or `is from … to …`; a choice that is not a name stands in double quotes."),
        ),
        _ if wanted.new_name && SMALL.contains(&token) => Some(
            Diagnostic::error("small-word-as-name", span, format!("`{token}` is a small word of the language and cannot be a name."))
                .help("Take another name, such as one with a hyphen."),
        ),
        _ => None,
    }
}

/// The minus with which the word before a byte ends: `gap- 1`.
fn minus_glued(place: &Place<'_>, at: usize) -> Option<Span> {
    let end = last_written(place, at);
    let word = place.text[place.start..end].strip_suffix('-')?;
    (end < at && word.ends_with(char::is_alphanumeric)).then(|| Span::new(place.file, end - 1, end))
}

/// A minus between two values that lacks a space before it, after it or on both sides.
pub(super) fn minus_without_spaces(minus: Span, before: bool, after: bool) -> Diagnostic {
    let spaces = format!("{}-{}", if before { "" } else { " " }, if after { "" } else { " " });
    Diagnostic::error("minus-without-spaces", minus, "A minus between two values has a space on both sides.")
        .help("Put a space before and after it: `gap-1` is a name, and `-5` a number.")
        .fix("Put the spaces in", true, minus, spaces)
}

/// The comma right before a byte, with a digit before it.
fn comma_before(place: &Place<'_>, at: usize) -> Option<Span> {
    let before = place.text[place.start..at].strip_suffix(',')?;
    before.ends_with(|char: char| char.is_ascii_digit()).then(|| Span::new(place.file, at - 1, at))
}

/// `0,35`, or `1,200`.
fn comma_in_number(place: &Place<'_>, comma: Span) -> Diagnostic {
    let after = &place.text[comma.end as usize..place.end];
    let digits = after.bytes().take_while(u8::is_ascii_digit).count();
    number_with_comma(&place.text[place.start..comma.start as usize], comma, &after[..digits])
}

/// A number with a comma in it; `before` ends with its first digits, `after` are the digits after the comma.
pub(super) fn number_with_comma(before: &str, comma: Span, after: &str) -> Diagnostic {
    let first = &before[before.trim_end_matches(|char: char| char.is_ascii_digit()).len()..];
    let thousands = after.len() == 3;
    let help = if thousands {
        format!("Write `{first}{after}` if the comma marks thousands, `{first}.{after}` if it marks a part of one.")
    } else {
        format!("Write a point: `{first}.{after}`.")
    };
    let diagnostic =
        Diagnostic::error("number-with-comma", comma, format!("In `{first},{after}` a comma stands inside a number."))
            .help(help)
            .fix("Write a point", false, comma, ".");
    if thousands { diagnostic.fix("Take it out, if it marks thousands", false, comma, "") } else { diagnostic }
}

/// A date as other people write it, round the sign at a byte: `20.11.2026`, `11/20/2026`.
fn date_round(place: &Place<'_>, at: usize) -> Option<Span> {
    let part = |char: char| char.is_ascii_digit() || matches!(char, '.' | '/');
    let before = place.text[place.start..at].chars().rev().take_while(|char| part(*char)).count();
    let after = place.text[at..place.end].chars().take_while(|char| part(*char)).count();
    let written = &place.text[at - before..at + after];
    let parts: Vec<&str> = written.trim_end_matches('.').split(['.', '/']).collect();
    let is_date = parts.len() == 3 && parts.iter().all(|part| matches!(part.len(), 1 | 2 | 4));
    is_date.then(|| Span::new(place.file, at - before, at + after))
}

/// Bullets with another sign than a minus, or without a space after it.
fn other_bullets(place: &Place<'_>, at: usize) -> Option<Diagnostic> {
    let begins = |at: usize| place.text[..at].trim_end_matches(scan::is_blank).ends_with(['\n', '\r']);
    let head = place.text[place.start..at].trim_end();
    if !begins(at)
        || !(head.ends_with("all of") || head.ends_with("any of") || head.contains("at least") && head.ends_with(" of"))
    {
        return None;
    }
    let sign = place.text[at..].chars().next()?;
    let length = |at: usize| match numbered(&place.text[at..place.end]) {
        0 if place.text[at..].starts_with(sign) => sign.len_utf8(),
        numbered => numbered,
    };
    let starts = place.text[at..place.end].char_indices().map(|(by, _)| at + by);
    let signs = starts.filter(|start| begins(*start)).map(|start| (start - at, length(start))).filter(|(_, length)| *length > 0);
    let edits = signs.map(|(by, length)| {
        let end = at + by + length;
        let spaces = place.text[end..].len() - place.text[end..].trim_start_matches(scan::is_blank).len();
        Edit { span: Span::new(place.file, at + by, end + spaces), text: "- ".to_owned() }
    });
    let mut diagnostic = Diagnostic::error(
        "not-a-bullet",
        Span::new(place.file, at, at + length(at)),
        "A bullet begins with a minus and a space.",
    )
    .help("Write `- ` before each condition.");
    diagnostic.fixes.push(Fix { title: "Write them with `- `".to_owned(), safe: false, edits: edits.collect() });
    Some(diagnostic)
}

/// How long the number of a numbered line is, with its point or bracket: `1.`, `2)`, `a)`. Nought where there is none.
pub(super) fn numbered(line: &str) -> usize {
    let digits = line.bytes().take_while(u8::is_ascii_digit).count();
    let lead = if digits > 0 { digits } else { usize::from(line.starts_with(|char: char| char.is_ascii_lowercase())) };
    let sign = &line[lead..];
    let blank = sign.chars().nth(1).is_some_and(scan::is_blank);
    let is_number = lead > 0 && blank && (sign.starts_with(')') || digits > 0 && sign.starts_with('.'));
    if is_number { lead + 1 } else { 0 }
}

/// What could have stood there.
#[derive(Default)]
struct Wanted {
    /// In plain words.
    words: Vec<String>,
    /// The words of the language among them.
    keywords: Vec<&'static str>,
    /// A name is among them.
    name: bool,
    /// A name that nothing has yet is among them.
    new_name: bool,
    /// Text is among them.
    text: bool,
    /// A choice of a look is among them.
    choice: bool,
}

impl Wanted {
    fn of(rules: &[Rule]) -> Self {
        let mut wanted = Wanted::default();
        let mut ends = false;
        for &rule in rules {
            ends |= rule == Rule::EOI;
            wanted.new_name |= rule == Rule::name;
            wanted.text |= matches!(rule, Rule::string | Rule::text | Rule::quoted);
            wanted.choice |=
                matches!(rule, Rule::choice_name | Rule::choice_words | Rule::choices | Rule::is_choice | Rule::row_name);
            let plain = match said(rule) {
                Said::Keyword(word) => {
                    wanted.keywords.push(word);
                    format!("`{word}`")
                }
                Said::Plain(words) => {
                    wanted.name |= matches!(words, "a name" | "a choice");
                    words.to_owned()
                }
                Said::Nothing => continue,
            };
            if !wanted.words.contains(&plain) {
                wanted.words.push(plain);
            }
        }
        if wanted.words.len() > 1 {
            // A bracket may follow nearly everything.
            wanted.leave_out("`(`");
        }
        wanted.name |= rules.iter().any(|rule| format!("{rule:?}").ends_with("name"));
        if ends || wanted.words.is_empty() {
            wanted.words.push(END.to_owned());
        }
        wanted
    }

    /// The words of the language that the message shows, each the first of its phrase.
    fn shown_words(&self) -> impl Iterator<Item = &str> {
        let quoted = self.words.iter().flat_map(|words| words.split('`').skip(1).step_by(2));
        quoted.filter_map(|phrase| phrase.split(' ').next()).filter(|word| word.starts_with(char::is_alphabetic))
    }

    /// Whether the clause could only have ended there.
    fn nothing_more(&self) -> bool {
        self.words == [END]
    }

    /// The phrases of the language that the message shows, each before its first word alone.
    fn phrases(&self) -> impl Iterator<Item = &str> {
        let quoted = self.words.iter().flat_map(|words| words.split('`').skip(1).step_by(2));
        let phrases = quoted.filter(|phrase| phrase.starts_with(char::is_alphabetic) && !phrase.contains('.'));
        phrases.flat_map(|phrase| [Some(phrase), phrase.split_once(' ').map(|(first, _)| first)]).flatten()
    }

    /// Takes words out, unless there are no others.
    fn leave_out(&mut self, words: &str) {
        if self.words.iter().any(|other| other != words) {
            self.words.retain(|other| other != words);
        }
    }

    /// `a`, `b` or `c`; the first six of many.
    fn list(&self) -> String {
        const MOST: usize = 6;
        let words = &self.words[..self.words.len().min(MOST)];
        match words {
            [] => String::new(),
            [only] => only.clone(),
            [front @ .., last] => format!("{} or {last}", front.join(", ")),
        }
    }
}

enum Said {
    Keyword(&'static str),
    Plain(&'static str),
    Nothing,
}

/// A rule in plain words. No rule's own name ever reaches a message.
fn said(rule: Rule) -> Said {
    use Said::{Keyword, Nothing, Plain};
    if let Some(word) = keyword(rule) {
        return Keyword(word);
    }
    match rule {
        Rule::name | Rule::owned_name => Plain("a name"),
        Rule::part_name => Plain("the name of a part"),
        Rule::place_name | Rule::place_path | Rule::on_place => Plain("a place"),
        Rule::step_name | Rule::how_soon | Rule::step_ends | Rule::at_step => Plain("a step of the ladder"),
        Rule::hand_name => Plain("the name of a hand"),
        Rule::tier_name => Plain("the name of a tier"),
        Rule::work_name => Plain("the name of a work step"),
        Rule::finding_name => Plain("the name of a finding"),
        Rule::counsel_name => Plain("the name of a counsel"),
        Rule::aid_name => Plain("the name of a repair fund"),
        Rule::choice_name | Rule::choices | Rule::choice_words | Rule::is_choice | Rule::ladder_choice => Plain("a choice"),
        Rule::row_name => Plain("a choice, a place or `any`"),
        Rule::path | Rule::look_path => Plain("a look, such as `button.gap`"),
        Rule::edition => Plain("an edition"),
        Rule::string | Rule::text | Rule::quoted => Plain(TEXT),
        Rule::number | Rule::quantity => Plain("a number with its unit"),
        Rule::whole => Plain("a whole number"),
        Rule::unit => Plain("a unit"),
        Rule::date => Plain("a date, such as 2026-11-20"),
        Rule::value | Rule::product | Rule::operand | Rule::argument | Rule::call | Rule::group | Rule::arguments => {
            Plain("a value")
        }
        Rule::lower | Rule::higher | Rule::days_from | Rule::last_look | Rule::total_cost | Rule::negative => Plain("a value"),
        Rule::amount | Rule::amount_product | Rule::amount_operand | Rule::amount_group | Rule::range => {
            Plain("a number with its unit, a range or a table")
        }
        Rule::condition | Rule::bullets | Rule::chain | Rule::test | Rule::one_test | Rule::plain => Plain("a condition"),
        Rule::all_of | Rule::any_of | Rule::at_least_of | Rule::places_with | Rule::found | Rule::place_is | Rule::total_is => {
            Plain("a condition")
        }
        Rule::count | Rule::total => Plain("a condition"),
        Rule::comparison | Rule::compare | Rule::ladder_compare => Plain("`above`, `below`, `at least`, `at most`"),
        Rule::between | Rule::ladder_from => Plain("`from`"),
        Rule::is_tail => Plain("`is`"),
        Rule::has_tail => Plain("`has`"),
        Rule::one_of => Plain("`one of`"),
        Rule::look_kind => Plain("the kind of answer (`yes or no`, `one of`, `measured in` …)"),
        Rule::yes_or_no => Plain("`yes or no`"),
        Rule::one_of_kind => Plain("`one of`"),
        Rule::some_of_kind => Plain("`some of`"),
        Rule::measured => Plain("`measured in`"),
        Rule::counted => Plain("`counted from`"),
        Rule::priced => Plain("`priced from`"),
        Rule::give_or_take => Plain("`give or take`"),
        Rule::by_hand | Rule::table_by => Plain("`by`"),
        Rule::times => Plain("`once`, `each`"),
        Rule::reckon_as => Plain("`as`"),
        Rule::because => Plain("`because` and the reason"),
        Rule::from_file => Plain("`from`"),
        Rule::sealed => Plain("`seal`"),
        Rule::step_within => Plain("`within` or `at once`"),
        Rule::not_played => Plain("`not to be played`"),
        Rule::rate => Plain("a price per h, such as 85 USD per h"),
        Rule::limit => Plain("`up to` or `beyond`"),
        Rule::only_when => Plain("`only when`"),
        Rule::odds => Plain("`odds`"),
        Rule::within => Plain("`within`"),
        Rule::no_higher => Plain("`no higher than`"),
        Rule::open => Plain("`(`"),
        Rule::close => Plain("`)`"),
        // Signs may follow any value; saying so each time would drown the rest.
        _ => Nothing,
    }
}
