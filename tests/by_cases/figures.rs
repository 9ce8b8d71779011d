//! Every figure of one case.

use purfle::outcome::Figure;
use purfle_lang::book::{HandId, PartId, StepId};

use super::case::{Case, Holding};
use super::fund::Said;
use super::price::{Job, Price};

/// What comes out of one case.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// What holds.
    pub holding: Vec<Holding>,
    /// Whether the instrument may be played, and then each part that stands apart.
    pub played: Vec<bool>,
    /// The highest step.
    pub urgency: StepId,
    /// The most skilled hand.
    pub hands: Option<HandId>,
    /// The price now.
    pub cost: Price,
    /// The price if left.
    pub left: Price,
    /// What each fund says.
    pub aid: Vec<Said>,
    /// Whether each counsel is met at either end of the total.
    pub counsel: Vec<(bool, bool)>,
}

/// The parts that stand apart, in the book's order.
pub fn apart(book: &purfle_lang::book::Book) -> Vec<PartId> {
    (0..book.parts.len()).map(PartId::from_index).filter(|part| book[*part].apart).collect()
}

impl Figures {
    /// Works a case out.
    pub fn of(case: &Case<'_>, quoted: Option<purfle_lang::number::Number>) -> Self {
        let book = case.book;
        let holding = case.holding();
        let urgency = holding.iter().map(|one| one.step).max().unwrap_or(StepId(0));
        let forbids = |one: &&Holding| book[one.step].not_played;
        let instrument = !holding.iter().filter(forbids).any(|one| !book[book[one.finding].on].apart);
        let piece = |part: PartId| !holding.iter().filter(forbids).any(|one| book[one.finding].on == part);
        let jobs: Vec<Job> = holding.iter().map(|one| (one.finding, one.place)).collect();
        let standing = case.standing(&jobs);
        let cost = case.price(&standing, true);
        let left = case.price(&case.standing(&case.left(&jobs, &|_| true)), true);
        let total = quoted.map_or((cost.low, cost.high), |quoted| (quoted, quoted));
        Self {
            played: std::iter::once(instrument).chain(apart(book).into_iter().map(piece)).collect(),
            urgency,
            hands: case.hands(&holding),
            cost,
            left,
            aid: book.aids.iter().map(|aid| case.aid(aid, &standing, quoted)).collect(),
            counsel: book.counsels.iter().map(|counsel| case.counsel(counsel, urgency, total)).collect(),
            holding,
        }
    }

    /// The figures in which two cases differ.
    pub fn differ(&self, other: &Self) -> impl Iterator<Item = Figure> {
        let said = |said: &Said| (said.pays, said.low, said.high);
        // That something is known only on sight changes no end of a sum.
        let ends = |price: &Price| (price.low, price.high);
        let aid = self.aid.iter().map(said).ne(other.aid.iter().map(said));
        [
            (Figure::Played, self.played != other.played),
            (Figure::Urgency, self.urgency != other.urgency),
            (Figure::Hands, self.hands != other.hands),
            (Figure::Cost, ends(&self.cost) != ends(&other.cost)),
            (Figure::Left, ends(&self.left) != ends(&other.left)),
            (Figure::Aid, aid),
            (Figure::Counsel, self.counsel != other.counsel),
        ]
        .into_iter()
        .filter_map(|(figure, differs)| differs.then_some(figure))
    }
}
