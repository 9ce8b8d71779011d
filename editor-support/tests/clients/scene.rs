//! What the tests with real editors share: the folder they work in, and how an editor is run and not waited for forever.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// The longest that an editor may take, on a machine that does much else.
const LONGEST: Duration = Duration::from_secs(180);

/// The folder of the clients.
pub fn clients() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("clients")
}

/// Whether a program is there. Where it is not, says that the test was not run and what to install.
pub fn there(program: &str, arguments: &[&str], test: &str, install: &str) -> bool {
    let output = Command::new(program).args(arguments).stdin(Stdio::null()).output();
    if output.is_ok_and(|output| output.status.success()) {
        return true;
    }
    not_run(test, install);
    false
}

/// Says that a test was not run; a failure where all editors must be there.
pub fn not_run(test: &str, install: &str) {
    use std::io::Write;
    let says = format!("not run: {test}: {install}");
    assert!(std::env::var_os("PURFLE_EDITORS").is_none_or(|said| said != "must"), "{says}");
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
