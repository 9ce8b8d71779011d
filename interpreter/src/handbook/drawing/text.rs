//! How much room words take in a picture. The font is not known here, so letters are taken for wide ones.

use unicode_width::UnicodeWidthChar;

/// The width of a letter; of a wide one, such as those of Chinese, twice that.
const LETTER: i32 = 6;

/// The room that words take.
pub fn width(words: &str) -> i32 {
    words.chars().map(of).sum()
}

fn of(letter: char) -> i32 {
    LETTER * i32::try_from(letter.width().unwrap_or(1).max(1)).unwrap_or(2)
}

/// Words in lines of that width, at most so many; what is left out is marked. A word too long for a line is broken.
pub fn lines(words: &str, room: i32, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in words.split_whitespace() {
        let space = if line.is_empty() { 0 } else { LETTER };
        if width(&line) + space + width(word) <= room {
            if space > 0 {
                line.push(' ');
            }
            line.push_str(word);
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for letter in word.chars() {
            if width(&line) + of(letter) > room {
                lines.push(std::mem::take(&mut line));
            }
            line.push(letter);
        }
        if lines.len() > most {
            break;
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    if lines.len() > most {
        lines.truncate(most);
        if let Some(last) = lines.last_mut() {
            while width(last) + LETTER > room && last.pop().is_some() {}
            last.push('\u{2026}');
        }
    }
    lines
}
