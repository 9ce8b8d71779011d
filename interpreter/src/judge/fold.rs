//! Adding rooms up: the price of what they share, and the least and greatest total over all their choices.

use super::choices::{Choices, Pricing};
use super::outline::{Rooms, Ways};
use super::price::{BESIDES, COVERED, charged};
use super::shared_prices::SharedPrices;
use super::sharing::{Choice, End, NOTHING, Shared, WORK};
use super::solve::Ground;
use crate::plan::price::{Price, Scaled};

/// Which money figure is added up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Which {
    /// Cost now.
    Now,
    /// Cost if left.
    Left,
    /// What a fund covers.
    Aid(usize),
}

/// One end of a total.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Total {
    /// The sum, the least charge included.
    pub sum: Scaled,
    /// Whether a case reaches it.
    pub exact: bool,
    /// Whether a fund can cover nothing at all (least) or something (greatest).
    pub covered: bool,
    /// Whether a fund can cover what is known only on sight (greatest); whether it surely covers something that it names (least).
    pub besides: bool,
}

/// What rooms add to cost now and if left, as far as that is settled whatever other rooms add.
pub struct First {
    /// Cost now, least and greatest.
    now: [Choices; 2],
    /// Cost if left.
    left: [Choices; 2],
    exact: bool,
    loose: bool,
}

impl First {
    /// What these rooms add. `elsewhere` are the bits that others may bring in, now and if left.
    pub fn of(ground: Ground<'_>, prices: &SharedPrices, rooms: Rooms<'_>, elsewhere: (Shared, Shared)) -> Self {
        let settled = |which, elsewhere| {
            let (mut ends, exact, loose) = added(rooms, which);
            for (choices, end) in ends.iter_mut().zip([End::Low, End::High]) {
                choices.settle(pricing(ground, prices, which, end), elsewhere);
            }
            (ends, exact, loose)
        };
        let (now, exact, loose) = settled(Which::Now, elsewhere.0);
        Self { now, left: settled(Which::Left, elsewhere.1).0, exact, loose }
    }

    /// The least and the greatest cost now, and if left, over all cases of these rooms and others.
    pub fn with(&self, ground: Ground<'_>, prices: &SharedPrices, others: Rooms<'_>) -> [(Total, Total); 2] {
        [(Which::Now, &self.now), (Which::Left, &self.left)].map(|(which, first)| {
            let (others, exact, loose) = added(others, which);
            let mut ends = first.clone();
            for (end, others) in ends.iter_mut().zip(others) {
                end.add(&[others.base]);
                end.several.extend(others.several);
            }
            both(ground, prices, ends, which, (self.exact && exact, self.loose || loose))
        })
    }
}

/// The least and the greatest of a figure over all cases of the rooms, for one choice of the context.
pub fn totals(ground: Ground<'_>, prices: &SharedPrices, rooms: Rooms<'_>, which: Which) -> (Total, Total) {
    let (ends, exact, loose) = added(rooms, which);
    both(ground, prices, ends, which, (exact, loose))
}

/// What rooms add to both ends of a figure, whether that is reached by cases, and whether something only encloses.
fn added(rooms: Rooms<'_>, which: Which) -> ([Choices; 2], bool, bool) {
    let mut ends = [Choices::default(), Choices::default()];
    let (mut exact, mut loose) = (true, false);
    for (id, outline) in rooms.with_ids() {
        exact &= outline.exact;
        loose |= outline.enclosed;
        for (choices, end) in ends.iter_mut().zip([End::Low, End::High]) {
            if outline.ways(which, end) != Ways::Nothing {
                choices.add(rooms.choices((id, outline), which, end));
            }
        }
    }
    (ends, exact, loose)
}

fn pricing<'a>(ground: Ground<'_>, prices: &'a SharedPrices, which: Which, end: End) -> Pricing<'a> {
    let sharing = &ground.prepared.sharing;
    let left = which == Which::Left;
    Pricing { prices, left, end, fickle: if left { sharing.fickle } else { sharing.fickle_steps } }
}

fn both(
    ground: Ground<'_>,
    prices: &SharedPrices,
    [low, high]: [Choices; 2],
    which: Which,
    (exact, loose): (bool, bool),
) -> (Total, Total) {
    let sharing = &ground.prepared.sharing;
    let sure = (exact && !sharing.overflowed && ground.prepared.built.exact_prices, loose || sharing.overflowed);
    let total = |choices, end| total(ground, prices, choices, (which, end), sure);
    (total(low, End::Low), total(high, End::High))
}

fn total(
    ground: Ground<'_>,
    prices: &SharedPrices,
    mut choices: Choices,
    (which, end): (Which, End),
    (exact, loose): (bool, bool),
) -> Total {
    if !choices.join(pricing(ground, prices, which, end)) {
        return enclosed(ground, prices, &choices, which, end);
    }
    let Choices { base, several } = choices;
    let states = several.first().map_or(std::slice::from_ref(&NOTHING), Vec::as_slice);
    let mut best: Option<Total> = None;
    for state in states {
        let state = Choice { own: base.own + state.own, shared: base.shared | state.shared };
        let total = priced(ground, prices, state, which, end, exact, loose);
        let better = best.is_none_or(|b| if end == End::Low { total.sum < b.sum } else { total.sum > b.sum });
        let covered = best.is_some_and(|b| b.covered);
        let besides = match end {
            End::Low => best.is_none_or(|b| b.besides) && total.besides,
            End::High => best.is_some_and(|b| b.besides) || total.besides,
        };
        let wanted = match end {
            End::Low => best.is_none_or(|b| b.covered) && total.covered,
            End::High => covered || total.covered,
        };
        if better {
            best = Some(total);
        }
        if let Some(best) = &mut best {
            best.covered = wanted;
            best.besides = besides;
        }
    }
    best.unwrap_or(Total { sum: 0, exact, covered: false, besides: false })
}

/// One way of all. Where the bits are only enclosed (`loose`), nothing that may be there or not is counted as taking
/// something else away.
fn priced(ground: Ground<'_>, prices: &SharedPrices, state: Choice, which: Which, end: End, exact: bool, loose: bool) -> Total {
    let sharing = &ground.prepared.sharing;
    let left = which == Which::Left;
    let fickle = if left { sharing.fickle } else { sharing.fickle_steps };
    let shared = if loose && end == End::Low { state.shared & !fickle } else { state.shared };
    let (sum, works, sure) = prices.sum(shared, left, if loose { !fickle } else { Shared::MAX }, end);
    let sum = charged(state.own + sum, works || shared & WORK != 0, ground.least_charge);
    Total { sum, exact: exact && sure, covered: state.shared & COVERED != 0, besides: state.shared & BESIDES != 0 }
}

/// Too many ways to add up: for the least the own sums alone, for the greatest everything that any of them shares.
fn enclosed(ground: Ground<'_>, prices: &SharedPrices, choices: &Choices, which: Which, end: End) -> Total {
    let mut state = choices.base;
    for choices in &choices.several {
        let own = choices.iter().map(|c| c.own);
        let (own, shared) = match end {
            End::Low => (own.min(), choices.iter().fold(Shared::MAX, |all, c| all & c.shared)),
            End::High => (own.max(), choices.iter().fold(0, |all, c| all | c.shared)),
        };
        state.own += own.unwrap_or(0);
        state.shared |= shared;
    }
    priced(ground, prices, state, which, end, false, true)
}

/// Whether a price is the same whatever is still open.
pub fn hangs_on_nothing_open(ground: Ground<'_>, price: &Price) -> bool {
    if let Price::Open(open) = price {
        return ground.seen.open_prices.get(*open as usize).is_some_and(|(.., exact)| *exact);
    }
    let mut sure = true;
    price.variables(&ground.prepared.built.layout.view.atoms, &mut |v| sure &= ground.seen.sets[v as usize].count_ones() <= 1);
    sure
}
