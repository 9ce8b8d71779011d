//! How grave a finding is: its urgency lines and the raises that hit it, and which of them count.

use purfle_lang::book::{Condition, RaiseId, StepId};
use purfle_lang::span::Span;

use super::probe::{Answers, Asked, Ground};
use super::signs::{Asking, Met, Sign, Tree, met};

/// One urgency line.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its step.
    pub step: StepId,
    /// Where it is written.
    pub span: Span,
    /// Whether it counts wherever the finding holds.
    pub counts: Met,
    /// Its condition, where it has one.
    pub when: Option<Sign>,
}

/// A raise over the finding's part.
#[derive(Debug, Clone, PartialEq)]
pub struct Raised {
    /// The raise.
    pub raise: RaiseId,
    /// Whether it counts wherever the finding holds.
    pub counts: Met,
    /// Its condition.
    pub when: Sign,
}

/// What is asked about lines and raises.
pub struct Asks {
    lines: Vec<(StepId, Span, Option<Counting>)>,
    raises: Vec<(RaiseId, Counting)>,
}

/// A condition with what tells whether it counts: the finding with it, and the finding without it.
struct Counting {
    tree: Tree,
    with: Asked,
    without: Asked,
}

impl Counting {
    fn answered(self, answers: &Answers) -> (Met, Sign) {
        let counts = match (met(answers, self.with), met(answers, self.without)) {
            (Met::NotMet, _) => Met::NotMet,
            (_, Met::NotMet) => Met::Met,
            _ => Met::Open,
        };
        (counts, self.tree.answered(answers))
    }
}

/// Asks for the lines and raises of a finding.
pub fn asks(asking: &mut Asking<'_, '_>, ground: Ground) -> Asks {
    let book = asking.known.book;
    let id = asking.finding;
    let finding = &book[id];
    let lines = finding.urgency.iter().map(|line| {
        let counting = line.when.as_ref().map(|when| counting(asking, ground, when));
        (line.step, line.span, counting)
    });
    let lines = lines.collect();
    let raises = book.raises.iter().enumerate().filter(|(_, raise)| raise.on.contains(&finding.on));
    let raises = raises.map(|(at, raise)| (RaiseId::from_index(at), counting(asking, ground, &raise.when))).collect();
    Asks { lines, raises }
}

fn counting(asking: &mut Asking<'_, '_>, ground: Ground, when: &Condition) -> Counting {
    let finding = &asking.known.book[asking.finding];
    let signs = finding.signs.clone();
    let both = Condition::All(vec![signs.clone(), when.clone()]);
    let with = asking.probes.ask(ground, both, finding.unless.clone(), asking.finding);
    let mut unless = finding.unless.clone();
    unless.push(when.clone());
    let without = asking.probes.ask(ground, signs, unless, asking.finding);
    Counting { tree: asking.tree(when, ground), with, without }
}

impl Asks {
    /// The lines and raises with what came of them.
    pub fn answered(self, answers: &Answers) -> (Vec<Line>, Vec<Raised>) {
        let lines = self.lines.into_iter().map(|(step, span, counting)| match counting {
            Some(counting) => {
                let (counts, when) = counting.answered(answers);
                Line { step, span, counts, when: Some(when) }
            }
            None => Line { step, span, counts: Met::Met, when: None },
        });
        let raises = self.raises.into_iter().map(|(raise, counting)| {
            let (counts, when) = counting.answered(answers);
            Raised { raise, counts, when }
        });
        (lines.collect(), raises.collect())
    }
}

/// The step to which a raise lifts another.
pub fn lifted(from: StepId, by: u32, cap: StepId, top: StepId) -> StepId {
    from.max(StepId(from.0.saturating_add(by)).min(cap).min(top))
}
