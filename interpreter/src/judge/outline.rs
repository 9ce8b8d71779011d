//! What the figures of a record ask of every room that matters: the little of its outcome that most of them need, so that
//! going through the rooms reads few bytes of each.

use super::fold::Which;
use super::memory::Results;
use super::room_result::{Figure, RoomResult};
use super::sharing::{Choice, End, Shared};
use purfle_lang::finite::node::CellSet;

/// How one end of a money figure comes out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ways {
    /// Nothing is added and nothing shared.
    Nothing,
    /// In one way.
    One,
    /// In several.
    Several,
}

impl Ways {
    fn of(choices: &[Choice]) -> Self {
        match choices {
            [] | [Choice { own: 0, shared: 0 }] => Self::Nothing,
            [_] => Self::One,
            _ => Self::Several,
        }
    }

    fn of_both(figure: &Figure) -> [Self; 2] {
        [Self::of(&figure.low), Self::of(&figure.high)]
    }
}

/// The choices of the ends of cost now and if left, by money number, close together: they are read for nearly every record.
#[derive(Debug, Default)]
pub struct Ends {
    all: Vec<Choice>,
    /// Where those of each number begin and end: now, least and greatest, then if left.
    at: Vec<[(u32, u32); 4]>,
}

impl Ends {
    /// Adds those of an outcome, for the next number.
    pub fn push(&mut self, result: &RoomResult) {
        let all = &mut self.all;
        let at = [&result.now.low, &result.now.high, &result.left.low, &result.left.high].map(|choices| {
            let from = all.len() as u32;
            all.extend_from_slice(choices);
            (from, all.len() as u32)
        });
        self.at.push(at);
    }

    /// The choices of one end.
    pub fn of(&self, money: u32, left: bool, end: End) -> &[Choice] {
        let (from, to) = self.at[money as usize][usize::from(left) * 2 + usize::from(end == End::High)];
        &self.all[from as usize..to as usize]
    }
}

/// What is mostly asked of a room's outcome; each figure is as [`RoomResult`] has it.
#[derive(Debug, Clone, Copy)]
pub struct Outline {
    /// Whether it has a case at all.
    pub possible: bool,
    /// The steps that cases come to.
    pub steps: CellSet,
    /// Urgency.
    pub urgency: (u8, u8),
    /// Hands.
    pub hands: (u8, u8),
    /// Whether some case forbids playing, and whether some allows it.
    pub played: (bool, bool),
    /// Whether anything is said of pieces that stand apart.
    pub apart: bool,
    /// Whether some case holds a cost known only on sight.
    pub on_sight: (bool, bool),
    /// Whether the figures are reached by cases.
    pub exact: bool,
    /// Whether sums are only enclosed.
    pub enclosed: bool,
    /// What can be shared, now and if left.
    pub shared: (Shared, Shared),
    now: [Ways; 2],
    left: [Ways; 2],
    /// The funds that may cover something, a bit each; the last bit stands for all that are left.
    covers: u32,
    /// Outcomes with the same number here add the same to every sum.
    pub money: u32,
}

impl Outline {
    /// That of an outcome, which adds to sums what others of this number add.
    pub fn of(result: &RoomResult, money: u32) -> Self {
        let covering = result.aids.iter().enumerate().filter(|(_, figure)| Ways::of_both(figure) != [Ways::Nothing; 2]);
        Self {
            possible: result.possible,
            steps: result.steps,
            urgency: result.urgency,
            hands: result.hands,
            played: result.played,
            apart: !result.apart.is_empty(),
            on_sight: result.on_sight,
            exact: result.exact,
            enclosed: result.enclosed,
            shared: (shared_by(&result.now), shared_by(&result.left)),
            now: Ways::of_both(&result.now),
            left: Ways::of_both(&result.left),
            covers: covering.fold(0, |all, (aid, _)| all | bit_of(aid)),
            money,
        }
    }

    /// How an end of a figure comes out.
    pub fn ways(&self, which: Which, end: End) -> Ways {
        let at = usize::from(end == End::High);
        match which {
            Which::Now => self.now[at],
            Which::Left => self.left[at],
            Which::Aid(aid) if self.covers & bit_of(aid) == 0 => Ways::Nothing,
            Which::Aid(_) => Ways::Several,
        }
    }

    /// Whether something may be shared in every case, now and if left.
    pub fn may_always_share(&self) -> (bool, bool) {
        (!self.now.contains(&Ways::Nothing), !self.left.contains(&Ways::Nothing))
    }
}

fn shared_by(figure: &Figure) -> Shared {
    figure.low.iter().chain(&figure.high).fold(0, |all, choice| all | choice.shared)
}

fn bit_of(aid: usize) -> u32 {
    1 << aid.min(31)
}

/// The rooms that matter, as they come out in one choice of the context.
#[derive(Clone, Copy)]
pub struct Rooms<'a> {
    /// Their outcomes, by number.
    pub ids: &'a [u32],
    /// All outcomes.
    pub known: &'a Results,
}

impl<'a> Rooms<'a> {
    /// The first so many, and all others.
    pub fn split(self, first: usize) -> (Self, Self) {
        let (first, others) = self.ids.split_at(first);
        (Self { ids: first, ..self }, Self { ids: others, ..self })
    }

    /// The outlines of their outcomes, one for each room.
    pub fn outlines(self) -> impl Iterator<Item = &'a Outline> + Clone {
        self.ids.iter().map(move |id| self.known.outline(*id))
    }

    /// The same, each beside the outcome's number.
    pub fn with_ids(self) -> impl Iterator<Item = (u32, &'a Outline)> + Clone {
        self.ids.iter().map(move |id| (*id, self.known.outline(*id)))
    }

    /// The ways in which an end of a figure comes out for an outcome of this number with this outline.
    pub fn choices(self, (id, outline): (u32, &Outline), which: Which, end: End) -> &'a [Choice] {
        match which {
            Which::Now => self.known.choices(outline.money, false, end),
            Which::Left => self.known.choices(outline.money, true, end),
            Which::Aid(aid) => {
                let figure = &self.known.of(id).aids[aid];
                if end == End::Low { &figure.low } else { &figure.high }
            }
        }
    }

    /// What each of them adds to sums, by number.
    pub fn moneys(self) -> impl Iterator<Item = u32> + 'a {
        self.outlines().map(|outline| outline.money)
    }
}
