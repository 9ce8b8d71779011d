//! Makes a text inert: nothing in it is markup, and nothing in it steers.

use std::fmt::{self, Write};

use askama::filters::Escaper;

use crate::report::steers;

/// Escapes texts for HTML, between tags and in quoted attributes alike. Every template uses it (`askama.toml`).
#[derive(Debug, Clone, Copy)]
pub struct Inert;

impl Escaper for Inert {
    fn write_escaped_str<W: Write>(&self, mut out: W, text: &str) -> fmt::Result {
        let mut written = 0;
        for (at, character) in text.char_indices() {
            let marked = match character {
                '&' => "&amp;",
                '<' => "&lt;",
                '>' => "&gt;",
                '"' => "&quot;",
                '\'' => "&#39;",
                '\t' | '\r' => " ",
                '\n' => continue,
                _ if steers(character) => "",
                _ => continue,
            };
            out.write_str(text.get(written..at).unwrap_or_default())?;
            written = at + character.len_utf8();
            match marked {
                "" => write!(out, "{}", character.escape_unicode())?,
                marked => out.write_str(marked)?,
            }
        }
        out.write_str(text.get(written..).unwrap_or_default())
    }
}

#[cfg(test)]
mod tests {
    use askama::filters::Escaper;

    use super::Inert;

    #[test]
    fn nothing_is_markup_and_nothing_steers() {
        for (text, expected) in [
            ("<script>alert('x')</script>", "&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt;"),
            ("\" onload=\"x", "&quot; onload=&quot;x"),
            ("a\u{202e}b\u{0}c\u{85}", "a\\u{202e}b\\u{0}c\\u{85}"),
            ("&amp;", "&amp;amp;"),
            ("two\r\nlines", "two \nlines"),
            ("Träger 弦", "Träger 弦"),
            ("", ""),
        ] {
            let mut out = String::new();
            Inert.write_escaped_str(&mut out, text).expect("memory to write to");
            assert_eq!(out, expected);
        }
    }
}
