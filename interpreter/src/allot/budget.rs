//! What there is to spend, as it is typed: one sum for all funds together, one for each fund, or both.

use std::fmt;

use purfle_lang::book::Book;
use purfle_lang::nearest::nearest;
use purfle_lang::saying::parse_price;

use super::optimum::Purses;
use crate::report::minor;

/// What there is to spend, in the money's minor unit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Budget {
    /// For all funds together; none where each has its own.
    pub total: Option<i64>,
    /// For each fund of the rulebook; none where only the total limits it.
    pub funds: Vec<Option<i64>>,
    /// Kept for later; taken off the total.
    pub keep: i64,
}

impl Budget {
    /// What may be shared out now.
    pub fn purses(&self) -> Purses {
        Purses { total: self.total.map(|total| total - self.keep), funds: self.funds.clone() }
    }

    /// What may be shared out now, all funds together.
    pub fn to_share(&self) -> i64 {
        let own: i64 = self.funds.iter().flatten().sum();
        let all_limited = self.funds.iter().all(Option::is_some);
        match self.total {
            Some(total) if all_limited => own.min(total - self.keep),
            Some(total) => total - self.keep,
            None => own,
        }
    }
}

/// Why a budget is none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadBudget {
    /// The option at fault: `--budget` or `--keep`.
    pub option: &'static str,
    /// What was typed.
    pub typed: String,
    /// What is wrong, and what to write.
    pub why: String,
}

impl fmt::Display for BadBudget {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}: {}", self.option, self.typed, self.why)
    }
}

impl std::error::Error for BadBudget {}

/// The most that is taken for a sum, in the minor unit: more is surely a slip, and could not be reckoned with exactly.
pub const MOST: i64 = 1_000_000_000_000;

/// Reads what was typed for `--budget`, as often as it was, and for `--keep`.
pub fn budget(book: &Book, typed: &[String], keep: Option<&str>) -> Result<Budget, BadBudget> {
    let mut budget = Budget { total: None, funds: vec![None; book.aids.len()], keep: 0 };
    for text in typed {
        let bad = |why: String| BadBudget { option: "--budget", typed: text.clone(), why };
        let place = match text.split_once('=') {
            None => &mut budget.total,
            Some((name, _)) => {
                let at = book.aids.iter().position(|aid| aid.name == name.trim());
                let at = at.ok_or_else(|| bad(no_fund(book, name.trim())))?;
                &mut budget.funds[at]
            }
        };
        let sum = sum(book, text.split_once('=').map_or(text, |(_, sum)| sum)).map_err(bad)?;
        if place.replace(sum).is_some() {
            return Err(bad("it is given twice; give each sum once".to_owned()));
        }
    }
    if budget.total.is_none() {
        // Nobody said that a fund may spend what was not named for it.
        budget.funds.iter_mut().for_each(|fund| *fund = Some(fund.unwrap_or(0)));
    }
    if let Some(text) = keep {
        let bad = |why: String| BadBudget { option: "--keep", typed: text.to_owned(), why };
        budget.keep = sum(book, text).map_err(bad)?;
        match budget.total {
            None => {
                return Err(bad("it is taken off the sum for all funds together; give that with --budget MONEY".to_owned()));
            }
            Some(total) if budget.keep > total => {
                return Err(bad("it is more than there is to spend; keep less, or give more with --budget".to_owned()));
            }
            Some(_) => {}
        }
    }
    Ok(budget)
}

fn no_fund(book: &Book, name: &str) -> String {
    let names = || book.aids.iter().map(|aid| aid.name.as_str());
    let all = names().collect::<Vec<_>>().join(", ");
    match nearest(name, names()) {
        Some(near) => format!("`{name}` is no fund of this rulebook; the nearest is `{near}` (its funds: {all})"),
        None => format!("`{name}` is no fund of this rulebook; its funds: {all}"),
    }
}

/// A sum in the minor unit.
fn sum(book: &Book, text: &str) -> Result<i64, String> {
    if text.trim_start().starts_with('-') {
        return Err(format!("a sum is never below nought; allowed: a sum such as 240 {}", book.money));
    }
    let sum = parse_price(text, book.money).map_err(|bad| bad.to_string())?;
    let sum = i64::try_from(minor(sum, book.money.minor_places())).ok().filter(|minor| *minor <= MOST);
    sum.ok_or_else(|| "it is more than can be shared out exactly; give a smaller sum".to_owned())
}
