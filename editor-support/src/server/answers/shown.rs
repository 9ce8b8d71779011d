//! What is shown in and beside a text.

use purfle_lang::span::FileId;
use tower_lsp::lsp_types::{
    CodeLens, DocumentLink, FoldingRange, InlayHint, Position, Range, SelectionRange, SemanticToken, Url,
};

use crate::ide::lenses::About;
use crate::ide::{colours, folding, inlay, lenses, links, selection};
use crate::proto::to_proto;
use crate::server::desk::Desk;

/// The colours of a text, or of a range of it.
pub fn colours(desk: &mut Desk, uri: &Url, within: Option<Range>) -> Option<Vec<SemanticToken>> {
    let look = desk.look(uri)?;
    let mut words = colours::colours(&look.analysis, FileId::OWN);
    if let Some(range) = within {
        let (from, to) = (look.byte(FileId::OWN, range.start), look.byte(FileId::OWN, range.end));
        words.retain(|word| word.span.start < to && from < word.span.end);
    }
    Some(to_proto::tokens::tokens(&words, &look.pages()))
}

/// What folds in a text.
pub fn folding(desk: &mut Desk, uri: &Url) -> Option<Vec<FoldingRange>> {
    let look = desk.look(uri)?;
    let pages = look.pages();
    Some(folding::folding(&look.analysis, FileId::OWN).iter().filter_map(|fold| to_proto::shown::fold(fold, &pages)).collect())
}

/// The stretches round each position, in the order of the positions.
pub fn selections(desk: &mut Desk, uri: &Url, positions: &[Position]) -> Option<Vec<SelectionRange>> {
    let look = desk.look(uri)?;
    let pages = look.pages();
    let one = |position: &Position| {
        let spans = selection::selection(&look.analysis, FileId::OWN, look.byte(FileId::OWN, *position));
        let nothing = SelectionRange { range: Range { start: *position, end: *position }, parent: None };
        to_proto::shown::selection(&spans, &pages).unwrap_or(nothing)
    };
    Some(positions.iter().map(one).collect())
}

/// The remarks within the lines of a range.
pub fn inlays(desk: &mut Desk, uri: &Url, within: Range) -> Option<Vec<InlayHint>> {
    if !desk.settings().inlay_hints {
        return None;
    }
    let look = desk.look(uri)?;
    let pages = look.pages();
    let (from, to) = (look.byte(FileId::OWN, within.start), look.byte(FileId::OWN, within.end));
    let inlays = inlay::inlays(&look.analysis, FileId::OWN, from, to);
    Some(inlays.iter().filter_map(|inlay| to_proto::shown::inlay(inlay, &pages)).collect())
}

/// The lines above examples and findings.
pub fn lenses(desk: &mut Desk, uri: &Url) -> Option<Vec<CodeLens>> {
    if !desk.settings().code_lens {
        return None;
    }
    let look = desk.look(uri)?;
    let pages = look.pages();
    let came = look.analysis.came();
    let lenses = lenses::lenses(&look.analysis, FileId::OWN);
    let one = |lens: &lenses::Lens| {
        let words = match &lens.about {
            About::Example { number, .. } => came.get(*number).map(|came| came.words.as_str()),
            About::Spoken(_) => None,
        };
        to_proto::shown::lens(lens, words, uri, &pages)
    };
    Some(lenses.iter().filter_map(one).collect())
}

/// The links of a text.
pub fn links(desk: &mut Desk, uri: &Url) -> Option<Vec<DocumentLink>> {
    let look = desk.look(uri)?;
    let pages = look.pages();
    let links = links::links(&look.analysis, FileId::OWN);
    let one = |link: &links::Link| to_proto::shown::link(link.span, &link.tip, desk.name(&link.path)?, &pages);
    Some(links.iter().filter_map(one).collect())
}
