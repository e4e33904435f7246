//! Messages on a stream, in the framing of the protocol.
//!
//! A message that is no JSON, or no message of the protocol, costs itself alone: the stream goes on after it.

use lsp_server::{ErrorCode, Message};
use std::io::{BufRead, Read, Write};

/// The longest message that is read, in bytes.
pub const LONGEST: usize = 128 << 20;

/// What came from the stream.
#[derive(Debug)]
pub enum Came {
    /// A message.
    Message(Message),
    /// Bytes that are no message, and why.
    Fault(Fault),
    /// The stream has ended.
    End,
}

/// Why something was no message.
#[derive(Debug)]
pub struct Fault {
    /// The code of the protocol.
    pub code: ErrorCode,
    /// In words.
    pub why: String,
    /// The number of the request, where it could be told.
    pub id: Option<serde_json::Value>,
}

fn fault(code: ErrorCode, why: impl Into<String>, id: Option<serde_json::Value>) -> Came {
    Came::Fault(Fault { code, why: why.into(), id })
}

/// Reads the next message.
///
/// # Errors
/// If the stream itself fails.
pub fn read(stream: &mut impl BufRead) -> std::io::Result<Came> {
    let mut length: Option<usize> = None;
    let mut seen = false;
    loop {
        let mut line = Vec::new();
        if stream.by_ref().take(8192).read_until(b'\n', &mut line)? == 0 {
            return Ok(Came::End);
        }
        let line = String::from_utf8_lossy(&line);
        let line = line.trim_end();
        if line.is_empty() {
            if seen {
                break;
            }
            continue;
        }
        seen = true;
        if let Some((name, value)) = line.split_once(':')
            && name.trim().eq_ignore_ascii_case("content-length")
        {
            length = value.trim().parse().ok();
        }
    }
    let Some(length) = length else {
        return Ok(fault(
            ErrorCode::ParseError,
            "a message needs a header `Content-Length` with its length in bytes",
            None,
        ));
    };
    let mut body = Vec::new();
    if length > LONGEST {
        let bytes = u64::try_from(length).unwrap_or(u64::MAX);
        std::io::copy(&mut stream.take(bytes), &mut std::io::sink())?;
        return Ok(fault(ErrorCode::InvalidRequest, format!("a message may be {LONGEST} bytes long at most"), None));
    }
    stream.take(u64::try_from(length).unwrap_or(0)).read_to_end(&mut body)?;
    if body.len() < length {
        return Ok(Came::End);
    }
    Ok(understood(&body))
}

fn understood(body: &[u8]) -> Came {
    let value: serde_json::Value = match serde_json::from_slice(body) {
        Ok(value) => value,
        Err(error) => return fault(ErrorCode::ParseError, format!("the message is no JSON: {error}"), None),
    };
    let id = value.get("id").cloned();
    match serde_json::from_value(value) {
        Ok(message) => Came::Message(message),
        Err(_) => fault(ErrorCode::InvalidRequest, "this is neither a request, a response nor a notification", id),
    }
}

/// Writes a message.
///
/// # Errors
/// If the stream fails.
pub fn write(stream: &mut impl Write, message: &Message) -> std::io::Result<()> {
    message.write(stream)
}

/// Writes the answer to something that was no message. Its number is null where none could be told.
///
/// # Errors
/// If the stream fails.
pub fn write_fault(stream: &mut impl Write, fault: &Fault) -> std::io::Result<()> {
    let body = serde_json::json!({
        "jsonrpc": "2.0",
        "id": fault.id,
        "error": { "code": fault.code as i32, "message": fault.why },
    })
    .to_string();
    write!(stream, "Content-Length: {}\r\n\r\n{body}", body.len())?;
    stream.flush()
}
