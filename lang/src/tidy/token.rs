//! A line as tokens, and tokens as a line: what is written is never changed, only the spaces between.

use std::ops::Range;

use crate::syntax::scan;

/// A piece of a line that is never taken apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Token<'t> {
    pub kind: Kind,
    pub text: &'t str,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// A text with its quotes.
    Text,
    Comma,
    Opens,
    Closes,
    /// Anything else that stands without a space in it.
    Word,
}

/// Words after which a bracket only groups. After any other name it holds what a formula is worked out from.
const GROUPED: [&str; 20] = [
    "above", "all", "and", "any", "as", "at", "below", "every", "from", "if", "is", "least", "most", "no", "not", "of", "on",
    "or", "to", "with",
];

/// How the commas and brackets of a slice are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Manner {
    /// As the grammar reads them.
    Grammar,
    /// As a record reads them: brackets belong to the values, and so do the commas inside. So many are open.
    Record { open: usize },
}

/// The tokens of a stretch of one line.
pub(super) fn tokens<'t>(text: &'t str, range: Range<usize>, manner: &mut Manner) -> Vec<Token<'t>> {
    let mut tokens = Vec::new();
    let mut rest = &text[range];
    loop {
        rest = rest.trim_start_matches(scan::is_blank);
        let Some(first) = rest.chars().next() else { return tokens };
        let (kind, length) = match (first, &mut *manner) {
            ('"', _) => (Kind::Text, text_length(rest)),
            (',', Manner::Grammar | Manner::Record { open: 0 }) => (Kind::Comma, 1),
            ('(', Manner::Grammar) => (Kind::Opens, 1),
            (')', Manner::Grammar) => (Kind::Closes, 1),
            _ => (Kind::Word, word_length(rest, manner)),
        };
        let (token, after) = rest.split_at(length);
        tokens.push(Token { kind, text: token });
        rest = after;
    }
}

/// The length of a text that begins here, its quotes included.
fn text_length(rest: &str) -> usize {
    let mut escaped = false;
    for (at, char) in rest.char_indices().skip(1) {
        match char {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return at + 1,
            _ => {}
        }
    }
    rest.len()
}

fn word_length(rest: &str, manner: &mut Manner) -> usize {
    for (at, char) in rest.char_indices() {
        let ends = match (char, &mut *manner) {
            ('"', _) => true,
            ('(' | ')' | ',', Manner::Grammar) | (',', Manner::Record { open: 0 }) => true,
            ('(', Manner::Record { open }) => {
                *open += 1;
                false
            }
            (')', Manner::Record { open }) => {
                *open = open.saturating_sub(1);
                false
            }
            _ => scan::is_blank(char),
        };
        if ends {
            return at;
        }
    }
    rest.len()
}

impl<'t> Token<'t> {
    /// Whether it is this word.
    pub fn is(self, word: &str) -> bool {
        self.kind == Kind::Word && self.text == word
    }

    /// Whether it may be a name.
    pub fn is_name(self) -> bool {
        self.kind == Kind::Word && self.text.starts_with(char::is_alphabetic)
    }

    /// The word that a line which begins with it is told by.
    pub fn first_word(self) -> &'t str {
        match self.kind {
            Kind::Word => &self.text[..self.text.find(|char| !scan::is_word(char)).unwrap_or(self.text.len())],
            _ => "",
        }
    }
}

/// Tokens with the spaces between them that belong there.
pub(super) fn joined(tokens: &[Token<'_>]) -> String {
    let mut line = String::new();
    for (at, token) in tokens.iter().enumerate() {
        if let Some(before) = at.checked_sub(1).map(|before| tokens[before])
            && spaced(before, *token)
        {
            line.push(' ');
        }
        line.push_str(token.text);
    }
    line
}

fn spaced(before: Token<'_>, token: Token<'_>) -> bool {
    match (before.kind, token.kind) {
        (_, Kind::Comma | Kind::Closes) | (Kind::Opens, _) => false,
        (Kind::Word, Kind::Opens) => !before.is_name() || GROUPED.contains(&before.text),
        _ => true,
    }
}

/// How many of the tokens from `at` on are texts, which side by side are one.
pub(super) fn texts(tokens: &[Token<'_>], at: usize) -> usize {
    tokens.iter().skip(at).take_while(|token| token.kind == Kind::Text).count()
}
