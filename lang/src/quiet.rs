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
use crate::pages::{is_warning, slugs};
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

/// All quietings. A comment that only begins as one does is one where its next word is known as a slug.
fn quietings(chain: &[Tree], texts: &[&str], diagnostics: &[Diagnostic]) -> Vec<Quieting> {
    let mut quietings = Vec::new();
    for (at, (tree, text)) in chain.iter().zip(texts).enumerate() {
        let mut index = None;
        for comment in &tree.comments {
            let Some(asked) = comment::read(text, comment) else { continue };
            let index = index.get_or_insert_with(|| LineIndex::new(text));
            let target = Target::of(chain.get(at..).unwrap_or_default(), text, index, comment);
            let meant = |diagnostic: &Diagnostic| diagnostic.slug == asked.slug && target.reaches(diagnostic.span);
            if asked.sure || is_warning(&asked.slug).is_some() || diagnostics.iter().any(meant) {
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
    let slug = &asked.slug;
    let mut here = sifted.told.iter().filter(|told| told.is_error() && told.slug == slug && target.reaches(told.span));
    let error = here.next();
    if error.is_some() || is_warning(slug) == Some(false) {
        let says = format!("`{slug}` is an error, and an error cannot be quieted.");
        let mut diagnostic = Diagnostic::warning("quiet-error", asked.span, says)
            .help("Take the comment out; where there is such an error, mend it.");
        diagnostic = error.into_iter().fold(diagnostic, |diagnostic, error| diagnostic.place(error.span, "the error"));
        diagnostic.fixes.push(removal(asked, text));
        return Some(diagnostic);
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
    if target.is_nothing() {
        let mut diagnostic = told("No item or clause stands directly below this comment, so it quiets nothing.".to_owned())
            .help("Put it directly above an item or clause, or at the end of its line.");
        diagnostic.fixes.push(removal(asked, text));
        return diagnostic;
    }
    let here = || sifted.told.iter().filter(|told| target.reaches(told.span)).map(|told| told.slug);
    let warnings = || slugs().filter(|slug| is_warning(slug) == Some(true));
    let near = nearest(slug, here()).or_else(|| if is_warning(slug).is_none() { nearest(slug, warnings()) } else { None });
    if let Some(near) = near {
        return told(format!("Nothing warns of `{slug}` here.")).help(format!("Write `{near}`, if that is meant.")).fix(
            format!("Write `{near}`"),
            false,
            asked.slug_span,
            near,
        );
    }
    let diagnostic = told(format!("Nothing warns of `{slug}` here, so there is nothing to quiet."));
    let elsewhere = sifted.told.iter().find(|other| other.slug == slug);
    let mut diagnostic = match elsewhere {
        Some(other) => diagnostic.help("Put the comment where it belongs, or take it out.").place(other.span, "told here"),
        None => diagnostic.help("Take the comment out."),
    };
    diagnostic.fixes.push(Fix { safe: elsewhere.is_none(), ..removal(asked, text) });
    diagnostic
}

/// The fix that takes a comment out, to be decided on by the author.
fn removal(asked: &Asked, text: &str) -> Fix {
    Fix { title: "Take the comment out".to_owned(), safe: false, edits: vec![without(asked, text)] }
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
