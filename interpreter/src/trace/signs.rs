//! The conditions of a finding as they are written, each with what comes of it in a record.

use purfle_lang::book::{Condition, Count, FindingId, LookAt, LookId, PartId, PlaceAt, RecordPath, Test, Value};
use purfle_lang::evaluate::Input;
use purfle_lang::evaluate::{InHand, LookSpot, inputs_of};
use purfle_lang::number::Number;
use purfle_lang::span::Span;

use super::facts::paths;
use super::known::{Known, path_of};
use super::probe::{Answers, Asked, Ground, Probes, asks_for_findings, at_place, hands};
use super::trial::State;
use crate::outcome::At;
use crate::rehearse::reads::span_of;

/// What came of a condition.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Met {
    /// It is met, whatever else there is to see.
    Met,
    /// It is not, whatever else there is to see.
    NotMet,
    /// It may be.
    Open,
    /// Neither it nor its opposite is: something that it reads does not apply, or has no value.
    Neither,
}

/// What kind of condition it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Every one of several.
    All,
    /// One of several or more.
    Any,
    /// That many of several or more.
    AtLeast(u32),
    /// The opposite of one.
    Not,
    /// A single test.
    Test,
    /// Places that meet one.
    Places(Count, PartId),
    /// Another finding.
    Found(FindingId),
}

/// A condition with what came of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Sign {
    /// What kind it is.
    pub form: Form,
    /// Where it is written, as far as that is known.
    pub span: Option<Span>,
    /// At which place it is asked, where that is a place of places that are gone through.
    pub at: Option<(PartId, At)>,
    /// What came of it.
    pub met: Met,
    /// The looks it reads itself.
    pub reads: Vec<ReadAt>,
    /// Values that it works out of several things, and what they come to: where a table or a reckoning stands.
    pub worked: Vec<(Value, Option<(Number, Number)>)>,
    /// The conditions in it.
    pub inner: Vec<Sign>,
}

/// A look that a condition reads.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadAt {
    /// The look.
    pub look: LookId,
    /// Where; none for a place that nobody has written down.
    pub path: Option<RecordPath>,
    /// Whether it is that of the record before.
    pub last: bool,
    /// Whether it applies, and what decides that, where anything does.
    pub applies: Vec<(Span, Met)>,
}

/// A condition that is asked, before anything was answered.
pub struct Tree {
    form: Form,
    span: Option<Span>,
    at: Option<(PartId, At)>,
    asked: Asked,
    opposite: Option<Asked>,
    reads: Vec<ReadTree>,
    worked: Vec<(Value, Option<(Number, Number)>)>,
    inner: Vec<Tree>,
}

struct ReadTree {
    look: LookId,
    path: Option<RecordPath>,
    last: bool,
    applies: Vec<(Span, Asked)>,
}

/// Asks for conditions and all that is in them.
pub struct Asking<'p, 'a> {
    /// What is known.
    pub known: Known<'a>,
    /// What is asked so far.
    pub probes: &'p mut Probes,
    /// The finding whose conditions they are.
    pub finding: FindingId,
}

impl Asking<'_, '_> {
    /// Asks for a condition and all that is in it.
    pub fn tree(&mut self, condition: &Condition, ground: Ground) -> Tree {
        let asked = self.probes.ask(ground, condition.clone(), Vec::new(), self.finding);
        let mut tree = Tree {
            form: Form::Test,
            span: span_of(condition),
            at: None,
            asked,
            opposite: None,
            reads: Vec::new(),
            worked: Vec::new(),
            inner: Vec::new(),
        };
        match condition {
            Condition::All(all) | Condition::Any(all) | Condition::AtLeast(_, all) => {
                tree.form = match condition {
                    Condition::All(_) => Form::All,
                    Condition::AtLeast(count, _) => Form::AtLeast(*count),
                    _ => Form::Any,
                };
                tree.inner = all.iter().map(|one| self.tree(one, ground)).collect();
            }
            Condition::Not(inner) => {
                tree.form = Form::Not;
                tree.inner = vec![self.tree(inner, ground)];
            }
            Condition::Test(test, _) => {
                let opposite = Condition::Not(Box::new(condition.clone()));
                tree.opposite = Some(self.probes.ask(ground, opposite, Vec::new(), self.finding));
                self.test(test, ground, &mut tree);
            }
            Condition::Found(finding, _) => tree.form = Form::Found(*finding),
            Condition::Places { count, part, with, .. } => {
                tree.form = Form::Places(*count, *part);
                tree.inner = self.places(*part, with, ground);
            }
        }
        tree
    }

    /// Asks for a condition at each place of a part, as far as it can be asked there by itself.
    fn places(&mut self, part: PartId, with: &Condition, ground: Ground) -> Vec<Tree> {
        let book = self.known.book;
        if asks_for_findings(with) {
            return Vec::new();
        }
        let mut with = with.clone();
        if ground.each && ground.on != part && hands(book, &with).contains(&ground.on) {
            let At::Place(RecordPath::Fixed(place)) = ground.at else { return Vec::new() };
            let Some(there) = at_place(book, &with, ground.on, place) else { return Vec::new() };
            with = there;
        }
        let places = paths(book, self.known.record, part);
        let trees = places.into_iter().map(|path| {
            let at = At::Place(path);
            Tree { at: Some((part, at)), ..self.tree(&with, Ground { on: part, each: true, at }) }
        });
        trees.collect()
    }

    fn test(&mut self, test: &Test, ground: Ground, tree: &mut Tree) {
        let book = self.known.book;
        let mut values: Vec<&Value> = Vec::new();
        match test {
            Test::IsOneOf { look, .. } | Test::HasAny { look, .. } | Test::NoDate { look, .. } => {
                let read = self.read(*look, false, ground);
                tree.reads.push(read);
            }
            Test::Compare(_, left, right) => values.extend([left, right]),
            Test::Between(one, low, high) => values.extend([one, low, high]),
            Test::PlaceIs { .. } | Test::TotalUrgency { .. } | Test::TotalTier { .. } => {}
        }
        let hand = self.hand(ground);
        let (mut numbers, mut keys) = (Vec::new(), Vec::new());
        for value in &values {
            inputs_of(book, value, &hand, &mut numbers, &mut keys);
        }
        let looks = numbers.iter().filter_map(|input| match input {
            Input::Look(look) => Some((*look, false)),
            Input::Last(look) => Some((*look, true)),
            Input::InspectedOn | Input::TotalCost => None,
        });
        for (look, last) in looks.chain(keys.iter().map(|key| (*key, false))) {
            let read = self.read_spot(look, last, ground);
            if !tree.reads.iter().any(|known| (known.look, known.path, known.last) == (read.look, read.path, read.last)) {
                tree.reads.push(read);
            }
        }
        for value in values {
            if !matches!(
                value,
                Value::Number(_) | Value::Range(..) | Value::Date(_) | Value::Look(_) | Value::Last(_) | Value::InspectedOn
            ) {
                tree.worked.push((value.clone(), self.known.ends(value, &hand)));
            }
        }
    }

    fn hand(&self, ground: Ground) -> InHand {
        let spot = path_of(ground.at).and_then(|path| self.known.spot(ground.on, path));
        match spot {
            Some(spot) if ground.each => InHand::nothing().with(ground.on, spot),
            _ => InHand::nothing(),
        }
    }

    fn read(&mut self, look: LookAt, last: bool, ground: Ground) -> ReadTree {
        let here = look.place == PlaceAt::Here && ground.each && self.known.book[look.look].part == ground.on;
        if here && path_of(ground.at).is_none() {
            return ReadTree { look: look.look, path: None, last, applies: Vec::new() };
        }
        let spot = self.hand(ground).look(self.known.book, look);
        self.read_spot(spot, last, ground)
    }

    fn read_spot(&mut self, look: LookSpot, last: bool, ground: Ground) -> ReadTree {
        let book = self.known.book;
        let part = book[look.look].part;
        // Where nobody has written a place down, its looks have none either.
        let unnamed = ground.each && ground.on == part && path_of(ground.at).is_none();
        let path = if unnamed { None } else { self.known.path(part, look.spot) };
        let at = match path {
            Some(RecordPath::Single) => At::Part,
            Some(path) => At::Place(path),
            None => At::Unnamed,
        };
        let here = Ground { on: part, each: book[part].repeats(), at };
        let mut applies = self.applies(here);
        applies.extend(self.asked_by_itself(book[look.look].only_when.as_ref(), here));
        ReadTree { look: look.look, path, last, applies }
    }

    /// Asks for what decides whether a part and a place of it are there.
    pub fn applies(&mut self, here: Ground) -> Vec<(Span, Asked)> {
        let book = self.known.book;
        let place = match here.at {
            At::Place(RecordPath::Fixed(place)) => book[here.on].fixed_places().get(place.index()),
            _ => None,
        };
        let place = place.and_then(|place| place.only_when.as_ref());
        let all = book[here.on].only_when.as_ref().into_iter().chain(place);
        all.filter_map(|when| self.asked_by_itself(Some(when), here)).collect()
    }

    fn asked_by_itself(&mut self, when: Option<&Condition>, here: Ground) -> Option<(Span, Asked)> {
        let when = when?;
        Some((span_of(when)?, self.probes.ask(here, when.clone(), Vec::new(), self.finding)))
    }
}

/// The state of a condition as one that was asked.
pub fn met(answers: &Answers, asked: Asked) -> Met {
    match answers.of(asked) {
        State::Holds => Met::Met,
        State::Fails => Met::NotMet,
        State::Open => Met::Open,
    }
}

impl Tree {
    /// The condition with what came of it.
    pub fn answered(self, answers: &Answers) -> Sign {
        let mut came = met(answers, self.asked);
        if came == Met::NotMet && self.opposite.is_some_and(|opposite| answers.of(opposite) == State::Fails) {
            came = Met::Neither;
        }
        let reads = self.reads.into_iter().map(|read| ReadAt {
            look: read.look,
            path: read.path,
            last: read.last,
            applies: read.applies.into_iter().map(|(span, asked)| (span, met(answers, asked))).collect(),
        });
        Sign {
            form: self.form,
            span: self.span,
            at: self.at,
            met: came,
            reads: reads.collect(),
            worked: self.worked,
            inner: self.inner.into_iter().map(|one| one.answered(answers)).collect(),
        }
    }
}
