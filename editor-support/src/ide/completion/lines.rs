//! What a line may begin with: the words of items, the clauses that can stand in this item, and whole items with holes.

use purfle_lang::syntax::tree::{Clause, Doing, Entry, Head, Kind, Says};
use purfle_lang::syntax::words::{self, ALTERED, DROPPED, ITEMS};

use super::clause::kind_of_answer;
use super::menu::Menu;

/// What a line at the margin may begin with.
pub fn items(menu: &mut Menu) {
    let there: Vec<Kind> = menu.analysis.items(menu.cursor_file()).iter().map(|item| item.entry.kind).collect();
    let here = menu.cursor.item.map(|item| item.entry.keyword.start as usize);
    let on_this_line = here.is_some_and(|start| start >= menu.cursor.line.start);
    for kind in ITEMS {
        let line = words::item(kind);
        let count = there.iter().filter(|known| **known == kind).count();
        let own = usize::from(on_this_line && menu.cursor.kind() == Some(kind));
        if line.once && count > own {
            continue;
        }
        menu.word(line.word, line.shape);
    }
    let builds_on = menu.analysis.tree(menu.cursor_file()).is_some_and(|tree| tree.builds_on().is_some());
    if builds_on {
        menu.word("alter", "changes something of the rulebook that this one builds on");
        menu.word("without", "drops something of the rulebook that this one builds on");
    }
    for (label, detail, text) in SKELETONS {
        menu.skeleton(label, detail, text);
    }
    if builds_on {
        for (label, detail, text) in CHANGES {
            menu.skeleton(label, detail, text);
        }
    }
}

/// Whole items. They are laid out as `purfle tidy` lays them out.
const SKELETONS: [(&str, &str, &str); 7] = [
    (
        "finding …",
        "a whole finding",
        "finding <name> \"<what is found>\"\n  on       <part>\n  signs    <condition>\n  urgency  <step>\n  hands    <hand>\n  \
         cost     on sight\n  tell     \"<what the player should know>\"\n  basis    \"<source, or common practice>\"\n",
    ),
    (
        "finding on each …",
        "a finding on each place, with bullets and work",
        "finding <name> \"<what is found>\"\n  on       each <part>\n  signs    any of\n    - <condition>\n    - <condition>\n  \
         urgency  <step>\n  hands    <hand>\n  work     <work>\n  goods    \"<what>\"  <5 to 10> <USD>\n  \
         tell     \"<what the player should know>\"\n  basis    \"<source, or common practice>\"\n",
    ),
    (
        "part …",
        "a part with two looks",
        "part <name> \"<Words>\"\n  look <name>  \"<Question?>\"  yes or no\n    good  <no>\n  look <name>  \"<Question?>\"  \
         measured in mm from <0> to <10>, give or take <0.5>\n    how   \"<how to look>\"\n",
    ),
    (
        "table …",
        "a table with a row for the rest",
        "table <name> \"<Words>\" by <instrument.kind>\n  row <cello>  <1.5>\n  row any    <1>\n",
    ),
    ("work …", "a bench step", "work <name> \"<Words>\" <0.3 to 0.5 h> <once>\n"),
    (
        "example …",
        "a worked example",
        "example \"<what is agreed>\"\n  record   <button.sits is crooked>, the rest is good\n  finds    <finding>\n  finds    \
         nothing else\n",
    ),
    (
        "counsel …",
        "advice on the whole outcome",
        "counsel <name> \"<Words>\"\n  when   total urgency is at least <step>\n  tell   \"<what the player should know>\"\n",
    ),
];

/// What a house changes most.
const CHANGES: [(&str, &str, &str); 4] = [
    ("alter work …", "our own time or price", "alter work <name> <0.5 h> because \"<why>\"\n"),
    ("alter finding …", "our own limits or urgency", "alter finding <name> because \"<why>\"\n  urgency  <step>\n"),
    ("alter table …", "our own figures", "alter table <name> because \"<why>\"\n  row <key>  <20 to 40> <USD>\n"),
    ("without finding …", "what we leave out", "without finding <name> because \"<why>\"\n"),
];

/// The clauses that may stand here. One that stands once is left out where it stands already.
pub fn clauses(menu: &mut Menu) {
    let cursor = menu.cursor;
    let Some(item) = cursor.item else { return };
    if item.entry.keyword.start as usize >= cursor.line.start {
        return;
    }
    // The clause on this very line is the one being written.
    let above = |clause: &&Clause| (clause.keyword.start as usize) < cursor.line.start;
    let inner = cursor.entries.iter().rev().copied().find(|entry| (entry.keyword.start as usize) < cursor.line.start);
    let Some(inner) = inner else { return };
    let kind = item.entry.kind;
    let because = match &item.doing {
        Doing::Writes => None,
        Doing::Alters { because, .. } | Doing::Drops { because, .. } => Some(because.is_some()),
    };
    // The reason may stand on a line of its own, before the first clause.
    if because == Some(false) {
        menu.phrase("because", "the reason, which is shown wherever its effect is", "because \"<why>\"");
    }
    if matches!(item.doing, Doing::Drops { .. }) {
        return;
    }
    let way = (kind == Kind::Finding).then(|| item.entry.clauses.iter().filter(above).any(|clause| clause.word == "way"));
    for line in words::clauses(kind) {
        // What follows a way is the way's own.
        if way == Some(true) && line.word != "way" && !words::clauses(Kind::Way).any(|own| own.word == line.word) {
            continue;
        }
        let of_look = matches!(line.word, "private" | "good");
        if of_look && matches!(kind, Kind::Part | Kind::Context) && inner.kind != Kind::Look {
            continue;
        }
        let holder: &Entry = if under_inner(kind, inner, line.word) { inner } else { &item.entry };
        let there = holder.clauses.iter().any(|clause| clause.word == line.word && !on_line(clause, &cursor.line));
        if line.once && there && !menu_typed_is(menu, line.word) {
            continue;
        }
        menu.word(line.word, line.shape);
    }
    // The kind of answer may stand on a line of its own.
    if matches!(inner.head, Head::Look { kind: None }) && item.doing == Doing::Writes && inner.clauses.is_empty() {
        kind_of_answer(menu, &[], &[]);
    }
    clause_skeletons(menu, kind, inner);
    if bullets_go_on(cursor.text, cursor.line.start) {
        menu.phrase("- ", "one more bullet", "- ");
    }
}

fn menu_typed_is(menu: &Menu, word: &str) -> bool {
    menu.cursor.text.get(menu.cursor.typed()) == Some(word)
}

fn on_line(clause: &Clause, line: &std::ops::Range<usize>) -> bool {
    line.contains(&(clause.keyword.start as usize)) && !matches!(clause.says, Says::Entry(_))
}

/// Whether a clause belongs to the look, the place or the way above it and not to the item.
fn under_inner(kind: Kind, inner: &Entry, word: &str) -> bool {
    match inner.kind {
        Kind::Look | Kind::Place => matches!(kind, Kind::Part | Kind::Context) && !matches!(word, "look" | "place" | "places"),
        Kind::Way => words::clauses(Kind::Way).any(|own| own.word == word),
        _ => false,
    }
}

/// Clauses with holes.
fn clause_skeletons(menu: &mut Menu, kind: Kind, inner: &Entry) {
    match kind {
        Kind::Part | Kind::Context => {
            menu.skeleton(
                "look yes or no …",
                "a look that is answered by yes or no",
                "look <name>  \"<Question?>\"  yes or no\n    good  <no>",
            );
            menu.skeleton(
                "look one of …",
                "a look with choices",
                "look <name>  \"<Question?>\"  one of <good>, <bad>\n    good  <good>",
            );
            menu.skeleton(
                "look measured …",
                "a measurement",
                "look <name>  \"<Question?>\"  measured in <mm> from <0> to <10>, give or take <0.5>",
            );
        }
        Kind::Finding if inner.kind != Kind::Way => {
            menu.skeleton(
                "way …",
                "one of several ways to mend it",
                "way <name> \"<Words>\"\n    work   <work>\n    hands  <hand>",
            );
        }
        _ => {}
    }
}

/// Whether the line above is a bullet, or one that asks for bullets.
fn bullets_go_on(text: &str, line_start: usize) -> bool {
    let above = text.get(..line_start).unwrap_or_default().trim_end().rsplit(['\n', '\r']).next().unwrap_or_default().trim();
    above.starts_with("- ") || above.ends_with(" of") || above.ends_with("\tof")
}

/// What `alter` and `without` go with.
pub fn changed_kinds(menu: &mut Menu, verb: &str) {
    let kinds: &[Kind] = if verb == "alter" { &ALTERED } else { &DROPPED };
    for kind in kinds {
        let shape = if verb == "alter" { words::alter(*kind).shape } else { "" };
        menu.word(kind.word(), shape);
    }
}

/// The things of the rulebooks further up that may be altered or dropped.
pub fn changed_names(menu: &mut Menu, kind: Kind) {
    let parents = menu.analysis.parents();
    let entries: Vec<&Entry> = parents.entries.iter().map(|entry| &**entry).collect();
    let same = |one: Kind| one == kind || matches!((one, kind), (Kind::Part | Kind::Context, Kind::Part | Kind::Context));
    match kind {
        Kind::Look | Kind::Place | Kind::Way => {
            let owner = menu.path.first().copied();
            for entry in entries {
                for inner in entry.entries(kind) {
                    match owner {
                        Some(owner) if owner == entry.name_text() => menu.changed(inner.name_text(), inner),
                        Some(_) => {}
                        None => menu.changed(&format!("{}.{}", entry.name_text(), inner.name_text()), inner),
                    }
                }
            }
        }
        Kind::Step | Kind::Hand | Kind::Tier => {
            entries.iter().flat_map(|entry| entry.entries(kind)).for_each(|rung| menu.changed(rung.name_text(), rung));
        }
        _ => entries.iter().filter(|entry| same(entry.kind)).for_each(|entry| menu.changed(entry.name_text(), entry)),
    }
}

/// The looks, places, ways or rungs of the item that is altered.
pub fn names_within(menu: &mut Menu, kind: Kind) {
    let Some(item) = menu.cursor.item else { return };
    let parents = menu.analysis.parents();
    let same =
        |one: Kind, other: Kind| one == other || matches!((one, other), (Kind::Part | Kind::Context, Kind::Part | Kind::Context));
    let altered =
        parents.entries.iter().find(|entry| same(entry.kind, item.entry.kind) && entry.name_text() == item.entry.name_text());
    if let Some(altered) = altered {
        altered.entries(kind).for_each(|inner| menu.changed(inner.name_text(), inner));
    }
}
