//! The single tests of a condition: choices, comparisons, places and totals.

use super::names::{Repeats, unknown};
use super::noted::Target;
use super::scope::Scope;
use super::typed::{Typed, like_help, upper};
use crate::book::{Choice, Comparison, Condition, Look, LookAt, LookId, LookKind, PlaceId, StepId, Test, TierId, Value};
use crate::diagnostic::Diagnostic;
use crate::nearest::nearest;
use crate::number::{Number, format_decimal};
use crate::span::{Span, Spanned};
use crate::syntax::tree::{LadderTest, Total};
use crate::unit::{Dimension, Unit};

/// A yes-or-no look that stands alone.
pub fn alone(scope: &Scope, path: &[Spanned<String>], span: Span) -> Option<Condition> {
    if let [word] = path
        && scope.plain_look(&word.value).is_none()
        && scope.names.findings.get(&word.value).is_some()
    {
        let text = format!("found {}", word.value);
        scope.sink.push(
            Diagnostic::error("wrong-kind", span, format!("`{}` is a finding, and a look stands here.", word.value))
                .label("a finding")
                .help(format!("Write `{text}`."))
                .fix(format!("Write `{text}`"), true, span, text),
        );
        return None;
    }
    let at = scope.sink.keep(scope.look_at(path))?;
    let look = look_of(scope, at)?;
    if matches!(look.kind, LookKind::YesNo) {
        return Some(Condition::Test(Test::IsOneOf { look: at, choices: vec![1], not: false }, span));
    }
    let says = format!("`{}` is {}, so it cannot stand alone.", look.name, kind_words(look));
    scope.sink.push(Diagnostic::error("cannot-stand-alone", span, says).label(kind_words(look)).help(usage(look)));
    None
}

/// `LOOK is a`, `is one of a, b`, and the same with `not`.
pub fn is_one_of(scope: &Scope, path: &[Spanned<String>], words: &[Spanned<String>], not: bool, span: Span) -> Option<Condition> {
    let at = scope.sink.keep(scope.look_at(path))?;
    let look = look_of(scope, at)?;
    match &look.kind {
        LookKind::YesNo | LookKind::OneOf(_) => {
            let choices = choices_of(scope, at.look, look, words)?;
            Some(Condition::Test(Test::IsOneOf { look: at, choices, not }, span))
        }
        LookKind::Dated => match words {
            [word] if word.value == "none" => Some(Condition::Test(Test::NoDate { look: at, not }, span)),
            _ => wrong_test(scope, look, span),
        },
        LookKind::SomeOf(_) => {
            scope.sink.push(is_for_has(look, path, words, not, span));
            None
        }
        LookKind::Measured { .. } | LookKind::Counted { .. } | LookKind::Priced { .. } | LookKind::Written => {
            wrong_test(scope, look, span)
        }
    }
}

/// `marks is crack` of a look that shows several: what was written is asked with `has`, and none with none of them.
fn is_for_has(look: &Look, path: &[Spanned<String>], words: &[Spanned<String>], not: bool, span: Span) -> Diagnostic {
    let says = format!("`{}` is {}, and is not asked like this.", look.name, kind_words(look));
    let diagnostic = Diagnostic::error("wrong-test", span, says).label(kind_words(look));
    let path = path.iter().map(|word| word.value.as_str()).collect::<Vec<_>>().join(".");
    let names: Vec<&str> = look.choices().iter().map(|choice| choice.name.as_str()).collect();
    let none = matches!(words, [word] if word.value == "none") && !names.contains(&"none");
    let known: Vec<Option<&str>> = words
        .iter()
        .map(|word| {
            let exact = look.choices().iter().find(|choice| choice.name == word.value || choice.words == word.value);
            exact.map(|choice| choice.name.as_str()).or_else(|| nearest(&word.value, names.iter().copied()))
        })
        .collect();
    let asked = if none { Some(names) } else { known.into_iter().collect() };
    let Some(asked) = asked else { return diagnostic.help(usage(look)) };
    let not = if none != not { "not " } else { "" };
    let text = match asked[..] {
        [only] => format!("{not}{path} has {only}"),
        _ => format!("{not}{path} has any of {}", asked.join(", ")),
    };
    diagnostic.help(format!("Write `{text}`.")).fix(format!("Write `{text}`"), false, span, text)
}

/// `LOOK has a`, `LOOK has any of a, b`.
pub fn has(scope: &Scope, path: &[Spanned<String>], words: &[Spanned<String>], span: Span) -> Option<Condition> {
    let at = scope.sink.keep(scope.look_at(path))?;
    let look = look_of(scope, at)?;
    if !matches!(look.kind, LookKind::SomeOf(_)) {
        return wrong_test(scope, look, span);
    }
    let choices = choices_of(scope, at.look, look, words)?;
    Some(Condition::Test(Test::HasAny { look: at, choices }, span))
}

fn look_of<'a>(scope: &Scope<'a>, at: LookAt) -> Option<&'a Look> {
    scope.look(at.look)
}

fn wrong_test(scope: &Scope, look: &Look, span: Span) -> Option<Condition> {
    let says = format!("`{}` is {}, and is not asked like this.", look.name, kind_words(look));
    scope.sink.push(Diagnostic::error("wrong-test", span, says).label(kind_words(look)).help(usage(look)));
    None
}

/// The numbers of choices of a look, given by its number; every unknown one is reported.
pub fn choices_of(scope: &Scope, id: LookId, look: &Look, words: &[Spanned<String>]) -> Option<Vec<usize>> {
    let mut found: Vec<usize> = Vec::new();
    for word in words {
        let index = match look.kind {
            LookKind::YesNo => ["no", "yes"].iter().position(|answer| *answer == word.value),
            _ => look.choices().iter().position(|choice| choice.name == word.value),
        };
        if let Some(index) = index.filter(|_| !matches!(look.kind, LookKind::YesNo)) {
            scope.names.notes.uses(word.span, Target::choice(id, index));
        }
        match index {
            Some(index) if found.contains(&index) => {
                let says = format!("`{}` stands here twice.", word.value);
                scope.sink.push(Diagnostic::error("name-twice", word.span, says).help("Take one of them out."));
                return None;
            }
            Some(index) => found.push(index),
            None => scope.sink.push(unknown_choice(look, word)),
        }
    }
    (found.len() == words.len()).then_some(found)
}

fn unknown_choice(look: &Look, word: &Spanned<String>) -> Diagnostic {
    if matches!(look.kind, LookKind::YesNo) {
        let says = format!("`{}` is yes or no, and never `{}`.", look.name, word.value);
        return Diagnostic::error("unknown-choice", word.span, says)
            .label("not an answer")
            .help("Write yes or no, or the look alone for yes.");
    }
    let by_words = look.choices().iter().find(|choice| choice.words == word.value);
    let mut diagnostic =
        unknown(word, &format!("choice of `{}` is", look.name), look.choices().iter().map(|choice| choice.name.as_str()));
    diagnostic.slug = "unknown-choice";
    match by_words {
        Some(Choice { name, .. }) => {
            diagnostic.fixes.clear();
            diagnostic.help(format!("Write its name, `{name}`.")).fix(format!("Write `{name}`"), true, word.span, name.clone())
        }
        None => diagnostic,
    }
}

fn kind_words(look: &Look) -> &'static str {
    match look.kind {
        LookKind::YesNo => "a yes or no",
        LookKind::OneOf(_) => "a choice of one",
        LookKind::SomeOf(_) => "a choice of several",
        LookKind::Measured { .. } => "a measurement",
        LookKind::Counted { .. } => "a count",
        LookKind::Priced { .. } => "a price",
        LookKind::Dated => "a date",
        LookKind::Written => "free text, which is never tested",
    }
}

/// How a look of this kind is tested.
fn usage(look: &Look) -> String {
    let name = &look.name;
    let first = look.choices().first().map_or("", |choice| choice.name.as_str());
    match &look.kind {
        LookKind::YesNo => format!("Write `{name}` alone, or `{name} is no`."),
        LookKind::OneOf(_) => format!("Write `{name} is {first}`, or `{name} is one of …`."),
        LookKind::SomeOf(_) => format!("Write `{name} has {first}`, or `{name} has any of …`."),
        LookKind::Measured { unit, .. } => {
            format!("Write `{name} is above …`, `below`, `at least`, `at most` or `from … to …`, in {unit}.")
        }
        LookKind::Counted { .. } | LookKind::Priced { .. } => {
            format!("Write `{name} is above …`, `below`, `at least`, `at most` or `from … to …`.")
        }
        LookKind::Dated => format!("Write `{name} is none`, or compare it with another date."),
        LookKind::Written => "Take the test out, or give the look choices.".to_owned(),
    }
}

/// `left is above right` and its kin.
pub fn compare(
    scope: &Scope,
    comparison: Comparison,
    left: Option<Typed>,
    right: Option<Typed>,
    span: Span,
) -> Option<Condition> {
    let (left, right) = (left?, right?);
    let fits = comparable(scope, &left, &right);
    let single = one_ended(scope, &left);
    (fits && single).then_some(Condition::Test(Test::Compare(comparison, left.value, right.value), span))
}

/// `value is from low to high`.
pub fn between(scope: &Scope, value: Option<Typed>, low: Option<Typed>, high: Option<Typed>, span: Span) -> Option<Condition> {
    let value = value?;
    let single = one_ended(scope, &value);
    let (low, high) = (low?, high?);
    let high_fits = comparable(scope, &value, &high);
    // A unit that lacks at both ends is one mistake.
    let both_bare = low.bare().is_some() && high.bare().is_some();
    let fits = [(high_fits || !both_bare) && comparable(scope, &value, &low), high_fits];
    if let (Value::Number(from), Value::Number(to)) = (&low.value, &high.value)
        && from > to
        && fits == [true, true]
    {
        let says = "This range goes from the greater to the lesser.";
        scope.sink.push(Diagnostic::error("range-backward", low.span.to(high.span), says).help("Write the lesser end first."));
        return None;
    }
    (single && fits == [true, true]).then_some(Condition::Test(Test::Between(value.value, low.value, high.value), span))
}

/// Whether the left side has one end; a range is what a value is held against.
fn one_ended(scope: &Scope, left: &Typed) -> bool {
    if left.ranged {
        scope.sink.push(
            Diagnostic::error("range-on-the-left", left.span, "A range stands before `is`, and one value belongs there.")
                .label("two ends")
                .help("Turn the comparison round, so that the range stands after it."),
        );
    }
    !left.ranged
}

/// Whether the two sides are quantities of the same kind; says what is wrong where they are not.
fn comparable(scope: &Scope, left: &Typed, right: &Typed) -> bool {
    if left.dimension == right.dimension {
        return true;
    }
    let diagnostic = match (left.bare(), right.bare()) {
        (None, Some(_)) => what(scope, right, left),
        (Some(_), None) => what(scope, left, right),
        _ => {
            let says = format!("{} cannot be compared with {}.", upper(&left.dimension.to_string()), right.dimension);
            Diagnostic::error("unit-mismatch", right.span, says)
                .label(right.dimension.to_string())
                .place(left.span, left.dimension.to_string())
                .help(like_help(left.dimension, right.dimension))
        }
    };
    scope.sink.push(diagnostic);
    false
}

/// A bare number held against a quantity.
fn what(scope: &Scope, bare: &Typed, other: &Typed) -> Diagnostic {
    let subject = match &other.value {
        Value::Look(at) => look_of(scope, *at).map(|look| format!("`{}`", look.name)),
        Value::Last(at) => look_of(scope, *at).map(|look| format!("`last {}`", look.name)),
        _ => None,
    };
    let subject = subject.as_deref().unwrap_or("What it is compared with");
    unit_missing(bare, subject, other.dimension, own_unit(scope, other)).place(other.span, other.dimension.to_string())
}

/// A bare number where a quantity of `dimension` belongs, with the unit to add where one is known.
pub fn unit_missing(bare: &Typed, subject: &str, dimension: Dimension, unit: Option<Unit>) -> Diagnostic {
    let number = bare.bare().unwrap_or_default();
    let (first, rest) = subject.split_at_checked(1).unwrap_or((subject, ""));
    let says = format!("{number} has no unit, and {}{rest} is {dimension}.", first.to_ascii_lowercase());
    let diagnostic = Diagnostic::error("unit-missing", bare.span, says).label("no unit");
    let Some(unit) = unit else { return diagnostic.help(like_help(dimension, bare.dimension)) };
    let text = format!("{number} {unit}");
    if let (Dimension::PERCENT, Value::Number(share)) = (dimension, &bare.value)
        && Number::from_integer(0) < *share
        && *share < Number::from_integer(1)
    {
        let whole = format!("{} {unit}", format_decimal(*share * Number::from_integer(100)));
        return diagnostic.help(format!("Write `{whole}` if a share of one is meant, and `{text}` if not.")).fix(
            format!("Write `{whole}`"),
            false,
            bare.span,
            whole,
        );
    }
    let only_one = matches!(dimension, Dimension::PERCENT | Dimension::ANGLE | Dimension::MONEY);
    diagnostic.help(format!("Write `{text}`.")).fix(format!("Write `{text}`"), only_one, bare.span, text)
}

/// Whether `subject` is of the dimension it must have; says so where it is not.
pub fn must_be(scope: &Scope, typed: &Typed, dimension: Dimension, subject: &str) -> bool {
    if typed.dimension == dimension {
        return true;
    }
    scope.sink.push(if typed.bare().is_some() {
        unit_missing(typed, subject, dimension, base_unit(scope, dimension))
    } else {
        let says = format!("{subject} is {dimension}, and {} stands here.", typed.dimension);
        Diagnostic::error("unit-mismatch", typed.span, says)
            .label(typed.dimension.to_string())
            .help(like_help(dimension, typed.dimension))
    });
    false
}

/// The unit in which the other side is written: a look's own, else the base unit.
fn own_unit(scope: &Scope, other: &Typed) -> Option<Unit> {
    if let Value::Look(at) | Value::Last(at) = &other.value
        && let Some(LookKind::Measured { unit, .. }) = look_of(scope, *at).map(|look| &look.kind)
    {
        return Some(*unit);
    }
    base_unit(scope, other.dimension)
}

/// The unit most often written for a dimension.
fn base_unit(scope: &Scope, dimension: Dimension) -> Option<Unit> {
    match dimension {
        Dimension::LENGTH => Some(Unit::Mm),
        Dimension::ANGLE => Some(Unit::Deg),
        Dimension::PERCENT => Some(Unit::Percent),
        Dimension::TIME => Some(Unit::Days),
        Dimension::MONTHS => Some(Unit::Months),
        Dimension::TEMPERATURE => Some(Unit::DegC),
        Dimension::MONEY => scope.money.map(Unit::Money),
        _ => None,
    }
}

/// `place is E`: the place in hand, of the innermost part with fixed places.
pub fn place_is(scope: &Scope, words: &[Spanned<String>], not: bool, span: Span) -> Option<Condition> {
    let Some(&part) = scope.in_hand.last() else {
        scope.sink.push(
            Diagnostic::error("no-place-in-hand", span, "`place` is the place in hand, and none is in hand here.")
                .help("Use it in a finding on each place of a part, or inside `any PART with (…)`."),
        );
        return None;
    };
    if scope.repeats(part) == Repeats::AsFound {
        let says = format!("The places of `{}` are as found, so none of them has a name.", scope.part_name(part));
        scope.sink.push(Diagnostic::error("no-places", span, says).help("Give the part a look that says where it is."));
        return None;
    }
    let places: Vec<PlaceId> = words.iter().filter_map(|word| scope.sink.keep(scope.names.place(part, word))).collect();
    (places.len() == words.len()).then_some(Condition::Test(Test::PlaceIs { part, places, not }, span))
}

/// `total urgency is …`, `total tier is …`.
pub fn total(scope: &Scope, total: Total, not: bool, test: &LadderTest, span: Span) -> Option<Condition> {
    totals_allowed(scope, span)?;
    match total {
        Total::Urgency => {
            let find = |name: &Spanned<String>| scope.names.step(name).map(StepId::index);
            let rungs = rungs(scope, test, scope.names.steps.len(), &find)?;
            Some(any_rung(rungs, not, span, |(from, to)| Test::TotalUrgency {
                from: StepId::from_index(from),
                to: StepId::from_index(to),
                not,
            }))
        }
        Total::Tier => {
            let find = |name: &Spanned<String>| scope.names.tier(name).map(TierId::index);
            let rungs = rungs(scope, test, scope.names.tiers.len(), &find)?;
            Some(any_rung(rungs, not, span, |(from, to)| Test::TotalTier {
                from: TierId::from_index(from),
                to: TierId::from_index(to),
                not,
            }))
        }
    }
}

/// One of several stretches of a ladder; none of them where `not` is set.
fn any_rung(rungs: Vec<(usize, usize)>, not: bool, span: Span, test: impl Fn((usize, usize)) -> Test) -> Condition {
    let mut tests: Vec<Condition> = rungs.into_iter().map(|rung| Condition::Test(test(rung), span)).collect();
    match tests.pop() {
        Some(only) if tests.is_empty() => only,
        Some(last) => {
            tests.push(last);
            if not { Condition::All(tests) } else { Condition::Any(tests) }
        }
        None => Condition::Any(tests),
    }
}

/// Says that totals belong in a counsel, unless this is one.
pub fn totals_allowed(scope: &Scope, span: Span) -> Option<()> {
    if scope.totals {
        return Some(());
    }
    scope.sink.push(
        Diagnostic::error(
            "total-outside-counsel",
            span,
            "Totals are known last of all, so only the `when` of a counsel may ask for them.",
        )
        .help("Move this into a counsel."),
    );
    None
}

/// The stretches of a ladder that a test means, each from its first rung to its last.
fn rungs(
    scope: &Scope,
    test: &LadderTest,
    length: usize,
    find: &dyn Fn(&Spanned<String>) -> Result<usize, Diagnostic>,
) -> Option<Vec<(usize, usize)>> {
    let top = length.saturating_sub(1);
    match test {
        LadderTest::OneOf(names) => {
            let found: Vec<Option<usize>> = names.iter().map(|name| scope.sink.keep(find(name))).collect();
            found.into_iter().map(|at| at.map(|at| (at, at))).collect()
        }
        LadderTest::From(low, high) => {
            let (from, to) = (scope.sink.keep(find(low)), scope.sink.keep(find(high)));
            let (from, to) = (from?, to?);
            if from > to {
                let says = "This range goes down the ladder.";
                scope
                    .sink
                    .push(Diagnostic::error("range-backward", low.span.to(high.span), says).help("Write the lower one first."));
                return None;
            }
            Some(vec![(from, to)])
        }
        LadderTest::Compare(comparison, name) => {
            let at = scope.sink.keep(find(name))?;
            match comparison.value {
                Comparison::AtLeast => Some(vec![(at, top)]),
                Comparison::AtMost => Some(vec![(0, at)]),
                Comparison::Above if at < top => Some(vec![(at + 1, top)]),
                Comparison::Below if at > 0 => Some(vec![(0, at - 1)]),
                Comparison::Above | Comparison::Below => {
                    let above = comparison.value == Comparison::Above;
                    let (side, end) = if above { ("above", "last") } else { ("below", "first") };
                    let says = format!("Nothing is {side} `{}`: it is the {end} of its ladder.", name.value);
                    let side = if above { "least" } else { "most" };
                    let help = format!("Write `is at {side} {}`, or name another one.", name.value);
                    scope.sink.push(Diagnostic::error("off-the-ladder", name.span, says).help(help));
                    None
                }
            }
        }
    }
}
