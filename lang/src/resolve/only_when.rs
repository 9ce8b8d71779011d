//! `only when` is one test or several joined by `and`, so that a value written down can say what else must be true.

use super::names::Sink;
use crate::book::Condition;
use crate::diagnostic::Diagnostic;
use crate::span::Span;

/// Whether the condition is of that shape; says so where it is not.
pub fn simple(sink: &Sink, condition: &Condition, span: Option<Span>) -> bool {
    let plain = match condition {
        Condition::All(inner) => inner.iter().all(is_test),
        other => is_test(other),
    };
    if let (false, Some(span)) = (plain, span) {
        let says = "An `only when` is one test, or several joined by `and`.";
        sink.push(
            Diagnostic::error("only-when-not-plain", span, says)
                .help("Write `is one of …` for several choices, or add a look that asks it."),
        );
    }
    plain
}

fn is_test(condition: &Condition) -> bool {
    match condition {
        Condition::Test(..) => true,
        Condition::All(inner) => inner.iter().all(is_test),
        Condition::Not(inner) => matches!(**inner, Condition::Test(..)),
        _ => false,
    }
}
