//! Taking the question apart: funds that share neither a purse nor a candidate have nothing to do with one another.

use super::{Candidate, Choice, Purses};

/// Candidates whose choices hang together, and the purses that limit them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// Those that have a choice at all, in their order.
    pub members: Vec<Member>,
    /// The purses that can limit anything.
    pub purses: Vec<Purse>,
    /// How many steps there are.
    pub steps: usize,
}

/// A candidate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Member {
    /// Its place among all candidates.
    pub candidate: usize,
    /// Its step.
    pub step: usize,
    /// What is worth choosing, in the order of the candidate's own list.
    pub choices: Vec<Open>,
}

/// A choice that is worth a thought.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Open {
    /// The choice.
    pub choice: Choice,
    /// Its place in the candidate's own list.
    pub index: usize,
    /// Whether a later choice is the same in everything.
    pub alike: bool,
    /// Choices that differ from it in nothing but the fund, each as its fund and its place: those pooled with it.
    pub also: Vec<(usize, usize)>,
}

/// A sum that some funds together may not go beyond.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Purse {
    /// The sum.
    pub limit: i64,
    /// Which funds pay out of it.
    pub funds: Vec<usize>,
}

impl Purse {
    /// Whether a choice can be paid out of this purse alone.
    pub fn pays(&self, open: &Open) -> bool {
        self.funds.contains(&open.choice.fund) && open.also.iter().all(|(fund, _)| self.funds.contains(fund))
    }
}

/// The parts of a question.
pub fn parts(candidates: &[Candidate], purses: &Purses) -> Vec<Part> {
    let steps = candidates.iter().map(|candidate| candidate.step + 1).max().unwrap_or(0);
    let limit = |fund: usize| {
        let own = purses.funds.get(fund).copied().flatten();
        [own, purses.total].into_iter().flatten().min().unwrap_or(i64::MAX)
    };
    let members: Vec<Member> = candidates
        .iter()
        .enumerate()
        .map(|(at, candidate)| Member { candidate: at, step: candidate.step, choices: worth_a_thought(candidate, limit) })
        .filter(|member| !member.choices.is_empty())
        .collect();
    let funds = members.iter().flat_map(|member| &member.choices).map(|open| open.choice.fund + 1).max().unwrap_or(0);
    let mut belongs: Vec<usize> = (0..funds).collect();
    for member in &members {
        for open in &member.choices {
            join(&mut belongs, member.choices[0].choice.fund, open.choice.fund);
        }
    }
    let everything = Purse { limit: purses.total.unwrap_or(i64::MAX), funds: (0..funds).collect() };
    if can_limit(&everything, &members) {
        for fund in 1..funds {
            join(&mut belongs, 0, fund);
        }
    }
    let mut parts: Vec<Part> = Vec::new();
    for root in 0..funds {
        let of_part: Vec<usize> = (0..funds).filter(|fund| belongs[*fund] == root).collect();
        let members: Vec<Member> =
            members.iter().filter(|member| belongs[member.choices[0].choice.fund] == root).cloned().collect();
        if members.is_empty() {
            continue;
        }
        let own = of_part.iter().filter_map(|&fund| {
            let limit = purses.funds.get(fund).copied().flatten()?;
            Some(Purse { limit, funds: vec![fund] })
        });
        let total = purses.total.map(|limit| Purse { limit, funds: of_part.clone() });
        let narrower = |purse: &Purse| purse.funds.len() == of_part.len() || purses.total.is_none_or(|total| purse.limit < total);
        let mut limiting: Vec<Purse> = own.filter(narrower).chain(total).filter(|purse| can_limit(purse, &members)).collect();
        // Of two over the same funds the smaller one counts.
        limiting.sort_by(|a, b| (&a.funds, a.limit).cmp(&(&b.funds, b.limit)));
        limiting.dedup_by(|later, earlier| later.funds == earlier.funds);
        parts.push(Part { members, purses: limiting, steps });
    }
    parts
}

/// Puts two funds together; every fund bears the least number of those it is together with.
fn join(belongs: &mut [usize], one: usize, other: usize) {
    let (one, other) = (belongs[one], belongs[other]);
    for fund in belongs {
        if *fund == one || *fund == other {
            *fund = one.min(other);
        }
    }
}

/// Whether all could not have their dearest choice out of a purse.
pub fn can_limit(purse: &Purse, members: &[Member]) -> bool {
    let dearest = |member: &Member| {
        let paid = member.choices.iter().filter(|open| purse.pays(open));
        paid.map(|open| i128::from(open.choice.cost)).max().unwrap_or(0)
    };
    members.iter().map(dearest).sum::<i128>() > i128::from(purse.limit)
}

/// The choices that fit a purse and that no other of the same fund beats.
fn worth_a_thought(candidate: &Candidate, limit: impl Fn(usize) -> i64) -> Vec<Open> {
    let fits = |choice: &Choice| choice.cost <= limit(choice.fund);
    let fitting: Vec<(usize, Choice)> =
        candidate.choices.iter().copied().enumerate().filter(|(_, choice)| fits(choice)).collect();
    let beats = |one: &Choice, other: &Choice| {
        one.fund == other.fund && one != other && one.cost <= other.cost && one.saving >= other.saving
    };
    let mut open: Vec<Open> = Vec::with_capacity(fitting.len());
    for (index, choice) in &fitting {
        if fitting.iter().any(|(_, other)| beats(other, choice)) {
            continue;
        }
        match open.iter_mut().find(|open| open.choice == *choice) {
            Some(first) => first.alike = true,
            None => open.push(Open { choice: *choice, index: *index, alike: false, also: Vec::new() }),
        }
    }
    open
}
