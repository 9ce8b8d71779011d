//! In which column each box stands, and in which order within it.

use indexmap::IndexSet;

use super::Arrow;

/// The most times the order is gone over; it settles long before.
const ROUNDS: usize = 12;

/// Something that stands in a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stop {
    /// A node, by its index in `nodes`.
    Node(usize),
    /// An arrow that goes on to a later column.
    Passing(usize),
}

/// Which node stands in which column.
#[derive(Debug)]
pub struct Ranks {
    /// The nodes, in the order in which the arrows name them.
    pub nodes: IndexSet<usize>,
    /// The column of each.
    pub of: Vec<usize>,
}

/// The columns of a picture.
#[derive(Debug)]
pub struct Columns {
    /// Its nodes and their columns.
    pub ranks: Ranks,
    /// The columns from the left to the right, each from top to bottom.
    pub layers: Vec<Vec<Stop>>,
    /// The stops of each arrow: its first box, a stop in each column that it passes, its last box.
    pub ways: Vec<Vec<Stop>>,
}

impl Ranks {
    /// Ranks nodes by arrows without a circle, so that each arrow leads to a later column: as far to the right as what
    /// leads to a node asks; one to which nothing leads stands just before what it leads to.
    pub fn new(arrows: &[Arrow]) -> Self {
        let nodes: IndexSet<usize> = arrows.iter().flat_map(|arrow| [arrow.from, arrow.to]).collect();
        let mut of = vec![0_usize; nodes.len()];
        let mut ranks = Self { nodes, of: Vec::new() };
        let (mut leading, mut waiting) = (vec![Vec::new(); of.len()], vec![0_usize; of.len()]);
        for arrow in arrows {
            let (from, to) = (ranks.index(arrow.from), ranks.index(arrow.to));
            leading[from].push(to);
            waiting[to] += 1;
        }
        let mut ready: Vec<usize> = (0..of.len()).filter(|node| waiting[*node] == 0).collect();
        let first = ready.clone();
        while let Some(node) = ready.pop() {
            for &to in &leading[node] {
                of[to] = of[to].max(of[node] + 1);
                waiting[to] -= 1;
                if waiting[to] == 0 {
                    ready.push(to);
                }
            }
        }
        for node in first {
            let next = leading[node].iter().map(|to| of[*to]).min();
            of[node] = next.map_or(0, |next| next.saturating_sub(1));
        }
        ranks.of = of;
        ranks
    }

    /// The index of a node.
    pub fn index(&self, node: usize) -> usize {
        self.nodes.get_index_of(&node).unwrap_or_default()
    }

    /// The columns that an arrow leads from and to.
    pub fn span(&self, arrow: &Arrow) -> (usize, usize) {
        (self.of[self.index(arrow.from)], self.of[self.index(arrow.to)])
    }

    /// How much stands in each column, arrows that pass it included.
    pub fn counts(&self, arrows: &[Arrow]) -> Vec<usize> {
        let mut counts = vec![0; self.of.iter().max().map_or(0, |most| most + 1)];
        for layer in &self.of {
            counts[*layer] += 1;
        }
        for arrow in arrows {
            let (from, to) = self.span(arrow);
            counts.iter_mut().take(to).skip(from + 1).for_each(|count| *count += 1);
        }
        counts
    }
}

/// Lays arrows without a circle out in columns.
pub fn columns(arrows: &[Arrow]) -> Columns {
    let ranks = Ranks::new(arrows);
    let mut layers: Vec<Vec<Stop>> = vec![Vec::new(); ranks.of.iter().max().map_or(0, |most| most + 1)];
    for (at, layer) in ranks.of.iter().enumerate() {
        layers[*layer].push(Stop::Node(at));
    }
    let mut ways = Vec::new();
    for (at, arrow) in arrows.iter().enumerate() {
        let (from, to) = ranks.span(arrow);
        let passed = (from + 1..to).map(|_| Stop::Passing(at));
        ways.push(
            std::iter::once(Stop::Node(ranks.index(arrow.from)))
                .chain(passed)
                .chain([Stop::Node(ranks.index(arrow.to))])
                .collect(),
        );
        layers.iter_mut().take(to).skip(from + 1).for_each(|layer| layer.push(Stop::Passing(at)));
    }
    let mut columns = Columns { ranks, layers, ways };
    columns.put_in_order();
    columns
}

impl Columns {
    /// The place of something within its column.
    pub fn order(&self, layer: usize, stop: Stop) -> usize {
        self.layers[layer].iter().position(|known| *known == stop).unwrap_or_default()
    }

    /// The column that an arrow leaves from.
    pub fn first_layer(&self, way: &[Stop]) -> usize {
        match way.first() {
            Some(Stop::Node(at)) => self.ranks.of[*at],
            _ => 0,
        }
    }

    /// Pairs of neighbours in a column and the next, by their places in them.
    pub fn links(&self, layer: usize) -> Vec<(usize, usize)> {
        let mut links = Vec::new();
        for way in &self.ways {
            let first = self.first_layer(way);
            if let Some(step) = layer.checked_sub(first)
                && let (Some(one), Some(other)) = (way.get(step), way.get(step + 1))
            {
                links.push((self.order(layer, *one), self.order(layer + 1, *other)));
            }
        }
        links
    }

    /// Puts each column in the order of what its members are linked with, from left to right and back, and keeps the
    /// order with the fewest crossings.
    fn put_in_order(&mut self) {
        let mut best = (self.crossings(), self.layers.clone());
        for round in 0..ROUNDS {
            if best.0 == 0 {
                break;
            }
            let right = round % 2 == 0;
            let order: Vec<usize> =
                if right { (1..self.layers.len()).collect() } else { (0..self.layers.len().saturating_sub(1)).rev().collect() };
            for layer in order {
                let links = self.links(if right { layer - 1 } else { layer });
                let beside = |place: usize| -> Vec<usize> {
                    let its = links.iter().filter(|(one, other)| if right { *other == place } else { *one == place });
                    its.map(|(one, other)| if right { *one } else { *other }).collect()
                };
                let mut members: Vec<(i64, usize, Stop)> = self.layers[layer]
                    .iter()
                    .enumerate()
                    .map(|(place, stop)| {
                        let its = beside(place);
                        let mean = match its.len() {
                            0 => place as i64 * 1000,
                            count => its.iter().sum::<usize>() as i64 * 1000 / count as i64,
                        };
                        (mean, place, *stop)
                    })
                    .collect();
                members.sort_by_key(|(mean, place, _)| (*mean, *place));
                self.layers[layer] = members.into_iter().map(|(_, _, stop)| stop).collect();
            }
            let crossings = self.crossings();
            if crossings < best.0 {
                best = (crossings, self.layers.clone());
            }
        }
        self.layers = best.1;
    }

    fn crossings(&self) -> usize {
        let mut crossings = 0;
        for layer in 0..self.layers.len().saturating_sub(1) {
            let links = self.links(layer);
            for (at, (one, other)) in links.iter().enumerate() {
                crossings += links[at + 1..].iter().filter(|(a, b)| (a < one && b > other) || (a > one && b < other)).count();
            }
        }
        crossings
    }
}
