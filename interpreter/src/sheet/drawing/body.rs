//! The strokes: body, neck and head, fittings.

use std::fmt::Write;

use super::{Lengths, Stroke};

/// A point, in millimetres.
type Point = (i32, i32);

/// A cubic curve: two points that it leans to, and where it ends.
type Curve = [Point; 3];

/// Everything that is drawn.
pub fn strokes(lengths: &Lengths) -> Vec<Stroke> {
    let mut strokes = vec![Stroke { kind: "wood", path: outline(lengths) }];
    head(&mut strokes, lengths);
    inside(&mut strokes, lengths);
    fittings(&mut strokes, lengths);
    strokes
}

/// Parts of a thousand of a length.
fn of(length: i32, thousandths: i32) -> i32 {
    length * thousandths / 1000
}

fn mirrored((x, y): Point) -> Point {
    (-x, y)
}

/// The edge of the body: its right half from the top down, and the same backwards on the left.
fn outline(lengths: &Lengths) -> String {
    let Lengths { body, upper, waist, lower, .. } = *lengths;
    let (l, u, w, b) = (|at| of(body, at), |at| of(upper, at), |at| of(waist, at), |at| of(lower, at));
    let shoulder: [Curve; 2] = if lengths.sloping {
        [[(u(90), l(5)), (u(160), l(75)), (u(370), l(125))], [(u(470), l(150)), (u(500), l(190)), (u(500), l(225))]]
    } else {
        [[(u(180), l(0)), (u(370), l(0)), (u(450), l(90))], [(u(485), l(130)), (u(500), l(160)), (u(500), l(195))]]
    };
    let rest: [Curve; 5] = [
        [(u(500), l(270)), (u(420), l(305)), (u(472), l(352))],
        [(u(400), l(352)), (w(500), l(400)), (w(500), l(465))],
        [(w(500), l(545)), (b(350), l(612)), (b(455), l(622))],
        [(b(415), l(665)), (b(500), l(705)), (b(500), l(800))],
        [(b(500), l(930)), (b(330), l(1000)), (0, l(1000))],
    ];
    let curves: Vec<Curve> = shoulder.into_iter().chain(rest).collect();
    let mut ends = vec![(0, 0)];
    ends.extend(curves.iter().map(|[.., end]| *end));
    let back = curves.iter().zip(&ends).rev().map(|([one, two, _], start)| [mirrored(*two), mirrored(*one), mirrored(*start)]);
    let all: Vec<Curve> = curves.iter().copied().chain(back).collect();
    curved((0, 0), &all) + "Z"
}

fn head(strokes: &mut Vec<Stroke>, lengths: &Lengths) {
    let half = lengths.lower * 12 / 208;
    let (nut, top) = (-lengths.neck, -lengths.neck - lengths.head);
    let scroll = half * 5 / 4;
    let box_top = top + scroll * 2;
    // Neck and fingerboard, which reaches over the body.
    let end = lengths.board - lengths.neck;
    strokes.push(shape("wood", &[(-half, nut), (half, nut), (half * 3 / 2, 0), (-half * 3 / 2, 0)]));
    strokes.push(shape("solid", &[(-half, nut), (half, nut), (half * 7 / 4, end), (-half * 7 / 4, end)]));
    strokes.push(shape("wood", &[(-half, nut), (half, nut), (half * 3 / 4, box_top), (-half * 3 / 4, box_top)]));
    strokes.push(shape("nut", &[(-half, nut), (half, nut), (half, nut + half / 3), (-half, nut + half / 3)]));
    strokes.push(Stroke { kind: "wood", path: circle((0, top + scroll), scroll) });
    strokes.push(Stroke { kind: "line", path: circle((0, top + scroll), scroll / 2) });
    // Four pegs, two to a side, or machine heads.
    for (at, side) in [(0, -1), (1, 1), (2, -1), (3, 1)] {
        let y = nut - (nut - box_top) * (at * 2 + 1) / 8;
        let (from, to) = (side * half, side * half * 11 / 4);
        strokes.push(Stroke { kind: "line", path: format!("M{from} {y}H{to}") });
        strokes.push(Stroke { kind: "wood", path: circle((to, y), half / 2) });
    }
}

/// What lies below the top: the sound post behind the treble foot, the bass bar, and the f-holes into it.
fn inside(strokes: &mut Vec<Stroke>, lengths: &Lengths) {
    let Lengths { body, lower, stop, .. } = *lengths;
    let foot = lower * 17 / 208;
    strokes.push(Stroke { kind: "hidden", path: circle((foot, stop + body / 45), lower * 4 / 208) });
    strokes.push(Stroke { kind: "hidden", path: format!("M{} {}L{} {}", -foot, of(body, 240), -foot - foot / 4, of(body, 860)) });
    let eye = lower * 4 / 208;
    for side in [-1, 1] {
        let at = |across: i32, down: i32| (side * of(lower, across), of(body, down));
        let (top, bottom) = (at(100, 478), at(225, 662));
        let curves = [[at(170, 452), at(175, 500), at(172, 562)], [at(170, 640), at(205, 690), bottom]];
        strokes.push(Stroke { kind: "hole", path: curved(top, &curves) });
        strokes.push(Stroke { kind: "solid", path: circle(top, eye) });
        strokes.push(Stroke { kind: "solid", path: circle(bottom, eye) });
    }
}

fn fittings(strokes: &mut Vec<Stroke>, lengths: &Lengths) {
    let Lengths { body, lower, stop, neck, .. } = *lengths;
    let foot = lower * 21 / 208;
    let (tail_top, tail_end) = (of(body, 650), of(body, 905));
    strokes.push(shape("solid", &[(-foot, tail_top), (foot, tail_top), (foot / 2, tail_end), (-foot / 2, tail_end)]));
    strokes.push(Stroke { kind: "line", path: format!("M{} {tail_end}V{body}M{} {tail_end}V{body}", -foot / 3, foot / 3) });
    for string in [-3, -1, 1, 3] {
        let (nut, bridge, end) = (string * lower * 3 / 208, string * foot / 4, string * foot / 5);
        let path = format!("M{nut} {}L{bridge} {stop}L{end} {tail_top}", -neck);
        strokes.push(Stroke { kind: "string", path });
    }
    let thick = body / 70;
    strokes.push(shape("wood", &[(-foot, stop - thick), (foot, stop - thick), (foot, stop + thick), (-foot, stop + thick)]));
    strokes.push(shape("solid", &[(-foot, body - thick), (foot, body - thick), (foot, body), (-foot, body)]));
    match lengths.pin {
        Some(pin) => {
            strokes.push(Stroke { kind: "wood", path: circle((0, body + thick * 2), thick * 2) });
            strokes.push(Stroke { kind: "line", path: format!("M0 {}V{}", body + thick * 4, body + pin) });
        }
        None => strokes.push(Stroke { kind: "solid", path: circle((0, body + thick), thick) }),
    }
    if lengths.chin_rest {
        let (left, top) = (-of(lower, 430), of(body, 800));
        let curves = [
            [(left, of(body, 740)), (-of(lower, 130), of(body, 750)), (-of(lower, 120), of(body, 850))],
            [(-of(lower, 110), of(body, 960)), (left, of(body, 960)), (left, top)],
        ];
        strokes.push(Stroke { kind: "line", path: curved((left, top), &curves) + "Z" });
    }
}

fn curved(start: Point, curves: &[Curve]) -> String {
    let mut path = format!("M{} {}", start.0, start.1);
    for [one, two, end] in curves {
        let _ = write!(path, "C{} {} {} {} {} {}", one.0, one.1, two.0, two.1, end.0, end.1);
    }
    path
}

fn shape(kind: &'static str, points: &[Point]) -> Stroke {
    let mut path = String::new();
    for (at, (x, y)) in points.iter().enumerate() {
        let _ = write!(path, "{}{x} {y}", if at == 0 { 'M' } else { 'L' });
    }
    path.push('Z');
    Stroke { kind, path }
}

fn circle((x, y): Point, radius: i32) -> String {
    format!("M{} {y}a{radius} {radius} 0 1 0 {} 0a{radius} {radius} 0 1 0 {} 0Z", x - radius, 2 * radius, -2 * radius)
}
