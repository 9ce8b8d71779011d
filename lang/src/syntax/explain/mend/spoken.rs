//! Turns of plain speech in conditions, and how a rulebook says them.

use super::phrases::{COUNTS, NOT};
use super::{Here, Mend, Wanted};
use crate::syntax::scan;
use crate::syntax::split::clip;

/// The first byte of the path that ends there: names with points between.
fn path_start(text: &str, end: usize) -> usize {
    end - text[..end].chars().rev().take_while(|char| scan::is_word(*char) || *char == '.').map(char::len_utf8).sum::<usize>()
}

/// `neither A nor B`.
pub(super) fn neither(here: &Here<'_>, _: &Wanted) -> Option<Mend> {
    let before = here.before.clone().filter(|before| here.text(before) == "neither")?;
    let nor = here.at + here.place.plain[here.at..here.place.end].find(" nor ")? + 1;
    let changes = vec![(before, "not".to_owned()), (nor..nor + 3, "and not".to_owned())];
    let help = "Write `not … and not …` for `neither … nor …`.".to_owned();
    here.goes_on(&changes).then(|| Mend { help, fix: here.fix("Write `not … and not …`", changes) })
}

/// `marks has no crack`.
pub(super) fn has_no(here: &Here<'_>, _: &Wanted) -> Option<Mend> {
    let no = here.before.clone().filter(|before| here.text(before) == "no")?;
    let path_end = here.place.plain[here.place.start..no.start].trim_end().strip_suffix(" has")?.trim_end().len();
    let start = path_start(here.place.plain, here.place.start + path_end).max(here.place.start);
    let path = &here.place.plain[start..here.place.start + path_end];
    let changes = vec![(start..start, "not ".to_owned()), (no.start..here.at, String::new())];
    let text = format!("not {path} has {}", here.token);
    (!path.is_empty() && here.goes_on(&changes))
        .then(|| Mend { help: format!("Write `{}`.", clip(&text)), fix: here.fix(&format!("Write `{}`", clip(&text)), changes) })
}

/// `is not above`, which the opposite comparison says.
pub(super) fn not_compared(here: &Here<'_>, _: &Wanted) -> Option<Mend> {
    let before = &here.place.plain[here.place.start..here.at];
    let not = here.place.start + before.rfind(" is not")? + " is ".len();
    let after = &here.place.plain[not + "not".len()..here.line_end.max(not + "not".len())];
    let gap = after.len() - after.trim_start().len();
    let (words, new) = NOT.iter().find(|(words, _)| {
        let rest = after[gap..].strip_prefix(words);
        rest.is_some_and(|rest| !rest.starts_with(scan::is_word))
    })?;
    let end = not + "not".len() + gap + words.len();
    (gap > 0 && end <= here.line_end).then(|| here.replaced(not..end, new)).flatten()
}

/// `each peg with`, `exactly 2 peg with`: words that count places otherwise than the language does.
pub(super) fn counted_places(here: &Here<'_>, _: &Wanted) -> Option<Mend> {
    let before = here.before.clone()?;
    let word = here.text(&before);
    if let Some((_, new)) = COUNTS.iter().find(|(written, _)| *written == word)
        && here.place.plain[here.at..here.line_end].contains(" with ")
        && let Some(mend) = here.replaced(before.clone(), new)
    {
        return Some(mend);
    }
    // The grammar stops at the second word of `at most`.
    let most = word == "at" && here.token == "most";
    let words = here.words_from(here.at, 4);
    let [number, part, with, ..] = words.get(usize::from(most)..)? else { return None };
    let number: u32 = here.text(number).parse().ok()?;
    if here.text(with) != "with" {
        return None;
    }
    let part = here.text(part);
    let more = number.checked_add(1)?;
    let written = here.place.plain[here.place.start..here.at].trim_end();
    let help = if word == "exactly" || word == "just" || word == "only" {
        format!(
            "Write `at least {number} {part} with …`; where more are not meant, `and not at least {more} {part} with …` after it."
        )
    } else if most || written.ends_with("up to") {
        format!("Write `not at least {more} {part} with …`.")
    } else if written.ends_with("more than") || word == "over" {
        format!("Write `at least {more} {part} with …`.")
    } else if written.ends_with("fewer than") || written.ends_with("less than") {
        format!("Write `not at least {number} {part} with …`.")
    } else {
        return None;
    };
    Some(Mend { help, fix: None })
}

/// `50 % worth`, `50 % of worth`: a share is multiplied.
pub(super) fn share_of(here: &Here<'_>, _: &Wanted) -> Option<Mend> {
    if !here.place.plain[here.place.start..here.at].trim_end().ends_with('%') {
        return None;
    }
    if here.token == "of" {
        return here.replaced(here.whole_token(), "*");
    }
    let changes = vec![(here.at..here.at, "* ".to_owned())];
    let help = format!("Put `*` before `{}`: a share of something is `50 % * x`.", clip(here.token));
    let begins = here.token.starts_with(char::is_alphabetic) && !matches!(here.token, "and" | "or" | "to");
    (begins && here.goes_on(&changes)).then(|| Mend { help, fix: here.fix("Put `*` in", changes) })
}
