//! What would turn a finding turns it in every case, no fewer looks do, and no nearer value does; what would settle one
//! settles it whatever it shows, and no fewer looks do.

use std::sync::Arc;

use purfle::judge::Judge;
use purfle::outcome::At;
use purfle::plan::Plan;
use purfle::record::Record;
use purfle::trace::{Known, State, Tracer, Turned, changed};
use purfle_lang::book::{Book, FindingId, LookId, LookKind, PartId, PlaceId, Places, RecordPath};
use purfle_lang::number::Number;
use purfle_lang::saying::Saying;

use super::thinned::shown;
use super::{each, state};
use crate::by_cases::lines::Cuts;
use crate::by_cases::samples::{Answer, Grain, answers};

/// One look shown otherwise.
type Change = (LookId, RecordPath, Saying);

/// Everything that one look of a record could show instead.
fn changes(book: &Book, record: &Record) -> Vec<Change> {
    let cuts = Cuts::of(book, record.inspected_on);
    let mut all = Vec::new();
    for part in (0..book.parts.len()).map(PartId::from_index) {
        let places: Vec<RecordPath> = match &book[part].places {
            Places::Single => vec![RecordPath::Single],
            Places::Fixed(places) => (0..places.len()).map(|at| RecordPath::Fixed(PlaceId(at as u32))).collect(),
            Places::AsFound => purfle::trace::paths(book, record, part),
        };
        for place in places {
            for look in &book[part].looks {
                let cut = cuts.points((*look, false));
                for answer in answers(&book[*look], None, &cut, Grain::Coarse) {
                    let dated = matches!(book[*look].kind, LookKind::Dated);
                    let day = |number: Number| i64::try_from(number.to_integer()).ok();
                    let saying = match answer {
                        Answer::Choice(choice) => Saying::OneOf(vec![choice]),
                        Answer::Set(set) => Saying::Exactly((0..64).filter(|at| set >> at & 1 == 1).collect()),
                        Answer::Number(number) if dated => Saying::DateBetween(day(number), day(number)),
                        Answer::Number(number) => Saying::Between { low: Some(number), high: Some(number), reading: false },
                        Answer::NoDate => Saying::NoDate,
                        Answer::Text => continue,
                    };
                    all.push((*look, place, saying));
                }
            }
        }
    }
    all
}

/// How far a number is from what was written down; none where it is within it, or there is none.
fn far(known: Known<'_>, (look, place, saying): &Change) -> Option<Number> {
    let (low, high) = known.stretch(*look, *place)?;
    let at = match saying {
        Saying::Between { low: Some(at), .. } => *at,
        Saying::DateBetween(Some(day), _) => Number::from_integer(i128::from(*day)),
        _ => return None,
    };
    Some((low - at).max(at - high)).filter(|far| *far > Number::from_integer(0))
}

#[test]
fn what_would_turn_a_finding_does_and_nothing_less() {
    let (mut single, mut double, mut numbers, mut none) = (0, 0, 0, 0);
    each(|book, record| {
        let mut judge = Judge::new(Arc::new(Plan::new(Arc::clone(book))));
        let Ok(outcome) = judge.judge_in_full(record) else { return Vec::new() };
        let known = Known { book, record };
        let mut lines = Vec::new();
        let all = changes(book, record);
        for finding in (0..book.findings.len()).map(FindingId::from_index) {
            let mut tracer = Tracer::new(&mut judge, record, &outcome);
            let places: Vec<At> = tracer.places(finding).into_iter().filter(|at| *at != At::Unnamed).collect();
            for at in places {
                let Some(came) = state(book, record, finding, at).filter(|came| *came != State::Open) else { continue };
                let Some(turning) = tracer.trace(finding, at).and_then(|trace| trace.turning) else { continue };
                let name = &book[finding].name;
                if turning.to == came {
                    lines.push(format!("{name} at {at:?} would turn to what it is"));
                }
                let told = |way: &[Turned]| way.iter().map(|one| format!("{:?} {:?}", one.look, one.saying)).collect::<Vec<_>>();
                for way in &turning.ways {
                    if state(book, &changed(known, way), finding, at).is_some_and(|state| state != turning.to) {
                        lines.push(format!("{name} at {at:?} is not turned by {:?}", told(way)));
                    }
                }
                if !turning.surely {
                    continue;
                }
                let turns =
                    |one: &Change| state(book, &shown(record, one.0, one.1, one.2.clone()), finding, at) == Some(turning.to);
                let fewest = turning.ways.first().map_or(usize::MAX, Vec::len);
                if fewest > 1 {
                    lines.extend(all.iter().filter(|one| turns(one)).map(|one| format!("{name} at {at:?} is turned by {one:?}")));
                }
                if fewest > 2 {
                    none += usize::from(turning.ways.is_empty());
                    for (number, one) in all.iter().enumerate() {
                        let first = shown(record, one.0, one.1, one.2.clone());
                        let turns = all[number + 1..].iter().find(|other| {
                            (other.0, other.1) != (one.0, one.1)
                                && state(book, &shown(&first, other.0, other.1, other.2.clone()), finding, at) == Some(turning.to)
                        });
                        lines.extend(turns.map(|other| format!("{name} at {at:?} is turned by {one:?} and {other:?}")));
                    }
                }
                single += usize::from(fewest == 1);
                double += usize::from(fewest == 2);
                for way in turning.ways.iter().filter(|way| way.len() == 1) {
                    let one = &way[0];
                    let Some(distance) = one.distance else { continue };
                    numbers += 1;
                    let same = all.iter().filter(|change| (change.0, change.1) == (one.look, one.path));
                    let nearer =
                        same.filter(|change| far(known, change).is_some_and(|far| far < distance.by)).find(|one| turns(one));
                    lines.extend(nearer.map(|nearer| format!("{name} at {at:?}: {nearer:?} is nearer than {one:?}")));
                }
            }
        }
        lines
    });
    assert!(single > 40 && double > 5 && numbers > 5, "{single} {double} {numbers} {none}");
}

#[test]
fn what_would_settle_a_finding_does_whatever_it_shows() {
    let (mut settled, mut not_settled) = (0, 0);
    each(|book, record| {
        let mut judge = Judge::new(Arc::new(Plan::new(Arc::clone(book))));
        let Ok(outcome) = judge.judge_in_full(record) else { return Vec::new() };
        let mut lines = Vec::new();
        // What a look can show is what it could show instead, as far as the record leaves it open.
        let all = changes(book, record);
        let open = |one: &Change| {
            let before = purfle::trace::written(record, one.0, one.1) || purfle::trace::good(record, book[one.0].part, one.1);
            !before
        };
        for finding in (0..book.findings.len()).map(FindingId::from_index) {
            let mut tracer = Tracer::new(&mut judge, record, &outcome);
            for at in tracer.places(finding).into_iter().filter(|at| *at != At::Unnamed) {
                if state(book, record, finding, at) != Some(State::Open) {
                    continue;
                }
                let name = &book[finding].name;
                let Some(settling) = tracer.short(finding, at).settling else {
                    lines.push(format!("{name} at {at:?} is open, and nothing is said to settle it"));
                    continue;
                };
                if !settling.whatever {
                    not_settled += 1;
                    continue;
                }
                settled += 1;
                let settles = |looks: &[(LookId, RecordPath)]| {
                    let mut records = vec![record.clone()];
                    for (look, place) in looks {
                        let values = all.iter().filter(|one| (one.0, one.1) == (*look, *place) && open(one));
                        // A look that may not apply may show that as well.
                        let values: Vec<Saying> = values.map(|one| one.2.clone()).chain([Saying::DoesNotApply]).collect();
                        records = records
                            .iter()
                            .flat_map(|record| values.iter().map(|said| shown(record, *look, *place, said.clone())))
                            .collect();
                    }
                    !records.is_empty() && records.iter().all(|record| state(book, record, finding, at) != Some(State::Open))
                };
                let unseen = settling.looks.iter().all(|look| all.iter().any(|one| (one.0, one.1) == *look && open(one)));
                if unseen && !settles(&settling.looks) {
                    lines.push(format!("{name} at {at:?} is not settled by {:?}", settling.looks));
                }
                if settling.looks.len() == 2 {
                    let mut looks: Vec<(LookId, RecordPath)> = all.iter().map(|one| (one.0, one.1)).collect();
                    looks.dedup();
                    let unseen = looks.iter().filter(|look| all.iter().any(|one| (one.0, one.1) == **look && open(one)));
                    let fewer = unseen.filter(|look| settles(&[**look])).map(|look| format!("{name}: {look:?} settles it"));
                    lines.extend(fewer);
                }
            }
        }
        lines
    });
    assert!(settled > 10, "{settled} {not_settled}");
}
