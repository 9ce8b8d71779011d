//! Adding rooms up: the price of what they share, and the least and greatest total over all their choices.

use super::sharing::{Choice, End, Shared, WORK, join, prune};
use super::solve::{COVERED, Figure, Ground, RoomResult, charged, price_bounds};
use crate::plan::node::InstanceId;
use crate::plan::price::Scaled;

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

impl Which {
    fn of(self, result: &RoomResult) -> &Figure {
        match self {
            Which::Now => &result.now,
            Which::Left => &result.left,
            Which::Aid(aid) => &result.aids[aid],
        }
    }
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
}

/// The least or the greatest of a figure over all cases of the rooms, for one choice of the context.
pub fn total(ground: Ground<'_>, results: &[&RoomResult], which: Which, end: End) -> Total {
    let sharing = &ground.prepared.sharing;
    let fickle = if which == Which::Left { sharing.fickle } else { 0 };
    let mut base = Choice { own: 0, shared: 0 };
    let mut many: Vec<Vec<Choice>> = Vec::new();
    let mut exact = !sharing.overflowed && ground.prepared.built.exact_prices;
    for result in results {
        let figure = which.of(result);
        let choices = if end == End::Low { &figure.low } else { &figure.high };
        match choices.as_slice() {
            [] => {}
            [only] => {
                base.own += only.own;
                base.shared |= only.shared;
            }
            several => many.push(several.to_vec()),
        }
        exact &= result.exact;
    }
    let mut states = vec![base];
    if !many.is_empty() {
        for choices in &mut many {
            // What the others share anyway makes no difference here.
            for choice in choices.iter_mut() {
                choice.shared |= base.shared;
            }
            prune(choices, end, fickle);
        }
        many.sort_by_key(Vec::len);
        for at in 0..many.len() {
            if !join(&mut states, &many[at], end, fickle) {
                return enclosed(ground, &states, &many[at..], which, end);
            }
        }
    }
    let mut best: Option<Total> = None;
    for state in &states {
        let total = priced(ground, *state, which, end, exact);
        let better = best.is_none_or(|b| if end == End::Low { total.sum < b.sum } else { total.sum > b.sum });
        let covered = best.is_some_and(|b| b.covered);
        let wanted = match end {
            End::Low => best.is_none_or(|b| b.covered) && total.covered,
            End::High => covered || total.covered,
        };
        if better {
            best = Some(total);
        }
        if let Some(best) = &mut best {
            best.covered = wanted;
        }
    }
    best.unwrap_or(Total { sum: 0, exact, covered: false })
}

fn priced(ground: Ground<'_>, state: Choice, which: Which, end: End, exact: bool) -> Total {
    let (shared, works, sure) = shared_price(ground, state.shared, which == Which::Left, end);
    let sum = charged(state.own + shared, works, ground.least_charge);
    Total { sum, exact: exact && sure, covered: state.shared & COVERED != 0 }
}

/// Too many ways to add up: for the least the own sums alone, for the greatest everything that any of them shares.
fn enclosed(ground: Ground<'_>, states: &[Choice], rest: &[Vec<Choice>], which: Which, end: End) -> Total {
    let pick = |choices: &[Choice]| -> Choice {
        let own = choices.iter().map(|c| c.own);
        match end {
            End::Low => Choice { own: own.min().unwrap_or(0), shared: choices.iter().fold(Shared::MAX, |all, c| all & c.shared) },
            End::High => Choice { own: own.max().unwrap_or(0), shared: choices.iter().fold(0, |all, c| all | c.shared) },
        }
    };
    let mut state = pick(states);
    for choices in rest {
        let next = pick(choices);
        state.own += next.own;
        state.shared |= next.shared;
    }
    if which == Which::Left && end == End::Low {
        // Fickle bits may lower the total: leave the shared part out.
        state.shared &= !ground.prepared.sharing.fickle;
    }
    Total { exact: false, ..priced(ground, state, which, end, false) }
}

/// What shared bits cost together, whether there is any work in it, and whether the price is certain.
fn shared_price(ground: Ground<'_>, shared: Shared, left: bool, end: End) -> (Scaled, bool, bool) {
    let layout = &ground.prepared.built.layout;
    let sharing = &ground.prepared.sharing;
    let (mut sum, mut works, mut sure) = (0, shared & WORK != 0, true);
    let add = |price: (Scaled, Scaled), sum: &mut Scaled| {
        *sum += if end == End::Low { price.0 } else { price.1 };
        // A price that still hangs on something open is only enclosed.
    };
    let mut steps: Shared = shared;
    if left {
        for &(bit, id) in &sharing.instance_of {
            if shared >> bit & 1 == 0 || !stands(ground, id, shared) {
                continue;
            }
            let instance = &layout.instances[id as usize];
            works |= instance.works;
            for goods in &instance.goods {
                add(price_bounds(ground, goods), &mut sum);
            }
            for &occurrence in &instance.occurrences {
                match sharing.steps[occurrence as usize] {
                    Some(bit) => steps |= 1 << bit,
                    None => add(price_bounds(ground, &layout.occurrences[occurrence as usize].price), &mut sum),
                }
            }
        }
    }
    for &(bit, id) in &sharing.step_of {
        if steps >> bit & 1 == 0 {
            continue;
        }
        let occurrence = &layout.occurrences[id as usize];
        let falls_away =
            occurrence.included_by.iter().any(|by| sharing.steps[*by as usize].is_some_and(|bit| steps >> bit & 1 == 1));
        if !falls_away {
            let price = price_bounds(ground, &occurrence.price);
            sure &= hangs_on_nothing_open(ground, id);
            add(price, &mut sum);
        }
    }
    (sum, works, sure)
}

/// Whether a goal stands among the goals that hold.
fn stands(ground: Ground<'_>, id: InstanceId, shared: Shared) -> bool {
    let sharing = &ground.prepared.sharing;
    !ground.prepared.built.layout.instances[id as usize]
        .yields_to
        .iter()
        .any(|other| *other != id && sharing.holds[*other as usize].is_some_and(|bit| shared >> bit & 1 == 1))
}

fn hangs_on_nothing_open(ground: Ground<'_>, occurrence: u32) -> bool {
    let layout = &ground.prepared.built.layout;
    let mut sure = true;
    let price = &layout.occurrences[occurrence as usize].price;
    if let crate::plan::price::Price::Open(open) = price {
        return ground.seen.open_prices.get(*open as usize).is_some_and(|(.., exact)| *exact);
    }
    price.variables(&layout.atoms, &mut |v| sure &= ground.seen.sets[v as usize].count_ones() <= 1);
    sure
}

/// What one finding costs by itself if left, with its least charge, and the expected extra before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AloneLeft {
    /// Least and greatest if left.
    pub left: (Scaled, Scaled),
    /// Whether both ends are reached.
    pub exact: bool,
    /// Expected extra at each end, in shares, as a fraction; none unless every arrow has odds.
    pub extra: Option<(purfle_lang::number::Number, purfle_lang::number::Number)>,
    /// Whether a cost known only on sight is in it.
    pub on_sight: bool,
}

/// The most arrows of one chain whose outcomes are all tried.
const MOST_ARROWS: usize = 12;

/// Works out what a finding costs by itself if left.
pub fn alone_left(ground: Ground<'_>, id: InstanceId) -> AloneLeft {
    use purfle_lang::number::Number;
    let layout = &ground.prepared.built.layout;
    let applies = |node: &crate::plan::node::Node| node.bounds(&layout.atoms, &ground.seen.sets, &[]);
    let mut exact = true;
    let mut arrows: Vec<(InstanceId, InstanceId, Option<Number>)> = Vec::new();
    let mut chain = vec![id];
    let mut at = 0;
    while let Some(&from) = chain.get(at) {
        at += 1;
        for (goal, odds, when) in &layout.instances[from as usize].becomes {
            let bounds = applies(when);
            exact &= bounds.surely == bounds.possibly;
            if bounds.possibly {
                arrows.push((from, *goal, *odds));
                if !chain.contains(goal) {
                    chain.push(*goal);
                }
            }
        }
    }
    let on_sight = chain.iter().any(|id| layout.instances[*id as usize].on_sight);
    let now = set_price(ground, &[id]);
    let all = set_price(ground, &chain);
    let left = if exact { all } else { ((now.0).min(all.0), (now.1).max(all.1), all.2) };
    let charge = |sum: Scaled| charged(sum, all.2, ground.least_charge);
    let known = arrows.iter().all(|(.., odds)| odds.is_some());
    let extra = (known && exact && !arrows.is_empty() && arrows.len() <= MOST_ARROWS).then(|| {
        let (mut low, mut high) = (Number::from_integer(0), Number::from_integer(0));
        for taken in 0..1_u32 << arrows.len() {
            let mut chance = Number::from_integer(1);
            for (i, (.., odds)) in arrows.iter().enumerate() {
                let odds = odds.unwrap_or_default();
                chance *= if taken >> i & 1 == 1 { odds } else { Number::from_integer(1) - odds };
            }
            if chance == Number::from_integer(0) {
                continue;
            }
            let mut reached = vec![id];
            let mut at = 0;
            while let Some(&from) = reached.get(at) {
                at += 1;
                for (i, (source, goal, _)) in arrows.iter().enumerate() {
                    if *source == from && taken >> i & 1 == 1 && !reached.contains(goal) {
                        reached.push(*goal);
                    }
                }
            }
            let sum = set_price(ground, &reached);
            low += chance * Number::from_integer(sum.0 - now.0);
            high += chance * Number::from_integer(sum.1 - now.1);
        }
        (low, high)
    });
    AloneLeft { left: (charge(left.0), charge(left.1)), exact, extra, on_sight }
}

/// What a set of findings costs together, those that yield to another left out; before the least charge.
fn set_price(ground: Ground<'_>, holding: &[InstanceId]) -> (Scaled, Scaled, bool) {
    let layout = &ground.prepared.built.layout;
    let mut steps: Vec<u32> = Vec::new();
    let (mut low, mut high) = (0, 0);
    for &id in holding {
        let instance = &layout.instances[id as usize];
        if instance.yields_to.iter().any(|other| *other != id && holding.contains(other)) {
            continue;
        }
        for goods in &instance.goods {
            let price = price_bounds(ground, goods);
            low += price.0;
            high += price.1;
        }
        for &occurrence in &instance.occurrences {
            if !steps.contains(&occurrence) {
                steps.push(occurrence);
            }
        }
    }
    for &step in &steps {
        if !layout.occurrences[step as usize].included_by.iter().any(|by| steps.contains(by)) {
            let price = price_bounds(ground, &layout.occurrences[step as usize].price);
            low += price.0;
            high += price.1;
        }
    }
    (low, high, !steps.is_empty())
}
