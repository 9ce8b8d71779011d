//! The part in hand where a condition or a value is written: whose looks may be written plainly, and which places are known.

use purfle_lang::book::PartId;
use purfle_lang::resolve::names::{Names, Repeats};
use purfle_lang::syntax::tree::{Entry, Kind, Says};

use super::menu::Menu;
use crate::ide::tokens::Token;

/// The part in hand.
#[derive(Debug, Clone, Default)]
pub struct Hand {
    /// The part whose looks may be written plainly.
    pub part: Option<PartId>,
    /// Parts of which a place is in hand.
    pub in_hand: Vec<PartId>,
}

impl Hand {
    /// The part in hand before the word being written.
    pub fn of(menu: &Menu, before: &[Token]) -> Self {
        let mut hand = Self::outside(menu).unwrap_or_default();
        let Some(names) = menu.names() else { return hand };
        if let Some(part) = asked_over(menu, names, before) {
            hand.part = Some(part);
            hand.in_hand.push(part);
        }
        hand
    }

    /// The part that the item is on.
    fn outside(menu: &Menu) -> Option<Self> {
        let names = menu.names()?;
        let item = menu.cursor.item?;
        let entry: &Entry = &item.entry;
        let each = |part: PartId, each: bool| Self {
            part: Some(part),
            in_hand: if each && repeats(names, part) != Repeats::Single { vec![part] } else { Vec::new() },
        };
        match entry.kind {
            Kind::Finding => {
                let on = entry.clauses.iter().find_map(|clause| match &clause.says {
                    Says::On(on) => Some(on),
                    _ => None,
                });
                if let Some(on) = on {
                    return Some(each(names.parts.get(&on.part.value)?, on.each));
                }
                let known = menu.book()?.findings.get(names.findings.get(entry.name_text())?.index())?;
                Some(each(known.on, known.each))
            }
            Kind::Part | Kind::Context => Some(each(names.parts.get(entry.name_text())?, menu.cursor.entries.len() > 1)),
            Kind::Look | Kind::Place => Some(each(names.parts.get(&entry.owner.as_ref()?.value)?, true)),
            Kind::Raise => {
                let on = entry.clauses.iter().find_map(|clause| match &clause.says {
                    Says::OnParts(parts) => Some(parts.as_slice()),
                    _ => None,
                });
                match on? {
                    [part] => Some(each(names.parts.get(&part.value)?, true)),
                    _ => None,
                }
            }
            _ => None,
        }
    }
}

pub fn repeats(names: &Names, part: PartId) -> Repeats {
    names.inside.get(part.index()).map_or(Repeats::Single, |inside| inside.repeats)
}

/// The part of `any PART with …` in whose test the pointer stands: the test itself, or a bracket round it.
fn asked_over(menu: &Menu, names: &Names, before: &[Token]) -> Option<PartId> {
    let text = menu.cursor.text;
    let mut depth = 0_u32;
    for (at, token) in before.iter().enumerate().rev() {
        match token.of(text) {
            ")" => depth += 1,
            "(" => depth = depth.saturating_sub(1),
            // Without a bracket only one test belongs to it.
            "and" | "or" if depth == 0 && !bracketed(text, &before[..at]) => return None,
            "with" if depth == 0 => {
                let part = at.checked_sub(1).and_then(|at| before.get(at))?;
                return names.parts.get(part.of(text));
            }
            _ => {}
        }
    }
    None
}

/// Whether a bracket is open.
fn bracketed(text: &str, before: &[Token]) -> bool {
    let depth = before.iter().fold(0_i64, |depth, token| match token.of(text) {
        "(" => depth + 1,
        ")" => depth - 1,
        _ => depth,
    });
    depth > 0
}
