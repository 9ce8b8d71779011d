//! The outcome of a record, read off all its cases.

use std::collections::{BTreeMap, BTreeSet};

use purfle::outcome::At;
use purfle::record::{Entry, Record};
use purfle_lang::book::{
    AidWord, Book, Condition, FindingId, HandId, LookId, PartId, PlayedWord, RecordPath, StateWord, StepId, Test,
};
use purfle_lang::number::Number;
use purfle_lang::saying::Saying;

use super::case::{Case, Place};
use super::figures::{Figures, apart};
use super::fund::Pays;
use super::lines::Cuts;
use super::matters::{Matters, matters};
use super::price::Price;
use super::scene::{Scene, Spot, scenes};
use super::walk;

/// From the least to the greatest of something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span<T> {
    /// Least.
    pub from: T,
    /// Greatest.
    pub to: T,
}

/// What comes out of going through the cases.
#[derive(Debug)]
pub enum Verdict {
    /// There is no case: the record cannot be.
    Refused,
    /// There are too many cases to go through.
    TooMany,
    /// The outcome.
    Outcome(Box<ByCases>),
}

/// The outcome of a record.
#[derive(Debug)]
pub struct ByCases {
    /// How many cases the record allows.
    pub cases: usize,
    /// Whether the cases gone through stand for all there are, for all but sums of money.
    pub complete: bool,
    /// The same for sums of money.
    pub complete_cost: bool,
    /// Whether something compares a look with another look, so that findings may only be enclosed.
    pub linked: bool,
    /// Every finding at every place there may be.
    pub findings: BTreeMap<(FindingId, At), Tally>,
    /// Whether the instrument may be played.
    pub played: PlayedWord,
    /// Whether each part that stands apart may.
    pub apart: Vec<(PartId, PlayedWord)>,
    /// Urgency.
    pub urgency: Span<StepId>,
    /// Hands.
    pub hands: Span<Option<HandId>>,
    /// Cost now.
    pub cost: Cost,
    /// Cost if left.
    pub left: Cost,
    /// What each fund says.
    pub aid: Vec<Fund>,
    /// What each counsel says, and whether the cases gone through settle it.
    pub counsel: Vec<(StateWord, bool)>,
    /// What every look can change.
    pub matters: Vec<Matters>,
    /// Looks that apply in every case.
    pub surely: BTreeSet<(LookId, At)>,
}

/// A sum over the cases.
#[derive(Debug, Clone, Copy)]
pub struct Cost {
    /// Least and greatest.
    pub span: Span<Number>,
    /// Something in it is known only on sight: in some case, and in every case.
    pub and_more: (bool, bool),
    /// Some amount in some case could not be worked out.
    pub unpriced: bool,
}

/// What became of one finding at one place over the cases.
#[derive(Debug, Clone)]
pub struct Tally {
    /// Cases in which it holds.
    pub holds: usize,
    /// Its step over those.
    pub urgency: Option<Span<StepId>>,
    /// Its price by itself over those.
    pub cost: Option<Cost>,
    /// Its price by itself if left over those.
    pub left: Option<Cost>,
    /// The expected extra over those; none where some case has none.
    pub extra: Option<Option<Span<Number>>>,
    /// The findings it yields to in every case in which it holds.
    pub under: Option<BTreeSet<FindingId>>,
}

/// What a fund says over the cases.
#[derive(Debug, Clone)]
pub struct Fund {
    /// Eligible, refused or open.
    pub state: AidWord,
    /// What it pays.
    pub pays: Span<Number>,
    /// What it needs and nobody answered.
    pub missing: Vec<LookId>,
}

impl<T: Ord + Copy> Span<T> {
    fn join(whole: &mut Option<Self>, from: T, to: T) {
        *whole = Some(whole.map_or(Self { from, to }, |span| Self { from: span.from.min(from), to: span.to.max(to) }));
    }
}

impl Cost {
    fn join(whole: &mut Option<Self>, price: &Price) {
        let span = Span { from: price.low, to: price.high };
        *whole = Some(match *whole {
            None => Self { span, and_more: (price.and_more, price.and_more), unpriced: price.unpriced },
            Some(cost) => Self {
                span: Span { from: cost.span.from.min(price.low), to: cost.span.to.max(price.high) },
                and_more: (cost.and_more.0 || price.and_more, cost.and_more.1 && price.and_more),
                unpriced: cost.unpriced || price.unpriced,
            },
        });
    }
}

/// Where the interpreter's outcome would put a place.
pub fn at(spot: Spot) -> At {
    match spot {
        Spot::Whole => At::Part,
        Spot::Fixed(place) => At::Place(RecordPath::Fixed(purfle_lang::book::PlaceId(place))),
        Spot::Recorded(place) => At::Place(RecordPath::Found(place)),
        Spot::Unnamed(_) => At::Unnamed,
    }
}

/// Goes through every case of a record, if there are not more than `limit`.
pub fn judge(book: &Book, record: &Record, limit: usize) -> Verdict {
    let cuts = Cuts::of(book, record.inspected_on);
    let scenes = scenes(book, record, &cuts);
    let count = scenes.iter().try_fold(0_usize, |sum, scene| sum.checked_add(scene.cases()?));
    if count.is_none_or(|count| count > limit) {
        return Verdict::TooMany;
    }
    let mut lot = Lot::new(book);
    let worked: Vec<Vec<Option<Figures>>> = scenes.iter().map(|scene| lot.scene(scene, record)).collect();
    if lot.cases == 0 {
        return Verdict::Refused;
    }
    let matters = matters(book, &scenes, &worked);
    Verdict::Outcome(Box::new(lot.outcome(record, &cuts, &scenes, worked.into_iter().flatten().flatten().collect(), matters)))
}

/// What is gathered while going through the cases.
struct Lot<'a> {
    book: &'a Book,
    cases: usize,
    tallies: BTreeMap<(FindingId, At), Tally>,
    unsure: BTreeSet<(LookId, At)>,
}

impl<'a> Lot<'a> {
    fn new(book: &'a Book) -> Self {
        Self { book, cases: 0, tallies: BTreeMap::new(), unsure: BTreeSet::new() }
    }

    /// The figures of every case of a scene, by its number; none for a case the record does not allow.
    fn scene(&mut self, scene: &Scene, record: &Record) -> Vec<Option<Figures>> {
        let mut worked = Vec::new();
        let mut unsure = vec![false; scene.slots.len()];
        for number in 0..scene.cases().unwrap_or(0) {
            let case = Case::new(self.book, scene, scene.answers(number), record.inspected_on);
            worked.push(case.allowed().then(|| self.case(&case, record, &mut unsure)));
        }
        for (slot, _) in scene.slots.iter().zip(unsure).filter(|(_, unsure)| *unsure) {
            self.unsure.insert((slot.look, at(scene.spots[self.book[slot.look].part.index()][slot.place])));
        }
        worked
    }

    fn case(&mut self, case: &Case<'_>, record: &Record, unsure: &mut [bool]) -> Figures {
        self.cases += 1;
        let figures = Figures::of(case, record.quoted);
        let mut here = BTreeSet::new();
        for one in &figures.holding {
            let at = self.place(case.scene, one.finding, one.place);
            let tally = self.tallies.entry((one.finding, at)).or_insert_with(Tally::none);
            let job = (one.finding, one.place);
            tally.holds += usize::from(here.insert((one.finding, at)));
            Span::join(&mut tally.urgency, one.step, one.step);
            Cost::join(&mut tally.cost, &case.price(&[job], true));
            let left = case.standing(&case.left(&[job], &|_| true));
            Cost::join(&mut tally.left, &case.price(&left, true));
            match (&mut tally.extra, case.extra(job)) {
                (None, Some((from, to))) => tally.extra = Some(Some(Span { from, to })),
                (Some(extra @ Some(_)), Some((from, to))) => Span::join(extra, from, to),
                (extra, _) => *extra = Some(None),
            }
            let over = figures.holding.iter().filter(|other| case.yields(job, (other.finding, other.place)));
            let under: BTreeSet<FindingId> = over.map(|other| other.finding).collect();
            tally.under = Some(match tally.under.take() {
                None => under,
                Some(before) => before.intersection(&under).copied().collect(),
            });
        }
        for (slot, unsure) in case.scene.slots.iter().zip(unsure) {
            *unsure |= !slot.last && !case.look_applies(slot.look, slot.place);
        }
        figures
    }

    fn place(&self, scene: &Scene, finding: FindingId, place: Place) -> At {
        match place {
            Place::At(place) => at(scene.spots[self.book[finding].on.index()][place]),
            Place::Part | Place::ToCome => At::Part,
        }
    }

    fn outcome(self, record: &Record, cuts: &Cuts, scenes: &[Scene], all: Vec<Figures>, matters: Vec<Matters>) -> ByCases {
        let mut urgency = None;
        let mut hands = None;
        let (mut cost, mut left) = (None, None);
        for figures in &all {
            Span::join(&mut urgency, figures.urgency, figures.urgency);
            Span::join(&mut hands, figures.hands, figures.hands);
            Cost::join(&mut cost, &figures.cost);
            Cost::join(&mut left, &figures.left);
        }
        let played = |at: usize| match (all.iter().any(|one| one.played[at]), all.iter().any(|one| !one.played[at])) {
            (true, false) => PlayedWord::Yes,
            (false, _) => PlayedWord::No,
            _ => PlayedWord::Open,
        };
        let lowest = Price { low: 0.into(), high: 0.into(), and_more: false, unpriced: false };
        let nothing = || {
            let mut cost = None;
            Cost::join(&mut cost, &lowest);
            cost
        };
        let apart_parts = apart(self.book).into_iter().enumerate().map(|(at, part)| (part, played(at + 1)));
        let places = |slot: &super::scene::Slot, scene: &Scene| {
            (slot.look, at(scene.spots[self.book[slot.look].part.index()][slot.place]))
        };
        let looks = scenes.iter().flat_map(|scene| scene.slots.iter().map(|slot| places(slot, scene)));
        let mild = Span { from: StepId(0), to: StepId(0) };
        let zero = Cost { span: Span { from: 0.into(), to: 0.into() }, and_more: (false, false), unpriced: false };
        ByCases {
            cases: self.cases,
            complete: cuts.complete,
            complete_cost: cuts.complete && !cuts.fluid_cost,
            linked: cuts.any_linked(),
            played: played(0),
            apart: apart_parts.collect(),
            urgency: urgency.unwrap_or(mild),
            hands: hands.unwrap_or(Span { from: None, to: None }),
            cost: cost.or_else(nothing).unwrap_or(zero),
            left: left.or_else(nothing).unwrap_or(zero),
            aid: (0..self.book.aids.len()).map(|at| fund(self.book, record, at, &all)).collect(),
            counsel: (0..self.book.counsels.len()).map(|at| (counsel(at, &all), settled(self.book, at, cuts))).collect(),
            matters,
            surely: looks.filter(|look| !self.unsure.contains(look)).collect(),
            findings: self.tallies,
        }
    }
}

impl Tally {
    fn none() -> Self {
        Self { holds: 0, urgency: None, cost: None, left: None, extra: None, under: None }
    }
}

fn fund(book: &Book, record: &Record, at: usize, all: &[Figures]) -> Fund {
    let answered = |look: LookId| {
        record.entries.iter().any(|entry| match entry {
            Entry::Look(of, _, said) => *of == look && !matches!(**said, Saying::CouldNotTell | Saying::DoesNotApply),
            _ => false,
        })
    };
    let missing: Vec<LookId> = book.aids[at].needs.iter().copied().filter(|look| !answered(*look)).collect();
    let state = if all.iter().all(|one| one.aid[at].pays == Pays::No) {
        AidWord::Refused
    } else if missing.is_empty() && all.iter().all(|one| one.aid[at].pays == Pays::Yes) {
        AidWord::Eligible
    } else {
        AidWord::Open
    };
    let mut pays = None;
    for one in all {
        let from = if state == AidWord::Eligible { one.aid[at].low } else { 0.into() };
        Span::join(&mut pays, from, one.aid[at].high);
    }
    Fund { state, pays: pays.unwrap_or(Span { from: 0.into(), to: 0.into() }), missing }
}

fn counsel(at: usize, all: &[Figures]) -> StateWord {
    if all.iter().all(|one| one.counsel[at] == (true, true)) {
        StateWord::Found
    } else if all.iter().all(|one| one.counsel[at] == (false, false)) {
        StateWord::Clear
    } else {
        StateWord::Open
    }
}

/// Whether the samples settle a counsel: one test of the total against a look turns over once, several may turn over
/// and back between two samples.
fn settled(book: &Book, at: usize, cuts: &Cuts) -> bool {
    let mut against_looks = 0;
    walk::nested(&book.counsels[at].when, &mut |inner| {
        if let Condition::Test(Test::Compare(_, left, right) | Test::Between(left, right, _), _) = inner
            && (walk::has_total(left) || walk::has_total(right))
        {
            walk::read_in(book, left, &mut |_| against_looks += 1);
            walk::read_in(book, right, &mut |_| against_looks += 1);
        }
    });
    against_looks <= 1 && cuts.complete && !cuts.fluid_cost
}
