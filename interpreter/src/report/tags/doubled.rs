//! Tags that stand on several records of one day, each of which counts as an instrument.

use indexmap::IndexMap;
use purfle_lang::unit::format_date;
use rustc_hash::FxHashMap;
use serde::Serialize;

use super::{MOST_NAMED, MOST_TAGS, paragraph_of};
use crate::report::text::shown;

/// A tag and the day of an inspection, where one was written.
type DayOfTag = (Box<str>, Option<i64>);

/// The tags of a batch with their days.
#[derive(Default)]
pub struct Doubled {
    /// The first record of each tag and day.
    first: FxHashMap<DayOfTag, Box<str>>,
    /// The records of each that has more than one, as many as are named, and how many there are.
    several: IndexMap<DayOfTag, (Vec<Box<str>>, usize)>,
}

/// A tag on several records of one day.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct DoubledView<'a> {
    tag: &'a str,
    inspected_on: Option<String>,
    /// The first few of them.
    records: Vec<&'a str>,
    count: usize,
}

impl Doubled {
    /// Gathers the tag and the day of one more record that counts; gives back the first record of the same, if there is
    /// one.
    pub fn add(&mut self, tag: &str, day: Option<i64>, record: &str) -> Option<&str> {
        let day_of_tag = (tag.into(), day);
        if !self.first.contains_key(&day_of_tag) {
            if self.first.len() < MOST_TAGS {
                self.first.insert(day_of_tag, record.into());
            }
            return None;
        }
        let first = self.first.get(&day_of_tag)?;
        let (records, count) = self.several.entry(day_of_tag).or_insert_with(|| (vec![first.clone()], 1));
        *count += 1;
        if records.len() < MOST_NAMED {
            records.push(record.into());
        }
        Some(first)
    }

    /// What is to be said of them, ready to be printed; none where no tag stands on two records of one day.
    pub fn words(&self) -> Option<String> {
        let named = self.several.iter().take(MOST_NAMED).map(|((tag, _), (records, count))| {
            let more = if *count > records.len() { ", ..." } else { "" };
            let records: Vec<_> = records.iter().map(|record| shown(record)).collect();
            format!("{} on {count} records ({}{more})", shown(tag), records.join(", "))
        });
        paragraph_of(
            self.several.len(),
            "several records of one day",
            named.collect(),
            "Each counts as an instrument of its own. If two are one instrument, keep one of them or write the days on which it \
             was seen; if not, one of them needs another tag.",
        )
    }

    /// The same as values.
    pub fn view(&self) -> Vec<DoubledView<'_>> {
        let several = self.several.iter().map(|((tag, day), (records, count))| DoubledView {
            tag,
            inspected_on: day.map(format_date),
            records: records.iter().map(AsRef::as_ref).collect(),
            count: *count,
        });
        several.collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tags_of_one_record_a_day_are_not_spoken_of() {
        let mut doubled = Doubled::default();
        for number in 0..10 {
            doubled.add(&format!("T{number}"), None, &format!("A{number}"));
            doubled.add("T", Some(number), &format!("B{number}"));
        }
        assert_eq!(doubled.words(), None);
    }

    #[test]
    fn tags_are_named_with_their_records_up_to_a_few() {
        let mut doubled = Doubled::default();
        for (tag, day, record) in [("T1", Some(5), "A1"), ("T2", None, "A2"), ("T1", Some(5), "A3"), ("T1", Some(6), "A9")] {
            doubled.add(tag, day, record);
        }
        let words = doubled.words().expect("words");
        assert!(words.starts_with("One tag stands on several records of one day: T1 on 2 records (A1, A3). Each"), "{words}");
        for number in 4..20 {
            doubled.add("T1", Some(5), &format!("A{number}"));
            doubled.add(&format!("X{}", number / 2), None, &format!("B{number}"));
        }
        let words = doubled.words().expect("words");
        let begins = "9 tags stand on several records of one day: T1 on 18 records (A1, A3, A4, A5, A6, ...); X2 on 2 records";
        assert!(words.starts_with(begins), "{words}");
        assert!(words.contains("X5 on 2 records (B10, B11); and 4 more. Each"), "{words}");
    }
}
