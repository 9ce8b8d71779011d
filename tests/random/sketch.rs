//! What a random rulebook is about: a few parts with a few looks each.

use super::dice::Dice;

/// A look.
#[derive(Debug, Clone)]
pub struct Look {
    /// Name.
    pub name: &'static str,
    /// Kind of answer.
    pub kind: Kind,
    /// Its `only when`, as written.
    pub only_when: Option<String>,
    /// Its `good`, as written.
    pub good: Option<String>,
}

/// Kinds of answer, numbers in tenths where they may have a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// `yes or no`
    YesNo,
    /// `one of`
    OneOf(&'static [&'static str]),
    /// `some of`
    SomeOf(&'static [&'static str]),
    /// `measured in mm`, from nought to that many, give or take that many tenths.
    Measured(i64, Option<i64>),
    /// `counted from 0 to` that many.
    Counted(i64),
    /// `priced from 0 to` that many.
    Priced(i64),
    /// `dated`
    Dated,
}

/// How a part repeats.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Places {
    /// It does not.
    Single,
    /// Named places, each with its `only when`, as written.
    Fixed(Vec<(&'static str, Option<String>)>),
    /// `places as found`
    AsFound,
}

/// A part or context.
#[derive(Debug, Clone)]
pub struct Part {
    /// Name.
    pub name: &'static str,
    /// Whether it is a context.
    pub context: bool,
    /// Whether it stands apart.
    pub apart: bool,
    /// Its `only when`, as written.
    pub only_when: Option<String>,
    /// Its places.
    pub places: Places,
    /// Its looks.
    pub looks: Vec<Look>,
}

const CHOICES: [&[&str]; 4] =
    [&["tight", "loose"], &["sound", "worn", "split"], &["flat", "bent", "warped"], &["clean", "dull", "chipped"]];
const MARKS: [&[&str]; 2] = [&["dent", "scratch"], &["rosin", "print"]];
const LOOKS: [&str; 6] = ["sits", "gap", "turns", "face", "rim", "sound-of"];
const PLACES: [&str; 4] = ["E", "A", "D", "G"];

/// The parts of a random rulebook: the instrument itself, and one to three parts.
pub fn sketch(dice: &mut Dice) -> Vec<Part> {
    let mut parts = vec![instrument(dice)];
    let names = ["button", "peg", "crack", "bow", "nut"];
    for name in dice.some(&names, 3) {
        let places = match name {
            "peg" | "nut" if dice.chance(75) => fixed(dice, &parts[0]),
            "crack" => Places::AsFound,
            _ => Places::Single,
        };
        let hangs_on = if dice.chance(25) { only_when(dice, &parts) } else { None };
        let many = if places == Places::Single { 1 + dice.below(3) } else { 1 + dice.below(2) };
        let mut part = Part { name, context: false, apart: name == "bow", only_when: hangs_on, places, looks: Vec::new() };
        let first = dice.below(LOOKS.len());
        for at in 0..many {
            let mut look = look(dice, LOOKS[(first + at) % LOOKS.len()]);
            if at > 0 && dice.chance(35) {
                look.only_when = own_test(dice, &part.looks);
            } else if dice.chance(15) {
                look.only_when = only_when(dice, &parts);
            }
            part.looks.push(look);
        }
        parts.push(part);
    }
    parts
}

fn instrument(dice: &mut Dice) -> Part {
    let plain = |name, kind| Look { name, kind, only_when: None, good: None };
    let mut looks = vec![plain("kind", Kind::OneOf(&["violin", "viola", "cello"]))];
    if dice.chance(60) {
        looks.push(plain("strung", Kind::YesNo));
    }
    if dice.chance(20) {
        looks.push(plain("worth", Kind::Priced(1000)));
    }
    if dice.chance(15) {
        looks.push(plain("fitted", Kind::Dated));
    }
    Part { name: "instrument", context: true, apart: false, only_when: None, places: Places::Single, looks }
}

fn fixed(dice: &mut Dice, instrument: &Part) -> Places {
    let many = 2 + dice.below(2);
    let mut places = Vec::new();
    for name in PLACES.iter().take(many) {
        let only_when = if dice.chance(25) { only_when(dice, std::slice::from_ref(instrument)) } else { None };
        places.push((*name, only_when));
    }
    Places::Fixed(places)
}

fn look(dice: &mut Dice, name: &'static str) -> Look {
    let kind = match dice.below(10) {
        0..=2 => Kind::YesNo,
        3..=5 => Kind::OneOf(CHOICES[dice.below(CHOICES.len())]),
        6 => Kind::SomeOf(MARKS[dice.below(MARKS.len())]),
        7 | 8 => Kind::Measured(8, [None, Some(2), Some(5)][dice.below(3)]),
        _ => Kind::Counted(3),
    };
    let good = if dice.chance(60) { Some(good(dice, kind)) } else { None };
    Look { name, kind, only_when: None, good }
}

fn good(dice: &mut Dice, kind: Kind) -> String {
    match kind {
        Kind::YesNo => "no".to_owned(),
        Kind::OneOf(choices) if choices.len() > 2 && dice.chance(30) => format!("one of {}, {}", choices[0], choices[1]),
        Kind::OneOf(choices) => choices[0].to_owned(),
        Kind::SomeOf(_) => "none".to_owned(),
        Kind::Measured(..) if dice.chance(50) => "0 to 1.5 mm".to_owned(),
        Kind::Measured(..) => "0 mm".to_owned(),
        Kind::Counted(_) => "0".to_owned(),
        Kind::Priced(_) => "0 USD".to_owned(),
        Kind::Dated => "none".to_owned(),
    }
}

/// An `only when` over looks of earlier parts that do not repeat: one test, or two joined by `and`.
fn only_when(dice: &mut Dice, parts: &[Part]) -> Option<String> {
    let mut tests = Vec::new();
    for _ in 0..1 + usize::from(dice.chance(20)) {
        let part = dice.pick(parts)?;
        if part.places != Places::Single {
            continue;
        }
        let look = dice.pick(&part.looks)?;
        tests.extend(test(dice, look, &format!("{}.{}", part.name, look.name)));
    }
    (!tests.is_empty()).then(|| tests.join(" and "))
}

/// An `only when` over earlier looks of the same part.
fn own_test(dice: &mut Dice, looks: &[Look]) -> Option<String> {
    let look = dice.pick(looks)?;
    test(dice, look, look.name)
}

/// A single test of a look, written with that path.
pub fn test(dice: &mut Dice, look: &Look, path: &str) -> Option<String> {
    let half = |tenths: i64| format!("{}.{}", tenths / 10, tenths % 10);
    let over = |dice: &mut Dice| *["above", "below", "at least", "at most"].get(dice.below(4)).unwrap_or(&"above");
    Some(match look.kind {
        Kind::YesNo => match dice.below(3) {
            0 => format!("{path} is no"),
            _ => path.to_owned(),
        },
        Kind::OneOf(choices) => match dice.below(4) {
            0 => format!("{path} is not {}", dice.pick(choices)?),
            1 if choices.len() > 2 => format!("{path} is one of {}, {}", choices[0], choices[choices.len() - 1]),
            _ => format!("{path} is {}", dice.pick(choices)?),
        },
        Kind::SomeOf(marks) => match dice.below(3) {
            0 => format!("{path} has any of {}", marks.join(", ")),
            _ => format!("{path} has {}", dice.pick(marks)?),
        },
        Kind::Measured(to, _) => match dice.below(4) {
            0 => {
                let low = dice.from(1, to - 2);
                format!("{path} is from {low} to {} mm", low + 1)
            }
            _ => format!("{path} is {} {} mm", over(dice), half(5 * dice.from(1, 2 * to - 1))),
        },
        Kind::Counted(to) => format!("{path} is {} {}", ["above", "at least"][dice.below(2)], dice.from(1, to - 1)),
        Kind::Priced(to) => format!("{path} is {} {} USD", ["above", "at most"][dice.below(2)], 100 * dice.from(1, to / 100 - 1)),
        Kind::Dated => match dice.below(4) {
            0 => format!("{path} is none"),
            1 => format!("{path} is not none"),
            2 => format!("{path} is {} 2026-03-01", ["above", "at most"][dice.below(2)]),
            _ => format!("days from {path} to inspected-on is above {} days", 100 * dice.from(1, 5)),
        },
    })
}

/// A part as written, with its looks and places.
pub fn write(part: &Part) -> String {
    let kind = if part.context { "context" } else { "part" };
    let apart = if part.apart { " apart" } else { "" };
    let mut text = format!("{kind} {} \"The {}\"{apart}\n", part.name, part.name);
    if let Some(only_when) = &part.only_when {
        text += &format!("  only when {only_when}\n");
    }
    match &part.places {
        Places::Single => {}
        Places::AsFound => text += "  places as found\n",
        Places::Fixed(places) => {
            for (name, only_when) in places {
                text += &format!("  place {name} \"The {name} place\"\n");
                if let Some(only_when) = only_when {
                    text += &format!("    only when {only_when}\n");
                }
            }
        }
    }
    for look in &part.looks {
        let kind = match look.kind {
            Kind::YesNo => "yes or no".to_owned(),
            Kind::OneOf(choices) => format!("one of {}", choices.join(", ")),
            Kind::SomeOf(marks) => format!("some of {}", marks.join(", ")),
            Kind::Measured(to, None) => format!("measured in mm from 0 to {to}"),
            Kind::Measured(to, Some(tenths)) => format!("measured in mm from 0 to {to}, give or take 0.{tenths}"),
            Kind::Counted(to) => format!("counted from 0 to {to}"),
            Kind::Priced(to) => format!("priced from 0 USD to {to} USD"),
            Kind::Dated => "dated".to_owned(),
        };
        text += &format!("  look {} \"How is its {}?\"\n    {kind}\n", look.name, look.name);
        if let Some(good) = &look.good {
            text += &format!("    good {good}\n");
        }
        if let Some(only_when) = &look.only_when {
            text += &format!("    only when {only_when}\n");
        }
    }
    text
}
