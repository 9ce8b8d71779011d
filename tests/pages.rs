//! The pages about diagnostics: each slug has one, each example shows what the page says it shows, and what it says
//! about mending is so.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use purfle::load::Loaded;
use purfle_lang::diagnostic::{Diagnostic, Fix};
use purfle_lang::pages::{page, slugs};
use purfle_lang::span::FileId;

use crate::supplied::{self, whole};

/// The headings of a page, in order.
const HEADINGS: [&str; 4] = ["## Why it matters", "## Wrong", "## Better", "## Mending"];

/// Words with a hyphen that stand in quotes in the sources and are no slugs.
const NO_SLUGS: [&str; 6] = [
    "inspected-on",
    "wood-moisture",
    "wood-movement",
    "from-moisture",
    "to-moisture",
    // What comes of an error that was told; it is counted, and never told itself.
    "told-already",
];

/// What stands before the slug of a diagnostic.
const BEFORE_A_SLUG: [&str; 4] = ["Diagnostic::error(", "Diagnostic::warning(", "slug: ", "SLUG: &str = "];

/// How the section on mending ends for what is no error.
const WARNING: &str = "It is a warning; the rulebook runs without it.";

/// One page, taken apart.
struct Page {
    slug: &'static str,
    says: String,
    wrong: String,
    better: String,
    mending: String,
}

fn read(slug: &'static str) -> Page {
    let text = page(slug).expect("a page");
    let mut rest = text;
    let mut sections = Vec::new();
    for heading in HEADINGS {
        let (before, after) = rest.split_once(&format!("\n{heading}\n")).unwrap_or_else(|| panic!("{slug}: no `{heading}`"));
        sections.push(before.trim());
        rest = after;
    }
    sections.push(rest.trim());
    let [says, _, wrong, better, mending] = sections[..] else { panic!("{slug}: five sections") };
    Page { slug, says: says.to_owned(), wrong: example(slug, wrong), better: example(slug, better), mending: mending.to_owned() }
}

/// The text of the one example of a section. After `last line N times` its last line is written N times more; a number
/// in it counts up.
fn example(slug: &str, section: &str) -> String {
    let block = section.strip_prefix("```purfle").and_then(|block| block.strip_suffix("```"));
    let (info, text) = block.and_then(|block| block.split_once('\n')).unwrap_or_else(|| panic!("{slug}: one example"));
    assert!(!text.contains("```"), "{slug}: one example in each section");
    let Some(times) = info.trim().strip_prefix("last line ").and_then(|rest| rest.strip_suffix(" times")) else {
        return text.to_owned();
    };
    let times: usize = times.parse().expect("a number");
    let last = text.lines().last().unwrap_or_default();
    let digits = |at: usize| last[at..].find(|c: char| !c.is_ascii_digit()).map_or(last.len(), |end| at + end);
    let number = last.find(|c: char| c.is_ascii_digit()).map(|at| (at, digits(at)));
    let lines = (1..=times).map(|more| match number {
        Some((at, end)) => {
            format!("{}{}{}\n", &last[..at], last[at..end].parse::<usize>().expect("a number") + more, &last[end..])
        }
        None => format!("{last}\n"),
    });
    format!("{text}{}", lines.collect::<String>())
}

fn told(loaded: &Loaded) -> String {
    let one = |diagnostic: &Diagnostic| format!("{}: {}", diagnostic.slug, diagnostic.says);
    loaded.diagnostics.iter().map(one).collect::<Vec<_>>().join("\n")
}

/// What keeps an example from giving just this slug: nothing else, and no error beside a warning.
fn wrong_otherwise(page: &Page, loaded: &Loaded) -> Option<String> {
    let own: Vec<&Diagnostic> = loaded.diagnostics.iter().filter(|diagnostic| diagnostic.slug == page.slug).collect();
    let others = loaded.diagnostics.iter().filter(|diagnostic| diagnostic.slug != page.slug);
    let sound = !own.is_empty() && others.into_iter().all(|other| !other.is_error());
    (!sound).then(|| format!("{}: `Wrong` gives\n{}", page.slug, told(loaded)))
}

#[test]
fn the_wrong_example_of_a_page_gives_its_slug_and_the_better_one_does_not() {
    let mut bad = Vec::new();
    for page in slugs().map(read) {
        bad.extend(wrong_otherwise(&page, &supplied::proved(&page.wrong)));
        let better = supplied::proved(&page.better);
        if better.diagnostics.iter().any(|diagnostic| diagnostic.is_error() || diagnostic.slug == page.slug) {
            bad.push(format!("{}: `Better` gives\n{}", page.slug, told(&better)));
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n\n"));
}

/// How the section on mending has to begin for a diagnostic.
fn opening(diagnostic: &Diagnostic) -> &'static str {
    match diagnostic.fixes.first() {
        Some(Fix { safe: true, .. }) => "Safe: ",
        Some(Fix { safe: false, .. }) => "Offered: ",
        None => "By hand: ",
    }
}

fn mended(text: &str, fix: &Fix) -> String {
    let mut text = text.to_owned();
    for edit in fix.edits.iter().rev() {
        assert_eq!(edit.span.file, FileId(0), "a fix mends the rulebook itself");
        text.replace_range(edit.span.range(), &edit.text);
    }
    text
}

#[test]
fn what_a_page_says_about_mending_is_so() {
    let mut bad = Vec::new();
    for page in slugs().map(read) {
        let loaded = supplied::proved(&page.wrong);
        let Some(first) = loaded.diagnostics.iter().find(|diagnostic| diagnostic.slug == page.slug) else { continue };
        if !page.mending.starts_with(opening(first)) {
            bad.push(format!("{}: `Mending` begins with `{}`", page.slug, opening(first)));
        }
        // A finding that a good instrument shows is not mended by agreeing that it does.
        if let Some(fix) = first.fixes.first().filter(|_| page.slug != "good-found") {
            let after = supplied::proved(&mended(&whole(&page.wrong), fix));
            let count = |all: &Loaded| all.diagnostics.iter().filter(|other| other.slug == page.slug).count();
            if count(&after) >= count(&loaded) {
                bad.push(format!("{}: `{}` does not mend it", page.slug, fix.title));
            }
        }
        let warning = page.mending.split_whitespace().collect::<Vec<_>>().join(" ").ends_with(WARNING);
        if warning == first.is_error() {
            bad.push(format!("{}: `Mending` says at its end whether it is a warning", page.slug));
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

#[test]
fn pages_are_short_and_say_it_in_a_sentence_or_two() {
    for page in slugs().map(read) {
        let sentences = page.says.matches(['.', '?']).count();
        assert!(page.says.ends_with('.') && (1..=2).contains(&sentences), "{}: {}", page.slug, page.says);
        assert!(!page.says.contains("\n\n"), "{}: one paragraph says what it is", page.slug);
    }
}

fn below(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("a folder of sources") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        if path.is_dir() && name != "tests" {
            below(&path, into);
        } else if name.ends_with(".rs") && !matches!(name, "tests.rs" | "fixture.rs" | "pages.rs") {
            into.push(path);
        }
    }
}

/// The sources of a crate without their tests.
fn sources(crate_folder: &str) -> Vec<String> {
    let mut files = Vec::new();
    below(&Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join(crate_folder).join("src"), &mut files);
    let without_tests = |text: String| text.split("mod tests {").next().unwrap_or_default().to_owned();
    files.iter().map(|file| without_tests(std::fs::read_to_string(file).expect("a source file"))).collect()
}

/// The text in quotes with which a source goes on.
fn literal(rest: &str) -> Option<&str> {
    let literal = rest.trim_start().strip_prefix('"')?;
    literal.split('"').next()
}

/// Every slug in the sources: what stands where a slug does, and in `lang` whatever looks like one.
fn slugs_in_the_sources() -> BTreeSet<String> {
    let kebab = |word: &&str| {
        let parts: Vec<&str> = word.split('-').collect();
        parts.len() > 1 && parts.iter().all(|part| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_lowercase()))
    };
    let lang = sources("lang");
    let mut found: BTreeSet<String> = BTreeSet::new();
    for text in lang.iter().chain(&sources("interpreter")) {
        for before in BEFORE_A_SLUG {
            found.extend(text.split(before).skip(1).filter_map(literal).map(str::to_owned));
        }
    }
    for text in &lang {
        let in_quotes = text.split('"').skip(1).filter(kebab).filter(|word| !NO_SLUGS.contains(word));
        found.extend(in_quotes.map(str::to_owned));
    }
    found.retain(|slug| !NO_SLUGS.contains(&slug.as_str()));
    assert!(found.len() > 100, "the slugs are found");
    found
}

#[test]
fn every_slug_has_a_page_and_every_page_a_slug() {
    let found = slugs_in_the_sources();
    let paged: BTreeSet<String> = slugs().map(str::to_owned).collect();
    let without: Vec<_> = found.difference(&paged).collect();
    let idle: Vec<_> = paged.difference(&found).collect();
    assert!(without.is_empty() && idle.is_empty(), "without a page: {without:?}; pages of no slug: {idle:?}");
}

#[test]
fn every_file_in_the_folder_is_a_page_that_is_listed() {
    let listed: BTreeSet<String> = slugs().map(|slug| format!("{slug}.md")).collect();
    let entries = std::fs::read_dir(supplied::pages()).expect("the folder of the pages");
    let files = entries.map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned());
    let lost: Vec<String> =
        files.filter(|file| !listed.contains(file) && !matches!(file.as_str(), "README.md" | "shop.purfle")).collect();
    assert!(lost.is_empty(), "lang/src/pages.rs does not list {lost:?}");
}

#[test]
fn the_shop_of_the_pages_is_sound() {
    let loaded = supplied::read(&supplied::shop());
    assert!(loaded.diagnostics.iter().all(|diagnostic| !diagnostic.is_error()), "{}", told(&loaded));
}
