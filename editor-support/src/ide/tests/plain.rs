//! What the editor asks is answered in plain values: the protocol is not spoken of outside of its own folders.

use std::path::{Path, PathBuf};

/// The sources in a folder and those below it.
fn sources(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            sources(&path, into);
        } else {
            into.push(path);
        }
    }
}

#[test]
fn nothing_here_knows_the_protocol() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut all = vec![root.join("analysis.rs"), root.join("ide.rs")];
    sources(&root.join("analysis"), &mut all);
    sources(&root.join("ide"), &mut all);
    assert!(all.len() > 30, "the sources are found");
    for path in all {
        let text = std::fs::read_to_string(&path).expect("a source");
        // In two pieces, so that this file does not name them.
        for word in [["lsp_", "types"], ["tower_", "lsp"], ["crate::", "proto"], ["crate::", "server"]] {
            assert!(!text.contains(&word.concat()), "{} speaks of {}", path.display(), word.concat());
        }
    }
}
