//! A record, as ordinary as can be, in which one of several findings surely holds.

use purfle_lang::saying::entries;
use std::collections::BTreeSet;
use std::sync::Arc;

use purfle_lang::book::{
    Book, Example, FindingId, Good, LookId, LookKind, Origin, PlaceId, Places, RecordEntry, RecordPath, StateWord, Value,
};
use purfle_lang::number::Number;
use purfle_lang::saying::Saying;

use super::difference::Difference;
use crate::judge::Judge;
use crate::outcome::{At, Outcome};
use crate::plan::Plan;
use crate::record::Record;
use crate::rehearse::numbers::numbers;
use crate::rehearse::record_of;
use crate::report::place_name;
use crate::slice::reads_of;

/// An example that would notice a change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Witness {
    /// Its record.
    pub record: String,
    /// What it expects, by the book as it is.
    pub expects: String,
}

/// Looks for a record in which one of the `differing` findings surely holds; says what comes of `finding` in it.
pub fn search(book: Book, looks: &BTreeSet<LookId>, finding: FindingId, differing: &[FindingId]) -> Difference {
    let book = Arc::new(book);
    let mut judge = Judge::new(Arc::new(Plan::new(Arc::clone(&book))));
    let Ok(outcome) = judge.judge(&Record::default()) else { return Difference::Undecided };
    let mut possible = false;
    for differs in differing {
        let Some(at) = place_of(&outcome, *differs) else { continue };
        possible = true;
        let mut search = Search { book: &book, judge: &mut judge, differs: *differs, at, entries: Vec::new() };
        if search.narrow(looks, finding) {
            return Difference::Shown(search.told(finding));
        }
    }
    if possible { Difference::Undecided } else { Difference::None }
}

/// The first place at which a finding is not clear.
fn place_of(outcome: &Outcome, finding: FindingId) -> Option<At> {
    outcome.findings.iter().chain(&outcome.not_ruled_out).find(|judged| judged.finding == finding).map(|judged| judged.at)
}

struct Search<'a> {
    book: &'a Arc<Book>,
    judge: &'a mut Judge,
    differs: FindingId,
    at: At,
    entries: Vec<RecordEntry>,
}

impl Search<'_> {
    /// The state of the finding looked for under these entries; none where they cannot be together.
    fn state(&mut self, entries: &[RecordEntry]) -> Option<StateWord> {
        let outcome = self.judge.judge(&record(entries)).ok()?;
        let path = self.path();
        let here = |at: At| at == At::Part || at == At::Unnamed || at == At::Place(path);
        let mut all = outcome.findings.iter().chain(&outcome.not_ruled_out);
        let judged = all.find(|judged| judged.finding == self.differs && here(judged.at));
        Some(judged.map_or(StateWord::Clear, |judged| judged.state))
    }

    /// The place in hand.
    fn path(&self) -> RecordPath {
        match self.at {
            At::Part => RecordPath::Single,
            At::Place(path) => path,
            At::Unnamed => RecordPath::Found(1),
        }
    }

    /// Settles one look after the other, so that the finding can still hold, until it surely does.
    fn narrow(&mut self, looks: &BTreeSet<LookId>, finding: FindingId) -> bool {
        let mut all: Vec<LookId> = looks.iter().copied().collect();
        all.sort_by_key(|look| !self.book[self.book[*look].part].context);
        let numbers = self.numbers();
        for look in all {
            for path in self.paths(look, finding) {
                for saying in sayings(self.book, look, &numbers) {
                    let mut tried = self.entries.clone();
                    tried.push(RecordEntry::Look(look, path, saying));
                    match self.state(&tried) {
                        None | Some(StateWord::Clear) => {}
                        Some(StateWord::Found) => {
                            self.entries = tried;
                            self.ordinary();
                            return true;
                        }
                        Some(_) => {
                            self.entries = tried;
                            break;
                        }
                    }
                }
            }
        }
        false
    }

    /// Leaves out what need not be said once the rest is good.
    fn ordinary(&mut self) {
        let mut entries = self.entries.clone();
        entries.push(RecordEntry::RestGood);
        if self.state(&entries) != Some(StateWord::Found) {
            return;
        }
        self.entries = entries;
        for at in (0..self.entries.len() - 1).rev() {
            let mut fewer = self.entries.clone();
            fewer.remove(at);
            if self.state(&fewer) == Some(StateWord::Found) {
                self.entries = fewer;
            }
        }
    }

    /// Numbers that a look may be compared with. What the slice leaves out mentions none.
    fn numbers(&self) -> Vec<Number> {
        let mut all: Vec<Number> = Vec::new();
        self.book.findings.iter().for_each(|finding| numbers(self.book, finding, &mut all));
        all.sort_unstable();
        all.dedup();
        all
    }

    /// The places at which a look is settled.
    fn paths(&self, look: LookId, finding: FindingId) -> Vec<RecordPath> {
        let (book, part) = (self.book, self.book[look].part);
        let finding = &book[finding];
        let own = finding.each && finding.on == part;
        match &book[part].places {
            Places::Single => vec![RecordPath::Single],
            _ if own
                && !reads_of(book, finding)
                    .looks
                    .iter()
                    .any(|at| at.look == look && matches!(at.place, purfle_lang::book::PlaceAt::Fixed(_))) =>
            {
                vec![self.path()]
            }
            Places::Fixed(places) => (0..places.len() as u32).map(|place| RecordPath::Fixed(PlaceId(place))).collect(),
            Places::AsFound => vec![RecordPath::Found(1), RecordPath::Found(2)],
        }
    }

    /// What was found, in the words of an example.
    fn told(&mut self, id: FindingId) -> Witness {
        let finding = &self.book[id];
        let path = self.path();
        let outcome = self.judge.judge(&record(&self.entries)).ok();
        let judged = outcome.iter().flat_map(|outcome| outcome.findings.iter().chain(&outcome.not_ruled_out));
        let here = |at: At| !finding.each || at == At::Place(path);
        let judged = judged.filter(|judged| judged.finding == id).find(|judged| here(judged.at));
        let on = finding.each.then(|| place_name(self.book, finding.on, At::Place(path))).flatten();
        let on = on.map(|place| format!(" on {place}")).unwrap_or_default();
        let expects = match judged {
            None => format!("clear {}{on}", finding.name),
            Some(judged) if judged.state == StateWord::Found => {
                let (from, to) = (&self.book[judged.urgency.from].name, &self.book[judged.urgency.to].name);
                let to = if from == to { String::new() } else { format!(" to {to}") };
                format!("finds {}{on} at {from}{to}", finding.name)
            }
            Some(_) => format!("open {}{on}", finding.name),
        };
        Witness { record: entries(self.book, &self.entries), expects }
    }
}

fn example(entries: &[RecordEntry]) -> Example {
    Example { words: String::new(), record: entries.to_vec(), expects: Vec::new(), origin: Origin::default() }
}

fn record(entries: &[RecordEntry]) -> Record {
    record_of(&example(entries))
}

/// What may be said of a look, what is good first.
fn sayings(book: &Book, look: LookId, numbers: &[Number]) -> Vec<Saying> {
    let look = &book[look];
    let good: &[usize] = match &look.good {
        Some(Good::Choices(good)) => good,
        _ => &[],
    };
    let good_first = |count: usize| {
        let mut all: Vec<usize> = (0..count).collect();
        all.sort_by_key(|choice| !good.contains(choice));
        all.into_iter()
    };
    match &look.kind {
        LookKind::YesNo => good_first(2).map(|choice| Saying::OneOf(vec![choice])).collect(),
        LookKind::OneOf(choices) => good_first(choices.len()).map(|choice| Saying::OneOf(vec![choice])).collect(),
        LookKind::SomeOf(choices) => {
            let none = std::iter::once(Saying::Exactly(Vec::new()));
            none.chain((0..choices.len()).map(|choice| Saying::Exactly(vec![choice]))).collect()
        }
        LookKind::Measured { from, to, give_or_take, .. } => {
            between(numbers, *from, *to, give_or_take.unwrap_or_default(), look.good.as_ref())
        }
        LookKind::Priced { from, to } => between(numbers, *from, *to, Number::default(), look.good.as_ref()),
        LookKind::Counted { from, to } => {
            let near = numbers.iter().flat_map(|number| (-1..=1).map(|step| number.floor() + Number::from_integer(step)));
            let whole = |number: i64| Number::from_integer(i128::from(number));
            let ends = [whole(*from), whole(*to)];
            let mut all: Vec<Number> = near.chain(ends).filter(|number| ends[0] <= *number && *number <= ends[1]).collect();
            all.sort_unstable();
            all.dedup();
            all.into_iter().map(|number| exactly(number, true)).collect()
        }
        LookKind::Dated | LookKind::Written => Vec::new(),
    }
}

fn exactly(number: Number, reading: bool) -> Saying {
    Saying::Between { low: Some(number), high: Some(number), reading }
}

/// Numbers between each two limits, and the limits themselves. A reading that its error would carry over a limit is
/// written as a range, which does not widen.
fn between(numbers: &[Number], from: Number, to: Number, error: Number, good: Option<&Good>) -> Vec<Saying> {
    let mut cuts: Vec<Number> = numbers.iter().copied().filter(|number| from < *number && *number < to).collect();
    cuts.extend([from, to]);
    cuts.sort_unstable();
    cuts.dedup();
    let mut all = Vec::new();
    match good {
        Some(Good::Range(Value::Range(low, high))) => {
            all.push(Saying::Between { low: Some(*low), high: Some(*high), reading: false })
        }
        Some(Good::Range(Value::Number(number))) => all.push(exactly(*number, false)),
        _ => {}
    }
    for pair in cuts.windows(2) {
        let (low, high) = (pair[0], pair[1]);
        let middle = (low + high) / Number::from_integer(2);
        let quarter = (high - low) / Number::from_integer(4);
        all.push(match middle - error > low && middle + error < high {
            true => exactly(middle, true),
            false => Saying::Between { low: Some(low + quarter), high: Some(high - quarter), reading: false },
        });
    }
    all.extend(cuts.into_iter().map(|cut| exactly(cut, false)));
    all
}
