//! What names mean, where they come from, where else they stand, and what they are changed to.

use std::collections::BTreeSet;

use purfle_lang::resolve::noted::Note;
use purfle_lang::span::FileId;
use tower_lsp::jsonrpc::{Error, ErrorCode, Result};
use tower_lsp::lsp_types::{
    CallHierarchyIncomingCall, CallHierarchyItem, CallHierarchyOutgoingCall, DocumentHighlight, DocumentSymbol, Hover, Location,
    LocationLink, Position, PrepareRenameResponse, SymbolInformation, Url, WorkspaceEdit,
};

use crate::analysis::Analysis;
use crate::ide::calls::{self, Step};
use crate::ide::{definition, hover, outline, rename};
use crate::proto::to_proto;
use crate::server::desk::Desk;
use crate::server::desk::asking::Look;

/// How many symbols are told at the most; more is typed to see others.
const MOST_SYMBOLS: usize = 500;

/// The code of an answer that says in words why there is none.
const REFUSED: ErrorCode = ErrorCode::ServerError(-32803);

/// An answer that says why there is none.
pub fn refused(why: String) -> Error {
    Error { code: REFUSED, message: why.into(), data: None }
}

/// What stands at a position.
pub fn hover(desk: &mut Desk, uri: &Url, position: Position) -> Option<Hover> {
    let (look, byte) = desk.look_at(uri, position)?;
    hover::hover(&look.analysis, FileId::OWN, byte).map(|hover| to_proto::shown::hover(hover, &look.pages()))
}

/// Where the name at a position comes from.
pub fn definition(desk: &mut Desk, uri: &Url, position: Position) -> Option<LocationLink> {
    let (look, byte) = desk.look_at(uri, position)?;
    definition::definition(&look.analysis, FileId::OWN, byte).and_then(|jump| to_proto::shown::jump(jump, &look.pages()))
}

/// The places of the name at a position in its own text.
pub fn highlights(desk: &mut Desk, uri: &Url, position: Position) -> Option<Vec<DocumentHighlight>> {
    let (look, byte) = desk.look_at(uri, position)?;
    let pages = look.pages();
    let notes = definition::highlights(&look.analysis, FileId::OWN, byte);
    Some(notes.iter().filter_map(|note| to_proto::shown::highlight(note, &pages)).collect())
}

/// Every place of the name at a position, in the chain of the rulebook and in all that build on one of it.
pub fn references(desk: &mut Desk, uri: &Url, position: Position, with_writing: bool) -> Option<Vec<Location>> {
    let (look, byte) = desk.look_at(uri, position)?;
    let own = definition::references(&look.analysis, FileId::OWN, byte, with_writing);
    let others = others(desk, uri, &look);
    let analyses: Vec<&Analysis> = others.iter().map(|other| other.analysis.as_ref()).collect();
    let elsewhere = definition::references_elsewhere(&look.analysis, FileId::OWN, byte, &analyses);
    let place = |look: &Look, note: &Note| look.pages().location(note.span);
    let mut all: Vec<Location> = own.iter().filter_map(|note| place(&look, note)).collect();
    for (at, note) in elsewhere {
        // Two rulebooks may build on a third that names it.
        all.extend(others.get(at).and_then(|other| place(other, &note)).filter(|place| !all.contains(place)));
    }
    Some(all)
}

/// All other rulebooks that may name what this one names.
fn others(desk: &mut Desk, uri: &Url, look: &Look) -> Vec<Look> {
    let mut others = desk.other_looks(uri);
    others.extend(desk.closed_looks(&look.analysis.paths));
    others
}

/// The name at a position, if it can be changed.
pub fn prepare_rename(desk: &mut Desk, uri: &Url, position: Position) -> Result<Option<PrepareRenameResponse>> {
    let Some((look, byte)) = desk.look_at(uri, position) else { return Ok(None) };
    let span = rename::prepare(&look.analysis, FileId::OWN, byte).map_err(refused)?;
    let placeholder = look.analysis.written(span).to_owned();
    Ok(look.pages().range(span).map(|range| PrepareRenameResponse::RangeWithPlaceholder { range, placeholder }))
}

/// The changes that give the thing at a position another name.
pub fn rename(desk: &mut Desk, uri: &Url, position: Position, name: &str) -> Result<Option<WorkspaceEdit>> {
    let Some((look, byte)) = desk.look_at(uri, position) else { return Ok(None) };
    let others = others(desk, uri, &look);
    let analyses: Vec<&Analysis> = others.iter().map(|other| other.analysis.as_ref()).collect();
    let files = rename::rename(&look.analysis, FileId::OWN, byte, name, &analyses).map_err(refused)?;
    let cannot = || refused("A file in which the name stands cannot be read.".to_owned());
    desk.changes(&files).ok_or_else(cannot).map(Some)
}

/// The outline of a text.
pub fn outline(desk: &mut Desk, uri: &Url) -> Option<Vec<DocumentSymbol>> {
    let look = desk.look(uri)?;
    let pages = look.pages();
    let symbols = outline::outline(&look.analysis, FileId::OWN);
    Some(symbols.iter().filter_map(|symbol| to_proto::symbols::nested(symbol, &pages)).collect())
}

/// The symbols of all open rulebooks, and of those they build on, that fit what is typed.
pub fn search(desk: &mut Desk, typed: &str) -> Vec<SymbolInformation> {
    let mut all = Vec::new();
    let mut known = BTreeSet::new();
    for look in desk.looks() {
        let pages = look.pages();
        for symbol in outline::search(&look.analysis, typed) {
            let Some(told) = to_proto::symbols::single(&symbol, look.analysis.rulebook(symbol.at.file), &pages) else { continue };
            let place = (told.location.uri.clone(), told.location.range.start.line, told.location.range.start.character);
            if all.len() < MOST_SYMBOLS && known.insert(place) {
                all.push(told);
            }
        }
    }
    all
}

/// The finding at a position, to ask what it becomes.
pub fn prepare_calls(desk: &mut Desk, uri: &Url, position: Position) -> Option<Vec<CallHierarchyItem>> {
    let (look, byte) = desk.look_at(uri, position)?;
    let station = calls::prepare(&look.analysis, FileId::OWN, byte)?;
    Some(to_proto::calls::item(&station, "", uri, &look.pages()).into_iter().collect())
}

/// The rulebook that was asked first, and the steps from a finding of it.
fn steps(desk: &mut Desk, item: &CallHierarchyItem, onward: bool) -> Option<(Url, Look, Vec<Step>)> {
    let root: Url = serde_json::from_value(item.data.clone()?).ok()?;
    let look = desk.look(&root)?;
    let file = look.file(&item.uri)?;
    let station = calls::prepare(&look.analysis, file, look.byte(file, item.selection_range.start))?;
    let take = if onward { calls::becomes } else { calls::comes_of };
    let steps = take(&look.analysis, station.finding);
    Some((root, look, steps))
}

/// What becomes a finding.
pub fn incoming(desk: &mut Desk, item: &CallHierarchyItem) -> Option<Vec<CallHierarchyIncomingCall>> {
    let (root, look, steps) = steps(desk, item, false)?;
    let pages = look.pages();
    Some(steps.iter().filter_map(|step| to_proto::calls::incoming(step, &root, &pages)).collect())
}

/// What a finding becomes.
pub fn outgoing(desk: &mut Desk, item: &CallHierarchyItem) -> Option<Vec<CallHierarchyOutgoingCall>> {
    let (root, look, steps) = steps(desk, item, true)?;
    let pages = look.pages();
    Some(steps.iter().filter_map(|step| to_proto::calls::outgoing(step, &root, &pages)).collect())
}
