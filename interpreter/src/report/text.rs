//! Text from records and rulebooks is data: what would steer a terminal or turn a line about is made visible.

use std::borrow::Cow;

/// Whether a character must not be written as it is: controls, and marks that turn the direction of text.
pub fn steers(character: char) -> bool {
    character.is_control()
        || matches!(character, '\u{200e}' | '\u{200f}' | '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
}

/// Whether a text is nothing but printed ASCII, in which nothing steers.
fn is_printed_ascii(text: &str) -> bool {
    text.bytes().fold(true, |so_far, byte| so_far & matches!(byte, b' '..=b'~'))
}

/// A text for people: one line, every steering character written as `\u{202e}`.
pub fn shown(text: &str) -> Cow<'_, str> {
    if is_printed_ascii(text) || !text.chars().any(steers) {
        return Cow::Borrowed(text);
    }
    let mut safe = String::with_capacity(text.len() + 8);
    for character in text.chars() {
        match character {
            '\n' => safe.push_str("\\n"),
            '\t' => safe.push(' '),
            '\r' => safe.push_str("\\r"),
            _ if steers(character) => safe.extend(character.escape_unicode()),
            _ => safe.push(character),
        }
    }
    Cow::Owned(safe)
}

/// A text of a rulebook, whose line ends are meant; everything else that steers is made visible.
pub fn plain(text: &str) -> Cow<'_, str> {
    if !text.chars().any(|character| steers(character) && character != '\n') {
        return Cow::Borrowed(text);
    }
    Cow::Owned(text.split('\n').map(shown).collect::<Vec<_>>().join("\n"))
}

#[cfg(test)]
mod tests {
    use super::{plain, shown};

    #[test]
    fn steering_characters_are_made_visible() {
        assert_eq!(shown("a\u{1b}[31mb\u{202e}c\nd\te\u{9b}"), "a\\u{1b}[31mb\\u{202e}c\\nd e\\u{9b}");
        assert_eq!(shown("Träger, 0.5 mm"), "Träger, 0.5 mm");
        assert_eq!(plain("a\nb\u{7}"), "a\nb\\u{7}");
    }
}
