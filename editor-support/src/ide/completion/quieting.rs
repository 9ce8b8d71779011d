//! What may stand in a comment that quiets: warnings that are told, and the reason.

use purfle_lang::pages::{is_warning, slugs};

use super::menu::Menu;
use crate::ide::tokens::{Token, TokenKind, tokens};

/// Proposes what may stand in `# quiet …`; nothing in any other comment.
pub fn quieting(menu: &mut Menu) {
    let cursor = menu.cursor;
    let Some(comment) = tokens(cursor.text, cursor.line.clone()).into_iter().find(|token| token.kind == TokenKind::Comment)
    else {
        return;
    };
    let before: Vec<Token> = tokens(cursor.text, comment.range.start + 1..cursor.typed().start);
    let words: Vec<&str> = before.iter().map(|token| token.of(cursor.text)).collect();
    match words.as_slice() {
        [] => menu.phrase("quiet", "takes one kind of warning off what stands below", "quiet <slug> because \"<why>\""),
        ["quiet"] => {
            let told: Vec<&str> =
                menu.analysis.quick().iter().chain(menu.analysis.proved().unwrap_or_default()).map(|told| told.slug).collect();
            for slug in slugs().filter(|slug| is_warning(slug) == Some(true) && !slug.starts_with("quiet-")) {
                if told.contains(&slug) { menu.first_word(slug, "told of this rulebook") } else { menu.word(slug, "") }
            }
        }
        ["quiet", _] => menu.phrase("because", "the reason", "because \"<why>\""),
        _ => {}
    }
}
