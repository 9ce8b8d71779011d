//! A diagnostic as data: what is wrong, where, what to do, and the edit that does it.
//!
//! Nothing here knows how a diagnostic is shown: terminal, JSON and editor each render the same value.

use crate::span::Span;

/// Whether a diagnostic stops the rulebook from running.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Severity {
    /// The rulebook does not run until this is mended.
    Error,
    /// The rulebook runs; somebody should look.
    Warning,
}

/// A related place, with a few words on what it has to do with the matter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// Where.
    pub span: Span,
    /// A few words, without a full stop.
    pub says: String,
}

/// One replacement of text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edit {
    /// What is replaced; an empty span inserts.
    pub span: Span,
    /// The new text.
    pub text: String,
}

/// A mechanical mend: edits in one file, in order, that do not overlap.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fix {
    /// What it does, beginning with a verb.
    pub title: String,
    /// Whether it keeps the meaning that was surely intended, so that it may be applied unasked.
    pub safe: bool,
    /// The edits.
    pub edits: Vec<Edit>,
}

/// A record that shows what a diagnostic says, and what comes of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Witness {
    /// What stands after `record` in an example: entries in the language's own words, with commas between.
    pub record: String,
    /// What comes out, as a clause without a full stop, such as `finds button-unseated at book`.
    pub outcome: String,
}

/// One thing to tell the author of a rulebook.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diagnostic {
    /// The stable name of this kind of diagnostic, such as `unknown-name`.
    pub slug: &'static str,
    /// Error or warning.
    pub severity: Severity,
    /// The text really at fault.
    pub span: Span,
    /// A few words beside the span; may be empty.
    pub label: String,
    /// One plain sentence that makes sense alone.
    pub says: String,
    /// What to do; begins with a verb; may be empty.
    pub help: String,
    /// Related places.
    pub places: Vec<Label>,
    /// A record that shows it, where it is about what comes of records.
    pub witness: Option<Witness>,
    /// Mechanical mends, best first.
    pub fixes: Vec<Fix>,
}

impl Diagnostic {
    /// An error at `span`.
    pub fn error(slug: &'static str, span: Span, says: impl Into<String>) -> Self {
        Self {
            slug,
            severity: Severity::Error,
            span,
            label: String::new(),
            says: says.into(),
            help: String::new(),
            places: Vec::new(),
            witness: None,
            fixes: Vec::new(),
        }
    }

    /// A warning at `span`.
    pub fn warning(slug: &'static str, span: Span, says: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(slug, span, says) }
    }

    /// Adds the words beside the span.
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = label.into();
        self
    }

    /// Adds what to do.
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = help.into();
        self
    }

    /// Adds a related place.
    pub fn place(mut self, span: Span, says: impl Into<String>) -> Self {
        self.places.push(Label { span, says: says.into() });
        self
    }

    /// Adds a record that shows it, and what comes of that record.
    pub fn witness(mut self, record: impl Into<String>, outcome: impl Into<String>) -> Self {
        self.witness = Some(Witness { record: record.into(), outcome: outcome.into() });
        self
    }

    /// Adds a fix that replaces one span.
    pub fn fix(mut self, title: impl Into<String>, safe: bool, span: Span, text: impl Into<String>) -> Self {
        self.fixes.push(Fix { title: title.into(), safe, edits: vec![Edit { span, text: text.into() }] });
        self
    }

    /// Calls `each` with every place in it.
    pub(crate) fn each_place(&mut self, each: &mut dyn FnMut(&mut Span)) {
        each(&mut self.span);
        self.places.iter_mut().for_each(|label| each(&mut label.span));
        self.fixes.iter_mut().flat_map(|fix| &mut fix.edits).for_each(|edit| each(&mut edit.span));
    }

    /// Whether it stops the rulebook.
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}
