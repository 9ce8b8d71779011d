//! Whether what anything costs is the same in two books, by what it is made of.
//!
//! A cost of the whole outcome shares steps, leaves out what yields, and is raised to the least charge, so it is only the
//! same for certain where all of that is. Where it is not, nothing is claimed.

use std::collections::BTreeSet;

use rustc_hash::FxHashMap;

use super::both::{Both, Pair};
use super::carry::Carry;
use super::claims::{FindingClaims, Kind, Known, Weighing};
use super::dearer;
use super::whole::{Whole, WholeClaim, holds_otherwise};
use crate::book::{Aid, Book, Condition, Finding, FindingId, Value, Way, WorkId};
use crate::number::Number;
use crate::search::Case;

/// What of one book's money there is to compare, in the terms of both.
#[derive(Debug, Default)]
pub(super) struct Money {
    /// Bench steps by name.
    pub works: FxHashMap<String, Bench>,
    /// Findings by name.
    pub findings: FxHashMap<String, Work>,
    /// The ways of mending a finding beside the one that counts, by their names.
    pub others: FxHashMap<String, Vec<OtherWay>>,
    /// Whom each fund is for.
    aids: FxHashMap<String, Option<Condition>>,
}

/// A bench step.
#[derive(Debug, PartialEq)]
pub(super) struct Bench {
    /// How much.
    pub amount: Value,
    /// What one unit of that costs.
    pub rate: Number,
    /// Whether it is done once an instrument.
    pub once: bool,
    /// What it does as well.
    pub includes: BTreeSet<String>,
    /// Whether its price hangs on something of which the one book says otherwise than the other when it applies.
    pub doubtful: bool,
}

/// What mending a finding takes, and what stands beside it in a sum.
#[derive(Debug, PartialEq)]
pub(super) struct Work {
    /// Bench steps.
    pub steps: BTreeSet<String>,
    /// Prices of goods.
    pub goods: Vec<Value>,
    on_sight: bool,
    /// Whether a price of goods hangs on something of which the one book says otherwise than the other when it applies.
    pub doubtful: bool,
    /// What it is listed under.
    pub yields_to: BTreeSet<String>,
    /// What it becomes if left.
    pub becomes: BTreeSet<String>,
}

/// A way of mending that counts in no sum.
#[derive(Debug, PartialEq)]
pub(super) struct OtherWay {
    name: String,
    hands: String,
    /// Bench steps.
    pub steps: BTreeSet<String>,
    goods: Vec<Value>,
    on_sight: bool,
    /// Whether a price of goods hangs on something of which the one book says otherwise than the other when it applies.
    pub doubtful: bool,
}

impl Work {
    /// Whether it adds nothing to a sum.
    pub fn nothing(&self) -> bool {
        self.steps.is_empty() && self.goods.is_empty() && !self.on_sight
    }
}

impl Money {
    /// That of a book which is being carried.
    pub fn of(book: &Book, carry: &mut Carry<'_>) -> Self {
        let work_names = |works: &[WorkId]| works.iter().map(|work| book[*work].name.clone()).collect();
        let names = |findings: &mut dyn Iterator<Item = FindingId>| findings.map(|id| book[id].name.clone()).collect();
        let mut money = Money::default();
        for work in &book.works {
            let rate = book.hands.get(work.by.index()).and_then(|hand| hand.rate).filter(|_| work.timed);
            let bench = Bench {
                amount: carry.value(&work.amount),
                rate: rate.unwrap_or_else(|| Number::from_integer(i128::from(work.timed) + 1)),
                once: work.once,
                includes: work_names(&work.includes),
                doubtful: carry.doubtful(&work.amount),
            };
            money.works.insert(work.name.clone(), bench);
        }
        for finding in &book.findings {
            let Finding { yields_to, becomes, .. } = finding;
            let cost = finding.counted_cost();
            let work = Work {
                steps: work_names(&cost.work),
                goods: cost.goods.iter().map(|goods| carry.value(&goods.price)).collect(),
                on_sight: cost.on_sight,
                doubtful: cost.goods.iter().any(|goods| carry.doubtful(&goods.price)),
                yields_to: names(&mut yields_to.iter().copied()),
                becomes: names(&mut becomes.iter().map(|arrow| arrow.to)),
            };
            money.findings.insert(finding.name.clone(), work);
            let other = |way: &Way| OtherWay {
                name: way.name.clone(),
                hands: book[way.hands].name.clone(),
                steps: work_names(&way.cost.work),
                goods: way.cost.goods.iter().map(|goods| carry.value(&goods.price)).collect(),
                on_sight: way.cost.on_sight,
                doubtful: way.cost.goods.iter().any(|goods| carry.doubtful(&goods.price)),
            };
            let mut others: Vec<OtherWay> = finding.ways.iter().skip(1).map(other).collect();
            others.sort_by(|one, other| one.name.cmp(&other.name));
            money.others.insert(finding.name.clone(), others);
        }
        for aid in &book.aids {
            money.aids.insert(aid.name.clone(), aid.who.as_ref().map(|who| carry.condition(who)));
        }
        money
    }
}

/// Figures of the whole outcome that are proved to be the same.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SameFigures {
    /// What it costs.
    pub cost: Proved,
    /// What it costs if left.
    pub left: Proved,
    /// The tiers, wherever the costs are the same.
    pub tiers: bool,
    /// By when it is to be seen to, and when to look again.
    pub when: bool,
    /// Funds that are not proved to say the same, by name.
    pub aids: Vec<String>,
    /// Counsels that ask for sums and are not proved to say the same.
    pub counsels: Vec<SumCounsel>,
}

/// A counsel that asks for sums and is not proved to say the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SumCounsel {
    /// Its name.
    pub name: String,
    /// Cases in which it may come out differently, for some sum.
    pub cases: Vec<Case>,
}

/// What is proved of a sum.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Proved {
    /// It is higher at no end, in no record.
    pub never_dearer: bool,
    /// It is lower at no end, in no record.
    pub never_cheaper: bool,
}

impl Proved {
    /// Whether it is always the same.
    pub fn same(self) -> bool {
        self.never_dearer && self.never_cheaper
    }
}

/// What follows for the sums of the whole outcome from what is known of its findings.
pub fn same_figures(weighing: &Weighing<'_>, findings: &[FindingClaims], whole: &[WholeClaim]) -> SameFigures {
    let both = weighing.both;
    let (old, new) = (&both.old_money, &both.new_money);
    let moves: BTreeSet<&str> = findings
        .iter()
        .filter(|claims| claims.ways.iter().any(|(kind, known)| holds_otherwise(*kind) && *known != Known::Never))
        .map(|claims| both.pairs[claims.pair].name.as_str())
        .collect();
    let asked: BTreeSet<&str> = [old, new]
        .into_iter()
        .flat_map(|side| side.findings.values())
        .flat_map(|work| &work.yields_to)
        .map(String::as_str)
        .collect();
    let reached: BTreeSet<&str> = [old, new]
        .into_iter()
        .flat_map(|side| side.findings.values())
        .flat_map(|work| &work.becomes)
        .map(String::as_str)
        .collect();
    // A finding that holds in other cases changes no sum where it has no price and nothing makes room for it.
    let weightless = |name: &str| {
        let nothing = |side: &Money| side.findings.get(name).is_none_or(Work::nothing);
        nothing(old) && nothing(new) && !asked.contains(name)
    };
    let alone = |name: &str| {
        let stays = |side: &Money| side.findings.get(name).is_none_or(|work| work.becomes.is_empty());
        stays(old) && stays(new) && !reached.contains(name)
    };
    let same_work = |name: &str| match (old.findings.get(name), new.findings.get(name)) {
        (Some(one), Some(other)) => {
            !one.doubtful
                && (&one.steps, &one.goods, one.on_sight, &one.yields_to)
                    == (&other.steps, &other.goods, other.on_sight, &other.yields_to)
        }
        // One that only one of the books has counts by the cases in which it holds; where it never does, by what can become it.
        _ => weightless(name) || (!moves.contains(name) && !reached.contains(name)),
    };
    let used: BTreeSet<&String> =
        [old, new].into_iter().flat_map(|side| side.findings.values()).flat_map(|work| &work.steps).collect();
    let same_bench = used.iter().all(|step| same_bench(old, new, step, &mut BTreeSet::new()));
    let names = || both.pairs.iter().map(|pair| pair.name.as_str());
    // Where a finding is judged decides what it yields to, what it becomes, and how often a step counts.
    let placed = both.pairs.iter().all(|pair| match (pair.old, pair.new) {
        (Some((_, one)), Some((_, other))) => {
            let at = |id: FindingId| (both.book[id].on, both.book[id].each);
            at(one) == at(other)
        }
        _ => true,
    });
    let money = both.old.money == both.new.money;
    let cost = money
        && placed
        && same_bench
        && both.old.least_charge == both.new.least_charge
        && names().all(|name| same_work(name) && (!moves.contains(name) || weightless(name)));
    let same_arrows = |name: &str| match (old.findings.get(name), new.findings.get(name)) {
        (Some(one), Some(other)) => one.becomes == other.becomes,
        _ => alone(name),
    };
    let left = cost && both.applies_alike() && names().all(|name| same_arrows(name) && (!moves.contains(name) || alone(name)));
    let could = |wanted: Kind| -> BTreeSet<&str> {
        let ever = |claims: &&FindingClaims| claims.ways.iter().any(|(kind, known)| *kind == wanted && *known != Known::Never);
        findings.iter().filter(ever).map(|claims| both.pairs[claims.pair].name.as_str()).collect()
    };
    let (gained, lost) = (could(Kind::Found), could(Kind::NotFound));
    let up = dearer::Way { both, from: (both.old, old), to: (both.new, new), gained: gained.clone(), lost: lost.clone() };
    let down = dearer::Way { both, from: (both.new, new), to: (both.old, old), gained: lost, lost: gained };
    let (up, down) = (up.never(), down.never());
    let proved = |same: bool, up: bool, down: bool| Proved { never_dearer: same || up, never_cheaper: same || down };
    let costs = proved(cost, up.dearer, down.dearer);
    let tiers = {
        let list = |book: &Book| book.tiers.iter().map(|tier| (tier.name.clone(), tier.up_to)).collect::<Vec<_>>();
        list(both.old) == list(both.new)
    };
    let urgency = !whole.iter().any(|claim| matches!(claim.way, Whole::Urgency(_)));
    let again = {
        let of = |book: &Book, name: &str| book.find_finding(name).and_then(|id| book[id].again);
        let moved = |name: &str| moves.contains(name) && (of(both.old, name).is_some() || of(both.new, name).is_some());
        names().all(|name| of(both.old, name) == of(both.new, name) && !moved(name))
    };
    let within = |book: &Book| book.steps.iter().map(|step| (step.name.clone(), step.within)).collect::<Vec<_>>();
    let when = urgency && again && within(both.old) == within(both.new);
    let aids = aids(both, &moves);
    let counsels = counsels(weighing, costs.same(), tiers);
    SameFigures { cost: costs, left: proved(left, up.dearer_if_left, down.dearer_if_left), tiers, when, aids, counsels }
}

impl Both<'_> {
    /// Whether a finding of both costs the same wherever it holds, by what that is made of, and becomes the same if left.
    pub(super) fn same_money(&self, name: &str) -> bool {
        let (old, new) = (&self.old_money, &self.new_money);
        let (Some(one), Some(other)) = (old.findings.get(name), new.findings.get(name)) else { return false };
        one == other && !one.doubtful && one.steps.iter().all(|step| same_bench(old, new, step, &mut BTreeSet::new()))
    }

    /// What a finding of either becomes if left, by name.
    pub(super) fn becomes(&self, name: &str) -> BTreeSet<&String> {
        let sides = [&self.old_money, &self.new_money];
        sides.into_iter().filter_map(|side| side.findings.get(name)).flat_map(|work| &work.becomes).collect()
    }

    /// Whether both have the same funds, which say the same of the same findings and costs.
    pub(super) fn same_aids(&self) -> bool {
        let said = |book: &Book, money: &Money| {
            let one = |aid: &Aid| (aid.name.clone(), aid_says(book, aid), money.aids.get(&aid.name).cloned());
            book.aids.iter().map(one).collect::<Vec<_>>()
        };
        said(self.old, &self.old_money) == said(self.new, &self.new_money)
    }
}

/// All that a fund says, but whom it is for, by name.
#[derive(PartialEq)]
struct AidSays {
    covers_above: Option<Number>,
    covers: BTreeSet<String>,
    pays: Number,
    cap: Option<Number>,
    family_pays: Option<Number>,
    not_beyond: Option<(Number, String)>,
    needs: BTreeSet<String>,
}

fn aid_says(book: &Book, aid: &Aid) -> AidSays {
    AidSays {
        covers_above: aid.covers_above,
        covers: aid.covers.iter().map(|id| book[*id].name.clone()).collect(),
        pays: aid.pays,
        cap: aid.cap,
        family_pays: aid.family_pays,
        not_beyond: aid.not_beyond.map(|(share, look)| (share, book.look_path(look))),
        needs: aid.needs.iter().map(|look| book.look_path(*look)).collect(),
    }
}

/// Whether a step is the same in both, and all that it includes.
pub(super) fn same_bench(old: &Money, new: &Money, step: &str, seen: &mut BTreeSet<String>) -> bool {
    if !seen.insert(step.to_owned()) {
        return true;
    }
    match (old.works.get(step), new.works.get(step)) {
        (Some(one), Some(other)) => {
            one == other && !one.doubtful && one.includes.iter().all(|inner| same_bench(old, new, inner, seen))
        }
        _ => false,
    }
}

/// Funds that are not proved to say the same.
fn aids(both: &Both<'_>, moves: &BTreeSet<&str>) -> Vec<String> {
    let find = |book: &'_ Book, name: &str| book.aids.iter().find(|aid| aid.name == name).cloned();
    let charged = both.old.money == both.new.money && both.old.least_charge == both.new.least_charge;
    let at = |id: FindingId| (both.book[id].on, both.book[id].each);
    let same = |name: &str| {
        let (Some(old), Some(new)) = (find(both.old, name), find(both.new, name)) else { return false };
        let who = both.old_money.aids.get(name) == both.new_money.aids.get(name);
        let said = aid_says(both.old, &old);
        if !(charged && who && both.applies_alike() && said == aid_says(both.new, &new)) {
            return false;
        }
        // What a fund never covers makes no difference to it, and neither does what is the same in both.
        let covered = |pair: &Pair| {
            let named = said.covers.contains(&pair.name);
            named || said.covers_above.is_some_and(|above| pair.most.is_none_or(|most| most > above))
        };
        let makes_room = |name: &str| {
            let yields = |money: &Money, other: &str| money.findings.get(other).is_some_and(|work| work.yields_to.contains(name));
            let other = |pair: &&Pair| yields(&both.old_money, &pair.name) || yields(&both.new_money, &pair.name);
            both.pairs.iter().filter(other).any(covered)
        };
        both.pairs.iter().all(|pair| {
            let moves = moves.contains(pair.name.as_str());
            let stays = || {
                let placed = matches!((pair.old, pair.new), (Some((_, one)), Some((_, other))) if at(one) == at(other));
                !moves && placed && both.same_money(&pair.name)
            };
            (!covered(pair) || stays()) && (!moves || !makes_room(&pair.name))
        })
    };
    let mut names: Vec<String> = both.old.aids.iter().chain(&both.new.aids).map(|aid| aid.name.clone()).collect();
    names.sort_unstable();
    names.dedup();
    names.retain(|name| !same(name));
    names
}

/// Counsels that ask for sums and are not proved to say the same, each with the cases in which they may not.
fn counsels(weighing: &Weighing<'_>, costs: bool, tiers: bool) -> Vec<SumCounsel> {
    let claims = if costs { weighing.counsels_of_sums() } else { Vec::new() };
    let mut counsels = Vec::new();
    for pair in weighing.both.counsels.iter().filter(|pair| pair.sums.any()) {
        let of = |claim: &&WholeClaim| matches!(&claim.way, Whole::Counsel { name, .. } if *name == pair.name);
        let mut ways = claims.iter().filter(of).peekable();
        // A tier is by its number, which stands for the same where both have the same tiers.
        let same = costs && (tiers || !pair.sums.tier) && ways.peek().is_none();
        if !same {
            let case = |claim: &WholeClaim| match &claim.known {
                Known::Case { case, .. } => Some(case.clone()),
                Known::Never | Known::NotDecided => None,
            };
            counsels.push(SumCounsel { name: pair.name.clone(), cases: ways.filter_map(case).collect() });
        }
    }
    counsels
}
