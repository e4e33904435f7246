//! Packed record files: gzip and Zstandard, unpacked within bounds and held against their own check sums.

use super::encoding::cell;
use super::rules;
use crate::finding::Finding;
use std::borrow::Cow;
use std::io::Read;

/// The most bytes that a packed file may unpack to.
pub(crate) const MOST: usize = 1 << 30;

const GZIP: &[u8] = &[0x1f, 0x8b];
const ZSTD: &[u8] = &[0x28, 0xb5, 0x2f, 0xfd];

/// Whether a file begins as a packed one does.
pub(crate) fn is_packed(bytes: &[u8]) -> bool {
    bytes.starts_with(GZIP) || bytes.starts_with(ZSTD)
}

/// The bytes of a file, unpacked if they are packed.
///
/// # Errors
/// A finding if the file is cut off, damaged, or unpacks to more than any record holds. Nothing of it is used then.
pub(crate) fn unpack<'b>(name: &str, bytes: &'b [u8]) -> Result<Cow<'b, [u8]>, Box<Finding>> {
    let mut out = Vec::new();
    let read = if bytes.starts_with(GZIP) {
        limited(flate2::read::MultiGzDecoder::new(bytes), &mut out)
    } else if bytes.starts_with(ZSTD) {
        frames(bytes, &mut out)
    } else {
        return Ok(Cow::Borrowed(bytes));
    };
    match read {
        Ok(true) => Ok(Cow::Owned(out)),
        Ok(false) => Err(too_large(name, MOST)),
        Err(why) => {
            let message = format!("`{name}` is packed and cannot be unpacked: {why}; nothing of it is used");
            let help = "copy or export the file again; it may have been cut off on the way";
            Err(Box::new(Finding::new(&rules::PACKED, cell(name, 0, None), message).help(help)))
        }
    }
}

/// A file that unpacks to more than so many bytes.
pub(crate) fn too_large(name: &str, most: usize) -> Box<Finding> {
    let message = format!("`{name}` unpacks to more than {} MiB; nothing of it is used", most >> 20);
    Box::new(Finding::new(&rules::PACKED, cell(name, 0, None), message).help("check that this is a record file"))
}

/// Reads to the end, or gives false where there is more than the bound.
fn limited(from: impl Read, out: &mut Vec<u8>) -> Result<bool, String> {
    let room = MOST.saturating_sub(out.len()) as u64;
    let read = from.take(room + 1).read_to_end(out).map_err(|error| match error.kind() {
        std::io::ErrorKind::UnexpectedEof => "it ends too early".to_owned(),
        std::io::ErrorKind::InvalidInput | std::io::ErrorKind::InvalidData => "it is damaged".to_owned(),
        _ => error.to_string().to_lowercase(),
    })?;
    Ok(read as u64 <= room)
}

/// Each frame in turn.
fn frames(bytes: &[u8], out: &mut Vec<u8>) -> Result<bool, String> {
    let mut rest = bytes;
    while !rest.is_empty() {
        let mut decoder = ruzstd::decoding::StreamingDecoder::new(&mut rest).map_err(|error| match error {
            _ if bytes.len() < 16 => "it ends too early".to_owned(),
            error => error.to_string().to_lowercase(),
        })?;
        if !limited(&mut decoder, out)? {
            return Ok(false);
        }
        let wanted = decoder.decoder.get_checksum_from_data();
        if wanted.is_some() && wanted != decoder.decoder.get_calculated_checksum() {
            return Err("its check sum does not agree".to_owned());
        }
    }
    Ok(true)
}
