//! The fenced blocks of a page that show the language.

/// A block that begins with ```` ```purfle ````.
pub struct Block {
    /// What stands after `purfle`.
    pub kind: String,
    /// What it shows.
    pub text: String,
    /// The line of its first fence, from 1.
    pub line: usize,
}

/// All blocks of a page, in order.
pub fn blocks(page: &str) -> Vec<Block> {
    let mut blocks: Vec<Block> = Vec::new();
    let mut open = false;
    for (at, line) in page.lines().enumerate() {
        match (open, line.strip_prefix("```")) {
            (false, Some(kind)) => {
                let kind = kind.strip_prefix("purfle").unwrap_or_else(|| panic!("line {}: an unknown kind of block", at + 1));
                blocks.push(Block { kind: kind.trim().to_owned(), text: String::new(), line: at + 1 });
                open = true;
            }
            (true, Some(_)) => open = false,
            (true, None) => {
                if let Some(block) = blocks.last_mut() {
                    block.text.push_str(line);
                    block.text.push('\n');
                }
            }
            (false, None) => {}
        }
    }
    assert!(!open, "the last block is not closed");
    blocks
}
