//! What a formula takes, while it is being written.

use purfle_lang::span::FileId;

use super::at;
use crate::ide::signature::signature;

/// The label with the value being written in brackets.
fn asked(line: &str) -> Option<String> {
    let (analysis, offset) = at(&format!("{}\n{line}\n", super::shop::SHOP));
    let help = signature(&analysis, FileId::OWN, offset)?;
    let (from, to) = *help.values.get(help.active as usize)?;
    let label = &help.label;
    Some(format!("{}[{}]{}", &label[..from as usize], &label[from as usize..to as usize], &label[to as usize..]))
}

#[test]
fn the_value_being_written_is_the_one_after_the_last_comma() {
    let moisture = |text: &str| asked(&format!("reckon m \"M\" as {text}"));
    assert_eq!(moisture("wood-moisture(§").as_deref(), Some("wood-moisture([humidity], temperature)"));
    assert_eq!(moisture("wood-moisture(room.humidity, §").as_deref(), Some("wood-moisture(humidity, [temperature])"));
    assert_eq!(
        moisture("wood-movement(200 mm, 0.0015, (8 % + 1 %), §moisture)").as_deref(),
        Some("wood-movement(width, coefficient, from-moisture, [to-moisture])")
    );
    assert_eq!(
        moisture("wood-movement(200 mm, 0.0015, 8 %, wood-moisture(§").as_deref(),
        Some("wood-moisture([humidity], temperature)")
    );
    assert_eq!(moisture("wood-moisture(room.humidity, room.temperature)§"), None);
    assert_eq!(moisture("(1 + §"), None);
}
