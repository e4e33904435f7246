//! `bourn verify --against`: the same once more, held against an earlier report.

use super::super::files;
use crate::finding::Finding;
use crate::registry::disk::NO_REPORT;
use crate::report::against::is_report;
use crate::source::Place;
use crate::verify::Period;
use serde_json::Value;
use std::path::Path;

/// The earlier report.
///
/// # Errors
/// A finding if it cannot be read, or is no report of a verification.
pub(super) fn earlier(path: &Path) -> Result<Value, Finding> {
    let text = files::text(path)?;
    let refused = |why: String| {
        Finding::new(&NO_REPORT, Place::file(path.display().to_string()), why)
            .help("give the file that `bourn verify … --json FILE` wrote for a whole period")
    };
    let value: Value = serde_json::from_str(&text)
        .map_err(|error| refused(format!("is not JSON (line {}, column {})", error.line(), error.column())))?;
    if is_report(&value) { Ok(value) } else { Err(refused("is no report of a verification".to_owned())) }
}

/// The period of the earlier report.
pub(super) fn period(report: &Value) -> Period {
    let day = |key: &str| report.pointer(key).and_then(Value::as_str).and_then(|day| day.parse().ok());
    Period { from: day("/period/from"), to: day("/period/to") }
}
