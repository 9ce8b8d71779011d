//! A comment read as a quieting: `# quiet SLUG because "REASON"`.

use crate::span::Span;
use crate::syntax::tree::Comment;

/// What a comment asks for.
#[derive(Debug)]
pub(super) struct Asked {
    /// The kind of warning.
    pub slug: String,
    /// Where that is written.
    pub slug_span: Span,
    /// The whole comment.
    pub span: Span,
    /// Whether the comment stands alone on its line.
    pub alone: bool,
    /// Why.
    pub reason: Reason,
    /// Whether it is surely a quieting, and no sentence that happens to begin with the word.
    pub sure: bool,
}

/// Why a warning is quieted.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Reason {
    /// As it should be given.
    Given(String),
    /// Without `because`, or without quotes.
    Loose {
        /// All that stands after the slug, from its last letter on.
        written: Span,
        /// What it says.
        words: String,
    },
    /// Not at all.
    None,
}

impl Reason {
    /// The reason's words, however they are given.
    pub fn words(&self) -> &str {
        match self {
            Reason::Given(words) | Reason::Loose { words, .. } => words,
            Reason::None => "",
        }
    }
}

fn is_word(char: char) -> bool {
    char.is_alphanumeric() || char == '-'
}

/// Reads a comment of this text; none where it is an ordinary one.
pub(super) fn read(text: &str, comment: &Comment) -> Option<Asked> {
    let rest = text.get(comment.span.range())?.trim_start_matches('#').trim_start().strip_prefix("quiet")?;
    let rest = rest.strip_prefix([' ', '\t'])?.trim_start();
    let slug = &rest[..rest.find(|char| !is_word(char)).unwrap_or(rest.len())];
    if slug.is_empty() {
        return None;
    }
    let start = comment.span.range().end - rest.len();
    let slug_span = Span::new(comment.span.file, start, start + slug.len());
    let after = rest[slug.len()..].trim_end();
    let written = Span::new(comment.span.file, start + slug.len(), start + slug.len() + after.len());
    let after = after.trim_start();
    let asked =
        |reason, sure| Some(Asked { slug: slug.to_owned(), slug_span, span: comment.span, alone: comment.alone, reason, sure });
    if after.is_empty() {
        return asked(Reason::None, false);
    }
    if let Some(because) = after.strip_prefix("because").filter(|rest| !rest.starts_with(is_word)) {
        return match (because.trim(), quoted(because.trim())) {
            (_, Some(words)) if words.trim().is_empty() => asked(Reason::None, true),
            (_, Some(words)) => asked(Reason::Given(words), true),
            ("", None) => asked(Reason::None, true),
            (loose, None) => asked(Reason::Loose { written, words: loose.trim_matches('"').trim().to_owned() }, true),
        };
    }
    let words = after.trim_start_matches([':', ',', '-', '=']).trim_start();
    match quoted(words) {
        Some(words) if words.trim().is_empty() => asked(Reason::None, true),
        Some(words) => asked(Reason::Loose { written, words }, true),
        None => None,
    }
}

/// The words of one text in quotes; none where it is not exactly that.
fn quoted(text: &str) -> Option<String> {
    let inner = text.strip_prefix('"')?.strip_suffix('"')?;
    let (mut words, mut escaped) = (String::new(), false);
    for char in inner.chars() {
        match char {
            '\\' if !escaped => escaped = true,
            '"' if !escaped => return None,
            _ => {
                words.push(char);
                escaped = false;
            }
        }
    }
    (!escaped).then_some(words)
}
