//! What each way of mending a finding would cost, the ways beside the textbook one included.
//!
//! Totals count the first way of each finding. The price of a second way is what its finding costs by itself in a book
//! in which that way stands first; nothing else of that book's outcome is used.

use std::sync::{Arc, OnceLock};

use purfle_lang::book::Book;

use crate::judge::Judge;
use crate::outcome::{Outcome, Sum};
use crate::plan::Plan;
use crate::record::Record;

/// Plans in which other ways stand first, made when one is first needed and shared by all threads.
pub struct WayPlans {
    book: Arc<Book>,
    plans: Vec<OnceLock<Arc<Plan>>>,
}

impl WayPlans {
    /// Room for one plan for each further way that any finding of the book has.
    pub fn new(book: Arc<Book>) -> Self {
        let most = book.findings.iter().map(|finding| finding.ways.len()).max().unwrap_or(0);
        Self { plans: (1..most).map(|_| OnceLock::new()).collect(), book }
    }

    /// The plan in which the way of this number, counted from nought, stands first.
    fn plan(&self, way: usize) -> Option<Arc<Plan>> {
        let place = self.plans.get(way.checked_sub(1)?)?;
        let plan = place.get_or_init(|| {
            let mut other = Book::clone(&self.book);
            for finding in other.findings.iter_mut().filter(|finding| finding.ways.len() > way) {
                finding.ways.swap(0, way);
            }
            Arc::new(Plan::new(Arc::new(other)))
        });
        Some(Arc::clone(plan))
    }
}

/// Prices ways, with one judge for all second ways, one for all third ones, and so on.
pub struct WayPrices<'a> {
    plans: &'a WayPlans,
    judges: Vec<Judge>,
}

impl<'a> WayPrices<'a> {
    /// Prices ways by these plans.
    pub fn new(plans: &'a WayPlans) -> Self {
        Self { plans, judges: Vec::new() }
    }

    /// The price of each way of each finding of an outcome, in the outcome's order; nothing for findings with one way.
    /// A list is shorter than the ways where the further ones could not be priced.
    pub fn of(&mut self, record: &Record, outcome: &Outcome) -> Vec<Vec<Sum>> {
        let book = &self.plans.book;
        let ways = |judged: &crate::outcome::Judged| book[judged.finding].ways.len();
        let most = outcome.findings.iter().map(ways).max().unwrap_or(0);
        let mut prices: Vec<Vec<Sum>> =
            outcome.findings.iter().map(|judged| if ways(judged) > 1 { vec![judged.cost] } else { Vec::new() }).collect();
        for way in 1..most {
            if self.judges.len() < way {
                self.judges.extend(self.plans.plan(way).map(Judge::new));
            }
            let Some(Ok(other)) = self.judges.get_mut(way - 1).map(|judge| judge.judge(record)) else { break };
            for (judged, prices) in outcome.findings.iter().zip(&mut prices).filter(|(_, prices)| prices.len() == way) {
                if book[judged.finding].ways.len() <= way {
                    continue;
                }
                let same = other.findings.iter().find(|other| (other.finding, other.at) == (judged.finding, judged.at));
                prices.extend(same.map(|same| same.cost));
            }
        }
        prices
    }
}
