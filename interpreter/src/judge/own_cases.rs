//! What a finding's own looks settle of it, where all it hangs together with has too many cases to go through.
//!
//! Taken test by test, a finding that one test or its opposite always meets would stay open. Its own looks are often few.

use super::groups::{Group, Local};
use super::solve::{Ground, Scratch};
use purfle_lang::finite::node::{Bounds, VariableId};

/// The most cases of a finding's own looks that are gone through.
const MOST_CASES: u64 = 4_096;

/// Settles the findings of a group, as far as their own looks do.
pub fn settle(ground: Ground<'_>, group: &Group, scratch: &mut Scratch) {
    let mut case = scratch.case.clone();
    for local in &group.instances {
        let bounds = scratch.bounds[local.id as usize];
        if bounds.possibly
            && !bounds.surely
            && let Some(settled) = by_itself(ground, local, &mut case)
        {
            scratch.bounds[local.id as usize] = settled;
        }
    }
}

/// Whether a finding holds in all, some or none of its own cases; none where these are too many, or where it asks for
/// another finding. Cases that the record rules out are gone through as well, so this is a bound too.
fn by_itself(ground: Ground<'_>, local: &Local, case: &mut [u8]) -> Option<Bounds> {
    let atoms = &ground.layout().view.atoms;
    let (mut variables, mut others) = (Vec::new(), Vec::new());
    local.holds.variables(atoms, &mut variables);
    local.holds.findings(&mut others);
    variables.sort_unstable();
    variables.dedup();
    let cells = |variable: &VariableId| u64::from(ground.seen.sets[*variable as usize].count_ones());
    let cases = variables.iter().try_fold(1_u64, |product, variable| product.checked_mul(cells(variable)));
    if !others.is_empty() || cases.is_none_or(|cases| cases == 0 || cases > MOST_CASES) {
        return None;
    }
    let mut bounds = Bounds { surely: true, possibly: false };
    go_through(ground, local, &variables, case, &mut bounds);
    Some(bounds)
}

fn go_through(ground: Ground<'_>, local: &Local, variables: &[VariableId], case: &mut [u8], bounds: &mut Bounds) {
    let Some((variable, rest)) = variables.split_first() else {
        let met = local.holds.met(&ground.layout().view.atoms, case, &[]);
        bounds.surely &= met;
        bounds.possibly |= met;
        return;
    };
    let mut set = ground.seen.sets[*variable as usize];
    while set != 0 && (bounds.surely || !bounds.possibly) {
        case[*variable as usize] = set.trailing_zeros() as u8;
        set &= set - 1;
        go_through(ground, local, rest, case, bounds);
    }
}
