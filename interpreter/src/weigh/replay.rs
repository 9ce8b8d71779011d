//! What comes of one record by both rulebooks: a difference is told only after it was seen here.

use std::sync::Arc;

use purfle_lang::book::{AidWord, Book, CounselId, FindingId, LookId, LookKind, PlayedWord, RecordEntry, RecordPath, StateWord};
use purfle_lang::compare::{Kind, Relation, Said, Turn, Whole, said};
use purfle_lang::saying::Saying;

use crate::judge::Judge;
use crate::outcome::{AidOutcome, Judged, Outcome, Range, Sum};
use crate::rehearse::record_of_entries;
use crate::report::place_name;

/// The two judges.
pub struct Replay<'a> {
    /// By the old rulebook.
    pub old: &'a mut Judge,
    /// By the new one.
    pub new: &'a mut Judge,
    /// Both books in one, in whose terms records come.
    pub both: &'a Book,
    /// Looks that apply in other cases by the one than by the other.
    pub guarded: &'a [LookId],
}

/// What comes of one record.
pub struct Seen {
    /// By the old rulebook.
    pub old: Outcome,
    /// By the new one.
    pub new: Outcome,
    /// What only one of them has a look for, and was left out of the other's record.
    pub left_out: Vec<String>,
}

impl Replay<'_> {
    /// Judges a record by both; none where one of them refuses it.
    pub fn judge(&mut self, record: &[RecordEntry]) -> Option<Seen> {
        if !can_be_given(self.both, record) {
            return None;
        }
        let mut left_out: Vec<String> = Vec::new();
        let (both, guarded) = (self.both, self.guarded);
        let mut outcome = |judge: &mut Judge| {
            let book = Arc::clone(&judge.plan().book);
            let Said { entries, left_out: left } = said(both, &book, record)?;
            left_out.extend(left);
            if let Ok(outcome) = judge.judge(&record_of_entries(&entries)) {
                return Some(outcome);
            }
            // What does not apply by this rulebook is nothing to say by it.
            let (outcome, left) = without(both, guarded, record).into_iter().find_map(|(record, left)| {
                let Said { entries, .. } = said(both, &book, &record)?;
                Some((judge.judge(&record_of_entries(&entries)).ok()?, left))
            })?;
            left_out.extend(left);
            Some(outcome)
        };
        let (old, new) = (outcome(self.old)?, outcome(self.new)?);
        left_out.sort_unstable();
        left_out.dedup();
        Some(Seen { old, new, left_out })
    }
}

/// Whether every sum in a record has no more places than its money.
fn can_be_given(both: &Book, record: &[RecordEntry]) -> bool {
    record.iter().all(|entry| match entry {
        RecordEntry::Look(look, _, Saying::Between { low, high, .. })
        | RecordEntry::Last(look, _, Saying::Between { low, high, .. }) => {
            let priced = matches!(both[*look].kind, LookKind::Priced { .. });
            !priced || low.iter().chain(high).all(|sum| both.money.takes(*sum))
        }
        RecordEntry::Quoted(sum) => both.money.takes(*sum),
        _ => true,
    })
}

/// A record without one of these looks, without those of one place, and without all of them, with what is left out.
fn without(both: &Book, guarded: &[LookId], record: &[RecordEntry]) -> Vec<(Vec<RecordEntry>, Vec<String>)> {
    let of = |entry: &RecordEntry| match entry {
        RecordEntry::Look(look, path, _) => guarded.contains(look).then_some((*look, *path)),
        _ => None,
    };
    let mut said: Vec<(LookId, RecordPath)> = record.iter().filter_map(of).collect();
    said.dedup();
    let (mut looks, mut paths): (Vec<LookId>, Vec<RecordPath>) = said.iter().copied().unzip();
    looks.sort_unstable();
    looks.dedup();
    paths.sort_unstable();
    paths.dedup();
    let of_look = |look: &LookId| said.iter().filter(|(of, _)| of == look).copied().collect::<Vec<_>>();
    let of_path = |path: &RecordPath| said.iter().filter(|(_, at)| at == path).copied().collect::<Vec<_>>();
    let singles = said.iter().map(|one| vec![*one]);
    let mut sets: Vec<Vec<(LookId, RecordPath)>> = Vec::new();
    let more = looks.iter().map(of_look).chain(paths.iter().map(of_path)).chain([said.clone()]);
    for set in singles.chain(more).filter(|set| !set.is_empty()) {
        if !sets.contains(&set) {
            sets.push(set);
        }
    }
    let left = |set: Vec<(LookId, RecordPath)>| {
        let rest = record.iter().filter(|entry| of(entry).is_none_or(|one| !set.contains(&one)));
        let mut names: Vec<String> = set.iter().map(|(look, _)| both.look_path(*look)).collect();
        names.dedup();
        (rest.cloned().collect(), names)
    };
    sets.into_iter().map(left).collect()
}

impl Replay<'_> {
    /// Judges a record by one of the two, in the terms of both; none where it refuses it.
    pub fn by_one(&mut self, record: &[RecordEntry], new: bool) -> Option<Outcome> {
        let judge = if new { &mut *self.new } else { &mut *self.old };
        let book = Arc::clone(&judge.plan().book);
        let Said { entries, .. } = said(self.both, &book, record)?;
        judge.judge(&record_of_entries(&entries)).ok()
    }
}

/// The two books, to name things by.
#[derive(Clone, Copy)]
pub struct Books<'a> {
    /// The old one.
    pub old: &'a Book,
    /// The new one.
    pub new: &'a Book,
}

/// A finding by its name in both.
#[derive(Clone, Copy)]
pub struct Named {
    /// In the old book.
    pub old: Option<FindingId>,
    /// In the new one.
    pub new: Option<FindingId>,
}

/// What came of a finding at one place.
pub struct AtPlace<'o> {
    /// The place after its part's name, where it has one.
    pub place: Option<String>,
    /// By the old rulebook; none where it is clear.
    pub old: Option<&'o Judged>,
    /// By the new one.
    pub new: Option<&'o Judged>,
}

impl Books<'_> {
    /// What came of a finding, place by place.
    pub fn finding<'o>(&self, seen: &'o Seen, finding: Named) -> Vec<AtPlace<'o>> {
        let mut places: Vec<AtPlace<'o>> = Vec::new();
        let sides = [(self.old, &seen.old, finding.old), (self.new, &seen.new, finding.new)];
        for (side, (book, outcome, id)) in sides.into_iter().enumerate() {
            let Some(id) = id else { continue };
            for judged in outcome.findings.iter().chain(&outcome.not_ruled_out).filter(|judged| judged.finding == id) {
                let place = place_name(book, book[id].on, judged.at);
                let at = places.iter().position(|known| known.place == place).unwrap_or_else(|| {
                    places.push(AtPlace { place, old: None, new: None });
                    places.len() - 1
                });
                if side == 0 {
                    places[at].old = Some(judged);
                } else {
                    places[at].new = Some(judged);
                }
            }
        }
        places
    }

    /// The place at which a finding certainly comes out differently in this way. Where the two books do not judge it at the
    /// same places, any place of the one is held against any of the other.
    pub fn differs<'o>(&self, seen: &'o Seen, finding: Named, kind: Kind) -> Option<AtPlace<'o>> {
        let mut places = self.finding(seen, finding);
        if !self.one_place(finding) {
            let old: Vec<&Judged> = places.iter().filter_map(|at| at.old).collect();
            let new: Vec<&Judged> = places.iter().filter_map(|at| at.new).collect();
            if !old.is_empty() && !new.is_empty() {
                let pair = |old: &'o Judged, new: &'o Judged| AtPlace { place: None, old: Some(old), new: Some(new) };
                places = old.iter().flat_map(|old| new.iter().map(|new| pair(old, new))).collect();
            }
        }
        places.into_iter().find(|at| self.differs_at(at, kind))
    }

    /// Whether both books judge a finding at the same places.
    fn one_place(&self, finding: Named) -> bool {
        let (Some(old), Some(new)) = (finding.old, finding.new) else { return true };
        let at = |book: &Book, id: FindingId| (book[book[id].on].name.clone(), book[id].each);
        at(self.old, old) == at(self.new, new)
    }

    fn differs_at(&self, at: &AtPlace<'_>, kind: Kind) -> bool {
        let found = |judged: Option<&Judged>| judged.is_some_and(|judged| judged.state == StateWord::Found);
        let both = found(at.old) && found(at.new);
        match (kind, at.old, at.new) {
            (Kind::Found, old, new) => old.is_none() && found(new),
            (Kind::NotFound, old, new) => found(old) && new.is_none(),
            (Kind::Graver, Some(old), Some(new)) => both && self.stand(old.urgency, new.urgency, Relation::Graver),
            (Kind::Milder, Some(old), Some(new)) => both && self.stand(old.urgency, new.urgency, Relation::Milder),
            (Kind::OtherStep, Some(old), Some(new)) => both && self.stand(old.urgency, new.urgency, Relation::Other),
            (Kind::Hands, Some(_), Some(_)) => both,
            (Kind::Dearer, Some(old), Some(new)) => both && dearer(&old.cost, &new.cost),
            (Kind::Cheaper, Some(old), Some(new)) => both && dearer(&new.cost, &old.cost),
            (Kind::OnSight, Some(old), Some(new)) => both && old.cost.and_more != new.cost.and_more,
            _ => false,
        }
    }

    /// Whether every step of the one stands so to every step of the other.
    fn stand(&self, old: Range<purfle_lang::book::StepId>, new: Range<purfle_lang::book::StepId>, wanted: Relation) -> bool {
        let within = |range: Range<purfle_lang::book::StepId>, at: usize| range.from.index() <= at && at <= range.to.index();
        let mut relations = purfle_lang::compare::relation(self.old, self.new)
            .into_iter()
            .filter(|(before, after, _)| within(old, *before) && within(new, *after))
            .peekable();
        relations.peek().is_some() && relations.all(|(.., relation)| relation == wanted)
    }

    /// Whether the whole outcome certainly comes out differently in this way.
    pub fn whole_differs(&self, seen: &Seen, way: &Whole) -> bool {
        let turned = |turn: Turn| match turn {
            Turn::Up => Relation::Graver,
            Turn::Down => Relation::Milder,
            Turn::Aside => Relation::Other,
        };
        match way {
            Whole::Urgency(turn) => {
                let exact = seen.old.urgency_exact && seen.new.urgency_exact;
                exact && self.stand(seen.old.urgency, seen.new.urgency, turned(*turn))
            }
            Whole::Hands(turn) => {
                let Some((old, new)) = self.hands(seen) else { return false };
                let relation = purfle_lang::compare::hand_relation(self.old, self.new, old, new);
                relation == turned(*turn)
            }
            Whole::Played { apart, forbidden } => {
                let word = |book: &Book, outcome: &Outcome| match apart {
                    None => outcome.played,
                    Some(apart) => {
                        let its = outcome.apart.iter().find(|(part, _)| book[*part].name == *apart);
                        its.map_or(PlayedWord::Yes, |(_, word)| *word)
                    }
                };
                let (old, new) = (word(self.old, &seen.old), word(self.new, &seen.new));
                if *forbidden {
                    (old, new) == (PlayedWord::Yes, PlayedWord::No)
                } else {
                    (old, new) == (PlayedWord::No, PlayedWord::Yes)
                }
            }
            Whole::Counsel { name, now } => {
                let (old, new) = (counsel(self.old, &seen.old, name), counsel(self.new, &seen.new, name));
                let (there, here) = if *now { (new, old) } else { (old, new) };
                there == Some(StateWord::Found) && here.is_none()
            }
        }
    }

    /// The hands of the whole outcome where they are certain, by index in their ladders.
    fn hands(&self, seen: &Seen) -> Option<(Option<usize>, Option<usize>)> {
        let one = |outcome: &Outcome| {
            let Range { from, to } = outcome.hands;
            (from == to).then(|| from.map(|hand| hand.index()))
        };
        Some((one(&seen.old)?, one(&seen.new)?))
    }
}

/// The state of a counsel; none where it does not apply, or the book has none of that name.
pub fn counsel(book: &Book, outcome: &Outcome, name: &str) -> Option<StateWord> {
    let id = book.counsels.iter().position(|counsel| counsel.name == name).map(CounselId::from_index)?;
    outcome.counsel.iter().find(|(counsel, _)| *counsel == id).map(|(_, state)| *state)
}

/// What a fund says; none where the book has none of that name.
pub fn aid<'o>(book: &Book, outcome: &'o Outcome, name: &str) -> Option<&'o AidOutcome> {
    outcome.aid.iter().find(|aid| book[aid.aid].name == name)
}

/// Whether two funds' answers differ.
pub fn aid_differs(old: Option<&AidOutcome>, new: Option<&AidOutcome>) -> bool {
    let of = |aid: Option<&AidOutcome>| aid.filter(|aid| aid.state != AidWord::Refused).map(|aid| (aid.state, aid.pays));
    of(old) != of(new)
}

/// Whether the new sum is higher at an end, both being reached.
pub fn dearer(old: &Sum, new: &Sum) -> bool {
    old.exact && new.exact && (new.from > old.from || new.to > old.to)
}
