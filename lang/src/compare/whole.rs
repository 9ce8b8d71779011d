//! Whether the outcome as a whole can come out differently: how soon, by whose hands, whether it may be played, and
//! which counsels apply.

use super::both::CounselPair;
use super::claims::{Kind, Known, Weighing};
use super::ladder::{Relation, pairs};
use crate::book::{Book, FindingId, StepId};
use crate::finite::node::Node;
use crate::search::Verdict;

/// How the whole outcome can come out differently.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Whole {
    /// The gravest step is graver, milder, or one that no ladder puts in an order.
    Urgency(Turn),
    /// The most skilled hands.
    Hands(Turn),
    /// It, or the part of this name that stands apart, must not be played any more; or it may be.
    Played {
        /// The part that stands apart; none for the instrument.
        apart: Option<String>,
        /// Whether the new one forbids it.
        forbidden: bool,
    },
    /// The counsel of this name is met by the new one alone, or by the old one alone.
    Counsel {
        /// Its name.
        name: String,
        /// Whether it is the new one that is met.
        now: bool,
    },
}

/// Which way a step or a hand turned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Turn {
    /// Graver, or more skilled.
    Up,
    /// Milder, or less skilled.
    Down,
    /// To another one that no ladder puts in an order with it.
    Aside,
}

/// What is known of one way in which the whole outcome can come out differently.
#[derive(Debug)]
pub struct WholeClaim {
    /// Which way.
    pub way: Whole,
    /// What is known of it.
    pub known: Known,
    /// A claim about one finding that is likely to make it so by itself, in the same case.
    pub reason: Option<Node>,
}

/// The levels of a ladder: their names, and for each what makes it reached, one condition for each finding at each place.
pub(super) struct Levels {
    names: Vec<String>,
    /// What makes each level reached.
    pub at_least: Vec<Vec<Node>>,
}

impl Weighing<'_> {
    /// What is known of the whole outcome: every way but those that are never.
    pub fn whole(&self) -> Vec<WholeClaim> {
        let mut claims = Vec::new();
        let alike = self.both.pairs.iter().all(|pair| pair.written_alike());
        let hands = self.both.pairs.iter().all(|pair| self.both.hands(pair).is_some_and(|(old, new)| old == new));
        let ladders = |list: fn(&Book) -> Vec<String>| list(self.both.old) == list(self.both.new);
        if !(alike && self.both.one_ladder) {
            let (old, new) = (self.steps(true), self.steps(false));
            self.ladder(&old, &new, Whole::Urgency, &mut claims);
        }
        if !(alike && hands && ladders(hand_names)) {
            let (old, new) = (self.hand_levels(true), self.hand_levels(false));
            self.ladder(&old, &new, Whole::Hands, &mut claims);
        }
        let stops = |book: &Book| book.steps.iter().map(|step| step.not_played).collect::<Vec<_>>();
        let mut apart: Vec<Option<String>> = vec![None];
        for part in self.both.old.parts.iter().chain(&self.both.new.parts).filter(|part| part.apart) {
            if !apart.contains(&Some(part.name.clone())) {
                apart.push(Some(part.name.clone()));
            }
        }
        let one = |book: &Book| book.parts.iter().filter(|part| part.apart).map(|part| part.name.clone()).collect::<Vec<_>>();
        let same_apart = {
            let (mut old, mut new) = (one(self.both.old), one(self.both.new));
            old.sort_unstable();
            new.sort_unstable();
            old == new
        };
        if !(alike && self.both.one_ladder && same_apart && stops(self.both.old) == stops(self.both.new)) {
            for apart in apart {
                self.played(apart, &mut claims);
            }
        }
        self.counsels(&mut claims);
        claims
    }

    /// The finding of a book in both, for every finding that the book has.
    fn carried(&self, old: bool) -> impl Iterator<Item = (FindingId, FindingId)> + '_ {
        self.both.pairs.iter().filter_map(move |pair| if old { pair.old } else { pair.new })
    }

    fn steps(&self, old: bool) -> Levels {
        let (book, steps) = if old { (self.both.old, &self.both.old_steps) } else { (self.both.new, &self.both.new_steps) };
        let at_least = steps.iter().map(|step| self.reaching(old, |_| true, *step)).collect();
        Levels { names: book.steps.iter().map(|step| step.name.clone()).collect(), at_least }
    }

    /// Conditions under which findings of a book, of these, hold at this step or a graver one.
    fn reaching(&self, old: bool, of: impl Fn(FindingId) -> bool, step: StepId) -> Vec<Node> {
        let standings = self.carried(old).filter(|(own, _)| of(*own)).flat_map(|(_, both)| &self.world.of[both.index()]);
        let node = |at: &usize| Node::all([self.world.holding(*at), self.world.at_least(*at, step)]);
        standings.map(node).filter(|node| *node != Node::Constant(false)).collect()
    }

    fn hand_levels(&self, old: bool) -> Levels {
        let book = if old { self.both.old } else { self.both.new };
        let mut names = vec![String::new()];
        names.extend(hand_names(book));
        let least = |level: usize| -> Vec<Node> {
            let needs = |own: &FindingId| book[*own].counted_hands().index() + 1 >= level;
            let standings = self.carried(old).filter(|(own, _)| needs(own)).flat_map(|(_, both)| &self.world.of[both.index()]);
            standings.map(|at| self.world.holding(*at)).collect()
        };
        Levels { at_least: (0..names.len()).map(least).collect(), names }
    }

    fn ladder(&self, old: &Levels, new: &Levels, way: fn(Turn) -> Whole, claims: &mut Vec<WholeClaim>) {
        let all = pairs(&old.names, &new.names);
        for (relation, turn) in [(Relation::Graver, Turn::Up), (Relation::Milder, Turn::Down), (Relation::Other, Turn::Aside)] {
            let questions: Vec<(Vec<Node>, Vec<Node>)> = if old.names == new.names {
                let (there, here) = if turn == Turn::Up { (new, old) } else { (old, new) };
                let levels = if turn == Turn::Aside { 0 } else { old.names.len() };
                (1..levels).map(|level| (vec![Node::any(there.at_least[level].clone())], here.at_least[level].clone())).collect()
            } else {
                let wanted = all.iter().filter(|(.., stand)| *stand == relation);
                wanted.map(|(before, after, _)| self.just(old, *before, new, *after)).collect()
            };
            self.first(way(turn), questions, claims);
        }
    }

    /// That the one is at this level and the other at that.
    fn just(&self, old: &Levels, before: usize, new: &Levels, after: usize) -> (Vec<Node>, Vec<Node>) {
        let (mut met, mut unmet) = (Vec::new(), Vec::new());
        for (levels, at) in [(old, before), (new, after)] {
            if at > 0 {
                met.push(Node::any(levels.at_least[at].clone()));
            }
            unmet.extend(levels.at_least.get(at + 1).into_iter().flatten().cloned());
        }
        (met, unmet)
    }

    fn played(&self, apart: Option<String>, claims: &mut Vec<WholeClaim>) {
        let forbids = |old: bool| -> Vec<Node> {
            let (book, steps) = if old { (self.both.old, &self.both.old_steps) } else { (self.both.new, &self.both.new_steps) };
            let its = |own: FindingId| {
                let part = &book[book[own].on];
                part.apart == apart.is_some() && apart.as_ref().is_none_or(|apart| *apart == part.name)
            };
            let standings: Vec<usize> = self
                .carried(old)
                .filter(|(own, _)| its(*own))
                .flat_map(|(_, both)| self.world.of[both.index()].clone())
                .collect();
            let stops = (0..steps.len()).filter(|at| book.steps[*at].not_played);
            stops
                .flat_map(|step| {
                    standings.iter().map(move |at| {
                        let above = steps.get(step + 1).map_or(Node::Constant(false), |step| self.world.at_least(*at, *step));
                        Node::all([self.world.holding(*at), self.world.at_least(*at, steps[step]), Node::unmet(above)])
                    })
                })
                .filter(|node| *node != Node::Constant(false))
                .collect()
        };
        let (old, new) = (forbids(true), forbids(false));
        for forbidden in [true, false] {
            let (there, here) = if forbidden { (&new, &old) } else { (&old, &new) };
            let way = Whole::Played { apart: apart.clone(), forbidden };
            self.first(way, vec![(vec![Node::any(there.clone())], here.clone())], claims);
        }
    }

    fn counsels(&self, claims: &mut Vec<WholeClaim>) {
        let levels = (self.steps(true), self.steps(false));
        for counsel in self.both.counsels.iter().filter(|counsel| !counsel.sums.any()) {
            self.counsel(counsel, &levels, claims);
        }
    }

    /// What is known of counsels that ask for sums, where sums are the same by both books: those that can, or may, come out
    /// differently. What they ask of a sum is then one test for both, with an answer of its own.
    pub fn counsels_of_sums(&self) -> Vec<WholeClaim> {
        let mut claims = Vec::new();
        let levels = (self.steps(true), self.steps(false));
        for counsel in self.both.counsels.iter().filter(|counsel| counsel.sums.any()) {
            self.counsel(counsel, &levels, &mut claims);
        }
        claims
    }

    fn counsel(&self, counsel: &CounselPair, (before, after): &(Levels, Levels), claims: &mut Vec<WholeClaim>) {
        let node = |at: Option<usize>, levels: &Levels| match at {
            Some(at) => self.soon(&self.world.counsels[at], levels),
            None => Some(Node::Constant(false)),
        };
        let nodes = (node(counsel.old, before), node(counsel.new, after));
        for now in [true, false] {
            let way = Whole::Counsel { name: counsel.name.clone(), now };
            match &nodes {
                (Some(old), Some(new)) if old != new => {
                    let (there, here) = if now { (new, old) } else { (old, new) };
                    self.first(way, vec![(vec![there.clone()], vec![here.clone()])], claims);
                }
                (Some(_), Some(_)) => {}
                _ => claims.push(WholeClaim { way, known: Known::NotDecided, reason: None }),
            }
        }
    }

    /// Adds what is known of the first of these questions that has a case.
    fn first(&self, way: Whole, questions: Vec<(Vec<Node>, Vec<Node>)>, claims: &mut Vec<WholeClaim>) {
        let mut decided = true;
        for (met, unmet) in questions {
            if met.contains(&Node::Constant(false)) {
                continue;
            }
            match self.case(&met, &unmet) {
                Verdict::Found(case) => {
                    let reason = self.reason(&case, &met);
                    let claim = Node::all(met.into_iter().chain(unmet.into_iter().map(Node::unmet)));
                    claims.push(WholeClaim { way, known: Known::Case { case, claim: Box::new(claim) }, reason });
                    return;
                }
                Verdict::None(_) => {}
                Verdict::Undecided => decided = false,
            }
        }
        if !decided || !self.world.enough(&self.both.needs_of_all()) {
            claims.push(WholeClaim { way, known: Known::NotDecided, reason: None });
        }
    }

    /// What is met in the case of the first thing that is asked to be: one finding is enough to make it so.
    fn reason(&self, case: &[u8], met: &[Node]) -> Option<Node> {
        let conditions = self.world.conditions();
        let one = |node: &Node| match node {
            Node::Any(inner) => inner.iter().find(|node| conditions.met(node, case)).cloned(),
            other => Some(other.clone()),
        };
        met.last().and_then(one)
    }
}

fn hand_names(book: &Book) -> Vec<String> {
    book.hands.iter().map(|hand| hand.name.clone()).collect()
}

/// Whether a way of one finding makes it hold where it did not, or the other way about.
pub(super) fn holds_otherwise(kind: Kind) -> bool {
    matches!(kind, Kind::Found | Kind::NotFound)
}
