//! What it costs now and if it is left, in words and as figures for a picture.

use purfle_lang::book::{Book, TierId};
use purfle_lang::number::Number;

use super::super::figures::{NOTHING, minor, money_range, more, sum};
use super::super::text::plain;
use super::Bar;
use crate::outcome::{Outcome, Range, Sum};

/// The costs of an instrument.
pub struct Costs {
    /// Now.
    pub now: Total,
    /// If left.
    pub left: Total,
    /// Whether neither comes to anything.
    pub nothing: bool,
    /// The shop's own price.
    pub quoted: Option<String>,
}

/// A total.
pub struct Total {
    /// In words, with everything that must be known of it.
    pub words: String,
    /// Its ends, on the scale of both totals.
    pub bar: Bar,
}

impl Costs {
    /// The costs of one outcome.
    pub fn of(book: &Book, outcome: &Outcome) -> Self {
        let unseen = !outcome.not_ruled_out.is_empty();
        let most = [&outcome.cost, &outcome.left].map(|sum| minor(sum.to, book.money.minor_places())).into_iter().max();
        let most = most.unwrap_or_default();
        Self {
            now: total(book, &outcome.cost, &outcome.tier, unseen, most),
            left: total(book, &outcome.left, &outcome.left_tier, unseen, most),
            nothing: most == 0,
            quoted: outcome.quoted.map(|quoted| format!("{}, by the shop that has seen it", money_range(book, quoted, quoted))),
        }
    }
}

fn total(book: &Book, total: &Sum, tiers: &Range<TierId>, unseen: bool, most: i128) -> Total {
    let places = book.money.minor_places();
    let (from, to) = (minor(total.from, places), minor(total.to, places));
    let open = unseen && from != to;
    let words = if open { open_sum(book, total, tiers) } else { known_sum(book, total, tiers) };
    Total { words, bar: Bar { open, ..Bar::of(from, to, most) } }
}

fn known_sum(book: &Book, total: &Sum, tiers: &Range<TierId>) -> String {
    let words = sum(book, total);
    let tier = match tiers.from == tiers.to {
        _ if words == NOTHING => String::new(),
        true => format!("; {}", plain(&book[tiers.from].words)),
        false => format!("; {} to {}", plain(&book[tiers.from].words), plain(&book[tiers.to].words)),
    };
    format!("{words}{tier}")
}

/// A total of which the greater end is made by what nobody looked at.
fn open_sum(book: &Book, total: &Sum, tiers: &Range<TierId>) -> String {
    let tier = |id: TierId| plain(&book[id].words).into_owned();
    let low = if total.from == Number::from_integer(0) {
        "nothing for certain".to_owned()
    } else {
        format!("at least {} ({})", money_range(book, total.from, total.from), tier(tiers.from))
    };
    let same = tiers.from == tiers.to && total.from > Number::from_integer(0);
    let tier = if same { String::new() } else { format!(" ({})", tier(tiers.to)) };
    let high = format!("{}{tier}", money_range(book, total.to, total.to));
    let bound = if total.exact { "" } else { " at the outside" };
    let more = more(total).map(|more| format!(", {more}")).unwrap_or_default();
    format!("{low}; up to {high}{bound}{more}, if what nobody looked at turned out at its worst")
}
