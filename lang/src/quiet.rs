//! Quieting: a comment takes one kind of warning off one item or clause, and gives its reason.
//!
//! `# quiet no-basis because "asked of the maker by telephone"` stands directly above the item or clause, or at the
//! end of its line. It is heard once, last, over everything there is to tell, so that it works for every warning
//! whoever gives it. Errors cannot be quieted. A quieting that quiets nothing is a warning itself, as long as there
//! are no errors: they may have kept the warning from being found.

mod comment;
mod target;
#[cfg(test)]
mod tests;

use crate::diagnostic::{Diagnostic, Edit, Fix};
use crate::nearest::nearest;
use crate::source::LineIndex;
use crate::syntax::tree::Tree;
use comment::{Asked, Reason};
use target::Target;

/// A warning that was quieted, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Quieted {
    /// The warning.
    pub diagnostic: Diagnostic,
    /// The author's reason; empty where none is given.
    pub reason: String,
}

/// Everything there is to tell, sifted.
#[derive(Debug, Clone, Default)]
pub struct Sifted {
    /// What is told, with what is wrong with the quietings themselves, in the order of the texts.
    pub told: Vec<Diagnostic>,
    /// What is quieted, in the order of the texts.
    pub quieted: Vec<Quieted>,
}

/// A quieting and what it reaches.
struct Quieting {
    asked: Asked,
    target: Target,
    /// Whether anything was quieted by it.
    heard: bool,
}

/// Hears the quietings of a rulebook and of those it is built on: `chain[0]` is the rulebook, and each text that of the
/// tree at the same place. Those of the parents are heard as well, and what is wrong with them is told to their authors.
pub fn quiet(chain: &[Tree], texts: &[&str], diagnostics: Vec<Diagnostic>) -> Sifted {
    let mut quietings = quietings(chain, texts, &diagnostics);
    if quietings.is_empty() {
        return Sifted { told: diagnostics, quieted: Vec::new() };
    }
    let mut sifted = Sifted::default();
    for diagnostic in diagnostics {
        let reaches =
            |quieting: &&mut Quieting| quieting.asked.slug == diagnostic.slug && quieting.target.reaches(diagnostic.span);
        let narrowest = quietings.iter_mut().filter(reaches).min_by_key(|quieting| quieting.target.breadth());
        match narrowest.filter(|_| !diagnostic.is_error()) {
            Some(quieting) => {
                quieting.heard = true;
                sifted.quieted.push(Quieted { diagnostic, reason: quieting.asked.reason.words().to_owned() });
            }
            None => sifted.told.push(diagnostic),
        }
    }
    let own = chain.first().map(|tree| tree.file);
    let text = texts.first().copied().unwrap_or_default();
    let faults: Vec<Diagnostic> = quietings
        .iter()
        .filter(|quieting| Some(quieting.asked.span.file) == own)
        .filter_map(|quieting| fault(quieting, &sifted, text))
        .collect();
    sifted.told.extend(faults);
    sifted.told.sort_by_key(|diagnostic| (diagnostic.span.file, diagnostic.span.start, diagnostic.span.end));
    sifted
}

/// All quietings. A comment that only begins as one does is one where there is something for it to quiet.
fn quietings(chain: &[Tree], texts: &[&str], diagnostics: &[Diagnostic]) -> Vec<Quieting> {
    let mut quietings = Vec::new();
    for (at, (tree, text)) in chain.iter().zip(texts).enumerate() {
        let mut index = None;
        for comment in &tree.comments {
            let Some(asked) = comment::read(text, comment) else { continue };
            let index = index.get_or_insert_with(|| LineIndex::new(text));
            let target = Target::of(chain.get(at..).unwrap_or_default(), text, index, comment);
            let meant = |diagnostic: &Diagnostic| diagnostic.slug == asked.slug && target.reaches(diagnostic.span);
            if asked.sure || diagnostics.iter().any(meant) {
                quietings.push(Quieting { asked, target, heard: false });
            }
        }
    }
    quietings
}

/// What is wrong with a quieting.
fn fault(quieting: &Quieting, sifted: &Sifted, text: &str) -> Option<Diagnostic> {
    let Quieting { asked, target, heard } = quieting;
    if *heard {
        return no_reason(asked);
    }
    let here = |diagnostic: &&Diagnostic| target.reaches(diagnostic.span);
    let slug = &asked.slug;
    if let Some(error) = sifted.told.iter().filter(here).find(|error| error.is_error() && error.slug == slug) {
        let says = format!("`{slug}` is an error here, and an error cannot be quieted.");
        let diagnostic = Diagnostic::warning("quiet-error", asked.span, says).place(error.span, "the error");
        return Some(diagnostic.help("Mend the error, and take this comment out."));
    }
    if sifted.told.iter().any(Diagnostic::is_error) {
        return None;
    }
    Some(quiets_nothing(quieting, sifted, text))
}

fn no_reason(asked: &Asked) -> Option<Diagnostic> {
    let slug = &asked.slug;
    let told = |says: String| Diagnostic::warning("quiet-reason", asked.span, says);
    match &asked.reason {
        Reason::Given(_) => None,
        Reason::None => Some(
            told(format!("The quieting of `{slug}` gives no reason."))
                .help(format!("Write `# quiet {slug} because \"…\"`, with the reason between the quotes.")),
        ),
        Reason::Loose { written, words } => {
            let because = format!("because \"{}\"", words.replace('\\', "\\\\").replace('"', "\\\""));
            let says = format!("The reason for quieting `{slug}` does not stand after `because` and in quotes.");
            let write = format!("Write `{because}`");
            Some(told(says).help(format!("{write}.")).fix(write, true, *written, format!(" {because}")))
        }
    }
}

fn quiets_nothing(quieting: &Quieting, sifted: &Sifted, text: &str) -> Diagnostic {
    let Quieting { asked, target, .. } = quieting;
    let slug = &asked.slug;
    let told = |says: String| Diagnostic::warning("quiet-nothing", asked.span, says);
    let remove = Fix { title: "Take the comment out".to_owned(), safe: false, edits: vec![without(asked, text)] };
    if target.is_nothing() {
        let mut diagnostic =
            told(format!("This comment quiets `{slug}` of nothing, for no item or clause stands directly below it."))
                .help("Put it directly above an item or clause, or at the end of its line.");
        diagnostic.fixes.push(remove);
        return diagnostic;
    }
    let near = nearest(slug, sifted.told.iter().filter(|diagnostic| target.reaches(diagnostic.span)).map(|near| near.slug));
    if let Some(near) = near {
        return told(format!("Nothing warns of `{slug}` here.")).help(format!("Write `{near}`, if that is meant.")).fix(
            format!("Write `{near}`"),
            false,
            asked.slug_span,
            near,
        );
    }
    let mut diagnostic =
        told(format!("Nothing warns of `{slug}` here, so there is nothing to quiet.")).help("Take the comment out.");
    if let Some(elsewhere) = sifted.told.iter().find(|other| other.slug == slug) {
        diagnostic.fixes.push(remove);
        return diagnostic.help("Put the comment where it belongs, or take it out.").place(elsewhere.span, "this is told of it");
    }
    diagnostic.fixes.push(Fix { safe: true, ..remove });
    diagnostic
}

/// The edit that takes a comment out: its whole line where it stands alone, else what stands behind the line.
fn without(asked: &Asked, text: &str) -> Edit {
    let mut span = asked.span;
    let before = &text[..span.range().start];
    let written = before.trim_end_matches([' ', '\t', '\u{a0}']);
    span.start = u32::try_from(written.len()).unwrap_or(span.start);
    if asked.alone {
        let after = &text[span.range().end..];
        let line_break = ["\r\n", "\n", "\r"].into_iter().find(|line_break| after.starts_with(line_break)).map_or(0, str::len);
        span.end += u32::try_from(line_break).unwrap_or(0);
    }
    Edit { span, text: String::new() }
}
