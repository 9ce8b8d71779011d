//! A book with one finding and what hangs together with it, and nothing else, so that it is quick to judge by.
//!
//! When a finding holds and how grave it is come out of the slice as they do of the whole book. What anything costs does
//! not: a slice has no prices.

use std::collections::BTreeSet;

use purfle_lang::book::{Book, Condition, Cost, Finding, FindingId, Good, LookId};

use crate::rehearse::reads::Reads;

/// One finding's slice of a book.
pub struct Slice {
    /// The findings that the finding at hand can change: itself, and those that ask for it.
    pub affected: BTreeSet<FindingId>,
    /// The looks that decide them, and those that decide whether these apply.
    pub looks: BTreeSet<LookId>,
    /// Whether what a record brings along decides them as well: its date, the record before.
    pub brings: bool,
    /// The book cut down.
    pub book: Book,
}

impl Slice {
    /// The slice around a finding.
    pub fn around(book: &Book, finding: FindingId) -> Self {
        let all = || (0..book.findings.len()).map(FindingId::from_index);
        let asks: Vec<Reads> = all().map(|id| reads_of(book, &book[id])).collect();
        let mut affected = BTreeSet::from([finding]);
        while let Some(next) =
            all().find(|id| !affected.contains(id) && asks[id.index()].found.iter().any(|f| affected.contains(f)))
        {
            affected.insert(next);
        }
        let kept = needed(affected.clone(), &asks);
        let (looks, brings) = looks(book, &kept, &asks);
        Self { book: cut(book, &kept), affected, looks, brings }
    }

    /// The slice in which nothing but whether a finding holds comes out as it does of the whole book: what it asks for
    /// is kept, and how grave it is is not.
    pub fn holding(book: &Book, finding: FindingId) -> Self {
        Self::holding_with(book, finding, &[])
    }

    /// The same of several findings.
    pub fn holding_any(book: &Book, findings: &[FindingId]) -> Self {
        Self::keeping(book, findings, findings.to_vec())
    }

    /// The same of one, and what other conditions ask for is kept as well.
    pub fn holding_with(book: &Book, finding: FindingId, others: &[&Condition]) -> Self {
        let mut waiting = vec![finding];
        for other in others {
            let mut reads = Reads::default();
            reads.condition(book, other);
            waiting.extend(reads.found);
        }
        Self::keeping(book, &[finding], waiting)
    }

    fn keeping(book: &Book, affected: &[FindingId], mut waiting: Vec<FindingId>) -> Self {
        let mut asks: Vec<Reads> = vec![Reads::default(); book.findings.len()];
        let mut kept = BTreeSet::new();
        while let Some(id) = waiting.pop() {
            if kept.insert(id) {
                let finding = &book[id];
                let conditions = std::iter::once(&finding.signs).chain(&finding.unless);
                conditions.for_each(|condition| asks[id.index()].condition(book, condition));
                waiting.extend(&asks[id.index()].found);
            }
        }
        let mut book = cut(book, &kept);
        book.raises.clear();
        book.findings.iter_mut().for_each(|finding| finding.urgency.retain(|line| line.when.is_none()));
        let (looks, brings) = looks(&book, &kept, &asks);
        Self { affected: affected.iter().copied().collect(), looks, brings, book }
    }
}

/// These findings and all that they ask for.
fn needed(mut kept: BTreeSet<FindingId>, asks: &[Reads]) -> BTreeSet<FindingId> {
    while let Some(next) = kept.iter().flat_map(|id| &asks[id.index()].found).find(|id| !kept.contains(id)).copied() {
        kept.insert(next);
    }
    kept
}

/// What a finding's conditions read.
pub fn reads_of(book: &Book, finding: &Finding) -> Reads {
    let mut reads = Reads::default();
    let when = finding.urgency.iter().flat_map(|line| &line.when);
    std::iter::once(&finding.signs).chain(&finding.unless).chain(when).for_each(|condition| reads.condition(book, condition));
    reads
}

/// The looks that decide these findings, and whether what a record brings along does.
fn looks(book: &Book, kept: &BTreeSet<FindingId>, asks: &[Reads]) -> (BTreeSet<LookId>, bool) {
    let mut looks = BTreeSet::new();
    let mut brings = false;
    let mut waiting: Vec<LookId> = Vec::new();
    let mut take = |reads: &Reads, waiting: &mut Vec<LookId>| {
        brings |= reads.brings;
        waiting.extend(reads.looks.iter().chain(&reads.keys).map(|at| at.look));
    };
    let read = |condition: &Condition| {
        let mut reads = Reads::default();
        reads.condition(book, condition);
        reads
    };
    for id in kept {
        take(&asks[id.index()], &mut waiting);
        let on = book[*id].on;
        let raises = book.raises.iter().filter(|raise| raise.on.contains(&on)).map(|raise| &raise.when);
        let places = book[on].fixed_places().iter().flat_map(|place| &place.only_when);
        raises.chain(&book[on].only_when).chain(places).for_each(|when| take(&read(when), &mut waiting));
    }
    while let Some(look) = waiting.pop() {
        if !looks.insert(look) {
            continue;
        }
        let (look, part) = (&book[look], &book[book[look].part]);
        let places = part.fixed_places().iter().flat_map(|place| &place.only_when);
        look.only_when.iter().chain(&part.only_when).chain(places).for_each(|when| take(&read(when), &mut waiting));
        if let Some(Good::Range(value)) = &look.good {
            let mut reads = Reads::default();
            reads.value(book, value);
            take(&reads, &mut waiting);
        }
    }
    (looks, brings)
}

/// The book without prices, advice and words, and without signs for the findings that are not kept.
fn cut(book: &Book, kept: &BTreeSet<FindingId>) -> Book {
    let mut cut = bare(book);
    cut.least_charge = None;
    cut.counsels.clear();
    cut.aids.clear();
    cut.raises.retain(|raise| kept.iter().any(|id| raise.on.contains(&book[*id].on)));
    for (at, finding) in cut.findings.iter_mut().enumerate() {
        finding.cost = Cost::default();
        finding.ways.clear();
        finding.becomes.clear();
        finding.yields_to.clear();
        if !kept.contains(&FindingId::from_index(at)) {
            finding.signs = Condition::Any(Vec::new());
            finding.unless.clear();
            finding.urgency.retain(|line| line.when.is_none());
        }
    }
    cut
}

/// The book without what changes no outcome.
pub fn bare(book: &Book) -> Book {
    let mut bare = book.clone();
    bare.examples.clear();
    bare.inherited_examples.clear();
    for finding in &mut bare.findings {
        for words in [&mut finding.first, &mut finding.tell, &mut finding.refer, &mut finding.care, &mut finding.basis] {
            words.clear();
        }
        finding.origin = Default::default();
    }
    bare
}
