//! The rulebooks in the folders that the client works in.

use std::path::{Path, PathBuf};

use super::shelf::identity;

/// How many folders deep they are looked for.
const DEEPEST: usize = 6;

/// How many entries of folders are looked at altogether.
const MOST: usize = 20_000;

/// The rulebooks below these folders, in the order of their names. Hidden folders are left out, and those in which other
/// tools keep what they make.
pub fn rulebooks(folders: &[PathBuf]) -> Vec<PathBuf> {
    let (mut found, mut left) = (Vec::new(), MOST);
    for folder in folders {
        below(folder, DEEPEST, &mut left, &mut found);
    }
    found.sort();
    found.dedup();
    found
}

fn below(folder: &Path, deep: usize, left: &mut usize, found: &mut Vec<PathBuf>) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let Some(rest) = left.checked_sub(1) else { return };
        *left = rest;
        let (path, name) = (entry.path(), entry.file_name());
        let Ok(kind) = entry.file_type() else { continue };
        if kind.is_dir() {
            let name = name.to_string_lossy();
            if deep > 0 && !name.starts_with('.') && !matches!(name.as_ref(), "node_modules" | "target") {
                below(&path, deep - 1, left, found);
            }
        } else if path.extension().is_some_and(|extension| extension == "purfle") {
            found.push(identity(&path));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rulebooks_are_found_below_a_folder_and_hidden_ones_are_not() -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        for (path, name) in
            [("", "b.purfle"), ("", "a.txt"), ("deep/er", "a.purfle"), (".hidden", "c.purfle"), ("target", "d.purfle")]
        {
            std::fs::create_dir_all(folder.path().join(path))?;
            std::fs::write(folder.path().join(path).join(name), "")?;
        }
        let known = identity(folder.path());
        let found = rulebooks(&[folder.path().to_path_buf(), folder.path().to_path_buf()]);
        assert_eq!(found, [known.join("b.purfle"), known.join("deep/er/a.purfle")]);
        assert!(rulebooks(&[folder.path().join("nowhere")]).is_empty());
        Ok(())
    }
}
