//! How many places that nobody has named stand for a part with places as found of which nothing is recorded.

use crate::book::{Book, Condition, Count, PartId, Places};

/// Parts with places as found, and the number of unnamed places for each: one, or as many as the largest number that a
/// condition counts there.
pub fn unnamed_places(book: &Book) -> Vec<(PartId, u32)> {
    let mut most = vec![1_u32; book.parts.len()];
    let mut count = |condition: &Condition| largest_count(condition, &mut most);
    for part in &book.parts {
        part.only_when.iter().for_each(&mut count);
        part.fixed_places().iter().flat_map(|place| &place.only_when).for_each(&mut count);
    }
    book.looks.iter().flat_map(|look| &look.only_when).for_each(&mut count);
    for finding in &book.findings {
        count(&finding.signs);
        finding.unless.iter().for_each(&mut count);
        finding.urgency.iter().flat_map(|line| &line.when).for_each(&mut count);
    }
    book.raises.iter().for_each(|raise| count(&raise.when));
    book.counsels.iter().for_each(|counsel| count(&counsel.when));
    book.aids.iter().flat_map(|aid| &aid.who).for_each(&mut count);
    (0..book.parts.len())
        .map(PartId::from_index)
        .filter(|&part| matches!(book[part].places, Places::AsFound))
        .map(|part| (part, most[part.index()]))
        .collect()
}

fn largest_count(condition: &Condition, most: &mut [u32]) {
    match condition {
        Condition::All(inner) | Condition::Any(inner) | Condition::AtLeast(_, inner) => {
            inner.iter().for_each(|c| largest_count(c, most));
        }
        Condition::Not(inner) => largest_count(inner, most),
        Condition::Places { count, part, with, .. } => {
            if let Count::AtLeast(least) = count {
                most[part.index()] = most[part.index()].max(*least);
            }
            largest_count(with, most);
        }
        Condition::Test(..) | Condition::Found(..) => {}
    }
}
