//! Handing a plan made from pooled purses out to single funds: whichever fund pays, it costs the same, but every fund has to
//! keep within its own purse, and nothing is paid by two.
//!
//! Those who can be paid by several funds are gone through in their order, each by the first of its funds with which the
//! others can still be paid as far as sums that could be split would tell; where it turns out that they cannot, the last
//! ones are taken back. So the first handing out that is found is the first of all. Where funds have to be filled to the cent
//! it is also asked which sums the others can come to at all ([`super::reach`]).

use super::evening::{Waiting, even_out};
use super::part::{Part, Purse};
use super::pooled::Pooled;
use super::reach::Reach;

/// A plan handed out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Handed {
    /// For each member the place of the choice it has, in the list it had before choices were taken together.
    pub taken: Vec<Option<usize>>,
    /// Whether no handing out comes before it.
    pub first: bool,
    /// Whether there is another; none where that was not settled.
    pub several: Option<bool>,
    /// Whether everybody has the choice listed first.
    pub as_listed: bool,
}

/// How a plan can be handed out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Handing {
    /// So.
    Done(Handed),
    /// Not at all.
    Never,
    /// It was not found out.
    Unsettled,
}

/// How many are looked at before a search is given up.
const MOST: usize = 200_000;

/// How many times those waiting may be looked at before it is asked which sums they can come to.
const PLAINLY: usize = 4;

/// Hands out.
pub fn hand(part: &Part, pooled: &Pooled, plan: &[Option<usize>]) -> Handing {
    let own: Vec<&Purse> = part.purses.iter().filter(|purse| purse.funds.len() == 1).collect();
    let place = |fund: usize| own.iter().position(|purse| purse.funds.contains(&fund));
    let mut left: Vec<i64> = own.iter().map(|purse| purse.limit).collect();
    let mut waiting = Vec::new();
    let mut taken: Vec<Option<usize>> = Vec::with_capacity(plan.len());
    for (member, (of_pool, choice)) in pooled.part.members.iter().zip(plan).enumerate() {
        let open = choice.and_then(|choice| of_pool.choices.get(choice));
        taken.push(open.map(|open| open.index));
        match open {
            None => {}
            Some(open) if open.also.is_empty() => {
                if let Some(left) = place(open.choice.fund).and_then(|at| left.get_mut(at)) {
                    *left -= open.choice.cost;
                }
            }
            Some(open) => {
                let others = open.also.iter().map(|(fund, _)| place(*fund));
                let funds = std::iter::once(place(open.choice.fund)).chain(others).collect();
                waiting.push(Waiting { member, cost: open.choice.cost, funds });
            }
        }
    }
    if left.iter().any(|left| *left < 0) {
        return Handing::Never;
    }
    let mut search = Search::new(&waiting, left.clone());
    search.steps = MOST.saturating_sub(PLAINLY * waiting.len());
    let mut next = search.next();
    if let Next::GivenUp = next {
        search = Search { reach: Reach::of(&waiting, left.len()), ..Search::new(&waiting, left.clone()) };
        next = search.next();
    }
    let (found, first) = match next {
        Next::Found => (search.chosen.clone(), true),
        Next::None => return Handing::Never,
        Next::GivenUp => match even_out(&waiting, left) {
            Some(found) => (found, false),
            None => return Handing::Unsettled,
        },
    };
    let mut as_listed = true;
    for (waiting, fund) in waiting.iter().zip(&found) {
        let open = plan[waiting.member].and_then(|choice| pooled.part.members[waiting.member].choices.get(choice));
        if let (Some(at), Some(open)) = (fund.checked_sub(1), open) {
            taken[waiting.member] = open.also.get(at).map(|(_, place)| *place);
            as_listed = false;
        }
    }
    let several = match first {
        false => None,
        true if search.can_move() => Some(true),
        true => search.another(),
    };
    Handing::Done(Handed { taken, first, several, as_listed })
}

/// What going on with a search came to.
enum Next {
    Found,
    None,
    GivenUp,
}

/// Everybody in turn.
struct Search<'a> {
    waiting: &'a [Waiting],
    left: Vec<i64>,
    /// From each place on, what those need that only funds of a set can pay; the set as bits.
    need: Vec<Vec<i64>>,
    /// Which sums those from each place on can come to; none where that was not asked.
    reach: Option<Reach>,
    /// For those who have a fund already, which of theirs.
    chosen: Vec<usize>,
    steps: usize,
}

impl<'a> Search<'a> {
    fn new(waiting: &'a [Waiting], left: Vec<i64>) -> Self {
        let mut need = vec![vec![0; 1 << left.len()]; waiting.len() + 1];
        for (at, one) in waiting.iter().enumerate().rev() {
            let mut here = need[at + 1].clone();
            // A fund without a limit pays for whoever it can: no set of limited ones is needed.
            if let Some(funds) = one.funds.iter().try_fold(0_usize, |set, fund| Some(set | (1 << (*fund)?))) {
                for (_, need) in here.iter_mut().enumerate().filter(|(set, _)| set & funds == funds) {
                    *need += one.cost;
                }
            }
            need[at] = here;
        }
        Self { waiting, left, need, reach: None, chosen: Vec::new(), steps: 0 }
    }

    /// Whether those from a place on can be paid, if sums could be split, and as far as it is asked which sums there are.
    fn can_pay(&self, from: usize) -> bool {
        if self.left.iter().any(|left| *left < 0) {
            return false;
        }
        let held = |set: usize| -> i64 {
            let of_set = self.left.iter().enumerate().filter(|(at, _)| set & (1 << at) != 0);
            of_set.fold(0, |sum: i64, (_, left)| sum.saturating_add(*left))
        };
        self.need[from].iter().enumerate().all(|(set, need)| *need <= held(set))
            && self.reach.as_ref().is_none_or(|reach| reach.fills(from, &self.left))
    }

    /// Goes on to the next handing out.
    fn next(&mut self) -> Next {
        let mut from = 0;
        if self.chosen.is_empty() {
            if !self.can_pay(0) {
                return Next::None;
            }
            if self.waiting.is_empty() {
                return Next::Found;
            }
        } else if self.chosen.len() == self.waiting.len() {
            match self.take_back() {
                Some(next) => from = next,
                None => return Next::None,
            }
        }
        loop {
            let at = self.chosen.len();
            if at == self.waiting.len() {
                return Next::Found;
            }
            self.steps += 1;
            // Asking which sums there are takes longer, and finds soon what it finds.
            if self.steps > if self.reach.is_some() { MOST / 5 } else { MOST } {
                return Next::GivenUp;
            }
            let one = &self.waiting[at];
            let mut found = false;
            for fund in from..one.funds.len() {
                self.pay(one.funds[fund], one.cost);
                if self.can_pay(at + 1) {
                    self.chosen.push(fund);
                    found = true;
                    break;
                }
                self.pay(one.funds[fund], -one.cost);
            }
            from = 0;
            if !found {
                match self.take_back() {
                    Some(next) => from = next,
                    None => return Next::None,
                }
            }
        }
    }

    /// Takes the last one back; gives the fund to go on with.
    fn take_back(&mut self) -> Option<usize> {
        let fund = self.chosen.pop()?;
        let one = &self.waiting[self.chosen.len()];
        self.pay(one.funds[fund], -one.cost);
        Some(fund + 1)
    }

    fn pay(&mut self, fund: Option<usize>, cost: i64) {
        if let Some(left) = fund.and_then(|fund| self.left.get_mut(fund)) {
            *left -= cost;
        }
    }

    /// Whether somebody could simply be paid by another of their funds.
    fn can_move(&self) -> bool {
        self.waiting.iter().zip(&self.chosen).any(|(one, chosen)| {
            let others = one.funds.iter().enumerate().filter(|(at, _)| at != chosen);
            others.map(|(_, fund)| fund.map_or(i64::MAX, |fund| self.left[fund])).any(|left| left >= one.cost)
        })
    }

    /// Whether there is another handing out besides the one found.
    fn another(mut self) -> Option<bool> {
        if self.waiting.is_empty() {
            return Some(false);
        }
        self.steps = 0;
        match self.next() {
            Next::Found => Some(true),
            Next::None => Some(false),
            Next::GivenUp => None,
        }
    }
}
