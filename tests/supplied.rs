//! A short text made a whole rulebook: what it leaves out is supplied by the small shop of `lang/pages/shop.purfle`.
//!
//! A text that writes the three ladders, or its head and two of them, is whole, and nothing is supplied. A text that builds on another,
//! or alters and drops without saying which rulebook it is, is a house built on the shop. Any other gets, below its own
//! lines, what the shop has and it has not: the rulebook's head, the ladders, the contexts and parts, and of the rest
//! what it names.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use purfle::load::{Loaded, load};
use purfle_lang::diagnostic::Diagnostic;
use purfle_lang::span::FileId;

/// The items that are supplied whether or not the text names them.
const ALWAYS: [&str; 6] = ["rulebook", "urgency", "hands", "tiers", "context", "part"];

/// The ladders.
const LADDERS: [&str; 3] = ["urgency", "hands", "tiers"];

/// The head of a house that does not write one.
const HOUSE: &str = "\nrulebook house \"A house\"\n  edition 1\n  builds on shop edition 2026.1\n";

/// How many rulebooks lie beside the text, each built on the one before: `floor-1` builds on nothing.
const FLOORS: usize = 16;

/// The pages' folder.
pub fn pages() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../lang/pages")
}

/// The shop's text.
pub fn shop() -> String {
    std::fs::read_to_string(pages().join("shop.purfle")).expect("the shop of the pages")
}

/// The word and the name of a line that starts an item.
fn item(line: &str) -> Option<(&str, &str)> {
    if line.is_empty() || line.starts_with([' ', '\t', '#', '"']) {
        return None;
    }
    let mut words = line.split_whitespace();
    Some((words.next()?, words.next().unwrap_or_default()))
}

fn words(text: &str) -> BTreeSet<&str> {
    text.split(|char: char| !(char.is_alphanumeric() || char == '-')).filter(|word| !word.is_empty()).collect()
}

/// Whether a text writes an item whose line begins with this word.
fn writes(text: &str, word: &str) -> bool {
    text.lines().filter_map(item).any(|(written, _)| written == word)
}

/// The text, with all that it needs below it.
pub fn whole(text: &str) -> String {
    let has_head = writes(text, "rulebook");
    let ladders = LADDERS
        .iter()
        .filter(|ladder| text.lines().any(|line| line.split('#').next().is_some_and(|line| line.trim_end() == **ladder)))
        .count();
    if ladders + usize::from(has_head) >= LADDERS.len() {
        return text.to_owned();
    }
    let builds = text.lines().any(|line| line.trim_start().starts_with("builds on"));
    let departs = writes(text, "alter") || writes(text, "without");
    match (has_head, builds || departs) {
        (true, _) if builds => text.to_owned(),
        (false, true) => format!("{text}{HOUSE}"),
        _ => with_the_shop(text),
    }
}

fn with_the_shop(text: &str) -> String {
    let shop = shop();
    // A ladder stands alone on its line; below a finding the same word is a clause that lost its indentation.
    let own: BTreeSet<(&str, &str)> =
        text.lines().filter_map(item).filter(|(word, name)| !LADDERS.contains(word) || name.is_empty() || *name == "#").collect();
    let mut left: Vec<(&str, &str, &str)> = Vec::new();
    for block in shop.split("\n\n").flat_map(blocks) {
        let Some((word, name)) = block.lines().find_map(item) else { continue };
        let alone = LADDERS.contains(&word) || word == "rulebook";
        if !own.iter().any(|(written, given)| *written == word && (alone || *given == name)) {
            left.push((word, name, block));
        }
    }
    let mut whole = text.to_owned();
    loop {
        let named: BTreeSet<String> = words(&whole).into_iter().map(str::to_owned).collect();
        let Some(at) = left.iter().position(|(word, name, _)| ALWAYS.contains(word) || named.contains(*name)) else { break };
        whole.push('\n');
        whole.push_str(left.remove(at).2);
    }
    whole.push('\n');
    whole
}

/// One-line items stand together in the shop.
fn blocks(paragraph: &str) -> Vec<&str> {
    if paragraph.lines().all(|line| item(line).is_some()) { paragraph.lines().collect() } else { vec![paragraph] }
}

/// The text read as `house.purfle`, with the shop and the floors beside it, and its quietings heard.
pub fn read(text: &str) -> Loaded {
    let mut loaded = unheard(text);
    loaded.hear();
    loaded
}

fn unheard(text: &str) -> Loaded {
    let folder = tempfile::tempdir().expect("a folder");
    let write = |name: &str, text: &str| {
        std::fs::write(folder.path().join(format!("{name}.purfle")), text).expect("room for a file");
    };
    write("house", text);
    if text.contains("shop") {
        write("shop", &shop());
    }
    if text.contains("floor-") {
        for floor in 1..=FLOORS {
            let below = if floor > 1 { format!("  builds on floor-{} edition 1\n", floor - 1) } else { String::new() };
            let head = format!("rulebook floor-{floor} \"Floor {floor}\"\n  edition 1\n{below}");
            let ground = format!("{head}  money USD\n");
            write(&format!("floor-{floor}"), &if floor > 1 { head } else { with_the_shop(&ground) });
        }
    }
    let path = folder.path().join("house.purfle");
    let mut loaded = load(&path.to_string_lossy()).unwrap_or_else(|unusable| panic!("{unusable}"));
    loaded.ready();
    let folder = folder.path().to_string_lossy().into_owned();
    for diagnostic in &mut loaded.diagnostics {
        diagnostic.says = diagnostic.says.replace(&format!("{folder}/"), "");
    }
    loaded
}

/// The same with all that can be proved of the text's own lines.
pub fn proved(text: &str) -> Loaded {
    let mut loaded = unheard(&whole(text));
    let read = loaded.diagnostics.clone();
    loaded.prove();
    loaded.hear();
    let own = |diagnostic: &Diagnostic| diagnostic.span.file == FileId(0) && (diagnostic.span.start as usize) < text.len();
    loaded.diagnostics.retain(|diagnostic| read.contains(diagnostic) || own(diagnostic));
    loaded
}
