//! What a rulebook drops and something still uses: one error for each thing dropped, with every place that uses it.

use super::names::NameKind;
use crate::chain::Dropped;
use crate::diagnostic::Diagnostic;
use crate::span::{Span, Spanned};
use crate::syntax::tree::Kind;

/// The slug of both: a use as it is found, and all uses of one thing told together.
const STILL_USED: &str = "still-used";

/// The most places that one message points at.
const MOST_PLACES: usize = 12;

/// A name that a `without`, or a ladder written anew, took away.
#[derive(Debug, Clone)]
pub struct DroppedName {
    /// What kind of name; none for a look or a place.
    pub kind: Option<NameKind>,
    /// What it was, in words.
    pub what: String,
    /// The name, without that of its owner.
    pub name: String,
    /// Where it is dropped.
    pub span: Span,
    rulebook: String,
    /// Whether a ladder was written anew without it.
    pub left_out: bool,
}

impl DroppedName {
    /// What is kept of something dropped.
    pub fn of(dropped: &Dropped, kind: Option<NameKind>) -> Self {
        Self {
            kind,
            what: format!("the {} `{}`", dropped.kind.word(), dropped.name),
            name: dropped.name.rsplit('.').next().unwrap_or_default().to_owned(),
            span: dropped.span,
            rulebook: dropped.rulebook.clone(),
            left_out: matches!(dropped.kind, Kind::Step | Kind::Hand | Kind::Tier),
        }
    }

    /// An error for one use of it.
    pub fn used(&self, name: &Spanned<String>) -> Diagnostic {
        let says = format!("{} drops {}.", self.rulebook, self.what);
        Diagnostic::error(STILL_USED, name.span, says).place(self.span, "dropped here")
    }

    /// Whether an error is for a use of it.
    pub fn is_used_in(&self, error: &Diagnostic) -> bool {
        error.slug == STILL_USED && error.says.contains(&self.what) && error.places.first().is_some_and(|at| at.span == self.span)
    }
}

/// Puts the uses of each thing dropped together, at the place that drops it.
pub fn gathered(found: Vec<Diagnostic>, dropped: &[DroppedName]) -> Vec<Diagnostic> {
    let is_use = |diagnostic: &Diagnostic| diagnostic.slug == STILL_USED;
    let (uses, mut rest): (Vec<Diagnostic>, Vec<Diagnostic>) = found.into_iter().partition(is_use);
    for name in dropped {
        let mut spans: Vec<Span> = uses.iter().filter(|used| name.is_used_in(used)).map(|used| used.span).collect();
        spans.sort_by_key(|span| (span.file, span.start));
        spans.dedup();
        if spans.is_empty() {
            continue;
        }
        let places = if spans.len() == 1 { "one place".to_owned() } else { format!("{} places", spans.len()) };
        let (says, help) = if name.left_out {
            let says = format!("The ladder written anew leaves out {}, which is still used in {places}.", name.what);
            (says, "Add it to the ladder, or alter what uses it as well.")
        } else {
            (
                format!("This drops {}, which is still used in {places}.", name.what),
                "Drop or alter what uses it as well, or keep it.",
            )
        };
        let diagnostic = Diagnostic::error(STILL_USED, name.span, says).help(help);
        rest.push(spans.iter().take(MOST_PLACES).fold(diagnostic, |diagnostic, span| diagnostic.place(*span, "used here")));
    }
    rest
}
