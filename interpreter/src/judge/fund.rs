//! Repair funds: who is eligible, and what the fund would pay.

use purfle_lang::book::{AidId, AidWord, LookId, LookKind};
use purfle_lang::evaluate::{LookSpot, Spot};
use purfle_lang::number::Number;

use super::counsel::over_looks;
use super::fold::Total;
use super::intake::{DASH, STATED, whole_extent};
use super::next::Gathered;
use super::solve::Ground;
use crate::outcome::{AidOutcome, Figure, Range, Unaided};
use crate::plan::node::{Bounds, InstanceId};

/// What each fund says. `covered` has, for each, the least and the greatest that the covered findings cost together.
pub fn funds(
    ground: Ground<'_>,
    covered: &[(Total, Total)],
    bounds: &dyn Fn(InstanceId) -> (bool, bool),
    exact: bool,
    quoted: Option<Number>,
    looks: &mut Gathered,
) -> Vec<AidOutcome> {
    let book = ground.book;
    let layout = &ground.prepared.built.layout;
    if book.aids.is_empty() {
        return Vec::new();
    }
    let mut sets = ground.seen.sets.clone();
    let holds: Vec<Bounds> = (0..layout.instances.len() as u32)
        .map(|id| {
            let (surely, possibly) = bounds(id);
            Bounds { surely, possibly }
        })
        .collect();
    let mut all = Vec::new();
    for (at, (low, high)) in covered.iter().enumerate() {
        let id = AidId::from_index(at);
        let aid = &book[id];
        let node = &ground.prepared.built.whole.aids[at];
        let who = over_looks(ground, node, &mut sets, &holds);
        let money = |total: &Total| Number::new(total.sum, ground.scale);
        let mut least = if low.covered { money(low) } else { Number::from_integer(0) };
        let mut most = if high.covered { money(high) } else { Number::from_integer(0) };
        let (mut surely_covered, possibly_covered) = (low.covered, high.covered);
        if let (Some(quoted), true) = (quoted, possibly_covered) {
            // The shop has seen it: its price stands for the work, and settles a range that lies across the limit.
            surely_covered |= aid.covers_above.is_some_and(|above| quoted > above);
            (least, most) = (if surely_covered { quoted } else { Number::from_integer(0) }, quoted);
        }
        let limit = aid.not_beyond.map(|(share, look)| limit(ground, share, look));
        let within = |sum: Number, limit: Number| sum <= limit;
        let surely_within = limit.is_none_or(|limit| limit.is_some_and(|(from, _)| within(most, from)));
        let never_within = limit.is_some_and(|limit| limit.is_some_and(|(_, to)| !within(least, to)));
        let (missing, denied) = needs(ground, &aid.needs);
        let why = [
            (!who.possibly, Unaided::NotForThese),
            (denied, Unaided::Denied),
            (!possibly_covered, Unaided::NothingCovered),
            (never_within, Unaided::BeyondWorth),
        ]
        .into_iter()
        .find_map(|(applies, why)| applies.then_some(why));
        let state = if why.is_some() {
            AidWord::Refused
        } else if who.surely && surely_covered && surely_within && missing.is_empty() {
            AidWord::Eligible
        } else {
            AidWord::Open
        };
        let pays = |sum: Number| {
            let mut share = aid.pays * sum;
            if let Some(family) = aid.family_pays {
                share = share.min(sum - family);
            }
            if let Some(cap) = aid.cap {
                share = share.min(cap);
            }
            share.max(Number::from_integer(0))
        };
        let nothing = Number::from_integer(0);
        let most = limit.flatten().map_or(most, |(_, to)| most.min(to.max(nothing)));
        let pays = match state {
            AidWord::Eligible => Range { from: pays(least), to: pays(most) },
            AidWord::Open => Range { from: nothing, to: pays(most) },
            AidWord::Refused => Range { from: nothing, to: nothing },
        };
        if state == AidWord::Open {
            looks.node(ground, node, Figure::Aid);
            for &look in &missing {
                looks.look(ground, LookSpot { look, spot: Spot::Single }, Figure::Aid);
            }
            if let Some((_, look)) = aid.not_beyond
                && limit.flatten().is_none_or(|(from, to)| from != to)
            {
                looks.look(ground, LookSpot { look, spot: Spot::Single }, Figure::Aid);
            }
        }
        let exact = exact && low.exact && high.exact && (state != AidWord::Open || limit.is_none());
        all.push(AidOutcome { aid: id, state, pays, exact, missing, why });
    }
    all
}

/// The least and greatest a fund's share of a look can come to; none where the look surely has no value.
fn limit(ground: Ground<'_>, share: Number, look: LookId) -> Option<(Number, Number)> {
    let slot = ground.prepared.slot(LookSpot { look, spot: Spot::Single })?;
    if ground.seen.marks[slot as usize] & DASH != 0 {
        return None;
    }
    let known = ground.seen.numbers.iter().find(|(s, _)| *s == slot).map(|(_, extent)| *extent);
    let (from, to) = known.unwrap_or_else(|| whole_extent(&ground.book[look].kind)).ends?;
    Some((share * from, share * to))
}

/// Looks that were not answered, and whether one was answered with "no".
fn needs(ground: Ground<'_>, needs: &[LookId]) -> (Vec<LookId>, bool) {
    let layout = &ground.prepared.built.layout;
    let (mut missing, mut denied) = (Vec::new(), false);
    for &look in needs {
        let mut slots = layout.slots.iter().zip(&ground.seen.marks).filter(|(slot, _)| slot.look.look == look);
        let answered = slots.clone().any(|(_, marks)| marks & STATED != 0);
        if !answered {
            missing.push(look);
        }
        if matches!(ground.book[look].kind, LookKind::YesNo) {
            denied |= slots
                .any(|(slot, marks)| marks & STATED != 0 && slot.variable.is_some_and(|v| ground.seen.sets[v as usize] == 1));
        }
        denied |= layout.slots.iter().zip(&ground.seen.marks).any(|(slot, marks)| slot.look.look == look && marks & DASH != 0);
    }
    (missing, denied)
}
