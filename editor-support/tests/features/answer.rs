//! Answers of the protocol as a person reads them: places as `file:line:column`, changes as text.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::Path;

use serde_json::Value;

/// The texts that answers speak of.
pub struct Texts<'a> {
    /// The folder they are in.
    pub root: &'a Path,
    /// By their names.
    pub texts: &'a BTreeMap<String, String>,
    /// The one that was asked about.
    pub own: &'a str,
}

impl Texts<'_> {
    fn name(&self, uri: &Value) -> String {
        let uri = uri.as_str().unwrap_or_default();
        uri.strip_prefix(&format!("file://{}/", self.root.display())).unwrap_or(uri).to_owned()
    }

    /// The bytes of a position that counts in UTF-16, in a text with plain line breaks.
    fn byte(&self, name: &str, position: &Value) -> usize {
        let text = self.texts.get(name).map_or("", String::as_str);
        let (line, column) = (number(&position["line"]), number(&position["character"]));
        let start: usize = text.split_inclusive('\n').take(line).map(str::len).sum();
        let mut units = 0;
        let rest = text.get(start..).unwrap_or_default();
        let within = rest.char_indices().find(|(_, character)| {
            let there = units >= column;
            units += character.len_utf16();
            there
        });
        start + within.map_or(rest.len(), |(at, _)| at)
    }

    fn written(&self, name: &str, range: &Value) -> String {
        let (from, to) = (self.byte(name, &range["start"]), self.byte(name, &range["end"]));
        self.texts.get(name).and_then(|text| text.get(from..to)).unwrap_or_default().to_owned()
    }

    /// `house.purfle:3:5 "text"`, without the name of the text that was asked about.
    fn place(&self, uri: &Value, range: &Value) -> String {
        let name = if uri.is_null() { self.own.to_owned() } else { self.name(uri) };
        let shown = if name == self.own { String::new() } else { format!("{name}:") };
        let written = self.written(&name, range);
        let first = written.lines().next().unwrap_or_default();
        let more = if written.lines().count() > 1 { " …" } else { "" };
        format!("{shown}{} \"{first}\"{more}", at(&range["start"]))
    }
}

fn number(value: &Value) -> usize {
    value.as_u64().and_then(|number| usize::try_from(number).ok()).unwrap_or(0)
}

fn at(position: &Value) -> String {
    format!("{}:{}", number(&position["line"]) + 1, number(&position["character"]) + 1)
}

fn words(value: &Value) -> &str {
    value.as_str().unwrap_or_default()
}

fn all(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

/// What a kind of answer says. The folder is another one each time, so it is shown as dots.
pub fn answer(kind: &str, whole: &Value, texts: &Texts) -> String {
    read(kind, whole, texts).replace(&texts.root.display().to_string(), "…")
}

fn read(kind: &str, whole: &Value, texts: &Texts) -> String {
    if let Some(error) = whole.get("error") {
        return format!("refused: {}", words(&error["message"]));
    }
    let said = if kind == "told" { whole } else { &whole["result"] };
    if said.is_null() {
        return "nothing".to_owned();
    }
    let lines: Vec<String> = match kind {
        "told" => all(&said["diagnostics"]).iter().map(|told| diagnostic(told, texts)).collect(),
        "hover" => vec![format!("{}\n{}", texts.place(&Value::Null, &said["range"]), words(&said["contents"]["value"]))],
        "completion" => all(said).iter().take(12).map(|item| completion(item, texts)).chain(more(said, 12)).collect(),
        "resolve" => vec![words(&said["documentation"]["value"]).to_owned()],
        "definition" => all(said).iter().map(|link| texts.place(&link["targetUri"], &link["targetSelectionRange"])).collect(),
        "references" => all(said).iter().map(|place| texts.place(&place["uri"], &place["range"])).collect(),
        "documentHighlight" | "foldingRange" => all(said).iter().map(|range| ranged(range, texts)).collect(),
        "prepareRename" => vec![texts.place(&Value::Null, &said["range"])],
        "rename" => changes(said, texts),
        "documentSymbol" => all(said).iter().map(|symbol| outline(symbol, 0)).collect(),
        "workspaceSymbol" => all(said)
            .iter()
            .map(|symbol| {
                format!(
                    "{} in {}: {}",
                    words(&symbol["name"]),
                    words(&symbol["containerName"]),
                    texts.place(&symbol["location"]["uri"], &symbol["location"]["range"])
                )
            })
            .collect(),
        "formatting" | "rangeFormatting" => all(said).iter().map(|edit| change(texts.own, edit, texts)).collect(),
        "codeAction" => all(said).iter().map(|action| doable(action, texts)).collect(),
        "codeLens" => all(said)
            .iter()
            .map(|lens| {
                format!(
                    "{} {} [{}]",
                    at(&lens["range"]["start"]),
                    words(&lens["command"]["title"]),
                    words(&lens["command"]["command"])
                )
            })
            .collect(),
        "inlayHint" => all(said).iter().map(|hint| format!("{} {}", at(&hint["position"]), words(&hint["label"]))).collect(),
        "semanticTokens" => tokens(said, texts),
        "selectionRange" => selections(&said[0], texts),
        "documentLink" => all(said)
            .iter()
            .map(|link| format!("{} -> {}", texts.place(&Value::Null, &link["range"]), texts.name(&link["target"])))
            .collect(),
        "signatureHelp" => {
            let signature = &said["signatures"][0];
            vec![format!(
                "{} (value {})\n{}",
                words(&signature["label"]),
                said["activeParameter"],
                words(&signature["documentation"]["value"])
            )]
        }
        "incomingCalls" | "outgoingCalls" => all(said)
            .iter()
            .map(|call| {
                let end = if call["from"].is_null() { &call["to"] } else { &call["from"] };
                format!(
                    "{} ({}) at {}",
                    words(&end["name"]),
                    words(&end["detail"]),
                    texts.place(&end["uri"], &end["selectionRange"])
                )
            })
            .collect(),
        "command" => vec![words(if said["report"].is_null() { &said["text"] } else { &said["report"] }).to_owned()],
        other => panic!("nobody knows how to read the answer to {other}"),
    };
    if lines.is_empty() { "nothing".to_owned() } else { lines.join("\n") }
}

fn more(said: &Value, shown: usize) -> Option<String> {
    let rest = all(said).len().saturating_sub(shown);
    (rest > 0).then(|| format!("… and {rest} more"))
}

fn diagnostic(told: &Value, texts: &Texts) -> String {
    let severity = if told["severity"] == 1 { "error" } else { "warning" };
    let mut line = format!(
        "{severity} {} {}\n  {}",
        words(&told["code"]),
        texts.place(&Value::Null, &told["range"]),
        words(&told["message"]).replace('\n', "\n  ")
    );
    for place in all(&told["relatedInformation"]) {
        let _ = write!(
            line,
            "\n  {}: {}",
            words(&place["message"]),
            texts.place(&place["location"]["uri"], &place["location"]["range"])
        );
    }
    line
}

fn completion(item: &Value, texts: &Texts) -> String {
    let detail = words(&item["detail"]);
    let detail = if detail.is_empty() { String::new() } else { format!(" ({detail})") };
    let new = words(&item["textEdit"]["newText"]);
    let replaced = texts.written(texts.own, &item["textEdit"]["range"]);
    let writes = if new == words(&item["label"]) { String::new() } else { format!(" writes {new:?}") };
    let replaced = if replaced.is_empty() { String::new() } else { format!(" for {replaced:?}") };
    format!("{}{detail}{writes}{replaced}", words(&item["label"]))
}

fn ranged(range: &Value, texts: &Texts) -> String {
    match range.get("startLine") {
        Some(_) => format!("lines {} to {}", number(&range["startLine"]) + 1, number(&range["endLine"]) + 1),
        None => texts.place(&Value::Null, &range["range"]),
    }
}

fn change(name: &str, edit: &Value, texts: &Texts) -> String {
    let shown = if name == texts.own { String::new() } else { format!("{name}:") };
    let old = texts.written(name, &edit["range"]);
    format!("{shown}{} {old:?} -> {:?}", at(&edit["range"]["start"]), words(&edit["newText"]))
}

fn changes(edit: &Value, texts: &Texts) -> Vec<String> {
    let one = |file: &Value| {
        let name = texts.name(&file["textDocument"]["uri"]);
        all(&file["edits"]).iter().map(|edit| change(&name, edit, texts)).collect::<Vec<_>>()
    };
    all(&edit["documentChanges"]).iter().flat_map(one).collect()
}

fn doable(action: &Value, texts: &Texts) -> String {
    let preferred = if action["isPreferred"] == true { ", first" } else { "" };
    let about = all(&action["diagnostics"]).first().map_or("", |told| words(&told["code"]));
    let about = if about.is_empty() { String::new() } else { format!(", {about}") };
    let mut line = format!("{} [{}{about}{preferred}]", words(&action["title"]), words(&action["kind"]));
    for change in changes(&action["edit"], texts) {
        let _ = write!(line, "\n  {change}");
    }
    line
}

fn outline(symbol: &Value, depth: usize) -> String {
    let detail = words(&symbol["detail"]);
    let mut line =
        format!("{}{} {} {detail}", "  ".repeat(depth), at(&symbol["selectionRange"]["start"]), words(&symbol["name"]))
            .trim_end()
            .to_owned();
    for child in all(&symbol["children"]) {
        let _ = write!(line, "\n{}", outline(child, depth + 1));
    }
    line
}

fn selections(range: &Value, texts: &Texts) -> Vec<String> {
    let mut lines = vec![texts.place(&Value::Null, &range["range"])];
    if !range["parent"].is_null() {
        lines.extend(selections(&range["parent"], texts));
    }
    lines
}

/// The words of each line with their colours, the first forty.
fn tokens(said: &Value, texts: &Texts) -> Vec<String> {
    const NAMES: [&str; 17] = [
        "keyword", "operator", "text", "comment", "number", "unit", "rulebook", "part", "place", "look", "choice", "rung",
        "value", "work", "finding", "other", "formula",
    ];
    let (mut line, mut column) = (0, 0);
    let numbers: Vec<usize> = all(&said["data"]).iter().map(number).collect();
    let mut lines = Vec::new();
    for token in numbers.chunks_exact(5).take(40) {
        column = if token[0] > 0 { token[1] } else { column + token[1] };
        line += token[0];
        let range = serde_json::json!({"start": {"line": line, "character": column}, "end": {"line": line, "character": column + token[2]}});
        let written = if token[4] & 1 == 1 { ", written here" } else { "" };
        lines.push(format!("{} {}{written}", texts.place(&Value::Null, &range), NAMES[token[3]]));
    }
    lines
}
