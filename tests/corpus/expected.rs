//! What a text of the corpus expects of itself, in comments: `# ! slug` at the end of a line says that the line has that
//! fault; alone on its line it speaks of the next one. They are read, taken out, and written anew.

use std::collections::BTreeMap;
use std::path::Path;

use purfle_lang::source::LineIndex;
use purfle_lang::span::FileId;
use purfle_lang::syntax::parse;

/// Sorted slugs by line.
pub type Faults = BTreeMap<usize, Vec<String>>;

/// What a comment that expects something begins with.
const SIGN: &str = "# !";

/// A comment that expects something.
struct Comment {
    start: usize,
    end: usize,
    line: usize,
    alone: bool,
}

fn comments(text: &str) -> Vec<Comment> {
    let index = LineIndex::new(text);
    let all = parse(FileId(0), text).tree.comments;
    let expecting = all.iter().filter(|comment| text[comment.span.range()].starts_with(SIGN));
    let place = |start: usize| index.line_column(text, start).line;
    expecting
        .map(|comment| {
            let range = comment.span.range();
            Comment { start: range.start, end: range.end, line: place(range.start), alone: comment.alone }
        })
        .collect()
}

/// The faults that a text expects.
pub fn expected(text: &str) -> Faults {
    let mut faults = Faults::new();
    for comment in comments(text) {
        let slugs = text[comment.start..comment.end].trim_start_matches(SIGN).split_whitespace();
        faults.entry(comment.line + usize::from(comment.alone)).or_default().extend(slugs.map(str::to_owned));
    }
    faults.values_mut().for_each(|slugs| slugs.sort());
    faults
}

/// The text without the comments that expect something.
fn bare(text: &str) -> String {
    let mut bare = String::new();
    let mut from = 0;
    for comment in comments(text) {
        let before = text[from..comment.start].trim_end_matches([' ', '\t']);
        bare.push_str(before);
        let line_end = usize::from(comment.alone && text[comment.end..].starts_with('\n'));
        from = comment.end + line_end;
    }
    bare.push_str(&text[from..]);
    bare
}

/// The text with comments that expect just what is found in it.
pub fn rewritten(text: &str, found: impl Fn(&str) -> Faults) -> String {
    let mut written = bare(text);
    let faults = found(&written);
    let slugs_of = |faults: &Faults| -> Vec<String> { faults.values().flatten().cloned().collect() };
    for (line, slugs) in faults.iter().rev() {
        let comment = format!("{SIGN} {}", slugs.join(" "));
        let mut lines: Vec<&str> = written.lines().collect();
        let at = (line - 1).min(lines.len());
        let own = lines.get(at).copied().unwrap_or_default();
        let beside = format!("{}   {comment}", own.trim_end());
        // Where a comment cannot stand at the end of the line, as in a text that is not closed, it stands above.
        if let Some(place) = lines.get_mut(at) {
            *place = &beside;
            let tried = format!("{}\n", lines.join("\n"));
            let now = found(&tried);
            if expected(&tried).get(line) == Some(slugs) && now.get(line) == Some(slugs) && slugs_of(&now) == slugs_of(&faults) {
                written = tried;
                continue;
            }
            lines[at] = own;
        }
        let above = format!("{}{comment}", &own[..own.len() - own.trim_start().len()]);
        lines.insert(at, &above);
        written = format!("{}\n", lines.join("\n"));
    }
    written
}

/// Writes the expectations of one file anew, in place; whether they were others.
pub fn rewrite(path: &Path, found: impl Fn(&str) -> Faults) -> bool {
    let text = std::fs::read_to_string(path).expect("a text of the corpus");
    let new = rewritten(&text, found);
    let differs = new != text;
    if differs {
        std::fs::write(path, new).expect("room for a text");
    }
    differs
}
