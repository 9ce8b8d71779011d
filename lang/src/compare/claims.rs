//! For every finding of two books, whether any record at all can come out differently: a case in which it does, or the
//! proof that there is none.

use super::both::{Alone, Both, OwnCost, Pair};
use super::ladder::{Relation, relation};
use crate::book::{Finding, FindingId, Places, RecordEntry, StepId};
use crate::check::World;
use crate::check::enough::{self, Needs};
use crate::evaluate;
use crate::finite::node::Node;
use crate::search::{Case, Verdict};

/// How a finding can come out differently.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// The new one finds it where the old one does not.
    Found,
    /// The old one finds it where the new one does not.
    NotFound,
    /// Both find it, the new one at a graver step.
    Graver,
    /// Both find it, the new one at a milder step.
    Milder,
    /// Both find it, at steps that the ladders do not put in one order.
    OtherStep,
    /// Both find it, and it needs other hands.
    Hands,
    /// Both find it, and by itself it costs more, at one end at least.
    Dearer,
    /// Both find it, and by itself it costs less, at one end at least.
    Cheaper,
    /// Both find it, and only one of them says what it costs before somebody has seen it.
    OnSight,
}

/// What is known of one way in which something can come out differently.
#[derive(Debug, Clone, PartialEq)]
pub enum Known {
    /// It never does, and that is proved.
    Never,
    /// It does in this case of both books.
    Case {
        /// The case.
        case: Case,
        /// What makes it so; a record of the case makes it certain.
        claim: Box<Node>,
    },
    /// Neither a case nor a proof was found.
    NotDecided,
}

/// What is known of one finding: every way but those that are never.
#[derive(Debug)]
pub struct FindingClaims {
    /// Which of the pairs.
    pub pair: usize,
    /// The ways in which it can, or may, come out differently.
    pub ways: Vec<(Kind, Known)>,
}

/// Both books written out, ready to be asked about.
pub struct Weighing<'a> {
    /// Both books.
    pub both: &'a Both<'a>,
    /// Their findings over concrete places.
    pub world: World<'a>,
}

impl<'a> Weighing<'a> {
    /// Writes both out; none where a look is cut into too many cells to be kept apart.
    pub fn new(both: &'a Both<'a>) -> Option<Self> {
        let book = &both.book;
        let pairs = both.pairs.iter().filter(|pair| !pair.written_alike());
        let needs = pairs.fold(enough::of_each_item(book), |needs, pair| needs.or(&both.needs(pair)));
        let world = World::with_places(book, "", &needs).ok()?;
        Some(Self { both, world })
    }

    /// What is known of every finding that can, or may, come out differently.
    pub fn findings(&self) -> Vec<FindingClaims> {
        let claims = |pair: usize| FindingClaims { pair, ways: self.ways(&self.both.pairs[pair]) };
        (0..self.both.pairs.len()).map(claims).filter(|claims| !claims.ways.is_empty()).collect()
    }

    /// The record of all that both books read, as it is seen in a case.
    pub fn full_record(&self, case: &[u8]) -> Vec<RecordEntry> {
        self.world.full_record(case)
    }

    /// A record in which a finding holds, in both books where both have it; none where there is none, or none was found.
    pub fn showing(&self, pair: &Pair) -> Option<Vec<RecordEntry>> {
        let holds = |finding: Option<(FindingId, FindingId)>| {
            let standings = finding.map(|(_, both)| &self.world.of[both.index()])?;
            Some(Node::any(standings.iter().map(|at| self.world.holding(*at))))
        };
        let met: Vec<Node> = holds(pair.old).into_iter().chain(holds(pair.new)).collect();
        match self.case(&met, &[]) {
            Verdict::Found(case) => self.record(&case, &Node::all(met)),
            Verdict::None(_) | Verdict::Undecided => None,
        }
    }

    /// The record that a case stands for, in the terms of both books, in which a claim is certain.
    pub fn record(&self, case: &[u8], claim: &Node) -> Option<Vec<RecordEntry>> {
        self.world.record(case, claim)
    }

    fn ways(&self, pair: &Pair) -> Vec<(Kind, Known)> {
        let both = match (pair.old, pair.new) {
            (Some((_, old)), Some((_, new))) => (old, new),
            (None, Some((_, new))) => return self.ever(pair, Kind::Found, new),
            (Some((_, old)), None) => return self.ever(pair, Kind::NotFound, old),
            (None, None) => return Vec::new(),
        };
        let mut ways = Vec::new();
        let mut add = |kind, known| {
            if known != Known::Never {
                ways.push((kind, known));
            }
        };
        let spots = self.side_by_side(both);
        if both.0 != both.1 {
            add(Kind::Found, self.ask(pair, spots.iter().map(|spot| ([spot.new.clone()].into(), vec![spot.old.clone()]))));
            add(Kind::NotFound, self.ask(pair, spots.iter().map(|spot| ([spot.old.clone()].into(), vec![spot.new.clone()]))));
            for (kind, relation) in
                [(Kind::Graver, Relation::Graver), (Kind::Milder, Relation::Milder), (Kind::OtherStep, Relation::Other)]
            {
                let steps =
                    spots.iter().map(|spot| (vec![spot.old.clone(), spot.new.clone(), self.stand(spot, relation)], vec![]));
                add(kind, self.ask(pair, steps));
            }
        }
        let hold = |spot: &Spot| vec![spot.old.clone(), spot.new.clone()];
        if self.both.hands(pair).is_some_and(|(old, new)| old != new) {
            add(Kind::Hands, self.ask(pair, spots.iter().map(|spot| (hold(spot), vec![]))));
        }
        match pair.cost {
            OwnCost::Same => {}
            OwnCost::OnSight => add(Kind::OnSight, self.ask(pair, spots.iter().map(|spot| (hold(spot), vec![])))),
            OwnCost::NotDecided => {
                for kind in [Kind::Dearer, Kind::Cheaper] {
                    let ever = self.ask(pair, spots.iter().map(|spot| (hold(spot), vec![])));
                    add(kind, if ever == Known::Never { ever } else { Known::NotDecided });
                }
            }
            OwnCost::Where { dearer, cheaper } => {
                for (kind, place) in [(Kind::Dearer, dearer), (Kind::Cheaper, cheaper)] {
                    let Some(place) = place else { continue };
                    let there = &self.world.of[place.index()];
                    let questions = spots.iter().zip(there).map(|(spot, there)| {
                        let mut met = hold(spot);
                        met.push(self.world.holding(*there));
                        (met, vec![])
                    });
                    add(kind, self.ask(pair, questions));
                }
            }
        }
        ways
    }

    /// One that only one of the books has.
    fn ever(&self, pair: &Pair, kind: Kind, finding: FindingId) -> Vec<(Kind, Known)> {
        let standings = &self.world.of[finding.index()];
        let known = self.ask(pair, standings.iter().map(|at| (vec![self.world.holding(*at)], vec![])));
        if known == Known::Never { Vec::new() } else { vec![(kind, known)] }
    }

    /// Whether one of these questions has a case: conditions that are met, and conditions that are not.
    fn ask(&self, pair: &Pair, questions: impl Iterator<Item = (Vec<Node>, Vec<Node>)>) -> Known {
        let mut decided = true;
        for (met, unmet) in questions {
            match self.case(&met, &unmet) {
                Verdict::Found(case) => {
                    let claim = Node::all(met.into_iter().chain(unmet.into_iter().map(Node::unmet)));
                    return Known::Case { case, claim: Box::new(claim) };
                }
                Verdict::None(_) => {}
                Verdict::Undecided => decided = false,
            }
        }
        if decided && self.world.enough(&self.both.needs(pair)) { Known::Never } else { Known::NotDecided }
    }

    /// A case of both books.
    pub(super) fn case(&self, met: &[Node], unmet: &[Node]) -> Verdict {
        self.case_within(met, unmet, |_| true)
    }

    /// A case in which nothing is said that only one of the books takes, as far as that is to be avoided.
    pub(super) fn case_within(&self, met: &[Node], unmet: &[Node], avoided: impl Fn(&Alone) -> bool) -> Verdict {
        let outside: Vec<Node> = self
            .both
            .outside
            .iter()
            .filter(|alone| avoided(alone))
            .flat_map(|alone| &self.world.of[alone.said.index()])
            .map(|standing| self.world.holding(*standing))
            .collect();
        self.world.case(&met.iter().collect::<Vec<_>>(), &unmet.iter().chain(&outside).collect::<Vec<_>>())
    }

    /// The two at each of their places; at any place where they are not judged at the same ones.
    pub(super) fn side_by_side(&self, (old, new): (FindingId, FindingId)) -> Vec<Spot> {
        let book = &self.both.book;
        let (one, other) = (&book[old], &book[new]);
        let (before, after) = (&self.world.of[old.index()], &self.world.of[new.index()]);
        if (one.on, one.each) == (other.on, other.each) {
            return before.iter().zip(after).map(|(old, new)| self.spot(&[*old], &[*new])).collect();
        }
        // Places of one part that had to be taken for two are still the same by their names.
        let named = |finding: &Finding, at: usize| match self.world.standings[at].spot {
            evaluate::Spot::Fixed(place) => book[finding.on].fixed_places().get(place as usize).map(|place| place.name.as_str()),
            evaluate::Spot::Single | evaluate::Spot::Found(_) => None,
        };
        let fixed = |finding: &Finding| matches!(book[finding.on].places, Places::Fixed(_)) && finding.each;
        if !(fixed(one) && fixed(other) && book[one.on].name == book[other.on].name) {
            return vec![self.spot(before, after)];
        }
        let at = |finding: &Finding, all: &[usize], place: Option<&str>| -> Vec<usize> {
            all.iter().copied().filter(|at| named(finding, *at) == place).collect()
        };
        let mut places: Vec<Option<&str>> = before.iter().map(|at| named(one, *at)).collect();
        for place in after.iter().map(|at| named(other, *at)) {
            if !places.contains(&place) {
                places.push(place);
            }
        }
        places.into_iter().map(|place| self.spot(&at(one, before, place), &at(other, after, place))).collect()
    }

    fn spot(&self, old: &[usize], new: &[usize]) -> Spot {
        let any = |standings: &[usize]| Node::any(standings.iter().map(|at| self.world.holding(*at)));
        let steps = |standings: &[usize], steps: &[StepId]| {
            let at_least = |step: &StepId| {
                let one = |at: &usize| Node::all([self.world.holding(*at), self.world.at_least(*at, *step)]);
                Node::any(standings.iter().map(one))
            };
            steps.iter().map(at_least).collect::<Vec<_>>()
        };
        Spot {
            old: any(old),
            new: any(new),
            old_steps: steps(old, &self.both.old_steps),
            new_steps: steps(new, &self.both.new_steps),
        }
    }

    /// That the step of the new one stands so to that of the old one.
    fn stand(&self, spot: &Spot, wanted: Relation) -> Node {
        Node::any(
            relation(self.both.old, self.both.new)
                .into_iter()
                .filter(|(.., relation)| *relation == wanted)
                .map(|(old, new, _)| Node::all([exactly(&spot.old_steps, old), exactly(&spot.new_steps, new)])),
        )
    }
}

/// At this step and not at the next.
pub(super) fn exactly(at_least: &[Node], step: usize) -> Node {
    let here = at_least.get(step).cloned().unwrap_or(Node::Constant(false));
    let above = at_least.get(step + 1).cloned().map_or(Node::Constant(true), Node::unmet);
    Node::all([here, above])
}

/// A finding of both books at one place.
pub(super) struct Spot {
    /// That the old one holds there.
    pub old: Node,
    /// That the new one does.
    pub new: Node,
    /// That it holds at this step of the old ladder or a graver one.
    old_steps: Vec<Node>,
    new_steps: Vec<Node>,
}

impl Both<'_> {
    /// The names of the hands that each book wants for a finding of both.
    pub fn hands(&self, pair: &Pair) -> Option<(&str, &str)> {
        let (old, new) = (pair.old?.0, pair.new?.0);
        let name = |book: &crate::book::Book, finding: FindingId| book[finding].counted_hands().index();
        let old = self.old.hands.get(name(self.old, old))?;
        let new = self.new.hands.get(name(self.new, new))?;
        Some((&old.name, &new.name))
    }

    /// How many places it takes to be sure of a claim about a finding.
    pub(super) fn needs(&self, pair: &Pair) -> Needs {
        let book = &self.book;
        let one = |finding: Option<(FindingId, FindingId)>, holds: bool| match finding {
            Some((_, finding)) => enough::holds(book, &book[finding], holds),
            None => Needs::nothing(book),
        };
        let steps = |finding: Option<(FindingId, FindingId)>| match finding {
            Some((_, finding)) => enough::step(book, &book[finding]),
            None => Needs::nothing(book),
        };
        let found = one(pair.new, true).and(&one(pair.old, false));
        let lost = one(pair.old, true).and(&one(pair.new, false));
        let together = one(pair.old, true).and(&one(pair.new, true)).and(&steps(pair.old)).and(&steps(pair.new));
        found.or(&lost).or(&together)
    }

    /// How many places it takes to be sure of a claim about all findings together.
    pub(super) fn needs_of_all(&self) -> Needs {
        let book = &self.book;
        let findings = || self.pairs.iter().flat_map(|pair| pair.old.into_iter().chain(pair.new)).map(|(_, both)| &book[both]);
        let one = findings().fold(Needs::nothing(book), |needs, finding| {
            needs.or(&enough::holds(book, finding, true).and(&enough::step(book, finding)))
        });
        findings().fold(one, |needs, finding| needs.and(&enough::holds(book, finding, false).or(&enough::step(book, finding))))
    }
}
