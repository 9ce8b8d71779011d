//! What a record says of one look, remembered: equal words of one look share one understanding.

use std::sync::Arc;

use purfle_lang::book::{Look, LookKind};
use purfle_lang::saying::{BadSaying, Saying, parse};
use purfle_lang::unit::{Currency, Unit};
use rustc_hash::FxHashMap;

use super::short::short;

/// The most wordings of one look that are remembered; more than that are understood one by one.
const MOST_REMEMBERED: usize = 2048;

/// The wordings of one look, in one unit, that were met before.
#[derive(Debug, Default)]
pub struct Sayings {
    short: FxHashMap<(u64, u64), Arc<Saying>>,
    long: FxHashMap<Box<str>, Arc<Saying>>,
}

impl Sayings {
    /// What `text` says of the look; the error says what is wrong, what is allowed and what comes nearest.
    pub fn say(&mut self, look: &Look, text: &str, unit: Option<Unit>, money: Currency) -> Result<Arc<Saying>, String> {
        let short = short(text);
        let known = match &short {
            Some(short) => self.short.get(short),
            None => self.long.get(text),
        };
        if let Some(known) = known {
            return Ok(Arc::clone(known));
        }
        let written = matches!(look.kind, LookKind::Written);
        let saying = Arc::new(parse(look, text, unit, money).map_err(told)?);
        if !written && self.short.len() + self.long.len() < MOST_REMEMBERED {
            match short {
                Some(short) => self.short.insert(short, Arc::clone(&saying)),
                None => self.long.insert(text.into(), Arc::clone(&saying)),
            };
        }
        Ok(saying)
    }
}

/// Why a value says nothing, what is allowed, and the nearest that is, in one line.
pub fn told(bad: BadSaying) -> String {
    let BadSaying { mut why, allowed, nearest } = bad;
    if !allowed.is_empty() {
        why.push_str(&format!("; allowed: {allowed}"));
    }
    if let Some(nearest) = nearest {
        why.push_str(&format!("; the nearest is `{nearest}`"));
    }
    why
}
