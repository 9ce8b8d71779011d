//! What holds where, over all cases of the records of which nothing is written but how many places as found there are.

use std::collections::{BTreeMap, BTreeSet};

use purfle::record::{Entry, Record};
use purfle_lang::book::{Book, Condition, Finding, Good, LookId, PartId, Places, RecordPath, Value};
use purfle_lang::span::Span;

use super::definitions::{Reads, reads, same_look_amiss, yields};
use super::silence::Silence;
use crate::by_cases::case::{Case, InHand, Place, View};
use crate::by_cases::lines::Cuts;
use crate::by_cases::samples::Answer;
use crate::by_cases::scene::scenes;
use crate::by_cases::walk::nested;
use crate::written::brings;

/// The most places as found that are gone through.
const MOST_PLACES: u32 = 2;

/// What was seen of one finding.
#[derive(Debug, Default)]
pub struct OfFinding {
    /// Its place was there.
    pub there: bool,
    /// It was there and did not hold.
    pub fails: bool,
    /// It held.
    pub holds: bool,
    /// Its signs were met.
    pub signs: bool,
    /// That `unless` was met where the signs were.
    pub unless: BTreeSet<usize>,
    /// The sets of urgency lines that counted together, one bit each.
    pub lines: BTreeSet<u64>,
    /// Single tests that were met.
    pub met: BTreeSet<Span>,
    /// Single tests that were asked where the finding could be, and not met.
    pub unmet: BTreeSet<Span>,
    /// All that were asked where the finding could be.
    pub asked: BTreeSet<Span>,
    /// The sets of graver findings that held beside it, one bit each.
    pub graver: BTreeSet<u64>,
    /// The findings, written later, with which it disagreed about a look that was amiss.
    pub disagrees: BTreeSet<usize>,
}

/// All that was seen.
#[derive(Debug, Default)]
pub struct Facts {
    /// Whether the cases stand for all there are.
    pub complete: bool,
    /// Of each finding.
    pub findings: Vec<OfFinding>,
    /// Conditions that stand by themselves (`when`, `for`, `only when`) and were met, by where they stand.
    pub met: BTreeSet<Span>,
    /// Of each choice of the surroundings, the findings that held at a place in every case in which all else was good.
    pub good: BTreeMap<Vec<Answer>, BTreeSet<(usize, Place)>>,
    /// What is passed over in silence.
    pub silence: Silence,
}

/// Goes through all cases; none where they are too many.
pub fn facts(book: &Book, text: &str, most: usize) -> Option<Facts> {
    let cuts = Cuts::of(book, None);
    let complete = cuts.complete && !cuts.any_linked() && !brings(text);
    let mut facts = Facts { complete, ..Facts::default() };
    facts.findings.resize_with(book.findings.len(), OfFinding::default);
    let reads = Reads::of(book);
    let records = records(book);
    let all: Vec<_> = records.iter().flat_map(|record| scenes(book, record, &cuts)).collect();
    if all.iter().try_fold(0_usize, |sum, scene| sum.checked_add(scene.cases()?)).is_none_or(|cases| cases > most) {
        return None;
    }
    for scene in &all {
        for number in 0..scene.cases()? {
            let case = Case::new(book, scene, scene.answers(number), None);
            facts.see(&case, &reads);
            facts.silence.see(&case, &cuts);
        }
    }
    Some(facts)
}

/// Records that say how many places as found there are, and nothing else.
pub fn records(book: &Book) -> Vec<Record> {
    let mut records = vec![Record { id: "tried".to_owned(), ..Record::default() }];
    for part in (0..book.parts.len()).map(PartId::from_index).filter(|part| matches!(book[*part].places, Places::AsFound)) {
        let with = |record: &Record, many: u32| {
            let mut record = record.clone();
            match many {
                0 => record.entries.push(Entry::NoPlaces(part)),
                _ => record.entries.extend((1..=many).map(|place| Entry::There(part, RecordPath::Found(place)))),
            }
            record
        };
        records = records.iter().flat_map(|record| (0..=MOST_PLACES).map(move |many| with(record, many))).collect();
    }
    records
}

/// Where a condition stands, from its first word to its last.
pub fn span(condition: &Condition) -> Span {
    let mut whole: Option<Span> = None;
    nested(condition, &mut |inner| {
        if let Condition::Test(_, span) | Condition::Found(_, span) | Condition::Places { span, .. } = inner {
            whole = Some(whole.map_or(*span, |whole| whole.to(*span)));
        }
    });
    whole.unwrap_or_default()
}

impl Facts {
    fn see(&mut self, case: &Case<'_>, reads: &Reads) {
        for at in 0..case.book.findings.len() {
            for place in case.places_of(&case.book.findings[at]) {
                self.finding(case, at, place);
            }
        }
        self.conditions(case);
        self.beside(case, reads);
        self.all_good(case);
    }

    fn finding(&mut self, case: &Case<'_>, at: usize, place: usize) {
        let finding: &Finding = &case.book.findings[at];
        let applies = if finding.each { case.place_applies(finding.on, place) } else { case.part_applies(finding.on) };
        let here = InHand::new(finding.on, place, None);
        let view = case.view_of(finding, place, &here);
        let known = &mut self.findings[at];
        let signs = applies && case.met(&finding.signs, false, view);
        let mut holds = signs;
        for (index, unless) in finding.unless.iter().enumerate() {
            if signs && case.met(unless, false, view) {
                known.unless.insert(index);
                holds = false;
            }
        }
        known.there |= applies;
        known.signs |= signs;
        known.holds |= holds;
        known.fails |= applies && !holds;
        if holds {
            let counts = |(index, line): (usize, &purfle_lang::book::UrgencyLine)| {
                let met = line.when.as_ref().is_none_or(|when| case.met(when, false, view));
                if met { 1_u64 << index } else { 0 }
            };
            known.lines.insert(finding.urgency.iter().enumerate().map(counts).fold(0, |all, line| all | line));
        }
        tests(case, &finding.signs, false, view, true, &mut |span, met, there| {
            if met {
                known.met.insert(span);
            }
            if applies && there {
                known.asked.insert(span);
                if !met {
                    known.unmet.insert(span);
                }
            }
        });
    }

    fn conditions(&mut self, case: &Case<'_>) {
        let book = case.book;
        let mut mark = |condition: &Condition, met: bool| {
            if met {
                self.met.insert(span(condition));
            }
        };
        for raise in &book.raises {
            for part in &raise.on {
                for place in 0..case.scene.spots[part.index()].len() {
                    let here = InHand::new(*part, place, None);
                    let repeats = book[*part].repeats();
                    let view = View { hand: Some(&here), finding: repeats.then_some((*part, place)), totals: None };
                    mark(&raise.when, case.met(&raise.when, false, if repeats { view } else { View::default() }));
                }
            }
        }
        book.counsels.iter().for_each(|counsel| mark(&counsel.when, case.met(&counsel.when, false, View::default())));
        book.aids.iter().filter_map(|aid| aid.who.as_ref()).for_each(|who| mark(who, case.met(who, false, View::default())));
        for part in (0..book.parts.len()).map(PartId::from_index) {
            book[part].only_when.iter().for_each(|only_when| mark(only_when, case.part_applies(part)));
            for (at, place) in book[part].fixed_places().iter().enumerate() {
                place.only_when.iter().for_each(|only_when| mark(only_when, case.place_applies(part, at)));
            }
            for look in &book[part].looks {
                let Some(only_when) = &book[*look].only_when else { continue };
                let places = 0..case.scene.spots[part.index()].len();
                mark(only_when, places.into_iter().any(|place| case.look_applies(*look, place)));
            }
        }
    }

    /// What holds beside each other.
    fn beside(&mut self, case: &Case<'_>, known: &Reads) {
        let book = case.book;
        let holding = case.holding();
        for one in &holding {
            let at = one.finding.index();
            let over = holding.iter().filter(|other| {
                let graver = other.step > one.step && other.finding != one.finding;
                graver && !yields(book, at, other.finding.index()) && known.share(at, other.finding.index())
            });
            self.findings[at].graver.insert(over.fold(0, |all, other| all | 1 << other.finding.index()));
            for other in holding.iter().filter(|other| other.finding > one.finding) {
                let (first, second) = (&book[one.finding], &book[other.finding]);
                let there = other.finding.index();
                let alike = first.on == second.on && first.each == second.each && one.place == other.place;
                let disagree = first.counted_hands() != second.counted_hands() || one.step != other.step;
                if !alike || !disagree || yields(book, at, there) || yields(book, there, at) {
                    continue;
                }
                let place = if let Place::At(place) = one.place { Some(place) } else { None };
                if same_look_amiss(case, first, second, place) {
                    self.findings[at].disagrees.insert(there);
                }
            }
        }
    }

    fn all_good(&mut self, case: &Case<'_>) {
        let book = case.book;
        let none_found = (0..book.parts.len())
            .all(|part| !matches!(book.parts[part].places, Places::AsFound) || case.scene.spots[part].is_empty());
        let good = case.scene.slots.iter().all(|slot| is_good(case, slot.look, slot.place) != Some(false));
        if !none_found || !good {
            return;
        }
        let surroundings = |slot: &&crate::by_cases::scene::Slot| book[book[slot.look].part].context;
        let slots = case.scene.slots.iter().zip(&case.answers);
        let around: Vec<Answer> = slots.filter(|(slot, _)| surroundings(slot)).map(|(_, answer)| *answer).collect();
        let holds: BTreeSet<_> = case.holding().iter().map(|holding| (holding.finding.index(), holding.place)).collect();
        self.good.entry(around).and_modify(|all| all.retain(|finding| holds.contains(finding))).or_insert(holds);
    }
}

/// Whether a look shows what is good of it; none where it does not apply, or nothing is said to be good of it.
pub fn is_good(case: &Case<'_>, look: LookId, place: usize) -> Option<bool> {
    let good = case.book[look].good.as_ref()?;
    if !case.look_applies(look, place) {
        return None;
    }
    let answer = case.answers[case.scene.slot(look, place, false)?];
    Some(match (good, answer) {
        (Good::Choices(choices), Answer::Choice(choice)) => choices.contains(&choice),
        (Good::Choices(choices), Answer::Set(set)) => choices.iter().fold(0, |all, choice| all | 1 << choice) == set,
        (Good::Range(value), Answer::Number(number)) => {
            let here = InHand::new(case.book[look].part, place, None);
            let ends = match value {
                Value::Number(number) => Some((*number, *number)),
                value => case.ends(value, View { hand: Some(&here), ..View::default() }),
            };
            ends.is_some_and(|(low, high)| low <= number && number <= high)
        }
        (Good::NoDate, answer) => answer == Answer::NoDate,
        _ => false,
    })
}

/// Each single test of a condition: where it stands, whether it is met, and whether the places it goes through are there.
fn tests(case: &Case<'_>, condition: &Condition, not: bool, view: View<'_>, there: bool, tell: &mut dyn FnMut(Span, bool, bool)) {
    match condition {
        Condition::All(inner) | Condition::Any(inner) | Condition::AtLeast(_, inner) => {
            inner.iter().for_each(|condition| tests(case, condition, not, view, there, tell));
        }
        Condition::Not(inner) => tests(case, inner, !not, view, there, tell),
        Condition::Test(_, span) | Condition::Found(_, span) => tell(*span, there && case.met(condition, not, view), there),
        Condition::Places { part, with, .. } => {
            for place in 0..case.scene.spots[part.index()].len() {
                let here = InHand::new(*part, place, view.hand);
                let there = there && case.place_applies(*part, place);
                tests(case, with, false, View { hand: Some(&here), ..view }, there, tell);
            }
        }
    }
}

/// Findings that read, in whatever way, a look of which something is good.
pub fn reads_good(book: &Book, at: usize) -> bool {
    reads(book, at).iter().any(|look| book[*look].good.is_some())
}
