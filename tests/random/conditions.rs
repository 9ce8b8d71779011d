//! Random conditions, as written.

use super::dice::Dice;
use super::sketch::{Kind, Look, Part, Places, test};

/// What a condition may speak of.
pub struct Speaks<'a> {
    /// All parts.
    pub parts: &'a [Part],
    /// The part in hand, whose looks are written by their names alone, and whether one place of it is in hand.
    pub on: Option<(&'a Part, bool)>,
    /// Findings it may ask after.
    pub findings: &'a [String],
    /// Tables of lengths, and the part whose place in hand decides the row, where one does.
    pub limits: &'a [(String, Option<&'static str>)],
    /// Whether it may use totals.
    pub totals: bool,
}

impl<'a> Speaks<'a> {
    /// A condition, with brackets wherever `and` meets `or`.
    pub fn condition(&self, dice: &mut Dice, depth: u32) -> String {
        match dice.below(10) {
            0..=5 => self.single(dice, depth),
            6 | 7 => self.joined(dice, depth, "and"),
            8 => self.joined(dice, depth, "or"),
            _ => format!("not ({})", self.inner(dice, depth)),
        }
    }

    /// The signs of a finding: a condition, or a checklist.
    pub fn signs(&self, dice: &mut Dice) -> String {
        if dice.chance(70) {
            return self.condition(dice, 2);
        }
        let many = 2 + dice.below(2);
        let list = ["all of", "any of", "at least 2 of"][dice.below(3)];
        let bullets: Vec<String> = (0..many).map(|_| format!("\n    - {}", self.condition(dice, 1))).collect();
        format!("{list}{}", bullets.concat())
    }

    fn inner(&self, dice: &mut Dice, depth: u32) -> String {
        if depth == 0 { self.single(dice, 0) } else { self.condition(dice, depth - 1) }
    }

    fn joined(&self, dice: &mut Dice, depth: u32, by: &str) -> String {
        let mut parts = Vec::new();
        for _ in 0..2 {
            let inner = self.inner(dice, depth);
            let mixed = inner.contains(" and ") || inner.contains(" or ");
            parts.push(if mixed && !closed(&inner) { format!("({inner})") } else { inner });
        }
        parts.join(&format!(" {by} "))
    }

    /// One test, one question about places, or one about a finding.
    fn single(&self, dice: &mut Dice, depth: u32) -> String {
        for _ in 0..20 {
            let asked = match dice.below(12) {
                0 | 1 if depth > 0 => self.of_places(dice),
                2 => dice.pick(self.findings).map(|finding| format!("found {finding}")),
                3 => self.against_table(dice),
                4 => self.against_another(dice),
                5 if self.totals => Some(totals(dice).to_owned()),
                6..=8 if self.on.is_some() => self.own(dice),
                9 => self.place_is(dice),
                _ => self.elsewhere(dice),
            };
            if let Some(asked) = asked {
                return if dice.chance(8) { format!("not ({asked})") } else { asked };
            }
        }
        "instrument.kind is violin".to_owned()
    }

    /// A look of the part in hand.
    fn own(&self, dice: &mut Dice) -> Option<String> {
        let (part, in_hand) = self.on?;
        if !in_hand && part.places != Places::Single {
            return None;
        }
        let look = dice.pick(&part.looks)?;
        match look.kind {
            Kind::Measured(..) if dice.chance(12) => Some(format!("{} is above last {} + 0.5 mm", look.name, look.name)),
            _ => test(dice, look, look.name),
        }
    }

    /// A look of a part that does not repeat, or at a fixed place.
    fn elsewhere(&self, dice: &mut Dice) -> Option<String> {
        let part = dice.pick(self.parts)?;
        let look = dice.pick(&part.looks)?;
        match &part.places {
            Places::Single => test(dice, look, &format!("{}.{}", part.name, look.name)),
            Places::Fixed(places) if dice.chance(50) => {
                let (place, _) = dice.pick(places)?;
                test(dice, look, &format!("{}.{place}.{}", part.name, look.name))
            }
            _ => None,
        }
    }

    fn of_places(&self, dice: &mut Dice) -> Option<String> {
        let repeating: Vec<&Part> = self.parts.iter().filter(|part| part.places != Places::Single).collect();
        let part = dice.pick(&repeating)?;
        let quantifier = ["any", "no", "every", "at least 2"][dice.below(4)];
        let inside = |dice: &mut Dice| -> Option<String> {
            let look: &Look = dice.pick(&part.looks)?;
            test(dice, look, look.name)
        };
        let first = inside(dice)?;
        let with = if dice.chance(30) {
            let joined = ["and", "or"][dice.below(2)];
            format!("({first} {joined} {})", inside(dice)?)
        } else if dice.chance(15) {
            format!("(not ({first}))")
        } else {
            format!("({first})")
        };
        Some(format!("{quantifier} {} with {with}", part.name))
    }

    fn against_table(&self, dice: &mut Dice) -> Option<String> {
        let (part, in_hand) = self.on?;
        let (table, by_place) = dice.pick(self.limits)?;
        if by_place.is_some_and(|by| by != part.name || !in_hand) || (!in_hand && part.places != Places::Single) {
            return None;
        }
        let measured: Vec<&Look> = part.looks.iter().filter(|look| matches!(look.kind, Kind::Measured(..))).collect();
        let look = dice.pick(&measured)?;
        Some(match dice.below(5) {
            0 => format!("{} is from {table} - 0.5 mm to {table} + 1 mm", look.name),
            1 => format!("{} is above {table} * 1.5", look.name),
            _ => format!("{} is {} {table}", look.name, ["above", "below", "at least", "at most"][dice.below(4)]),
        })
    }

    /// One measured look against another one.
    fn against_another(&self, dice: &mut Dice) -> Option<String> {
        let measured: Vec<String> = self
            .parts
            .iter()
            .filter(|part| part.places == Places::Single)
            .flat_map(|part| part.looks.iter().map(move |look| (part, look)))
            .filter(|(_, look)| matches!(look.kind, Kind::Measured(..)))
            .map(|(part, look)| format!("{}.{}", part.name, look.name))
            .collect();
        let (left, right) = (dice.pick(&measured)?, dice.pick(&measured)?);
        (left != right).then(|| format!("{left} is {} {right}", ["above", "at most"][dice.below(2)]))
    }

    fn place_is(&self, dice: &mut Dice) -> Option<String> {
        let (part, true) = self.on? else { return None };
        let Places::Fixed(places) = &part.places else { return None };
        let (name, _) = dice.pick(places)?;
        Some(format!("place {} {name}", ["is", "is not"][dice.below(2)]))
    }
}

fn totals(dice: &mut Dice) -> &'static str {
    let asked = [
        "total cost is above 150 USD",
        "total cost is at most 90 USD",
        "total urgency is at least soon",
        "total urgency is mention",
        "total tier is bench",
        "total tier is at least bench",
        "not (total cost is above 60 USD)",
    ];
    asked[dice.below(asked.len())]
}

/// Whether a condition stands in one pair of brackets from end to end, with or without a `not` before them.
fn closed(text: &str) -> bool {
    let inner = text.strip_prefix("not ").unwrap_or(text);
    let mut depth = 0;
    for (at, letter) in inner.char_indices() {
        match letter {
            '(' => depth += 1,
            ')' => depth -= 1,
            _ => {}
        }
        if depth == 0 && at + 1 < inner.len() {
            return false;
        }
    }
    inner.starts_with('(')
}
