//! What one finding costs by itself if it is left: all it can become, and the expected extra.

use purfle_lang::number::Number;
use rustc_hash::FxHashMap;

use super::fold::hangs_on_nothing_open;
use super::price::{charged, price_bounds};
use super::solve::Ground;
use crate::plan::layout::{Layout, OtherWay};
use crate::plan::price::{Price, Scaled};
use purfle_lang::finite::node::{CellSet, InstanceId, VariableId};

/// What one finding costs by itself if left, with its least charge, and the expected extra before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AloneLeft {
    /// Least and greatest if left.
    pub left: (Scaled, Scaled),
    /// Whether both ends are reached.
    pub exact: bool,
    /// Expected extra at each end, in shares, as a fraction; none unless every arrow has odds and applies for certain.
    pub extra: Option<(Number, Number)>,
    /// Whether a cost known only on sight is in it.
    pub on_sight: bool,
}

impl AloneLeft {
    /// This one or that one: two choices of the context.
    pub fn or(self, other: Self) -> Self {
        let extra = match (self.extra, other.extra) {
            (Some(a), Some(b)) => Some((a.0.min(b.0), a.1.max(b.1))),
            _ => None,
        };
        Self {
            left: (self.left.0.min(other.left.0), self.left.1.max(other.left.1)),
            exact: self.exact && other.exact,
            extra,
            on_sight: self.on_sight || other.on_sight,
        }
    }
}

/// One thing becoming another.
#[derive(Clone, Copy)]
struct Step {
    from: InstanceId,
    to: InstanceId,
    odds: Option<Number>,
    /// Whether it surely applies.
    surely: bool,
}

/// The most arrows of one chain whose outcomes are all tried.
const MOST_ARROWS: usize = 12;

/// What was worked out of single findings before.
#[derive(Debug, Default)]
pub struct AloneMemory {
    known: FxHashMap<(usize, InstanceId, Vec<CellSet>), AloneLeft>,
}

/// The most that is remembered of single findings.
const MOST_REMEMBERED: usize = 1 << 14;

impl AloneMemory {
    /// What a finding costs by itself if left, for the context that is set in the ground.
    pub fn left(&mut self, ground: Ground<'_>, id: InstanceId) -> AloneLeft {
        let Some(reads) = &ground.prepared.left_reads[id as usize] else {
            return alone_left(ground, id);
        };
        let key = (ground.prepared.number, id, reads.iter().map(|v| ground.seen.sets[*v as usize]).collect::<Vec<_>>());
        if let Some(known) = self.known.get(&key) {
            return *known;
        }
        let left = alone_left(ground, id);
        if self.known.len() < MOST_REMEMBERED {
            self.known.insert(key, left);
        }
        left
    }
}

/// The variables that decide what a finding costs by itself if left; none where a record brings a price of its own.
pub fn left_reads(layout: &Layout, id: InstanceId) -> Option<Vec<VariableId>> {
    let mut variables = Vec::new();
    for link in layout.chain(vec![id]) {
        let link = &layout.instances[link as usize];
        let steps = link.occurrences.iter().map(|step| &layout.occurrences[*step as usize].price);
        for price in link.goods.iter().chain(steps) {
            if matches!(price, Price::Open(_)) {
                return None;
            }
            price.variables(&layout.view.atoms, &mut |v| variables.push(v));
        }
        for (_, _, applies) in &link.becomes {
            let read = &mut |atom: u32| variables.extend(layout.view.atoms[atom as usize].variables.iter().map(|(v, _)| *v));
            applies.visit(read, &mut |_| {});
        }
    }
    variables.sort_unstable();
    variables.dedup();
    Some(variables)
}

/// Works out what a finding costs by itself if left.
fn alone_left(ground: Ground<'_>, id: InstanceId) -> AloneLeft {
    let steps = steps(ground, id);
    let doubtful: Vec<usize> = (0..steps.len()).filter(|at| !steps[*at].surely).collect();
    if doubtful.len() > MOST_ARROWS {
        return enclosed(ground, id, &steps);
    }
    let mut whole: Option<AloneLeft> = None;
    for applying in 0..1_u32 << doubtful.len() {
        let counts = |at: usize| doubtful.iter().position(|d| *d == at).is_none_or(|bit| applying >> bit & 1 == 1);
        let price = set_price(ground, &reached(id, &steps, counts));
        let charge = |sum: Scaled| charged(sum, price.works, ground.least_charge);
        let way = AloneLeft {
            left: (charge(price.low), charge(price.high)),
            exact: price.settled,
            extra: None,
            on_sight: price.on_sight,
        };
        whole = Some(whole.map_or(way, |whole| whole.or(way)));
    }
    let Some(whole) = whole else {
        return enclosed(ground, id, &steps);
    };
    let extra = if doubtful.is_empty() { extra(ground, id, &steps) } else { None };
    AloneLeft { exact: whole.exact && doubtful.is_empty(), extra, ..whole }
}

/// Everything that can come of a finding, arrow by arrow.
fn steps(ground: Ground<'_>, id: InstanceId) -> Vec<Step> {
    let layout = &ground.prepared.built.layout;
    let mut steps = Vec::new();
    let mut chain = vec![id];
    let mut at = 0;
    while let Some(&from) = chain.get(at) {
        at += 1;
        for (to, odds, when) in &layout.instances[from as usize].becomes {
            let bounds = when.bounds(&layout.view.atoms, &ground.seen.sets, &[]);
            if bounds.possibly {
                steps.push(Step { from, to: *to, odds: *odds, surely: bounds.surely });
                if !chain.contains(to) {
                    chain.push(*to);
                }
            }
        }
    }
    steps
}

/// What is there in the end when these arrows come true.
fn reached(id: InstanceId, steps: &[Step], comes_true: impl Fn(usize) -> bool) -> Vec<InstanceId> {
    let mut reached = vec![id];
    let mut at = 0;
    while let Some(&from) = reached.get(at) {
        at += 1;
        for (i, step) in steps.iter().enumerate() {
            if step.from == from && comes_true(i) && !reached.contains(&step.to) {
                reached.push(step.to);
            }
        }
    }
    reached
}

/// Too many arrows that may or may not apply: nothing at the least, each by itself at the greatest.
fn enclosed(ground: Ground<'_>, id: InstanceId, steps: &[Step]) -> AloneLeft {
    let mut whole = AloneLeft { left: (0, 0), exact: false, extra: None, on_sight: false };
    for one in reached(id, steps, |_| true) {
        let price = set_price(ground, &[one]);
        whole.left.1 += charged(price.high, price.works, ground.least_charge);
        whole.on_sight |= price.on_sight;
    }
    whole
}

/// The expected extra over all outcomes of the arrows, each independent; none if an arrow has no odds.
fn extra(ground: Ground<'_>, id: InstanceId, steps: &[Step]) -> Option<(Number, Number)> {
    if steps.is_empty() || steps.len() > MOST_ARROWS {
        return None;
    }
    let odds: Vec<Number> = steps.iter().map(|step| step.odds).collect::<Option<_>>()?;
    let (nothing, whole) = (Number::from_integer(0), Number::from_integer(1));
    let now = set_price(ground, &[id]);
    let (mut low, mut high) = (nothing, nothing);
    for taken in 0..1_u32 << steps.len() {
        let comes_true = |at: usize| taken >> at & 1 == 1;
        let chance =
            odds.iter().enumerate().fold(whole, |chance, (at, odds)| chance * if comes_true(at) { *odds } else { whole - *odds });
        if chance == nothing {
            continue;
        }
        let price = set_price(ground, &reached(id, steps, comes_true));
        if !price.settled {
            return None;
        }
        low += chance * Number::from_integer(price.low - now.low);
        high += chance * Number::from_integer(price.high - now.high);
    }
    Some((low, high))
}

/// What each further way of mending a finding costs by itself, with its least charge, and whether both ends are reached.
pub fn other_ways(ground: Ground<'_>, id: InstanceId) -> Vec<((Scaled, Scaled), bool)> {
    let layout = &ground.prepared.built.layout;
    let priced = |way: &OtherWay| {
        let counts = |at: usize| {
            let step = way.occurrences[at];
            !way.occurrences[..at].contains(&step)
                && !layout.occurrences[step as usize].included_by.iter().any(|other| way.occurrences.contains(other))
        };
        let steps = (0..way.occurrences.len()).filter(|at| counts(*at)).map(|at| way.occurrences[at]);
        let prices = steps.map(|step| &layout.occurrences[step as usize].price).chain(&way.goods);
        let (mut sum, mut settled) = ((0, 0), true);
        for price in prices {
            let (low, high) = price_bounds(ground, price);
            sum = (sum.0 + low, sum.1 + high);
            settled &= hangs_on_nothing_open(ground, price);
        }
        let charge = |sum: Scaled| charged(sum, !way.occurrences.is_empty(), ground.least_charge);
        ((charge(sum.0), charge(sum.1)), settled)
    };
    layout.instances[id as usize].ways.iter().map(priced).collect()
}

/// What a set of findings costs together, before the least charge.
struct SetPrice {
    low: Scaled,
    high: Scaled,
    works: bool,
    on_sight: bool,
    /// Whether no price hangs on anything open.
    settled: bool,
}

/// Prices a set of findings together, those that yield to another left out.
fn set_price(ground: Ground<'_>, holding: &[InstanceId]) -> SetPrice {
    let layout = &ground.prepared.built.layout;
    let mut steps: Vec<u32> = Vec::new();
    let mut sum = SetPrice { low: 0, high: 0, works: false, on_sight: false, settled: true };
    let mut add = |price| {
        let (low, high) = price_bounds(ground, price);
        (sum.low, sum.high) = (sum.low + low, sum.high + high);
        sum.settled &= hangs_on_nothing_open(ground, price);
    };
    let mut on_sight = false;
    for &id in holding {
        let instance = &layout.instances[id as usize];
        if instance.yields_to.iter().any(|other| *other != id && holding.contains(other)) {
            continue;
        }
        on_sight |= instance.on_sight;
        instance.goods.iter().for_each(&mut add);
        for &occurrence in &instance.occurrences {
            if !steps.contains(&occurrence) {
                steps.push(occurrence);
            }
        }
    }
    for &step in &steps {
        let occurrence = &layout.occurrences[step as usize];
        if !occurrence.included_by.iter().any(|by| steps.contains(by)) {
            add(&occurrence.price);
        }
    }
    SetPrice { works: !steps.is_empty(), on_sight, ..sum }
}
