//! Records that show a difference, their measures written as somebody reads them.

use purfle_lang::book::RecordEntry;
use purfle_lang::saying::Saying;

use super::replay::{Books, Replay, Seen};

/// What there is to tell of a record by the one and by the other; none where it does not show what it is to show.
pub type Tells<'t> = dyn Fn(&Books<'_>, &Seen) -> Option<(String, String)> + 't;

/// A record that shows something, with what comes of it and what there is to tell. Measures are written as they are read,
/// where the error of a reading changes nothing of what is told.
pub fn as_read(
    replay: &mut Replay<'_>,
    books: &Books<'_>,
    (record, seen): (Vec<RecordEntry>, Seen),
    tells: &Tells<'_>,
) -> Option<(Vec<RecordEntry>, Seen, (String, String))> {
    let told = tells(books, &seen)?;
    if let Some(read) = readings(&record)
        && let Some(seen) = replay.judge(&read)
        && tells(books, &seen).is_some_and(|as_told| as_told == told)
    {
        return Some((read, seen, told));
    }
    Some((record, seen, told))
}

/// A record with every exact measure written as a reading; none where there is none.
fn readings(record: &[RecordEntry]) -> Option<Vec<RecordEntry>> {
    let mut any = false;
    let mut read = record.to_vec();
    for entry in &mut read {
        if let RecordEntry::Look(.., Saying::Between { low: Some(low), high: Some(high), reading }) = entry
            && low == high
        {
            any |= !*reading;
            *reading = true;
        }
    }
    any.then_some(read)
}
