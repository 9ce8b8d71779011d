//! Which record is meant, and which finding and place, counsel or fund.

use std::sync::Arc;

use purfle_lang::book::{AidId, Book, CounselId, FindingId, PlaceId, Places, RecordPath};
use purfle_lang::nearest::nearest;

use super::super::tell_earlier;
use super::Stop;
use crate::outcome::At;
use crate::record::Record;
use crate::records::{Earlier, Input, Noting, Refused, Run};
use crate::report::{plain, shown};
use crate::trace::paths;

/// What is to be explained.
#[derive(Debug)]
pub enum Asked {
    /// A finding, with the place that stands behind its name.
    Finding(FindingId, Option<String>),
    /// A counsel.
    Counsel(CounselId),
    /// A fund.
    Aid(AidId),
}

/// The kinds of what can be explained, by the words with which rulebooks write them, and how one is named in a sentence.
const KINDS: [(&str, &str); 3] = [("finding", "finding"), ("counsel", "counsel"), ("aid", "fund")];

/// What can be explained, by kind and name.
fn named(book: &Book) -> impl Iterator<Item = (usize, &str, Asked)> {
    let findings = book.finding_names.iter().map(|(name, id)| (0, name.as_str(), Asked::Finding(*id, None)));
    let counsels = book.counsels.iter().enumerate();
    let counsels = counsels.map(|(at, counsel)| (1, counsel.name.as_str(), Asked::Counsel(CounselId::from_index(at))));
    let aids = book.aids.iter().enumerate().map(|(at, aid)| (2, aid.name.as_str(), Asked::Aid(AidId::from_index(at))));
    findings.chain(counsels).chain(aids)
}

/// A finding, a counsel or a fund by its name. A finding may have a place behind it, `peg-stuck@E`; and any of them the word
/// with which rulebooks write it before it, `counsel many-jobs`, where two have one name.
pub fn asked(book: &Book, text: &str) -> Result<Asked, String> {
    let (kind, rest) = match text.trim().split_once(char::is_whitespace) {
        Some((word, rest)) => (KINDS.iter().position(|(known, _)| *known == word), rest.trim_start()),
        None => (None, text.trim()),
    };
    let rest = if kind.is_some() { rest } else { text.trim() };
    let (name, place) = match rest.split_once('@') {
        Some((name, place)) => (name, Some(place.to_owned())),
        None => (rest, None),
    };
    let wanted = |(of, known, _): &(usize, &str, Asked)| *known == name && kind.is_none_or(|kind| kind == *of);
    let mut found: Vec<(usize, &str, Asked)> = named(book).filter(wanted).collect();
    // Only findings have places.
    if place.is_some() && found.len() > 1 {
        found.retain(|(of, ..)| *of == 0);
    }
    match (found.len(), place) {
        (0, _) => Err(unknown(book, kind, name)),
        (1, place) => match (found.swap_remove(0), place) {
            ((_, _, Asked::Finding(id, _)), place) => Ok(Asked::Finding(id, place)),
            ((_, _, other), None) => Ok(other),
            ((of, ..), Some(place)) => {
                let kind = KINDS[of].1;
                Err(format!("`{name}` is a {kind}, which has no places; leave out `@{}`", shown(&place)))
            }
        },
        _ => {
            let kinds: Vec<String> = found.iter().map(|(of, ..)| format!("a {}", KINDS[*of].1)).collect();
            let ways: Vec<String> = found.iter().map(|(of, ..)| format!("\"{} {name}\"", KINDS[*of].0)).collect();
            Err(format!("`{name}` is {} of the rulebook; say which: {}", joined(&kinds, "and"), joined(&ways, "or")))
        }
    }
}

/// That nothing bears a name, with what comes nearest.
fn unknown(book: &Book, kind: Option<usize>, name: &str) -> String {
    let near = match named(book).find(|(of, known, _)| *known == name && Some(*of) != kind) {
        Some((of, known, _)) => Some(format!("{} {known}", KINDS[of].0)),
        None => {
            let of_kind = named(book).filter(|(of, ..)| kind.is_none_or(|kind| kind == *of)).map(|(_, known, _)| known);
            nearest(name, of_kind).map(str::to_owned)
        }
    };
    let near =
        near.map_or_else(|| " Which record is meant is said with `--of`.".to_owned(), |near| format!(" Did you mean `{near}`?"));
    let kinds = kind.map_or("finding, counsel or fund", |kind| KINDS[kind].1);
    format!("the rulebook has no {kinds} `{}`.{near}", shown(name))
}

/// `a finding, a counsel and a fund`
fn joined(words: &[String], and: &str) -> String {
    match words {
        [rest @ .., last] if !rest.is_empty() => format!("{} {and} {last}", rest.join(", ")),
        _ => words.concat(),
    }
}

/// A place of the part that a finding is on, by its name or number.
pub fn place(book: &Book, record: &Record, finding: FindingId, text: &str) -> Result<At, String> {
    let (name, on) = (&book[finding].name, book[finding].on);
    let part = &book[on];
    if !book[finding].each {
        return Err(format!("`{name}` is judged once for the {}, not place by place; leave out `@{}`", part.name, shown(text)));
    }
    if let Places::Fixed(places) = &part.places {
        if let Some(at) = places.iter().position(|place| place.name == text) {
            return Ok(At::Place(RecordPath::Fixed(PlaceId(u32::try_from(at).unwrap_or(u32::MAX)))));
        }
        let names: Vec<&str> = places.iter().map(|place| place.name.as_str()).collect();
        let near = nearest(text, names.iter().copied()).map(|near| format!("; nearest: {near}")).unwrap_or_default();
        return Err(format!("`{}` is no place of {}; allowed: {}{near}", shown(text), part.name, names.join(", ")));
    }
    let known = paths(book, record, on);
    let number = text.parse().ok().map(RecordPath::Found).filter(|path| known.contains(path));
    if let Some(path) = number {
        return Ok(At::Place(path));
    }
    let numbers: Vec<String> =
        known.iter().filter_map(|path| if let RecordPath::Found(n) = path { Some(n.to_string()) } else { None }).collect();
    let allowed = if numbers.is_empty() { "none, as the record has no place of it".to_owned() } else { numbers.join(", ") };
    Err(format!("`{}` is no {} that the record has; allowed: {allowed}", shown(text), part.name))
}

/// The one record meant, with what the record before says. What else is in the file must be sound enough to be read.
pub fn record(book: &Arc<Book>, name: &str, last: &[String], mark: Option<&str>) -> Result<Record, Stop> {
    let open = |name: &str| {
        Input::new(name, true).and_then(|input| input.check(book).map(|()| input)).map_err(|why| Stop::Unusable(why.to_string()))
    };
    let inputs = [open(name)?];
    let last: Vec<Input> = last.iter().map(|name| open(name)).collect::<Result<_, _>>()?;
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let (earlier, counts) = Earlier::read(book, &last, &inputs, threads)?;
    tell_earlier(&counts);
    let mut found = Found { mark, wanted: Vec::new(), marks: Vec::new(), count: 0 };
    let make = || {
        |record: &mut Record| {
            if let Some(earlier) = &earlier {
                earlier.fill(record);
            }
            Ok(record.clone())
        }
    };
    Run { book, inputs: &inputs, threads: 1, likeness: None }.each_noted(Noting::Entries, make, |answer| {
        found.take(answer);
        Ok(())
    })?;
    found.chosen(name)
}

/// The records that may be meant, and the marks of all.
struct Found<'m> {
    mark: Option<&'m str>,
    wanted: Vec<Result<Record, Refused>>,
    marks: Vec<String>,
    count: usize,
}

/// The most marks that a message lists.
const MOST_LISTED: usize = 12;

impl Found<'_> {
    fn take(&mut self, answer: Result<Record, Refused>) {
        self.count += 1;
        let (id, tag) = match &answer {
            Ok(record) => (Some(record.id.as_str()), record.tag.as_deref()),
            Err(refused) => (refused.record.as_deref(), None),
        };
        let meant = self.mark.is_none_or(|mark| id == Some(mark) || tag == Some(mark));
        self.marks.extend(id.into_iter().chain(tag.filter(|tag| Some(*tag) != id)).map(str::to_owned));
        if meant {
            self.wanted.truncate(1);
            self.wanted.push(answer);
        }
    }

    fn chosen(mut self, name: &str) -> Result<Record, Stop> {
        let ids = |wanted: &[Result<Record, Refused>]| {
            wanted.iter().filter_map(|one| one.as_ref().ok()).map(|record| shown(&record.id).into_owned()).collect::<Vec<_>>()
        };
        match (self.wanted.len(), self.mark) {
            (1, _) => match self.wanted.remove(0) {
                Ok(record) => Ok(record),
                Err(refused) => Err(Stop::Refused(Box::new(refused))),
            },
            (0, None) => Err(Stop::Unusable(format!("{}: it holds no record", plain(name)))),
            (0, Some(mark)) => {
                let near = nearest(mark, self.marks.iter().map(String::as_str));
                let near = near.map(|near| format!(" Did you mean `{}`?", shown(near))).unwrap_or_default();
                Err(Stop::Unusable(format!(
                    "{}: no record and no instrument bears the mark `{}`.{near}",
                    plain(name),
                    shown(mark)
                )))
            }
            (_, None) => Err(Stop::Unusable(format!(
                "{}: it holds {} records; say which one with --of MARK: {}",
                plain(name),
                self.count,
                listed(&self.marks)
            ))),
            (_, Some(mark)) => Err(Stop::Unusable(format!(
                "{}: several records bear the mark `{}`; name one by its own: {}",
                plain(name),
                shown(mark),
                ids(&self.wanted).join(", ")
            ))),
        }
    }
}

fn listed(marks: &[String]) -> String {
    let first: Vec<String> = marks.iter().take(MOST_LISTED).map(|mark| shown(mark).into_owned()).collect();
    let more = if marks.len() > MOST_LISTED { ", …" } else { "" };
    format!("{}{more}", first.join(", "))
}
