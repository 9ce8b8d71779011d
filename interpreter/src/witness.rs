//! Witnesses as records: what a diagnostic shows in the words of an example, said as a record file says it.

use purfle_lang::saying::{look_field, place_suffix};
use std::collections::BTreeSet;

use purfle_lang::book::{Book, LookId, PartId, RecordEntry, RecordPath};
use purfle_lang::diagnostic::{Diagnostic, Witness};
use purfle_lang::number::format_decimal;
use purfle_lang::resolve::resolve;
use purfle_lang::saying::{self, Saying};
use purfle_lang::span::FileId;
use purfle_lang::syntax::parse;
use purfle_lang::syntax::tree::{Item, Tree};
use purfle_lang::unit::format_date;
use serde::ser::{Serialize, SerializeMap, Serializer};

use crate::records::{INSPECTED_ON, QUOTED, RECORD, TAG, THE_REST};

/// The day of a witness that says nothing of its own but looks back at a record before: 2000-01-02.
const SOME_DAY: i64 = 10_958;

/// The fields of a record, in order; as JSON they are one record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fields(pub Vec<(String, String)>);

impl Serialize for Fields {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for (name, value) in &self.0 {
            map.serialize_entry(name, value)?;
        }
        map.end()
    }
}

/// A witness as records.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shown {
    /// The record itself.
    pub record: Fields,
    /// The record before, where the witness says what `last` looks were.
    pub before: Option<Fields>,
}

/// A witness by its number, as an example in a file of its own.
type Asked = (usize, FileId, Item);

/// The witnesses as records by a rulebook, each with a mark to be its `record`. None for one that the rulebook cannot
/// take as an example.
pub fn shown(trees: &[Tree], witnesses: &[(String, &Witness)]) -> Vec<Option<Shown>> {
    let mut items: Vec<Asked> = Vec::new();
    for ((at, (_, witness)), number) in witnesses.iter().enumerate().zip((0..u16::MAX).rev()) {
        let file = FileId(number);
        let entries = witness.record.split_whitespace().collect::<Vec<_>>().join(" ");
        let parsed = parse(file, &format!("example \"{at}\"\n  record {entries}\n  refused\n"));
        if usize::from(number) >= trees.len() && parsed.diagnostics.is_empty() {
            items.extend(parsed.tree.items.into_iter().map(|item| (at, file, item)));
        }
    }
    let mut shown = vec![None; witnesses.len()];
    let Some((resolved, items)) = resolved(trees, items) else { return shown };
    for (at, file, _) in items {
        let example = resolved.examples.iter().find(|example| example.origin.span.file == file);
        if let (Some(example), Some((mark, _))) = (example, witnesses.get(at)) {
            shown[at] = as_records(&resolved, &example.record, mark);
        }
    }
    shown
}

/// The book with these examples in it, and those of them that it can take.
fn resolved(trees: &[Tree], mut items: Vec<Asked>) -> Option<(Book, Vec<Asked>)> {
    let (own, parents) = trees.split_first()?;
    for _ in 0..2 {
        let mut own = own.clone();
        own.items.extend(items.iter().map(|(_, _, item)| item.clone()));
        let chain: Vec<Tree> = std::iter::once(own).chain(parents.iter().cloned()).collect();
        let resolved = resolve(&chain);
        if let Some(book) = resolved.book {
            return Some((book, items));
        }
        let refused: BTreeSet<FileId> =
            resolved.diagnostics.iter().filter(|told| told.is_error()).map(|told: &Diagnostic| told.span.file).collect();
        items.retain(|(_, file, _)| !refused.contains(file));
    }
    None
}

/// The entries of an example's record as a record file says them. None where no file can say it.
pub fn as_records(book: &Book, entries: &[RecordEntry], mark: &str) -> Option<Shown> {
    let looks_back = entries.iter().any(|entry| matches!(entry, RecordEntry::Last(..)));
    let day = entries.iter().find_map(|entry| match entry {
        RecordEntry::InspectedOn(day) => Some(*day),
        _ => None,
    });
    let day = day.or(looks_back.then_some(SOME_DAY));
    let head = |name: String, day: Option<i64>| {
        let tag = looks_back.then(|| (TAG.to_owned(), mark.to_owned()));
        let day = day.map(|day| (INSPECTED_ON.to_owned(), format_date(day)));
        std::iter::once((RECORD.to_owned(), name)).chain(tag).chain(day).collect::<Vec<_>>()
    };
    let mut record = head(mark.to_owned(), day);
    let mut before = head(format!("{mark}-before"), day.map(|day| day - 1));
    let part = |part: PartId, at: Option<RecordPath>| {
        format!("{}{}", book[part].name, at.map(|at| place_suffix(book, part, at)).unwrap_or_default())
    };
    let said = |look: LookId, saying: &Saying| saying::format(&book[look], saying, book.money);
    for entry in entries {
        record.push(match entry {
            RecordEntry::Look(look, at, saying) => (look_field(book, *look, *at), said(*look, saying)),
            RecordEntry::Last(look, at, saying) => {
                before.push((look_field(book, *look, *at), said(*look, saying)));
                continue;
            }
            RecordEntry::Good(of, at) => (part(*of, *at), "good".to_owned()),
            RecordEntry::Absent(_, Some(RecordPath::Found(_))) => return None,
            RecordEntry::Absent(of, at) => (part(*of, *at), "-".to_owned()),
            RecordEntry::NoPlaces(of) => (part(*of, None), "none".to_owned()),
            RecordEntry::MayBeMore(of) => (part(*of, None), "may be more".to_owned()),
            RecordEntry::RestGood => (THE_REST.to_owned(), "good".to_owned()),
            RecordEntry::Quoted(price) => (QUOTED.to_owned(), format!("{} {}", format_decimal(*price), book.money)),
            RecordEntry::InspectedOn(_) => continue,
        });
    }
    // One field cannot say two things, such as that a part is good and that there may be more of it.
    let names: BTreeSet<&str> = record.iter().map(|(name, _)| name.as_str()).collect();
    if names.len() < record.len() {
        return None;
    }
    Some(Shown { record: Fields(record), before: looks_back.then_some(Fields(before)) })
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use purfle_lang::diagnostic::Witness;

    use super::{Fields, Shown, shown};
    use crate::load::{Loaded, load_text};
    use crate::record::Record;
    use crate::records::{Earlier, Input, Run};
    use crate::rehearse::record_of;

    const BOOK: &str = "rulebook small \"Small\"
  edition 1
  money USD

urgency
  step fine \"Nothing to do\"
  step book \"Book a luthier\" within 30 days

hands
  hand player  \"The player\"
  hand luthier \"A luthier\" 85 USD per h

tiers
  tier job \"Any job\" beyond

part button \"Button\"
  look gap   \"Gap?\"   measured in mm from 0 to 8, give or take 0.2
  look sits  \"Sits?\"  one of straight, crooked, \"3/4\"
    good straight
  look loose \"Loose?\" yes or no
  look marks \"Marks?\" some of rosin, print, wax
  look note  \"Note?\"  written
  look since \"Since?\" dated
  look worth \"Worth?\" priced from 0 to 500 USD
  look turns \"Turns?\" counted from 0 to 9

part peg \"Peg\"
  place E \"The E peg\"
  place A \"The A peg\"
  look turns \"Turns?\" one of smooth, stuck
    good smooth

part crack \"Crack\"
  places as found
  look length \"Length?\" measured in mm from 1 to 90

finding grows \"It grows\"
  on      button
  signs   gap is above last gap + 1 mm
  urgency book
  hands   luthier
  cost    nothing
  basis   \"common practice\"
";

    /// The witness as records, and the record of an example with the same words.
    fn both(entries: &str) -> (Loaded, Option<Shown>, Record) {
        let bare = load_text("small.purfle", BOOK.to_owned());
        assert!(bare.book.is_some(), "{:?}", bare.diagnostics);
        let witness = Witness { record: entries.to_owned(), outcome: "comes out".to_owned() };
        let shown = shown(&bare.trees, &[("gap-1".to_owned(), &witness)]).pop().flatten();
        let with = load_text("small.purfle", format!("{BOOK}\nexample \"it\"\n  record {entries}\n  refused\n"));
        let book = with.book.as_ref().unwrap_or_else(|| panic!("{entries}: {:?}", with.diagnostics));
        let record = record_of(&book.examples[0]);
        (bare, shown, record)
    }

    /// What the record file reads as.
    fn read(loaded: &Loaded, all: &[&Fields]) -> Record {
        let book = Arc::new(loaded.book.clone().expect("a book"));
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("witness.json");
        std::fs::write(&path, serde_json::to_string(all).expect("JSON")).expect("a file");
        let name = path.to_string_lossy();
        let inputs = || [Input::new(&name, true).expect("a file")];
        let (earlier, _) = Earlier::read(&book, &[], &inputs(), 1).unwrap_or_else(|_| panic!("it is read"));
        let mut first = None;
        Run { book: &book, inputs: &inputs(), threads: 1, likeness: None }
            .each(
                || |record: &mut Record| Ok(std::mem::take(record)),
                |answer| {
                    let record = answer.unwrap_or_else(|refused| panic!("{refused:?}"));
                    first.get_or_insert(record);
                    Ok(())
                },
            )
            .unwrap_or_else(|_| panic!("it is read"));
        let mut record = first.expect("a record");
        earlier.expect("the rulebook looks back").fill(&mut record);
        record
    }

    #[test]
    fn a_witness_reads_as_the_example_with_the_same_words() {
        for entries in [
            "button.gap is 0.5 mm",
            "button.gap is at least 0.5 mm, button.sits is crooked or straight",
            "button.gap is 0.01 to 0.3 inch, button.sits is \"3/4\"",
            "button.loose, button.marks is rosin and wax, button.turns is 3, button.worth is 12.50 USD",
            "button.loose is no, button.marks is none, button.since is 2025-02-03",
            "button.since is none, button.note is \"It hums, a little\"",
            "button.gap not told, button.sits does not apply, quoted is 40.5 USD, inspected-on is 2026-03-02",
            "button is good, peg.E.turns is stuck, peg.A is good",
            "peg does not apply, no crack, the rest is good",
            "peg.E does not apply, crack.1.length is 3 mm, crack.2 is good, crack may be more",
            "button.gap is 3 mm, last button.gap is 1 mm, inspected-on is 2026-03-02",
            "button.gap is 3 mm, last button.gap is 1 mm",
        ] {
            let (loaded, shown, example) = both(entries);
            let shown = shown.unwrap_or_else(|| panic!("{entries}"));
            let all: Vec<&Fields> = std::iter::once(&shown.record).chain(&shown.before).collect();
            let record = read(&loaded, &all);
            assert_eq!(record.id, "gap-1", "{entries}");
            assert_eq!((&record.entries, &record.last), (&example.entries, &example.last), "{entries}");
            assert_eq!(record.quoted, example.quoted, "{entries}");
            if example.last.is_empty() {
                assert_eq!((record.inspected_on, shown.before), (example.inspected_on, None), "{entries}");
            } else {
                assert!(example.inspected_on.is_none_or(|day| record.inspected_on == Some(day)), "{entries}");
            }
        }
    }

    #[test]
    fn what_no_record_file_can_say_is_left_out_and_the_others_stay() {
        let loaded = load_text("small.purfle", BOOK.to_owned());
        let witness = |record: &str| Witness { record: record.to_owned(), outcome: "comes out".to_owned() };
        let all = [
            "button.gap is 1 mm",
            "button.gpa is 1 mm",
            "button.gap is",
            "crack is good, crack may be more",
            "peg.E.turns is stuck",
        ]
        .map(witness);
        let marked: Vec<(String, &Witness)> =
            all.iter().zip(1..).map(|(witness, number)| (format!("w-{number}"), witness)).collect();
        let shown: Vec<bool> = shown(&loaded.trees, &marked).iter().map(Option::is_some).collect();
        assert_eq!(shown, [true, false, false, false, true]);
    }
}
