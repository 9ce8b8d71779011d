//! The texts of a chain of rulebooks under the names that the client has for them.

use purfle_lang::source::LineIndex;
use purfle_lang::span::Span;
use tower_lsp::lsp_types::{Location, Range, Url};

use super::encoding::Encoding;
use super::page::Page;
use crate::analysis::Analysis;

/// The texts of a chain, in its order.
#[derive(Debug)]
pub struct Pages<'a> {
    /// Each with its name.
    pub texts: Vec<(Url, &'a str, &'a LineIndex)>,
    /// The unit of a column.
    pub encoding: Encoding,
}

/// The texts of an analysis, under these names.
pub fn pages<'a>(analysis: &'a Analysis, uris: &[Url], encoding: Encoding) -> Pages<'a> {
    let texts = uris.iter().zip(&analysis.sources).zip(&analysis.lines);
    Pages { texts: texts.map(|((uri, source), lines)| (uri.clone(), source.text.as_str(), lines)).collect(), encoding }
}

impl Pages<'_> {
    /// Where a span is in its own text; none for a span of no text.
    pub fn range(&self, span: Span) -> Option<Range> {
        let (_, text, lines) = self.texts.get(usize::from(span.file.0))?;
        Some(Page { text, lines, encoding: self.encoding }.range(span.range()))
    }

    /// Where a span is; none for a span of no text.
    pub fn location(&self, span: Span) -> Option<Location> {
        let (uri, ..) = self.texts.get(usize::from(span.file.0))?;
        Some(Location { uri: uri.clone(), range: self.range(span)? })
    }
}
