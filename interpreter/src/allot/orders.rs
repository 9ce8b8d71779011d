//! What simpler orders would have come to with the same money: down the list by urgency, and first come, first served.

use super::optimum::Purses;
use super::plan::{Question, Total};

/// An order in which instruments are gone through; whoever's turn it is gets the textbook way as long as there is money.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OrderKind {
    /// The order of work, gravest first.
    ByUrgency,
    /// The order of the records.
    AsTheyCame,
}

/// What an order comes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order {
    /// Which.
    pub kind: OrderKind,
    /// What it comes to.
    pub total: Total,
}

/// Both orders.
pub fn orders(question: &Question<'_>, purses: &Purses) -> Vec<Order> {
    let instruments = &question.batch.instruments;
    let mut by_urgency = question.places.clone();
    by_urgency.sort_by(|a, b| instruments[*b].gravity.cmp(&instruments[*a].gravity).then(a.cmp(b)));
    let mut as_they_came = question.places.clone();
    as_they_came.sort_unstable();
    [(OrderKind::ByUrgency, by_urgency), (OrderKind::AsTheyCame, as_they_came)]
        .map(|(kind, order)| Order { kind, total: gone_through(question, purses, &order) })
        .to_vec()
}

/// Goes through an order; who costs more than is left is passed over.
fn gone_through(question: &Question<'_>, purses: &Purses, order: &[usize]) -> Total {
    let mut left = purses.clone();
    let mut given = Vec::new();
    for at in order {
        let instrument = &question.batch.instruments[*at];
        let fits = |reserved: i64, fund: usize| {
            let own = left.funds.get(fund).copied().flatten();
            [own, left.total].into_iter().flatten().all(|left| reserved <= left)
        };
        let Some((offer, taken)) = instrument.textbook().find(|(_, offer)| fits(offer.reserved, offer.aid.index())) else {
            continue;
        };
        let own = left.funds.get_mut(taken.aid.index()).and_then(Option::as_mut);
        for purse in [own, left.total.as_mut()].into_iter().flatten() {
            *purse -= taken.reserved;
        }
        given.push((instrument, offer));
    }
    Total::of(&question.batch.steps, given.into_iter())
}
