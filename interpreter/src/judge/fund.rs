//! Repair funds: who is eligible, and what the fund would pay.

use num_traits::{CheckedMul, CheckedSub};
use purfle_lang::book::{Aid, AidId, AidWord, LookId, LookKind};
use purfle_lang::evaluate::{LookSpot, Spot};
use purfle_lang::number::Number;

use super::counsel::Verdicts;
use super::extent::whole_extent;
use super::last::{ComeTo, Paid};
use super::marks::{DASH, STATED};
use super::next::Gathered;
use super::price::money;
use super::solve::Ground;
use crate::outcome::{AidOutcome, Figure, Range, Unaided};
use purfle_lang::finite::node::{Bounds, CellSet};
use purfle_lang::finite::view::SlotId;

/// What a fund says in the cases of one choice of the context, or of several.
#[derive(Debug, Clone, Copy)]
pub struct Fund {
    /// It pays in every case.
    yes: bool,
    /// It refuses in every case, and why in the first.
    no: Option<Unaided>,
    /// The least it pays where it pays, and the most, as far as the work has a price.
    pays: (Number, Number),
    /// Whether some of the work it pays for is known only on sight.
    more: bool,
    /// The most it pays whatever the work costs; none where nothing bounds it.
    bound: Option<Number>,
    /// Whether both ends are reached.
    exact: bool,
}

impl Fund {
    /// This choice of the context or that one.
    pub fn or(&mut self, other: Self) {
        self.pays = match (self.no, other.no) {
            (Some(_), None) => other.pays,
            (None, Some(_)) => self.pays,
            _ => (self.pays.0.min(other.pays.0), self.pays.1.max(other.pays.1)),
        };
        (self.more, self.bound) = match (self.no, other.no) {
            (Some(_), None) => (other.more, other.bound),
            (None, Some(_)) => (self.more, self.bound),
            _ => (self.more || other.more, self.bound.zip(other.bound).map(|(one, other)| one.max(other))),
        };
        self.yes &= other.yes;
        self.no = self.no.and(other.no).and(self.no);
        self.exact &= other.exact;
    }

    /// The fund's answer for the whole record; what can still settle it is asked for.
    pub fn said(self, ground: Ground<'_>, id: AidId, exact: bool, looks: &mut Gathered) -> AidOutcome {
        let aid = &ground.book[id];
        let nothing = Number::from_integer(0);
        let missing = missing(ground, id);
        let (state, from, to) = match self.no {
            Some(_) => (AidWord::Refused, nothing, nothing),
            None if self.yes && missing.is_empty() => (AidWord::Eligible, self.pays.0, self.pays.1),
            None => (AidWord::Open, nothing, self.pays.1),
        };
        if state == AidWord::Open {
            looks.node(ground, &ground.prepared.built.whole.aids[id.index()], Figure::Aid);
            for &look in &missing {
                looks.look(ground, LookSpot { look, spot: Spot::Single }, Figure::Aid);
            }
            if let Some((share, look)) = aid.not_beyond
                && limit(ground, share, look).is_none_or(|(from, to)| from != to)
            {
                looks.look(ground, LookSpot { look, spot: Spot::Single }, Figure::Aid);
            }
        }
        let more = self.more && state != AidWord::Refused;
        let pays = Range { from, to: self.bound.filter(|_| more).map_or(to, |bound| bound.max(to)) };
        let exact = exact && self.exact && state != AidWord::Open && !more;
        let and_more = more && self.bound.is_none();
        AidOutcome { aid: id, state, pays, known: to, bound: self.bound, and_more, exact, missing, why: self.no }
    }
}

/// What a fund says for one choice of the context. `paid` is what funds said in those before.
pub fn fund(verdicts: &mut Verdicts<'_>, id: AidId, come_to: ComeTo<'_>, paid: &mut Vec<Paid>) -> Fund {
    let ground = verdicts.ground;
    let nothing = Number::from_integer(0);
    let who = verdicts.whether(&ground.prepared.last.aids[id.index()]);
    if !who.possibly {
        let no = Some(Unaided::NotForThese);
        return Fund { yes: false, no, pays: (nothing, nothing), more: false, bound: Some(nothing), exact: true };
    }
    let (sums, asked) = (come_to.sums.0, (who, denied(ground, verdicts.sets, id)));
    if let Some(known) = paid.iter().find(|paid| paid.aid == id && paid.sums == sums && paid.asked == asked) {
        return known.fund;
    }
    let fund = worked_out(ground, id, come_to, asked);
    paid.push(Paid { aid: id, sums, asked, fund });
    fund
}

fn worked_out(ground: Ground<'_>, id: AidId, come_to: ComeTo<'_>, (who, denied): (Bounds, Bounds)) -> Fund {
    let aid = &ground.book[id];
    let nothing = Number::from_integer(0);
    let (low, high) = come_to.sums.1.sums.aid(ground, id.index(), come_to.rooms);
    let mut least = if low.covered { money(low.sum, ground.scale) } else { nothing };
    let mut most = if high.covered { money(high.sum, ground.scale) } else { nothing };
    let (mut surely_covered, possibly_covered) = (low.covered, high.covered);
    let mut more = high.besides;
    if let (Some(quoted), true) = (come_to.quoted, possibly_covered) {
        // The shop has seen it: its price stands for the work, and settles a range that lies across the limit. What costs no
        // more in all is above the limit by no finding of it, whatever was worked out; that much is for people to settle.
        if let Some(above) = aid.covers_above {
            surely_covered = quoted > above || low.besides;
        }
        (least, most, more) = (quoted, quoted, false);
    }
    let limit = aid.not_beyond.map(|(share, look)| limit(ground, share, look));
    let surely_within = limit.is_none_or(|limit| limit.is_some_and(|(from, _)| most <= from));
    let never_within = limit.is_some_and(|limit| limit.is_some_and(|(_, to)| least > to));
    let why =
        [(denied.surely, Unaided::Denied), (!possibly_covered, Unaided::NothingCovered), (never_within, Unaided::BeyondWorth)];
    let at_most = limit.flatten().map(|(_, to)| to.max(nothing));
    let most = at_most.map_or(most, |limit| most.min(limit));
    // Where the worth can be so great that its share cannot be reckoned, it bounds nothing.
    let bound = at_most.and_then(|limit| pays(aid, limit)).or(aid.cap).map(|bound| aid.cap.map_or(bound, |cap| bound.min(cap)));
    Fund {
        more,
        bound,
        yes: who.surely && surely_covered && surely_within && !denied.possibly,
        no: why.into_iter().find_map(|(applies, why)| applies.then_some(why)),
        // A fund pays no more than all of it: that encloses what is too great to be reckoned.
        pays: (pays(aid, least).unwrap_or(nothing), pays(aid, most).unwrap_or(aid.cap.map_or(most, |cap| most.min(cap)))),
        exact: low.exact && high.exact && pays(aid, least).is_some() && pays(aid, most).is_some(),
    }
}

/// What a fund pays of a sum; none where that is too great to be reckoned.
fn pays(aid: &Aid, sum: Number) -> Option<Number> {
    let mut share = aid.pays.checked_mul(&sum)?;
    if let Some(family) = aid.family_pays {
        share = share.min(sum.checked_sub(&family)?);
    }
    Some(aid.cap.map_or(share, |cap| share.min(cap)).max(Number::from_integer(0)))
}

/// The least and greatest a fund's share of a look can come to; none where the look surely has no value.
fn limit(ground: Ground<'_>, share: Number, look: LookId) -> Option<(Number, Number)> {
    let slot = ground.prepared.slot(LookSpot { look, spot: Spot::Single })?;
    if ground.seen.marks[slot as usize] & DASH != 0 {
        return None;
    }
    let known = ground.seen.numbers.iter().find(|(s, _)| *s == slot).map(|(_, extent)| *extent);
    let (from, to) = known.unwrap_or_else(|| whole_extent(&ground.book[look].kind)).ends?;
    Some((share.checked_mul(&from)?, share.checked_mul(&to)?))
}

/// Looks that a fund needs and that nobody answered.
fn missing(ground: Ground<'_>, id: AidId) -> Vec<LookId> {
    let answered = |slots: &[SlotId]| slots.iter().any(|slot| ground.seen.marks[*slot as usize] & STATED != 0);
    let needs = &ground.prepared.last.needs[id.index()];
    needs.iter().filter(|(_, slots)| !answered(slots)).map(|(look, _)| *look).collect()
}

/// Whether one of the looks it needs is answered with "no", or does not apply.
fn denied(ground: Ground<'_>, sets: &[CellSet], id: AidId) -> Bounds {
    let layout = &ground.prepared.built.layout;
    let mut denied = Bounds { surely: false, possibly: false };
    for (look, slots) in &ground.prepared.last.needs[id.index()] {
        for &slot in slots {
            let marks = ground.seen.marks[slot as usize];
            let slot = &layout.view.slots[slot as usize];
            let cells = match (&ground.book[*look].kind, slot.variable) {
                (LookKind::YesNo, Some(variable)) => sets[variable as usize],
                _ => 0b10,
            };
            let applies = slot.applies.bounds(&layout.view.atoms, sets, &[]);
            denied.surely |= marks & DASH != 0 || (cells == 1 && applies.surely);
            denied.possibly |= marks & DASH != 0 || (cells & 1 == 1 && applies.possibly);
        }
    }
    denied
}
