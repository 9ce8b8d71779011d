//! The frames that messages come in: a header that says how long the message is, an empty line, and the message.

use std::io::{Error, ErrorKind, Result};

use tokio::io::{AsyncBufRead, AsyncBufReadExt, AsyncReadExt};

/// The longest line of a header, in bytes.
const LONGEST_LINE: u64 = 4096;

/// The longest message, in bytes: a rulebook of the largest size that is read, every character of it escaped.
const LONGEST_MESSAGE: usize = 128 << 20;

/// Reads one message; none where the other side has left between two of them. After an error nothing more can be read,
/// for where the next message begins is not known.
pub async fn read(input: &mut (impl AsyncBufRead + Unpin)) -> Result<Option<Vec<u8>>> {
    let mut length = None;
    let mut line = Vec::new();
    loop {
        line.clear();
        let read = (&mut *input).take(LONGEST_LINE).read_until(b'\n', &mut line).await?;
        if read == 0 && length.is_none() {
            return Ok(None);
        }
        if !line.ends_with(b"\n") {
            return Err(bad("a header line does not end"));
        }
        let text = std::str::from_utf8(&line).map_err(|_| bad("a header is not UTF-8"))?.trim();
        if text.is_empty() {
            break;
        }
        let Some((name, value)) = text.split_once(':') else { return Err(bad("a header has no colon")) };
        if name.trim().eq_ignore_ascii_case("content-length") {
            let value = value.trim().parse().ok().filter(|&length| length <= LONGEST_MESSAGE);
            length = Some(value.ok_or_else(|| bad("Content-Length is no length of a message"))?);
        }
    }
    let mut message = vec![0; length.ok_or_else(|| bad("Content-Length is missing"))?];
    input.read_exact(&mut message).await?;
    Ok(Some(message))
}

fn bad(why: &str) -> Error {
    Error::new(ErrorKind::InvalidData, why)
}

/// A message in its frame.
pub fn framed(message: &[u8]) -> Vec<u8> {
    let mut frame = format!("Content-Length: {}\r\n\r\n", message.len()).into_bytes();
    frame.extend_from_slice(message);
    frame
}
