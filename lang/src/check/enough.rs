//! How many places as found it takes to be sure that nothing more can happen where there are more of them.
//!
//! A case that meets a condition still meets it when places are taken away, but for those that the condition needs:
//! the one that `any` speaks of, the three of `at least 3`, the one at which `every` fails. So what never happens with
//! as many places as a condition needs never happens at all.

use crate::book::{Book, Condition, Count, Finding, PartId, Places};

/// The most places that are written out for the sake of a proof; what needs more is not claimed.
const MOST: u32 = 6;

/// How many places each part as found needs, by the part's index.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Needs(Vec<u32>);

impl Needs {
    /// None at all.
    pub fn nothing(book: &Book) -> Self {
        Self(vec![0; book.parts.len()])
    }

    /// Both at once.
    pub fn and(mut self, other: &Needs) -> Self {
        self.0.iter_mut().zip(&other.0).for_each(|(here, there)| *here = here.saturating_add(*there));
        self
    }

    /// Either of them.
    pub fn or(mut self, other: &Needs) -> Self {
        self.0.iter_mut().zip(&other.0).for_each(|(here, there)| *here = (*here).max(*there));
        self
    }

    fn times(mut self, count: u32) -> Self {
        self.0.iter_mut().for_each(|here| *here = here.saturating_mul(count));
        self
    }

    fn place(mut self, book: &Book, part: PartId, count: u32) -> Self {
        if matches!(book[part].places, Places::AsFound) {
            self.0[part.index()] = self.0[part.index()].saturating_add(count);
        }
        self
    }

    /// Places to write out for a part, where a record that says nothing of it stands for so many.
    pub fn places(&self, part: PartId, unnamed: u32) -> u32 {
        self.0[part.index()].min(MOST).max(unnamed)
    }

    /// Whether so many places of each part are enough.
    pub fn fit(&self, places: impl Fn(PartId) -> u32) -> bool {
        (0..self.0.len()).map(PartId::from_index).all(|part| self.0[part.index()] <= places(part))
    }
}

/// What it takes that a condition is met, or that it is not.
pub fn condition(book: &Book, condition: &Condition, met: bool) -> Needs {
    let inner = |all: &[Condition], every: bool| {
        all.iter().fold(Needs::nothing(book), |needs, one| {
            let one = self::condition(book, one, met);
            if every { needs.and(&one) } else { needs.or(&one) }
        })
    };
    match condition {
        Condition::All(all) => inner(all, met),
        Condition::Any(all) => inner(all, !met),
        Condition::AtLeast(_, all) => inner(all, true),
        Condition::Not(one) => self::condition(book, one, !met),
        Condition::Test(..) => Needs::nothing(book),
        Condition::Found(finding, _) => {
            let finding = &book[*finding];
            holds(book, finding, met)
        }
        Condition::Places { count, part, with, .. } => {
            let count = match (count, met) {
                (Count::Any, true) | (Count::No, false) | (Count::Every, _) => 1,
                (Count::AtLeast(least), true) => *least,
                (Count::Any, false) | (Count::No, true) | (Count::AtLeast(_), false) => 0,
            };
            // What stands within may itself ask for places, whichever way it comes out.
            let within = self::condition(book, with, true).or(&self::condition(book, with, false));
            within.times(count.max(2)).place(book, *part, count)
        }
    }
}

/// What it takes that a finding holds, or that it does not.
pub fn holds(book: &Book, finding: &Finding, holds: bool) -> Needs {
    let signs = condition(book, &finding.signs, holds);
    let own = if finding.each && holds { 1 } else { 0 };
    let needs = finding.unless.iter().fold(signs, |needs, unless| {
        let unless = condition(book, unless, !holds);
        if holds { needs.and(&unless) } else { needs.or(&unless) }
    });
    needs.place(book, finding.on, own)
}

/// What it takes that the signs of a finding and one of its `unless` are met together.
pub fn let_off(book: &Book, finding: &Finding) -> Needs {
    let any = finding.unless.iter().fold(Needs::nothing(book), |any, unless| any.or(&condition(book, unless, true)));
    any.and(&condition(book, &finding.signs, true)).place(book, finding.on, u32::from(finding.each))
}

/// What it takes to say of a finding how grave it is: its lines and the raises that hit it, each either way.
pub fn step(book: &Book, finding: &Finding) -> Needs {
    let lines = finding.urgency.iter().filter_map(|line| line.when.as_ref());
    let raises = book.raises.iter().filter(|raise| raise.on.contains(&finding.on)).map(|raise| &raise.when);
    lines
        .chain(raises)
        .fold(Needs::nothing(book), |needs, when| needs.and(&condition(book, when, true).or(&condition(book, when, false))))
}

/// What it takes that a finding does not hold at a place that is there.
pub fn at_one_place(book: &Book, finding: &Finding) -> Needs {
    let own = Needs::nothing(book).place(book, finding.on, u32::from(finding.each));
    own.and(&holds(book, finding, false))
}

/// What every claim about a single item of the book takes.
pub fn of_each_item(book: &Book) -> Needs {
    let mut all = Needs::nothing(book);
    for finding in &book.findings {
        all = all.or(&holds(book, finding, true).and(&step(book, finding))).or(&at_one_place(book, finding));
        all = all.or(&let_off(book, finding));
    }
    let whens = book.raises.iter().map(|raise| &raise.when).chain(book.counsels.iter().map(|counsel| &counsel.when));
    for when in whens.chain(book.aids.iter().filter_map(|aid| aid.who.as_ref())) {
        all = all.or(&condition(book, when, true));
    }
    all
}
