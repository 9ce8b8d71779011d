//! Small pieces of Markdown, as editors show them.

/// Text in which nothing is taken for a sign of Markdown.
pub fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for char in text.chars() {
        match char {
            '\\' | '*' | '_' | '`' | '[' | ']' | '<' | '>' | '#' | '|' => {
                out.push('\\');
                out.push(char);
            }
            '\n' | '\r' => out.push(' '),
            char => out.push(char),
        }
    }
    out
}

/// A name or a value as code.
pub fn code(text: &str) -> String {
    if text.contains('`') { plain(text) } else { format!("`{}`", text.replace(['\n', '\r'], " ")) }
}

/// Lines of the language, set apart.
pub fn block(text: &str) -> String {
    format!("```purfle\n{}\n```", text.trim_end())
}
