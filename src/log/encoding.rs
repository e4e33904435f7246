//! Bytes → text, by the declared encoding.

use super::workbook::Page;
use super::{packed, rules, workbook};
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
    /// UTF-16, the low byte first, without a byte-order mark.
    Utf16Le,
    /// UTF-16, the high byte first, without a byte-order mark.
    Utf16Be,
    /// Windows code page 1252.
    Windows1252,
}

impl Encoding {
    /// Every name by which an encoding is declared, the usual ones first.
    pub const NAMES: [(&'static str, Encoding); 5] = [
        ("utf-8", Encoding::Utf8),
        ("utf-16", Encoding::Utf16),
        ("utf-16le", Encoding::Utf16Le),
        ("utf-16be", Encoding::Utf16Be),
        ("windows-1252", Encoding::Windows1252),
    ];

    /// The encoding of this name.
    #[must_use]
    pub fn named(name: &str) -> Option<Encoding> {
        let low = name.to_ascii_lowercase();
        let plain = match low.as_str() {
            "utf8" => "utf-8",
            "utf16" => "utf-16",
            "utf-16-le" => "utf-16le",
            "utf-16-be" => "utf-16be",
            // What is declared as Latin 1 is read as its superset in practice, by the WHATWG encoding standard too.
            "iso-8859-1" | "latin-1" | "latin1" | "cp1252" => "windows-1252",
            other => other,
        };
        Self::NAMES.iter().find(|(name, _)| *name == plain).map(|(_, encoding)| *encoding)
    }

    /// Its name.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::NAMES.iter().find(|(_, encoding)| *encoding == self).map_or("utf-8", |(name, _)| name)
    }
}

/// The encoding that the first bytes of a file say; UTF-8 where they say none.
pub(crate) fn sniff(bytes: &[u8]) -> Encoding {
    match bytes {
        [0xFF, 0xFE, ..] | [0xFE, 0xFF, ..] => Encoding::Utf16,
        _ => Encoding::Utf8,
    }
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
        (Encoding::Utf16Le, None) => UTF_16LE.decode_without_bom_handling_and_without_replacement(bytes),
        (Encoding::Utf16Be, None) => UTF_16BE.decode_without_bom_handling_and_without_replacement(bytes),
        (Encoding::Utf16Le, Some(way)) if way == UTF_16LE => {
            way.decode_without_bom_handling_and_without_replacement(bytes.get(2..).unwrap_or_default())
        }
        (Encoding::Utf16Be, Some(way)) if way == UTF_16BE => {
            way.decode_without_bom_handling_and_without_replacement(bytes.get(2..).unwrap_or_default())
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
                    let help = "say which encoding it has: `encoding: windows-1252`, for example, in the mapping, or `--encoding windows-1252` with `read` and `propose`";
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
        None if !matches!(encoding, Encoding::Utf8 | Encoding::Windows1252) => {
            let message = format!("`{name}` is not sound {}", encoding.name());
            Err(fault(&rules::FILE_ENCODING, 0, message, "export it again; it may have been cut off"))
        }
        None => {
            let message = format!("`{name}` holds NUL bytes and is no text");
            Err(fault(&rules::FILE_BINARY, 0, message, "export it as delimited text"))
        }
    }
}

/// The text of a stretch of a file in UTF-8 or Windows code page 1252; none if it is not that, or holds NUL bytes.
pub(crate) fn stretch(bytes: &[u8], encoding: Encoding) -> Option<Cow<'_, str>> {
    if memchr::memchr(0, bytes).is_some() {
        return None;
    }
    match encoding {
        Encoding::Windows1252 if !bytes.is_ascii() => {
            WINDOWS_1252.decode_without_bom_handling_and_without_replacement(bytes)
        }
        _ => std::str::from_utf8(bytes).ok().map(Cow::Borrowed),
    }
}

/// The text of a file: unpacked if it is packed, written out if it is a workbook, decoded if it is text.
///
/// # Errors
/// A finding if it is none of these, or damaged.
pub(crate) fn content<'b>(
    name: &str,
    bytes: &'b [u8],
    encoding: Encoding,
    page: Page<'_>,
) -> Result<Cow<'b, str>, Box<Finding>> {
    match packed::unpack(name, bytes)? {
        plain if workbook::is_workbook(&plain) => workbook::text(name, &plain, page).map(Cow::Owned),
        Cow::Borrowed(plain) => text_of(name, plain, encoding),
        Cow::Owned(plain) => text_of(name, &plain, encoding).map(|text| Cow::Owned(text.into_owned())),
    }
}

/// How many line feeds there are.
pub(crate) fn lines_in(bytes: &[u8]) -> u64 {
    memchr::memchr_iter(b'\n', bytes).count() as u64
}
