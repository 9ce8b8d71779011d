//! Building a layout: findings at their places, what they cost, and the rooms they fall into.

use num_traits::{CheckedMul, One};
use purfle_lang::book::{AidId, Book, Cost, FindingId, LookId, PartId, Value, WorkId};
use purfle_lang::cells::Cells;
use purfle_lang::evaluate::{InHand, Input, LookSpot, Spot, evaluate, inputs_of};
use purfle_lang::finite::classify::{Fixed, key_size};
use purfle_lang::finite::compile::{Compiler, Found, Owner};
use purfle_lang::finite::node::{InstanceId, Node, VariableId};
use purfle_lang::finite::written_out;
use purfle_lang::number::Number;
use rustc_hash::FxHashMap;

use super::layout::{Instance, Layout, Occurrence, OtherWay};
use super::price::{OpenPrice, Price, PriceTable, Scaled, to_scaled};
use super::rooms;

/// Why a rulebook cannot be made ready.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TooFine {
    /// The look that is cut into too many cells.
    pub look: LookId,
}

/// Conditions of counsels and funds, ready to run.
#[derive(Debug, Clone, Default)]
pub struct Whole {
    /// For each counsel, when it applies.
    pub counsels: Vec<Node>,
    /// For each fund, whom it is for.
    pub aids: Vec<Node>,
}

/// The book over concrete places, with what is judged last.
#[derive(Debug, Clone, Default)]
pub struct Built {
    /// Findings and rooms.
    pub layout: Layout,
    /// Counsels and funds.
    pub whole: Whole,
    /// Prices worked out anew for each record.
    pub open_prices: Vec<OpenPrice>,
    /// Whether every price is a whole number of shares.
    pub exact_prices: bool,
}

struct Builder<'a> {
    compiler: Compiler<'a>,
    known_prices: &'a mut FxHashMap<Asked, Prices>,
    scale: Scaled,
    occurrences: Vec<Occurrence>,
    occurrence_of: FxHashMap<(WorkId, Option<(PartId, Spot)>), u32>,
    open_prices: Vec<OpenPrice>,
    exact_prices: bool,
}

/// Writes the book out for records with these numbers of places as found. `written_out` keeps what is the same for others.
pub fn build(
    book: &Book,
    counts: &FxHashMap<PartId, Found>,
    scale: Scaled,
    written_out: &mut WrittenOut,
) -> Result<Built, TooFine> {
    let mut builder = Builder {
        compiler: Compiler::new(book, counts, &mut written_out.conditions),
        known_prices: &mut written_out.prices,
        scale,
        occurrences: Vec::new(),
        occurrence_of: FxHashMap::default(),
        open_prices: Vec::new(),
        exact_prices: true,
    };
    let places = builder.announce();
    builder.walk(&places);
    builder.compiler.learnt();
    if let Some(look) = builder.compiler.too_many_cells() {
        return Err(TooFine { look: look.look });
    }
    let (instances, whole) = builder.walk(&places);
    let Builder { compiler, mut occurrences, open_prices, exact_prices, .. } = builder;
    include(book, &mut occurrences);
    let mut layout = Layout { view: compiler.view, instances, occurrences, ..Layout::default() };
    rooms::group(book, &mut layout, &whole);
    Ok(Built { layout, whole, open_prices, exact_prices })
}

impl Builder<'_> {
    /// Lists every finding at every place, then those that only something left can bring about: a finding on each
    /// of a part, reached from elsewhere, comes about at one place that nobody has named.
    fn announce(&mut self) -> Vec<(FindingId, Spot, bool)> {
        let book = self.compiler.book;
        let here = self.compiler.announce_findings();
        let mut places: Vec<_> = here.into_iter().map(|(finding, spot)| (finding, spot, false)).collect();
        let mut reached: Vec<FindingId> = Vec::new();
        for finding in &book.findings {
            for arrow in &finding.becomes {
                let to = &book[arrow.to];
                let same = finding.each && to.each && finding.on == to.on;
                if to.each && !same && !reached.contains(&arrow.to) {
                    reached.push(arrow.to);
                }
            }
        }
        // What an unnamed place becomes in its turn, at that same place.
        let mut next = 0;
        while let Some(&finding) = reached.get(next) {
            next += 1;
            for arrow in &book[finding].becomes {
                if book[arrow.to].each && book[arrow.to].on == book[finding].on && !reached.contains(&arrow.to) {
                    reached.push(arrow.to);
                }
            }
        }
        places.extend(reached.into_iter().map(|finding| (finding, UNNAMED, true)));
        places
    }

    fn walk(&mut self, places: &[(FindingId, Spot, bool)]) -> (Vec<Instance>, Whole) {
        self.compiler.lay_out_looks();
        let instances =
            places.iter().map(|&(finding, spot, only_left)| self.instance(finding, spot, only_left, places)).collect();
        let book = self.compiler.book;
        let nothing = InHand::nothing();
        let counsels =
            book.counsels.iter().map(|counsel| self.compiler.condition(&counsel.when, &nothing, None, false)).collect();
        let aids = book
            .aids
            .iter()
            .map(|aid| aid.who.as_ref().map_or(Node::Constant(true), |who| self.compiler.condition(who, &nothing, None, false)))
            .collect();
        // What a fund needs answered: its answer decides.
        for look in book.aids.iter().flat_map(|aid| &aid.needs) {
            for spot in self.compiler.spots(book[*look].part) {
                self.compiler.price_variable(LookSpot { look: *look, spot });
            }
        }
        (instances, Whole { counsels, aids })
    }

    fn instance(&mut self, id: FindingId, spot: Spot, only_left: bool, places: &[(FindingId, Spot, bool)]) -> Instance {
        let book = self.compiler.book;
        let finding = &book[id];
        let hand = if finding.each { InHand::nothing().with(finding.on, spot) } else { InHand::nothing() };
        let owner: Owner = finding.each.then_some((finding.on, spot));
        let mut signs = Vec::new();
        let (holds, lines, raises) = if only_left {
            (Node::Constant(false), Vec::new(), Vec::new())
        } else {
            let standing = self.compiler.standing(id, spot);
            single_tests(&standing.signs, &mut signs);
            (standing.holds, standing.lines, standing.raises)
        };
        let at = if finding.each { (finding.on, spot) } else { (finding.on, Spot::Single) };
        let Cost { work, goods, on_sight } = finding.counted_cost();
        let occurrences: Vec<u32> = work.iter().map(|&work| self.occurrence(work, at, &hand)).collect();
        let goods: Vec<Price> = goods.iter().map(|goods| self.price(&goods.price, Number::one(), &hand)).collect();
        let ways = finding.ways.iter().skip(1).map(|way| OtherWay {
            occurrences: way.cost.work.iter().map(|&work| self.occurrence(work, at, &hand)).collect(),
            goods: way.cost.goods.iter().map(|goods| self.price(&goods.price, Number::one(), &hand)).collect(),
            on_sight: way.cost.on_sight,
        });
        let ways = ways.collect();
        let find = |wanted: FindingId, same: Option<Spot>| -> Vec<InstanceId> {
            let fits = |(f, s, left): &(FindingId, Spot, bool)| *f == wanted && same.map_or(!left, |same| same == *s);
            (0..places.len()).filter(|&i| fits(&places[i])).map(|i| i as InstanceId).collect()
        };
        let mut yields_to = Vec::new();
        for &other in &finding.yields_to {
            let same = self.compiler.same_place(owner, other);
            let fits = |(f, s, _): &(FindingId, Spot, bool)| *f == other && same.is_none_or(|same| same == *s);
            yields_to.extend((0..places.len()).filter(|&i| fits(&places[i])).map(|i| i as InstanceId));
        }
        let mut becomes = Vec::new();
        for arrow in &finding.becomes {
            let to = &book[arrow.to];
            let same = self.compiler.same_place(owner, arrow.to);
            let place = match same {
                Some(same) => Some(same),
                None if to.each => Some(UNNAMED),
                None => Some(Spot::Single),
            };
            let applies = match same {
                Some(same) if same != UNNAMED => self.compiler.place_applies(to.on, same),
                _ => self.compiler.part_applies(to.on),
            };
            becomes.extend(find(arrow.to, place).into_iter().map(|goal| (goal, arrow.odds, applies.clone())));
        }
        let named_by = (0..book.aids.len()).map(AidId::from_index).filter(|aid| book[*aid].covers.contains(&id)).collect();
        Instance {
            finding: id,
            spot,
            holds,
            lines,
            raises,
            hands: finding.counted_hands(),
            signs,
            works: !occurrences.is_empty(),
            occurrences,
            goods,
            ways,
            on_sight: *on_sight,
            yields_to,
            becomes,
            only_left,
            named_by,
        }
    }

    fn occurrence(&mut self, work: WorkId, at: (PartId, Spot), hand: &InHand) -> u32 {
        let book = self.compiler.book;
        let step = &book[work];
        let at = (!step.once).then_some(at);
        let rate =
            if step.timed { book[step.by].rate.unwrap_or_else(Number::one) / Number::from_integer(60) } else { Number::one() };
        if let Some(&known) = self.occurrence_of.get(&(work, at)) {
            if self.compiler.learning() {
                return known;
            }
            if (known as usize) < self.occurrences.len() {
                return known;
            }
        }
        let price = self.price(&step.amount, rate, if step.once { &ONCE } else { hand });
        if self.compiler.learning() {
            return 0;
        }
        let id = self.occurrences.len() as u32;
        self.occurrence_of.insert((work, at), id);
        self.occurrences.push(Occurrence { work, at, price, included_by: Vec::new() });
        id
    }

    fn price(&mut self, value: &Value, rate: Number, hand: &InHand) -> Price {
        let book = self.compiler.book;
        let (mut numbers, mut keys) = (Vec::new(), Vec::new());
        inputs_of(book, value, hand, &mut numbers, &mut keys);
        let mut looks: Vec<LookSpot> = keys.clone();
        let mut counted: Vec<LookSpot> = Vec::new();
        let mut open = false;
        for input in &numbers {
            match input {
                Input::Look(look) if self.compiler.price_variable(*look).is_some() => counted.push(*look),
                _ => open = true,
            }
        }
        looks.extend(&counted);
        let applies: Vec<(LookSpot, Node)> = looks.iter().map(|&look| (look, self.compiler.look_applies(look))).collect();
        let variables: Vec<VariableId> = looks.iter().filter_map(|&look| self.compiler.price_variable(look)).collect();
        if self.compiler.learning() {
            return Price::Open(0);
        }
        let points = counted.iter().all(|&look| {
            let variable = self.compiler.price_variable(look).map(|v| &self.compiler.view.variables[v as usize]);
            variable.is_some_and(|v| v.cells.iter().all(|cell| matches!(cell, purfle_lang::cells::Cell::Point(_))))
        });
        if open || !points || variables.len() != looks.len() {
            self.exact_prices &= !open;
            self.open_prices.push(OpenPrice { value: value.clone(), hand: hand.clone(), rate });
            return Price::Open(self.open_prices.len() as u32 - 1);
        }
        let doubtful: Vec<usize> = (0..looks.len()).filter(|&i| applies[i].1 != Node::Constant(true)).collect();
        let mut tables = Vec::new();
        for absent in 0..1_u32 << doubtful.len().min(12) {
            let is_absent = |i: usize| doubtful.iter().position(|&d| d == i).is_some_and(|bit| absent >> bit & 1 == 1);
            let guard = Node::all(
                applies
                    .iter()
                    .enumerate()
                    .map(|(i, (_, node))| if is_absent(i) { Node::unmet(node.clone()) } else { node.clone() }),
            );
            if guard == Node::Constant(false) {
                continue;
            }
            let mut strides: Vec<(usize, VariableId, u32)> = Vec::new();
            let mut size = 1_u32;
            for (i, &variable) in variables.iter().enumerate() {
                if !is_absent(i) {
                    strides.push((i, variable, size));
                    size *= self.compiler.view.variables[variable as usize].size as u32;
                }
            }
            let hangs_on = strides.iter().map(|(i, variable, _)| {
                let variable = &self.compiler.view.variables[*variable as usize];
                let cells = (*i >= keys.len()).then(|| variable.cells.clone());
                HangsOn { look: looks[*i], size: variable.size, cells }
            });
            let asked = Asked { value: value.clone(), hand: hand.clone(), rate, scale: self.scale, hangs_on: hangs_on.collect() };
            let (prices, exact) = self.known_prices.entry(asked).or_insert_with_key(|asked| prices(book, asked)).clone();
            self.exact_prices &= exact;
            tables.push(PriceTable { guard, variables: strides.iter().map(|(_, v, s)| (*v, *s)).collect(), prices });
        }
        Price::Table(tables)
    }
}

/// A look that a price hangs on.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
struct HangsOn {
    look: LookSpot,
    /// How many cells it has.
    size: usize,
    /// Which; none for one that picks a table's row.
    cells: Option<Cells>,
}

/// What the prices of an amount hang on.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
struct Asked {
    value: Value,
    hand: InHand,
    rate: Number,
    scale: Scaled,
    hangs_on: Vec<HangsOn>,
}

/// The price for each combination of cells, and whether all of them are whole numbers of shares.
type Prices = (Vec<Option<(Scaled, Scaled)>>, bool);

/// What was written out of one book before, for other numbers of places as found.
#[derive(Debug, Default)]
pub struct WrittenOut {
    conditions: written_out::WrittenOut,
    prices: FxHashMap<Asked, Prices>,
}

/// Works out an amount for each combination of the cells that it hangs on, the first look fastest.
fn prices(book: &Book, Asked { value, hand, rate, scale, hangs_on }: &Asked) -> Prices {
    let mut all_exact = true;
    let price = |number: usize| {
        let mut rest = number;
        let mut keys: Vec<(LookSpot, Option<usize>)> = Vec::new();
        let mut numbers: Vec<(Input, Number)> = Vec::new();
        for HangsOn { look, size, cells } in hangs_on {
            let cell = rest % size;
            rest /= size;
            match cells {
                None => keys.push((*look, Some(cell % key_size(book, *look)))),
                Some(cells) => numbers.extend(cells.sample(cell % cells.len()).map(|sample| (Input::Look(*look), sample))),
            }
        }
        let worked = evaluate(book, value, hand, &Fixed { numbers: &numbers, keys: &keys });
        let sum = worked.and_then(|w| Some((w.low.0.checked_mul(rate)?, w.high.1.checked_mul(rate)?)));
        let (low, high, exact) = sum.and_then(|(low, high)| to_scaled(low, high, *scale))?;
        all_exact &= exact;
        Some((low, high))
    };
    let prices = (0..hangs_on.iter().map(|look| look.size).product()).map(price).collect();
    (prices, all_exact)
}

/// What makes each occurrence fall away: another in which its step is included, done for the whole instrument, or
/// at the same place, or either of them once.
fn include(book: &Book, occurrences: &mut [Occurrence]) {
    let all: Vec<(WorkId, Option<(PartId, Spot)>)> = occurrences.iter().map(|o| (o.work, o.at)).collect();
    for occurrence in occurrences {
        for (i, (other, at)) in all.iter().enumerate() {
            let meets = at.is_none() || occurrence.at.is_none() || *at == occurrence.at;
            if meets && book.includes(*other, occurrence.work) {
                occurrence.included_by.push(i as u32);
            }
        }
    }
}

/// The place of a finding that something left brings about at a place nobody has named.
pub const UNNAMED: Spot = Spot::Found(u32::MAX);

/// A step done once for the instrument has no place in hand.
static ONCE: std::sync::LazyLock<InHand> = std::sync::LazyLock::new(InHand::nothing);

/// The single tests in a condition, as written: what a plain opposite holds is no sign.
fn single_tests(node: &Node, into: &mut Vec<Node>) {
    match node {
        Node::All(nodes) | Node::Any(nodes) | Node::AtLeast(_, nodes) => nodes.iter().for_each(|n| single_tests(n, into)),
        Node::Met(_) | Node::Opposite(_) | Node::Holds(_) => into.push(node.clone()),
        Node::Constant(_) | Node::Unmet(_) => {}
    }
}
