//! Changes to findings: when they hold, how grave they are, whose hands, what they cost and what becomes of them.

use purfle_lang::book::{Book, Condition, Cost, Finding, FindingId, HandId, StepId};
use purfle_lang::span::Span;
use purfle_lang::syntax::tree::Kind;
use purfle_lang::unit::Dimension;

use super::conditions::{Variant, variants};
use super::limits::{Scale, amounts};
use super::places::Texts;
use super::{Change, Edit, Reach};

/// All changes to all findings.
pub fn changes(book: &Book, texts: &Texts<'_>) -> Vec<Change> {
    let mut made = Vec::new();
    for (at, finding) in book.findings.iter().enumerate() {
        let id = FindingId::from_index(at);
        let mut maker = Maker { book, texts, id, finding, made: &mut made };
        maker.holding();
        maker.urgency();
        maker.figures();
    }
    made
}

/// The counted cost of a finding, to be changed.
fn cost(finding: &mut Finding) -> &mut Cost {
    match finding.ways.first_mut() {
        Some(way) => &mut way.cost,
        None => &mut finding.cost,
    }
}

struct Maker<'a> {
    book: &'a Book,
    texts: &'a Texts<'a>,
    id: FindingId,
    finding: &'a Finding,
    made: &'a mut Vec<Change>,
}

impl Maker<'_> {
    fn add(
        &mut self,
        place: Span,
        says: String,
        notice: String,
        reach: Reach,
        edit: impl Fn(&mut Finding) + Send + Sync + 'static,
    ) {
        let id = self.id;
        let edit: Edit = Box::new(move |book| edit(&mut book.findings[id.index()]));
        self.made.push(Change { item: format!("finding {}", self.finding.name), place, says, notice, reach, edit });
    }

    fn add_holding(&mut self, place: Span, says: String, edit: impl Fn(&mut Finding) + Send + Sync + 'static) {
        let name = &self.finding.name;
        let notice = format!("where {name} holds or not, or is more or less grave, by just this");
        self.add(place, says, notice, Reach::Holding(self.id), edit);
    }

    /// Where a clause of the finding, or of its first way, stands.
    fn clause(&self, word: &str, nth: usize) -> Span {
        let name = &self.finding.name;
        let way = self.finding.ways.first().and_then(|way| self.texts.way_clause(name, &way.name, word, nth));
        way.or_else(|| self.texts.clause(Kind::Finding, name, word, nth)).unwrap_or(self.finding.origin.span)
    }

    fn holding(&mut self) {
        let finding = self.finding;
        self.add_holding(finding.origin.span, "is never found".to_owned(), |finding| finding.signs = Condition::Any(Vec::new()));
        for Variant { condition, span, says } in variants(self.book, &finding.signs) {
            self.add_holding(span, says, move |finding| finding.signs = condition.clone());
        }
        for (at, unless) in finding.unless.iter().enumerate() {
            let place = self.clause("unless", at);
            self.add_holding(place, "left out".to_owned(), move |finding| drop(finding.unless.remove(at)));
            for Variant { condition, span, says } in variants(self.book, unless) {
                self.add_holding(span, says, move |finding| finding.unless[at] = condition.clone());
            }
        }
    }

    fn urgency(&mut self) {
        let finding = self.finding;
        for (at, line) in finding.urgency.iter().enumerate() {
            let steps = [line.step.index().checked_sub(1), Some(line.step.index() + 1)];
            for step in steps.into_iter().flatten().filter(|step| *step < self.book.steps.len()).map(StepId::from_index) {
                let says = format!("`{}` instead of `{}`", self.book[step].name, self.book[line.step].name);
                self.add_holding(line.span, says, move |finding| finding.urgency[at].step = step);
            }
            let Some(when) = &line.when else { continue };
            self.add_holding(line.span, "without its `if`".to_owned(), move |finding| finding.urgency[at].when = None);
            for Variant { condition, span, says } in variants(self.book, when) {
                self.add_holding(span, says, move |finding| finding.urgency[at].when = Some(condition.clone()));
            }
        }
    }

    fn figures(&mut self) {
        let (book, finding, id) = (self.book, self.finding, self.id);
        let reach = Reach::Figures(vec![id]);
        let found = |line: &str| format!("in which {} is found, with {line}", finding.name);
        let hand = finding.counted_hands();
        for new in
            [hand.index().checked_sub(1), Some(hand.index() + 1)].into_iter().flatten().filter(|new| *new < book.hands.len())
        {
            let new = HandId::from_index(new);
            let says = format!("`{}` instead of `{}`", book[new].name, book[hand].name);
            let notice = format!("in which {} is found and nothing else asks for such hands, with a `hands` line", finding.name);
            self.add(self.clause("hands", 0), says, notice, reach.clone(), move |finding| match finding.ways.first_mut() {
                Some(way) => way.hands = new,
                None => finding.hands = new,
            });
        }
        let counted = finding.counted_cost();
        for (at, work) in counted.work.iter().enumerate() {
            // A step that another one of this finding does as well, in the same place, costs nothing by itself.
            let included =
                |other: &&purfle_lang::book::WorkId| (book[**other].once || !book[*work].once) && book.includes(**other, *work);
            if counted.work.iter().any(|other| included(&other)) {
                continue;
            }
            let says = format!("without `{}`", book[*work].name);
            self.add(self.clause("work", 0), says, found("a `cost` line"), reach.clone(), move |finding| {
                cost(finding).work.remove(at);
            });
        }
        let money = Scale::of(book, Dimension::MONEY);
        for (at, goods) in counted.goods.iter().enumerate() {
            let place = self.clause("goods", at);
            for (price, says) in amounts(&goods.price, &money) {
                self.add(place, says, found("a `cost` line"), reach.clone(), move |finding| {
                    cost(finding).goods[at].price = price.clone();
                });
            }
        }
        for (at, arrow) in finding.becomes.iter().enumerate() {
            let notice = found("a `left` line");
            self.add(arrow.span, "left out".to_owned(), notice, reach.clone(), move |finding| {
                finding.becomes.remove(at);
            });
        }
        // Where both are found, work that the other one asks for at the same place as well is not paid twice anyhow.
        let same_work = |other: &Finding| {
            let asked = &other.counted_cost().work;
            let same_place = other.on == finding.on && other.each == finding.each;
            counted.goods.is_empty() && counted.work.iter().all(|work| asked.contains(work) && (same_place || book[*work].once))
        };
        for (at, other) in finding.yields_to.iter().enumerate().filter(|(_, other)| !same_work(&book[**other])) {
            let says = format!("`{}` left out", book[*other].name);
            let notice = format!("in which {} and {} are both found, with a `cost` line", finding.name, book[*other].name);
            let place = self.clause("yields to", 0);
            self.add(place, says, notice, reach.clone(), move |finding| {
                finding.yields_to.remove(at);
            });
        }
    }
}
