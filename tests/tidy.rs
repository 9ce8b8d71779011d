//! The house is in order: every file opens by saying what it is for, is reached from a crate's root, is small, and the
//! language does no input and no output.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The most lines of a file.
const MOST_LINES: usize = 600;

/// Files that are longer, and why.
const LONGER: [(&str, &str); 0] = [];

/// The roots of crates and test binaries.
const ROOTS: [&str; 11] = [
    "lang/src/lib.rs",
    "interpreter/src/lib.rs",
    "interpreter/src/main.rs",
    "interpreter/tests/all.rs",
    "editor-support/tests/all.rs",
    "editor-support/benches/editing/main.rs",
    "tests/all.rs",
    "tests/support.rs",
    "tests/benches/season/main.rs",
    "tests/benches/proof/main.rs",
    "tests/benches/allot/main.rs",
];

fn root() -> PathBuf {
    let tests = Path::new(env!("CARGO_MANIFEST_DIR"));
    tests.parent().expect("the folder above the tests").to_path_buf()
}

/// Every source file below a folder.
fn below(folder: &Path, into: &mut BTreeSet<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display())) {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            if path.file_name().is_some_and(|name| name != "target" && name != "node_modules") {
                below(&path, into);
            }
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            into.insert(path);
        }
    }
}

fn sources() -> BTreeSet<PathBuf> {
    let mut all = BTreeSet::new();
    for folder in ["lang", "interpreter", "tests", "editor-support"] {
        below(&root().join(folder), &mut all);
    }
    assert!(all.len() > 100, "the source files are found");
    all
}

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

fn shown(path: &Path) -> String {
    path.strip_prefix(root()).unwrap_or(path).display().to_string()
}

/// The roots there are: those named, and those of the editor support.
fn roots(all: &BTreeSet<PathBuf>) -> Vec<PathBuf> {
    let editor = |path: &&PathBuf| {
        let name = shown(path);
        name.starts_with("editor-support/") && ["/src/lib.rs", "/src/main.rs", "/build.rs"].iter().any(|end| name.ends_with(end))
    };
    let named = ROOTS.iter().map(|name| root().join(name));
    named.chain(all.iter().filter(editor).cloned()).collect()
}

/// The files that the `mod` lines of a file name.
fn named_by(file: &Path, is_root: bool) -> Vec<PathBuf> {
    let folder = file.parent().expect("a folder").to_path_buf();
    let stem = file.file_stem().expect("a name");
    let inside = if is_root || stem == "mod" { folder.clone() } else { folder.join(stem) };
    let mut named = Vec::new();
    let mut path_given: Option<PathBuf> = None;
    for line in text(file).lines().map(str::trim) {
        if let Some(path) = line.strip_prefix("#[path = \"").and_then(|rest| rest.strip_suffix("\"]")) {
            path_given = Some(folder.join(path));
            continue;
        }
        let Some(name) = line.strip_suffix(';').and_then(|line| line.split_once("mod ")) else { continue };
        let (before, name) = name;
        if !(before.is_empty() || before.starts_with("pub")) || !name.chars().all(|c| c.is_alphanumeric() || c == '_') {
            continue;
        }
        let candidates = match path_given.take() {
            Some(path) => vec![path],
            None => vec![inside.join(format!("{name}.rs")), inside.join(name).join("mod.rs")],
        };
        named.extend(candidates.into_iter().filter(|path| path.exists()));
    }
    named
}

#[test]
fn every_file_is_reached_by_a_mod_line() {
    let all = sources();
    let roots = roots(&all);
    let mut reached: BTreeSet<PathBuf> = BTreeSet::new();
    let mut next: Vec<(PathBuf, bool)> = roots.iter().map(|root| (root.clone(), true)).collect();
    while let Some((file, is_root)) = next.pop() {
        if reached.insert(file.clone()) {
            next.extend(named_by(&file, is_root).into_iter().map(|named| (named, false)));
        }
    }
    let lost: Vec<String> = all.difference(&reached).map(|path| shown(path)).collect();
    assert!(lost.is_empty(), "no `mod` line names {lost:?}");
}

#[test]
fn every_file_says_first_what_it_is_for() {
    // A check opens with the page about what it finds, which is then its doc comment.
    let opens = |text: &str| text.starts_with("//! ") || text.starts_with("#![doc = include_str!(\"");
    let silent: Vec<String> = sources().iter().filter(|path| !opens(&text(path))).map(|path| shown(path)).collect();
    assert!(silent.is_empty(), "these files do not open with a `//!` sentence or a page: {silent:?}");
}

#[test]
fn files_are_small() {
    for (name, _) in LONGER {
        assert!(root().join(name).exists(), "{name} is listed as long, and is not there");
    }
    let long: Vec<String> = sources()
        .iter()
        .filter(|path| !LONGER.iter().any(|(name, _)| root().join(name) == **path))
        .map(|path| (text(path).lines().count(), shown(path)))
        .filter(|(lines, _)| *lines > MOST_LINES)
        .map(|(lines, name)| format!("{name} ({lines} lines)"))
        .collect();
    assert!(long.is_empty(), "more than {MOST_LINES} lines: {long:?}");
}

/// The lines of the files for which `bad` holds.
fn lines_that(files: impl IntoIterator<Item = PathBuf>, bad: impl Fn(&str) -> bool) -> Vec<String> {
    let mut told = Vec::new();
    for path in files {
        for (at, line) in text(&path).lines().enumerate() {
            if bad(line) {
                told.push(format!("{}:{}: {}", shown(&path), at + 1, line.trim()));
            }
        }
    }
    told
}

#[test]
fn the_language_does_no_input_and_no_output() {
    let mut lang = BTreeSet::new();
    below(&root().join("lang/src"), &mut lang);
    let banned =
        ["std::fs", "std::io", "std::env", "std::net", "std::process", "std::thread", "std::time", "println!", "print!("];
    // Two things done at the same time come to the same as one after the other, and where there are no threads they are.
    lang.retain(|path| !path.ends_with("lang/src/beside.rs"));
    let told = lines_that(lang, |line| banned.iter().any(|word| line.contains(word)));
    assert!(told.is_empty(), "{}", told.join("\n"));
}

#[test]
fn nothing_is_left_for_later() {
    // Put together here, so that this file does not find itself.
    let banned = [["#[ig", "nore"], ["to", "do!("], ["unimplem", "ented!("], ["d", "bg!("]].map(|halves| halves.concat());
    let told = lines_that(sources(), |line| banned.iter().any(|word| line.contains(word.as_str())));
    assert!(told.is_empty(), "{}", told.join("\n"));
}

#[test]
fn no_template_goes_round_the_escaping() {
    let folder = root().join("interpreter/templates");
    let templates = std::fs::read_dir(&folder).expect("the templates").map(|entry| entry.expect("an entry").path());
    let templates: Vec<PathBuf> = templates.collect();
    assert!(templates.len() > 5, "the templates are found");
    let told = lines_that(templates, |line| ["|safe", "| safe", "|escape(", "<script"].iter().any(|word| line.contains(word)));
    assert!(told.is_empty(), "{}", told.join("\n"));
}

#[test]
fn the_pages_for_readers_name_only_what_is_there() {
    let page = text(&root().join("DEVELOPERS.md"));
    let paths = page.split('`').skip(1).step_by(2).filter(|shown| {
        let folders = ["lang/", "interpreter/", "rulebooks/", "tests/", "editor-support/"];
        folders.iter().any(|folder| shown.starts_with(folder)) && !shown.contains([' ', '*', '…'])
    });
    let missing: Vec<&str> = paths.filter(|path| !root().join(path).exists()).collect();
    assert!(missing.is_empty(), "DEVELOPERS.md names {missing:?}");
}
