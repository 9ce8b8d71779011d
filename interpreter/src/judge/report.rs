//! Writing an outcome out from all that was gathered of a record.

use std::cmp::Reverse;

use purfle_lang::book::{FindingId, HandId, PartId, PlayedWord, StateWord, StepId, TierId, Within};
use purfle_lang::number::Number;

use super::contexts::Working;
use super::figures::Figures;
use super::fold::Total;
use super::intake::Seen;
use super::marks::{DASH, GOOD, STATED, UNSURE};
use super::price::{charged, money};
use super::record_result::{AllKnown, Gathering, Known};
use super::solve::Ground;
use super::{at_of, is_found};
use crate::outcome::{Judged, Outcome, Range, Said, Sum};
use crate::plan::price::Scaled;
use crate::record::Record;
use purfle_lang::finite::node::InstanceId;

/// The figures of a whole outcome, as it has them.
pub(super) struct Whole {
    pub urgency: Range<StepId>,
    pub played: PlayedWord,
    pub apart: Vec<(PartId, PlayedWord)>,
    pub hands: Range<Option<HandId>>,
    pub cost: Sum,
    pub left: Sum,
    pub tier: Range<TierId>,
    pub left_tier: Range<TierId>,
    pub due: Range<Option<i64>>,
}

impl Working<'_> {
    /// The outcome of a record.
    pub(super) fn report(&self, seen: &Seen, record: &Record, gathering: Gathering) -> Outcome {
        let Gathering { figures, known, last, mut looks } = gathering;
        let book = self.bench.book;
        let ground = self.bench.ground(seen);
        let exact = figures.exact;
        let AllKnown { listed: known, open, unnamed_work } = known;
        let Whole { urgency, played, apart, hands, cost, left, tier, left_tier, due } = self.whole(seen, &figures, &unnamed_work);
        let (mut findings, mut not_ruled_out) = (Vec::new(), Vec::new());
        let mut suspected = urgency.from;
        for (id, of_it) in &known {
            let judged = self.judged(ground, *id, of_it, &known, exact);
            match judged.state {
                StateWord::Open => not_ruled_out.push(judged),
                StateWord::Suspected => {
                    suspected = suspected.max(judged.urgency.to);
                    findings.push(judged);
                }
                _ => findings.push(judged),
            }
        }
        findings.sort_by_key(|j| (j.state != StateWord::Found, Reverse(j.urgency.from.max(j.urgency.to))));
        let found = findings.iter().filter(|judged| judged.state == StateWord::Found);
        let again = self.again(seen, found.map(|judged| judged.finding));
        let mut first: Vec<Said> = Vec::new();
        for judged in &findings {
            let said = Said::Finding(judged.finding);
            if !book[judged.finding].first.is_empty() && !first.contains(&said) {
                first.push(said);
            }
        }
        let counsel = last.counsels(ground, &mut looks);
        first.extend(
            counsel
                .iter()
                .filter(|(id, state)| *state == StateWord::Found && !book[*id].first.is_empty())
                .map(|(id, _)| Said::Counsel(*id)),
        );
        let aid = last.funds(ground, exact, &mut looks);
        Outcome {
            played,
            apart,
            urgency,
            suspected: suspected.min(urgency.to),
            urgency_exact: exact,
            due,
            again,
            hands,
            first,
            tier,
            left_tier,
            cost,
            left,
            quoted: record.quoted,
            findings,
            not_ruled_out,
            open,
            unseen: self.unseen(seen),
            looks: looks.in_order(),
            counsel,
            aid,
        }
    }

    /// The figures of the whole outcome. `unnamed_work` are the parts with work on places that nobody has named.
    pub(super) fn whole(&self, seen: &Seen, figures: &Figures, unnamed_work: &[PartId]) -> Whole {
        let book = self.bench.book;
        let urgency = Range { from: StepId(figures.urgency.0.into()), to: StepId(figures.urgency.1.into()) };
        let or_more = seen.more_places.iter().any(|part| is_found(book, *part) && unnamed_work.contains(part));
        let sum = |(low, high): (Total, Total), and_more: bool| Sum {
            from: self.money(low.sum),
            to: self.money(high.sum),
            exact: figures.exact && low.exact && high.exact,
            or_more,
            and_more,
        };
        let tier_of = |total: Total| self.bench.prepared.tiers.tier_of(total.sum);
        let tiers = |(low, high): (Total, Total)| Range { from: tier_of(low), to: tier_of(high) };
        let day = |step: StepId| {
            let on = seen.inspected_on?;
            match book[step].within {
                Within::Whenever => None,
                Within::AtOnce => Some(on),
                Within::Duration(duration) => duration.after(on),
            }
        };
        let hand = |hand: u8| hand.checked_sub(1).map(|hand| HandId(hand.into()));
        let apart = figures.apart.iter().filter(|(_, some, _)| *some);
        Whole {
            urgency,
            played: played(figures.played.0, figures.played.1),
            apart: apart.map(|(part, some, rest)| (*part, played(*some, *rest))).collect(),
            hands: Range { from: hand(figures.hands.0), to: hand(figures.hands.1) },
            cost: sum(figures.now, figures.on_sight.0),
            left: sum(figures.left, figures.on_sight.1),
            tier: tiers(figures.now),
            left_tier: tiers(figures.left),
            due: Range { from: day(urgency.to), to: day(urgency.from) },
        }
    }

    /// When to look again because of these findings, which are found.
    pub(super) fn again(&self, seen: &Seen, found: impl Iterator<Item = FindingId>) -> Option<i64> {
        found.filter_map(|finding| self.bench.book[finding].again?.after(seen.inspected_on?)).min()
    }

    fn money(&self, scaled: Scaled) -> Number {
        money(scaled, self.bench.scale)
    }

    fn judged(&self, ground: Ground<'_>, id: InstanceId, of_it: &Known, known: &[(InstanceId, Known)], exact: bool) -> Judged {
        let layout = &self.bench.prepared.built.layout;
        let instance = &layout.instances[id as usize];
        let Known { over, word, left, ways, .. } = of_it;
        let charge = |sum: Scaled| self.money(charged(sum, instance.works, self.bench.least_charge));
        let cost =
            Sum { from: charge(over.alone.0), to: charge(over.alone.1), exact, or_more: false, and_more: instance.on_sight };
        let told = |other: &InstanceId| known.iter().any(|(id, known)| id == other && known.word != StateWord::Open);
        let listed_under = instance.yields_to.iter().take(64).enumerate();
        let listed_under =
            listed_under.filter(|(at, other)| over.yields_to >> at & 1 == 1 && told(other)).map(|(_, other)| *other);
        Judged {
            finding: instance.finding,
            at: at_of(ground, self.bench.book[instance.finding].on, instance.spot),
            state: *word,
            urgency: Range { from: StepId(over.urgency.0.into()), to: StepId(over.urgency.1.into()) },
            yields_to: listed_under.min().map(|other| layout.instances[other as usize].finding),
            cost,
            left: left.map_or(cost, |left| Sum {
                from: self.money(left.left.0),
                to: self.money(left.left.1),
                exact: exact && left.exact,
                or_more: false,
                and_more: left.on_sight,
            }),
            ways: {
                let further = instance.ways.iter().zip(ways).map(|(way, ((low, high), settled))| Sum {
                    from: self.money(*low),
                    to: self.money(*high),
                    exact: exact && *settled,
                    or_more: false,
                    and_more: way.on_sight,
                });
                if instance.ways.is_empty() { Vec::new() } else { std::iter::once(cost).chain(further).collect() }
            },
            expected_extra: left.and_then(|left| left.extra).map(|(low, high)| {
                let share = Number::from_integer(self.bench.scale);
                Range { from: low / share, to: high / share }
            }),
        }
    }

    /// Parts of which nothing was looked at, that may be there and that something reads.
    fn unseen(&self, seen: &Seen) -> Vec<PartId> {
        let layout = &self.bench.prepared.built.layout;
        let looked_at = |slot: &u32| seen.marks[*slot as usize] & (STATED | DASH | UNSURE | GOOD) != 0;
        (0..self.bench.book.parts.len())
            .filter(|&at| {
                let part = PartId::from_index(at);
                !self.bench.book[part].context
                    && !seen.parts[at]
                    && self.bench.prepared.part_read[at]
                    && (is_found(self.bench.book, part) && seen.more_places.contains(&part)
                        || !self.bench.prepared.slots_of[at].is_empty())
                    && !self.bench.prepared.slots_of[at].iter().any(looked_at)
                    && layout.view.parts[at].bounds(&layout.view.atoms, &seen.sets, &[]).possibly
            })
            .map(PartId::from_index)
            .collect()
    }
}

pub(super) fn played(some_forbid: bool, some_allow: bool) -> PlayedWord {
    match (some_forbid, some_allow) {
        (false, _) => PlayedWord::Yes,
        (true, false) => PlayedWord::No,
        (true, true) => PlayedWord::Open,
    }
}
