//! A house rulebook on a new edition of the one it is built on: how its changes stand to it, and its text moved to it.

use std::path::{Path, PathBuf};

use purfle_lang::chain::merge;
use purfle_lang::compare::{HouseItem, Stand, house_items};
use purfle_lang::diagnostic::Diagnostic;
use purfle_lang::seal::seals;
use purfle_lang::span::FileId;

use super::view::{HouseItemView, HouseView};
use crate::load::{Loaded, load_text};

/// A house on a new edition.
pub struct Moved {
    /// How its changes stand.
    pub view: HouseView,
    /// The house on the new edition; none where it has errors there.
    pub loaded: Option<Loaded>,
    items: Vec<HouseItem>,
}

/// Whether the one is a house built on the other, which does not say any more what the house is built on.
pub fn is_house(house: &Loaded, parent: &Loaded) -> bool {
    let known = house.trees.get(1..).and_then(|parents| seals(parents).first().copied());
    let built_on = house.trees.first().and_then(|tree| tree.builds_on()).map(|on| on.name.value.as_str());
    let name = parent.trees.first().and_then(|tree| tree.rulebook()).map(|head| head.name_text());
    built_on.is_some() && built_on == name && known != seals(&parent.trees).first().copied()
}

/// Puts a house on a new edition of what it is built on; `file` is that of the house, `to` that of the new edition.
pub fn moved(house: &Loaded, parent: &Loaded, file: &str, to: &str) -> Moved {
    let from = std::path::absolute(to).unwrap_or_else(|_| PathBuf::from(to));
    let text = rewritten(house, parent, &from.to_string_lossy(), &[]);
    let mut loaded = load_text(file, text);
    let items = sorted(house, parent, &loaded);
    // What is wrong with the house as it is, whatever is compared below.
    let errors: Vec<String> = loaded.diagnostics.iter().filter(|told| told.is_error()).map(|told| told.says.clone()).collect();
    if loaded.book.is_none() && items.iter().any(lost) {
        // What a `without` leaves out is gone already, so the house without that line says what it is to say.
        let without: Vec<&HouseItem> = items.iter().filter(|item| lost(item)).collect();
        loaded = load_text(file, taken_out(house, parent, &from.to_string_lossy(), &without));
    }
    let was = house.trees.first().and_then(|tree| tree.builds_on());
    let edition = |tree: Option<&purfle_lang::syntax::tree::Tree>| {
        tree.and_then(|tree| tree.edition()).map_or(String::new(), |edition| edition.value.clone())
    };
    let view = HouseView {
        builds_on: was.map_or(String::new(), |on| on.name.value.clone()),
        was: was.map_or(String::new(), |on| on.edition.value.clone()),
        now: edition(parent.trees.first()),
        items: items.iter().map(HouseItemView::new).collect(),
        errors,
    };
    let sound = loaded.ready().is_some();
    Moved { view, loaded: sound.then_some(loaded), items }
}

fn sorted(house: &Loaded, parent: &Loaded, moved: &Loaded) -> Vec<HouseItem> {
    let Some(own) = house.trees.first() else { return Vec::new() };
    let before = merge(house.trees.get(1..).unwrap_or_default());
    // What is told of the moved text is told of the same items, a few bytes further on.
    let told: Vec<Diagnostic> = moved.diagnostics.iter().filter(|told| told.span.file == FileId::OWN).cloned().collect();
    let own_moved = moved.trees.first().unwrap_or(own);
    let mut items = house_items(own_moved, &before, &merge(&parent.trees), &told);
    // Told at the places of the house as it is.
    let spans: Vec<_> = own.items.iter().zip(&own_moved.items).collect();
    for item in &mut items {
        let at =
            spans.iter().find(|(_, there)| there.entry.span.start >= item.span.start && there.entry.span.end <= item.span.end);
        if let Some((here, there)) = at {
            let before = there.entry.span.start - item.span.start;
            item.span = here.entry.span;
            item.span.start = item.span.start.saturating_sub(before);
        }
    }
    items
}

/// A `without` of something that is not there any more.
fn lost(item: &HouseItem) -> bool {
    item.doing == "without" && item.stand == Stand::Clash
}

impl Moved {
    /// The text of the house on the new edition, to be looked through: idle changes and clashing ones stay, each below a
    /// comment that says what to look at. `from` is the path of the new edition beside the file it is written to.
    pub fn text(&self, house: &Loaded, parent: &Loaded, from: &str) -> String {
        let marked: Vec<&HouseItem> = self.items.iter().filter(|item| item.stand != Stand::Applies).collect();
        rewritten(house, parent, from, &marked)
    }
}

/// The path of a file as seen from the folder of another.
pub fn beside(file: &Path, other: &Path) -> String {
    let whole = |path: &Path| std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
    let (file, other) = (whole(file), whole(other));
    let folder = other.parent().unwrap_or(Path::new(""));
    let (there, here): (Vec<_>, Vec<_>) = (file.components().collect(), folder.components().collect());
    let shared = there.iter().zip(&here).take_while(|(one, other)| one == other).count();
    if shared == 0 {
        return file.to_string_lossy().into_owned();
    }
    let up = std::iter::repeat_n("..".to_owned(), here.len() - shared);
    let down = there[shared..].iter().map(|part| part.as_os_str().to_string_lossy().into_owned());
    up.chain(down).collect::<Vec<_>>().join("/")
}

/// Something that is written in place of a stretch of text.
struct Edit {
    from: usize,
    to: usize,
    text: String,
}

fn rewritten(house: &Loaded, parent: &Loaded, from: &str, marked: &[&HouseItem]) -> String {
    let text = house.sources.first().map_or("", |source| source.text.as_str());
    let mut edits = head(house, parent, from);
    let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    for item in marked {
        let start = line_start(text, item.span.start as usize);
        let what = if item.stand == Stand::Idle { "it may go" } else { "look at it" };
        edits.push(Edit { from: start, to: start, text: format!("# To review, {what}: {}.{end}", item.why) });
    }
    made(text, edits)
}

/// The same with items left out.
fn taken_out(house: &Loaded, parent: &Loaded, from: &str, items: &[&HouseItem]) -> String {
    let text = house.sources.first().map_or("", |source| source.text.as_str());
    let mut edits = head(house, parent, from);
    edits.extend(items.iter().map(|item| Edit {
        from: line_start(text, item.span.start as usize),
        to: item.span.end as usize,
        text: String::new(),
    }));
    made(text, edits)
}

fn line_start(text: &str, at: usize) -> usize {
    text.get(..at).and_then(|before| before.rfind('\n')).map_or(0, |line| line + 1)
}

/// What the line that says what the house is built on says otherwise: the edition, the file, and the seal where it has one.
fn head(house: &Loaded, parent: &Loaded, from: &str) -> Vec<Edit> {
    let Some(on) = house.trees.first().and_then(|tree| tree.builds_on()) else { return Vec::new() };
    // As it is written there: one that is not a number stands in quotes.
    let written = parent.trees.first().and_then(|tree| tree.edition()).map(|edition| edition.span.range());
    let edition = written.and_then(|range| parent.sources.first()?.text.get(range)).unwrap_or_default();
    let quoted = format!("\"{}\"", from.replace('\\', "\\\\").replace('"', "\\\""));
    let over = |span: purfle_lang::span::Span, text: String| Edit { from: span.start as usize, to: span.end as usize, text };
    let mut edits = Vec::new();
    match &on.from {
        Some(file) => {
            edits.push(over(on.edition.span, edition.to_owned()));
            edits.push(over(file.span, quoted));
        }
        None => edits.push(over(on.edition.span, format!("{edition} from {quoted}"))),
    }
    if let (Some(seal), Some(new)) = (&on.seal, seals(&parent.trees).first()) {
        edits.push(over(seal.span, format!("\"{new}\"")));
    }
    edits
}

/// A text with edits made, each at its place.
fn made(text: &str, mut edits: Vec<Edit>) -> String {
    edits.sort_by_key(|edit| edit.from);
    let mut out = String::with_capacity(text.len() + 256);
    let mut at = 0;
    for Edit { from, to, text: new } in edits {
        out.push_str(text.get(at..from).unwrap_or_default());
        out.push_str(&new);
        at = to.max(at);
    }
    out.push_str(text.get(at..).unwrap_or_default());
    out
}
