//! Text that must wait until what stands above it is known: in memory while it is short, then in a file without a name.

use std::io::{self, Read, Seek, Write};

/// How much stays in memory.
const IN_MEMORY: usize = 4 << 20;

/// Text that waits.
pub struct Spool {
    file: tempfile::SpooledTempFile,
}

impl Spool {
    /// Nothing waits yet.
    pub fn new() -> Self {
        Self { file: tempfile::spooled_tempfile(IN_MEMORY) }
    }

    /// Lets more text wait.
    pub fn push(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.file.write_all(bytes)
    }

    /// Writes out everything that waited.
    pub fn pour(mut self, out: &mut dyn Write) -> io::Result<()> {
        self.file.rewind()?;
        let mut chunk = vec![0; 1 << 16];
        loop {
            let read = self.file.read(&mut chunk)?;
            if read == 0 {
                return Ok(());
            }
            out.write_all(&chunk[..read])?;
        }
    }
}
