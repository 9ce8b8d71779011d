//! Purses taken together: what several funds would pay alike is first drawn from all of them at once, and only then handed
//! to one fund each ([`super::handing`]).
//!
//! Choices of one candidate that cost and save the same, whichever fund pays, are one. Whatever is paid so, those that only
//! funds of a set `S` can pay take no more than these funds hold together: that is a purse for every set of funds, and every
//! plan keeps within all of them (P. Hall's condition for sums that could be split). So the best plan within some of these
//! purses is no worse than the best plan; where it can be handed out so that each fund keeps within its own, it is the best.
//! Sets are only looked at once a plan goes beyond them, so one or two purses are left of many as a rule.

use super::part::{Member, Open, Part, Purse, can_limit};

/// The question with choices taken together, and the purses of sets of funds.
#[derive(Debug, Clone)]
pub struct Pooled {
    /// The question within the sets looked at so far.
    pub part: Part,
    /// The sets that a plan may still turn out to go beyond.
    waiting: Vec<Purse>,
    /// Whether anything was taken together.
    pub together: bool,
}

impl Pooled {
    /// Takes together what can be; none where that would change nothing.
    pub fn of(part: &Part) -> Option<Self> {
        let (own, total): (Vec<&Purse>, Vec<&Purse>) = part.purses.iter().partition(|purse| purse.funds.len() == 1);
        let members: Vec<Member> = part.members.iter().map(together).collect();
        let together = members.iter().flat_map(|member| &member.choices).any(|open| !open.also.is_empty());
        if own.len() > super::MOST_PURSES || (part.purses.len() < 2 && !together) {
            return None;
        }
        let mut waiting: Vec<Purse> = (1_u32..1 << own.len())
            .map(|set| {
                let of_set = || own.iter().enumerate().filter(|(at, _)| set & (1 << at) != 0).map(|(_, purse)| purse);
                Purse {
                    limit: of_set().fold(0, |sum: i64, purse| sum.saturating_add(purse.limit)),
                    funds: of_set().flat_map(|purse| purse.funds.iter().copied()).collect(),
                }
            })
            .filter(|purse| hangs_together(purse, &members) && can_limit(purse, &members))
            .collect();
        // The widest set comes first; the total, where there is one, is looked at from the beginning as well.
        waiting.sort_by_key(|purse| purse.funds.len());
        let mut purses: Vec<Purse> = total.into_iter().filter(|purse| can_limit(purse, &members)).cloned().collect();
        if purses.is_empty() {
            // The widest sets that share no fund.
            for purse in waiting.iter().rev() {
                if !purses.iter().any(|known| known.funds.iter().any(|fund| purse.funds.contains(fund))) {
                    purses.push(purse.clone());
                }
            }
            waiting.retain(|purse| !purses.contains(purse));
        }
        Some(Self { part: Part { members, purses, steps: part.steps }, waiting, together })
    }

    /// Whether a plan keeps within all sets; if not, the one that it goes beyond the most is looked at from now on.
    pub fn keeps_within(&mut self, taken: &[Option<usize>]) -> bool {
        let given = || self.part.members.iter().zip(taken).filter_map(|(member, taken)| member.choices.get((*taken)?));
        let beyond = |purse: &Purse| {
            given().filter(|open| purse.pays(open)).map(|open| open.choice.cost).sum::<i64>().saturating_sub(purse.limit)
        };
        let most = self.waiting.iter().enumerate().map(|(at, purse)| (beyond(purse), at)).max();
        match most {
            Some((beyond, at)) if beyond > 0 => {
                let purse = self.waiting.swap_remove(at);
                self.part.purses.push(purse);
                false
            }
            _ => true,
        }
    }

    /// Makes a purse so much smaller that a plan no longer keeps within it: one that is nearly used up. False where there is none.
    pub fn spend_less(&mut self, taken: &[Option<usize>]) -> bool {
        let given = || self.part.members.iter().zip(taken).filter_map(|(member, taken)| member.choices.get((*taken)?));
        let spent = |purse: &Purse| given().filter(|open| purse.pays(open)).map(|open| open.choice.cost).sum::<i64>();
        let least = (0..self.part.purses.len()).map(|at| (self.part.purses[at].limit - spent(&self.part.purses[at]), at)).min();
        let Some((left, at)) = least else { return false };
        self.part.purses[at].limit -= left + 1;
        self.part.purses[at].limit >= 0
    }

    /// Whether no more can be asked of a plan than is asked already.
    pub fn is_whole(&self) -> bool {
        !self.together && self.waiting.iter().all(|purse| purse.funds.len() > 1)
    }
}

/// Whether what a set of funds would pay alike ties all of them together: else the sets it falls into say as much.
fn hangs_together(purse: &Purse, members: &[Member]) -> bool {
    let mut tied: Vec<usize> = purse.funds.first().copied().into_iter().collect();
    let pooled = || members.iter().flat_map(|member| &member.choices).filter(|open| !open.also.is_empty() && purse.pays(open));
    let funds = |open: &Open| std::iter::once(open.choice.fund).chain(open.also.iter().map(|(fund, _)| *fund)).collect();
    let mut ties: Vec<Vec<usize>> = pooled().map(funds).collect();
    ties.sort_unstable();
    ties.dedup();
    loop {
        let before = tied.len();
        for tie in &ties {
            if tie.iter().any(|fund| tied.contains(fund)) {
                tied.extend(tie);
            }
        }
        tied.sort_unstable();
        tied.dedup();
        if tied.len() == before {
            return purse.funds.iter().all(|fund| tied.contains(fund));
        }
    }
}

/// A member whose choices that differ only in the fund are one: at the place of the first of them.
fn together(member: &Member) -> Member {
    let mut choices: Vec<Open> = Vec::with_capacity(member.choices.len());
    for (place, open) in member.choices.iter().enumerate() {
        let like = |first: &&mut Open| first.choice.cost == open.choice.cost && first.choice.saving == open.choice.saving;
        match choices.iter_mut().find(like) {
            Some(first) => {
                first.also.push((open.choice.fund, place));
                first.alike |= open.alike;
            }
            None => choices.push(Open { index: place, ..open.clone() }),
        }
    }
    Member { choices, ..member.clone() }
}
