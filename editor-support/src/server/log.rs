//! What the server notes of its doings, where it is asked to: never what stands in a rulebook.

use std::fs::File;
use std::io::{Result, Write};
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Instant;

/// A file that is noted in, or none.
#[derive(Debug, Clone, Default)]
pub struct Log(Option<Arc<Noted>>);

#[derive(Debug)]
struct Noted {
    file: Mutex<File>,
    begun: Instant,
}

impl Log {
    /// Notes in a file, from its beginning.
    pub fn to(path: &Path) -> Result<Self> {
        Ok(Self(Some(Arc::new(Noted { file: Mutex::new(File::create(path)?), begun: Instant::now() }))))
    }

    /// Notes a line, with the seconds since the start. The words are made only where they are noted.
    pub fn note(&self, says: impl FnOnce() -> String) {
        let Some(noted) = &self.0 else { return };
        let line = format!("{:10.4} {}\n", noted.begun.elapsed().as_secs_f64(), says().replace('\n', " | "));
        let mut file = noted.file.lock().unwrap_or_else(PoisonError::into_inner);
        // A full disk is no reason to stop answering.
        let _ = file.write_all(line.as_bytes());
    }

    /// Notes whatever panics from now on, too.
    pub fn note_panics(&self) {
        if self.0.is_some() {
            let (log, usual) = (self.clone(), std::panic::take_hook());
            std::panic::set_hook(Box::new(move |panic| {
                log.note(|| format!("panic: {panic}"));
                usual(panic);
            }));
        }
    }
}
