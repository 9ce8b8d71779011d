//! The outline of a text, and what is found by name.

use purfle_lang::syntax::tree::Kind;
use tower_lsp::lsp_types::{DocumentSymbol, SymbolInformation, SymbolKind};

use crate::ide::outline::Symbol;
use crate::proto::pages::Pages;

fn kind(kind: Kind) -> SymbolKind {
    match kind {
        Kind::Rulebook => SymbolKind::MODULE,
        Kind::Urgency | Kind::Hands | Kind::Tiers => SymbolKind::ENUM,
        Kind::Step | Kind::Hand | Kind::Tier => SymbolKind::ENUM_MEMBER,
        Kind::Part | Kind::Context => SymbolKind::CLASS,
        Kind::Place => SymbolKind::VARIABLE,
        Kind::Look => SymbolKind::FIELD,
        Kind::Work => SymbolKind::METHOD,
        Kind::Table => SymbolKind::ARRAY,
        Kind::Reckon => SymbolKind::NUMBER,
        Kind::Finding => SymbolKind::EVENT,
        Kind::Way => SymbolKind::CONSTRUCTOR,
        Kind::Raise => SymbolKind::OPERATOR,
        Kind::Counsel => SymbolKind::STRING,
        Kind::Aid => SymbolKind::INTERFACE,
        Kind::Example => SymbolKind::OBJECT,
    }
}

/// A symbol and what it holds; none where it stands in no text.
pub fn nested(symbol: &Symbol, pages: &Pages) -> Option<DocumentSymbol> {
    let children: Vec<DocumentSymbol> = symbol.children.iter().filter_map(|child| nested(child, pages)).collect();
    // The protocol has a newer field for what this one says, and asks for both.
    #[allow(deprecated)]
    Some(DocumentSymbol {
        name: if symbol.name.is_empty() { symbol.kind.word().to_owned() } else { symbol.name.clone() },
        detail: (!symbol.detail.is_empty()).then(|| symbol.detail.clone()),
        kind: kind(symbol.kind),
        tags: None,
        deprecated: None,
        range: pages.range(symbol.span.to(symbol.at))?,
        selection_range: pages.range(symbol.at)?,
        children: (!children.is_empty()).then_some(children),
    })
}

/// A symbol by itself; none where it stands in no text.
pub fn single(symbol: &Symbol, rulebook: &str, pages: &Pages) -> Option<SymbolInformation> {
    #[allow(deprecated)]
    Some(SymbolInformation {
        name: symbol.name.clone(),
        kind: kind(symbol.kind),
        tags: None,
        deprecated: None,
        location: pages.location(symbol.at)?,
        container_name: (!rulebook.is_empty()).then(|| rulebook.to_owned()),
    })
}
