//! Diagnostics as SARIF 2.1.0 (OASIS, Static Analysis Results Interchange Format), for code review and editors.

use std::collections::BTreeMap;
use std::io::{self, Write};

use purfle_lang::diagnostic::{Diagnostic, Fix, Severity};
use purfle_lang::pages::page;
use purfle_lang::span::Span;
use serde::Serialize;

use super::place::{Place, Places};
use super::{Severities, severity, witnesses};
use crate::load::Loaded;
use crate::report::write_json;
use crate::witness::{Fields, Shown};

/// Where the schema of what is written is published.
const SCHEMA: &str = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// A log of one run.
#[derive(Serialize)]
pub struct Log {
    #[serde(rename = "$schema")]
    schema: &'static str,
    version: &'static str,
    runs: [Run; 1],
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Run {
    tool: Tool,
    invocations: [Invocation; 1],
    column_kind: &'static str,
    results: Vec<Outcome>,
}

#[derive(Serialize)]
struct Tool {
    driver: Driver,
}

#[derive(Serialize)]
struct Driver {
    name: &'static str,
    version: &'static str,
    rules: Vec<Rule>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Rule {
    id: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    short_description: Option<Message>,
    #[serde(skip_serializing_if = "Option::is_none")]
    help: Option<Page>,
    default_configuration: Configuration,
}

/// A page about a rule; it reads well as it is.
#[derive(Serialize)]
struct Page {
    text: &'static str,
    markdown: &'static str,
}

#[derive(Serialize)]
struct Configuration {
    level: &'static str,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Invocation {
    execution_successful: bool,
    tool_execution_notifications: Vec<Notification>,
}

#[derive(Serialize)]
struct Notification {
    level: &'static str,
    message: Message,
    locations: [Location; 1],
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Outcome {
    rule_id: &'static str,
    rule_index: usize,
    level: &'static str,
    message: Message,
    locations: [Location; 1],
    #[serde(skip_serializing_if = "Vec::is_empty")]
    related_locations: Vec<Location>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    fixes: Vec<FixView>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    suppressions: Vec<Suppression>,
    #[serde(skip_serializing_if = "Properties::is_empty")]
    properties: Properties,
}

/// What SARIF has no word for.
#[derive(Serialize, Default)]
#[serde(rename_all = "kebab-case")]
struct Properties {
    /// A warning that is an error because all warnings are taken as errors.
    #[serde(skip_serializing_if = "Option::is_none")]
    strict: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    witness: Option<Fields>,
    #[serde(skip_serializing_if = "Option::is_none")]
    witness_before: Option<Fields>,
    #[serde(skip_serializing_if = "Option::is_none")]
    witness_words: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    witness_outcome: Option<String>,
}

impl Properties {
    fn is_empty(&self) -> bool {
        self.strict.is_none() && self.witness_words.is_none()
    }
}

#[derive(Serialize)]
struct Message {
    text: String,
}

impl Message {
    fn new(text: impl Into<String>) -> Self {
        Self { text: text.into() }
    }
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Location {
    physical_location: Physical,
    #[serde(skip_serializing_if = "Option::is_none")]
    message: Option<Message>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Physical {
    artifact_location: Artifact,
    #[serde(skip_serializing_if = "Option::is_none")]
    region: Option<Region>,
}

#[derive(Serialize)]
struct Artifact {
    uri: String,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Region {
    start_line: usize,
    start_column: usize,
    end_line: usize,
    end_column: usize,
}

impl Region {
    fn new(place: &Place<'_>) -> Self {
        let Place { from, to, .. } = place;
        Self { start_line: from.line, start_column: from.column, end_line: to.line, end_column: to.column }
    }
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct FixView {
    description: Message,
    artifact_changes: Vec<Change>,
    properties: FixProperties,
}

#[derive(Serialize)]
struct FixProperties {
    safe: bool,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Change {
    artifact_location: Artifact,
    replacements: Vec<Replacement>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Replacement {
    deleted_region: Region,
    inserted_content: Content,
}

#[derive(Serialize)]
struct Content {
    text: String,
}

#[derive(Serialize)]
struct Suppression {
    kind: &'static str,
    justification: String,
}

impl Default for Log {
    /// Nothing told yet.
    fn default() -> Self {
        let driver = Driver { name: "purfle", version: env!("CARGO_PKG_VERSION"), rules: Vec::new() };
        let invocation = Invocation { execution_successful: true, tool_execution_notifications: Vec::new() };
        let run = Run { tool: Tool { driver }, invocations: [invocation], column_kind: "unicodeCodePoints", results: Vec::new() };
        Self { schema: SCHEMA, version: "2.1.0", runs: [run] }
    }
}

impl Log {
    /// Adds a file that could not be used or mended.
    pub fn unusable(&mut self, file: &str, why: impl Into<String>) {
        let [Run { invocations: [invocation], .. }] = &mut self.runs;
        let physical_location = Physical { artifact_location: artifact(file), region: None };
        invocation.execution_successful = false;
        invocation.tool_execution_notifications.push(Notification {
            level: "error",
            message: Message::new(why),
            locations: [Location { physical_location, message: None }],
        });
    }

    /// Adds all diagnostics of one rulebook, the quieted ones as suppressed.
    pub fn add(&mut self, loaded: &Loaded, severities: Severities) {
        let places = Places::new(loaded);
        for (diagnostic, shown) in loaded.diagnostics.iter().zip(witnesses(loaded)) {
            self.result(&places, diagnostic, severities, shown);
        }
        for quieted in &loaded.quieted {
            self.result(&places, &quieted.diagnostic, Severities::AsTheyAre, None);
            let [Run { results, .. }] = &mut self.runs;
            if let Some(result) = results.last_mut() {
                result.suppressions.push(Suppression { kind: "inSource", justification: quieted.reason.clone() });
            }
        }
    }

    fn result(&mut self, places: &Places<'_>, diagnostic: &Diagnostic, severities: Severities, shown: Option<Shown>) {
        let Some(own) = location(places, diagnostic.span, &diagnostic.label) else { return };
        let related = diagnostic.places.iter().filter_map(|label| location(places, label.span, &label.says));
        let (witness, witness_before) = shown.map(|shown| (shown.record, shown.before)).unzip();
        let properties = Properties {
            strict: severities.raises(diagnostic).then_some(true),
            witness,
            witness_before: witness_before.flatten(),
            witness_words: diagnostic.witness.as_ref().map(|witness| witness.record.clone()),
            witness_outcome: diagnostic.witness.as_ref().map(|witness| witness.outcome.clone()),
        };
        let outcome = Outcome {
            rule_id: diagnostic.slug,
            rule_index: self.rule(diagnostic.slug, diagnostic.severity),
            level: severities.word(diagnostic),
            message: Message::new([&*diagnostic.says, &diagnostic.help].join(" ").trim_end()),
            locations: [own],
            related_locations: related.collect(),
            fixes: diagnostic.fixes.iter().map(|fix| fix_view(places, fix)).collect(),
            suppressions: Vec::new(),
            properties,
        };
        let [Run { results, .. }] = &mut self.runs;
        results.push(outcome);
    }

    /// Where a rule stands in the list of rules.
    fn rule(&mut self, slug: &'static str, of_itself: Severity) -> usize {
        let [Run { tool: Tool { driver }, .. }] = &mut self.runs;
        driver.rules.iter().position(|rule| rule.id == slug).unwrap_or_else(|| {
            let page = page(slug);
            let says = page.and_then(|page| page.split("\n\n").next());
            driver.rules.push(Rule {
                id: slug,
                short_description: says.map(|says| Message::new(says.replace('\n', " "))),
                help: page.map(|page| Page { text: page, markdown: page }),
                default_configuration: Configuration { level: severity(of_itself) },
            });
            driver.rules.len() - 1
        })
    }

    /// Writes everything.
    pub fn write(&self, out: &mut dyn Write) -> io::Result<()> {
        let mut text = Vec::new();
        write_json(&mut text, self)?;
        text.push(b'\n');
        out.write_all(&text)
    }
}

/// A stretch of a file, with a few words on it.
fn location(places: &Places<'_>, span: Span, says: &str) -> Option<Location> {
    let place = places.of(span)?;
    let physical_location = Physical { artifact_location: artifact(place.file), region: Some(Region::new(&place)) };
    Some(Location { physical_location, message: (!says.is_empty()).then(|| Message::new(says)) })
}

/// A fix, its edits gathered by file.
fn fix_view(places: &Places<'_>, fix: &Fix) -> FixView {
    let mut by_file: BTreeMap<&str, Vec<Replacement>> = BTreeMap::new();
    for edit in &fix.edits {
        let Some(place) = places.of(edit.span) else { continue };
        let inserted_content = Content { text: edit.text.clone() };
        by_file.entry(place.file).or_default().push(Replacement { deleted_region: Region::new(&place), inserted_content });
    }
    let change = |(file, replacements): (&str, Vec<Replacement>)| Change { artifact_location: artifact(file), replacements };
    FixView {
        description: Message::new(&*fix.title),
        artifact_changes: by_file.into_iter().map(change).collect(),
        properties: FixProperties { safe: fix.safe },
    }
}

/// A file's name as a reference by RFC 3986.
fn artifact(file: &str) -> Artifact {
    let mut uri = if file.starts_with('/') { "file://".to_owned() } else { String::new() };
    for byte in file.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => uri.push(char::from(byte)),
            _ => uri.push_str(&format!("%{byte:02X}")),
        }
    }
    Artifact { uri }
}
