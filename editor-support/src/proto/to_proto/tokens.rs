//! Colours: the words of a text as numbers, each line and column told from the one before.

use tower_lsp::lsp_types::{SemanticToken, SemanticTokenModifier, SemanticTokenType, SemanticTokensLegend};

use crate::ide::colours::{Colour, Coloured};
use crate::proto::pages::Pages;

/// What a colour is called. Editors know these names and have colours for them.
fn name(colour: Colour) -> SemanticTokenType {
    match colour {
        Colour::Keyword => SemanticTokenType::KEYWORD,
        Colour::Operator => SemanticTokenType::OPERATOR,
        Colour::Text => SemanticTokenType::STRING,
        Colour::Comment => SemanticTokenType::COMMENT,
        Colour::Number => SemanticTokenType::NUMBER,
        Colour::Unit => SemanticTokenType::TYPE,
        Colour::Rulebook => SemanticTokenType::NAMESPACE,
        Colour::Part => SemanticTokenType::CLASS,
        Colour::Place => SemanticTokenType::PARAMETER,
        Colour::Look => SemanticTokenType::PROPERTY,
        Colour::Choice => SemanticTokenType::ENUM_MEMBER,
        Colour::Rung => SemanticTokenType::ENUM,
        Colour::Value => SemanticTokenType::VARIABLE,
        Colour::Work => SemanticTokenType::METHOD,
        Colour::Finding => SemanticTokenType::EVENT,
        Colour::Other => SemanticTokenType::INTERFACE,
        Colour::Formula => SemanticTokenType::FUNCTION,
    }
}

const COLOURS: [Colour; 17] = [
    Colour::Keyword,
    Colour::Operator,
    Colour::Text,
    Colour::Comment,
    Colour::Number,
    Colour::Unit,
    Colour::Rulebook,
    Colour::Part,
    Colour::Place,
    Colour::Look,
    Colour::Choice,
    Colour::Rung,
    Colour::Value,
    Colour::Work,
    Colour::Finding,
    Colour::Other,
    Colour::Formula,
];

/// All names of colours, in the order of their numbers.
pub fn legend() -> SemanticTokensLegend {
    SemanticTokensLegend {
        token_types: COLOURS.into_iter().map(name).collect(),
        token_modifiers: vec![SemanticTokenModifier::DEFINITION, SemanticTokenModifier::DEPRECATED],
    }
}

/// The coloured words of one text, which come in its order.
pub fn tokens(words: &[Coloured], pages: &Pages) -> Vec<SemanticToken> {
    let mut tokens = Vec::with_capacity(words.len());
    let (mut line, mut column) = (0, 0);
    for word in words {
        let Some(range) = pages.range(word.span) else { continue };
        let (start, end) = (range.start, range.end);
        // A word over the end of a line, or one before the last, has no number.
        if start.line != end.line || start.character >= end.character || (start.line, start.character) < (line, column) {
            continue;
        }
        let delta_line = start.line - line;
        let delta_start = if delta_line == 0 { start.character - column } else { start.character };
        let token_type = COLOURS.iter().position(|colour| *colour == word.colour).unwrap_or(0);
        tokens.push(SemanticToken {
            delta_line,
            delta_start,
            length: end.character - start.character,
            token_type: u32::try_from(token_type).unwrap_or(0),
            token_modifiers_bitset: u32::from(word.writes) | u32::from(word.dropped) << 1,
        });
        (line, column) = (start.line, start.character);
    }
    tokens
}

#[cfg(test)]
mod tests {
    use purfle_lang::source::LineIndex;
    use purfle_lang::span::{FileId, Span};
    use tower_lsp::lsp_types::Url;

    use super::*;
    use crate::proto::encoding::Encoding;

    #[test]
    fn every_colour_has_a_number_and_a_name_of_its_own() {
        let names: std::collections::BTreeSet<String> =
            legend().token_types.iter().map(|name| name.as_str().to_owned()).collect();
        assert_eq!(names.len(), COLOURS.len());
    }

    #[test]
    fn each_word_is_told_from_the_one_before() {
        let text = "a 𝄞 b\n c";
        let lines = LineIndex::new(text);
        let uri = Url::parse("untitled:x").expect("a name");
        let pages = Pages { texts: vec![(uri, text, &lines)], encoding: Encoding::Utf16 };
        let word = |start, end, writes| Coloured {
            span: Span::new(FileId::OWN, start, end),
            colour: Colour::Text,
            writes,
            dropped: false,
        };
        let told =
            tokens(&[word(0, 1, true), word(2, 6, false), word(7, 8, false), word(5, 9, false), word(10, 11, false)], &pages);
        let numbers: Vec<[u32; 5]> = told
            .iter()
            .map(|token| [token.delta_line, token.delta_start, token.length, token.token_type, token.token_modifiers_bitset])
            .collect();
        assert_eq!(numbers, [[0, 0, 1, 2, 1], [0, 2, 2, 2, 0], [0, 3, 1, 2, 0], [1, 1, 1, 2, 0]]);
    }
}
