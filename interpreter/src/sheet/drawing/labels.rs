//! Where a part is on the drawing, and where its number stands beside it.

use super::{Label, Lengths};

/// Where a part is.
#[derive(Debug, Clone, Copy)]
pub struct Anchor {
    /// The point.
    at: (i32, i32),
    /// Which side its number stands at.
    pub left: bool,
}

/// Words of the trade by which a part may be called, and where that is: across, in thousandths of the lower bout, and
/// down, in thousandths of the body. What lies above the body is found by its own lengths.
const PLACES: [(&[&str], i32, i32); 26] = [
    (&["button"], 0, 1014),
    (&["endpin", "pin", "spike"], 0, 1060),
    (&["block"], 25, 965),
    (&["saddle"], 70, 990),
    (&["tailgut", "gut"], -30, 945),
    (&["tailpiece"], -50, 800),
    (&["tuner", "tuners"], -60, 680),
    (&["post", "soundpost"], 82, 571),
    (&["bar", "bassbar"], -95, 700),
    (&["top", "belly", "plate"], -290, 175),
    (&["bridge"], -75, 549),
    (&["string", "strings", "stringset"], -20, 470),
    (&["hole", "holes", "wing", "fhole"], -172, 562),
    (&["seam", "seams"], 490, 830),
    (&["centre", "center", "joint"], 0, 620),
    (&["crack", "cracks"], 270, 150),
    (&["rib", "ribs", "side", "sides"], 268, 465),
    (&["edge", "edges", "purfling"], -400, 680),
    (&["varnish", "rosin"], 300, 740),
    (&["body", "back"], 330, 900),
    (&["chinrest", "chin"], -300, 850),
    (&["shoulder"], -350, 945),
    (&["heel", "neck"], -80, 5),
    (&["corner", "corners"], -455, 622),
    (&["label"], -170, 480),
    (&["board", "fingerboard"], -60, -120),
];

impl Anchor {
    /// Where a part of that name is; none where the drawing does not show it.
    pub fn of(lengths: &Lengths, name: &str) -> Option<Self> {
        let words = || name.split('-');
        let has = |known: &[&str]| {
            let whole: String = words().collect();
            known.iter().any(|known| *known == whole) || words().any(|word| known.contains(&word))
        };
        let half = lengths.lower * 12 / 208;
        let (nut, head) = (-lengths.neck, lengths.head);
        let above = [
            (&["scroll", "head"][..], (half, nut - head + half)),
            (&["peg", "pegs"][..], (half * 5 / 2, nut - head * 3 / 5)),
            (&["machine", "machines"][..], (half * 5 / 2, nut - head / 4)),
            (&["pegbox", "cheek"][..], (-half, nut - head / 2)),
            (&["nut"][..], (-half, nut)),
        ];
        // A bow and its head are not on the instrument.
        if has(&["bow", "case"]) {
            return None;
        }
        if let Some((_, at)) = above.iter().find(|(known, _)| has(known)) {
            return Some(Self { at: *at, left: at.0 < 0 });
        }
        let (_, across, down) = PLACES.iter().find(|(known, ..)| has(known))?;
        let at = (lengths.lower * across / 1000, lengths.body * down / 1000);
        Some(Self { at, left: at.0 < 0 })
    }
}

/// Puts the numbers beside the drawing, in two columns, in the order in which their parts come from the top, at least
/// `apart` from one another as far as there is room between `top` and `bottom`.
pub fn beside(anchors: Vec<(usize, Anchor)>, side: i32, top: i32, bottom: i32, apart: i32) -> Vec<Label> {
    let mut columns: [Vec<(usize, (i32, i32))>; 2] = [Vec::new(), Vec::new()];
    for (number, anchor) in anchors {
        columns[usize::from(!anchor.left)].push((number, anchor.at));
    }
    let mut labels = Vec::new();
    for (mut column, x) in columns.into_iter().zip([-side, side]) {
        column.sort_by_key(|(number, (_, y))| (*y, *number));
        let gaps = i32::try_from(column.len()).unwrap_or(i32::MAX).saturating_sub(1).max(1);
        let apart = apart.min((bottom - top) / gaps);
        // Each as near to its part as those above it leave room; then, from below, back into the frame.
        let mut places: Vec<i32> = Vec::new();
        for (_, (_, y)) in &column {
            let least = places.last().map_or(top, |last| last + apart);
            places.push((*y).max(least));
        }
        let mut most = bottom;
        for place in places.iter_mut().rev() {
            *place = (*place).min(most);
            most = *place - apart;
        }
        labels.extend(column.iter().zip(places).map(|((number, to), y)| Label { number: *number, at: (x, y), to: *to }));
    }
    labels
}
