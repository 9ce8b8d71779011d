//! What a record leaves open: the places there can be, the looks at them, and what each can still be.

use std::collections::BTreeMap;
use std::sync::Arc;

use purfle::record::{Entry, Record};
use purfle_lang::book::{Book, Good, LookId, PartId, Places, RecordPath, Value};
use purfle_lang::number::Number;
use purfle_lang::saying::Saying;

use super::lines::Cuts;
use super::samples::{Answer, Grain, answers};
use super::walk;

/// A place of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Spot {
    /// The part itself, which has no places.
    Whole,
    /// A fixed place.
    Fixed(u32),
    /// The recorded place of that number.
    Recorded(u32),
    /// A place nobody has named.
    Unnamed(u32),
}

/// A look at one place: the variables of a case.
#[derive(Debug, Clone)]
pub struct Slot {
    /// The look.
    pub look: LookId,
    /// Which of the part's places.
    pub place: usize,
    /// Whether it is the look in the record before.
    pub last: bool,
    /// What it can be.
    pub answers: Vec<Answer>,
    /// It was written down, so it applies.
    pub stated: bool,
    /// It was written down that it does not apply.
    pub dashed: bool,
    /// It was said to be good, and this is the range that is good.
    pub good: Option<Value>,
}

/// The places there are, with their looks.
#[derive(Debug, Clone)]
pub struct Scene {
    /// Each part's places.
    pub spots: Vec<Vec<Spot>>,
    /// Every look at every place.
    pub slots: Vec<Slot>,
    /// Parts and places written down as not applying.
    pub absent: Vec<(PartId, Option<usize>)>,
    index: BTreeMap<(LookId, usize, bool), usize>,
}

impl Scene {
    /// The slot of a look at one of its part's places.
    pub fn slot(&self, look: LookId, place: usize, last: bool) -> Option<usize> {
        self.index.get(&(look, place, last)).copied()
    }

    /// How many cases there are; none if they are too many to count.
    pub fn cases(&self) -> Option<usize> {
        self.slots.iter().try_fold(1_usize, |product, slot| product.checked_mul(slot.answers.len()))
    }

    /// What each slot is in one of the cases: the answers count up like digits, the first slot fastest.
    pub fn answers(&self, case: usize) -> Vec<Answer> {
        let mut rest = case;
        let digit = |slot: &Slot| {
            let answer = slot.answers[rest % slot.answers.len()];
            rest /= slot.answers.len();
            answer
        };
        self.slots.iter().map(digit).collect()
    }
}

/// Every way the places can be.
pub fn scenes(book: &Book, record: &Record, cuts: &Cuts) -> Vec<Scene> {
    scenes_of(book, record, cuts, &walk::all_read(book))
}

/// The same where these looks, by index, are read.
pub fn scenes_of(book: &Book, record: &Record, cuts: &Cuts, read: &[bool]) -> Vec<Scene> {
    let mut layouts: Vec<Vec<Vec<Spot>>> = vec![Vec::new()];
    for part in (0..book.parts.len()).map(PartId::from_index) {
        let ways = ways(book, record, part);
        layouts = layouts
            .into_iter()
            .flat_map(|layout| {
                ways.iter().map(move |way| {
                    let mut layout = layout.clone();
                    layout.push(way.clone());
                    layout
                })
            })
            .collect();
    }
    layouts.into_iter().map(|spots| scene(book, record, cuts, read, spots)).collect()
}

/// The sets of places that one part can have.
fn ways(book: &Book, record: &Record, part: PartId) -> Vec<Vec<Spot>> {
    match &book[part].places {
        Places::Single => vec![vec![Spot::Whole]],
        Places::Fixed(places) => vec![(0..places.len()).map(|place| Spot::Fixed(place as u32)).collect()],
        Places::AsFound => {
            let recorded = recorded(book, record, part);
            let says = |what: &Entry| record.entries.contains(what);
            let closed = says(&Entry::NoPlaces(part)) || says(&Entry::RestGood) || !recorded.is_empty();
            let open = !closed || says(&Entry::MayBeMore(part));
            let most = if open { walk::most_counted(book, part) } else { 0 };
            (0..=most)
                .map(|unnamed| {
                    recorded.iter().map(|place| Spot::Recorded(*place)).chain((0..unnamed).map(Spot::Unnamed)).collect()
                })
                .collect()
        }
    }
}

/// The numbers of the recorded places of a part, in order.
fn recorded(book: &Book, record: &Record, part: PartId) -> Vec<u32> {
    let mut places: Vec<u32> = record
        .entries
        .iter()
        .filter_map(|entry| match entry {
            Entry::Look(look, RecordPath::Found(place), _) if book[*look].part == part => Some(*place),
            Entry::Good(of, Some(RecordPath::Found(place))) if *of == part => Some(*place),
            Entry::There(of, RecordPath::Found(place)) if *of == part => Some(*place),
            _ => None,
        })
        .collect();
    places.sort_unstable();
    places.dedup();
    places
}

fn spot_of(path: RecordPath) -> Spot {
    match path {
        RecordPath::Single => Spot::Whole,
        RecordPath::Fixed(place) => Spot::Fixed(place.0),
        RecordPath::Found(place) => Spot::Recorded(place),
    }
}

fn scene(book: &Book, record: &Record, cuts: &Cuts, read: &[bool], spots: Vec<Vec<Spot>>) -> Scene {
    let mut scene = Scene { spots, slots: Vec::new(), absent: Vec::new(), index: BTreeMap::new() };
    for look in (0..book.looks.len()).map(LookId::from_index) {
        for (place, spot) in scene.spots[book[look].part.index()].clone().into_iter().enumerate() {
            let said = record.entries.iter().find_map(|entry| match entry {
                Entry::Look(of, path, said) if *of == look && spot_of(*path) == spot => Some(said),
                _ => None,
            });
            let mut slot = slot(book, cuts, look, place, said);
            let left_out = record.left_out.iter().any(|(of, path)| *of == look && spot_of(*path) == spot);
            if said.is_none() && !left_out && said_good(book, record, look, spot) {
                fill(book, &mut slot);
            }
            if !read[look.index()] {
                slot.answers.truncate(1);
                slot.good = None;
            }
            scene.add(slot);
            let before = record.last.iter().find(|(of, path, _)| *of == look && spot_of(*path) == spot);
            if let Some((_, _, said)) = before
                && **said != Saying::DoesNotApply
            {
                let answers = answers(&book[look], Some(said), &cuts.points((look, true)), grain(cuts, look, true));
                scene.add(Slot { look, place, last: true, answers, stated: false, dashed: false, good: None });
            }
        }
    }
    for entry in &record.entries {
        if let Entry::Absent(part, path) = entry {
            let place = path.map(|path| scene.spots[part.index()].iter().position(|spot| *spot == spot_of(path)).unwrap_or(0));
            scene.absent.push((*part, place));
        }
    }
    scene
}

impl Scene {
    fn add(&mut self, slot: Slot) {
        self.index.insert((slot.look, slot.place, slot.last), self.slots.len());
        self.slots.push(slot);
    }
}

fn grain(cuts: &Cuts, look: LookId, last: bool) -> Grain {
    if cuts.fluid((look, last)) {
        Grain::Fluid
    } else if cuts.linked((look, last)) {
        Grain::Ordered
    } else {
        Grain::Coarse
    }
}

fn slot(book: &Book, cuts: &Cuts, look: LookId, place: usize, said: Option<&Arc<Saying>>) -> Slot {
    let said = said.map(AsRef::as_ref);
    let dashed = said == Some(&Saying::DoesNotApply);
    let stated = said.is_some_and(|said| !matches!(said, Saying::DoesNotApply | Saying::CouldNotTell));
    let narrows = if stated { said } else { None };
    let answers = answers(&book[look], narrows, &cuts.points((look, false)), grain(cuts, look, false));
    Slot { look, place, last: false, answers, stated, dashed, good: None }
}

/// Whether the record says of that part, that place of it, or all the rest, that it is good.
fn said_good(book: &Book, record: &Record, look: LookId, spot: Spot) -> bool {
    let part = book[look].part;
    record.entries.iter().any(|entry| match entry {
        Entry::Good(of, None) => *of == part,
        Entry::Good(of, Some(path)) => *of == part && spot_of(*path) == spot,
        Entry::RestGood => true,
        _ => false,
    })
}

/// Fills a look that nobody wrote down with what a good one shows.
fn fill(book: &Book, slot: &mut Slot) {
    match &book[slot.look].good {
        None => {}
        Some(Good::Choices(choices)) => {
            let set = choices.iter().fold(0, |set, choice| set | 1 << choice);
            slot.answers.retain(|answer| match answer {
                Answer::Choice(choice) => choices.contains(choice),
                Answer::Set(shown) => *shown == set,
                _ => true,
            });
        }
        Some(Good::Range(Value::Number(number))) => within(slot, *number, *number),
        Some(Good::Range(Value::Range(low, high))) => within(slot, *low, *high),
        Some(Good::Range(value)) => slot.good = Some(value.clone()),
        Some(Good::NoDate) => slot.answers = vec![Answer::NoDate],
    }
}

fn within(slot: &mut Slot, low: Number, high: Number) {
    slot.answers.retain(|answer| matches!(answer, Answer::Number(number) if *number >= low && *number <= high));
}
