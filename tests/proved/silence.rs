//! What a book passes over in silence and what no reading of a look can clear, seen value by value.

use std::collections::BTreeSet;

use purfle_lang::book::{Book, Condition, Good, LookAt, LookId, LookKind, PartId, PlaceAt, RowKey, TableKey, Test, Value};
use purfle_lang::number::Number;
use purfle_lang::span::Span;

use super::facts::is_good;
use crate::by_cases::case::{Case, InHand, View};
use crate::by_cases::lines::Cuts;
use crate::by_cases::samples::Answer;
use crate::by_cases::scene::Slot;
use crate::by_cases::walk::{all_read, amounts, conditions, nested, read_by};

/// What was seen.
#[derive(Debug, Default)]
pub struct Silence {
    /// Looks that applied somewhere.
    pub apply: BTreeSet<LookId>,
    /// Looks of numbers that showed what is not good, beyond a reading error of what is, while no test of them
    /// was met.
    pub stretches: BTreeSet<LookId>,
    /// Tests in signs that some value of their look clears, but no reading of it.
    pub too_fine: BTreeSet<Span>,
}

impl Silence {
    /// Looks of which something is passed over.
    pub fn of(&self, book: &Book) -> BTreeSet<LookId> {
        let (read, named) = (all_read(book), named_choices(book));
        let silent = |look: &LookId| {
            read[look.index()] && (0..book[*look].choices().len()).any(|choice| !named.contains(&(*look, choice)))
        };
        self.apply.iter().copied().filter(silent).chain(self.stretches.iter().copied()).collect()
    }

    /// Adds what one case shows. A test that is asked of each crack speaks also where there is none, so what is asked is
    /// seen where each part has a place.
    pub fn see(&mut self, case: &Case<'_>, cuts: &Cuts) {
        if case.scene.spots.iter().any(Vec::is_empty) {
            return;
        }
        let (mut asked, mut met) = (BTreeSet::new(), BTreeSet::new());
        every_test(case, &mut |condition, not, view, there| {
            let holds = there && case.met(condition, not, view);
            for slot in slots(case, condition, view) {
                asked.insert(slot);
                if holds {
                    met.insert(slot);
                }
            }
        });
        for (at, slot) in case.scene.slots.iter().enumerate() {
            if !case.look_applies(slot.look, slot.place) {
                continue;
            }
            self.apply.insert(slot.look);
            let Answer::Number(number) = case.answers[at] else { continue };
            let known = Stretches::of(case.book, cuts, slot);
            let limit = known.is_limit(number) && known.between;
            let silent = asked.contains(&at) && !met.contains(&at) && is_good(case, slot.look, slot.place) == Some(false);
            if silent && !limit && !self.stretches.contains(&slot.look) && !near_good(case, at, &known, number) {
                self.stretches.insert(slot.look);
            }
        }
        self.readings(case, cuts);
    }

    fn readings(&mut self, case: &Case<'_>, cuts: &Cuts) {
        let mut too_fine = BTreeSet::new();
        for finding in &case.book.findings {
            for place in case.places_of(finding) {
                let here = InHand::new(finding.on, place, None);
                tests(
                    case,
                    &finding.signs,
                    false,
                    case.view_of(finding, place, &here),
                    true,
                    &mut |condition, not, view, there| {
                        let Condition::Test(_, span) = condition else { return };
                        let first = |at: &usize| case.scene.slots[*at].answers.first() == Some(&case.answers[*at]);
                        for at in slots(case, condition, view).into_iter().filter(first) {
                            let known = Stretches::of(case.book, cuts, &case.scene.slots[at]);
                            let answers = &case.scene.slots[at].answers;
                            let row: Vec<(Number, bool)> = answers
                                .iter()
                                .filter_map(|answer| {
                                    let Answer::Number(number) = answer else { return None };
                                    Some((*number, there && with(case, at, *answer).met(condition, not, view)))
                                })
                                .collect();
                            if row.iter().any(|(_, met)| *met) && known.never_clear(&row) {
                                too_fine.insert(*span);
                            }
                        }
                    },
                );
            }
        }
        self.too_fine.extend(too_fine);
    }
}

/// The case with another answer to one of its looks.
fn with<'a>(case: &Case<'a>, at: usize, answer: Answer) -> Case<'a> {
    let mut answers = case.answers.clone();
    answers[at] = answer;
    Case::new(case.book, case.scene, answers, case.inspected_on)
}

/// Whether the whole stretch a value lies in is within a reading error of what is good.
fn near_good(case: &Case<'_>, at: usize, known: &Stretches, number: Number) -> bool {
    let Some(error) = known.error else { return false };
    let (low, high) = known.around(number);
    let slot = &case.scene.slots[at];
    slot.answers.iter().any(|answer| {
        let Answer::Number(other) = answer else { return false };
        let (from, to) = known.around(*other);
        (high - to).max(from - low) <= error && is_good(&with(case, at, *answer), slot.look, slot.place) == Some(true)
    })
}

/// The values of a look of numbers, cut into limits and the stretches between them.
struct Stretches {
    cuts: Vec<Number>,
    range: Option<(Number, Number)>,
    error: Option<Number>,
    /// Whether there is always a value between two others.
    between: bool,
}

impl Stretches {
    fn of(book: &Book, cuts: &Cuts, slot: &Slot) -> Self {
        let cuts = cuts.points((slot.look, false));
        let (range, error, between) = match book[slot.look].kind {
            LookKind::Measured { from, to, give_or_take, .. } => (Some((from, to)), give_or_take, true),
            LookKind::Priced { from, to } => (Some((from, to)), None, true),
            _ => (None, None, false),
        };
        Self { cuts, range, error, between }
    }

    fn is_limit(&self, number: Number) -> bool {
        self.cuts.contains(&number)
    }

    /// The ends of the stretch in which a value lies; of a limit, itself.
    fn around(&self, number: Number) -> (Number, Number) {
        if self.is_limit(number) {
            return (number, number);
        }
        let (from, to) = self.range.unwrap_or((number, number));
        let low = self.cuts.iter().copied().filter(|cut| *cut < number).max().unwrap_or(from);
        let high = self.cuts.iter().copied().filter(|cut| *cut > number).min().unwrap_or(to);
        (low.max(from), high.min(to))
    }

    /// Whether some value does not meet a test, but every reading may still be of one that does.
    fn never_clear(&self, row: &[(Number, bool)]) -> bool {
        let (Some(error), Some((from, to))) = (self.error, self.range) else { return false };
        let mut readings: Vec<Number> = self.cuts.iter().flat_map(|cut| [*cut - error, *cut + error]).chain([from, to]).collect();
        readings.retain(|reading| *reading >= from && *reading <= to);
        readings.sort_unstable();
        let between: Vec<Number> = readings.windows(2).map(|two| (two[0] + two[1]) / Number::from_integer(2)).collect();
        readings.extend(between);
        let clears = |reading: &Number| {
            let (low, high) = ((*reading - error).max(from), (*reading + error).min(to));
            row.iter().all(|(number, met)| {
                let (start, end) = self.around(*number);
                let meets = if start == end { low <= start && start <= high } else { low < end && start < high };
                !(meets && *met)
            })
        };
        row.iter().any(|(_, met)| !met) && !readings.iter().any(clears)
    }
}

/// The looks of the case that a single test names.
fn slots(case: &Case<'_>, condition: &Condition, view: View<'_>) -> Vec<usize> {
    let mut slots = Vec::new();
    read_by(case.book, condition, &mut |at: LookAt| {
        let place = match at.place {
            PlaceAt::Single => Some(0),
            PlaceAt::Fixed(place) => Some(place.index()),
            PlaceAt::Here => view.place_of(case.book[at.look].part),
        };
        slots.extend(place.and_then(|place| case.scene.slot(at.look, place, false)));
    });
    slots
}

/// Hears of a test: the test, whether a `not` turns it round, what it is asked with, and whether its place is there.
type Tell<'t> = &'t mut dyn FnMut(&Condition, bool, View<'_>, bool);

/// Every single test of the book, at each place at which it is asked.
fn every_test(case: &Case<'_>, tell: Tell<'_>) {
    let book = case.book;
    for finding in &book.findings {
        for place in case.places_of(finding) {
            let here = InHand::new(finding.on, place, None);
            let view = case.view_of(finding, place, &here);
            let lines = finding.urgency.iter().filter_map(|line| line.when.as_ref());
            for condition in std::iter::once(&finding.signs).chain(&finding.unless).chain(lines) {
                tests(case, condition, false, view, true, tell);
            }
        }
    }
    let whole = book.counsels.iter().map(|counsel| &counsel.when).chain(book.aids.iter().filter_map(|aid| aid.who.as_ref()));
    whole.for_each(|condition| tests(case, condition, false, View::default(), true, tell));
    for part in (0..book.parts.len()).map(PartId::from_index) {
        let raises: Vec<&Condition> =
            book.raises.iter().filter(|raise| raise.on.contains(&part)).map(|raise| &raise.when).collect();
        let looks = book[part].looks.iter().filter_map(|look| book[*look].only_when.as_ref());
        let own: Vec<&Condition> = raises.into_iter().chain(&book[part].only_when).chain(looks).collect();
        for place in 0..case.scene.spots[part.index()].len() {
            let here = InHand::new(part, place, None);
            let view = View { hand: Some(&here), ..View::default() };
            let of_place = book[part].fixed_places().get(place).and_then(|place| place.only_when.as_ref());
            own.iter().copied().chain(of_place).for_each(|condition| tests(case, condition, false, view, true, tell));
        }
    }
}

fn tests(case: &Case<'_>, condition: &Condition, not: bool, view: View<'_>, there: bool, tell: Tell<'_>) {
    match condition {
        Condition::All(inner) | Condition::Any(inner) | Condition::AtLeast(_, inner) => {
            inner.iter().for_each(|condition| tests(case, condition, not, view, there, tell));
        }
        Condition::Not(inner) => tests(case, inner, !not, view, there, tell),
        Condition::Test(..) | Condition::Found(..) => tell(condition, not, view, there),
        Condition::Places { part, with, .. } => {
            for place in 0..case.scene.spots[part.index()].len() {
                let here = InHand::new(*part, place, view.hand);
                let there = there && case.place_applies(*part, place);
                tests(case, with, false, View { hand: Some(&here), ..view }, there, tell);
            }
        }
    }
}

/// Every choice that a condition, a table or a `good` names.
fn named_choices(book: &Book) -> BTreeSet<(LookId, usize)> {
    let mut named = BTreeSet::new();
    let all = |look: LookId| (0..book[look].choices().len()).collect::<Vec<_>>();
    let mut values: Vec<&Value> = amounts(book);
    for condition in conditions(book) {
        nested(condition, &mut |inner| match inner {
            Condition::Test(Test::IsOneOf { look, choices, not }, _) => {
                let every = *not || matches!(book[look.look].kind, LookKind::YesNo);
                let choices = if every { all(look.look) } else { choices.clone() };
                named.extend(choices.into_iter().map(|choice| (look.look, choice)));
            }
            Condition::Test(Test::HasAny { look, choices }, _) => {
                named.extend(choices.iter().map(|choice| (look.look, *choice)));
            }
            Condition::Test(Test::Compare(_, one, two), _) => values.extend([one, two]),
            Condition::Test(Test::Between(one, two, three), _) => values.extend([one, two, three]),
            _ => {}
        });
    }
    for (at, look) in book.looks.iter().enumerate() {
        match &look.good {
            Some(Good::Choices(choices)) => named.extend(choices.iter().map(|choice| (LookId::from_index(at), *choice))),
            Some(Good::Range(value)) => values.push(value),
            _ => {}
        }
    }
    while let Some(value) = values.pop() {
        match value {
            Value::Table(table) => {
                for (column, key) in book[*table].keys.iter().enumerate() {
                    let TableKey::Look(at) = key else { continue };
                    for row in &book[*table].rows {
                        match row.keys[column] {
                            RowKey::Is(choice) => named.extend([(at.look, choice)]),
                            RowKey::Any => named.extend(all(at.look).into_iter().map(|choice| (at.look, choice))),
                        }
                    }
                }
                values.extend(book[*table].rows.iter().map(|row| &row.value));
            }
            Value::Reckon(reckon) => values.push(&book[*reckon].value),
            Value::Arithmetic(_, one, two) | Value::Lower(one, two) | Value::Higher(one, two) | Value::DaysFrom(one, two) => {
                values.extend([&**one, &**two]);
            }
            Value::Negative(inner) => values.push(inner),
            Value::Formula(_, arguments) => values.extend(arguments),
            Value::Look(_) | Value::Last(_) | Value::Number(_) | Value::Range(..) | Value::Date(_) => {}
            Value::InspectedOn | Value::TotalCost => {}
        }
    }
    named
}
