//! Quotes of a word processor: where many lines have them, that is one mistake, and one change mends it.

use crate::diagnostic::{Diagnostic, Fix};

/// Puts such errors together at the first of them.
pub(super) fn together(diagnostics: &mut Vec<Diagnostic>) {
    let is_quote = |told: &Diagnostic| told.slug == "not-a-straight-quote";
    let count = diagnostics.iter().filter(|told| is_quote(told)).count();
    if count < 2 {
        return;
    }
    let mut edits: Vec<_> =
        diagnostics.iter().filter(|told| is_quote(told)).flat_map(|told| &told.fixes).flat_map(|fix| fix.edits.clone()).collect();
    edits.sort_by_key(|edit| edit.span.start);
    let mut first = true;
    diagnostics.retain(|told| !is_quote(told) || std::mem::take(&mut first));
    if let Some(told) = diagnostics.iter_mut().find(|told| is_quote(told)) {
        told.says = format!("Text stands in straight double quotes; {count} texts here have others.");
        told.fixes = vec![Fix { title: format!("Put straight quotes round all {count}"), safe: false, edits }];
    }
}
