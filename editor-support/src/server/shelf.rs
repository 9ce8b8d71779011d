//! Where the texts of rulebooks come from: what is open in the editor first, then the disk.

use std::collections::{BTreeMap, HashMap};
use std::path::{Component, Path, PathBuf};
use std::time::SystemTime;

use purfle::load::{Disk, Shelf};
use purfle_lang::span::FileId;
use purfle_lang::syntax::{Kept, Parsed, parse, parse_again};

/// The file a path leads to, whichever way it is written. A file that is not there is known by its folder and its name.
pub fn identity(path: &Path) -> PathBuf {
    let there = || path.canonicalize().ok();
    let not_there = || Some(path.parent()?.canonicalize().ok()?.join(path.file_name()?));
    there().or_else(not_there).unwrap_or_else(|| clean(path))
}

/// A path without `.` and `..`.
pub fn clean(path: &Path) -> PathBuf {
    let mut cleaned = PathBuf::new();
    for component in path.components() {
        match component {
            Component::CurDir => {}
            Component::ParentDir if matches!(cleaned.components().next_back(), Some(Component::Normal(_))) => {
                cleaned.pop();
            }
            other => cleaned.push(other),
        }
    }
    cleaned
}

/// What was read of the disk, kept as long as the files stay as they were.
#[derive(Debug, Default)]
pub struct Files(HashMap<PathBuf, Read>);

#[derive(Debug)]
struct Read {
    changed: SystemTime,
    size: u64,
    text: String,
}

impl Files {
    /// The text of a file, or why it cannot be used, as the end of a sentence.
    pub fn text(&mut self, path: &Path) -> Result<String, String> {
        let about = std::fs::metadata(path).ok().and_then(|about| Some((about.modified().ok()?, about.len())));
        if let (Some((changed, size)), Some(read)) = (about, self.0.get(path))
            && (read.changed, read.size) == (changed, size)
        {
            return Ok(read.text.clone());
        }
        self.0.remove(path);
        let text = Disk.text(path)?;
        if let Some((changed, size)) = about {
            self.0.insert(path.to_path_buf(), Read { changed, size, text: text.clone() });
        }
        Ok(text)
    }

    /// Whether a file is no longer as it was when it was read.
    pub fn changed(&self, path: &Path) -> bool {
        let about = std::fs::metadata(path).ok().and_then(|about| Some((about.modified().ok()?, about.len())));
        about != self.0.get(path).map(|read| (read.changed, read.size))
    }

    /// Forgets what was read of a file: its time and size need not tell that it has changed.
    pub fn forget(&mut self, path: &Path) {
        self.0.remove(path);
    }
}

/// Open texts, then files.
pub struct OpenFirst<'a> {
    /// The open texts, by the file they are.
    pub open: BTreeMap<&'a Path, &'a str>,
    /// The rest.
    pub files: &'a mut Files,
    /// What was read of each text of the chain last time.
    pub kept: &'a mut Vec<Kept>,
}

impl Shelf for OpenFirst<'_> {
    fn text(&mut self, path: &Path) -> Result<String, String> {
        let path = identity(path);
        match self.open.get(path.as_path()) {
            Some(text) => Ok((*text).to_owned()),
            None => self.files.text(&path),
        }
    }

    fn parsed(&mut self, file: FileId, text: &str) -> Parsed {
        let at = usize::from(file.0);
        if self.kept.len() <= at {
            self.kept.resize_with(at + 1, Kept::default);
        }
        match self.kept.get_mut(at) {
            Some(kept) => parse_again(file, text, kept),
            None => parse(file, text),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_cleaned_without_looking_at_the_disk() {
        for (written, cleaned) in [("/a/./b/../c.purfle", "/a/c.purfle"), ("/../a", "/../a"), ("a/../../b", "../b"), ("./a", "a")]
        {
            assert_eq!(clean(Path::new(written)), Path::new(cleaned), "{written}");
        }
    }

    #[test]
    fn an_open_text_wins_and_a_changed_file_is_read_again() -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        let (one, other) = (folder.path().join("one.purfle"), folder.path().join("other.purfle"));
        std::fs::write(&one, "on the disk")?;
        std::fs::write(&other, "first")?;
        let mut files = Files::default();
        let known = identity(&one);
        let mut shelf =
            OpenFirst { open: BTreeMap::from([(known.as_path(), "in the editor")]), files: &mut files, kept: &mut Vec::new() };
        assert_eq!(shelf.text(&folder.path().join("./one.purfle")), Ok("in the editor".to_owned()));
        assert_eq!(shelf.text(&other), Ok("first".to_owned()));
        std::fs::write(&other, "longer than before")?;
        assert_eq!(shelf.text(&other), Ok("longer than before".to_owned()));
        std::fs::remove_file(&other)?;
        assert_eq!(shelf.text(&other), Err("there is no such file".to_owned()));
        Ok(())
    }
}
