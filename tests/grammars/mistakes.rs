//! A mistake made at random in one line leaves every other item of the tree as it was.

use std::path::Path;

use purfle_tests::dice::Dice;

use super::tree::{is_fault, nodes, tree};

/// How often each line is spoiled.
const TIMES: usize = 2;

/// A line spoiled in one place: cut short, a character more or less, a word less.
fn spoiled(dice: &mut Dice, line: &str) -> String {
    let chars: Vec<char> = line.chars().collect();
    let at = dice.from(0, chars.len() as i64 - 1) as usize;
    let mut made = chars.clone();
    match dice.from(0, 3) {
        0 => made.truncate(at),
        1 => made.insert(at, ['"', '(', ',', '§', 'x'][dice.from(0, 4) as usize]),
        2 => {
            made.remove(at);
        }
        _ => {
            let words: Vec<&str> = line.split(' ').collect();
            let gone = dice.from(0, words.len() as i64 - 1) as usize;
            let left = words.iter().enumerate().filter(|(word, _)| *word != gone);
            return left.map(|(_, word)| *word).collect::<Vec<_>>().join(" ");
        }
    }
    made.into_iter().collect()
}

/// Spoils the lines of a rulebook one by one, with the items above and below around each; how often it was done.
fn spoil(name: &str) -> usize {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../rulebooks").join(name);
    let text = std::fs::read_to_string(&path).expect("the rulebook");
    let lines: Vec<&str> = text.lines().collect();
    let opens = |line: &str| !line.is_empty() && !line.starts_with([' ', '#']);
    let mut items = 0;
    let item: Vec<usize> = lines
        .iter()
        .map(|line| {
            items += usize::from(opens(line));
            items
        })
        .collect();
    let mut dice = Dice::new(2026);
    let mut done = 0;
    for (at, line) in lines.iter().enumerate() {
        if line.trim().is_empty() || line.trim_start().starts_with('#') {
            continue;
        }
        for _ in 0..TIMES {
            let made = spoiled(&mut dice, line);
            // What is no longer at the margin belongs to the item above.
            if made.trim().is_empty() || opens(line) != opens(&made) {
                continue;
            }
            let near = |other: &usize| item[*other].abs_diff(item[at]) <= 1;
            let shown: Vec<usize> = (0..lines.len()).filter(near).collect();
            let text: Vec<&str> = shown.iter().map(|other| if *other == at { made.as_str() } else { lines[*other] }).collect();
            let tree = tree(&text.join("\n"));
            let mut all = Vec::new();
            nodes(tree.root_node(), &mut all);
            for fault in all.iter().filter(|node| is_fault(node)) {
                let (start, end) = (fault.start_position(), fault.end_position());
                let last = if end.column == 0 && end.row > start.row { end.row - 1 } else { end.row };
                let inside = [start.row, last].into_iter().all(|row| shown.get(row).is_none_or(|row| item[*row] == item[at]));
                assert!(inside, "{name}:{}: {made:?} spoils the lines {} to {last} of\n{}", at + 1, start.row, text.join("\n"));
            }
            done += 1;
        }
    }
    done
}

#[test]
fn a_mistake_stays_in_its_item() {
    let done = spoil("first-look.purfle") + spoil("harrow-bench.purfle");
    assert!(done > 5_000, "only {done} mistakes were made");
}
