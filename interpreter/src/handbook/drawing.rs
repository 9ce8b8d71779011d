//! The picture of what leads to what: boxes in columns, each arrow from the left to the right.
//!
//! Libraries for this place the boxes, but not the words beside the arrows, nor a way for an arrow round a box; so the
//! columns, the order in them and the heights are worked out here, in whole units. Every arrow runs straight beside its
//! words, and slants only in a strip that nothing else stands in: so nothing covers anything.

mod columns;
mod heights;
mod split;
#[cfg(test)]
mod tests;
mod text;

pub use split::{Arrow, split};

use columns::{Columns, Stop, columns};
use heights::heights;
use text::{lines, width};

/// How wide a box is.
const BOX: i32 = 152;
/// What stands between the edge of a box and its words.
const INSIDE: i32 = 7;
/// From one line of words to the next.
const LINE: i32 = 14;
/// The height that an arrow takes for itself, with its words.
const ARROW: i32 = 17;
/// The strip in which arrows slant.
const SLANT: i32 = 40;
/// Between two boxes of a column.
const GAP: i32 = 12;
/// The most lines of words in a box; all of them stand beside the picture.
const MOST_LINES: usize = 4;

/// A picture. All numbers are its own units.
#[derive(Debug)]
pub struct Drawing {
    /// Its width.
    pub width: i32,
    /// Its height.
    pub height: i32,
    /// Its boxes.
    pub boxes: Vec<DrawnBox>,
    /// Its arrows.
    pub arrows: Vec<DrawnArrow>,
}

/// A box of a picture.
#[derive(Debug)]
pub struct DrawnBox {
    /// The node it stands for.
    pub node: usize,
    /// Left.
    pub x: i32,
    /// Top.
    pub y: i32,
    /// Width.
    pub width: i32,
    /// Height.
    pub height: i32,
    /// Whether it is drawn thick.
    pub thick: bool,
    /// Its number, and where that stands.
    pub number: Words,
    /// Its words, line by line.
    pub lines: Vec<Words>,
}

/// Words of a picture: where they begin, their base line, and what they say.
#[derive(Debug)]
pub struct Words {
    /// Left.
    pub x: i32,
    /// Base line.
    pub y: i32,
    /// What they say.
    pub words: String,
}

/// An arrow of a picture.
#[derive(Debug)]
pub struct DrawnArrow {
    /// The node it leaves.
    pub from: usize,
    /// The node it leads to.
    pub to: usize,
    /// Its corners.
    pub corners: Vec<(i32, i32)>,
    /// The words beside it; none where nothing is known.
    pub label: Option<Words>,
}

/// What a node shows.
#[derive(Debug, Clone)]
pub struct Shown {
    /// Its number.
    pub number: String,
    /// Its words.
    pub words: String,
    /// Whether it is drawn thick.
    pub thick: bool,
}

impl DrawnArrow {
    /// The line, as a path of SVG.
    pub fn path(&self) -> String {
        let mut path = String::new();
        for (at, (x, y)) in self.corners.iter().enumerate() {
            path.push_str(&format!("{}{x} {y}", if at == 0 { 'M' } else { 'L' }));
        }
        path
    }

    /// Its point, as a path of SVG.
    pub fn point(&self) -> String {
        let (x, y) = self.corners.last().copied().unwrap_or_default();
        format!("M{} {y}l-9 -4v8z", x + 8)
    }
}

/// Draws the arrows of one picture; `shown` says what a node shows.
pub fn draw(arrows: &[Arrow], shown: impl Fn(usize) -> Shown) -> Drawing {
    let columns = columns(arrows);
    let nodes: Vec<(Shown, Vec<String>)> = columns
        .ranks
        .nodes
        .iter()
        .map(|node| {
            let shown = shown(*node);
            let lines = lines(&shown.words, BOX - 2 * INSIDE, MOST_LINES);
            (shown, lines)
        })
        .collect();
    let frame = Frame::new(arrows, &columns, &nodes);
    let boxes: Vec<DrawnBox> =
        nodes.into_iter().enumerate().map(|(at, (shown, lines))| frame.drawn_box(at, shown, lines)).collect();
    let drawn: Vec<DrawnArrow> = (0..arrows.len()).map(|at| frame.drawn_arrow(at)).collect();
    let width = boxes.iter().map(|one| one.x + one.width + 2).max().unwrap_or(1);
    let height = boxes.iter().map(|one| one.y + one.height + 2).max().unwrap_or(1);
    let lowest = drawn.iter().flat_map(|arrow| &arrow.corners).map(|(_, y)| y + 2).max().unwrap_or(1);
    Drawing { width, height: height.max(lowest), boxes, arrows: drawn }
}

/// Where everything of a picture stands.
struct Frame<'a> {
    arrows: &'a [Arrow],
    columns: &'a Columns,
    /// Where the boxes of each column begin.
    left: Vec<i32>,
    /// Where the straight stretch behind each column ends, beside the words of its arrows.
    straight: Vec<i32>,
    /// The top of each member of each column.
    tops: Vec<Vec<i32>>,
    /// How tall each box is.
    tall: Vec<i32>,
}

impl<'a> Frame<'a> {
    fn new(arrows: &'a [Arrow], columns: &'a Columns, nodes: &[(Shown, Vec<String>)]) -> Self {
        let count = columns.layers.len();
        let mut beside = vec![0; count];
        for (arrow, way) in arrows.iter().zip(&columns.ways) {
            let layer = columns.first_layer(way);
            beside[layer] = beside[layer].max(width(&arrow.label));
        }
        let (mut left, mut straight) = (Vec::new(), Vec::new());
        let mut x = 1;
        for beside in beside {
            left.push(x);
            straight.push(x + BOX + beside + 10);
            x += BOX + beside + 10 + SLANT;
        }
        let at_node = |end: &dyn Fn(&Arrow) -> usize, node: usize| {
            i32::try_from(arrows.iter().filter(|arrow| end(arrow) == node).count()).unwrap_or(i32::MAX)
        };
        let tall: Vec<i32> = nodes
            .iter()
            .zip(&columns.ranks.nodes)
            .map(|((_, lines), node)| {
                let words = i32::try_from(lines.len() + 1).unwrap_or(1) * LINE + INSIDE + 3;
                let (leaving, arriving) = (at_node(&|arrow| arrow.from, *node), at_node(&|arrow| arrow.to, *node));
                words.max(leaving.saturating_mul(ARROW) + 6).max(arriving.saturating_mul(10) + 6)
            })
            .collect();
        let tops = heights(columns, |stop| match stop {
            Stop::Node(at) => tall[at],
            Stop::Passing(_) => ARROW,
        });
        Self { arrows, columns, left, straight, tops, tall }
    }

    fn drawn_box(&self, at: usize, shown: Shown, lines: Vec<String>) -> DrawnBox {
        let layer = self.columns.ranks.of[at];
        let (x, y) = (self.left[layer], self.top(layer, Stop::Node(at)));
        let mut row = y + INSIDE - 4;
        let mut next = |words: String| {
            row += LINE;
            Words { x: x + INSIDE, y: row, words }
        };
        DrawnBox {
            node: self.columns.ranks.nodes.get_index(at).copied().unwrap_or_default(),
            x,
            y,
            width: BOX,
            height: self.tall[at],
            thick: shown.thick,
            number: next(shown.number),
            lines: lines.into_iter().map(next).collect(),
        }
    }

    /// An arrow leaves its box at a height of its own, runs beside its words, slants to the height at which it arrives,
    /// and runs straight through the columns that it passes.
    fn drawn_arrow(&self, at: usize) -> DrawnArrow {
        let (arrow, way) = (&self.arrows[at], &self.columns.ways[at]);
        let start = self.port(at, true);
        let first = self.columns.first_layer(way);
        let edge = self.left[first] + BOX;
        let mut corners = vec![(edge, start)];
        let mut y = start;
        for (layer, stop) in (first + 1..).zip(way.iter().skip(1)) {
            corners.push((self.straight[layer - 1], y));
            match stop {
                Stop::Node(_) => corners.push((self.left[layer] - 9, self.port(at, false))),
                Stop::Passing(_) => {
                    y = self.top(layer, *stop) + ARROW / 2;
                    corners.push((self.left[layer] - 9, y));
                }
            }
        }
        let label = (!arrow.label.is_empty()).then(|| Words { x: edge + 5, y: start - 3, words: arrow.label.clone() });
        DrawnArrow { from: arrow.from, to: arrow.to, corners, label }
    }

    /// The height at which an arrow leaves or arrives: those of one box share its side in the order of their other ends.
    fn port(&self, at: usize, leaves: bool) -> i32 {
        let end = |arrow: &Arrow| if leaves { arrow.from } else { arrow.to };
        let node = end(&self.arrows[at]);
        let neighbour = |other: usize| {
            let way = &self.columns.ways[other];
            let first = self.columns.first_layer(way);
            let step = if leaves { 1 } else { way.len().saturating_sub(2) };
            way.get(step).map_or(0, |stop| self.top(first + step, *stop))
        };
        let mut all: Vec<(i32, usize)> = (0..self.arrows.len())
            .filter(|other| end(&self.arrows[*other]) == node)
            .map(|other| (neighbour(other), other))
            .collect();
        all.sort_unstable();
        let place = all.iter().position(|(_, other)| *other == at).unwrap_or_default();
        let index = self.columns.ranks.index(node);
        let (top, tall) = (self.top(self.columns.ranks.of[index], Stop::Node(index)), self.tall[index]);
        let share = |part: usize| i32::try_from(part).unwrap_or(1);
        top + tall * (2 * share(place) + 1) / (2 * share(all.len().max(1)))
    }

    fn top(&self, layer: usize, stop: Stop) -> i32 {
        self.tops[layer][self.columns.order(layer, stop)]
    }
}
