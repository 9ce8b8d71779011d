//! Candidates that are alike in everything but their place: one group, so that their exchange costs the search nothing.

use rustc_hash::FxHashMap;

use super::part::Part;

/// Members of a part with the same step and the same choices.
#[derive(Debug, Clone)]
pub struct Group<const D: usize> {
    /// Their step.
    pub step: usize,
    /// Their places in the part, in order.
    pub members: Vec<usize>,
    /// What may be chosen, first ones preferred; not to be helped comes after them.
    pub picks: Vec<Pick<D>>,
}

/// One choice of every member of a group.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Pick<const D: usize> {
    /// What it takes out of each purse.
    pub uses: [i64; D],
    /// What it costs.
    pub cost: i64,
    /// What it saves.
    pub saving: i64,
}

/// For each group how many members have each choice, those that are not helped last.
pub type Shares = Vec<Vec<u32>>;

/// The groups of a part.
pub fn groups<const D: usize>(part: &Part) -> Vec<Group<D>> {
    let mut known: FxHashMap<(usize, Vec<Pick<D>>), usize> = FxHashMap::default();
    let mut groups: Vec<Group<D>> = Vec::new();
    for (at, member) in part.members.iter().enumerate() {
        let picks: Vec<Pick<D>> = member
            .choices
            .iter()
            .map(|open| {
                let mut uses = [0; D];
                for (use_, purse) in uses.iter_mut().zip(&part.purses) {
                    *use_ = if purse.pays(open) { open.choice.cost } else { 0 };
                }
                Pick { uses, cost: open.choice.cost, saving: open.choice.saving }
            })
            .collect();
        let group = *known.entry((member.step, picks)).or_insert_with_key(|(step, picks)| {
            groups.push(Group { step: *step, members: Vec::new(), picks: picks.clone() });
            groups.len() - 1
        });
        groups[group].members.push(at);
    }
    groups
}

/// What a value is made of.
#[derive(Debug, Clone, Copy)]
pub struct Scale {
    /// By how much saving weighs more than spending.
    pub saving: i128,
    /// What a unit of spending weighs: so much that prices of several purses can be told apart.
    pub spending: i128,
}

/// The most that a unit of spending weighs.
const FINE: i128 = 1 << 20;

/// How values are made up, and the purses' limits; none where the figures of a search could grow beyond what is counted exactly.
pub fn scale_and_limits<const D: usize>(part: &Part) -> Option<(Scale, [i64; D])> {
    let mut dearest: i128 = 0;
    let (mut most_cost, mut most_saving): (i128, i128) = (1, 1);
    for member in &part.members {
        let costs = member.choices.iter().map(|open| i128::from(open.choice.cost));
        let cost = costs.max().unwrap_or(0);
        let saving = member.choices.iter().map(|open| i128::from(open.choice.saving)).max().unwrap_or(0);
        dearest += cost;
        most_cost = most_cost.max(cost);
        most_saving = most_saving.max(saving);
    }
    let saving = dearest + 1;
    // A choice is worth at most this; a purse's price is at most that for each unit.
    let worth = most_saving.checked_mul(saving)?.checked_add(most_cost)?.checked_add(super::counts::WEIGHT)?;
    let limit = part.purses.iter().map(|purse| i128::from(purse.limit)).max().unwrap_or(1);
    let members = i128::try_from(part.members.len()).ok()? + 1;
    let most = worth.checked_mul(most_cost.checked_mul(members)?.max(limit))?.checked_mul(8 * 4)?;
    // With one purse prices need not be told apart.
    let spending = if D == 1 { 1 } else { FINE.min(1 << (i128::MAX / most).ilog2()) };
    let mut limits = [i64::MAX / 4; D];
    for (limit, purse) in limits.iter_mut().zip(&part.purses) {
        *limit = purse.limit;
    }
    Some((Scale { saving, spending }, limits))
}

/// Whether members alike in everything fare differently.
pub fn split<const D: usize>(groups: &[Group<D>], shares: &Shares) -> bool {
    groups.iter().zip(shares).any(|(group, shares)| shares.iter().all(|share| (*share as usize) < group.members.len()))
}

/// The choice of each member of the part: of those alike the first ones get what is preferred.
pub fn hand_out<const D: usize>(groups: &[Group<D>], shares: &Shares, members: usize) -> Vec<Option<usize>> {
    let mut taken = vec![None; members];
    for (group, shares) in groups.iter().zip(shares) {
        let choices = shares.iter().enumerate().flat_map(|(choice, share)| (0..*share).map(move |_| choice));
        for (member, choice) in group.members.iter().zip(choices) {
            taken[*member] = (choice < group.picks.len()).then_some(choice);
        }
    }
    taken
}
