//! The small change after which the grammar goes on: tried out before it is offered.

mod phrases;
mod spoken;
#[cfg(test)]
mod tests;

use std::ops::Range;

use phrases::{AFTER_TEXT, ARTICLES, INSTEAD, LESS, MORE, SIGNS, slug};
use spoken::{counted_places, has_no, neither, not_compared, share_of};

use super::{JOINING, Place, SMALL, Wanted};
use crate::diagnostic::{Edit, Fix};
use crate::nearest::nearest;
use crate::number::{Number, format_decimal};
use crate::span::Span;
use crate::syntax::grammar::{self, Rule};
use crate::syntax::lower::skip;
use crate::syntax::scan;
use crate::syntax::split::clip;

/// What would mend a slice, as far as it was read.
pub(super) struct Mend {
    /// A sentence or two.
    pub help: String,
    /// The change, where there is one that is likely enough.
    pub fix: Option<Fix>,
}

/// The most words that are taken for parts of one name.
const MOST_WORDS: usize = 5;

/// A change: bytes of the text, and what to write for them.
type Change = (Range<usize>, String);

/// The change that mends the slice at a byte at which the grammar stopped.
pub(super) fn mend(place: &Place<'_>, rule: Rule, at: usize, wanted: &Wanted) -> Option<Mend> {
    let here = Here::of(place, rule, at);
    let ways: [fn(&Here<'_>, &Wanted) -> Option<Mend>; 23] = [
        told_by_the_clause,
        said_too_much,
        there_is,
        neither,
        has_no,
        not_compared,
        counted_places,
        share_of,
        of_a_spreadsheet,
        fraction,
        one_in_so_many,
        comment,
        compared,
        between,
        instead,
        near_word,
        as_found,
        in_quotes,
        needless_sign,
        named,
        needless_word,
        parted,
        words_missing,
    ];
    ways.iter().find_map(|way| way(&here, wanted))
}

/// How far a changed slice reads.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Reads {
    /// To its end.
    Whole,
    /// Over the change and what follows it.
    Further,
    /// No further than before.
    Not,
}

/// Where the grammar stopped.
struct Here<'a> {
    place: &'a Place<'a>,
    rule: Rule,
    at: usize,
    /// What stands there.
    token: &'a str,
    /// The word before it, on the same line and with nothing but spaces between.
    before: Option<Range<usize>>,
    /// Where the line ends, without spaces.
    line_end: usize,
}

impl<'a> Here<'a> {
    fn of(place: &'a Place<'a>, rule: Rule, at: usize) -> Self {
        let rest = &place.plain[at..place.end];
        let line = rest[..rest.find(['\n', '\r']).unwrap_or(rest.len())].trim_end_matches(scan::is_blank);
        let written = place.plain[place.start..at].trim_end_matches(scan::is_blank);
        let length = written.chars().rev().take_while(|char| scan::is_word(*char)).map(char::len_utf8).sum::<usize>();
        let end = place.start + written.len();
        let before = (length > 0).then_some(end - length..end);
        Self { place, rule, at, token: super::token(place, at), before, line_end: at + line.len() }
    }

    fn text(&self, range: &Range<usize>) -> &'a str {
        &self.place.plain[range.clone()]
    }

    fn whole_token(&self) -> Range<usize> {
        self.at..self.at + self.token.len()
    }

    /// The words from a byte on, up to so many.
    fn words_from(&self, mut at: usize, most: usize) -> Vec<Range<usize>> {
        let mut words = Vec::new();
        while words.len() < most {
            let rest = &self.place.plain[at..self.line_end.max(at)];
            let length = rest.find(|char| !scan::is_word(char)).unwrap_or(rest.len());
            if length == 0 {
                break;
            }
            words.push(at..at + length);
            at = skip(self.place.plain, at + length, self.line_end);
        }
        words
    }

    /// Whether the slice reads to its end, or at least over what follows, once it is changed.
    fn goes_on(&self, changes: &[Change]) -> bool {
        self.reads(changes) != Reads::Not
    }

    /// How far the slice reads once it is changed.
    fn reads(&self, changes: &[Change]) -> Reads {
        let mut text = String::new();
        let mut from = self.place.start;
        for (range, written) in changes {
            text.push_str(&self.place.plain[from..range.start]);
            text.push_str(written);
            from = range.end;
        }
        let follows = skip(&self.place.plain[..self.place.end], from, self.place.end) - from;
        let reach = text.len() + follows;
        text.push_str(&self.place.plain[from..self.place.end]);
        match grammar::read(self.rule, &text) {
            Ok(_) => Reads::Whole,
            Err(failure) if failure.at > reach => Reads::Further,
            Err(_) => Reads::Not,
        }
    }

    fn fix(&self, title: &str, changes: Vec<Change>) -> Option<Fix> {
        let edit = |(range, text): Change| Edit { span: Span::new(self.place.file, range.start, range.end), text };
        Some(Fix { title: title.to_owned(), safe: false, edits: changes.into_iter().map(edit).collect() })
    }

    /// Writes one thing for another, if that reads.
    fn replaced(&self, range: Range<usize>, new: &str) -> Option<Mend> {
        let old = clip(self.text(&range));
        let changes = vec![(range, new.to_owned())];
        self.goes_on(&changes).then(|| {
            let new = new.trim();
            Mend { help: format!("Write `{new}` for `{old}`."), fix: self.fix(&format!("Write `{new}`"), changes) }
        })
    }

    /// Takes something out, if that reads.
    fn removed(&self, range: Range<usize>) -> Option<Mend> {
        let old = clip(self.text(&range).trim());
        // Together with the spaces that would be left over.
        let mut range = range;
        let (before, after) =
            (&self.place.plain[self.place.start..range.start], &self.place.plain[range.end..self.line_end.max(range.end)]);
        if after.is_empty() {
            range.start = self.place.start + before.trim_end_matches(scan::is_blank).len();
        } else if before.ends_with(scan::is_blank) {
            range.end += after.len() - after.trim_start_matches(scan::is_blank).len();
        }
        let changes = vec![(range, String::new())];
        let help = format!("Take `{old}` out.");
        self.goes_on(&changes).then(|| Mend { fix: self.fix(&format!("Take `{old}` out"), changes), help })
    }
}

/// What is to be written elsewhere, or otherwise than it seems.
fn told_by_the_clause(here: &Here<'_>, wanted: &Wanted) -> Option<Mend> {
    let number = here.token.starts_with(|char: char| char.is_ascii_digit());
    let before = here.before.as_ref().map_or("", |before| here.text(before));
    let after_comma = here.place.plain[here.place.start..here.at].trim_end().ends_with(',');
    let help = match here.rule {
        Rule::work_line if ["per", "for", "every", "only"].contains(&here.token) => {
            "End the line with `once`, for once an instrument, or with `each`, for once at each place."
        }
        Rule::work_line if ["half", "quarter"].contains(&before) => {
            "Write a time as a number with its unit: half an hour is `0.5 h`, a quarter is `0.25 h`."
        }
        Rule::work_line if number && before == "h" => {
            "Write a time as one number with its unit: an hour and a half is `1.5 h` or `90 min`."
        }
        Rule::alter_plain if crate::syntax::shape::clause(crate::syntax::tree::Kind::Finding, here.token).is_some() => {
            "Give the reason on this line, and write what changes on lines of their own below it."
        }
        Rule::cost_clause if number => {
            "Write what it costs as its `work` and its `goods`: `goods \"words\" 40 USD`, or `work` and the name of a bench step."
        }
        Rule::work_clause if number || here.token.starts_with('"') => {
            "Name a bench step; how long it takes stands with the step itself: `work NAME \"words\" 0.5 h once`, at the start of a line."
        }
        Rule::goods_clause if number && wanted.text => "Say what it is, and then what it costs.",
        _ if here.token == "," && wanted.nothing_more() => "Write only one here.",
        Rule::finds_clause | Rule::clear_clause | Rule::open_clause | Rule::suspects_clause if after_comma => {
            "Write a line of its own for each finding."
        }
        Rule::builds_clause if wanted.keywords == ["edition"] => {
            "Say against which edition of it this rulebook is written, such as `edition 2026.1`."
        }
        Rule::places_clause => "Give each place that has a name a line: `place E`, and below it `place A`.",
        Rule::covers_clause if matches!(here.token, "all" | "every" | "any") => {
            "Write `covers above 0 USD`, in the rulebook's money, for every finding that costs anything."
        }
        Rule::good_clause if ["above", "below", "over", "under", "at", "least", "most", "less", "more"].contains(&before) => {
            "Write what a good one shows as a range: `good 0 to 1 mm`."
        }
        _ if number && wanted.name && here.token.contains(char::is_alphabetic) => "Begin the name with a letter.",
        _ => return None,
    };
    Some(Mend { help: help.to_owned(), fix: None })
}

/// `good is crooked`, and a tier with both its ends.
fn said_too_much(here: &Here<'_>, _: &Wanted) -> Option<Mend> {
    if here.rule == Rule::good_clause && here.token == "is" {
        return here.removed(here.whole_token());
    }
    let rest = &here.place.plain[here.at..here.line_end];
    let is_tier = here.rule == Rule::tier_clause && here.token.starts_with(|char: char| char.is_ascii_digit());
    let to = rest.find(" to ").filter(|_| is_tier)?;
    let changes = vec![(here.at..here.at + to + 3, "up to".to_owned())];
    let ends = &rest[to + 4..];
    here.goes_on(&changes).then(|| Mend {
        help: format!("Write only where it ends, `up to {}`: a tier begins where the one before it ends.", clip(ends)),
        fix: here.fix(&format!("Write `up to {}`", clip(ends)), changes),
    })
}

/// `there is a crack`, which is asked of a part with places.
fn there_is(here: &Here<'_>, _: &Wanted) -> Option<Mend> {
    let before = here.place.plain[here.place.start..here.at].trim_end();
    let before = before.strip_suffix(" a").or_else(|| before.strip_suffix(" no")).unwrap_or(before);
    let told = before.ends_with("there is") || before.ends_with("there are");
    let help = "Ask `any PART with` and what is seen there, such as `any crack with length is above 3 mm`.";
    told.then(|| Mend { help: help.to_owned(), fix: None })
}

/// Formulas and frames, as spreadsheets have them.
fn of_a_spreadsheet(here: &Here<'_>, _: &Wanted) -> Option<Mend> {
    let rest = &here.place.plain[here.at..here.line_end];
    let alone = !here.place.plain[here.place.start..here.at].trim_end().contains(scan::is_space);
    let formula = rest.strip_prefix('=').unwrap_or(rest).trim_start().to_lowercase().starts_with("if(");
    let help = if formula {
        "Write the condition alone; what follows from it stands in lines of its own."
    } else if here.rule == Rule::table_line && rest.starts_with('|') {
        "Write each row as `row`, its keys and its value, such as `row violin 1`, and leave the frame out."
    } else if alone && rest.starts_with('=') {
        return here.removed(here.at..here.at + 1);
    } else {
        return None;
    };
    Some(Mend { help: help.to_owned(), fix: None })
}

/// `1/4` or `2 1/2` where no arithmetic stands.
fn fraction(here: &Here<'_>, _: &Wanted) -> Option<Mend> {
    let start = if here.token == "/" { here.before.clone()?.start } else { here.at };
    let words = here.place.plain[start..here.line_end].split(|char: char| !(char.is_ascii_digit() || char == '/')).next()?;
    let (over, under) = words.split_once('/')?;
    let (over, under) = (over.parse::<u32>().ok()?, under.parse::<u32>().ok().filter(|under| *under > 0)?);
    let whole =
        here.before.clone().filter(|before| here.token != "/" && here.text(before).bytes().all(|byte| byte.is_ascii_digit()));
    let (from, add) = match whole {
        Some(whole) => (whole.start, here.text(&whole).parse::<u32>().ok()?),
        None => (start, 0),
    };
    let top = add.checked_mul(under)?.checked_add(over)?;
    let decimal = format_decimal(Number::new(top.into(), under.into()));
    let range = from..start + words.len();
    let changes = vec![(range.clone(), decimal.clone())];
    here.goes_on(&changes).then(|| Mend {
        help: format!("Write a part of one as a decimal: `{decimal}`."),
        fix: here.fix(&format!("Write `{decimal}`"), changes),
    })
}

/// `odds 1 in 5`.
fn one_in_so_many(here: &Here<'_>, _: &Wanted) -> Option<Mend> {
    let before = here.before.clone().filter(|_| here.rule == Rule::left_clause && here.token == "in")?;
    let after = here.words_from(here.at, 2).into_iter().nth(1)?;
    let (some, all) = (here.text(&before).parse::<u32>().ok()?, here.text(&after).parse::<u32>().ok().filter(|all| *all > 0)?);
    let percent = format!("{} %", format_decimal(Number::new(i128::from(some) * 100, all.into())));
    here.replaced(before.start..after.end, &percent)
        .map(|mend| Mend { help: format!("Write the odds as a percentage: `{percent}`."), ..mend })
}

/// A comment as other languages begin it.
fn comment(here: &Here<'_>, _: &Wanted) -> Option<Mend> {
    let rest = &here.place.plain[here.at..here.line_end];
    let signs = ["//", "/*", "--"].into_iter().find(|signs| rest.starts_with(signs));
    // The grammar may have taken the first of the signs for one of its own.
    let (start, signs) = match signs {
        Some(signs) => (here.at, signs),
        None if here.place.plain[..here.at].ends_with('/') && (rest.starts_with('/') || rest.starts_with('*')) => {
            (here.at - 1, &here.place.plain[here.at - 1..=here.at])
        }
        None => return None,
    };
    if !here.goes_on(&[(start..here.line_end, String::new())]) {
        return None;
    }
    let fix = here.fix("Begin the comment with `#`", vec![(start..start + signs.len(), "#".to_owned())]);
    Some(Mend { help: "Begin the comment with `#`.".to_owned(), fix })
}

/// `over`, `more than`, `less than` and their kin.
fn compared(here: &Here<'_>, _: &Wanted) -> Option<Mend> {
    // The word may have been taken for a choice, so that the grammar stopped after it.
    for start in here.before.iter().map(|before| before.start).chain([here.at]) {
        let words = here.words_from(start, 3);
        let Some(first) = words.first() else { continue };
        let word = here.text(first).to_lowercase();
        let above = if MORE.contains(&word.as_str()) {
            "above"
        } else if LESS.contains(&word.as_str()) {
            "below"
        } else {
            continue;
        };
        let than = words.get(1).filter(|second| here.text(second) == "than");
        let range = first.start..than.unwrap_or(first).end;
        let found = [above.to_owned(), format!("is {above}")].iter().find_map(|new| here.replaced(range.clone(), new));
        if found.is_some() {
            return found;
        }
    }
    None
}

/// `is between A and B`.
fn between(here: &Here<'_>, _: &Wanted) -> Option<Mend> {
    let words = here.before.iter().cloned().chain(here.words_from(here.at, 1));
    let between = words.into_iter().find(|word| here.text(word) == "between")?;
    let rest = &here.place.plain[between.end..here.place.end];
    let and = between.end + rest.find(" and ")? + 1;
    let is = if here.place.plain[..between.start].trim_end().ends_with(" is") { "" } else { "is " };
    let changes = vec![(between, format!("{is}from")), (and..and + 3, "to".to_owned())];
    here.goes_on(&changes)
        .then(|| Mend {
            help: format!("Write `{is}from … to …`."), fix: here.fix(&format!("Write `{is}from … to …`"), changes)
        })
}

/// Signs and words of other languages, and of plain speech.
fn instead(here: &Here<'_>, _: &Wanted) -> Option<Mend> {
    let rest = &here.place.plain[here.at..here.place.end];
    if let Some((sign, new)) = SIGNS.iter().find(|(sign, _)| rest.starts_with(sign)) {
        let range = here.at..here.at + sign.len();
        return new.iter().find_map(|new| here.replaced(range.clone(), new));
    }
    for start in here.before.iter().map(|before| before.start).chain([here.at]) {
        let words = here.words_from(start, 2);
        for count in (1..=words.len()).rev() {
            let range = start..words[count - 1].end;
            let written = here.text(&range).to_lowercase();
            let Some((_, new)) = INSTEAD.iter().find(|(old, _)| *old == written) else { continue };
            if let Some(mend) = new.iter().find_map(|new| here.replaced(range.clone(), new)) {
                return Some(mend);
            }
        }
    }
    None
}

/// A word that is nearly one of those expected, or one before that is nearly a joining word.
fn near_word(here: &Here<'_>, wanted: &Wanted) -> Option<Mend> {
    if let Some(near) = nearest(here.token, wanted.shown_words()).filter(|near| *near != here.token)
        && let Some(mend) = here.replaced(here.whole_token(), near)
    {
        return Some(mend);
    }
    if wanted.keywords.contains(&"is")
        && let Some(near) = nearest(here.token, ["above", "below", "at", "from", "one"]).filter(|near| *near != here.token)
        && let Some(mend) = here.replaced(here.whole_token(), &format!("is {near}"))
    {
        return Some(mend);
    }
    let before = here.before.clone()?;
    let word = here.text(&before);
    let near = nearest(word, JOINING).filter(|near| *near != word && word.len().abs_diff(near.len()) <= 2)?;
    here.replaced(before, near)
}

/// Places that are taken as they are found, said of one place.
fn as_found(here: &Here<'_>, _: &Wanted) -> Option<Mend> {
    let words = here.words_from(here.place.start, 4);
    if here.rule != Rule::place_clause || words.iter().map(|word| here.text(word)).ne(["place", "as", "found"]) {
        return None;
    }
    let help = "Write `places as found`.".to_owned();
    Some(Mend { help, fix: here.fix("Write `places`", vec![(words[0].clone(), "places".to_owned())]) })
}

/// Text, or a choice, that stands in no quotes.
fn in_quotes(here: &Here<'_>, wanted: &Wanted) -> Option<Mend> {
    if !here.token.starts_with(char::is_alphanumeric) {
        return None;
    }
    if wanted.text && !wanted.choice && no_text(here) {
        return None;
    }
    let line = here.at..here.line_end;
    // Words of a choice may follow it; a choice of several words is more often met.
    let text = wanted.text && !(here.rule == Rule::look_clause && here.before.is_some());
    let piece = here.text(&line).find(',').map_or(line.clone(), |comma| here.at..here.at + comma);
    let range = [(text, line), (wanted.choice, piece)].into_iter().find(|(fits, range)| {
        let text = here.text(range);
        *fits && !text.contains(['"', '\\']) && here.goes_on(&[(range.clone(), format!("\"{text}\""))])
    });
    let (_, range) = range?;
    let quoted = format!("\"{}\"", here.text(&range));
    let help = format!("Put double quotes round it: `{}`.", clip(&quoted));
    Some(Mend { help, fix: here.fix("Put double quotes round it", vec![(range, quoted)]) })
}

/// Whether what stands there begins no text, so that one is missing before it.
fn no_text(here: &Here<'_>) -> bool {
    AFTER_TEXT.contains(&here.token) || here.token.starts_with(|char: char| char.is_ascii_digit())
}

/// A text that is missing.
fn words_missing(here: &Here<'_>, wanted: &Wanted) -> Option<Mend> {
    let missing = wanted.text && !wanted.choice && no_text(here);
    missing.then(|| Mend { help: format!("Write its words in double quotes before `{}`.", clip(here.token)), fix: None })
}

/// A sign that stands for nothing.
fn needless_sign(here: &Here<'_>, _: &Wanted) -> Option<Mend> {
    let is_sign = matches!(here.token, ";" | ":" | "." | "," | "{" | "}" | "[" | "]" | "(" | ")" | "?" | "!");
    // Inside a number or between two names it is no such sign.
    let inside = here.place.plain[here.at + here.token.len()..here.line_end.max(here.at + here.token.len())]
        .starts_with(char::is_alphanumeric);
    let inside = inside && matches!(here.token, "." | ",");
    if !is_sign || inside {
        return None;
    }
    let comma = || if here.token == ";" { here.replaced(here.whole_token(), ",") } else { None };
    here.removed(here.whole_token()).or_else(comma)
}

/// A name that is not there, or is written in two words.
fn named(here: &Here<'_>, wanted: &Wanted) -> Option<Mend> {
    if here.token == "_" {
        let word = here.place.plain[here.at..here.line_end].find(|char| !(scan::is_word(char) || char == '_'));
        let end = word.map_or(here.line_end, |length| here.at + length);
        let start = here.before.as_ref().map_or(here.at, |before| before.start);
        let name = here.place.plain[start..end].replace('_', "-");
        let changes = vec![(start..end, name.clone())];
        return here.goes_on(&changes).then(|| Mend {
            help: format!("Write the name with hyphens: `{name}`."),
            fix: here.fix(&format!("Write `{name}`"), changes),
        });
    }
    if (wanted.new_name || here.rule == Rule::place_clause) && here.token.starts_with('"') {
        let name = slug(here.token)?;
        let changes = vec![(here.at..here.at, format!("{name} "))];
        return here.goes_on(&changes).then(|| Mend {
            help: format!("Write a name before the words, such as `{name}`."),
            fix: here.fix(&format!("Name it `{name}`"), changes),
        });
    }
    None
}

/// Something is missing between two words, or they are one.
fn parted(here: &Here<'_>, wanted: &Wanted) -> Option<Mend> {
    let put = |text: &str| vec![(here.at..here.at, format!("{text} "))];
    let mut offers: Vec<(String, String, Vec<Change>)> = Vec::new();
    let is_word = |word: &Range<usize>| here.text(word).starts_with(char::is_alphabetic);
    let words: Vec<Range<usize>> = here.words_from(here.at, MOST_WORDS).into_iter().take_while(is_word).collect();
    if let (Some(before), false) = (here.before.clone().filter(is_word), words.is_empty()) {
        // A small word is no part of a name, and what has a hyphen is a whole one.
        let whole = |word: &Range<usize>| {
            let text = here.text(word);
            text.contains('-') || SMALL.contains(&text) || ARTICLES.contains(&text) || matches!(text, "only" | "just")
        };
        let parts = if whole(&before) { &[] } else { words.split(whole).next().unwrap_or_default() };
        for last in parts {
            let mut joined = here.text(&(before.start..last.end)).split_whitespace().collect::<Vec<_>>().join("-");
            if !(wanted.choice || matches!(here.rule, Rule::place_clause | Rule::row_clause)) {
                joined = joined.to_lowercase();
            }
            let changes = vec![(before.start..last.end, joined.clone())];
            if here.goes_on(&changes) {
                let look = format!("{}.{}", here.text(&before), here.text(last));
                let two = !look.contains(|char| scan::is_space(char) || char.is_uppercase())
                    && wanted.keywords.contains(&"is")
                    && *last == words[0];
                let help = if two {
                    format!(
                        "Write a look of another part with a point, `{look}`, or a name of several words with hyphens, `{joined}`."
                    )
                } else {
                    format!("Write a name of several words with hyphens: `{joined}`.")
                };
                offers.push((help, format!("Write `{joined}`"), changes));
                break;
            }
        }
        let comma = |word: &Range<usize>| (word.end..word.end, ",".to_owned());
        let members: Vec<Range<usize>> = std::iter::once(before.clone()).chain(words.iter().cloned()).collect();
        let all: Vec<Change> = members[..members.len() - 1].iter().map(comma).collect();
        if words.len() > 1 && here.reads(&all) == Reads::Whole {
            let list = members.iter().map(|word| here.text(word)).collect::<Vec<_>>().join(", ");
            // Names of so many words are rare.
            offers.clear();
            offers.push((format!("Put commas between the members of a list: `{list}`."), "Put the commas in".to_owned(), all));
        } else {
            let help = "Put a comma between the members of a list.".to_owned();
            offers.push((help, "Put the comma in".to_owned(), vec![comma(&before)]));
        }
    }
    offers.retain(|(_, _, changes)| here.goes_on(changes));
    let after_comma = here.place.plain[here.place.start..here.at].trim_end().ends_with(',');
    let mut phrases: Vec<&str> = wanted.phrases().filter(|phrase| !after_comma && here.goes_on(&put(phrase))).collect();
    if phrases.iter().any(|phrase| here.reads(&put(phrase)) == Reads::Whole) {
        phrases.retain(|phrase| here.reads(&put(phrase)) == Reads::Whole);
    }
    if phrases.contains(&"and") && phrases.contains(&"or") {
        phrases.retain(|phrase| matches!(*phrase, "and" | "or"));
    }
    match phrases[..] {
        [] => {}
        [only] => offers.push((format!("Put `{only}` before `{}`.", clip(here.token)), format!("Put `{only}` in"), put(only))),
        [ref front @ .., last] => {
            let help = format!("Put `{}` or `{last}` before `{}`.", front.join("`, `"), clip(here.token));
            offers.push((help, String::new(), Vec::new()));
        }
    }
    let fix = match &offers[..] {
        [] => return None,
        [(_, title, changes)] if !changes.is_empty() => here.fix(title, changes.clone()),
        _ => None,
    };
    let helps: Vec<&str> = offers.iter().map(|(help, ..)| help.as_str()).collect();
    Some(Mend { help: helps.join(" "), fix })
}

/// A small word of plain speech that the language does without.
fn needless_word(here: &Here<'_>, _: &Wanted) -> Option<Mend> {
    let words = here.words_from(here.at, 1).into_iter().chain(here.before.clone());
    let needless = words.into_iter().filter(|word| ARTICLES.contains(&here.text(word)));
    needless.filter(|word| here.reads(&[(word.clone(), String::new())]) == Reads::Whole).find_map(|word| here.removed(word))
}
