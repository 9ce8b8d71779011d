//! The grammar, run on one slice of a text at a time.

use pest::Parser;
use pest::error::{ErrorVariant, InputLocation};
use pest::iterators::Pair as PestPair;

#[derive(pest_derive::Parser)]
#[grammar = "syntax/purfle.pest"]
struct Grammar;

pub(super) type Pair<'a> = PestPair<'a, Rule>;

/// Where a slice stopped making sense, and what could have stood there.
pub(super) struct Failure {
    /// Byte of the slice.
    pub at: usize,
    /// What could have stood there.
    pub wanted: Vec<Rule>,
}

/// Reads a slice by an entry rule.
pub(super) fn read(rule: Rule, slice: &str) -> Result<Pair<'_>, Failure> {
    let mut pairs = Grammar::parse(rule, slice).map_err(|error| {
        let at = match error.location {
            InputLocation::Pos(at) | InputLocation::Span((at, _)) => at,
        };
        let wanted = match error.variant {
            ErrorVariant::ParsingError { positives, .. } => positives,
            ErrorVariant::CustomError { .. } => Vec::new(),
        };
        Failure { at, wanted }
    })?;
    pairs.next().ok_or(Failure { at: 0, wanted: Vec::new() })
}
