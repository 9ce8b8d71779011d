//! A book written out for questions about all records at once: its finite view, with every finding, test and `good`.

use rustc_hash::FxHashMap;

use super::enough::{self, Needs};
use super::prices::{Priced, prices};
use super::sites::{self, Site, sites};
use crate::book::{Book, Condition, FindingId, Good, LookId, PartId, PlaceAt, Test, Value};
use crate::cells::Cell;
use crate::evaluate::{InHand, LookSpot, Spot};
use crate::finite::compile::{Compiler, Found, Owner};
use crate::finite::node::{Node, VariableId};
use crate::finite::standing::Standing;
use crate::finite::unnamed::unnamed_places;
use crate::finite::view::{SlotId, Stands, View};
use crate::finite::written_out::WrittenOut;
use crate::search::{Conditions, Question, Space, Verdict, Written};

/// A book written out. Of a part with places as found there are as many places as a record of which nothing is written
/// stands for, or more where a proof needs them, and each may be there or not.
#[derive(Debug)]
pub struct World<'a> {
    /// The book.
    pub book: &'a Book,
    /// Its looks and tests.
    pub view: View,
    /// Every finding at every place, in the book's order.
    pub standings: Vec<Standing>,
    /// The standings of each finding, by index.
    pub of: Vec<Vec<usize>>,
    /// The looks that the signs of each standing name.
    pub named: Vec<Vec<LookSpot>>,
    /// The tests of each finding as written, by index.
    pub signs: Vec<Vec<Site>>,
    /// When each `unless` of each finding is met, at each of its places.
    pub unless: Vec<Vec<Vec<Node>>>,
    /// What is good of each look at a place; none where it has no `good`.
    pub goods: Vec<Option<Node>>,
    /// When each counsel applies.
    pub counsels: Vec<Node>,
    /// Whom each fund is for.
    pub aids: Vec<Node>,
    /// When each raise counts, at each place of each part it is on.
    pub raises: Vec<Vec<Node>>,
    /// Prices that may fall below nought, as far as the ends of their looks show, and when they do.
    pub prices: Vec<Priced>,
    /// Everything that says when a part, a place or a look applies.
    pub only_when: Vec<OnlyWhen>,
    /// When each standing holds.
    pub holds: Vec<Node>,
    /// The variables that decide whether each standing holds, rising.
    pub decides: Vec<Vec<VariableId>>,
    /// The cells of its variables.
    pub space: Space,
    /// Its tests and findings as boxes.
    pub written: Written,
    /// The cell of each variable that a good instrument shows, or its first.
    pub ordinary: Vec<u8>,
    /// The tests of everything else that asks something: `unless`, `if`, `when`, `for` and `only when`.
    pub asked: Vec<Site>,
    /// How many places each part with places as found has.
    places: FxHashMap<PartId, Found>,
    /// Where the text of its own rulebook ends.
    pub end: usize,
    /// Whether that text ends in the middle of a line.
    pub ends_open: bool,
}

/// One `only when`.
#[derive(Debug, Clone)]
pub struct OnlyWhen {
    /// The part.
    pub part: PartId,
    /// The look, where it belongs to one.
    pub look: Option<LookId>,
    /// The place, where it belongs to one.
    pub place: Option<usize>,
    /// When it is met, at one place or another.
    pub node: Node,
}

/// A look that is cut into too many cells to be kept apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TooFine(pub LookId);

impl<'a> World<'a> {
    /// Writes a book out; `text` is that of its own rulebook.
    pub fn new(book: &'a Book, text: &str) -> Result<Self, TooFine> {
        let needs = enough::of_each_item(book);
        // What a price cuts may be too much for a look that the judge can keep apart.
        Self::written_out(book, text, &needs, true).or_else(|_| Self::with_places(book, text, &needs))
    }

    /// The same with as many places of each part as found as a claim needs.
    pub fn with_places(book: &'a Book, text: &str, needs: &Needs) -> Result<Self, TooFine> {
        Self::written_out(book, text, needs, false)
    }

    /// The same, with its prices or without.
    fn written_out(book: &'a Book, text: &str, needs: &Needs, priced: bool) -> Result<Self, TooFine> {
        let counts: FxHashMap<PartId, Found> = unnamed_places(book)
            .into_iter()
            .map(|(part, unnamed)| (part, Found { recorded: 0, unnamed: needs.places(part, unnamed) }))
            .collect();
        let mut written_out = WrittenOut::default();
        let mut compiler = Compiler::new(book, &counts, &mut written_out);
        let places = compiler.announce_findings();
        walk(&mut compiler, &places, priced);
        compiler.learnt();
        if let Some(look) = compiler.too_many_cells() {
            return Err(TooFine(look.look));
        }
        let walked = walk(&mut compiler, &places, priced);
        let Walked { standings, named, signs, asked, unless, goods, counsels, aids, raises, prices, only_when } = walked;
        let mut of = vec![Vec::new(); book.findings.len()];
        for (at, (finding, _)) in places.iter().enumerate() {
            of[finding.index()].push(at);
        }
        let holds: Vec<Node> = standings.iter().map(|standing| standing.holds.clone()).collect();
        let view = compiler.view;
        let conditions = Conditions { atoms: &view.atoms, holds: &holds, written: None };
        let decides = holds.iter().map(|holds| conditions.reads(holds)).collect();
        let space = Space::new(view.variables.iter().map(|variable| variable.size));
        let ordinary = ordinary(&view, &goods, &space);
        let written = Written::of(&space, Conditions { atoms: &view.atoms, holds: &holds, written: None });
        let (end, ends_open) = (text.len(), !text.ends_with('\n'));
        Ok(Self {
            book,
            view,
            standings,
            of,
            named,
            signs,
            unless,
            goods,
            counsels,
            aids,
            raises,
            prices,
            only_when,
            holds,
            decides,
            space,
            written,
            ordinary,
            asked,
            places: counts,
            end,
            ends_open,
        })
    }

    /// Whether there are so many places that what never happens here never happens with more of them either.
    pub fn enough(&self, needs: &Needs) -> bool {
        needs.fit(|part| self.places.get(&part).map_or(0, |found| found.unnamed))
    }

    /// The same for what concerns one finding.
    pub fn enough_for(&self, finding: usize) -> bool {
        let finding = &self.book.findings[finding];
        let holds = enough::holds(self.book, finding, true).and(&enough::step(self.book, finding));
        self.enough(&holds) && self.enough(&enough::at_one_place(self.book, finding))
    }

    /// The slot a variable is of, if it is a look's.
    pub fn slot(&self, variable: VariableId) -> Option<SlotId> {
        self.view.variables[variable as usize].slot
    }

    /// Whether a variable stands for something that the looks beside it decide as well, so that not every choice of its
    /// cells is one that an instrument can show.
    pub fn derived(&self, variable: VariableId) -> bool {
        let variable = &self.view.variables[variable as usize];
        match &variable.stands {
            Stands::Expression(..) | Stands::Opaque(..) => true,
            Stands::Look(_, dynamics) => !dynamics.is_empty(),
            Stands::Choice(..) | Stands::Exists(..) | Stands::TotalUrgency | Stands::TotalTier => false,
        }
    }

    /// Whether a variable is a look of what is not a piece of the instrument, or a piece's own tag or kind.
    pub fn is_context(&self, variable: VariableId) -> bool {
        self.slot(variable).is_some_and(|slot| {
            let look = self.view.slots[slot as usize].look;
            self.book[self.book[look.look].part].context
        })
    }

    /// What conditions refer to.
    pub fn conditions(&self) -> Conditions<'_> {
        Conditions { atoms: &self.view.atoms, holds: &self.holds, written: Some(&self.written) }
    }

    /// All variables a condition reads, through findings too; rising, each once.
    pub fn reads(&self, node: &Node) -> Vec<VariableId> {
        self.conditions().reads(node)
    }

    /// A case that meets these conditions and none of those, as ordinary as can be; or that there is none.
    pub fn case(&self, meeting: &[&Node], avoiding: &[&Node]) -> Verdict {
        let question = Question::new(&self.space).speaking_of(self.conditions()).preferring(&self.ordinary);
        let question = meeting.iter().fold(question, |question, node| question.meeting(node));
        question.avoiding_conditions(avoiding.iter().copied()).answer()
    }

    /// The tests of all conditions of the book that name the look of a variable at its place and are decided by the variable
    /// itself, when each is met. One that reckons with the look and others is decided by what comes of it.
    pub fn tests_of(&self, variable: VariableId) -> Vec<Node> {
        self.naming(variable).filter(|met| self.decides_itself(variable, met)).cloned().collect()
    }

    /// Whether a condition of the book reckons with the look of a variable at its place and with others: then it is not the
    /// look alone that says whether anything is said of what it shows.
    pub fn is_reckoned_with(&self, variable: VariableId) -> bool {
        self.naming(variable).any(|met| *met != Node::Constant(false) && !self.decides_itself(variable, met))
    }

    /// The tests that name the look of a variable at its place, when each is met.
    fn naming(&self, variable: VariableId) -> impl Iterator<Item = &Node> {
        let look = self.slot(variable).map(|slot| self.view.slots[slot as usize].look);
        let sites = self.signs.iter().flatten().chain(&self.asked);
        let tests = sites.flat_map(|site| site.met.iter().zip(&site.named));
        tests.filter(move |(_, named)| look.is_some_and(|look| named.contains(&look))).map(|(met, _)| met)
    }

    fn decides_itself(&self, variable: VariableId, met: &Node) -> bool {
        let mut variables = Vec::new();
        met.variables(&self.view.atoms, &mut variables);
        variables.contains(&variable)
    }

    /// Whether no case at all meets these conditions and none of those.
    pub fn never(&self, meeting: &[&Node], avoiding: &[&Node]) -> bool {
        matches!(self.case(meeting, avoiding), Verdict::None(_))
    }
}

/// The cell of each variable that a good instrument shows, as far as the variable alone decides; else its first.
fn ordinary(view: &View, goods: &[Option<Node>], space: &Space) -> Vec<u8> {
    let mut sets = space.wholes().to_vec();
    let mut cells = vec![0; sets.len()];
    for (slot, good) in view.slots.iter().zip(goods) {
        let Some(good) = good else { continue };
        for variable in slot.variable.into_iter().chain(slot.choices.iter().map(|(_, variable)| *variable)) {
            let whole = sets[variable as usize];
            let possible = |cell: &u32| {
                sets[variable as usize] = 1 << cell;
                good.bounds(&view.atoms, &sets, &[]).possibly
            };
            let size = view.variables[variable as usize].size as u32;
            let good: Vec<u32> = (0..size).filter(possible).collect();
            // Within a range is more ordinary than at its end.
            let within = good.iter().find(|cell| {
                let known = &view.variables[variable as usize].cells;
                matches!(known.get(**cell as usize % known.len()), Some(Cell::Between(..)))
            });
            cells[variable as usize] = *within.or(good.first()).unwrap_or(&0) as u8;
            sets[variable as usize] = whole;
        }
    }
    cells
}

struct Walked {
    standings: Vec<Standing>,
    named: Vec<Vec<LookSpot>>,
    signs: Vec<Vec<Site>>,
    asked: Vec<Site>,
    unless: Vec<Vec<Vec<Node>>>,
    goods: Vec<Option<Node>>,
    counsels: Vec<Node>,
    aids: Vec<Node>,
    raises: Vec<Vec<Node>>,
    prices: Vec<Priced>,
    only_when: Vec<OnlyWhen>,
}

fn walk(compiler: &mut Compiler<'_>, places: &[(FindingId, Spot)], priced: bool) -> Walked {
    let book = compiler.book;
    compiler.lay_out_looks();
    let standings: Vec<Standing> = places.iter().map(|&(finding, spot)| compiler.standing(finding, spot)).collect();
    let nothing = InHand::nothing();
    let mut signs = vec![Vec::new(); book.findings.len()];
    let mut unless = vec![Vec::new(); book.findings.len()];
    let mut asked = Vec::new();
    let mut named = Vec::with_capacity(places.len());
    for &(id, spot) in places {
        let finding = &book[id];
        let hand = if finding.each { nothing.with(finding.on, spot) } else { nothing.clone() };
        let owner: Owner = finding.each.then_some((finding.on, spot));
        sites(compiler, &finding.signs, &hand, owner, false, &mut signs[id.index()]);
        let mut looks = Vec::new();
        sites::named(compiler, &finding.signs, &hand, &mut looks);
        named.push(looks);
        let met = finding.unless.iter().map(|unless| compiler.condition(unless, &hand, owner, false)).collect();
        unless[id.index()].push(met);
        for also in finding.unless.iter().chain(finding.urgency.iter().filter_map(|line| line.when.as_ref())) {
            sites(compiler, also, &hand, owner, false, &mut asked);
        }
    }
    let goods = goods(compiler);
    let counsels = book.counsels.iter().map(|counsel| compiler.condition(&counsel.when, &nothing, None, false)).collect();
    let aids = book
        .aids
        .iter()
        .map(|aid| aid.who.as_ref().map_or(Node::Constant(true), |who| compiler.condition(who, &nothing, None, false)))
        .collect();
    let whole = book.counsels.iter().map(|counsel| &counsel.when).chain(book.aids.iter().filter_map(|aid| aid.who.as_ref()));
    whole.for_each(|when| sites(compiler, when, &nothing, None, false, &mut asked));
    let mut raises = Vec::with_capacity(book.raises.len());
    for raise in &book.raises {
        let mut met = Vec::new();
        for &part in &raise.on {
            for spot in compiler.spots(part) {
                let hand = if book[part].repeats() { nothing.with(part, spot) } else { nothing.clone() };
                let owner = book[part].repeats().then_some((part, spot));
                met.push(compiler.condition(&raise.when, &hand, owner, false));
                sites(compiler, &raise.when, &hand, owner, false, &mut asked);
            }
        }
        raises.push(met);
    }
    for (part, whole) in book.parts.iter().enumerate() {
        let part = PartId::from_index(part);
        for spot in compiler.spots(part) {
            let hand = nothing.with(part, spot);
            let place = if let Spot::Fixed(at) = spot { whole.fixed_places()[at as usize].only_when.as_ref() } else { None };
            let looks = whole.looks.iter().filter_map(|look| book[*look].only_when.as_ref());
            for only_when in whole.only_when.iter().chain(place).chain(looks) {
                sites(compiler, only_when, &hand, None, false, &mut asked);
            }
        }
    }
    let prices = if priced { prices(compiler, places) } else { Vec::new() };
    let only_when = only_when(compiler);
    Walked { standings, named, signs, asked, unless, goods, counsels, aids, raises, prices, only_when }
}

/// What is good of every look at every place, in the order of the slots.
fn goods(compiler: &mut Compiler<'_>) -> Vec<Option<Node>> {
    let book = compiler.book;
    let mut goods = Vec::new();
    for id in (0..book.looks.len()).map(LookId::from_index) {
        let look = &book[id];
        for spot in compiler.spots(look.part) {
            let hand = InHand::nothing().with(look.part, spot);
            let at =
                crate::book::LookAt { look: id, place: if book[look.part].repeats() { PlaceAt::Here } else { PlaceAt::Single } };
            let test = look.good.as_ref().map(|good| match good {
                Good::Choices(choices) if matches!(look.kind, crate::book::LookKind::SomeOf(_)) => {
                    let others: Vec<usize> = (0..look.choices().len()).filter(|choice| !choices.contains(choice)).collect();
                    let has = |choice: usize| Condition::Test(Test::HasAny { look: at, choices: vec![choice] }, look.origin.span);
                    let has_not = others.into_iter().map(|choice| Condition::Not(Box::new(has(choice))));
                    Condition::All(choices.iter().map(|&choice| has(choice)).chain(has_not).collect())
                }
                Good::Choices(choices) => {
                    Condition::Test(Test::IsOneOf { look: at, choices: choices.clone(), not: false }, look.origin.span)
                }
                Good::Range(value) => {
                    let test = Test::Between(Value::Look(at), value.clone(), value.clone());
                    Condition::Test(test, look.origin.span)
                }
                Good::NoDate => Condition::Test(Test::NoDate { look: at, not: false }, look.origin.span),
            });
            goods.push(test.map(|test| compiler.condition(&test, &hand, None, false)));
        }
    }
    goods
}

fn only_when(compiler: &mut Compiler<'_>) -> Vec<OnlyWhen> {
    let book = compiler.book;
    let mut all = Vec::new();
    for part in (0..book.parts.len()).map(PartId::from_index) {
        if book[part].only_when.is_some() {
            let node = compiler.part_applies(part);
            all.push(OnlyWhen { part, look: None, place: None, node });
        }
        for (at, place) in book[part].fixed_places().iter().enumerate() {
            if place.only_when.is_some() {
                let node = compiler.place_applies(part, Spot::Fixed(at as u32));
                all.push(OnlyWhen { part, look: None, place: Some(at), node });
            }
        }
        for &look in &book[part].looks {
            if book[look].only_when.is_some() {
                let spots = compiler.spots(part);
                let nodes: Vec<Node> = spots.into_iter().map(|spot| compiler.look_applies(LookSpot { look, spot })).collect();
                all.push(OnlyWhen { part, look: Some(look), place: None, node: Node::any(nodes) });
            }
        }
    }
    all
}
