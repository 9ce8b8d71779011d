//! What a record says of one look, remembered: equal words of one look share one understanding.

use std::sync::Arc;

use purfle_lang::book::{Look, LookKind};
use purfle_lang::saying::{Saying, parse};
use purfle_lang::unit::{Currency, Unit};
use rustc_hash::FxHashMap;

use super::short::short;

/// The most wordings of one look that are remembered; more than that are understood one by one.
const MOST_REMEMBERED: usize = 2048;

/// The longest answer to any look but a written one, in bytes.
const LONGEST_ANSWER: usize = 1000;

/// The wordings of one look, in one unit, that were met before.
#[derive(Debug, Default)]
pub struct Sayings {
    short: FxHashMap<[u64; 2], Arc<Saying>>,
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
        if text.len() > LONGEST_ANSWER && !written {
            return Err(format!("it is {} bytes long, and no answer is longer than {LONGEST_ANSWER}", text.len()));
        }
        let saying = Arc::new(understood(look, text, unit, money)?);
        if !written && self.short.len() + self.long.len() < MOST_REMEMBERED {
            match short {
                Some(short) => self.short.insert(short, Arc::clone(&saying)),
                None => self.long.insert(text.into(), Arc::clone(&saying)),
            };
        }
        Ok(saying)
    }
}

fn understood(look: &Look, text: &str, unit: Option<Unit>, money: Currency) -> Result<Saying, String> {
    parse(look, text, unit, money).map_err(|bad| {
        let mut why = bad.why;
        if !matches!(look.kind, LookKind::Dated) && spreadsheet_date(text) {
            why.push_str(
                "; it looks like a date that a spreadsheet has made of a fraction: format that column as text and write it again",
            );
        }
        if !bad.allowed.is_empty() {
            why.push_str(&format!("; allowed: {}", bad.allowed));
        }
        if let Some(nearest) = bad.nearest {
            why.push_str(&format!("; the nearest is `{nearest}`"));
        }
        why
    })
}

/// Whether a text looks like what a spreadsheet makes of `3/4`: a date, in any of its usual shapes.
pub fn spreadsheet_date(text: &str) -> bool {
    const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let pieces: Vec<&str> = text.split(['-', '/', '.', ' ', ',']).filter(|piece| !piece.is_empty()).collect();
    let month = |piece: &str| {
        let head: String = piece.chars().take(3).collect::<String>().to_lowercase();
        piece.len() >= 3 && piece.bytes().all(|byte| byte.is_ascii_alphabetic()) && MONTHS.contains(&head.as_str())
    };
    let number = |piece: &str| piece.len() <= 4 && piece.bytes().all(|byte| byte.is_ascii_digit());
    let named = pieces.iter().filter(|piece| month(piece)).count() == 1;
    let numbers = pieces.iter().filter(|piece| number(piece)).count();
    let whole = pieces.iter().all(|piece| month(piece) || number(piece));
    whole && ((named && (1..=2).contains(&numbers)) || (numbers == 3 && pieces.len() == 3))
}

#[cfg(test)]
mod tests {
    use super::spreadsheet_date;

    #[test]
    fn what_a_spreadsheet_makes_of_a_fraction() {
        for date in ["03-Apr", "3. Apr", "2026-04-03", "4/3/2026", "Mar-04", "3 April 2026"] {
            assert!(spreadsheet_date(date), "{date}");
        }
        for other in ["3/4", "0.75", "straight", "1.5 mm", "march past", "12"] {
            assert!(!spreadsheet_date(other), "{other}");
        }
    }
}
