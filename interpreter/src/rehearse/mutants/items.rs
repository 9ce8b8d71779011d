//! Changes to what is no finding: bench steps, tables, rates, raises, counsels, funds, and when looks apply.

use num_traits::CheckedAdd;
use purfle_lang::book::{
    Aid, AidId, Book, Condition, CounselId, FindingId, Good, PartId, RaiseId, StepId, TableId, Value, WorkId,
};
use purfle_lang::number::{Number, format_decimal};
use purfle_lang::span::Span;
use purfle_lang::syntax::tree::Kind;
use purfle_lang::unit::Dimension;

use super::conditions::{Variant, variants};
use super::limits::{Moved, Scale, amounts, limits};
use super::places::Texts;
use super::{Change, Reach};
use crate::rehearse::reads::Reads;

/// All changes to everything but findings.
pub fn changes(book: &Book, texts: &Texts<'_>) -> Vec<Change> {
    let mut maker = Maker { book, texts, made: Vec::new() };
    maker.works();
    maker.tables();
    maker.rates();
    maker.raises();
    maker.counsels();
    maker.aids();
    maker.applying();
    maker.made
}

struct Maker<'a> {
    book: &'a Book,
    texts: &'a Texts<'a>,
    made: Vec<Change>,
}

impl Maker<'_> {
    fn add(
        &mut self,
        item: &str,
        place: Span,
        says: String,
        notice: &str,
        reach: Reach,
        edit: impl Fn(&mut Book) + Send + Sync + 'static,
    ) {
        let (item, notice) = (item.to_owned(), notice.to_owned());
        self.made.push(Change { item, place, says, notice, reach, edit: Box::new(edit) });
    }

    /// Findings whose counted cost has a value that fulfils this.
    fn priced(&self, of: impl Fn(&Value) -> bool) -> Vec<FindingId> {
        let costs = |id: &FindingId| {
            let cost = self.book[*id].counted_cost();
            cost.work.iter().any(|work| of(&self.book[*work].amount)) || cost.goods.iter().any(|goods| of(&goods.price))
        };
        (0..self.book.findings.len()).map(FindingId::from_index).filter(costs).collect()
    }

    fn works(&mut self) {
        let book = self.book;
        for (at, work) in book.works.iter().enumerate() {
            let id = WorkId::from_index(at);
            let uses = |finding: &FindingId| {
                book[*finding].counted_cost().work.iter().any(|used| *used == id || book.includes(*used, id))
            };
            let users: Vec<FindingId> = (0..book.findings.len()).map(FindingId::from_index).filter(uses).collect();
            let scale = Scale::of(book, if work.timed { Dimension::TIME } else { Dimension::MONEY });
            let place = self.texts.head(Kind::Work, &work.name).unwrap_or(work.origin.span);
            // What no finding needs costs nobody anything.
            let direct: Vec<FindingId> =
                users.iter().copied().filter(|finding| book[*finding].counted_cost().work.contains(&id)).collect();
            let Some(first) = direct.first() else { continue };
            let notice = format!("in which {} is found, with a `cost` line", book[*first].name);
            for (amount, says) in amounts(&work.amount, &scale) {
                let reach = Reach::Figures(users.clone());
                self.add(&format!("work {}", work.name), place, says, &notice, reach, move |book| {
                    book.works[at].amount = amount.clone();
                });
            }
        }
    }

    fn tables(&mut self) {
        let book = self.book;
        let mut reads = Reads::default();
        for finding in &book.findings {
            let when = finding.urgency.iter().flat_map(|line| &line.when);
            std::iter::once(&finding.signs).chain(&finding.unless).chain(when).for_each(|when| reads.condition(book, when));
        }
        book.raises.iter().for_each(|raise| reads.condition(book, &raise.when));
        book.counsels.iter().for_each(|counsel| reads.condition(book, &counsel.when));
        book.aids.iter().flat_map(|aid| &aid.who).for_each(|who| reads.condition(book, who));
        for look in &book.looks {
            if let Some(Good::Range(value)) = &look.good {
                reads.value(book, value);
            }
        }
        for (at, table) in book.tables.iter().enumerate() {
            let id = TableId::from_index(at);
            let users = self.priced(|value| {
                let mut reads = Reads::default();
                reads.value(book, value);
                reads.tables.contains(&id)
            });
            let limit = reads.tables.contains(&id);
            if users.is_empty() && !limit {
                continue;
            }
            let scale = Scale::of(book, table.dimension);
            for (row, written) in table.rows.iter().enumerate() {
                let place = self.texts.row(book, id, row).unwrap_or(table.origin.span);
                let moved: Vec<Moved> = if limit { limits(&written.value, &scale) } else { amounts(&written.value, &scale) };
                let notice = match limit {
                    true => "that reads this row, close to its limit",
                    false => "that reads this row, with a `cost` line",
                };
                for (value, says) in moved {
                    let reach = if limit { Reach::Row(id, row) } else { Reach::Figures(users.clone()) };
                    self.add(&format!("table {}", table.name), place, says, notice, reach, move |book| {
                        book.tables[at].rows[row].value = value.clone();
                    });
                }
            }
        }
    }

    fn rates(&mut self) {
        let book = self.book;
        let money = Scale::of(book, Dimension::MONEY);
        let all = || Reach::Figures((0..book.findings.len()).map(FindingId::from_index).collect());
        let next = |number: Number| number.checked_add(&Number::from_integer(1)).unwrap_or(number);
        let says = |new: Number, old: Number| format!("{} instead of {}", money.written(new), money.written(old));
        if let Some(least) = book.least_charge {
            let place = self.texts.clause(Kind::Rulebook, "", "least charge", 0).unwrap_or_default();
            let new = next(least);
            let notice = "with a `cost` line in which the work comes to less than the least charge";
            self.add("rulebook", place, says(new, least), notice, all(), move |book| book.least_charge = Some(new));
            self.add("rulebook", place, "left out".to_owned(), notice, all(), |book| book.least_charge = None);
        }
        for (at, hand) in book.hands.iter().enumerate() {
            let Some(rate) = hand.rate else { continue };
            let place = self.texts.head(Kind::Hand, &hand.name).unwrap_or(hand.origin.span);
            let new = next(rate);
            let notice = "in which this hand has work, with a `cost` line";
            self.add("hands", place, says(new, rate), notice, all(), move |book| book.hands[at].rate = Some(new));
        }
    }

    fn raises(&mut self) {
        let book = self.book;
        for (at, raise) in book.raises.iter().enumerate() {
            let item = format!("raise {}", book[RaiseId::from_index(at)].name);
            let reach = || Reach::Parts(raise.on.clone());
            let place = self.texts.clause(Kind::Raise, &raise.name, "by", 0).unwrap_or(raise.origin.span);
            let notice = "in which this raise lifts a finding, with `at STEP` or an `urgency` line";
            for by in [raise.by.saturating_sub(1), raise.by + 1].into_iter().filter(|by| *by > 0) {
                let says = format!("{by} steps instead of {}", raise.by);
                self.add(&item, place, says, notice, reach(), move |book| book.raises[at].by = by);
            }
            let caps = [raise.cap.index().checked_sub(1), Some(raise.cap.index() + 1)];
            for cap in caps.into_iter().flatten().filter(|cap| *cap < book.steps.len()).map(StepId::from_index) {
                let says = format!("no higher than `{}` instead of `{}`", book[cap].name, book[raise.cap].name);
                self.add(&item, place, says, notice, reach(), move |book| book.raises[at].cap = cap);
            }
            let place = self.texts.clause(Kind::Raise, &raise.name, "on", 0).unwrap_or(raise.origin.span);
            for (which, part) in raise.on.iter().enumerate().filter(|_| raise.on.len() > 1) {
                let says = format!("without `{}`", book[*part].name);
                self.add(&item, place, says, notice, Reach::Parts(vec![*part]), move |book| {
                    book.raises[at].on.remove(which);
                });
            }
            for Variant { condition, span, says } in variants(book, &raise.when) {
                self.add(&item, span, says, notice, reach(), move |book| book.raises[at].when = condition.clone());
            }
        }
    }

    fn counsels(&mut self) {
        let book = self.book;
        for (at, counsel) in book.counsels.iter().enumerate() {
            let item = format!("counsel {}", counsel.name);
            let reach = Reach::Counsel(CounselId::from_index(at));
            let notice = format!("with `counsel {}`, where it turns on just this", counsel.name);
            let never = "is never given".to_owned();
            self.add(&item, counsel.origin.span, never, &notice, reach.clone(), move |book| {
                book.counsels[at].when = Condition::Any(Vec::new());
            });
            for Variant { condition, span, says } in variants(book, &counsel.when) {
                self.add(&item, span, says, &notice, reach.clone(), move |book| book.counsels[at].when = condition.clone());
            }
        }
    }

    fn aids(&mut self) {
        let book = self.book;
        for (at, aid) in book.aids.iter().enumerate() {
            let item = format!("aid {}", aid.name);
            let reach = Reach::Aid(AidId::from_index(at));
            let notice = format!("with `aid {}`, where it turns on just this", aid.name);
            let texts = self.texts;
            let place = |word: &str, nth: usize| texts.clause(Kind::Aid, &aid.name, word, nth).unwrap_or(aid.origin.span);
            for Variant { condition, span, says } in aid.who.iter().flat_map(|who| variants(book, who)) {
                let edit = move |book: &mut Book| book.aids[at].who = Some(condition.clone());
                self.add(&item, span, says, &notice, reach.clone(), edit);
            }
            let money = Scale::of(book, Dimension::MONEY);
            let mut number = |place: Span, old: Number, set: fn(&mut Aid, Number)| {
                for (new, says) in limits(&Value::Number(old), &money) {
                    let Value::Number(new) = new else { continue };
                    self.add(&item, place, says, &notice, reach.clone(), move |book| set(&mut book.aids[at], new));
                }
            };
            if let Some(above) = aid.covers_above {
                number(place("covers", 0), above, |aid, new| aid.covers_above = Some(new));
            }
            for (which, covered) in aid.covers.iter().enumerate() {
                let says = format!("without `{}`", book[*covered].name);
                let nth = usize::from(aid.covers_above.is_some());
                self.add(&item, place("covers", nth), says, &notice, reach.clone(), move |book| {
                    book.aids[at].covers.remove(which);
                });
            }
            for (which, need) in aid.needs.iter().enumerate() {
                let says = format!("without `{}`", book.look_path(*need));
                self.add(&item, place("needs", 0), says, &notice, reach.clone(), move |book| {
                    book.aids[at].needs.remove(which);
                });
            }
            if let Some((share, look)) = aid.not_beyond {
                let new = share + Number::new(1, 100);
                let percent = |share: Number| format_decimal(share * Number::from_integer(100));
                let says = format!("{} % instead of {} %", percent(new), percent(share));
                self.add(&item, place("not beyond", 0), says, &notice, reach.clone(), move |book| {
                    book.aids[at].not_beyond = Some((new, look));
                });
            }
        }
    }

    /// When parts, places and looks are there at all.
    fn applying(&mut self) {
        let book = self.book;
        let notice = "that says something of it where it does not apply, and is `refused`, or nothing where it does";
        for (at, part) in book.parts.iter().enumerate() {
            let item = format!("part {}", book[PartId::from_index(at)].name);
            for Variant { condition, span, says } in part.only_when.iter().flat_map(|when| variants(book, when)) {
                self.add(&item, span, says, notice, Reach::Everything, move |book| {
                    book.parts[at].only_when = Some(condition.clone());
                });
            }
            for (which, place) in part.fixed_places().iter().enumerate() {
                for Variant { condition, span, says } in place.only_when.iter().flat_map(|when| variants(book, when)) {
                    self.add(&item, span, says, notice, Reach::Everything, move |book| {
                        if let purfle_lang::book::Places::Fixed(places) = &mut book.parts[at].places {
                            places[which].only_when = Some(condition.clone());
                        }
                    });
                }
            }
        }
        for (at, look) in book.looks.iter().enumerate() {
            let item = format!("part {}", book[look.part].name);
            for Variant { condition, span, says } in look.only_when.iter().flat_map(|when| variants(book, when)) {
                self.add(&item, span, says, notice, Reach::Everything, move |book| {
                    book.looks[at].only_when = Some(condition.clone());
                });
            }
        }
    }
}
