//! JSON as nearly all of it is written, read in one go straight into the record at hand.
//!
//! Whatever is out of the ordinary (an escape, an exponent, a list of anything but places, a field at fault) is not
//! plain, and [`super::json`] reads the record anew.

use purfle_lang::book::{PartId, Places, RecordPath};

use super::field::{MOST_PLACES, Target};
use super::json::{DEEPEST, says_may_be_more};
use super::order::Spot;
use super::reader::{NameId, RecordReader};

/// Adds the fields of one JSON object to the record at hand. False where it is not plain; the record then holds a part
/// of it, and has to be begun anew.
pub fn read(reader: &mut RecordReader, text: &str) -> bool {
    let mut json = Json { text, at: 0 };
    let read = json.group(reader, None, DEEPEST);
    read.is_some() && json.next().is_none()
}

/// The fields at the beginning of a JSON object that hold a text each, as far as they are plain.
pub fn texts(beginning: &str) -> impl Iterator<Item = (&str, &str)> {
    let mut json = Json { text: beginning, at: 0 };
    let mut before = b'{';
    std::iter::from_fn(move || {
        json.take_next(std::mem::replace(&mut before, b','))?;
        json.next()?;
        let name = json.string()?;
        json.take_next(b':')?;
        json.next()?;
        Some((name, json.string()?))
    })
}

/// A text, and how far it is read. None stands for what is not plain throughout.
struct Json<'t> {
    text: &'t str,
    at: usize,
}

impl<'t> Json<'t> {
    fn peek(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    /// The byte that comes next, white space left out.
    fn next(&mut self) -> Option<u8> {
        loop {
            match self.peek()? {
                b' ' | b'\t' | b'\n' | b'\r' => self.at += 1,
                byte => return Some(byte),
            }
        }
    }

    /// Goes on behind a byte that has to stand here.
    fn take(&mut self, wanted: u8) -> Option<()> {
        (self.peek()? == wanted).then(|| self.at += 1)
    }

    /// Goes on behind a byte that has to come next.
    fn take_next(&mut self, wanted: u8) -> Option<()> {
        (self.next()? == wanted).then(|| self.at += 1)
    }

    /// The fields of a group, whose names go on from that of `group`.
    fn group(&mut self, reader: &mut RecordReader, group: Option<NameId>, deeper: usize) -> Option<()> {
        self.take_next(b'{')?;
        if self.take_next(b'}').is_some() {
            return Some(());
        }
        let mut spot = Spot { group, before: None };
        loop {
            self.next()?;
            let (name, said) = match reader.usual(spot, &self.text.as_bytes()[self.at..]) {
                Some((name, length, said)) => {
                    self.at += length;
                    (name, said)
                }
                None => {
                    let name = reader.name_at(spot, self.string()?);
                    self.take_next(b':')?;
                    (name, false)
                }
            };
            spot.before = Some(name);
            if !said {
                self.value(reader, name, deeper)?;
            }
            if self.ends(b'}')? {
                return Some(());
            }
        }
    }

    /// Goes on to the next of several; true where there is none.
    fn ends(&mut self, end: u8) -> Option<bool> {
        let byte = self.next()?;
        self.at += 1;
        (byte == b',' || byte == end).then_some(byte == end)
    }

    fn value(&mut self, reader: &mut RecordReader, name: NameId, deeper: usize) -> Option<()> {
        match self.next()? {
            b'"' => {
                let text = self.string()?;
                reader.uses(name, text).then(|| reader.answer(name, text))
            }
            b'{' => {
                let Some(Target::Part(part, at)) = reader.target(name) else { return None };
                let deeper = deeper.checked_sub(1)?;
                if !reader.uses(name, "") {
                    return None;
                }
                if let Some(at @ RecordPath::Found(_)) = at {
                    reader.there(part, at);
                }
                self.group(reader, Some(name), deeper)
            }
            b'[' => match reader.target(name) {
                Some(Target::Part(part, None)) if matches!(reader.book()[part].places, Places::AsFound) => {
                    reader.uses(name, "").then_some(())?;
                    self.places(reader, name, part, deeper)
                }
                _ => None,
            },
            b't' | b'f' | b'n' => {
                let (word, says) = [("true", Some("yes")), ("false", Some("no")), ("null", None)]
                    .into_iter()
                    .find(|(word, _)| self.text.as_bytes()[self.at..].starts_with(word.as_bytes()))?;
                self.at += word.len();
                reader.uses(name, word).then(|| match says {
                    Some(says) => reader.value(name, says),
                    None => reader.nothing(name),
                })
            }
            _ => {
                let number = self.number()?;
                reader.uses(name, number).then(|| reader.value(name, number))
            }
        }
    }

    /// Places as found, as json.rs has them.
    fn places(&mut self, reader: &mut RecordReader, name: NameId, part: PartId, deeper: usize) -> Option<()> {
        self.take(b'[')?;
        if self.take_next(b']').is_some() {
            reader.no_places(part);
            return Some(());
        }
        let mut count: u32 = 0;
        loop {
            let first = self.next()?;
            let start = self.at;
            if first == b'"' && says_may_be_more(self.string()?) {
                reader.may_be_more(part);
            } else {
                self.at = start;
                count += 1;
                if count > MOST_PLACES || first == b'n' {
                    return None;
                }
                let place = reader.name_under(Some(name), &count.to_string());
                self.value(reader, place, deeper)?;
            }
            if self.ends(b']')? {
                return Some(());
            }
        }
    }

    /// A text in quotation marks without an escape in it.
    fn string(&mut self) -> Option<&'t str> {
        self.take(b'"')?;
        let rest = &self.text[self.at..];
        let length = until_special(rest.as_bytes())?;
        self.at += length;
        self.take(b'"')?;
        Some(&rest[..length])
    }

    /// A number without an exponent, as RFC 8259 has it.
    fn number(&mut self) -> Option<&'t str> {
        let start = self.at;
        let _ = self.take(b'-');
        let first = self.peek()?;
        let whole = self.digits();
        if whole == 0 || (first == b'0' && whole > 1) {
            return None;
        }
        if self.take(b'.').is_some() && self.digits() == 0 {
            return None;
        }
        matches!(self.peek()?, b',' | b'}' | b']' | b' ' | b'\t' | b'\n' | b'\r').then(|| &self.text[start..self.at])
    }

    fn digits(&mut self) -> usize {
        let start = self.at;
        while matches!(self.peek(), Some(b'0'..=b'9')) {
            self.at += 1;
        }
        self.at - start
    }
}

/// How many bytes stand before the first quotation mark, backslash or control character.
fn until_special(bytes: &[u8]) -> Option<usize> {
    let mut at = 0;
    while let Some(eight) = bytes[at..].first_chunk::<8>() {
        let special = special(u64::from_le_bytes(*eight));
        if special != 0 {
            return Some(at + special.trailing_zeros() as usize / 8);
        }
        at += 8;
    }
    let left = bytes[at..].iter().position(|byte| matches!(byte, b'"' | b'\\' | 0..0x20))?;
    Some(at + left)
}

/// Of eight bytes, the high bit of each that may be a quotation mark, a backslash or a control character. The lowest
/// such bit is always right; above it a byte may be marked that is none.
fn special(eight: u64) -> u64 {
    const ONES: u64 = u64::MAX / 255;
    let below = |word: u64, limit: u8| word.wrapping_sub(ONES * u64::from(limit)) & !word;
    // With this bit turned, the quotation mark is the one byte just above the control characters.
    let turned = eight ^ (ONES * u64::from(b'"' ^ b' '));
    (below(turned, b' ' + 1) | below(eight ^ (ONES * u64::from(b'\\')), 1)) & (ONES << 7)
}

#[cfg(test)]
mod tests {
    use super::{Json, special};

    #[test]
    fn the_first_special_byte_is_found() {
        for (text, at) in [("abcdefgh", None), ("ab\"d\"fgh", Some(2)), ("abc\\ef\"h", Some(3)), ("abcdef\x1fh", Some(6))] {
            let found = special(u64::from_le_bytes(*text.as_bytes().first_chunk().expect("eight bytes")));
            assert_eq!((found != 0).then(|| found.trailing_zeros() / 8), at, "{text:?}");
        }
        for byte in 0..=255_u8 {
            let found = special(u64::from_le_bytes([b'x', b'x', b'x', b'x', b'x', b'x', b'x', byte])) != 0;
            assert_eq!(found, byte < 0x20 || byte == b'"' || byte == b'\\', "{byte}");
        }
    }

    #[test]
    fn only_plain_texts_and_numbers_are_taken() {
        let string = |text| Json { text, at: 0 }.string();
        assert_eq!(string("\"über die Zarge\","), Some("über die Zarge"));
        assert_eq!(string("\"\"}"), Some(""));
        for text in ["\"a\\n\"", "\"a\tb\"", "\"open", "bare\""] {
            assert_eq!(string(text), None, "{text}");
        }
        let number = |text| Json { text, at: 0 }.number();
        for text in ["0,", "-0.50}", "12.300 ", "7]"] {
            assert_eq!(number(text), Some(&text[..text.len() - 1]), "{text}");
        }
        for text in ["01,", "1.,", ".5,", "-,", "1e3,", "12", "1.5mm,"] {
            assert_eq!(number(text), None, "{text}");
        }
    }
}
