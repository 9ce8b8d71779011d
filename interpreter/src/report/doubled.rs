//! Tags that stand on several records of one day, each of which counts as an instrument.

use indexmap::IndexMap;
use rustc_hash::FxHashMap;

use super::text::shown;

/// The most tags that are kept in mind; a batch with more is not looked through to its end.
const MOST_TAGS: usize = 100_000;

/// The most tags that are named, and the most records of one.
const MOST_NAMED: usize = 5;

/// A tag and the day of an inspection, where one was written.
type Visit = (Box<str>, Option<i64>);

/// The tags of a batch, gathered record by record.
#[derive(Default)]
pub struct Doubled {
    /// The first record of each tag and day.
    first: FxHashMap<Visit, Box<str>>,
    /// The records of each that has more than one, as many as are named, and how many there are.
    several: IndexMap<Visit, (Vec<Box<str>>, usize)>,
}

impl Doubled {
    /// Gathers the tag and the day of one more record that counts.
    pub fn add(&mut self, tag: &str, day: Option<i64>, record: &str) {
        let visit = (tag.into(), day);
        if let Some((records, count)) = self.several.get_mut(&visit) {
            *count += 1;
            if records.len() < MOST_NAMED {
                records.push(record.into());
            }
        } else if let Some(first) = self.first.get(&visit) {
            self.several.insert(visit, (vec![first.clone(), record.into()], 2));
        } else if self.first.len() < MOST_TAGS {
            self.first.insert(visit, record.into());
        }
    }

    /// What is to be said of them, ready to be printed; none where no tag stands on two records of one day.
    pub fn words(&self) -> Option<String> {
        let named = self.several.iter().take(MOST_NAMED).map(|((tag, _), (records, count))| {
            let more = if *count > records.len() { ", ..." } else { "" };
            let records: Vec<_> = records.iter().map(|record| shown(record)).collect();
            format!("{} on {count} records ({}{more})", shown(tag), records.join(", "))
        });
        let mut named = named.collect::<Vec<_>>().join("; ");
        match self.several.len() {
            0 => return None,
            1 => named.insert_str(0, "One tag stands on several records of one day: "),
            count => named.insert_str(0, &format!("{count} tags stand on several records of one day: ")),
        }
        if let Some(more) = self.several.len().checked_sub(MOST_NAMED).filter(|more| *more > 0) {
            named.push_str(&format!("; and {more} more"));
        }
        named.push_str(
            ". Each counts as an instrument of its own. If two are one instrument, keep one of them or write the days on which it \
             was seen; if not, one of them needs another tag.",
        );
        Some(named)
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
