//! How the client counts the columns of a line.

use tower_lsp::lsp_types::{ClientCapabilities, PositionEncodingKind};

/// The unit of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Encoding {
    /// Bytes of UTF-8.
    Utf8,
    /// Units of UTF-16, which is what the protocol takes where nothing is agreed.
    #[default]
    Utf16,
}

impl Encoding {
    /// Bytes if the client lists them, since that is what texts are kept in; UTF-16 otherwise.
    pub fn agreed(capabilities: &ClientCapabilities) -> Self {
        let listed = capabilities.general.as_ref().and_then(|general| general.position_encodings.as_deref());
        if listed.unwrap_or_default().contains(&PositionEncodingKind::UTF8) { Self::Utf8 } else { Self::Utf16 }
    }

    /// The protocol's name for it.
    pub fn kind(self) -> PositionEncodingKind {
        match self {
            Self::Utf8 => PositionEncodingKind::UTF8,
            Self::Utf16 => PositionEncodingKind::UTF16,
        }
    }

    /// How many units a text has.
    pub fn units(self, text: &str) -> usize {
        match self {
            Self::Utf8 => text.len(),
            Self::Utf16 => text.chars().map(char::len_utf16).sum(),
        }
    }

    /// The byte at which `units` units of a line are passed: its end where it has fewer, and the start of a character
    /// where they end inside one.
    pub fn byte(self, line: &str, units: usize) -> usize {
        let mut passed = 0;
        for (at, character) in line.char_indices() {
            passed += match self {
                Self::Utf8 => character.len_utf8(),
                Self::Utf16 => character.len_utf16(),
            };
            if passed > units {
                return at;
            }
        }
        line.len()
    }
}
