//! The best use of one or several purses, in whole numbers. Nothing here knows of instruments or rulebooks.
//!
//! # What is best
//!
//! Of all plans that stay within the purses, the one that
//!
//! 1. helps the most candidates of the gravest step; of those plans, the most of the next step; and so on;
//! 2. of those, saves the most;
//! 3. of those, spends the least;
//! 4. of those, at the first candidate in which two plans differ, helps it, or helps it by the choice listed first.
//!
//! # How it is found
//!
//! Funds that share neither candidates nor a purse are worked out apart ([`part`]).
//!
//! **Purses that overlap.** What several funds would pay alike is first drawn from all of them together: within some purses of
//! sets of funds the best plan is no worse than within every fund's own ([`pooled`]). It is then handed out to one fund each
//! ([`handing`], [`reach`], [`evening`]); where that succeeds it is the best plan. As a rule this leaves one purse of many, or
//! two. Where it does not succeed, a plan that spends less is handed out, and the first one bounds what could be better.
//!
//! **Counts.** With one purse they come cheapest first. *Proof.* Every candidate of a step counts one, so `k` of them can
//! be helped if and only if the `k` cheapest, each by its cheapest choice, can be paid: any other `k` cost at least as
//! much. So the greatest count of the gravest step is the longest run of its cheapest that the purse pays. Whatever plan
//! reaches that count leaves at most what this run leaves, and the run leaves just that, so the same argument gives the
//! greatest count of the next step from what is left, and so on. With several purses that candidates share, each count
//! is a question of its own to the search below: the most of one step, those of graver steps held ([`counts`]).
//!
//! **Saving.** With all counts held, what is left is a multiple-choice knapsack. A price for each purse and a
//! threshold for each step turn its limits into parts of each choice's value (Lagrange); the relaxed optimum is then a
//! sum over candidates, an upper bound, and each departure from it has a known loss ([`relax`], [`prices`]). Choices whose
//! loss alone is more than the gap between the bound and the best plan known cannot be part of a better one. With one purse
//! states are carried over the few candidates that are left, from one to the next, without those that another beats at no
//! greater use ([`search`]). H. Kellerer, U. Pferschy, D. Pisinger, *Knapsack Problems*, Springer 2004, chapters 5 and 11, is
//! where the parts of this method are described; that the thresholds hold counts is ours. With several purses few states beat
//! one another, and departures are looked at from two sides that meet ([`meet`]), after a narrower question has found a good
//! plan ([`narrow`]).
//!
//! **Funds that each pay another part of the same prices.** Then hundreds of candidates can change funds at next to no loss, and
//! a search over departures does not end. All purses as one, each weighed by its price, say how much can be saved ([`weighed`]):
//! whatever keeps within every purse keeps within that one, and over one purse the best is soon found. Who pays is then settled
//! by changes that bring all purses nearer to being just used up ([`nearing`]); the same changes find good plans where counts
//! are asked for. Where the plan found does not save that much, it is known how much less ([`open`]).
//!
//! Saving and spending are one number, saving times more than can be spent, less what is spent, so 2 and 3 are one
//! comparison. Candidates alike in everything are one group, so that their exchange costs nothing ([`group`]).
//!
//! The search has a limit. Where it is reached, the plan is the best that was found, and [`Allotment`] says how far from
//! the best it can be at the most.

mod beaten;
mod beside;
mod counts;
mod evening;
mod group;
mod handing;
mod meet;
mod narrow;
mod nearing;
mod open;
mod part;
mod polish;
mod pooled;
mod prices;
mod reach;
mod relax;
mod search;
mod stage;
mod ties;
mod vectors;
mod weighed;
mod whole;

/// Somebody who may be helped.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Candidate {
    /// How grave: nought is helped first.
    pub step: usize,
    /// The ways in which they may be helped, one of them at the most; of two alike in everything the first is taken.
    pub choices: Vec<Choice>,
}

/// One way to help.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Choice {
    /// The fund that pays.
    pub fund: usize,
    /// What it pays, not below nought.
    pub cost: i64,
    /// What is saved by it, not below nought.
    pub saving: i64,
}

/// What there is to spend.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Purses {
    /// All funds together; none where only the funds' own limits count.
    pub total: Option<i64>,
    /// Each fund; none where only the total limits it.
    pub funds: Vec<Option<i64>>,
}

/// The plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Allotment {
    /// For each candidate the choice taken, if any.
    pub taken: Vec<Option<usize>>,
    /// The gravest step of which it is not proven that no more can be helped, if there is one.
    pub more_helped: Option<usize>,
    /// At most so much more could be saved with the same counts; nought where the plan is proven to be the best.
    pub more_saved: i64,
    /// Where nothing more could be saved, at most so much less could be spent; nought where the plan is proven to be the best.
    pub less_spent: i64,
    /// Whether other plans are as good in everything.
    pub tie: Tie,
}

impl Allotment {
    /// Whether there is surely no better plan.
    pub fn proven(&self) -> bool {
        self.more_helped.is_none() && self.more_saved == 0 && self.less_spent == 0
    }
}

/// Whether plans came out alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tie {
    /// There is one best plan.
    None,
    /// There were several, and the order of the candidates decided.
    Ordered,
    /// There may be several, too many to go through.
    Unsettled,
}

/// How much work may be done before the best plan so far is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// The most states that one search may look at.
    pub states: usize,
}

impl Default for Effort {
    fn default() -> Self {
        Self { states: 6_000_000 }
    }
}

/// Why there is no plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoPlan {
    /// The sums are so large that they cannot be kept exact.
    TooLarge,
    /// More purses limit one another than can be followed at once.
    TooManyPurses,
}

/// The most purses that may limit one another: those of funds that share candidates, and the total.
pub const MOST_PURSES: usize = 8;

/// The best plan for candidates, in the order in which ties are broken.
pub fn best(candidates: &[Candidate], purses: &Purses, effort: Effort) -> Result<Allotment, NoPlan> {
    let mut plan =
        Allotment { taken: vec![None; candidates.len()], more_helped: None, more_saved: 0, less_spent: 0, tie: Tie::None };
    for part in part::parts(candidates, purses) {
        let of_part = whole::best_of_part(&part, effort)?;
        for (member, taken) in part.members.iter().zip(of_part.taken) {
            plan.taken[member.candidate] = taken.and_then(|at| member.choices.get(at)).map(|choice| choice.index);
            if taken.and_then(|at| member.choices.get(at)).is_some_and(|choice| choice.alike) {
                plan.tie = plan.tie.max(Tie::Ordered);
            }
        }
        plan.more_helped = [plan.more_helped, of_part.more_helped].into_iter().flatten().min();
        plan.more_saved = plan.more_saved.saturating_add(of_part.more_saved);
        plan.less_spent = plan.less_spent.saturating_add(of_part.less_spent);
        plan.tie = plan.tie.max(of_part.tie);
    }
    if plan.more_saved > 0 {
        plan.less_spent = 0;
    }
    let taken = candidates.iter().zip(&plan.taken).filter_map(|(candidate, taken)| candidate.choices.get((*taken)?));
    let spent = taken.fold(0_i64, |spent, choice| spent.saturating_add(choice.cost));
    plan.less_spent = plan.less_spent.min(spent);
    Ok(plan)
}
