//! What past records come to by either rulebook: which instruments move, and why, and what all of them cost.
//!
//! The files are gone through twice, once by each rulebook, since each has looks of its own to read by. Of every record
//! only a few figures are kept.

use std::collections::BTreeMap;
use std::sync::Arc;

use purfle_lang::book::{AidWord, Book, FindingId, PlayedWord, StateWord};
use purfle_lang::number::Number;

use super::replay::Books;
use super::view::{CountedView, MoveView, MovedView, RefusedView, SumView, TotalView};
use super::words::{self, figure};
use crate::judge::Judge;
use crate::outcome::{At, Outcome};
use crate::records::{Answer, Earlier, Input, Refused, Run, Stopped};
use crate::report::{fault_words, minor, place_name, played};

/// Files of records.
#[derive(Clone, Copy)]
pub struct Files<'a> {
    /// The records.
    pub inputs: &'a [Input],
    /// Earlier ones, for rulebooks that compare with last time.
    pub last: &'a [Input],
}

/// Steps from the mildest to the gravest, by index in their ladder.
type Steps = (u8, u8);

/// What is kept of one outcome.
struct Kept {
    record: String,
    tag: Option<String>,
    urgency: Steps,
    played: PlayedWord,
    hands: (Option<u8>, Option<u8>),
    cost: Money,
    left: Money,
    aid: i128,
    findings: Vec<Line>,
}

/// A sum as printed, in the minor unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Money {
    from: i128,
    to: i128,
}

/// A finding that is found or suspected.
struct Line {
    finding: FindingId,
    at: At,
    state: StateWord,
    steps: Steps,
}

/// What past records come to by both. `step` is called after each record is judged.
pub fn counted(old: &Judge, new: &Judge, files: Files<'_>, mut step: impl FnMut()) -> Result<CountedView, Stopped> {
    let (before, earlier_old) = all(old, files, &mut step)?;
    let (after, earlier_new) = all(new, files, &mut step)?;
    let (was, now) = (Arc::clone(&old.plan().book), Arc::clone(&new.plan().book));
    let mut counting = Counting::new(Books { old: &was, new: &now });
    let mut after = after.into_iter();
    for old in before {
        let Some(new) = after.next() else { break };
        counting.take(old, new);
    }
    // Earlier records that are left out decide what the others are compared with.
    for refused in &earlier_old {
        let both = earlier_new.iter().any(|other| other.source == refused.source);
        counting.refused(if both { "both" } else { "old" }, refused);
    }
    let only_new = earlier_new.iter().filter(|refused| earlier_old.iter().all(|other| other.source != refused.source));
    only_new.for_each(|refused| counting.refused("new", refused));
    Ok(counting.view())
}

/// Every record by one rulebook, in the order of the files, and the earlier ones that it refuses.
fn all(
    first: &Judge,
    Files { inputs, last }: Files<'_>,
    step: &mut impl FnMut(),
) -> Result<(Vec<Answer<Kept>>, Vec<Refused>), Stopped> {
    let book = &first.plan().book;
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let (earlier, counts) = Earlier::read(book, last, inputs, threads)?;
    let make = || {
        let mut judge = first.another();
        let earlier = &earlier;
        move |record: &mut crate::record::Record| {
            if let Some(earlier) = earlier {
                earlier.fill(record);
            }
            let outcome = judge.judge(record).map_err(|impossible| Refused::impossible(record, impossible))?;
            Ok(Kept::of(book, record.id.clone(), record.tag.clone(), &outcome))
        }
    };
    let mut kept = Vec::new();
    Run { book, inputs, threads }.each(make, |answer| {
        step();
        kept.push(answer);
        Ok(())
    })?;
    Ok((kept, counts.refused))
}

impl Kept {
    fn of(book: &Book, record: String, tag: Option<String>, outcome: &Outcome) -> Self {
        let places = book.money.minor_places();
        let money = |sum: &crate::outcome::Sum| Money { from: minor(sum.from, places), to: minor(sum.to, places) };
        let small = |index: usize| u8::try_from(index).unwrap_or(u8::MAX);
        let hand = |hand: Option<purfle_lang::book::HandId>| hand.map(|hand| small(hand.index()));
        let steps =
            |range: crate::outcome::Range<purfle_lang::book::StepId>| (small(range.from.index()), small(range.to.index()));
        // What a fund pays for certain.
        let pays = outcome.aid.iter().filter(|aid| aid.state == AidWord::Eligible).map(|aid| aid.pays.from);
        let aid: Number = pays.fold(Number::from_integer(0), |sum, pays| sum + pays);
        let findings = outcome.findings.iter().map(|judged| Line {
            finding: judged.finding,
            at: judged.at,
            state: judged.state,
            steps: steps(judged.urgency),
        });
        Self {
            record,
            tag,
            urgency: steps(outcome.urgency),
            played: outcome.played,
            hands: (hand(outcome.hands.from), hand(outcome.hands.to)),
            cost: money(&outcome.cost),
            left: money(&outcome.left),
            aid: minor(aid, places),
            findings: findings.collect(),
        }
    }
}

/// What is counted so far.
struct Counting<'a> {
    books: Books<'a>,
    read: u64,
    judged: u64,
    dearer: u64,
    cheaper: u64,
    moves: BTreeMap<Steps, BTreeMap<Steps, u64>>,
    moved: Vec<MovedView>,
    refused: Vec<RefusedView>,
    /// Cost, cost if left, and aid, before and after.
    sums: [[Money; 3]; 2],
}

impl<'a> Counting<'a> {
    fn new(books: Books<'a>) -> Self {
        Self {
            books,
            read: 0,
            judged: 0,
            dearer: 0,
            cheaper: 0,
            moves: BTreeMap::new(),
            moved: Vec::new(),
            refused: Vec::new(),
            sums: Default::default(),
        }
    }

    fn take(&mut self, old: Answer<Kept>, new: Answer<Kept>) {
        self.read += 1;
        match (old, new) {
            (Ok(old), Ok(new)) => self.judged(&old, &new),
            (Err(refused), Err(_)) => self.refused("both", &refused),
            (Err(refused), Ok(_)) => self.refused("old", &refused),
            (Ok(_), Err(refused)) => self.refused("new", &refused),
        }
    }

    fn refused(&mut self, by: &'static str, refused: &Refused) {
        self.refused.push(RefusedView {
            by,
            source: refused.source.file.to_string(),
            row: refused.source.row,
            record: refused.record.clone(),
            why: refused.faults.iter().map(fault_words).collect(),
        });
    }

    fn judged(&mut self, old: &Kept, new: &Kept) {
        self.judged += 1;
        for (side, kept) in [old, new].into_iter().enumerate() {
            let aid = Money { from: kept.aid, to: kept.aid };
            for (sum, money) in self.sums[side].iter_mut().zip([kept.cost, kept.left, aid]) {
                *sum = Money { from: sum.from + money.from, to: sum.to + money.to };
            }
        }
        self.dearer += u64::from(new.cost.from > old.cost.from || new.cost.to > old.cost.to);
        self.cheaper += u64::from(new.cost.from < old.cost.from || new.cost.to < old.cost.to);
        let mut what = Vec::new();
        let (was, now) = (self.steps(true, old.urgency), self.steps(false, new.urgency));
        if was != now {
            *self.moves.entry(old.urgency).or_default().entry(new.urgency).or_default() += 1;
            what.push(format!("how soon: was {was}, now {now}"));
        }
        if old.played != new.played {
            what.push(format!("played: was {}, now {}", played(old.played), played(new.played)));
        }
        let (was, now) = (self.hands(true, old.hands), self.hands(false, new.hands));
        if was != now {
            what.push(format!("hands: was {was}, now {now}"));
        }
        let because = self.because(old, new);
        if what.is_empty() && because.is_empty() {
            return;
        }
        self.moved.push(MovedView { record: new.record.clone(), tag: new.tag.clone(), what, because });
    }

    fn steps(&self, old: bool, (from, to): Steps) -> String {
        let book = if old { self.books.old } else { self.books.new };
        let step = |at: u8| purfle_lang::book::StepId::from_index(usize::from(at));
        words::steps(book, crate::outcome::Range { from: step(from), to: step(to) })
    }

    fn hands(&self, old: bool, (from, to): (Option<u8>, Option<u8>)) -> String {
        let book = if old { self.books.old } else { self.books.new };
        let name =
            |hand: Option<u8>| hand.and_then(|at| book.hands.get(usize::from(at))).map_or("none", |hand| hand.name.as_str());
        if from == to { name(from).to_owned() } else { format!("{} to {}", name(from), name(to)) }
    }

    /// The findings that came out differently.
    fn because(&self, old: &Kept, new: &Kept) -> Vec<String> {
        let named = |book: &Book, line: &Line| {
            let finding = &book[line.finding];
            let place = place_name(book, finding.on, line.at).map_or(String::new(), |place| format!(" at {place}"));
            format!("{}{place}", finding.name)
        };
        let said = |kept: &Kept, side: bool| -> BTreeMap<String, (StateWord, String)> {
            let book = if side { self.books.old } else { self.books.new };
            kept.findings.iter().map(|line| (named(book, line), (line.state, self.steps(side, line.steps)))).collect()
        };
        let (before, after) = (said(old, true), said(new, false));
        let word = |state: StateWord| if state == StateWord::Found { "found" } else { "suspected" };
        let mut because = Vec::new();
        for (name, (state, steps)) in &after {
            match before.get(name) {
                None => because.push(format!("{name} is {} now ({steps})", word(*state))),
                Some((was, _)) if was != state => because.push(format!("{name} was {}, and is {} now", word(*was), word(*state))),
                Some((_, was)) if was != steps => because.push(format!("{name}: was {was}, now {steps}")),
                Some(_) => {}
            }
        }
        for (name, (state, steps)) in before.iter().filter(|(name, _)| !after.contains_key(*name)) {
            because.push(format!("{name} was {} ({steps}), and is no longer", word(*state)));
        }
        because
    }

    fn view(self) -> CountedView {
        let mut moves: Vec<(u64, MoveView)> = self
            .moves
            .iter()
            .flat_map(|(was, all)| all.iter().map(move |(now, count)| (was, now, *count)))
            .map(|(was, now, count)| (count, MoveView { was: self.steps(true, *was), now: self.steps(false, *now), count }))
            .collect();
        moves.sort_by_key(|(count, _)| std::cmp::Reverse(*count));
        let sum = |book: &Book, Money { from, to }: Money| SumView {
            from: figure::plain_minor(book, from),
            to: figure::plain_minor(book, to),
            money: book.money.to_string(),
        };
        let total =
            |at: usize| TotalView { was: sum(self.books.old, self.sums[0][at]), now: sum(self.books.new, self.sums[1][at]) };
        CountedView {
            read: self.read,
            judged: self.judged,
            unmoved: self.judged - self.moved.len() as u64,
            dearer: self.dearer,
            cheaper: self.cheaper,
            cost: total(0),
            left: total(1),
            aid: total(2),
            moves: moves.into_iter().map(|(_, view)| view).collect(),
            moved: self.moved,
            refused: self.refused,
        }
    }
}
