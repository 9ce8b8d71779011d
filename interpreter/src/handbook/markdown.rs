//! The handbook as Markdown (CommonMark with tables), for whoever keeps it beside other texts.
//!
//! Every text goes through [`text`], which leaves nothing that Markdown would take for a sign of its own: no markup, no
//! HTML, no link. Headings are linked by the names that renderers make of their words.

use rustc_hash::FxHashMap;

use super::document::{Block, Fact, Handbook, Head, Item, Line, Run, Table};
use crate::report::steers;

/// The handbook as Markdown.
pub fn markdown(handbook: &Handbook) -> String {
    let mut writer = Writer { out: String::new(), links: links(handbook) };
    writer.heading(1, &text(&handbook.title));
    for line in &handbook.under {
        writer.paragraph(line);
    }
    for notice in &handbook.notices {
        writer.out.push_str(&format!("> {}\n\n", begun(&text(notice))));
    }
    writer.heading(2, "Contents");
    for chapter in &handbook.chapters {
        writer.contents(0, &chapter.head);
        chapter.sections.iter().for_each(|section| writer.contents(1, &section.head));
    }
    writer.out.push('\n');
    for chapter in &handbook.chapters {
        writer.heading(2, &title(&chapter.head));
        chapter.blocks.iter().for_each(|block| writer.block(block));
        for section in &chapter.sections {
            writer.heading(3, &title(&section.head));
            section.blocks.iter().for_each(|block| writer.block(block));
            for entry in &section.entries {
                writer.heading(4, &title(&entry.head));
                entry.blocks.iter().for_each(|block| writer.block(block));
            }
        }
    }
    while writer.out.ends_with("\n\n") {
        writer.out.pop();
    }
    writer.out
}

struct Writer {
    out: String,
    /// The heading that each anchor stands under, as links name it.
    links: FxHashMap<String, String>,
}

impl Writer {
    fn heading(&mut self, level: usize, words: &str) {
        self.out.push_str(&format!("{} {words}\n\n", "#".repeat(level)));
    }

    fn contents(&mut self, depth: usize, head: &Head) {
        let words = numbered(head);
        let link = self.links.get(&head.place.anchor).map_or("", String::as_str);
        self.out.push_str(&format!("{}- [{}](#{link})\n", "  ".repeat(depth), text(&words)));
    }

    fn paragraph(&mut self, line: &Line) {
        let words = self.line(line);
        self.out.push_str(&format!("{words}\n\n"));
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Paragraph(line) => self.paragraph(line),
            Block::List(items) => {
                self.items(0, items);
                self.out.push('\n');
            }
            Block::Facts(facts) => {
                facts.iter().for_each(|fact| self.fact(fact));
                self.out.push('\n');
            }
            Block::Table(table) => self.table(table),
            // It only repeats what stands below it in words.
            Block::Drawing(_) => {}
        }
    }

    fn items(&mut self, depth: usize, items: &[Item]) {
        let indent = "  ".repeat(depth);
        for item in items {
            let words = self.line(&item.line);
            self.out.push_str(&format!("{indent}- {words}\n"));
            for below in &item.below {
                let words = self.line(below);
                self.out.push_str(&format!("{indent}  - {words}\n"));
            }
        }
    }

    fn fact(&mut self, fact: &Fact) {
        let lead = fact.lead.as_ref().map(|lead| format!(" {}", self.line(lead))).unwrap_or_default();
        self.out.push_str(&format!("- **{}:**{lead}", text(fact.label)));
        match fact.items.as_slice() {
            [only] if !fact.is_list() => {
                let words = self.line(&only.line);
                self.out.push_str(&format!(" {words}\n"));
            }
            items => {
                self.out.push('\n');
                self.items(1, items);
            }
        }
    }

    fn table(&mut self, table: &Table) {
        if !table.caption.is_empty() {
            self.out.push_str(&format!("{}\n\n", begun(&text(&table.caption))));
        }
        let links = &self.links;
        let mut rows: Vec<Vec<String>> = vec![table.head.iter().map(|head| text(head)).collect()];
        rows.push(table.head.iter().map(|_| "---".to_owned()).collect());
        rows.extend(table.rows.iter().map(|row| row.cells.iter().map(|lines| cell(links, lines)).collect()));
        for cells in rows {
            self.out.push('|');
            for cell in cells {
                self.out.push_str(&format!(" {cell} |"));
            }
            self.out.push('\n');
        }
        self.out.push('\n');
    }

    fn line(&self, line: &Line) -> String {
        begun(&self::line(&self.links, line))
    }
}

/// The lines of a cell, one after the other: a cell has no lines.
fn cell(links: &FxHashMap<String, String>, lines: &[Line]) -> String {
    lines.iter().map(|one| line(links, one)).collect::<Vec<_>>().join(" · ")
}

fn line(links: &FxHashMap<String, String>, line: &Line) -> String {
    let mut out = String::new();
    for run in &line.0 {
        match run {
            Run::Words(words) => out.push_str(&text(words)),
            Run::Strong(words) if words.trim().is_empty() => {}
            Run::Strong(words) => out.push_str(&format!("**{}**", text(words.trim()))),
            Run::Name(name) => out.push_str(&code(name)),
            Run::Link(place, words) => {
                out.push_str(&linked(links, &place.anchor, words));
                if !place.number.is_empty() {
                    out.push_str(&format!(" ({})", place.number));
                }
            }
            Run::Mark(place) => out.push_str(&format!(" {}", linked(links, &place.anchor, &place.number))),
        }
    }
    out
}

fn linked(links: &FxHashMap<String, String>, anchor: &str, words: &str) -> String {
    match links.get(anchor) {
        Some(link) => format!("[{}](#{link})", text(words)),
        None => text(words),
    }
}

fn numbered(head: &Head) -> String {
    match head.place.number.as_str() {
        "" => head.title.clone(),
        number => format!("{number} {}", head.title),
    }
}

/// A name as code; nothing but the letters of a name stands in one.
fn code(name: &str) -> String {
    let plain = |character: char| character.is_ascii_alphanumeric() || matches!(character, '-' | '.');
    if !name.is_empty() && name.chars().all(plain) { format!("`{name}`") } else { text(name) }
}

/// A heading with its number and its name.
fn title(head: &Head) -> String {
    let name = head.name.as_ref().map(|name| format!(" ({})", code(name))).unwrap_or_default();
    format!("{}{name}", text(&numbered(head)))
}

/// Each anchor with the heading that it stands at, or under.
fn links(handbook: &Handbook) -> FxHashMap<String, String> {
    let mut taken: FxHashMap<String, usize> = FxHashMap::default();
    let mut links = FxHashMap::default();
    let mut heading = |words: &str| {
        let link = slug(words);
        let count = taken.entry(link.clone()).or_default();
        *count += 1;
        if *count > 1 { format!("{link}-{}", *count - 1) } else { link }
    };
    heading(&handbook.title);
    heading("Contents");
    let shown = |head: &Head| {
        let name = head.name.as_ref().map(|name| format!(" ({name})")).unwrap_or_default();
        format!("{}{name}", numbered(head))
    };
    let mut under = |head: &Head, blocks: &[Block]| {
        let link = heading(&shown(head));
        for block in blocks {
            if let Block::Table(table) = block {
                let anchors = table.rows.iter().filter(|row| !row.anchor.is_empty());
                links.extend(anchors.map(|row| (row.anchor.clone(), link.clone())));
            }
        }
        links.insert(head.place.anchor.clone(), link);
    };
    for chapter in &handbook.chapters {
        under(&chapter.head, &chapter.blocks);
        for section in &chapter.sections {
            under(&section.head, &section.blocks);
            section.entries.iter().for_each(|entry| under(&entry.head, &entry.blocks));
        }
    }
    links
}

/// What renderers commonly make of a heading: its letters and digits in small letters, hyphens for spaces.
fn slug(words: &str) -> String {
    words
        .chars()
        .filter_map(|character| match character {
            ' ' | '\n' => Some('-'),
            '-' | '_' => Some(character),
            letter if letter.is_alphanumeric() => Some(letter),
            _ => None,
        })
        .flat_map(char::to_lowercase)
        .collect()
}

/// A text in which nothing is a sign of Markdown, on one line.
fn text(words: &str) -> String {
    let mut out = String::with_capacity(words.len() + 8);
    for character in words.chars() {
        match character {
            '\n' | '\t' | '\r' => out.push(' '),
            _ if steers(character) => character.escape_unicode().for_each(|character| escape(&mut out, character)),
            character => escape(&mut out, character),
        }
    }
    out
}

/// Writes a character so that it is itself. Some renderers make links of addresses, and formulas between dollar signs.
fn escape(out: &mut String, character: char) {
    let part_of_an_address = match character {
        '/' => out.ends_with(':'),
        '.' => out.to_ascii_lowercase().ends_with("www"),
        _ => false,
    };
    if part_of_an_address
        || matches!(character, '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '|' | '~' | '&' | '$' | '^' | '{' | '}')
    {
        out.push('\\');
    }
    out.push(character);
}

/// A line at the beginning of which nothing begins a list, a heading or a block of code.
fn begun(line: &str) -> String {
    let line = line.trim();
    let digits = line.bytes().take_while(u8::is_ascii_digit).count();
    let (number, rest) = line.split_at(digits);
    let mut rest_of = rest.chars();
    match (rest_of.next(), rest_of.next()) {
        (Some('.' | ')'), next) if digits > 0 && next.is_none_or(char::is_whitespace) => format!("{number}\\{rest}"),
        (Some('-' | '+' | '=' | ':'), _) if digits == 0 => format!("\\{line}"),
        _ => line.to_owned(),
    }
}
