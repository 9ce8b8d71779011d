//! Which record, which finding and which place is meant.

use std::sync::Arc;

use purfle_lang::book::{Book, FindingId, PlaceId, Places, RecordPath};
use purfle_lang::nearest::nearest;

use super::{Stop, complain};
use crate::outcome::At;
use crate::record::Record;
use crate::records::{Earlier, Input, Refused, Run};
use crate::report::{plain, refused_words, shown};
use crate::trace::paths;

/// A finding by its name, with the place that stands behind it: `peg-stuck@E`.
pub fn finding(book: &Book, text: &str) -> Result<(FindingId, Option<String>), String> {
    let (name, place) = match text.split_once('@') {
        Some((name, place)) => (name, Some(place.to_owned())),
        None => (text, None),
    };
    if let Some(id) = book.find_finding(name) {
        return Ok((id, place));
    }
    let near = nearest(name, book.finding_names.keys().map(String::as_str));
    let near = near.map(|near| format!(" Did you mean `{near}`?")).unwrap_or_default();
    Err(format!("the rulebook has no finding `{}`.{near}", shown(name)))
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
    for refused in &counts.refused {
        complain(&format!("an earlier record is left out:\n{}", refused_words(refused).trim_end()));
    }
    let mut found = Found { mark, wanted: Vec::new(), marks: Vec::new(), count: 0 };
    let make = || {
        |record: &mut Record| {
            if let Some(earlier) = &earlier {
                earlier.fill(record);
            }
            Ok(record.clone())
        }
    };
    Run { book, inputs: &inputs, threads: 1 }.each_noted(make, |answer| {
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
