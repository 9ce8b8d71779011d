//! What is said of a file that is not there: the folder that is missing, or the nearest name beside it.

use std::fs::read_dir;
use std::path::Path;

use purfle_lang::nearest::nearest;

/// The most names of one folder that are compared.
const MOST_NAMES: usize = 10_000;

/// That there is no such file, with what is nearest to it, as the end of a sentence.
pub fn no_such_file(path: &Path) -> String {
    if let Some(folder) = missing_folder(path) {
        return format!("there is no folder {folder}");
    }
    let near = near(path).map(|near| format!("; the nearest there is {near}")).unwrap_or_default();
    format!("there is no such file{near}")
}

/// The folder that a file would be in, if there is none.
pub fn missing_folder(path: &Path) -> Option<String> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty())?;
    (!folder.exists()).then(|| folder.display().to_string())
}

/// The nearest name in the same folder, of those that end in the same way.
fn near(path: &Path) -> Option<String> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let ending = |path: &Path| path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    let (stem, wanted) = (path.file_stem()?.to_str()?, ending(path));
    let entries = read_dir(folder).ok()?.take(MOST_NAMES).flatten();
    let mut beside: Vec<String> = entries
        .filter(|entry| wanted.is_none() || ending(Path::new(&entry.file_name())) == wanted)
        .filter(|entry| entry.path().is_file())
        .filter_map(|entry| entry.file_name().into_string().ok())
        .collect();
    beside.sort();
    let stems: Vec<&str> = beside.iter().filter_map(|name| Path::new(name).file_stem()?.to_str()).collect();
    let found = nearest(stem, stems.iter().copied())?;
    let at = stems.iter().position(|stem| *stem == found)?;
    beside.get(at).cloned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_name_is_one_of_the_same_kind() {
        let folder = tempfile::tempdir().expect("a folder");
        for name in ["first-look.purfle", "first-lok.csv", "season.CSV", "zebra.purfle"] {
            std::fs::write(folder.path().join(name), "x").expect("a file");
        }
        let says = |name: &str| no_such_file(&folder.path().join(name));
        assert_eq!(says("first-lok.purfle"), "there is no such file; the nearest there is first-look.purfle");
        assert_eq!(says("seasn.csv"), "there is no such file; the nearest there is season.CSV");
        assert_eq!(says("first-look"), "there is no such file; the nearest there is first-look.purfle");
        assert_eq!(says("violins.json"), "there is no such file");
        let inside = folder.path().join("spring/season.csv");
        assert_eq!(no_such_file(&inside), format!("there is no folder {}", folder.path().join("spring").display()));
    }
}
