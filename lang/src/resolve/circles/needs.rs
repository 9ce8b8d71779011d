//! What must be known before something else is: looks by their `only when`, reckonings by their names, findings by
//! `found`.
//!
//! A look at a fixed place is a thing of its own here, for one peg may well depend on another.

use rustc_hash::FxHashMap;

use super::search::{self, Arrow};
use super::{Kind, Written, tell};
use crate::book::{
    Book, Condition, FindingId, LookAt, LookId, PartId, PlaceAt, PlaceId, Places, ReckonId, TableId, TableKey, Test, Value,
};
use crate::diagnostic::Diagnostic;
use crate::span::Span;

/// Something that is known or not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Node {
    /// Whether a part is there.
    Part(PartId),
    /// Whether a fixed place is there.
    Place(PartId, PlaceId),
    /// A look, at a fixed place where its part has them.
    Look(LookId, Option<PlaceId>),
    /// A reckoning, with the place in hand where it is read.
    Reckon(ReckonId, Hand),
    /// A table, with the place in hand where it is read.
    Table(TableId, Hand),
    /// Whether a finding holds.
    Finding(FindingId),
}

/// The fixed place in hand, if it is one known by name. Where it is not, any place of its part may be meant.
pub(super) type Hand = Option<(PartId, PlaceId)>;

/// All circles among what needs something else.
pub(super) fn circles(book: &Book, written: &Written) -> Vec<Diagnostic> {
    let graph = Graph::of(book, written);
    let mut told: Vec<Vec<Node>> = Vec::new();
    let mut diagnostics = Vec::new();
    for circle in search::circles(graph.nodes.len(), &graph.arrows) {
        let nodes: Vec<&Node> = circle.iter().map(|&at| &graph.nodes[graph.arrows[at].from]).collect();
        // The same circle at every peg is one mistake.
        let key = without_places(&nodes);
        if told.contains(&key) {
            continue;
        }
        told.push(key);
        let names: Vec<String> = nodes.iter().map(|node| name(book, node)).collect();
        let steps: Vec<(&str, Span)> =
            names.iter().zip(&circle).map(|(name, &at)| (name.as_str(), graph.arrows[at].span)).collect();
        diagnostics.push(tell(&kind(&nodes), &steps));
    }
    diagnostics
}

fn kind(nodes: &[&Node]) -> Kind {
    if nodes.iter().all(|node| matches!(node, Node::Finding(_))) {
        Kind {
            slug: "circle-in-found",
            what: "Findings ask for each other, so none can be judged first",
            verb: "asks for",
            help: "Take `found` out of the signs or the `unless` of one of them, and write what it looks at instead.",
            help_alone: "Take this `found` out, and write what is looked at instead.",
        }
    } else if nodes.iter().all(|node| matches!(node, Node::Reckon(..) | Node::Table(..))) {
        Kind {
            slug: "circle-in-reckonings",
            what: "Reckonings are worked out from each other",
            verb: "needs",
            help: "Write one of them without the others.",
            help_alone: "Work it out from looks, tables and other reckonings.",
        }
    } else {
        Kind {
            slug: "circle-in-only-when",
            what: "Whether these apply depends on each other, so none can be asked first",
            verb: "needs",
            help: "Take one of them out of an `only when`.",
            help_alone: "Take it out of its own `only when`.",
        }
    }
}

impl Node {
    /// It, with every place taken off.
    fn without_place(self) -> Self {
        match self {
            Node::Look(look, _) => Node::Look(look, None),
            Node::Place(part, _) => Node::Place(part, PlaceId(0)),
            Node::Reckon(reckon, _) => Node::Reckon(reckon, None),
            Node::Table(table, _) => Node::Table(table, None),
            Node::Part(_) | Node::Finding(_) => self,
        }
    }
}

/// The circle with every place taken off, turned so that equal circles are equal.
fn without_places(nodes: &[&Node]) -> Vec<Node> {
    let plain: Vec<Node> = nodes.iter().map(|node| node.without_place()).collect();
    let turned = |first: usize| plain[first..].iter().chain(&plain[..first]).copied().collect::<Vec<Node>>();
    let order = |node: &Node| match node {
        Node::Part(part) => (0, part.0),
        Node::Place(part, _) => (1, part.0),
        Node::Look(look, _) => (2, look.0),
        Node::Reckon(reckon, _) => (3, reckon.0),
        Node::Table(table, _) => (4, table.0),
        Node::Finding(finding) => (5, finding.0),
    };
    (0..plain.len()).map(turned).min_by_key(|nodes| nodes.iter().map(order).collect::<Vec<_>>()).unwrap_or_default()
}

fn name(book: &Book, node: &Node) -> String {
    let part_name = |part: PartId| book.parts.get(part.index()).map_or("", |part| part.name.as_str());
    let place_name = |part: PartId, place: PlaceId| {
        let place = book.parts.get(part.index()).and_then(|part| part.fixed_places().get(place.index()));
        place.map_or("", |place| place.name.as_str())
    };
    match node {
        Node::Part(part) => part_name(*part).to_owned(),
        Node::Place(part, place) => format!("{}.{}", part_name(*part), place_name(*part, *place)),
        Node::Look(look, place) => book.looks.get(look.index()).map_or(String::new(), |look| match place {
            Some(place) => format!("{}.{}.{}", part_name(look.part), place_name(look.part, *place), look.name),
            None => format!("{}.{}", part_name(look.part), look.name),
        }),
        Node::Reckon(reckon, _) => book.reckons.get(reckon.index()).map_or("", |reckon| &reckon.name).to_owned(),
        Node::Table(table, _) => book.tables.get(table.index()).map_or("", |table| &table.name).to_owned(),
        Node::Finding(finding) => book.findings.get(finding.index()).map_or("", |finding| &finding.name).to_owned(),
    }
}

/// Nodes and arrows, gone through from every look, reckoning and finding.
struct Graph<'a> {
    book: &'a Book,
    nodes: Vec<Node>,
    numbers: FxHashMap<Node, usize>,
    arrows: Vec<Arrow>,
}

impl<'a> Graph<'a> {
    fn of(book: &'a Book, written: &Written) -> Self {
        let mut graph = Self { book, nodes: Vec::new(), numbers: FxHashMap::default(), arrows: Vec::new() };
        for (index, look) in book.looks.iter().enumerate() {
            for place in graph.places_of(look.part) {
                graph.number(Node::Look(LookId::from_index(index), place));
            }
        }
        for index in 0..book.reckons.len() {
            graph.number(Node::Reckon(ReckonId::from_index(index), None));
        }
        for index in 0..book.findings.len() {
            graph.number(Node::Finding(FindingId::from_index(index)));
        }
        // What an arrow leads to is a node in turn, so the list grows while it is gone through.
        let mut at = 0;
        while at < graph.nodes.len() {
            let node = graph.nodes[at];
            let before = graph.arrows.len();
            graph.needs(at, &node);
            for arrow in &mut graph.arrows[before..] {
                let named = (node.without_place(), graph.nodes[arrow.to].without_place());
                if let Some(span) = written.values.get(&named) {
                    arrow.span = *span;
                }
            }
            at += 1;
        }
        graph
    }

    fn number(&mut self, node: Node) -> usize {
        let next = self.nodes.len();
        let number = *self.numbers.entry(node).or_insert(next);
        if number == next {
            self.nodes.push(node);
        }
        number
    }

    fn arrow(&mut self, from: usize, to: Node, span: Span) {
        let to = self.number(to);
        self.arrows.push(Arrow { from, to, span });
    }

    /// The fixed places of a part, or none once for a part without them.
    fn places_of(&self, part: PartId) -> Vec<Option<PlaceId>> {
        match self.book.parts.get(part.index()).map(|part| &part.places) {
            Some(Places::Fixed(places)) => {
                (0..places.len()).map(|at| Some(PlaceId(u32::try_from(at).unwrap_or(u32::MAX)))).collect()
            }
            _ => vec![None],
        }
    }

    fn needs(&mut self, from: usize, node: &Node) {
        let book = self.book;
        match node {
            Node::Part(part) => {
                if let Some(condition) = book.parts.get(part.index()).and_then(|part| part.only_when.as_ref()) {
                    self.condition(from, condition, None);
                }
            }
            Node::Place(part, place) => {
                let fixed = book.parts.get(part.index()).and_then(|part| part.fixed_places().get(place.index()));
                if let Some(condition) = fixed.and_then(|place| place.only_when.as_ref()) {
                    self.condition(from, condition, Some((*part, *place)));
                }
            }
            Node::Look(look, place) => {
                let Some(look) = book.looks.get(look.index()) else { return };
                let span = look.origin.span;
                self.arrow(from, Node::Part(look.part), span);
                if let Some(place) = place {
                    self.arrow(from, Node::Place(look.part, *place), span);
                }
                if let Some(condition) = &look.only_when {
                    self.condition(from, condition, place.map(|place| (look.part, place)));
                }
            }
            Node::Reckon(reckon, hand) => {
                if let Some(reckon) = book.reckons.get(reckon.index()) {
                    self.value(from, &reckon.value, *hand, reckon.origin.span);
                }
            }
            Node::Table(table, hand) => {
                let Some(table) = book.tables.get(table.index()) else { return };
                let span = table.origin.span;
                for key in &table.keys {
                    match key {
                        TableKey::Look(at) => self.look(from, *at, *hand, span),
                        TableKey::Place(part) => self.arrow(from, Node::Part(*part), span),
                    }
                }
                for row in &table.rows {
                    self.value(from, &row.value, *hand, span);
                }
            }
            Node::Finding(finding) => {
                let Some(finding) = book.findings.get(finding.index()) else { return };
                self.arrow(from, Node::Part(finding.on), finding.origin.span);
                for condition in std::iter::once(&finding.signs).chain(&finding.unless) {
                    self.condition(from, condition, None);
                }
            }
        }
    }

    fn condition(&mut self, from: usize, condition: &Condition, hand: Hand) {
        match condition {
            Condition::All(inner) | Condition::Any(inner) | Condition::AtLeast(_, inner) => {
                inner.iter().for_each(|condition| self.condition(from, condition, hand));
            }
            Condition::Not(inner) => self.condition(from, inner, hand),
            Condition::Test(test, span) => self.test(from, test, hand, *span),
            Condition::Places { part, with, span, .. } => {
                self.arrow(from, Node::Part(*part), *span);
                for place in self.places_of(*part).into_iter().flatten() {
                    self.arrow(from, Node::Place(*part, place), *span);
                }
                self.condition(from, with, hand.filter(|(other, _)| other != part));
            }
            Condition::Found(finding, span) => self.arrow(from, Node::Finding(*finding), *span),
        }
    }

    fn test(&mut self, from: usize, test: &Test, hand: Hand, span: Span) {
        match test {
            Test::IsOneOf { look, .. } | Test::HasAny { look, .. } | Test::NoDate { look, .. } => {
                self.look(from, *look, hand, span)
            }
            Test::Compare(_, left, right) => [left, right].into_iter().for_each(|value| self.value(from, value, hand, span)),
            Test::Between(value, low, high) => {
                [value, low, high].into_iter().for_each(|value| self.value(from, value, hand, span));
            }
            // The place in hand is known, and totals are judged last.
            Test::PlaceIs { .. } | Test::TotalUrgency { .. } | Test::TotalTier { .. } => {}
        }
    }

    fn value(&mut self, from: usize, value: &Value, hand: Hand, span: Span) {
        match value {
            Value::Look(at) => self.look(from, *at, hand, span),
            Value::Table(table) => self.arrow(from, Node::Table(*table, hand), span),
            Value::Reckon(reckon) => self.arrow(from, Node::Reckon(*reckon, hand), span),
            Value::Arithmetic(_, one, other)
            | Value::Lower(one, other)
            | Value::Higher(one, other)
            | Value::DaysFrom(one, other) => {
                self.value(from, one, hand, span);
                self.value(from, other, hand, span);
            }
            Value::Negative(inner) => self.value(from, inner, hand, span),
            Value::Formula(_, inner) => inner.iter().for_each(|value| self.value(from, value, hand, span)),
            // The record before is written and known.
            Value::Last(_) | Value::Number(_) | Value::Range(..) | Value::Date(_) | Value::InspectedOn | Value::TotalCost => {}
        }
    }

    fn look(&mut self, from: usize, at: LookAt, hand: Hand, span: Span) {
        let Some(look) = self.book.looks.get(at.look.index()) else { return };
        let part = look.part;
        let places = match at.place {
            PlaceAt::Single => vec![None],
            PlaceAt::Fixed(place) => vec![Some(place)],
            PlaceAt::Here => match hand {
                Some((other, place)) if other == part => vec![Some(place)],
                _ => self.places_of(part),
            },
        };
        for place in places {
            self.arrow(from, Node::Look(at.look, place), span);
        }
    }
}
