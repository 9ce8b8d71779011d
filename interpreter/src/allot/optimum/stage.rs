//! One question to the search: the most of one value, within the purses, with some counts held.

use super::group::{Group, Scale, Shares};

/// What is asked of a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// Nobody of it is helped.
    Nobody,
    /// Everybody of it is.
    Everybody,
    /// Just so many, fewer than there are.
    Held(u32),
    /// As many as is best.
    Free,
}

/// One question.
pub struct Stage<'a, const D: usize> {
    /// The groups.
    pub groups: &'a [Group<D>],
    /// What each purse holds.
    pub limits: [i64; D],
    /// What is asked of each step.
    pub rules: Vec<Rule>,
    /// What each choice of each group is worth; not to be helped is worth nothing.
    pub values: Vec<Vec<i128>>,
    /// Every plan's value is a multiple of this.
    pub grain: i128,
    /// Whether plans worth the same are told apart by their order; where only counts matter one is as good as another.
    pub ordered: bool,
}

impl<'a, const D: usize> Stage<'a, D> {
    /// The most saving at the least spending, with these many helped at each step.
    pub fn savings(groups: &'a [Group<D>], limits: &[i64; D], helped: &[u32], scale: Scale) -> Self {
        let worth = |saving: i64, cost: i64| (i128::from(saving) * scale.saving - i128::from(cost)) * scale.spending;
        let values = groups.iter().map(|group| group.picks.iter().map(|pick| worth(pick.saving, pick.cost)).collect());
        Self {
            groups,
            limits: *limits,
            rules: held(groups, helped),
            values: values.collect(),
            grain: scale.spending,
            ordered: true,
        }
    }

    /// What a plan is worth.
    pub fn value_of(&self, plan: &Shares) -> i128 {
        let of_group = |(values, shares): (&Vec<i128>, &Vec<u32>)| {
            values.iter().zip(shares).map(|(value, share)| *value * i128::from(*share)).sum::<i128>()
        };
        self.values.iter().zip(plan).map(of_group).sum()
    }

    /// What a plan takes out of each purse.
    pub fn uses_of(&self, plan: &Shares) -> [i64; D] {
        let mut uses = [0; D];
        for (group, shares) in self.groups.iter().zip(plan) {
            for (pick, share) in group.picks.iter().zip(shares) {
                add(&mut uses, &pick.uses, i64::from(*share));
            }
        }
        uses
    }

    /// Whether so much can be taken out of the purses.
    pub fn fits(&self, uses: &[i64; D]) -> bool {
        uses.iter().zip(&self.limits).all(|(used, limit)| used <= limit)
    }

    /// What is asked of a group's step.
    pub fn rule(&self, group: &Group<D>) -> Rule {
        self.rules[group.step]
    }

    /// Whether the count of a group's step is held.
    pub fn holds(&self, group: &Group<D>) -> bool {
        matches!(self.rule(group), Rule::Held(_))
    }

    /// The plan in which nobody is helped.
    pub fn nobody(groups: &[Group<D>]) -> Shares {
        let of_group = |group: &Group<D>| {
            let mut shares = vec![0; group.picks.len() + 1];
            shares[group.picks.len()] = group.members.len() as u32;
            shares
        };
        groups.iter().map(of_group).collect()
    }
}

/// The rules that hold these counts.
pub fn held<const D: usize>(groups: &[Group<D>], helped: &[u32]) -> Vec<Rule> {
    let size = sizes(groups, helped.len());
    let rule = |(helped, size): (&u32, u32)| match *helped {
        0 => Rule::Nobody,
        all if all == size => Rule::Everybody,
        some => Rule::Held(some),
    };
    helped.iter().zip(size).map(rule).collect()
}

/// How many there are at each step.
pub fn sizes<const D: usize>(groups: &[Group<D>], steps: usize) -> Vec<u32> {
    let mut sizes = vec![0; steps];
    for group in groups {
        sizes[group.step] += group.members.len() as u32;
    }
    sizes
}

/// Adds what is used, so many times.
pub fn add<const D: usize>(uses: &mut [i64; D], more: &[i64; D], times: i64) {
    for (used, more) in uses.iter_mut().zip(more) {
        *used += more * times;
    }
}
