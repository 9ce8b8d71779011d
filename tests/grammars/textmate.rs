//! The TextMate grammar, run by VS Code's own highlighter, against all texts and against the other grammar.

use std::io::Write;
use std::process::{Command, Stdio};

use super::{Shown, clients, node, say, tree, valid};

/// What the grammar says of each byte of each text; none where node or the highlighter is not there.
pub fn shown(test: &str, texts: &[&str]) -> Option<Vec<Vec<Shown>>> {
    if !node(test) {
        return None;
    }
    let modules = clients("vscode");
    if !modules.join("node_modules/vscode-textmate").exists() {
        say(&format!("not run: {test}: it needs what `npm ci --prefix editor-support/clients/vscode` installs"));
        return None;
    }
    let mut child = Command::new("node")
        .arg(clients("textmate").join("scopes.js"))
        .arg(&modules)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("node starts");
    let mut input = child.stdin.take().expect("its input");
    let written = serde_json::to_vec(texts).expect("texts are JSON");
    let writer = std::thread::spawn(move || input.write_all(&written));
    let output = child.wait_with_output().expect("its output");
    writer.join().expect("no panic").expect("it reads all");
    assert!(output.status.success(), "the highlighter failed");
    let tokens: Vec<Vec<(usize, usize, String)>> = serde_json::from_slice(&output.stdout).expect("tokens");
    let each = texts.iter().zip(tokens).map(|(text, tokens)| {
        let mut shown = vec![Shown::Plain; text.len()];
        for (start, end, scope) in tokens {
            shown[start..end].fill(of_scope(&scope));
        }
        shown
    });
    Some(each.collect())
}

fn of_scope(scope: &str) -> Shown {
    let kinds = [
        ("keyword.operator.arithmetic", Shown::Plain),
        ("keyword.other.unit", Shown::Unit),
        ("keyword.other.documentation", Shown::Comment),
        ("variable.other.documentation", Shown::Comment),
        ("keyword.", Shown::Word),
        ("string.", Shown::Text),
        ("constant.character.escape", Shown::Text),
        ("comment.", Shown::Comment),
        ("constant.numeric", Shown::Number),
        ("invalid.", Shown::Fault),
    ];
    kinds.into_iter().find(|(begins, _)| scope.starts_with(begins)).map_or(Shown::Plain, |(_, shown)| shown)
}

#[test]
fn both_grammars_say_the_same_of_every_byte_of_valid_texts() {
    let valid = valid();
    let texts: Vec<&str> = valid.iter().map(|(_, text)| text.as_str()).collect();
    let Some(shown) = shown("the TextMate grammar against all texts", &texts) else { return };
    let mut differ = Vec::new();
    for ((name, text), by_lines) in valid.iter().zip(shown) {
        assert!(!by_lines.contains(&Shown::Fault), "{name}: the TextMate grammar finds a fault");
        let by_tree = tree::shown(name, text);
        // Spaces inside a text or a phrase are coloured by one and not by the other.
        let apart = |at: &usize| by_lines[*at] != by_tree[*at] && !text.as_bytes()[*at].is_ascii_whitespace();
        if let Some(at) = (0..text.len()).find(apart) {
            let line = text[..at].matches('\n').count();
            let shown = text.lines().nth(line).unwrap_or_default();
            let rest: String = String::from_utf8_lossy(&text.as_bytes()[at..]).chars().take(20).collect();
            differ.push(format!("{name}:{}: {shown:?} at {rest:?}: lines {:?}, tree {:?}", line + 1, by_lines[at], by_tree[at]));
        }
    }
    assert!(differ.is_empty(), "{} of {} texts differ:\n{}", differ.len(), texts.len(), differ.join("\n"));
}
