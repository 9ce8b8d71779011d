//! What the tests with real editors share: the folder they work in, and how an editor is run and not waited for forever.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use serde::Deserialize;
use tempfile::TempDir;

/// The longest that an editor may take, on a machine that does much else.
const LONGEST: Duration = Duration::from_secs(180);

/// The language server.
pub const SERVER: &str = env!("CARGO_BIN_EXE_purfle-editor");

/// The folder of the clients.
pub fn clients() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("clients")
}

/// A folder with the shop's rulebooks, one of them with a mistake, and its records.
pub fn shop() -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/clients/shop");
    for entry in std::fs::read_dir(from).expect("the shop") {
        let path = entry.expect("an entry").path();
        std::fs::copy(&path, folder.path().join(path.file_name().expect("a name"))).expect("a copy");
    }
    folder
}

/// Whether a program is there. Where it is not, says that the test was not run and what to install.
pub fn there(program: &str, arguments: &[&str], test: &str, install: &str) -> bool {
    let output = Command::new(program).args(arguments).stdin(Stdio::null()).output();
    if output.is_ok_and(|output| output.status.success()) {
        return true;
    }
    not_run(test, install, true);
    false
}

/// Says that a test was not run; a failure where all editors must be there, if it is one of those.
pub fn not_run(test: &str, install: &str, must: bool) {
    use std::io::Write;
    let says = format!("not run: {test}: {install}");
    assert!(!must || std::env::var_os("PURFLE_EDITORS").is_none_or(|said| said != "must"), "{says}");
    // Past what the runner keeps to itself.
    let _ = writeln!(std::io::stderr(), "{says}");
}

/// Runs a command to its end in a folder, with a folder of its own for what it keeps; what it printed if it fails.
pub fn run(command: &mut Command, folder: &Path) -> Result<(), String> {
    let printed = folder.join("printed.txt");
    let file = std::fs::File::create(&printed).expect("a file");
    let mut child = command
        .current_dir(folder)
        .env("HOME", folder.join("home"))
        .env_remove("XDG_DATA_HOME")
        .env_remove("XDG_CONFIG_HOME")
        .env_remove("XDG_STATE_HOME")
        .stdin(Stdio::null())
        .stdout(file.try_clone().expect("the same file"))
        .stderr(file)
        .spawn()
        .unwrap_or_else(|error| panic!("{command:?}: {error}"));
    let start = Instant::now();
    let ended = loop {
        match child.try_wait().expect("its state") {
            Some(status) => break Some(status),
            None if start.elapsed() > LONGEST => {
                let _ = child.kill();
                let _ = child.wait();
                break None;
            }
            None => std::thread::sleep(Duration::from_millis(50)),
        }
    };
    let says = std::fs::read_to_string(&printed).unwrap_or_default();
    match ended {
        Some(status) if status.success() => Ok(()),
        Some(status) => Err(format!("{command:?} ended with {status}:\n{says}")),
        None => Err(format!("{command:?} did not end within {LONGEST:?}:\n{says}")),
    }
}

/// The places where programs are found, with the language server's first.
pub fn path_with_server() -> std::ffi::OsString {
    let server = Path::new(SERVER).parent().expect("a folder").to_path_buf();
    let before = std::env::var_os("PATH").unwrap_or_default();
    std::env::join_paths(std::iter::once(server).chain(std::env::split_paths(&before))).expect("a list of folders")
}

/// What an editor writes down of its work.
#[derive(Debug, Deserialize)]
pub struct Done {
    /// What ended it before its time.
    pub failed: Option<String>,
    /// What was waited for and did not come.
    #[serde(default)]
    pub missed: Vec<String>,
    /// The mistakes of the broken rulebook, each with its line.
    #[serde(default)]
    pub diagnostics: Vec<String>,
    /// What is offered behind `turns is`.
    #[serde(default)]
    pub completion: Vec<String>,
    /// The titles of the changes offered at the mistake.
    #[serde(default)]
    pub offered: Vec<String>,
    /// The broken rulebook with the change made.
    #[serde(default)]
    pub fixed: String,
    /// Its mistakes then.
    #[serde(default)]
    pub after: Vec<String>,
    /// The same laid out.
    #[serde(default)]
    pub formatted: String,
    /// Both rulebooks with a name changed.
    #[serde(default)]
    pub renamed: Renamed,
    /// The triage of the shop's records.
    #[serde(default)]
    pub report: String,
}

/// A rulebook and the house rules on it.
#[derive(Debug, Default, Deserialize)]
pub struct Renamed {
    pub shop: String,
    pub house: String,
}

/// What was written down, of which the second value is the editor's own.
pub fn read<T: for<'de> Deserialize<'de>>(file: &Path) -> (Done, T) {
    let text = std::fs::read_to_string(file).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
    (told(&text), told(&text))
}

fn told<T: for<'de> Deserialize<'de>>(text: &str) -> T {
    serde_json::from_str(text).unwrap_or_else(|error| panic!("{error}: {text}"))
}

/// A text of the shop.
pub fn text(name: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/clients/shop").join(name)).expect("the text")
}

/// Holds what an editor did against what it should have done.
pub fn hold(result: &Done, folder: &Path) {
    assert_eq!(result.failed, None, "{result:#?}");
    assert!(result.missed.is_empty(), "{:#?}", result.missed);

    let says = "No choice of `turns` is called `slipps`.";
    let [told] = result.diagnostics.as_slice() else { panic!("{:#?}", result.diagnostics) };
    assert!(told.starts_with("7: ") && told.contains(says), "the mistake in the words of the command line: {told}");

    for choice in ["smoothly", "slips", "stuck"] {
        assert!(result.completion.iter().any(|label| label.trim() == choice), "{choice} in {:?}", result.completion);
    }
    assert!(!result.completion.iter().any(|label| label.contains("luthier")), "only choices: {:?}", result.completion);

    assert!(result.offered.iter().any(|title| title.contains("Write `slips`")), "{:?}", result.offered);
    assert_eq!(result.fixed, text("broken.purfle").replace("slipps", "slips"));
    assert_eq!(result.after, Vec::<String>::new());
    assert_eq!(result.formatted, text("broken.purfle").replace("slipps", "slips").replace("hands  player", "hands    player"));

    assert_eq!(result.renamed.shop, text("shop.purfle").replace("peg-slips", "peg-lets-go"));
    assert_eq!(result.renamed.house, text("house.purfle").replace("peg-slips", "peg-lets-go"));
    let saved = std::fs::read_to_string(folder.join("house.purfle")).expect("the saved house rules");
    assert_eq!(saved, result.renamed.house);

    assert!(result.report.contains("3 records read: 3 judged, none refused."), "{}", result.report);
}
