//! What each look that has to do with a finding could be instead of what it is, the nearest first.

use std::collections::BTreeSet;

use num_traits::{One, Zero};
use purfle_lang::book::{Book, Condition, FindingId, LookId, LookKind, PlaceAt, RecordPath, Test, Value};
use purfle_lang::cells::{Cell, Cells};
use purfle_lang::evaluate::{InHand, Input, LookSpot, evaluate};
use purfle_lang::finite::classify::{Kind, crossings, read};
use purfle_lang::number::Number;
use purfle_lang::saying::Saying;

use super::facts::{is_sign, paths, quantified};
use super::known::{Known, Supposed, Told, path_of};
use super::trial::Trial;
use crate::judge::extent::whole_extent;
use crate::outcome::At;
use crate::rehearse::reads::Reads;
use crate::slice::Slice;

/// A look at a place, and all it could be.
#[derive(Debug, Clone)]
pub struct Move {
    /// The look.
    pub look: LookId,
    /// Where.
    pub path: RecordPath,
    /// What it could be, the nearest to what is known of it first.
    pub values: Vec<Could>,
    /// Whether what is listed surely stands for all it could be.
    pub surely: bool,
    /// Whether the record says something of it that narrows it.
    pub told: bool,
}

/// Something that a look could be: all of it comes out the same.
#[derive(Debug, Clone, PartialEq)]
pub struct Could {
    /// One saying that stands for it.
    pub saying: Saying,
    /// The stretch of numbers or days that it stands for, and its number among the stretches in order.
    pub stretch: Option<(usize, Stretch)>,
    /// Whether the record leaves it possible.
    pub possible: bool,
    /// Whether it is all that the record says already.
    pub same: bool,
}

/// A stretch of numbers or days; none at an end where it goes as far as the look does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// From here on.
    pub low: Option<End>,
    /// Up to here.
    pub high: Option<End>,
}

/// An end of a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct End {
    /// The number or day.
    pub at: Number,
    /// Whether it belongs to the stretch itself.
    pub included: bool,
}

/// How far a stretch lies from what was written down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Distance {
    /// How far, in the base unit; nought where it begins there.
    pub by: Number,
    /// Whether it lies above.
    pub more: bool,
    /// Whether it has to be more than that, be it ever so little.
    pub beyond: bool,
}

impl Stretch {
    /// What of it lies between two numbers or days, both included.
    pub fn within(self, (low, high): (Number, Number)) -> Self {
        let from = End { at: low, included: true };
        let to = End { at: high, included: true };
        Self {
            low: Some(self.low.filter(|end| end.at >= low).unwrap_or(from)),
            high: Some(self.high.filter(|end| end.at <= high).unwrap_or(to)),
        }
    }

    /// How far it lies from a number or stretch; none where they share something.
    pub fn from(self, (low, high): (Number, Number)) -> Option<Distance> {
        if let Some(end) = self.low
            && (end.at > high || (end.at == high && !end.included))
        {
            return Some(Distance { by: end.at - high, more: true, beyond: !end.included });
        }
        let end = self.high.filter(|end| end.at < low || (end.at == low && !end.included))?;
        Some(Distance { by: low - end.at, more: false, beyond: !end.included })
    }
}

/// Every look that has to do with whether a finding holds, with all it could be: first those of the part at hand, last
/// those of the context.
pub fn moves(known: Known<'_>, slice: &Slice, finding: FindingId, at: At, trial: &mut Trial) -> Vec<Move> {
    let book = known.book;
    let on = book[finding].on;
    let mut looks: Vec<LookId> = slice.looks.iter().copied().filter(|look| is_sign(&book[*look].kind)).collect();
    looks.sort_by_key(|look| (book[*look].part != on, book[book[*look].part].context, *look));
    let only_here = only_here(book, slice, finding);
    let mut moves = Vec::new();
    for look in looks {
        for path in paths(book, known.record, book[look].part) {
            if only_here && book[look].part == on && path_of(at).is_some_and(|here| here != path) {
                continue;
            }
            moves.extend(one(known, slice, finding, at, (look, path), trial));
        }
    }
    moves
}

/// Whether a finding on each place of its part reads no other place of it.
fn only_here(book: &Book, slice: &Slice, finding: FindingId) -> bool {
    let on = book[finding].on;
    let mut reads = Reads::default();
    let mut counted = BTreeSet::new();
    let mut take = |condition: &Condition| {
        reads.condition(book, condition);
        quantified(condition, &mut counted);
    };
    slice.book[finding].unless.iter().chain([&slice.book[finding].signs]).for_each(&mut take);
    slice.looks.iter().for_each(|look| book[*look].only_when.iter().for_each(&mut take));
    slice.looks.iter().map(|look| &book[book[*look].part]).for_each(|part| {
        part.only_when.iter().chain(part.fixed_places().iter().flat_map(|place| &place.only_when)).for_each(&mut take);
    });
    let elsewhere = |at: &&purfle_lang::book::LookAt| book[at.look].part == on && at.place != PlaceAt::Here;
    book[finding].each
        && reads.found.is_empty()
        && !counted.contains(&on)
        && !reads.looks.iter().chain(&reads.keys).any(|at| elsewhere(&at))
}

fn one(
    known: Known<'_>,
    slice: &Slice,
    finding: FindingId,
    at: At,
    (look, path): (LookId, RecordPath),
    trial: &mut Trial,
) -> Option<Move> {
    let kind = &known.book[look].kind;
    let said = known.saying(look, path);
    let (values, surely) = match kind {
        LookKind::Written => return None,
        LookKind::YesNo => (choices(2, said.as_ref()), true),
        LookKind::OneOf(named) => (choices(named.len(), said.as_ref()), true),
        LookKind::SomeOf(_) => {
            let read = trial.judge.read_choices(known.record, look, path);
            sets(&read, said.as_ref())
        }
        LookKind::Measured { .. } | LookKind::Counted { .. } | LookKind::Priced { .. } | LookKind::Dated => {
            let mut cuts: Vec<Number> = Vec::new();
            if let Some(cells) = trial.judge.cells(known.record, look, path) {
                cuts.extend(cells.iter().filter_map(|cell| if let Cell::Point(at) = cell { Some(at) } else { None }));
            }
            let surely = cut_by_others(known, slice, finding, at, (look, path), &mut cuts);
            if !surely {
                grid(kind, &mut cuts);
            }
            (stretches(known, look, path, &cuts, surely), surely)
        }
    };
    let told = !matches!(known.told(look, path), Told::NotLookedAt | Told::Written(_, Saying::CouldNotTell));
    Some(Move { look, path, values, surely, told })
}

fn choices(count: usize, said: Option<&Saying>) -> Vec<Could> {
    let now: Option<&Vec<usize>> = if let Some(Saying::OneOf(now)) = said { Some(now) } else { None };
    let value = |choice: usize| Could {
        saying: Saying::OneOf(vec![choice]),
        stretch: None,
        possible: now.is_none_or(|now| now.contains(&choice)),
        same: now.is_some_and(|now| now[..] == [choice]),
    };
    (0..count).map(value).collect()
}

/// The most choices of a `some of` look of which all combinations are tried.
const MOST_CHOICES: usize = 6;

fn sets(read: &[usize], said: Option<&Saying>) -> (Vec<Could>, bool) {
    let now: Option<&Vec<usize>> = if let Some(Saying::Exactly(now)) = said { Some(now) } else { None };
    let whole = read.len() <= MOST_CHOICES;
    let turned: Vec<u32> = match whole {
        true => (0..1_u32 << read.len()).collect(),
        false => std::iter::once(0).chain((0..read.len().min(31)).map(|at| 1 << at)).collect(),
    };
    let value = |turned: u32| {
        let mut set: Vec<usize> = now.cloned().unwrap_or_default();
        for (_, choice) in read.iter().enumerate().filter(|(at, _)| turned >> at & 1 == 1) {
            match set.iter().position(|known| known == choice) {
                Some(there) => drop(set.remove(there)),
                None => set.push(*choice),
            }
        }
        set.sort_unstable();
        let same = now.is_some() && turned == 0;
        (turned.count_ones(), Could { saying: Saying::Exactly(set), stretch: None, possible: now.is_none() || same, same })
    };
    let mut values: Vec<(u32, Could)> = turned.into_iter().map(value).collect();
    values.sort_by_key(|(changed, _)| *changed);
    (values.into_iter().map(|(_, value)| value).collect(), whole)
}

/// About so many limits are laid over a look of which not all limits are known.
const GRID: i128 = 100;

/// Adds round limits all over a look: what is worked out of several measures has no limits of its own.
fn grid(kind: &LookKind, cuts: &mut Vec<Number>) {
    let (LookKind::Measured { .. } | LookKind::Priced { .. }, Some((from, to))) = (kind, whole_extent(kind).ends) else { return };
    let ten = Number::from_integer(10);
    let wanted = (to - from) / Number::from_integer(GRID);
    if wanted <= Number::zero() {
        return;
    }
    let mut step = Number::one();
    while step > wanted {
        step /= ten;
    }
    while step * ten <= wanted {
        step *= ten;
    }
    let rounder = [1, 2, 5, 10].map(|times| step * Number::from_integer(times));
    let Some(step) = rounder.into_iter().find(|step| *step >= wanted) else { return };
    let first = (from / step).ceil().to_integer();
    let last = (to / step).floor().to_integer();
    cuts.extend((first..=last).take(2 * GRID as usize).map(|at| step * Number::from_integer(at)));
}

fn stretches(known: Known<'_>, look: LookId, path: RecordPath, cuts: &[Number], surely: bool) -> Vec<Could> {
    let kind = &known.book[look].kind;
    let cells = Cells::of(&known.book[look], cuts);
    let Some((from, to)) = whole_extent(kind).ends else { return Vec::new() };
    let extent = known.extent(look, path);
    let within =
        |at: usize| extent.is_none_or(|extent| extent.ends.is_some_and(|(low, high)| cells.within(low, high).contains(&at)));
    let now = known.stretch(look, path);
    let dated = matches!(kind, LookKind::Dated);
    let whole = dated || matches!(kind, LookKind::Counted { .. });
    let mut values: Vec<((Number, bool), Could)> = Vec::new();
    for (at, cell) in cells.iter().enumerate() {
        let stretch = match cell {
            Cell::Choice(_) => continue,
            Cell::NoDate => {
                let same = known.saying(look, path) == Some(Saying::NoDate);
                let possible = extent.is_none_or(|extent| extent.nothing);
                values.push(((Number::zero(), false), Could { saying: Saying::NoDate, stretch: None, possible, same }));
                continue;
            }
            Cell::Point(number) => Stretch { low: included(number, from), high: included(number, to) },
            // Whole numbers and days have a first and a last one in every stretch.
            Cell::Between(low, high) if whole => {
                Stretch { low: included(low.floor() + Number::one(), from), high: included(high.ceil() - Number::one(), to) }
            }
            Cell::Between(low, high) => Stretch {
                low: (low >= from).then_some(End { at: low, included: false }),
                high: (high <= to).then_some(End { at: high, included: false }),
            },
        };
        let Some(sample) = cells.sample(at) else { continue };
        // Where a sample does not stand for its stretch for certain, the whole of it is judged at once.
        let ends = (stretch.low.map_or(from, |end| end.at), stretch.high.map_or(to, |end| end.at));
        let (low, high) = if surely { (sample, sample) } else { ends };
        let day = |at: Number| i64::try_from(at.to_integer()).ok();
        let saying = match dated {
            true => Saying::DateBetween(day(low), day(high)),
            false => Saying::Between { low: Some(low), high: Some(high), reading: false },
        };
        // Of what begins equally far, what holds its beginning is nearer.
        let far = now.and_then(|now| stretch.from(now)).map_or((Number::zero(), false), |far| (far.by, far.beyond));
        // What lies within what is said is the same only where it is all of it.
        let same = extent.is_some_and(|extent| {
            !extent.nothing && extent.ends.is_some_and(|(low, high)| cells.within(low, high) == (at..at + 1))
        });
        values.push((far, Could { saying, stretch: Some((at, stretch)), possible: within(at), same }));
    }
    values.sort_by_key(|(far, value)| (*far, value.stretch.map_or(0, |(at, _)| at)));
    values.into_iter().map(|(_, value)| value).collect()
}

/// An end that belongs to its stretch; none where the look goes no further.
fn included(at: Number, bound: Number) -> Option<End> {
    (at != bound).then_some(End { at, included: true })
}

/// Adds the limits at which a look meets something else that the record brings along, as far as what is known of that
/// settles them. False where the limits may hang on other looks, so that others could be nearer.
fn cut_by_others(
    known: Known<'_>,
    slice: &Slice,
    finding: FindingId,
    at: At,
    (look, path): (LookId, RecordPath),
    cuts: &mut Vec<Number>,
) -> bool {
    let book = known.book;
    let part = book[look].part;
    let Some(spot) = known.spot(part, path) else { return false };
    let here = LookSpot { look, spot };
    let mut hand = InHand::nothing();
    if let Some(own) = path_of(at).and_then(|path| known.spot(book[finding].on, path))
        && book[finding].each
    {
        hand = hand.with(book[finding].on, own);
    }
    if spot != purfle_lang::evaluate::Spot::Single {
        hand = hand.with(part, spot);
    }
    let mut surely = true;
    each_comparison(slice, &mut |comparison, left, right| {
        let reading = read(book, comparison, left, right, &hand);
        if !reading.numbers.contains(&Input::Look(here)) {
            return;
        }
        if matches!(reading.kind, Kind::Cuts(..) | Kind::Choices) {
            return;
        }
        surely &= matches!(reading.kind, Kind::Dynamic(_));
        let sides = |number: i128| {
            let inputs = Supposed { known, look: here, number: Number::from_integer(number) };
            Some((evaluate(book, left, &hand, &inputs)?, evaluate(book, right, &hand, &inputs)?))
        };
        if let (Some(zero), Some(one)) = (sides(0), sides(1)) {
            cuts.extend(crossings(zero, one));
        }
    });
    surely
}

/// Calls `tell` for every comparison that decides whether a finding of the slice holds.
fn each_comparison(slice: &Slice, tell: &mut impl FnMut(purfle_lang::book::Comparison, &Value, &Value)) {
    let book = &slice.book;
    for finding in &book.findings {
        std::iter::once(&finding.signs).chain(&finding.unless).for_each(|condition| comparisons(condition, tell));
    }
    for look in &slice.looks {
        book[*look].only_when.iter().for_each(|condition| comparisons(condition, tell));
    }
    for part in &book.parts {
        part.only_when.iter().for_each(|condition| comparisons(condition, tell));
        part.fixed_places().iter().flat_map(|place| &place.only_when).for_each(|condition| comparisons(condition, tell));
    }
}

fn comparisons(condition: &Condition, tell: &mut impl FnMut(purfle_lang::book::Comparison, &Value, &Value)) {
    use purfle_lang::book::Comparison::{AtLeast, AtMost};
    match condition {
        Condition::All(all) | Condition::Any(all) | Condition::AtLeast(_, all) => {
            all.iter().for_each(|one| comparisons(one, tell))
        }
        Condition::Not(inner) | Condition::Places { with: inner, .. } => comparisons(inner, tell),
        Condition::Test(Test::Compare(comparison, left, right), _) => tell(*comparison, left, right),
        Condition::Test(Test::Between(value, low, high), _) => {
            tell(AtLeast, value, low);
            tell(AtMost, value, high);
        }
        Condition::Test(..) | Condition::Found(..) => {}
    }
}
