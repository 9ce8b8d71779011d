//! What a formula of the trade takes, while its values are being written.

use purfle_lang::formula::signature::{SIGNATURES, Signature};
use purfle_lang::span::FileId;

use super::cursor::Cursor;
use super::reference;
use super::tokens::{Token, TokenKind, tokens};
use crate::analysis::Analysis;

/// A formula and the value being written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SignatureHelp {
    /// `wood-moisture(humidity, temperature)`
    pub label: String,
    /// The bytes of each value's name in the label.
    pub values: Vec<(u32, u32)>,
    /// What each value must be.
    pub about: Vec<String>,
    /// The value being written, by its number from 0.
    pub active: u32,
    /// Markdown: what it works out and its source.
    pub text: String,
}

/// The innermost formula in whose brackets a byte stands.
pub fn signature(analysis: &Analysis, file: FileId, offset: u32) -> Option<SignatureHelp> {
    let cursor = Cursor::new(analysis, file, offset);
    let start = cursor.clause.map_or(cursor.entry()?.keyword.end, |clause| clause.keyword.end) as usize;
    if start > cursor.offset || cursor.in_comment() || cursor.in_text() {
        return None;
    }
    let before = tokens(cursor.text, start..cursor.offset);
    let (known, active) = open_formula(cursor.text, &before)?;
    let mut label = format!("{}(", known.name);
    let mut values = Vec::new();
    for (at, (name, _)) in known.wanted.iter().enumerate() {
        if at > 0 {
            label.push_str(", ");
        }
        let from = label.len();
        label.push_str(name);
        values.push((u32::try_from(from).ok()?, u32::try_from(label.len()).ok()?));
    }
    label.push(')');
    Some(SignatureHelp {
        label,
        values,
        about: known.wanted.iter().map(|(_, dimension)| format!("{dimension}, written in {}", dimension.units())).collect(),
        active,
        text: reference::of_word(known.name).unwrap_or_default().to_owned(),
    })
}

/// The formula whose bracket is still open, and how many commas stand in it.
fn open_formula(text: &str, before: &[Token]) -> Option<(&'static Signature, u32)> {
    let (mut depth, mut commas) = (0_u32, 0);
    for (at, token) in before.iter().enumerate().rev() {
        match token.of(text) {
            ")" => depth += 1,
            "(" if depth > 0 => depth -= 1,
            "," if depth == 0 => commas += 1,
            "(" => {
                let name = at.checked_sub(1).and_then(|at| before.get(at)).filter(|name| name.kind == TokenKind::Word);
                let known = name.and_then(|name| SIGNATURES.iter().find(|known| known.name == name.of(text)));
                if let Some(known) = known {
                    return Some((known, commas));
                }
                // Brackets of arithmetic within a value.
                commas = 0;
            }
            _ => {}
        }
    }
    None
}
