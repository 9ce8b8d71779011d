//! The fixes that come with what is told, one by one, and all safe ones at once.

use purfle_lang::diagnostic::{Diagnostic, Edit};
use purfle_lang::mend::mend;
use purfle_lang::quiet::quiet;
use purfle_lang::resolve::resolve;
use purfle_lang::span::{FileId, Span};
use purfle_lang::syntax::parse;
use purfle_lang::syntax::tree::Tree;

use super::{Action, ActionKind};
use crate::analysis::Analysis;
use crate::ide::edits::FileEdits;

/// The fixes of a diagnostic; only what stands in the rulebook itself is changed.
pub fn fixes(analysis: &Analysis, at: usize, diagnostic: &Diagnostic) -> Vec<Action> {
    let own = diagnostic.fixes.iter().filter(|fix| fix.edits.iter().all(|edit| edit.span.file == FileId::OWN));
    let path = analysis.paths.first().cloned().unwrap_or_default();
    own.enumerate()
        .map(|(number, fix)| Action {
            title: fix.title.clone(),
            kind: ActionKind::Mend,
            about: Some(at),
            preferred: number == 0 && (fix.safe || diagnostic.fixes.len() == 1),
            edits: vec![FileEdits { path: path.clone(), edits: fix.edits.clone() }],
        })
        .collect()
}

/// All that surely keeps what was meant, made at once; none where there is nothing of the kind, or it does not settle.
pub fn mend_all(analysis: &Analysis, told: &[Diagnostic]) -> Option<Action> {
    let text = analysis.text(FileId::OWN);
    let mended = mend(FileId::OWN, text, told, |text| retold(analysis, text)).ok()?;
    if mended.mends.is_empty() {
        return None;
    }
    let title = match mended.mends.len() {
        1 => "Make the one change that is safe".to_owned(),
        many => format!("Make all {many} changes that are safe"),
    };
    Some(Action {
        title,
        kind: ActionKind::MendAll,
        about: None,
        preferred: false,
        edits: vec![FileEdits {
            path: analysis.paths.first().cloned().unwrap_or_default(),
            edits: vec![between(text, &mended.text)],
        }],
    })
}

/// What is told of the rulebook with another text.
fn retold(analysis: &Analysis, text: &str) -> Vec<Diagnostic> {
    let parsed = parse(FileId::OWN, text);
    let parents = analysis.trees.iter().skip(1).cloned();
    let trees: Vec<Tree> = std::iter::once(parsed.tree).chain(parents).collect();
    let mut told = parsed.diagnostics;
    if analysis.whole {
        told.extend(resolve(&trees).diagnostics);
    }
    let texts: Vec<&str> =
        std::iter::once(text).chain(analysis.sources.iter().skip(1).map(|source| source.text.as_str())).collect();
    quiet(&trees, &texts, told).told
}

/// The one edit that makes one text of another.
fn between(old: &str, new: &str) -> Edit {
    let start = old.bytes().zip(new.bytes()).take_while(|(one, other)| one == other).count();
    let start = crate::ide::cursor::boundary(old, start).min(crate::ide::cursor::boundary(new, start));
    let rest = old.len().min(new.len()) - start;
    let tail = old.bytes().rev().zip(new.bytes().rev()).take(rest).take_while(|(one, other)| one == other).count();
    let mut tail = tail;
    while !old.is_char_boundary(old.len() - tail) || !new.is_char_boundary(new.len() - tail) {
        tail -= 1;
    }
    Edit { span: Span::new(FileId::OWN, start, old.len() - tail), text: new[start..new.len() - tail].to_owned() }
}
