//! What is counted of all records so far.

use std::collections::BTreeMap;

use purfle_lang::book::{Book, StepId};

use super::super::view::{CountedView, FundView, MoveView, MovedView, RefusedView, SumView, TotalView};
use super::super::words::{self, figure};
use super::compared::{Compared, Money, Names};
use crate::outcome::Range;
use crate::records::Refused;
use crate::report::fault_words;

/// What is counted so far.
pub struct Tally<'a> {
    names: &'a Names<'a>,
    read: u64,
    judged: u64,
    /// How many cost more, and less: now, and if left.
    changed: [[u64; 2]; 2],
    moves: BTreeMap<[StepId; 4], u64>,
    moved: Vec<MovedView>,
    refused: Vec<RefusedView>,
    /// Cost and cost if left, before and after.
    sums: [[Money; 2]; 2],
    /// What each fund pays, before and after.
    funds: [Vec<Money>; 2],
}

impl<'a> Tally<'a> {
    /// Nothing yet.
    pub fn new(names: &'a Names<'a>) -> Self {
        let (sums, changed) = Default::default();
        let none = vec![Money::default(); names.all_funds().count()];
        let funds = [none.clone(), none];
        let (moves, moved, refused) = (BTreeMap::new(), Vec::new(), Vec::new());
        Self { names, read: 0, judged: 0, changed, moves, moved, refused, sums, funds }
    }

    /// A record that both judged.
    pub fn compared(&mut self, Compared { was, now, moved }: Compared) {
        self.read += 1;
        self.judged += 1;
        for (all, added) in self.sums.iter_mut().zip([&was, &now]) {
            for (sum, money) in all.iter_mut().zip(added.sums) {
                *sum += money;
            }
        }
        for (all, added) in self.funds.iter_mut().zip([&was, &now]) {
            all.iter_mut().zip(&added.funds).for_each(|(sum, money)| *sum += *money);
        }
        for ([dearer, cheaper], (old, new)) in self.changed.iter_mut().zip(was.sums.iter().zip(now.sums)) {
            *dearer += u64::from(new.from > old.from || new.to > old.to);
            *cheaper += u64::from(new.from < old.from || new.to < old.to);
        }
        if let Some(moved) = moved {
            if self.steps(true, was.urgency) != self.steps(false, now.urgency) {
                let steps = [was.urgency.from, was.urgency.to, now.urgency.from, now.urgency.to];
                *self.moves.entry(steps).or_default() += 1;
            }
            self.moved.push(moved);
        }
    }

    /// A record that one of the two refused, or both.
    pub fn refused(&mut self, old: Option<&Refused>, new: Option<&Refused>) {
        self.read += 1;
        self.left_out(old, new);
    }

    /// An earlier record that was refused: it is no record of its own, and decides what others are compared with.
    pub fn left_out(&mut self, old: Option<&Refused>, new: Option<&Refused>) {
        let Some(refused) = old.or(new) else { return };
        let why = |refused: &Refused| refused.faults.iter().map(fault_words).collect::<Vec<_>>();
        let (by, why, [old, new]) = match (old, new) {
            (Some(old), Some(new)) => {
                let (old, new) = (why(old), why(new));
                let (both, only_old) = old.into_iter().partition(|one| new.contains(one));
                let both: Vec<String> = both;
                let only_new = new.into_iter().filter(|one| !both.contains(one)).collect();
                ("both", both, [only_old, only_new])
            }
            (Some(_), None) => ("old", why(refused), Default::default()),
            (None, _) => ("new", why(refused), Default::default()),
        };
        self.refused.push(RefusedView {
            by,
            source: refused.source.file.to_string(),
            row: refused.source.row,
            record: refused.record.clone(),
            why,
            old,
            new,
        });
    }

    fn steps(&self, old: bool, range: Range<StepId>) -> String {
        let books = self.names.books();
        words::steps(if old { books.old } else { books.new }, range)
    }

    /// All of it.
    pub fn view(self) -> CountedView {
        let books = self.names.books();
        let mut moves: Vec<(u64, MoveView)> = Vec::new();
        for ([was_from, was_to, now_from, now_to], count) in &self.moves {
            let was = self.steps(true, Range { from: *was_from, to: *was_to });
            let now = self.steps(false, Range { from: *now_from, to: *now_to });
            moves.push((*count, MoveView { was, now, count: *count }));
        }
        moves.sort_by_key(|(count, _)| std::cmp::Reverse(*count));
        let sum = |book: &Book, Money { from, to, bound, more }: Money| SumView {
            from: figure::plain_minor(book, from),
            to: figure::plain_minor(book, to),
            money: book.money.to_string(),
            exact: !bound,
            more,
        };
        let total = |at: usize| TotalView { was: sum(books.old, self.sums[0][at]), now: sum(books.new, self.sums[1][at]) };
        let fund = |(at, (name, [was, now])): (usize, (&str, [bool; 2]))| FundView {
            fund: name.to_owned(),
            was: was.then(|| sum(books.old, self.funds[0][at])),
            now: now.then(|| sum(books.new, self.funds[1][at])),
        };
        let [[dearer, cheaper], [dearer_if_left, cheaper_if_left]] = self.changed;
        CountedView {
            read: self.read,
            judged: self.judged,
            unmoved: self.judged - self.moved.len() as u64,
            dearer,
            cheaper,
            dearer_if_left,
            cheaper_if_left,
            cost: total(0),
            left: total(1),
            funds: self.names.all_funds().enumerate().map(fund).collect(),
            moves: moves.into_iter().map(|(_, view)| view).collect(),
            moved: self.moved,
            refused: self.refused,
        }
    }
}
