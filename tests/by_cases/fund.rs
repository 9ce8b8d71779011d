//! What a repair fund says in a case, and what a counsel does.

use num_traits::Zero;
use purfle_lang::book::{Aid, Counsel, LookAt, LookKind, PlaceAt, StepId};
use purfle_lang::number::Number;

use super::case::{Case, Totals, View};
use super::price::{Job, Price};
use super::samples::Answer;

/// Whether a fund pays in a case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pays {
    /// It does not.
    No,
    /// It hangs on what the shop will ask within its own range.
    Maybe,
    /// It does.
    Yes,
}

/// What a fund says in a case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Said {
    /// Whether it pays.
    pub pays: Pays,
    /// The least it pays.
    pub low: Number,
    /// The most it pays; of work beyond the limit it pays nothing.
    pub high: Number,
}

impl Case<'_> {
    /// What a fund says, given the jobs that stand.
    pub fn aid(&self, aid: &Aid, standing: &[Job], quoted: Option<Number>) -> Said {
        let covered = |end: fn(&Price) -> Option<Number>| -> Vec<Job> {
            let by_price =
                |job: &Job| aid.covers_above.is_some_and(|least| end(&self.price(&[*job], true)).is_none_or(|end| end > least));
            standing.iter().copied().filter(|job| aid.covers.contains(&job.0) || by_price(job)).collect()
        };
        // What is known only on sight may cost anything.
        let (covered_low, covered_high) =
            (covered(|price| Some(price.low)), covered(|price| (!price.and_more).then_some(price.high)));
        let more = quoted.is_none() && self.price(&covered_high, true).and_more;
        let named = standing.iter().any(|job| aid.covers.contains(&job.0));
        // The shop's own price settles what is above the limit, and what is below it as far as it can.
        let surely_covered = match (quoted, aid.covers_above) {
            (Some(quoted), Some(above)) => quoted > above || named,
            _ => !covered_low.is_empty(),
        };
        let asked = (self.price(&covered_low, true).low, self.price(&covered_high, true).high);
        let asked = quoted.map_or(asked, |quoted| (quoted, quoted));
        let limit = aid.not_beyond.map(|(share, look)| self.whole(look).map(|worth| worth * share));
        let most = limit.flatten().map_or(asked.1, |limit| asked.1.min(limit));
        // A limit that cannot be worked out is met neither way.
        let (within, beyond) = match limit {
            None => (true, false),
            Some(limit) => (limit.is_some_and(|limit| asked.1 <= limit), limit.is_some_and(|limit| asked.0 > limit)),
        };
        let refused = aid.needs.iter().any(|look| {
            let at = LookAt { look: *look, place: PlaceAt::Single };
            matches!(self.book[*look].kind, LookKind::YesNo) && self.shown(at, false, View::default()) == Some(Answer::Choice(0))
        });
        let for_them = aid.who.as_ref().is_none_or(|who| self.met(who, false, View::default()));
        let pays = if !for_them || refused || covered_high.is_empty() || beyond {
            Pays::No
        } else if surely_covered && within {
            Pays::Yes
        } else {
            Pays::Maybe
        };
        let share = |of: Number| {
            let ends = [Some(aid.pays * of), aid.family_pays.map(|least| of - least), aid.cap];
            ends.into_iter().flatten().min().unwrap_or_else(Number::zero).max(Number::zero())
        };
        let low = if pays == Pays::Yes { share(asked.0) } else { Number::zero() };
        let bound = limit.flatten().map(|limit| share(limit.max(Number::zero()))).or(aid.cap);
        let most = bound.filter(|_| more).map_or(share(most), |bound| bound.max(share(most)));
        let high = if pays == Pays::No { Number::zero() } else { most };
        Said { pays, low, high }
    }

    fn whole(&self, look: purfle_lang::book::LookId) -> Option<Number> {
        match self.shown(LookAt { look, place: PlaceAt::Single }, false, View::default())? {
            Answer::Number(number) => Some(number),
            _ => None,
        }
    }

    /// Whether a counsel is met at the lower and at the upper end of the total.
    pub fn counsel(&self, counsel: &Counsel, urgency: StepId, total: (Number, Number)) -> (bool, bool) {
        let at = |cost: Number| {
            let totals = Some(Totals { cost, urgency });
            self.met(&counsel.when, false, View { totals, ..View::default() })
        };
        (at(total.0), at(total.1))
    }
}
