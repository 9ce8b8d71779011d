//! What is shown in and beside a text: where names come from, what they mean, what folds, what stands within lines.

use purfle_lang::span::Span;
use serde_json::json;
use tower_lsp::lsp_types::{
    CodeLens, Command, DocumentHighlight, DocumentHighlightKind, DocumentLink, FoldingRange, FoldingRangeKind, Hover,
    HoverContents, InlayHint, InlayHintLabel, InlayHintTooltip, LocationLink, SelectionRange, Url,
};

use purfle_lang::resolve::noted::{Note, Role};

use super::completion::markdown;
use crate::ide::definition::Jump;
use crate::ide::folding::{Fold, FoldKind};
use crate::ide::inlay::Inlay;
use crate::ide::lenses::{About, Lens};
use crate::ide::{self};
use crate::proto::pages::Pages;

/// The command that shows what came of an example.
pub const SHOW_EXAMPLE: &str = "purfle.showExample";

/// What a name means.
pub fn hover(hover: ide::hover::Hover, pages: &Pages) -> Hover {
    Hover { contents: HoverContents::Markup(markdown(hover.text)), range: pages.range(hover.span) }
}

/// A jump; none where it leads nowhere.
pub fn jump(jump: Jump, pages: &Pages) -> Option<LocationLink> {
    let to = pages.location(jump.to)?;
    Some(LocationLink {
        origin_selection_range: pages.range(jump.from),
        target_uri: to.uri,
        target_range: to.range,
        target_selection_range: to.range,
    })
}

/// A name that is marked.
pub fn highlight(note: &Note, pages: &Pages) -> Option<DocumentHighlight> {
    let kind = if note.role == Role::Uses { DocumentHighlightKind::READ } else { DocumentHighlightKind::WRITE };
    Some(DocumentHighlight { range: pages.range(note.span)?, kind: Some(kind) })
}

/// What folds.
pub fn fold(fold: &Fold, pages: &Pages) -> Option<FoldingRange> {
    let range = pages.range(fold.span)?;
    Some(FoldingRange {
        start_line: range.start.line,
        start_character: None,
        end_line: range.end.line,
        end_character: None,
        kind: (fold.kind == FoldKind::Comment).then_some(FoldingRangeKind::Comment),
        collapsed_text: None,
    })
    .filter(|fold| fold.start_line < fold.end_line)
}

/// Stretches round a byte, each within the next.
pub fn selection(spans: &[Span], pages: &Pages) -> Option<SelectionRange> {
    spans.iter().rev().filter_map(|span| pages.range(*span)).fold(None, |parent: Option<SelectionRange>, range| {
        let parent = parent.filter(|parent| parent.range != range);
        Some(SelectionRange { range, parent: parent.map(Box::new) })
    })
}

/// A remark within a line.
pub fn inlay(inlay: &Inlay, pages: &Pages) -> Option<InlayHint> {
    Some(InlayHint {
        position: pages.range(inlay.at)?.start,
        label: InlayHintLabel::String(inlay.label.clone()),
        kind: None,
        text_edits: None,
        tooltip: (!inlay.tip.is_empty()).then(|| InlayHintTooltip::MarkupContent(markdown(inlay.tip.clone()))),
        padding_left: Some(true),
        padding_right: None,
        data: None,
    })
}

/// A line above an item. `root` is the rulebook that was asked, and `words` are those of the example it is about.
pub fn lens(lens: &Lens, words: Option<&str>, root: &Url, pages: &Pages) -> Option<CodeLens> {
    let (command, arguments) = match (&lens.about, words) {
        (About::Example { .. }, Some(words)) => (SHOW_EXAMPLE, Some(vec![json!(root), json!(words)])),
        // A command of no name is words alone.
        _ => ("", None),
    };
    let command = Command { title: lens.title.clone(), command: command.to_owned(), arguments };
    Some(CodeLens { range: pages.range(lens.span)?, command: Some(command), data: None })
}

/// A link to a file, which the client calls `target`.
pub fn link(span: Span, tip: &str, target: Url, pages: &Pages) -> Option<DocumentLink> {
    Some(DocumentLink { range: pages.range(span)?, target: Some(target), tooltip: Some(tip.to_owned()), data: None })
}
