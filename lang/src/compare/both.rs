//! Two books in one: the findings of the new one beside those of the old one, over the looks that both have.
//!
//! What has one name and one meaning in both is one thing there. So a question about both at once is an ordinary question
//! about a book, and what is the same in both is never asked about.

use super::carry::{Beyond, Carry, Outside, alike, bare};
use super::cost::{self, Dearer, Own};
use super::guarded::Guarded;
use super::money::Money;
use crate::book::{
    Book, Comparison, Condition, Counsel, Finding, FindingId, LookAt, LookId, LookKind, PlaceAt, StepId, Test, UrgencyLine, Value,
};
use crate::number::Number;
use crate::span::Span;

/// Two books in one.
#[derive(Debug)]
pub struct Both<'a> {
    /// The old book.
    pub old: &'a Book,
    /// The new book.
    pub new: &'a Book,
    /// Both: only when findings hold and how grave they are, and nothing else.
    pub book: Book,
    /// Every finding of either, by name: those of the old book in its order, then those that only the new one has.
    pub pairs: Vec<Pair>,
    /// Whether the ladders of urgency have the same names in the same order.
    pub one_ladder: bool,
    /// The step of each of the old ladder's.
    pub old_steps: Vec<StepId>,
    /// The step of each of the new ladder's.
    pub new_steps: Vec<StepId>,
    /// What a record may say by only one of the books.
    pub outside: Vec<Alone>,
    /// Looks of one name that had to be taken for two.
    pub apart: Vec<LookId>,
    /// Looks that apply in other cases by the one book than by the other.
    pub guarded: Vec<LookId>,
    /// Whether every look that both have asks the same, in the same cases, and takes the same for good.
    pub looks_alike: bool,
    /// Counsels that are not written alike, or ask how soon, by name.
    pub counsels: Vec<CounselPair>,
    pub(super) old_money: Money,
    pub(super) new_money: Money,
}

/// What a look takes by one of the books alone.
#[derive(Debug, Clone, Copy)]
pub struct Alone {
    /// The look, in both.
    pub look: LookId,
    /// Whether it is the new book that takes it.
    pub by_new: bool,
    /// The finding of both that holds where a record says it.
    pub said: FindingId,
}

/// A counsel by its name.
#[derive(Debug)]
pub struct CounselPair {
    /// The name.
    pub name: String,
    /// That of the old book among the counsels of both.
    pub old: Option<usize>,
    /// That of the new book.
    pub new: Option<usize>,
    /// What it asks of sums, which no question about cases can answer where they may differ.
    pub sums: Sums,
}

/// What a counsel asks of sums, by either book.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Sums {
    /// What it all costs.
    pub cost: bool,
    /// In which tier that is.
    pub tier: bool,
}

impl Sums {
    /// Whether it asks for any.
    pub fn any(self) -> bool {
        self.cost || self.tier
    }
}

/// A finding by its name.
#[derive(Debug)]
pub struct Pair {
    /// The name.
    pub name: String,
    /// It in the old book, and in both.
    pub old: Option<(FindingId, FindingId)>,
    /// It in the new book, and in both. The same finding there where the two hold in the same cases and are as grave,
    /// by how they are written.
    pub new: Option<(FindingId, FindingId)>,
    /// When its own cost differs.
    pub cost: OwnCost,
    /// The most it costs by itself in either book; none where that is not known.
    pub most: Option<Number>,
}

/// When the own cost of a finding differs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OwnCost {
    /// Never, by what it is made of; or only one book has the finding.
    Same,
    /// Where it holds and these findings of both hold: an end of it is higher, an end of it is lower; nowhere where there
    /// is none.
    Where {
        /// Where an end is higher.
        dearer: Option<FindingId>,
        /// Where an end is lower.
        cheaper: Option<FindingId>,
    },
    /// One of them is known only on sight, and the other is not.
    OnSight,
    /// It hangs on measures, or on too many looks at once.
    NotDecided,
}

impl Pair {
    /// Whether both have it and it holds in the same cases and is as grave, by how it is written.
    pub fn written_alike(&self) -> bool {
        matches!((self.old, self.new), (Some((_, one)), Some((_, other))) if one == other)
    }
}

impl<'a> Both<'a> {
    /// Puts two books into one.
    pub fn new(old: &'a Book, new: &'a Book) -> Self {
        let (both, _) = Self::with(old, new, &Guarded::default());
        if both.apart.is_empty() {
            return both;
        }
        // What applies in other cases is one look all the same, as long as each test can say when it applies.
        let guarded = Guarded::of(old, new, &both.book, &both.apart);
        match guarded.map(|guarded| Self::with(old, new, &guarded)) {
            Some((guarded, said)) if said && guarded.apart.len() < both.apart.len() => guarded,
            _ => both,
        }
    }

    /// The same with these looks and parts taken as one; and whether every test says when they apply.
    fn with(old: &'a Book, new: &'a Book, guarded: &Guarded) -> (Self, bool) {
        let rungs = |book: &Book| book.steps.iter().map(|step| step.name.clone()).collect::<Vec<_>>();
        let one_ladder = rungs(old) == rungs(new);
        let old_steps: Vec<StepId> = (0..old.steps.len()).map(StepId::from_index).collect();
        let first = if one_ladder { 0 } else { old.steps.len() };
        let new_steps: Vec<StepId> = (0..new.steps.len()).map(|at| StepId::from_index(first + at)).collect();
        let mut carry = Carry::new(old, empty(old, new, one_ladder), old_steps.clone(), guarded);
        let in_old = carry.all();
        let before: Vec<Own> = old.findings.iter().map(|finding| cost::of(old, finding, &mut carry)).collect();
        let old_money = Money::of(old, &mut carry);
        let old_looks = carry.carried_looks();
        let old_counsels: Vec<Condition> = old.counsels.iter().map(|counsel| carry.condition(&counsel.when)).collect();
        let mut unsaid = carry.unsaid;
        let mut carry = Carry::new(new, carry.book, new_steps.clone(), guarded);
        let in_new = carry.all();
        let new_counsels: Vec<Condition> = new.counsels.iter().map(|counsel| carry.condition(&counsel.when)).collect();
        let new_money = Money::of(new, &mut carry);
        let looks_alike =
            guarded.is_empty() && carry.outside.is_empty() && carry.apart.is_empty() && alike(&old_looks, &carry.carried_looks());
        let pairs = pairs(old, new, &in_old, &in_new);
        let mut both = Both {
            old,
            new,
            book: empty(old, new, one_ladder),
            pairs,
            one_ladder,
            old_steps,
            new_steps,
            outside: Vec::new(),
            apart: Vec::new(),
            guarded: carry.guarded_looks(),
            looks_alike,
            counsels: Vec::new(),
            old_money,
            new_money,
        };
        for at in 0..both.pairs.len() {
            both.pairs[at].cost = both.own_cost(&mut carry, &before, at);
            both.pairs[at].most = both.most(&mut carry, &before, at);
        }
        unsaid |= carry.unsaid;
        let Carry { book, outside, apart, .. } = carry;
        both.book = book;
        both.apart = apart;
        both.counsels(&old_counsels, &new_counsels);
        for outside in outside {
            both.add_outside(&outside);
        }
        (both, !unsaid)
    }

    /// Whether both have the same counsels, which ask the same.
    pub(super) fn same_counsels(&self) -> bool {
        let when = |at: Option<usize>| self.book.counsels.get(at?).map(|counsel| &counsel.when);
        self.counsels.iter().all(|pair| match (when(pair.old), when(pair.new)) {
            (Some(old), Some(new)) => old == new,
            _ => false,
        })
    }

    /// Whether everything that both have applies in the same cases.
    pub(super) fn applies_alike(&self) -> bool {
        self.apart.is_empty() && self.guarded.is_empty()
    }

    /// Puts the counsels that are not written alike beside each other.
    fn counsels(&mut self, before: &[Condition], after: &[Condition]) {
        let mut names: Vec<&String> = self.old.counsels.iter().map(|counsel| &counsel.name).collect();
        let more: Vec<&String> =
            self.new.counsels.iter().map(|counsel| &counsel.name).filter(|name| !names.contains(name)).collect();
        names.extend(more);
        for name in names {
            let at = |book: &Book| book.counsels.iter().position(|counsel| counsel.name == *name);
            let (old, new) = (at(self.old), at(self.new));
            let (was, now) = (old.and_then(|at| before.get(at)), new.and_then(|at| after.get(at)));
            let asked = || [was, now].into_iter().flatten();
            let totals = asked().any(asks_totals);
            if was == now && !totals {
                continue;
            }
            // How soon is a matter of the findings alone; what it costs is not.
            let tier = |test: &Test| matches!(test, Test::TotalTier { .. });
            let cost = |test: &Test| is_total(test) && !tier(test) && !matches!(test, Test::TotalUrgency { .. });
            let sums = Sums { cost: asked().any(|when| asks(when, &cost)), tier: asked().any(|when| asks(when, &tier)) };
            let mut add = |book: &Book, at: Option<usize>, when: Option<&Condition>| {
                let counsel = Counsel { when: when?.clone(), ..book.counsels.get(at?)?.clone() };
                self.book.counsels.push(counsel);
                Some(self.book.counsels.len() - 1)
            };
            let (old, new) = (add(self.old, old, was), add(self.new, new, now));
            self.counsels.push(CounselPair { name: name.clone(), old, new, sums });
        }
    }

    fn own_cost(&self, carry: &mut Carry<'_>, before: &[Own], at: usize) -> OwnCost {
        let Pair { old: Some((old, in_old)), new: Some((new, in_new)), .. } = self.pairs[at] else { return OwnCost::Same };
        let Some(before) = before.get(old.index()) else { return OwnCost::NotDecided };
        let after = cost::of(self.new, &self.new[new], carry);
        if *before == after && !before.doubtful {
            return OwnCost::Same;
        }
        if before.on_sight != after.on_sight {
            return OwnCost::OnSight;
        }
        let (one, other) = (&carry.book[in_old], &carry.book[in_new]);
        if before.doubtful || after.doubtful || (one.on, one.each) != (other.on, other.each) {
            return OwnCost::NotDecided;
        }
        let finding = one.clone();
        let Some(Dearer { dearer, cheaper }) = cost::compared(&mut carry.book, &finding, before, &after) else {
            return OwnCost::NotDecided;
        };
        let mut add = |signs: Option<Condition>| signs.map(|signs| add(&mut carry.book, Finding { signs, ..plain(&finding) }));
        match (add(dearer), add(cheaper)) {
            (None, None) => OwnCost::Same,
            (dearer, cheaper) => OwnCost::Where { dearer, cheaper },
        }
    }

    /// The most that a finding costs by itself in either book.
    fn most(&self, carry: &mut Carry<'_>, before: &[Own], at: usize) -> Option<Number> {
        let Pair { old, new, .. } = self.pairs[at];
        let mut most = Number::from_integer(0);
        if let Some((old, in_both)) = old {
            most = most.max(cost::most(&carry.book, &carry.book[in_both], before.get(old.index())?)?);
        }
        if let Some((new, in_both)) = new {
            let own = cost::of(self.new, &self.new[new], carry);
            most = most.max(cost::most(&carry.book, &carry.book[in_both], &own)?);
        }
        Some(most)
    }

    fn add_outside(&mut self, Outside { look, carried, what }: &Outside) {
        let (look, by_new) = (*look, *carried);
        let part = self.book[look].part;
        let each = self.book[part].repeats();
        let at = LookAt { look, place: if each { PlaceAt::Here } else { PlaceAt::Single } };
        let test = |test: Test| Condition::Test(test, Span::default());
        let compared = |comparison, limit: &Number| test(Test::Compare(comparison, Value::Look(at), Value::Number(*limit)));
        let signs = match what {
            Beyond::Choices(choices) if matches!(self.book[look].kind, LookKind::SomeOf(_)) => {
                test(Test::HasAny { look: at, choices: choices.clone() })
            }
            Beyond::Choices(choices) => test(Test::IsOneOf { look: at, choices: choices.clone(), not: false }),
            Beyond::Below(least) => compared(Comparison::Below, least),
            Beyond::Above(most) => compared(Comparison::Above, most),
        };
        let Some(like) = self.book.findings.first().map(plain) else { return };
        let finding = Finding { on: part, each, signs, ..like };
        self.outside.push(Alone { look, by_new, said: add(&mut self.book, finding) });
    }
}

impl Carry<'_> {
    /// Everything a record may say, and every finding.
    fn all(&mut self) -> Vec<FindingId> {
        let book = self.from();
        for part in &book.parts {
            for look in &part.looks {
                self.look(*look);
            }
        }
        (0..book.findings.len()).map(|at| self.finding(FindingId::from_index(at))).collect()
    }
}

fn pairs(old: &Book, new: &Book, in_old: &[FindingId], in_new: &[FindingId]) -> Vec<Pair> {
    let at = |book: &Book, there: &[FindingId], name: &str| {
        let id = book.find_finding(name)?;
        Some((id, *there.get(id.index())?))
    };
    let mut pairs = Vec::new();
    for finding in &old.findings {
        let name = finding.name.clone();
        pairs.push(Pair { old: at(old, in_old, &name), new: at(new, in_new, &name), cost: OwnCost::Same, most: None, name });
    }
    for finding in new.findings.iter().filter(|finding| old.find_finding(&finding.name).is_none()) {
        let name = finding.name.clone();
        pairs.push(Pair { old: None, new: at(new, in_new, &name), cost: OwnCost::Same, most: None, name });
    }
    pairs
}

/// A book with the steps of both ladders and nothing else that a condition asks for.
fn empty(old: &Book, new: &Book, one_ladder: bool) -> Book {
    let steps = if one_ladder { old.steps.clone() } else { old.steps.iter().chain(&new.steps).cloned().collect() };
    Book {
        name: old.name.clone(),
        hands: old.hands.clone(),
        tiers: old.tiers.clone(),
        least_charge: old.least_charge,
        steps,
        ..Book::blank(old.money)
    }
}

/// A finding on the same part that always holds there.
fn plain(like: &Finding) -> Finding {
    let line = UrgencyLine { step: StepId(0), when: None, span: Span::default() };
    Finding { signs: Condition::All(Vec::new()), unless: Vec::new(), urgency: vec![line], ..bare(like) }
}

/// Adds a finding of no name.
pub(super) fn add(book: &mut Book, finding: Finding) -> FindingId {
    let at = FindingId::from_index(book.findings.len());
    book.findings.push(Finding { name: String::new(), ..finding });
    at
}

/// Whether a condition asks for the totals of an outcome.
pub(super) fn asks_totals(condition: &Condition) -> bool {
    asks(condition, &is_total)
}

fn asks(condition: &Condition, wanted: &dyn Fn(&Test) -> bool) -> bool {
    match condition {
        Condition::All(inner) | Condition::Any(inner) | Condition::AtLeast(_, inner) => inner.iter().any(|one| asks(one, wanted)),
        Condition::Not(inner) | Condition::Places { with: inner, .. } => asks(inner, wanted),
        Condition::Found(..) => false,
        Condition::Test(test, _) => wanted(test),
    }
}

fn is_total(test: &Test) -> bool {
    match test {
        Test::TotalUrgency { .. } | Test::TotalTier { .. } => true,
        Test::Compare(_, left, right) => has_total(left) || has_total(right),
        Test::Between(value, low, high) => has_total(value) || has_total(low) || has_total(high),
        Test::IsOneOf { .. } | Test::HasAny { .. } | Test::NoDate { .. } | Test::PlaceIs { .. } => false,
    }
}

fn has_total(value: &Value) -> bool {
    match value {
        Value::TotalCost => true,
        Value::Arithmetic(_, left, right)
        | Value::Lower(left, right)
        | Value::Higher(left, right)
        | Value::DaysFrom(left, right) => has_total(left) || has_total(right),
        Value::Negative(inner) => has_total(inner),
        Value::Formula(_, all) => all.iter().any(has_total),
        Value::Number(_)
        | Value::Range(..)
        | Value::Date(_)
        | Value::Look(_)
        | Value::Last(_)
        | Value::InspectedOn
        | Value::Table(_)
        | Value::Reckon(_) => false,
    }
}
