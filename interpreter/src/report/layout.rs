//! Lines of 80 columns, wrapped by the width that characters have on a terminal, and colour where there is one.

use unicode_width::UnicodeWidthStr;

/// How wide a report is.
pub const WIDTH: usize = 80;

/// Colour, or none of it. A colour only ever repeats what the words say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Paint {
    /// Whether to colour at all.
    pub colour: bool,
}

/// What a piece of text is painted for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// A heading.
    Heading,
    /// Not to be played.
    Grave,
    /// To be seen to.
    Warn,
    /// All well.
    Well,
    /// Beside the matter.
    Faint,
}

impl Paint {
    /// A text in its colour.
    pub fn ink(self, ink: Ink, text: &str) -> String {
        if !self.colour || text.is_empty() {
            return text.to_owned();
        }
        let code = match ink {
            Ink::Heading => "1",
            Ink::Grave => "1;31",
            Ink::Warn => "33",
            Ink::Well => "32",
            Ink::Faint => "2",
        };
        format!("\u{1b}[{code}m{text}\u{1b}[0m")
    }
}

/// Adds a paragraph: `first` before its first line, as much space before the others, wrapped at the width.
pub fn paragraph(out: &mut String, first: &str, text: &str) {
    paragraph_in(out, first, &" ".repeat(first.width()), text);
}

/// The same with a margin of one's own from the second line on.
pub fn paragraph_in(out: &mut String, first: &str, margin: &str, text: &str) {
    let mut lead = first;
    let mut written = false;
    for piece in text.split('\n') {
        let mut line = String::new();
        for word in piece.split_whitespace() {
            let room = WIDTH.saturating_sub(lead.width());
            if !line.is_empty() && line.width() + 1 + word.width() > room {
                push_line(out, lead, &line);
                lead = margin;
                line.clear();
                written = true;
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
        if !line.is_empty() {
            push_line(out, lead, &line);
            lead = margin;
            written = true;
        }
    }
    if !written && !first.trim().is_empty() {
        push_line(out, first.trim_end(), "");
    }
}

fn push_line(out: &mut String, lead: &str, line: &str) {
    out.push_str(lead);
    out.push_str(line);
    out.push('\n');
}

/// A line with something at its left and something at its right end; two lines where they do not fit side by side.
pub fn sides(out: &mut String, lead: &str, left: &str, right: &str) {
    let used = lead.width() + left.width();
    if right.is_empty() || used + 2 + right.width() > WIDTH {
        paragraph(out, lead, left);
        if !right.is_empty() {
            let space = " ".repeat(WIDTH.saturating_sub(right.width()));
            push_line(out, &space, right);
        }
    } else {
        push_line(out, lead, &format!("{left}{}{right}", " ".repeat(WIDTH - used - right.width())));
    }
}

/// A text cut or filled to a width, for a column of a table.
pub fn column(text: &str, width: usize) -> String {
    let mut cut = String::new();
    let mut used = 0;
    let whole = text.width() <= width;
    let room = if whole { width } else { width.saturating_sub(1) };
    for character in text.chars() {
        let wide = unicode_width::UnicodeWidthChar::width(character).unwrap_or(0);
        if used + wide > room {
            break;
        }
        used += wide;
        cut.push(character);
    }
    if !whole {
        cut.push('~');
        used += 1;
    }
    cut.push_str(&" ".repeat(width.saturating_sub(used)));
    cut
}

#[cfg(test)]
mod tests {
    use super::{column, paragraph, sides};

    #[test]
    fn lines_are_no_wider_than_eighty() {
        let text = "slacken the strings a little at a time ".repeat(12);
        let mut out = String::new();
        paragraph(&mut out, "  - ", &text);
        sides(&mut out, "  ", &"a".repeat(60), &"b".repeat(30));
        sides(&mut out, "  ", "left", "right");
        for line in out.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
        assert!(out.lines().nth(1).is_some_and(|line| line.starts_with("    ") && !line.starts_with("     ")));
        assert!(out.ends_with("right\n"));
    }

    #[test]
    fn columns_have_one_width() {
        for text in ["", "ab", "abcdefgh", "弦が切れた"] {
            assert_eq!(unicode_width::UnicodeWidthStr::width(column(text, 5).as_str()), 5, "{text}");
        }
    }
}
