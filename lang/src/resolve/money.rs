//! The rulebook's money: a currency of ISO 4217.

use super::names::Sink;
use crate::diagnostic::Diagnostic;
use crate::span::Span;
use crate::syntax::tree::Name;
use crate::unit::Currency;

/// What people call their money, and the code that is likeliest meant.
const MEANT: [(&str, &str); 5] = [("dollar", "USD"), ("euro", "EUR"), ("pound", "GBP"), ("sterling", "GBP"), ("yen", "JPY")];

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
    sink.push(match Currency::parse(&code.value.to_ascii_uppercase()) {
        Some(meant) => {
            diagnostic.help(format!("Write `{meant}`.")).fix(format!("Write `{meant}`"), true, code.span, meant.code())
        }
        None => match MEANT.iter().find(|(word, _)| *word == code.value.to_lowercase().trim_end_matches('s')) {
            Some((_, meant)) => {
                let help = format!("Write the code of three letters, such as `{meant}`.");
                diagnostic.help(help).fix(format!("Write `{meant}`"), false, code.span, *meant)
            }
            None => diagnostic.help("Write a code of three letters, such as USD."),
        },
    });
    None
}
