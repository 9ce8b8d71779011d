//! The best prices of several purses: those at which the bound is closest.
//!
//! Plans that are best at some prices are mixed so that the mixture keeps within the purses and is worth the most; the
//! prices that hold such a mixture together are tried next, and what is best at them joins in, until nothing is better
//! (G. Dantzig, P. Wolfe, "Decomposition Principle for Linear Programs", Operations Research 8 (1960); from memory). The
//! mixture has as many plans as there are purses, and one, so its equations are small; they are solved in whole numbers.

use num_bigint::BigInt;
use num_integer::Integer;
use num_traits::{Signed, ToPrimitive, Zero};

/// A plan as the mixture sees it: what it is worth, and what it takes out of each purse.
#[derive(Debug, Clone, Copy)]
pub struct Mixed<const D: usize> {
    /// Its worth.
    pub value: i128,
    /// What it takes.
    pub uses: [i64; D],
}

/// Something that can be part of a mixture.
#[derive(Debug, Clone, Copy)]
enum Column<const D: usize> {
    Plan(Mixed<D>),
    /// What is left in a purse.
    Left(usize),
}

/// The most plans that join in.
const MOST: usize = 400;

/// The best prices, none above `highest`; `start` keeps within the purses, and `best_at` gives what is best at some prices, and the bound there.
pub fn prices<const D: usize>(
    limits: &[i64; D],
    start: Mixed<D>,
    highest: i128,
    mut best_at: impl FnMut(&[i128; D]) -> (Mixed<D>, i128),
) -> [i128; D] {
    let mut basis: Vec<Column<D>> = std::iter::once(Column::Plan(start)).chain((0..D).map(Column::Left)).collect();
    let mut best: ([i128; D], Option<i128>) = ([0; D], None);
    for _ in 0..MOST {
        let Some((inverse, det)) = inverse(basis.iter().map(|column| row(column, limits)).collect()) else { break };
        // The worth of one unit of each equation; the first one says that the parts add up to one.
        let worth: Vec<BigInt> = (0..=D)
            .map(|at| {
                let of = |column: &Column<D>| BigInt::from(value(column, &start));
                basis.iter().zip(&inverse[at]).map(|(column, part)| of(column) * part).sum()
            })
            .collect();
        let entering = match (0..D).find(|at| worth[at + 1].is_negative()) {
            Some(at) => Column::Left(at),
            None => {
                let mut prices = [0; D];
                for (price, worth) in prices.iter_mut().zip(&worth[1..]) {
                    *price = worth.div_floor(&det).to_i128().map_or(highest, |price| price.min(highest));
                }
                let (plan, bound) = best_at(&prices);
                if best.1.is_none_or(|known| bound < known) {
                    best = (prices, Some(bound));
                }
                Column::Plan(plan)
            }
        };
        let entries = row(&entering, limits);
        let gain = BigInt::from(value(&entering, &start)) * &det
            - entries.iter().zip(&worth).map(|(entry, worth)| entry * worth).sum::<BigInt>();
        if !gain.is_positive() {
            break;
        }
        // How much of each part the newcomer takes the place of; the one that is used up first leaves.
        let mut leaving: Option<(usize, BigInt, BigInt)> = None;
        for at in 0..=D {
            let taken: BigInt = entries.iter().zip(&inverse).map(|(entry, column)| entry * &column[at]).sum();
            let there = inverse[0][at].clone();
            if !taken.is_positive() {
                continue;
            }
            if leaving.as_ref().is_none_or(|(_, least, by)| &there * by < least * &taken) {
                leaving = Some((at, there, taken));
            }
        }
        let Some((at, ..)) = leaving else { break };
        basis[at] = entering;
    }
    best.0
}

/// A column's entries: the parts add up to one, and each purse is used up or something of it is left.
fn row<const D: usize>(column: &Column<D>, limits: &[i64; D]) -> Vec<BigInt> {
    match column {
        Column::Plan(plan) => {
            let beyond = plan.uses.iter().zip(limits).map(|(uses, limit)| BigInt::from(*uses) - limit);
            std::iter::once(BigInt::from(1)).chain(beyond).collect()
        }
        Column::Left(purse) => (0..=D).map(|at| BigInt::from(u8::from(at == purse + 1))).collect(),
    }
}

fn value<const D: usize>(column: &Column<D>, start: &Mixed<D>) -> i128 {
    match column {
        Column::Plan(plan) => plan.value - start.value,
        Column::Left(_) => 0,
    }
}

/// The inverse of a square matrix given by its columns, as its columns over one common divisor above nought (E. Bareiss,
/// "Sylvester's Identity and Multistep Integer-Preserving Gaussian Elimination", Mathematics of Computation 22 (1968);
/// from memory); none where there is no inverse.
fn inverse(columns: Vec<Vec<BigInt>>) -> Option<(Vec<Vec<BigInt>>, BigInt)> {
    let size = columns.len();
    // Rows of the matrix, and beside it those of the identity.
    let mut rows: Vec<Vec<BigInt>> = (0..size)
        .map(|row| {
            let own = columns.iter().map(|column| column[row].clone());
            own.chain((0..size).map(|at| BigInt::from(u8::from(at == row)))).collect()
        })
        .collect();
    let mut before = BigInt::from(1);
    for at in 0..size {
        let pivot = (at..size).find(|row| !rows[*row][at].is_zero())?;
        if pivot != at {
            rows.swap(pivot, at);
            for entry in &mut rows[at] {
                *entry = -&*entry;
            }
        }
        let by = rows[at].clone();
        for (_, row) in rows.iter_mut().enumerate().filter(|(row, _)| *row != at) {
            let factor = row[at].clone();
            for (entry, by_entry) in row.iter_mut().zip(&by) {
                *entry = (&*entry * &by[at] - &factor * by_entry) / &before;
            }
        }
        before = by[at].clone();
    }
    let negative = before.is_negative();
    let told = |entry: &BigInt| if negative { -entry } else { entry.clone() };
    let inverse = (0..size).map(|column| rows.iter().map(|row| told(&row[size + column])).collect()).collect();
    Some((inverse, before.abs()))
}
