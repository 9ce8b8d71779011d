//! How diagnostics are worded: one sentence that stands alone, a help that begins with a verb, no word of the machinery.

use std::path::{Path, PathBuf};

use purfle::load::load;
use purfle_lang::diagnostic::Diagnostic;

use crate::supplied;

/// The verbs that a help or the title of a fix may begin with.
const VERBS: [&str; 39] = [
    "Drop", "Narrow", "Widen", "Add", "Ask", "Begin", "Build", "Change", "Close", "Compare", "Double", "End", "Give", "Go",
    "Indent", "Keep", "Leave", "Let", "Measure", "Mend", "Move", "Name", "Number", "Pay", "Put", "Raise", "Round", "Say",
    "Split", "Swap", "Take", "Tell", "Test", "Turn", "Use", "Work", "Write", "Lower", "Make",
];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// The files below a folder whose names end so.
fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display())) {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            found.extend(files(&path, ending));
        } else if path.to_string_lossy().ends_with(ending) {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// All that is told of the texts with faults.
fn told() -> Vec<Diagnostic> {
    let texts = files(&root().join("tests/corpus"), ".purfle");
    assert!(!texts.is_empty(), "the texts are found");
    let read = |path: &PathBuf| {
        let text = std::fs::read_to_string(path).expect("UTF-8");
        let whole = path.components().any(|folder| folder.as_os_str() == "whole");
        supplied::read(&if whole { text } else { supplied::whole(&text) }).diagnostics
    };
    let proved = || {
        let mut small = load(&root().join("interpreter/tests/small.purfle").to_string_lossy()).expect("a rulebook");
        small.proof();
        small.diagnostics
    };
    texts.iter().flat_map(read).chain(proved()).collect()
}

/// A text with `X` for everything in backticks or quotes, which are the author's own words.
fn own_words(text: &str) -> String {
    let (mut plain, mut until) = (String::new(), None);
    let mut escaped = false;
    for char in text.chars() {
        match until {
            Some(_) if escaped => escaped = false,
            Some(_) if char == '\\' => escaped = true,
            Some(end) if char == end => until = None,
            Some(_) => {}
            None if matches!(char, '`' | '"') => {
                until = Some(char);
                plain.push('X');
            }
            None => plain.push(char),
        }
    }
    plain
}

/// What is wrong with a sentence that stands alone; nothing where it is well.
fn unlike_a_sentence(text: &str) -> Option<&'static str> {
    let plain = own_words(text);
    let ends = plain.char_indices().filter(|(_, char)| matches!(char, '.' | '?' | '!'));
    let inner =
        ends.filter(|(at, _)| plain[at + 1..].starts_with(' ') && plain[at + 2..].starts_with(char::is_uppercase)).count();
    if !plain.ends_with('.') {
        Some("ends without a full stop")
    } else if inner > 0 {
        Some("is more than one sentence")
    } else if !plain.starts_with(|char: char| char.is_uppercase() || char.is_ascii_digit() || char == '-') {
        Some("begins with a small letter")
    } else {
        no_words_of_ours(&plain)
    }
}

/// Rules of the grammar have an underscore in their names; nothing that people write has.
fn no_words_of_ours(plain: &str) -> Option<&'static str> {
    plain.contains('_').then_some("has a word of the machinery in it")
}

fn unlike_an_instruction(text: &str) -> Option<&'static str> {
    let first = text.split(|char: char| !char.is_alphabetic()).next().unwrap_or_default();
    if VERBS.contains(&first) { no_words_of_ours(&own_words(text)) } else { Some("begins with no verb") }
}

/// A few words beside a place.
fn unlike_a_label(text: &str) -> Option<&'static str> {
    let plain = own_words(text);
    if plain.ends_with('.') { Some("ends with a full stop") } else { no_words_of_ours(&plain) }
}

/// All that is wrong with the wording of a diagnostic.
fn faults(diagnostic: &Diagnostic) -> Vec<String> {
    let mut faults = Vec::new();
    let mut hold = |what: &str, text: &str, wrong: Option<&str>| {
        faults.extend(wrong.map(|wrong| format!("{}: its {what} {wrong}: {text}", diagnostic.slug)));
    };
    hold("sentence", &diagnostic.says, unlike_a_sentence(&diagnostic.says));
    hold("help", &diagnostic.help, unlike_an_instruction(&diagnostic.help));
    hold("help", &diagnostic.help, (!diagnostic.help.ends_with('.')).then_some("ends without a full stop"));
    hold("label", &diagnostic.label, unlike_a_label(&diagnostic.label));
    for place in &diagnostic.places {
        hold("place", &place.says, unlike_a_label(&place.says));
    }
    for fix in &diagnostic.fixes {
        hold("fix", &fix.title, unlike_an_instruction(&fix.title).or_else(|| unlike_a_label(&fix.title)));
    }
    if let Some(witness) = &diagnostic.witness {
        hold("witness", &witness.outcome, unlike_a_label(&witness.outcome));
    }
    faults
}

#[test]
fn every_diagnostic_is_a_sentence_with_an_instruction() {
    let told = told();
    assert!(told.len() > 150, "only {} are told", told.len());
    let mut faults: Vec<String> = told.iter().flat_map(faults).collect();
    faults.sort();
    faults.dedup();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// The corpus does not meet every help, so those that stand in the sources in one piece are read there.
#[test]
fn every_help_in_the_sources_begins_with_a_verb() {
    let mut helps = 0;
    let mut wrong = Vec::new();
    for path in ["lang/src", "interpreter/src"].iter().flat_map(|folder| files(&root().join(folder), ".rs")) {
        let source = std::fs::read_to_string(&path).expect("UTF-8");
        for before in [".help(\"", ".help(format!(\"", "help: \"", "let help = \"", "let help = format!(\""] {
            for (at, _) in source.match_indices(before) {
                let text = source[at + before.len()..].lines().next().unwrap_or_default();
                helps += 1;
                if !text.starts_with('{') && unlike_an_instruction(text) == Some("begins with no verb") {
                    wrong.push(format!("{}: {text}", path.display()));
                }
            }
        }
    }
    assert!(helps > 150, "only {helps} helps are found");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn what_is_badly_worded_is_seen() {
    for text in ["It is so", "it is so.", "It is so. It stays so.", "Expected signs_clause.", ""] {
        assert!(unlike_a_sentence(text).is_some(), "{text}");
    }
    for text in ["`gap` is 0.5 mm. and so on.", "`a. B` is so.", "3 mm is too much.", "\"A. B\" is no name."] {
        assert_eq!(unlike_a_sentence(text), None, "{text}");
    }
    for text in ["Did you mean it?", "The clauses are these.", "", "write it.", "Write a clause_line."] {
        assert!(unlike_an_instruction(text).is_some(), "{text}");
    }
}
