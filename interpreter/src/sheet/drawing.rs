//! The outline of an instrument from the front, drawn from a few lengths, with the parts' numbers beside it.
//!
//! Lengths are whole millimetres, the middle of the top edge of the body is the origin, y goes down. They are round
//! figures from memory that make a likeness; nothing is measured by them.

mod body;
mod labels;

use labels::Anchor;

use super::SheetPart;

/// So many numbers have room on either side.
const MOST_BESIDE: usize = 24;

/// A drawing with its numbers.
#[derive(Debug, Clone)]
pub struct Drawing {
    /// What it shows: `viola`.
    pub shows: &'static str,
    /// The part of the plane that is shown: least x, least y, width, height.
    pub view: [i32; 4],
    /// What is drawn, from the back to the front.
    pub strokes: Vec<Stroke>,
    /// Numbers, each with the line that leads to its part.
    pub labels: Vec<Label>,
    /// The height of a number.
    pub letter: i32,
    /// Parts that the drawing does not show: number and words.
    pub elsewhere: Vec<(usize, String)>,
}

/// One path.
#[derive(Debug, Clone)]
pub struct Stroke {
    /// How it is drawn: `line`, `solid`, `wood`, `hidden`, `faint`.
    pub kind: &'static str,
    /// The path, as SVG writes it.
    pub path: String,
}

/// A number beside the drawing.
#[derive(Debug, Clone)]
pub struct Label {
    /// The part's number.
    pub number: usize,
    /// Where the number stands.
    pub at: (i32, i32),
    /// Where its line ends.
    pub to: (i32, i32),
}

/// The lengths that tell one instrument from another.
struct Lengths {
    shows: &'static str,
    body: i32,
    upper: i32,
    waist: i32,
    lower: i32,
    /// From the nut to the body.
    neck: i32,
    /// Pegbox and scroll.
    head: i32,
    board: i32,
    /// From the upper edge to the bridge.
    stop: i32,
    /// How far the end pin stands out; none where there is a button.
    pin: Option<i32>,
    chin_rest: bool,
    sloping: bool,
}

const VIOLIN: Lengths = Lengths {
    shows: "violin",
    body: 355,
    upper: 168,
    waist: 112,
    lower: 208,
    neck: 130,
    head: 112,
    board: 270,
    stop: 195,
    pin: None,
    chin_rest: true,
    sloping: false,
};
const VIOLA: Lengths = Lengths {
    shows: "viola",
    body: 405,
    upper: 192,
    waist: 132,
    lower: 246,
    neck: 148,
    head: 120,
    board: 300,
    stop: 222,
    ..VIOLIN
};
const CELLO: Lengths = Lengths {
    shows: "cello",
    body: 755,
    upper: 345,
    waist: 232,
    lower: 440,
    neck: 280,
    head: 205,
    board: 580,
    stop: 405,
    pin: Some(230),
    chin_rest: false,
    sloping: false,
};
const BASS: Lengths = Lengths {
    shows: "bass",
    body: 1120,
    upper: 510,
    waist: 370,
    lower: 670,
    neck: 440,
    head: 290,
    board: 850,
    stop: 610,
    pin: Some(170),
    chin_rest: false,
    sloping: true,
};

impl Drawing {
    /// The outline of what was chosen (a violin's where that is no instrument it knows), with the numbers of the parts.
    pub fn new(chosen: Option<&str>, parts: &[SheetPart]) -> Self {
        let lengths = match chosen {
            Some("viola") => VIOLA,
            Some("cello") => CELLO,
            Some("bass") => BASS,
            _ => VIOLIN,
        };
        let strokes = body::strokes(&lengths);
        let top = -lengths.neck - lengths.head;
        let bottom = lengths.body + lengths.pin.unwrap_or(lengths.body / 16);
        let letter = (bottom - top) / 38;
        let mut elsewhere = Vec::new();
        let mut anchors = Vec::new();
        let mut room = [MOST_BESIDE; 2];
        for part in parts {
            let anchor = Anchor::of(&lengths, &part.name);
            match anchor.filter(|anchor| room[usize::from(anchor.left)] > 0) {
                Some(anchor) => {
                    room[usize::from(anchor.left)] -= 1;
                    anchors.push((part.number, anchor));
                }
                None => elsewhere.push((part.number, part.words.clone())),
            }
        }
        let side = lengths.lower / 2 + letter * 5;
        let labels = labels::beside(anchors, side, top + letter, bottom, letter * 3 / 2);
        let (least, width) = (-side - letter * 2, 2 * (side + letter * 2));
        let view = [least, top - letter, width, bottom - top + 2 * letter];
        Self { shows: lengths.shows, view, strokes, labels, letter, elsewhere }
    }
}

#[cfg(test)]
mod tests {
    use super::Drawing;
    use crate::sheet::SheetPart;

    fn part(number: usize, name: &str) -> SheetPart {
        SheetPart {
            number,
            name: name.to_owned(),
            words: name.to_uppercase(),
            only: None,
            how: None,
            care: None,
            places: Vec::new(),
            as_found: false,
            has_good: false,
            looks: Vec::new(),
        }
    }

    #[test]
    fn every_part_has_its_number_in_the_drawing_or_below_it() {
        let names = ["button", "endpin", "bridge", "peg", "machine", "seam", "tail-gut", "case", "kettle", "E-string"];
        let parts: Vec<SheetPart> = names.iter().zip(1..).map(|(name, number)| part(number, name)).collect();
        for chosen in [None, Some("violin"), Some("viola"), Some("cello"), Some("bass"), Some("gamba")] {
            let drawing = Drawing::new(chosen, &parts);
            let mut numbers: Vec<usize> = drawing.labels.iter().map(|label| label.number).collect();
            numbers.extend(drawing.elsewhere.iter().map(|(number, _)| *number));
            numbers.sort_unstable();
            assert_eq!(numbers, (1..=names.len()).collect::<Vec<_>>());
            let [x, y, width, height] = drawing.view;
            for label in &drawing.labels {
                for (across, down) in [label.at, label.to] {
                    assert!(
                        (x..=x + width).contains(&across) && (y..=y + height).contains(&down),
                        "{label:?} {:?}",
                        drawing.view
                    );
                }
            }
            let elsewhere: Vec<&str> = drawing.elsewhere.iter().map(|(_, words)| words.as_str()).collect();
            assert_eq!(elsewhere, ["CASE", "KETTLE"]);
        }
        assert_eq!(Drawing::new(Some("cello"), &parts).shows, "cello");
        assert!(Drawing::new(Some("bass"), &parts).view[3] > Drawing::new(Some("viola"), &parts).view[3]);
    }

    #[test]
    fn numbers_do_not_lie_over_one_another() {
        let parts: Vec<SheetPart> = (1..=40).map(|number| part(number, "bridge")).collect();
        let drawing = Drawing::new(None, &parts);
        assert_eq!((drawing.labels.len(), drawing.elsewhere.len()), (24, 16), "what has no room is listed below");
        let mut places: Vec<(i32, i32)> = drawing.labels.iter().map(|label| label.at).collect();
        places.sort_unstable();
        for pair in places.windows(2) {
            assert!(pair[0].0 != pair[1].0 || pair[1].1 - pair[0].1 >= drawing.letter, "{pair:?}");
        }
    }
}
