//! Which arrows share a picture: those that hang together, as long as they fit on a sheet.

use indexmap::IndexMap;

use super::columns::Ranks;

/// The most columns of a picture: with more, its words would be too small on a sheet.
const MOST_COLUMNS: usize = 3;
/// The most boxes in a column.
const MOST_IN_COLUMN: usize = 9;

/// An arrow from one node to another, and the words beside it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Arrow {
    /// The node it leaves.
    pub from: usize,
    /// The node it leads to.
    pub to: usize,
    /// What is known of it: odds and time.
    pub label: String,
}

/// Arrows in groups, each of which is a picture: every arrow is in one. `part` says what a node belongs to.
pub fn split(arrows: &[Arrow], part: impl Fn(usize) -> usize) -> Vec<Vec<Arrow>> {
    let mut pictures = Vec::new();
    for whole in together(arrows) {
        for slice in by_depth(&whole) {
            if fits(&slice) {
                pictures.push(slice);
                continue;
            }
            for own in by(&slice, |arrow| part(arrow.from)).iter().flat_map(|own| together(own)) {
                if fits(&own) {
                    pictures.push(own);
                } else {
                    let few = by(&own, |arrow| arrow.to);
                    pictures.extend(few.iter().flat_map(|few| few.chunks(MOST_IN_COLUMN)).map(<[Arrow]>::to_vec));
                }
            }
        }
    }
    pictures
}

fn fits(arrows: &[Arrow]) -> bool {
    let counts = Ranks::new(arrows).counts(arrows);
    counts.len() <= MOST_COLUMNS && counts.iter().all(|count| *count <= MOST_IN_COLUMN)
}

/// Arrows that hang together, in the order in which the first of each group stands.
fn together(arrows: &[Arrow]) -> Vec<Vec<Arrow>> {
    // Each node knows one of its group that was there before it; the first knows itself.
    let mut before: IndexMap<usize, usize> = IndexMap::new();
    fn first(before: &mut IndexMap<usize, usize>, node: usize) -> usize {
        let mut at = node;
        while let Some(&next) = before.get(&at).filter(|next| **next != at) {
            let skipped = before.get(&next).copied().unwrap_or(next);
            before.insert(at, skipped);
            at = skipped;
        }
        before.entry(at).or_insert(at);
        at
    }
    for arrow in arrows {
        let (from, to) = (first(&mut before, arrow.from), first(&mut before, arrow.to));
        before.insert(to, from);
    }
    let mut groups: IndexMap<usize, Vec<Arrow>> = IndexMap::new();
    for arrow in arrows {
        let group = first(&mut before, arrow.from);
        groups.entry(group).or_default().push(arrow.clone());
    }
    groups.into_values().collect()
}

/// A deep group in slices of as many columns as fit; the boxes at a cut stand in both.
fn by_depth(arrows: &[Arrow]) -> Vec<Vec<Arrow>> {
    let ranks = Ranks::new(arrows);
    if ranks.of.iter().all(|layer| *layer < MOST_COLUMNS) {
        return vec![arrows.to_vec()];
    }
    let slices = by(arrows, |arrow| ranks.span(arrow).0 / (MOST_COLUMNS - 1));
    // What hangs together in a slice by itself may be deep again, where an arrow leads far past the cut.
    let mut fitting = Vec::new();
    for piece in slices.iter().flat_map(|slice| together(slice)) {
        if Ranks::new(&piece).of.iter().all(|layer| *layer < MOST_COLUMNS) {
            fitting.push(piece);
        } else {
            fitting.extend(by(&piece, |arrow| arrow.from));
        }
    }
    fitting
}

/// Arrows by something of theirs, in the order in which it first comes up.
fn by(arrows: &[Arrow], key: impl Fn(&Arrow) -> usize) -> Vec<Vec<Arrow>> {
    let mut groups: IndexMap<usize, Vec<Arrow>> = IndexMap::new();
    for arrow in arrows {
        groups.entry(key(arrow)).or_default().push(arrow.clone());
    }
    groups.into_values().collect()
}
