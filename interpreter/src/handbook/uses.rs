//! What uses each table and each thing that is worked out.

use purfle_lang::book::{AidId, Book, Condition, CounselId, Finding, FindingId, LookId, RaiseId, ReckonId, TableId, WorkId};
use purfle_lang::resolve::noted::Target;
use purfle_lang::unit::Dimension;
use purfle_lang::wording::{Phrase, Piece, Wording};
use rustc_hash::FxHashMap;

/// Who uses what: each user once, in the order of the handbook.
pub fn uses(book: &Book) -> FxHashMap<Target, Vec<Target>> {
    let mut uses: FxHashMap<Target, Vec<Target>> = FxHashMap::default();
    let words = Wording::new(book);
    let mut note = |user: Target, phrase: &Phrase| {
        for piece in &phrase.0 {
            if let Piece::Named(used @ (Target::Table(_) | Target::Reckon(_)), _) = piece {
                let users = uses.entry(*used).or_default();
                if !users.contains(&user) {
                    users.push(user);
                }
            }
        }
    };
    for (at, look) in book.looks.iter().enumerate() {
        if let Some(good) = &look.good {
            note(Target::Look(LookId::from_index(at)), &words.good(look, good));
        }
        look.only_when.iter().for_each(|only| note(Target::Look(LookId::from_index(at)), &words.sentence(only)));
    }
    for (at, finding) in book.findings.iter().enumerate() {
        let user = Target::Finding(FindingId::from_index(at));
        conditions(finding).for_each(|condition| note(user, &words.sentence(condition)));
        let costs = std::iter::once(&finding.cost).chain(finding.ways.iter().map(|way| &way.cost));
        for goods in costs.flat_map(|cost| &cost.goods) {
            note(user, &words.value(&goods.price, Dimension::MONEY));
        }
    }
    for (at, raise) in book.raises.iter().enumerate() {
        note(Target::Raise(RaiseId::from_index(at)), &words.sentence(&raise.when));
    }
    for (at, counsel) in book.counsels.iter().enumerate() {
        note(Target::Counsel(CounselId::from_index(at)), &words.sentence(&counsel.when));
    }
    for (at, aid) in book.aids.iter().enumerate() {
        aid.who.iter().for_each(|who| note(Target::Aid(AidId::from_index(at)), &words.sentence(who)));
    }
    for (at, work) in book.works.iter().enumerate() {
        note(Target::Work(WorkId::from_index(at)), &words.value(&work.amount, Dimension::TIME));
    }
    for (at, table) in book.tables.iter().enumerate() {
        let user = Target::Table(TableId::from_index(at));
        table.rows.iter().for_each(|row| note(user, &words.value(&row.value, table.dimension)));
    }
    for (at, reckon) in book.reckons.iter().enumerate() {
        note(Target::Reckon(ReckonId::from_index(at)), &words.value(&reckon.value, reckon.dimension));
    }
    uses
}

/// Every condition of a finding.
fn conditions(finding: &Finding) -> impl Iterator<Item = &Condition> {
    let when = finding.urgency.iter().filter_map(|line| line.when.as_ref());
    std::iter::once(&finding.signs).chain(&finding.unless).chain(when)
}
