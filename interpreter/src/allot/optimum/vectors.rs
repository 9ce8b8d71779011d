//! The ways in which a group of candidates that are alike can be shared out over its choices.

use super::group::Group;
use super::relax::{NEVER, Relaxed};
use super::stage::Stage;

/// One way to share a group out, told as what it changes against the relaxed plan.
#[derive(Debug, Clone)]
pub struct Vector<const D: usize> {
    /// How many take each choice; those not helped last.
    pub shares: Vec<u32>,
    /// What more is taken out of each purse.
    pub uses: [i64; D],
    /// What more it is worth.
    pub value: i128,
    /// What it loses against the bound.
    pub loss: i128,
    /// How many more are helped.
    pub helped: i64,
}

/// The most ways of one group.
const MOST: usize = 20_000;

/// All ways that lose no more than this; none where there are too many.
pub fn vectors<const D: usize>(stage: &Stage<'_, D>, relaxed: &Relaxed<D>, at: usize, most_loss: i128) -> Option<Vec<Vector<D>>> {
    let losses = &relaxed.losses[at];
    // Whoever takes nothing else takes a choice that loses nothing.
    let rest = losses.iter().position(|loss| *loss == 0)?;
    let mut order: Vec<usize> = (0..losses.len()).filter(|choice| *choice != rest && losses[*choice] <= most_loss).collect();
    order.sort_by_key(|choice| losses[*choice]);
    let members = stage.groups[at].members.len() as u32;
    let mut found = Vec::new();
    let mut shares = vec![0; losses.len()];
    let all = share_out(&Sharing { losses, order: &order, rest, most_loss }, 0, members, 0, &mut shares, &mut found);
    let base = &relaxed.plan[at];
    let told = |(shares, loss): (Vec<u32>, i128)| told(&stage.groups[at], &stage.values[at], base, shares, loss);
    all.then(|| found.into_iter().map(told).collect())
}

struct Sharing<'a> {
    losses: &'a [i128],
    order: &'a [usize],
    rest: usize,
    most_loss: i128,
}

/// Goes through the choices from `next` on, with so many left to share out; false where there are too many ways.
fn share_out(
    sharing: &Sharing<'_>,
    next: usize,
    left: u32,
    loss: i128,
    shares: &mut Vec<u32>,
    found: &mut Vec<(Vec<u32>, i128)>,
) -> bool {
    let Some(&choice) = sharing.order.get(next) else {
        shares[sharing.rest] = left;
        found.push((shares.clone(), loss));
        return found.len() <= MOST;
    };
    let each = sharing.losses[choice];
    for count in 0..=left {
        let more = loss + each * i128::from(count);
        if more > sharing.most_loss {
            break;
        }
        shares[choice] = count;
        if !share_out(sharing, next + 1, left - count, more, shares, found) {
            return false;
        }
    }
    shares[choice] = 0;
    true
}

/// What a way changes.
fn told<const D: usize>(group: &Group<D>, values: &[i128], base: &[u32], shares: Vec<u32>, loss: i128) -> Vector<D> {
    let (mut uses, mut value, mut helped) = ([0; D], 0, 0);
    for (choice, pick) in group.picks.iter().enumerate() {
        let more = i64::from(shares[choice]) - i64::from(base[choice]);
        super::stage::add(&mut uses, &pick.uses, more);
        value += values[choice] * i128::from(more);
        helped += more;
    }
    Vector { shares, uses, value, loss, helped }
}

/// The least loss of a group that is shared out otherwise than in the relaxed plan.
pub fn least_loss(losses: &[i128], base: &[u32]) -> i128 {
    let taken = || losses.iter().zip(base).filter(|(_, share)| **share > 0).map(|(loss, _)| *loss);
    if taken().count() > 1 {
        return taken().min().unwrap_or(NEVER);
    }
    losses.iter().zip(base).filter(|(_, share)| **share == 0).map(|(loss, _)| *loss).min().unwrap_or(NEVER)
}
