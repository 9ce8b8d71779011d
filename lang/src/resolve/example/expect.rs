//! What an example expects to come out.

use super::path::{self, part_name};
use super::written::{Expected, Name, Path, Rungs, WrittenExample, path_span};
use super::{Lookup, bad_value};
use crate::book::{AidWord, Expectation, ExpectedRange, FindingId, PlayedWord, RecordPath, StateWord};
use crate::diagnostic::Diagnostic;
use crate::nearest::nearest;
use crate::resolve::names::Repeats;
use crate::resolve::noted::Target;
use crate::saying::{parse_days, parse_prices};
use crate::span::{Span, Spanned};

/// The expectations that are sound, each with the place it was written.
pub(super) fn expects(lookup: Lookup, written: &WrittenExample) -> Vec<(Expectation, Span)> {
    if written.expects.is_empty() {
        let says = "This example expects nothing, so it could never fail.";
        lookup.sink.push(
            Diagnostic::error("clause-missing", written.words.span, says)
                .help("Write what comes out, such as `urgency STEP` or `finds FINDING`."),
        );
    }
    if let Some(refused) = written.expects.iter().find(|expected| matches!(expected.value, Expected::Refused)) {
        for other in written.expects.iter().filter(|expected| !matches!(expected.value, Expected::Refused)) {
            lookup.sink.push(
                Diagnostic::error("refused-and-more", other.span, "A record that is refused has nothing else come out of it.")
                    .help("Take this out, or `refused`.")
                    .place(refused.span, "refused here"),
            );
        }
    }
    let read = |expected: &Spanned<Expected>| Some((lookup.sink.keep(read(lookup, expected))?, expected.span));
    written.expects.iter().filter_map(read).collect()
}

fn read(lookup: Lookup, expected: &Spanned<Expected>) -> Result<Expectation, Diagnostic> {
    let names = lookup.names;
    let money = lookup.book.money;
    let as_it_is = |nearest: &str| Some(nearest.to_owned());
    let prices = |what: &str, text: &Spanned<String>| match parse_prices(&text.value, money) {
        Ok((from, to)) => Ok(ExpectedRange { from, to }),
        Err(bad) => Err(bad_value(what, text, &bad, as_it_is)),
    };
    match &expected.value {
        Expected::Finding { state, finding, on, at } => finding_expected(lookup, *state, finding, on.as_ref(), at.as_ref()),
        Expected::NothingElse => Ok(Expectation::NothingElse),
        Expected::Urgency(rungs) => range(rungs, |name| names.step(name)).map(Expectation::Urgency),
        Expected::Tier(rungs) => range(rungs, |name| names.tier(name)).map(Expectation::Tier),
        Expected::Hands(rungs) => {
            let hand = |name: &Name| if name.value == "none" { Ok(None) } else { names.hand(name).map(Some) };
            range(rungs, hand).map(Expectation::Hands)
        }
        Expected::Played(word) => {
            let words = [("yes", PlayedWord::Yes), ("no", PlayedWord::No), ("open", PlayedWord::Open)];
            one_word(word, "played", &words).map(Expectation::Played)
        }
        Expected::Cost(text) => prices("cost", text).map(Expectation::Cost),
        Expected::Left(text) => prices("left", text).map(Expectation::Left),
        Expected::Due(text) => match parse_days(&text.value) {
            Ok((from, to)) => Ok(Expectation::Due(ExpectedRange { from, to })),
            Err(bad) => Err(bad_value("due", text, &bad, as_it_is)),
        },
        Expected::Looks { not, path } => {
            let (look, part, place) = look_expected(lookup, path)?;
            let place = place.filter(|_| path::repeats(lookup, part) != Repeats::Single);
            Ok(if *not { Expectation::LooksNot(look, place) } else { Expectation::Looks(look, place) })
        }
        Expected::Counsel(name, word) => {
            let words = [("found", StateWord::Found), ("clear", StateWord::Clear), ("open", StateWord::Open)];
            both(lookup, names.counsel(name), one_word(word, "counsel", &words))
                .map(|(id, state)| Expectation::Counsel(id, state))
        }
        Expected::Aid(name, word) => {
            let words = [("eligible", AidWord::Eligible), ("refused", AidWord::Refused), ("open", AidWord::Open)];
            both(lookup, names.aid(name), one_word(word, "aid", &words)).map(|(id, state)| Expectation::Aid(id, state))
        }
        Expected::Refused => Ok(Expectation::Refused),
    }
}

fn finding_expected(
    lookup: Lookup,
    state: StateWord,
    name: &Name,
    on: Option<&Path>,
    at: Option<&Rungs>,
) -> Result<Expectation, Diagnostic> {
    if state == StateWord::Found && name.value == "none" && lookup.names.findings.get("none").is_none() {
        return Err(nothing_else(name, on.is_none() && at.is_none()));
    }
    let at = at.map(|rungs| range(rungs, |name| lookup.names.step(name))).transpose();
    let finding = lookup.names.finding(name);
    let place = match (&finding, on) {
        (Ok(finding), Some(path)) => place_of_finding(lookup, *finding, name, path),
        _ => Ok(None),
    };
    let (finding, (place, at)) = both(lookup, finding, both(lookup, place, at))?;
    Ok(Expectation::Finding { state, finding, place, at })
}

/// `finds none` says in other words that nothing is found. `alone`: neither a place nor a step stands after it.
fn nothing_else(none: &Name, alone: bool) -> Diagnostic {
    let diagnostic = Diagnostic::error("unknown-name", none.span, "No finding is called `none`.")
        .label("not known")
        .help("Write `finds nothing else`: nothing is found beyond the other `finds` lines of this example.");
    if alone { diagnostic.fix("Write `nothing else`", true, none.span, "nothing else") } else { diagnostic }
}

/// The place of an `on each` finding: `E`, `peg.E` or a number.
fn place_of_finding(lookup: Lookup, finding: FindingId, name: &Name, on: &Path) -> Result<Option<RecordPath>, Diagnostic> {
    // A finding with errors of its own was told of already.
    let known = lookup.book.findings.get(finding.index()).filter(|_| !lookup.troubled.findings.contains(&finding));
    let Some(finding) = known else { return Ok(None) };
    let own = part_name(lookup, finding.on);
    let place = match on.as_slice() {
        [part, place] if part.value == own => place,
        [place] if place.value != own || path::repeats(lookup, finding.on) == Repeats::Fixed => place,
        _ => {
            let says = format!("`{}` is a finding on `{own}`, and a place of that stands here.", name.value);
            return Err(Diagnostic::error("unknown-name", path_span(on), says).help("Write the place alone."));
        }
    };
    if !finding.each {
        return Err(Diagnostic::error(
            "no-places",
            path_span(on),
            format!("`{}` is judged once for `{own}`, and not place by place.", name.value),
        )
        .label("no place")
        .help("Leave out `on` and the place."));
    }
    path::place_of(lookup, finding.on, place).map(Some)
}

/// A look with its place; of a part with places, the look at any of them may be written `part.look`.
fn look_expected(
    lookup: Lookup,
    path: &Path,
) -> Result<(crate::book::LookId, crate::book::PartId, Option<RecordPath>), Diagnostic> {
    if let [part_name, look_name] = path.as_slice() {
        let part = lookup.names.part(part_name)?;
        let inside = lookup.names.inside.get(part.index());
        if let Some(look) = inside.and_then(|inside| inside.looks.get(&look_name.value)) {
            lookup.names.notes.uses(look_name.span, Target::Look(look));
            let alone = path::repeats(lookup, part) == Repeats::Single;
            return Ok((look, part, alone.then_some(RecordPath::Single)));
        }
    }
    path::look(lookup, path).map(|(look, part, place)| (look, part, Some(place)))
}

/// One rung, or from one to another that stands no lower.
fn range<T: Copy + PartialOrd>(
    rungs: &Rungs,
    find: impl Fn(&Name) -> Result<T, Diagnostic>,
) -> Result<ExpectedRange<T>, Diagnostic> {
    let from = find(&rungs.from)?;
    let Some(to_name) = &rungs.to else { return Ok(ExpectedRange { from, to: from }) };
    let to = find(to_name)?;
    if from > to {
        let turned = format!("{} to {}", to_name.value, rungs.from.value);
        let says =
            format!("`{}` stands lower on the ladder than `{}`, and the lower one comes first.", to_name.value, rungs.from.value);
        return Err(Diagnostic::error("range-turned", rungs.span(), says).help(format!("Write `{turned}`.")).fix(
            format!("Write `{turned}`"),
            true,
            rungs.span(),
            turned,
        ));
    }
    Ok(ExpectedRange { from, to })
}

/// The meaning of one of a few words.
fn one_word<T: Copy>(word: &Name, clause: &str, words: &[(&'static str, T)]) -> Result<T, Diagnostic> {
    if let Some((_, meaning)) = words.iter().find(|(known, _)| *known == word.value) {
        return Ok(*meaning);
    }
    let known: Vec<String> = words.iter().map(|(known, _)| format!("`{known}`")).collect();
    let list = match known.as_slice() {
        [rest @ .., last] if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        known => known.concat(),
    };
    let says = format!("`{}` is no word of `{clause}`.", word.value);
    let diagnostic = Diagnostic::error("unknown-name", word.span, says).help(format!("Write {list}."));
    Err(match nearest(&word.value, words.iter().map(|(known, _)| *known)) {
        Some(near) => diagnostic.fix(format!("Write `{near}`"), false, word.span, near),
        None => diagnostic,
    })
}

/// Both, or one error after the other was told.
fn both<A, B>(lookup: Lookup, one: Result<A, Diagnostic>, other: Result<B, Diagnostic>) -> Result<(A, B), Diagnostic> {
    match (one, other) {
        (Ok(one), Ok(other)) => Ok((one, other)),
        (Err(one), Err(other)) => {
            lookup.sink.push(one);
            Err(other)
        }
        (Err(one), _) | (_, Err(one)) => Err(one),
    }
}
