//! What prices come to: in one case, over what is still open, and with the least charge.

use num_integer::Integer;
use purfle_lang::number::Number;

use super::sharing::{End, Shared};
use super::solve::{Ground, Scratch};
use crate::plan::price::{Price, Scaled};
use purfle_lang::finite::node::{CellSet, InstanceId, VariableId};

/// A sum in shares of the major unit as money.
pub fn money(sum: Scaled, scale: Scaled) -> Number {
    match (u64::try_from(sum), u64::try_from(scale)) {
        // Nearly all sums are small, and small numbers are quickly made small.
        (Ok(small), Ok(share)) if share > 0 => {
            let common = small.gcd(&share);
            Number::new_raw((small / common).into(), (share / common).into())
        }
        _ => Number::new(sum, scale),
    }
}

/// The bit that says that a fund covers something at all.
pub const COVERED: Shared = 1 << 127;
/// The bit that says, of the greatest, that something a fund covers is known only on sight; of the least, that something
/// stands which it names, whatever that costs.
pub const BESIDES: Shared = 1 << 126;

/// Raises a sum that has work in it to the least charge.
pub fn charged(sum: Scaled, works: bool, least: Scaled) -> Scaled {
    if works && sum > 0 { sum.max(least) } else { sum }
}

/// Whether a fund names a finding.
pub fn names(ground: Ground<'_>, id: InstanceId, aid: usize) -> bool {
    ground.layout().instances[id as usize].named_by.iter().any(|named| named.index() == aid)
}

/// Whether a fund covers a finding that costs `alone` by itself, at that end of its price.
pub fn covers(ground: Ground<'_>, id: InstanceId, alone: (Scaled, Scaled), aid: usize, end: End) -> bool {
    if names(ground, id, aid) {
        return true;
    }
    let instance = &ground.layout().instances[id as usize];
    let Some(above) = ground.book.aids[aid].covers_above else {
        return false;
    };
    if instance.on_sight && end == End::High {
        return true;
    }
    let price = charged(if end == End::Low { alone.0 } else { alone.1 }, instance.works, ground.least_charge);
    above_limit(price, above, ground.scale)
}

/// Whether a sum in shares is above a limit in money.
pub fn above_limit(sum: Scaled, limit: Number, scale: Scaled) -> bool {
    sum.saturating_mul(*limit.denom()) > limit.numer().saturating_mul(scale)
}

/// A price in the case at hand.
pub fn price_at(ground: Ground<'_>, scratch: &Scratch, price: &Price, exact: &mut bool) -> (Scaled, Scaled) {
    match price {
        Price::Open(open) => {
            let (low, high, reached) = ground.seen.open_prices.get(*open as usize).copied().unwrap_or((0, 0, false));
            *exact &= reached;
            (low, high)
        }
        Price::Table(_) => price.at(&ground.layout().view.atoms, &scratch.case, &scratch.holds).unwrap_or((0, 0)),
    }
}

/// What a finding costs by itself in this case, before the least charge.
pub fn alone(ground: Ground<'_>, scratch: &Scratch, id: InstanceId, exact: &mut bool) -> (Scaled, Scaled) {
    let layout = ground.layout();
    let instance = &layout.instances[id as usize];
    let mut sum = (0, 0);
    let mut add = |price: (Scaled, Scaled)| sum = (sum.0 + price.0, sum.1 + price.1);
    for goods in &instance.goods {
        add(price_at(ground, scratch, goods, exact));
    }
    for (at, occurrence) in instance.occurrences.iter().enumerate() {
        let step = &layout.occurrences[*occurrence as usize];
        let again = instance.occurrences[..at].contains(occurrence);
        let falls_away = step.included_by.iter().any(|other| instance.occurrences.contains(other));
        if !again && !falls_away {
            add(price_at(ground, scratch, &step.price, exact));
        }
    }
    sum
}

/// The cells of a set, in order.
pub fn cells(mut set: CellSet) -> Vec<u8> {
    let mut cells = Vec::with_capacity(set.count_ones() as usize);
    while set != 0 {
        cells.push(set.trailing_zeros() as u8);
        set &= set - 1;
    }
    cells
}

/// The least and the greatest of a price over all cells its variables can still have.
pub fn price_bounds(ground: Ground<'_>, price: &Price) -> (Scaled, Scaled) {
    match price {
        Price::Open(open) => {
            let (low, high, _) = ground.seen.open_prices.get(*open as usize).copied().unwrap_or((0, 0, false));
            (low, high)
        }
        Price::Table(tables) => {
            let mut found: Option<(Scaled, Scaled)> = None;
            for table in tables {
                if !table.guard.bounds(&ground.layout().view.atoms, &ground.seen.sets, &[]).possibly {
                    continue;
                }
                each_cell(&table.variables, &ground.seen.sets, 0, 0, &mut |at| {
                    let (low, high) = table.prices[at as usize].unwrap_or((0, 0));
                    found = Some(found.map_or((low, high), |f| (f.0.min(low), f.1.max(high))));
                });
            }
            found.unwrap_or((0, 0))
        }
    }
}

fn each_cell(variables: &[(VariableId, u32)], sets: &[CellSet], depth: usize, at: u32, tell: &mut impl FnMut(u32)) {
    let Some((variable, stride)) = variables.get(depth) else {
        tell(at);
        return;
    };
    for cell in cells(sets[*variable as usize]) {
        each_cell(variables, sets, depth + 1, at + u32::from(cell) * stride, tell);
    }
}
