//! What helps while a text is written: what may stand there, how it is laid out, what can be done about it.

use purfle_lang::span::FileId;
use serde_json::json;
use tower_lsp::lsp_types::{
    CodeAction, CodeActionContext, CompletionItem, Documentation, Position, Range, SignatureHelp, TextEdit, Url,
};

use crate::analysis::Analysis;
use crate::ide::actions::{ActionKind, actions, mend_all};
use crate::ide::completion::completion;
use crate::ide::describe::describe;
use crate::ide::format::{format, format_range};
use crate::ide::signature::signature;
use crate::proto::page::Page;
use crate::proto::to_proto;
use crate::proto::to_proto::completion::markdown;
use crate::server::desk::Desk;

/// Where a proposal is made, in one short text: it is given back with the proposal to find it again, and there may be
/// thousands of them.
fn proposed(uri: &Url, position: Position) -> String {
    format!("{} {} {uri}", position.line, position.character)
}

/// The place that such a text tells.
fn proposed_at(data: &str) -> Option<(Url, Position)> {
    let mut parts = data.splitn(3, ' ');
    let position = Position::new(parts.next()?.parse().ok()?, parts.next()?.parse().ok()?);
    Some((Url::parse(parts.next()?).ok()?, position))
}

/// What may be written at a position.
pub fn completions(desk: &mut Desk, uri: &Url, position: Position) -> Option<Vec<CompletionItem>> {
    let (look, byte) = desk.look_at(uri, position)?;
    let pages = look.pages();
    let snippets = desk.facts().snippets;
    let data = json!(proposed(uri, position));
    let proposals = completion(&look.analysis, FileId::OWN, byte);
    let one = |(at, proposal)| to_proto::completion::item(proposal, at, snippets, &pages, Some(data.clone()));
    Some(proposals.iter().enumerate().filter_map(one).collect())
}

/// A proposal with all that is known of what it stands for.
pub fn completed(desk: &mut Desk, mut item: CompletionItem) -> CompletionItem {
    let proposed = item.data.as_ref().and_then(|data| proposed_at(data.as_str()?));
    let described = proposed.and_then(|(uri, position)| {
        let (look, byte) = desk.look_at(&uri, position)?;
        let proposals = completion(&look.analysis, FileId::OWN, byte);
        let about = proposals.iter().filter(|proposal| proposal.label == item.label).find_map(|proposal| proposal.about)?;
        describe(&look.analysis, about)
    });
    item.documentation = described.map(|text| Documentation::MarkupContent(markdown(text)));
    item
}

/// The formula in whose brackets a position stands.
pub fn signatures(desk: &mut Desk, uri: &Url, position: Position) -> Option<SignatureHelp> {
    let (look, byte) = desk.look_at(uri, position)?;
    signature(&look.analysis, FileId::OWN, byte).map(to_proto::completion::signature)
}

/// The changes that lay a text out, in the whole of it or in what touches a range.
pub fn laid_out(desk: &mut Desk, uri: &Url, within: Option<Range>) -> Option<Vec<TextEdit>> {
    let look = desk.look(uri)?;
    let edits = match within {
        None => format(&look.analysis, FileId::OWN),
        Some(range) => {
            let (from, to) = (look.byte(FileId::OWN, range.start), look.byte(FileId::OWN, range.end));
            format_range(&look.analysis, FileId::OWN, from.min(to), from.max(to))
        }
    };
    let lines = look.analysis.lines.first()?;
    let page = Page { text: look.analysis.text(FileId::OWN), lines, encoding: desk.facts().encoding };
    Some(to_proto::actions::edits(&edits, page))
}

/// What can be done in a range.
pub fn doable(desk: &mut Desk, uri: &Url, range: Range, context: &CodeActionContext) -> Option<Vec<CodeAction>> {
    let look = desk.look(uri)?;
    let (from, to) = (look.byte(FileId::OWN, range.start), look.byte(FileId::OWN, range.end));
    let others = desk.other_looks(uri);
    let path = look.analysis.paths.first();
    let builds_on_it = |analysis: &&Analysis| path.is_some_and(|path| analysis.paths.iter().skip(1).any(|other| other == path));
    let houses: Vec<&Analysis> = others.iter().map(|other| other.analysis.as_ref()).filter(builds_on_it).collect();
    let told = desk.told(uri).to_vec();
    let wanted = |kind: ActionKind| {
        let kind = to_proto::actions::kind(kind);
        let within = |asked: &str| kind.as_str() == asked || kind.as_str().starts_with(&format!("{asked}."));
        context.only.as_ref().map(|only| only.iter().any(|asked| asked.as_str().is_empty() || within(asked.as_str())))
    };
    let mut all = actions(&look.analysis, FileId::OWN, from.min(to), from.max(to), &told, &houses);
    all.retain(|action| wanted(action.kind) != Some(false));
    // It goes through the whole text again and again, so only where it is asked for by name.
    if wanted(ActionKind::MendAll) == Some(true) {
        all.extend(mend_all(&look.analysis, &told));
    }
    let pages = look.pages();
    let about = |about: Option<usize>| about.and_then(|at| to_proto::diagnostic::diagnostic(told.get(at)?, &pages));
    let mut doable = Vec::new();
    for action in all {
        let about = about(action.about);
        if let Some(changes) = desk.changes(&action.edits) {
            doable.push(to_proto::actions::action(action, about, changes));
        }
    }
    Some(doable)
}
