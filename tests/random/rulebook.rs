//! Random rulebooks, as text.

use super::conditions::Speaks;
use super::dice::Dice;
use super::sketch::{Part, Places, sketch, write};

const STEPS: [&str; 4] = ["fine", "mention", "soon", "halt"];
const WORKS: [&str; 4] = ["glue", "trim", "refit", "polish"];

/// A random rulebook. The same number gives the same one.
pub fn rulebook(number: u64) -> String {
    let mut dice = Dice::new(number);
    let dice = &mut dice;
    let parts = sketch(dice);
    about(dice, &parts)
}

/// A random rulebook about so little that all cases of its empty record can be gone through.
pub fn small(number: u64) -> String {
    let mut dice = Dice::new(number ^ 1 << 40);
    let parts = few(&mut dice);
    about(&mut dice, &parts)
}

/// Two random rulebooks about the same few looks.
pub fn small_pair(number: u64) -> (String, String) {
    let parts = few(&mut Dice::new(number ^ 1 << 41));
    let written = |which: u64| about(&mut Dice::new(number << 1 | which), &parts);
    (written(0), written(1))
}

/// Few parts with few looks.
fn few(dice: &mut Dice) -> Vec<Part> {
    let mut parts = sketch(dice);
    let mut gone: Vec<String> = Vec::new();
    for part in &mut parts {
        gone.extend(part.looks.drain(part.looks.len().min(2)..).map(|look| format!("{}.{}", part.name, look.name)));
        if let Places::Fixed(places) = &mut part.places {
            places.truncate(2);
        }
    }
    gone.extend(parts.drain(parts.len().min(3)..).map(|part| format!("{}.", part.name)));
    for part in &mut parts {
        let lost = |condition: &mut Option<String>| {
            if condition.as_ref().is_some_and(|condition| gone.iter().any(|gone| condition.contains(gone))) {
                *condition = None;
            }
        };
        lost(&mut part.only_when);
        part.looks.iter_mut().for_each(|look| lost(&mut look.only_when));
        if let Places::Fixed(places) = &mut part.places {
            places.iter_mut().for_each(|(_, only_when)| lost(only_when));
        }
    }
    parts
}

fn about(dice: &mut Dice, parts: &[Part]) -> String {
    let mut text = head(dice);
    parts.iter().for_each(|part| text += &write(part));
    let limits = tables(dice, parts, &mut text);
    let works = works(dice, &mut text);
    let findings = findings(dice, parts, &limits, &works, &mut text);
    raises(dice, parts, &findings, &mut text);
    let speaks = Speaks { parts, on: None, findings: &findings, limits: &[], totals: true };
    for at in 0..dice.below(3) {
        text += &format!("counsel advice-{at} \"Advice\"\n  when {}\n", speaks.condition(dice, 1));
        text += "  tell \"Ask.\"\n  basis \"common practice\"\n";
    }
    aid(dice, parts, &findings, &mut text);
    text
}

fn head(dice: &mut Dice) -> String {
    let mut text = String::from("rulebook tried \"A random rulebook\"\n  edition 1\n  money USD\n");
    if dice.chance(40) {
        text += "  least charge 45 USD\n";
    }
    text += "urgency\n  step fine \"Nothing to do\"\n  step mention \"Mention it\" within 6 months\n";
    text += "  step soon \"Soon\" within 30 days\n  step halt \"Do not play\" at once, not to be played\n";
    text += "hands\n  hand player \"The player\"\n  hand teacher \"A teacher\" 30 USD per h\n  hand luthier \"A luthier\" 75 USD per h\n";
    text += "tiers\n  tier pocket \"Pocket money\" up to 50 USD\n  tier bench \"Bench job\" up to 150 USD\n  tier major \"Major\" beyond\n";
    text
}

/// Tables of bench time, of lengths and of prices; gives back those of lengths.
fn tables(dice: &mut Dice, parts: &[Part], text: &mut String) -> Vec<(String, Option<&'static str>)> {
    *text += "table slowness \"Bench time\" by instrument.kind\n  row cello 1.5\n  row any 1\n";
    *text += "table string-price \"Price of a string\" by instrument.kind\n  row violin 7 USD\n  row viola 8 to 11 USD\n  row any 20 USD\n";
    let mut limits = Vec::new();
    if dice.chance(60) {
        *text += "table limit \"Most\" by instrument.kind\n  row violin 2 mm\n  row cello 3 to 4 mm\n  row any 2.5 mm\n";
        limits.push(("limit".to_owned(), None));
    }
    for part in parts {
        if let Places::Fixed(places) = &part.places
            && dice.chance(60)
        {
            let (first, _) = places[0];
            let name = format!("{}-limit", part.name);
            *text += &format!("table {name} \"Most\" by instrument.kind, {}.place\n", part.name);
            *text += &format!("  row violin, {first} 1 mm\n  row violin, any 2 to 3 mm\n  row any, any 3.5 mm\n");
            limits.push((name, Some(part.name)));
        }
    }
    limits
}

/// Bench steps; a step that includes others costs more than all of them.
fn works(dice: &mut Dice, text: &mut String) -> Vec<String> {
    let mut works = Vec::new();
    let many = 1 + dice.below(WORKS.len());
    for (at, name) in WORKS.iter().take(many).enumerate() {
        let often = ["once", "each"][dice.below(2)];
        if at >= 1 && dice.chance(40) {
            let amount =
                [format!("{} to {} USD", 900 << at, 1000 << at), format!("{} to {} h * slowness by luthier", 10 << at, 12 << at)];
            let included: Vec<String> = dice.some(&works, 2);
            *text += &format!("work {name} \"Work\" {} {often}\n  includes {}\n", amount[dice.below(2)], included.join(", "));
        } else {
            let amounts = ["0.5 h", "0.2 to 0.7 h * slowness", "20 min by teacher", "15 to 60 USD", "string-price * 2", "30 USD"];
            *text += &format!("work {name} \"Work\" {} {often}\n", amounts[dice.below(amounts.len())]);
        }
        works.push((*name).to_owned());
    }
    works
}

fn cost(dice: &mut Dice, works: &[String], text: &mut String) {
    match dice.below(10) {
        0 => *text += "  cost on sight\n",
        1 => *text += "  cost nothing\n",
        _ => {
            if dice.chance(85) {
                *text += &format!("  work {}\n", dice.some(works, 2).join(", "));
            } else {
                *text += "  goods \"Wood\" 12 USD\n";
            }
            if dice.chance(30) {
                *text += ["  goods \"String\" string-price\n", "  goods \"Wood\" 5 to 12 USD\n"][dice.below(2)];
            }
        }
    }
}

fn findings(
    dice: &mut Dice,
    parts: &[Part],
    limits: &[(String, Option<&'static str>)],
    works: &[String],
    text: &mut String,
) -> Vec<String> {
    let many = 2 + dice.below(4);
    let names: Vec<String> = (0..many).map(|at| format!("trouble-{at}")).collect();
    for (at, name) in names.iter().enumerate() {
        let Some(part) = dice.pick(&parts[1..]) else { continue };
        let repeats = part.places != Places::Single;
        let each = repeats && dice.chance(85);
        // Only findings before this one are asked after, and only ones after it yielded to or become: no circles.
        let speaks = Speaks { parts, on: Some((part, each)), findings: &names[..at], limits, totals: false };
        let after = &names[at + 1..];
        *text += &format!("finding {name} \"Trouble\"\n  on {}{}\n", if each { "each " } else { "" }, part.name);
        *text += &format!("  signs {}\n", speaks.signs(dice));
        if dice.chance(25) {
            *text += &format!("  unless {}\n", speaks.condition(dice, 1));
        }
        *text += &format!("  urgency {}\n", STEPS[1 + dice.below(2)]);
        if dice.chance(35) {
            *text += &format!("  urgency {} if {}\n", STEPS[2 + dice.below(2)], speaks.condition(dice, 1));
        }
        *text += &format!("  hands {}\n", ["teacher", "luthier"][dice.below(2)]);
        if !dice.chance(15) {
            cost(dice, works, text);
            links(dice, after, text);
        } else {
            links(dice, after, text);
            for way in ["first", "other"] {
                *text += &format!("  way {way}-way \"A way\"\n    hands {}\n", ["teacher", "luthier"][dice.below(2)]);
                cost(dice, works, text);
            }
        }
    }
    names
}

fn links(dice: &mut Dice, after: &[String], text: &mut String) {
    if !after.is_empty() && dice.chance(35) {
        let odds = ["", " odds 20 %", " odds 50 % within 12 months"][dice.below(3)];
        *text += &format!("  left becomes {}{odds}\n", dice.some(after, 1).join(""));
    }
    if !after.is_empty() && dice.chance(35) {
        *text += &format!("  yields to {}\n", dice.some(after, 2).join(", "));
    }
    *text += "  basis \"common practice\"\n";
}

fn raises(dice: &mut Dice, parts: &[Part], findings: &[String], text: &mut String) {
    for at in 0..dice.below(3) {
        let speaks = Speaks { parts, on: None, findings, limits: &[], totals: false };
        let on: Vec<&str> = dice.some(&parts[1..], 2).iter().map(|part| part.name).collect();
        let cap = if dice.chance(50) { ", no higher than soon" } else { "" };
        let by = ["1 step", "2 steps"][dice.below(2)];
        *text += &format!("raise raise-{at} \"A raise\"\n  when {}\n", speaks.condition(dice, 1));
        *text += &format!("  on {}\n  by {by}{cap}\n", on.join(", "));
    }
}

fn aid(dice: &mut Dice, parts: &[Part], findings: &[String], text: &mut String) {
    if !dice.chance(35) {
        return;
    }
    let has = |name: &str| parts[0].looks.iter().any(|look| look.name == name);
    *text += "aid fund \"A fund\"\n";
    if dice.chance(50) {
        let speaks = Speaks { parts: &parts[..1], on: None, findings: &[], limits: &[], totals: false };
        *text += &format!("  for {}\n", speaks.condition(dice, 1));
    }
    let named = dice.chance(50);
    if !named || dice.chance(40) {
        *text += &format!("  covers above {} USD\n", [20, 50, 100][dice.below(3)]);
    }
    if named {
        *text += &format!("  covers {}\n", dice.some(findings, 2).join(", "));
    }
    *text += &format!("  pays {} %\n", [50, 75][dice.below(2)]);
    if dice.chance(40) {
        *text += "  cap 60 USD\n";
    }
    if dice.chance(40) {
        *text += "  family pays at least 25 USD\n";
    }
    if has("worth") && dice.chance(60) {
        *text += "  not beyond 50 % of instrument.worth\n";
    }
    if has("strung") && dice.chance(30) {
        *text += "  needs instrument.strung\n";
    }
}
