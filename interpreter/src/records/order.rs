//! In which order the fields of records stand, and the few things that most of them say.
//!
//! A name that stands where it stood last time, and an answer that was given before, are found by comparing them as they are
//! written in JSON, and not looked up.

use super::reader::NameId;
use crate::record::Entry;

/// Where in a record a name stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Spot {
    /// The group that it is part of; none at the top.
    pub group: Option<NameId>,
    /// The name before it in that group; none for the first.
    pub before: Option<NameId>,
}

/// A field that is written as it was before.
#[derive(Debug, PartialEq)]
pub struct Usual<'o> {
    /// Its name.
    pub name: NameId,
    /// How many bytes are understood: those of the name, of the colon, and of what it says.
    pub length: usize,
    /// What it says; none where that takes reading.
    pub says: Option<&'o Entry>,
}

/// How many names are passed over that stood there last time and may be left out now.
const MOST_LEFT_OUT: usize = 4;

/// The most answers that are remembered of one name.
const MOST_ANSWERS: usize = 8;

/// The most bytes of an answer that is remembered.
const LONGEST_ANSWER: usize = 48;

/// Which name stood where last time, and what it said.
#[derive(Debug, Default)]
pub struct Order {
    /// The first of all.
    first: Option<NameId>,
    /// One for each name, by its number; those that were never noted have no text.
    stands: Vec<Stands>,
}

#[derive(Debug, Default)]
struct Stands {
    /// What it is called within its group, in quotation marks, with a colon.
    written: Box<str>,
    group: Option<NameId>,
    /// The first name of the group that it names itself.
    first: Option<NameId>,
    /// The name behind it in its own group.
    next: Option<NameId>,
    answers: Vec<Answer>,
}

#[derive(Debug)]
struct Answer {
    /// As it is written, in quotation marks.
    written: Box<str>,
    /// All that comes of it.
    entry: Entry,
}

impl Order {
    /// Forgets everything.
    pub fn clear(&mut self) {
        self.first = None;
        self.stands.clear();
    }

    /// The field that is written at a spot, if its name stood there last time or a little later.
    pub fn usual(&self, spot: Spot, written: &[u8]) -> Option<Usual<'_>> {
        let mut likely = self.at(spot);
        for _ in 0..=MOST_LEFT_OUT {
            let name = likely?;
            let stands = self.stands.get(name.index())?;
            if stands.group == spot.group && begins(written, &stands.written) {
                return Some(stands.usual(name, written));
            }
            likely = stands.next;
        }
        None
    }

    /// Notes that a name, called `text` within its group, stands at a spot. What stood there is taken to follow it.
    pub fn note(&mut self, spot: Spot, name: NameId, text: &str) {
        let behind = self.at(spot).filter(|behind| *behind != name);
        let stands = self.of(name);
        if stands.written.is_empty() || stands.group != spot.group {
            stands.written = format!("\"{text}\":").into();
            stands.group = spot.group;
        }
        stands.next = stands.next.or(behind);
        match (spot.before, spot.group) {
            (Some(before), _) => self.of(before).next = Some(name),
            (None, Some(group)) => self.of(group).first = Some(name),
            (None, None) => self.first = Some(name),
        }
    }

    /// Notes an answer of a name, of which nothing but one entry comes.
    pub fn note_answer(&mut self, name: NameId, text: &str, entry: &Entry) {
        let answers = &mut self.of(name).answers;
        if answers.len() < MOST_ANSWERS && text.len() <= LONGEST_ANSWER {
            answers.push(Answer { written: format!("\"{text}\"").into(), entry: entry.clone() });
        }
    }

    fn of(&mut self, name: NameId) -> &mut Stands {
        if self.stands.len() <= name.index() {
            self.stands.resize_with(name.index() + 1, Stands::default);
        }
        &mut self.stands[name.index()]
    }

    fn at(&self, spot: Spot) -> Option<NameId> {
        match (spot.before, spot.group) {
            (Some(before), _) => self.stands.get(before.index())?.next,
            (None, Some(group)) => self.stands.get(group.index())?.first,
            (None, None) => self.first,
        }
    }
}

impl Stands {
    /// The field of this name that is written, with what it says if that is remembered.
    fn usual(&self, name: NameId, written: &[u8]) -> Usual<'_> {
        let behind = &written[self.written.len()..];
        let behind = behind.strip_prefix(b" ").unwrap_or(behind);
        let answer = self.answers.iter().find(|answer| begins(behind, &answer.written));
        let length = written.len() - behind.len() + answer.map_or(0, |answer| answer.written.len());
        Usual { name, length, says: answer.map(|answer| &answer.entry) }
    }
}

/// Whether what is written begins with a text. The last byte is compared first: most others end elsewhere.
fn begins(written: &[u8], text: &str) -> bool {
    let text = text.as_bytes();
    text.last().is_some_and(|last| written.get(text.len() - 1) == Some(last)) && written.starts_with(text)
}

#[cfg(test)]
mod tests {
    use purfle_lang::book::PartId;

    use super::{MOST_ANSWERS, NameId, Order, Spot, Usual};
    use crate::record::Entry;

    /// Reads names as a record would have them, and counts those that had to be looked up.
    fn looked_up(order: &mut Order, group: Option<NameId>, names: &[&str]) -> usize {
        let mut before = None;
        let mut looked_up = 0;
        for text in names {
            let spot = Spot { group, before };
            let own = NameId::from_index(text.len() + if group.is_some() { 100 } else { 0 });
            match order.usual(spot, format!("\"{text}\": 1").as_bytes()) {
                Some(usual) => assert_eq!(usual, Usual { name: own, length: text.len() + 4, says: None }, "{text}"),
                None => {
                    order.note(spot, own, text);
                    looked_up += 1;
                }
            }
            before = Some(own);
        }
        looked_up
    }

    #[test]
    fn names_that_stand_where_they_stood_are_found() {
        let mut order = Order::default();
        let group = Some(NameId::from_index(1));
        for (group, names, expected) in [
            (None, &["a", "bb", "ccc", "dddd"][..], 4),
            (group, &["a", "ccc"], 2),
            (None, &["a", "bb", "ccc", "dddd"], 0),
            (None, &["a", "dddd"], 0),
            (None, &["bb", "ccc"], 0),
            (None, &["a", "bb", "xxxxx", "ccc", "dddd"], 1),
            (None, &["a", "bb", "ccc", "dddd"], 0),
            (group, &["a", "bb", "ccc"], 1),
            (group, &["ccc", "a"], 1),
            (None, &["dddd", "ccc", "bb", "a"], 3),
        ] {
            assert_eq!(looked_up(&mut order, group, names), expected, "{names:?}");
        }
        order.clear();
        assert_eq!(looked_up(&mut order, None, &["a"]), 1);
    }

    #[test]
    fn a_few_answers_of_each_name_are_remembered() {
        let mut order = Order::default();
        let (peg, bow) = (NameId::from_index(7), NameId::from_index(2));
        let entry = |at: usize| Entry::Good(PartId::from_index(at), None);
        let spot = Spot { group: None, before: None };
        order.note(spot, peg, "peg");
        order.note(Spot { before: Some(peg), ..spot }, bow, "bow");
        for at in 0..MOST_ANSWERS + 2 {
            order.note_answer(peg, &"good".repeat(at), &entry(at));
        }
        for (written, length, says) in [
            ("\"peg\":\"good\", ".to_owned(), 12, Some(entry(1))),
            ("\"peg\": \"goodgood\"}".to_owned(), 17, Some(entry(2))),
            (format!("\"peg\":\"{}\"", "good".repeat(MOST_ANSWERS)), 6, None),
            ("\"peg\":\"goo\"".to_owned(), 6, None),
            ("\"peg\":  \"good\"".to_owned(), 7, None),
            ("\"peg\":\"good".to_owned(), 6, None),
            ("\"peg\":good".to_owned(), 6, None),
            ("\"peg\":".to_owned(), 6, None),
            ("\"bow\":\"good\"".to_owned(), 6, None),
        ] {
            let name = if written.starts_with("\"peg") { peg } else { bow };
            let usual = Usual { name, length, says: says.as_ref() };
            assert_eq!(order.usual(spot, written.as_bytes()), Some(usual), "{written}");
        }
        assert_eq!(order.usual(spot, b"\"peg\" :\"good\""), None);
    }
}
