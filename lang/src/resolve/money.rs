//! The rulebook's money: a currency of ISO 4217.

use super::names::Sink;
use crate::diagnostic::Diagnostic;
use crate::span::Span;
use crate::syntax::tree::Name;
use crate::unit::Currency;
use crate::wording::listed;

/// What people call their money, and the code that is likeliest meant.
const MEANT: [(&str, &str); 5] = [("dollar", "USD"), ("euro", "EUR"), ("pound", "GBP"), ("sterling", "GBP"), ("yen", "JPY")];

/// The most codes that are told to be near.
const MOST_NEAR: usize = 4;

/// The currency that `money` names; none after saying what is wrong.
pub fn money(sink: &Sink, written: Option<&Name>, rulebook: Span) -> Option<Currency> {
    let Some(code) = written else {
        sink.push(
            Diagnostic::error("no-money", rulebook, "The rulebook does not say in which money it reckons.")
                .label("no `money`")
                .help("Add `money` and a code of three letters, such as `money USD`."),
        );
        return None;
    };
    if let Some(currency) = Currency::parse(&code.value) {
        return Some(currency);
    }
    let says = format!("`{}` is no currency of ISO 4217.", code.value);
    let diagnostic = Diagnostic::error("unknown-money", code.span, says).label("not a currency");
    let word = code.value.to_lowercase();
    let called = MEANT.iter().find(|(name, _)| *name == word.trim_end_matches('s'));
    let near = near(&code.value.to_ascii_uppercase());
    sink.push(match (Currency::parse(&code.value.to_ascii_uppercase()), called, near.as_slice()) {
        (Some(meant), ..) => {
            diagnostic.help(format!("Write `{meant}`.")).fix(format!("Write `{meant}`"), true, code.span, meant.code())
        }
        (None, Some((_, meant)), _) => {
            let help = format!("Write the code of three letters, such as `{meant}`.");
            diagnostic.help(help).fix(format!("Write `{meant}`"), false, code.span, *meant)
        }
        (None, None, []) => diagnostic.help("Write a code of three letters, such as USD."),
        (None, None, near) => {
            let names: Vec<String> = near.iter().map(|currency| format!("`{currency}`")).collect();
            let diagnostic = diagnostic.help(format!("Write a code of three letters, such as {}.", listed(&names, "or")));
            let fix = |diagnostic: Diagnostic, currency: &Currency| {
                diagnostic.fix(format!("Write `{currency}`"), false, code.span, currency.code())
            };
            near.iter().fold(diagnostic, fix)
        }
    });
    None
}

/// The codes that a slip of the finger turns into this one: two neighbouring letters exchanged, else all in another order,
/// else all but one of them. None where those are too many to be a help.
fn near(written: &str) -> Vec<Currency> {
    let Ok([a, b, c]) = <[u8; 3]>::try_from(written.as_bytes()) else { return Vec::new() };
    let known = |codes: &mut dyn Iterator<Item = [u8; 3]>| -> Vec<Currency> {
        codes.filter_map(|code| Currency::parse(std::str::from_utf8(&code).ok()?)).collect()
    };
    for orders in [[[a, c, b], [b, a, c]].as_slice(), &[[b, c, a], [c, a, b], [c, b, a]]] {
        let swapped = known(&mut orders.iter().copied());
        if !swapped.is_empty() {
            return swapped;
        }
    }
    let other = known(&mut (b'A'..=b'Z').flat_map(|letter| [[letter, b, c], [a, letter, c], [a, b, letter]]));
    if other.len() > MOST_NEAR { Vec::new() } else { other }
}
