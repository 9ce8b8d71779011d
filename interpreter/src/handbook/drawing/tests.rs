//! Pictures of small and of random webs of arrows: nothing stands on anything, and no arrow is lost.

use std::collections::BTreeSet;

use super::text::width;
use super::{Arrow, Drawing, Shown, draw, split};

fn arrow(from: usize, to: usize) -> Arrow {
    Arrow { from, to, label: format!("{} % in {} months", from % 100, to) }
}

fn shown(node: usize) -> Shown {
    Shown { number: format!("{node}"), words: "The crack runs on to the sound post".repeat(node % 3 + 1), thick: false }
}

/// Left, top, right, bottom.
type Area = (i32, i32, i32, i32);

fn meet(one: Area, other: Area) -> bool {
    one.0 < other.2 && other.0 < one.2 && one.1 < other.3 && other.1 < one.3
}

/// Where a straight stretch lies, as far as it is straight.
fn crosses(area: Area, from: (i32, i32), to: (i32, i32)) -> bool {
    // Points so close together that no box and no words fit between two of them.
    (0..=400).any(|step| {
        let (x, y) = (from.0 + (to.0 - from.0) * step / 400, from.1 + (to.1 - from.1) * step / 400);
        area.0 < x && x < area.2 && area.1 < y && y < area.3
    })
}

fn nothing_covers_anything(drawing: &Drawing) {
    let boxes: Vec<Area> = drawing.boxes.iter().map(|one| (one.x, one.y, one.x + one.width, one.y + one.height)).collect();
    let labels: Vec<Area> = drawing
        .arrows
        .iter()
        .filter_map(|arrow| arrow.label.as_ref())
        .map(|label| (label.x, label.y - 10, label.x + width(&label.words), label.y + 1))
        .collect();
    let all: Vec<Area> = boxes.iter().chain(&labels).copied().collect();
    for (at, one) in all.iter().enumerate() {
        assert!(one.0 >= 0 && one.1 >= 0 && one.2 <= drawing.width && one.3 <= drawing.height, "{one:?} in {drawing:?}");
        for other in &all[at + 1..] {
            assert!(!meet(*one, *other), "{one:?} and {other:?} in {drawing:?}");
        }
    }
    for arrow in &drawing.arrows {
        for pair in arrow.corners.windows(2) {
            for area in &all {
                assert!(!crosses(*area, pair[0], pair[1]), "{arrow:?} through {area:?}");
            }
        }
    }
    for one in &drawing.boxes {
        for line in one.lines.iter().chain([&one.number]) {
            assert!(line.x + width(&line.words) <= one.x + one.width && line.y < one.y + one.height, "{line:?} in {one:?}");
        }
    }
}

#[test]
fn a_small_web_is_drawn_as_it_is() {
    let arrows = [arrow(1, 2), arrow(2, 3), arrow(4, 3), arrow(1, 3)];
    let drawing = draw(&arrows, shown);
    nothing_covers_anything(&drawing);
    let x = |node: usize| drawing.boxes.iter().find(|one| one.node == node).map(|one| one.x).expect("a box");
    assert!(x(1) < x(2) && x(2) < x(3), "what leads on stands before what it leads to");
    assert_eq!(x(4), x(2), "what nothing leads to stands just before what it leads to");
    let far = drawing.arrows.iter().find(|arrow| (arrow.from, arrow.to) == (1, 3)).expect("the arrow past a column");
    assert_eq!(far.corners.len(), 5, "it goes round what stands there");
}

#[test]
fn random_webs_lose_no_arrow_and_cover_nothing() {
    let mut seed = 20_261_126_u64;
    let mut dice = move |sides: u64| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) % sides
    };
    for round in 0..150 {
        let nodes = 2 + dice(26);
        let mut arrows: Vec<Arrow> = Vec::new();
        for _ in 0..1 + dice(40) {
            let (one, other) = (dice(nodes), dice(nodes));
            let new = arrow(one.min(other) as usize, one.max(other) as usize);
            if one != other && !arrows.contains(&new) {
                arrows.push(new);
            }
        }
        let pictures = split(&arrows, |node| node % 4);
        let wanted: BTreeSet<(usize, usize)> = arrows.iter().map(|arrow| (arrow.from, arrow.to)).collect();
        let mut drawn = Vec::new();
        for picture in &pictures {
            let drawing = draw(picture, shown);
            nothing_covers_anything(&drawing);
            assert!(drawing.width <= 780 && drawing.height <= 1000, "round {round}: it fits on a sheet: {drawing:?}");
            drawn.extend(drawing.arrows.iter().map(|arrow| (arrow.from, arrow.to)));
        }
        assert_eq!(drawn.len(), arrows.len(), "round {round}: each once");
        assert_eq!(drawn.into_iter().collect::<BTreeSet<_>>(), wanted, "round {round}");
    }
}

#[test]
fn long_words_are_broken_and_cut_short() {
    let words = "w".repeat(500);
    let drawing = draw(&[arrow(0, 1)], |_| Shown { number: "1.1".to_owned(), words: words.clone(), thick: true });
    nothing_covers_anything(&drawing);
    let first = drawing.boxes.first().expect("a box");
    assert_eq!(first.lines.len(), 4);
    assert!(first.lines.last().is_some_and(|line| line.words.ends_with('\u{2026}')));
}
