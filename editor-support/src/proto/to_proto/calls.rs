//! What a finding becomes if it is left, as the protocol tells of calls.

use serde_json::json;
use tower_lsp::lsp_types::{CallHierarchyIncomingCall, CallHierarchyItem, CallHierarchyOutgoingCall, Range, SymbolKind, Url};

use crate::ide::calls::{Station, Step};
use crate::proto::pages::Pages;

/// A finding; none where it stands in no text. `root` is the rulebook that was asked, to ask it again.
pub fn item(station: &Station, detail: &str, root: &Url, pages: &Pages) -> Option<CallHierarchyItem> {
    let at = pages.location(station.at)?;
    Some(CallHierarchyItem {
        name: station.name.clone(),
        kind: SymbolKind::EVENT,
        tags: None,
        detail: Some(if detail.is_empty() { station.words.clone() } else { format!("{detail}: {}", station.words) }),
        uri: at.uri,
        range: pages.range(station.span.to(station.at))?,
        selection_range: at.range,
        data: Some(json!(root)),
    })
}

fn written(step: &Step, pages: &Pages) -> Vec<Range> {
    pages.range(step.written).into_iter().collect()
}

/// What becomes the finding.
pub fn incoming(step: &Step, root: &Url, pages: &Pages) -> Option<CallHierarchyIncomingCall> {
    Some(CallHierarchyIncomingCall { from: item(&step.station, &step.says, root, pages)?, from_ranges: written(step, pages) })
}

/// What the finding becomes.
pub fn outgoing(step: &Step, root: &Url, pages: &Pages) -> Option<CallHierarchyOutgoingCall> {
    Some(CallHierarchyOutgoingCall { to: item(&step.station, &step.says, root, pages)?, from_ranges: written(step, pages) })
}
