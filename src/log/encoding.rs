//! Bytes → text, by the declared encoding.

use super::rules;
use crate::finding::Finding;
use crate::source::{Cell, Place};
use encoding_rs::{UTF_16BE, UTF_16LE, WINDOWS_1252};
use std::borrow::Cow;

/// How the bytes of a file stand for characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8, with or without a byte-order mark.
    Utf8,
    /// UTF-16; the byte-order mark at its start says which way round.
    Utf16,
    /// Windows code page 1252.
    Windows1252,
}

/// Where a file, a row or a cell is.
pub(crate) fn cell(file: &str, row: u64, column: Option<&str>) -> Place {
    Place::Cell(Cell { file: file.to_owned(), row, column: column.map(str::to_owned) })
}

/// The text of a file, without its byte-order mark.
///
/// # Errors
/// A finding if the file is empty, holds NUL bytes, or is not in this encoding.
pub fn text_of<'a>(name: &str, bytes: &'a [u8], encoding: Encoding) -> Result<Cow<'a, str>, Box<Finding>> {
    let fault = |rule, row, message: String, help: &str| {
        Box::new(Finding::new(rule, cell(name, row, None), message).help(help))
    };
    if bytes.is_empty() {
        return Err(fault(&rules::FILE_EMPTY, 0, format!("`{name}` is empty"), "export the file again"));
    }
    let utf16 = match bytes {
        [0xFF, 0xFE, ..] => Some(UTF_16LE),
        [0xFE, 0xFF, ..] => Some(UTF_16BE),
        _ => None,
    };
    let text = match (encoding, utf16) {
        (Encoding::Utf16, Some(way)) => {
            way.decode_without_bom_handling_and_without_replacement(bytes.get(2..).unwrap_or_default())
        }
        (Encoding::Utf16, None) => {
            let message = format!("`{name}` is declared as utf-16 and has no byte-order mark at its start");
            return Err(fault(&rules::FILE_ENCODING, 1, message, "declare the encoding it has, or export it again"));
        }
        (_, Some(_)) => {
            let message = format!("`{name}` begins with the byte-order mark of utf-16");
            return Err(fault(&rules::FILE_ENCODING, 1, message, "declare `encoding: utf-16` for it in the mapping"));
        }
        (Encoding::Utf8, None) => {
            let body = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
            let skipped = bytes.len() - body.len();
            match std::str::from_utf8(body) {
                Ok(text) => Some(Cow::Borrowed(text)),
                Err(error) if !body.contains(&0) => {
                    let at = error.valid_up_to();
                    let row = lines_in(body.get(..at).unwrap_or_default()) + 1;
                    let byte = body.get(at).copied().unwrap_or_default();
                    let message = format!("`{name}` is not utf-8: byte {} is {byte:#04X}", at + skipped + 1);
                    let help = "declare its encoding in the mapping, for example `encoding: windows-1252`";
                    return Err(fault(&rules::FILE_ENCODING, row, message, help));
                }
                Err(_) => None,
            }
        }
        (Encoding::Windows1252, None) => WINDOWS_1252.decode_without_bom_handling_and_without_replacement(bytes),
    };
    let nul = |text: &[u8]| text.iter().position(|&byte| byte == 0);
    match text {
        Some(text) => match nul(text.as_bytes()) {
            None => Ok(text),
            Some(at) => {
                let row = lines_in(text.as_bytes().get(..at).unwrap_or_default()) + 1;
                let message = format!("`{name}` holds a NUL byte and is no text");
                Err(fault(&rules::FILE_BINARY, row, message, "export it as delimited text"))
            }
        },
        None if encoding == Encoding::Utf16 => {
            let message = format!("`{name}` is not sound utf-16");
            Err(fault(&rules::FILE_ENCODING, 0, message, "export it again; it may have been cut off"))
        }
        None => {
            let message = format!("`{name}` holds NUL bytes and is no text");
            Err(fault(&rules::FILE_BINARY, 0, message, "export it as delimited text"))
        }
    }
}

/// How many line feeds there are.
pub(crate) fn lines_in(bytes: &[u8]) -> u64 {
    bytes.iter().map(|&byte| u64::from(byte == b'\n')).sum()
}
