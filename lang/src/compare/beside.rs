//! What stands beside the figures of an outcome: ways of mending that count in no sum, and how likely and how soon something
//! becomes another. Slips tell of them, and funds may be shared out by another way; no figure of the outcome hangs on them.

use std::collections::BTreeSet;

use super::both::Both;
use super::money::{OtherWay, same_bench};
use crate::book::{Book, FindingId};
use crate::number::Number;
use crate::unit::Duration;

/// A finding of which two books say something else beside the figures.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Beside {
    /// Its name.
    pub finding: String,
    /// Whether another way of mending it than the first is not the same, or does not cost the same, in both.
    pub ways: bool,
    /// Whether it becomes what it becomes with other odds, or within another time.
    pub becomes: bool,
}

/// The findings of both books of which something is said otherwise that no figure of an outcome hangs on.
pub fn beside(both: &Both<'_>) -> Vec<Beside> {
    let of = |name: &str| -> Option<Beside> {
        let (old, new) = (both.old.find_finding(name)?, both.new.find_finding(name)?);
        let ways = !both.same_other_ways(name);
        let becomes = arrows(both.old, old) != arrows(both.new, new);
        (ways || becomes).then(|| Beside { finding: name.to_owned(), ways, becomes })
    };
    both.pairs.iter().filter_map(|pair| of(&pair.name)).collect()
}

/// The odds and the time with which a finding becomes another, by the name of that; what only one of the books has it become
/// is a matter of what it costs if left.
fn arrows(book: &Book, finding: FindingId) -> Vec<(&str, Option<Number>, Option<Duration>)> {
    let mut arrows: Vec<_> =
        book[finding].becomes.iter().map(|arrow| (book[arrow.to].name.as_str(), arrow.odds, arrow.within)).collect();
    arrows.sort_by_key(|(to, ..)| *to);
    arrows
}

impl Both<'_> {
    /// Whether the ways of mending a finding that do not count are the same in both, and cost the same.
    fn same_other_ways(&self, name: &str) -> bool {
        let (old, new) = (&self.old_money, &self.new_money);
        let (Some(before), Some(after)) = (old.others.get(name), new.others.get(name)) else { return true };
        let bench = |way: &OtherWay| way.steps.iter().all(|step| same_bench(old, new, step, &mut BTreeSet::new()));
        let charged = before.iter().all(|way| way.steps.is_empty()) || self.old.least_charge == self.new.least_charge;
        self.old.money == self.new.money && charged && before == after && before.iter().all(|way| !way.doubtful && bench(way))
    }
}
