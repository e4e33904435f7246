//! `bourn read`: what was understood of a record file, before anything is made of it.

use super::files::{self, write_whole};
use super::folder::words;
use super::meant::{self, Wanted};
use super::{Colour, NOT_MET, UNUSABLE, eprint};
use crate::finding::{Finding, Severity, heaviest};
use crate::log::plain::dialect::Said;
use crate::log::plain::split::Parting;
use crate::log::plain::{self, Options, View};
use crate::log::{Encoding, Files, Mapping};
use crate::registry::disk::BAD_OPTION;
use crate::report::{read as report, understood};
use crate::source::{Place, Source, Sources};
use clap::ValueEnum;
use std::io::{IsTerminal, Read, Write};
use std::path::{Path, PathBuf};

/// What to read, and what is known about it.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The record file.
    #[arg(value_name = "FILE")]
    pub(super) file: PathBuf,
    /// How it is shown; a summary on a terminal and comma-separated text elsewhere, if not given.
    #[arg(long, value_enum)]
    format: Option<Format>,
    /// Write to this file, whole or not at all, instead of standard output.
    #[arg(long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Show what this mapping makes of the file, instead of what the file shows by itself.
    #[arg(long, value_name = "MAPPING")]
    mapping: Option<PathBuf>,
    #[command(flatten)]
    pub(super) known: Known,
}

/// What a person knows about how a file is written.
#[derive(Debug, clap::Args)]
pub(super) struct Known {
    /// What parts cells: a sign, or one of the words tab, space and blanks (runs of blanks).
    #[arg(long, value_name = "SIGN", allow_hyphen_values = true)]
    delimiter: Option<String>,
    /// The widths of the columns, in characters, for text in columns.
    #[arg(long, value_name = "N,N,…", value_delimiter = ',', conflicts_with = "delimiter")]
    widths: Vec<usize>,
    /// The quotation mark, or the word none.
    #[arg(long, value_name = "SIGN")]
    quote: Option<String>,
    /// The sign that takes the meaning from the next one, or the word none where quotation marks are written twice.
    #[arg(long, value_name = "SIGN")]
    escape: Option<String>,
    /// utf-8, utf-16, utf-16le, utf-16be or windows-1252; otherwise what the first bytes say, and else utf-8.
    #[arg(long, value_name = "NAME")]
    encoding: Option<String>,
    /// How many lines stand before the headings.
    #[arg(long, value_name = "LINES")]
    preamble: Option<usize>,
    /// How many rows are headings; 0 for none.
    #[arg(long, value_name = "ROWS")]
    heading_rows: Option<usize>,
    /// How many rows stand below the table.
    #[arg(long, value_name = "ROWS")]
    footer: Option<usize>,
    /// The sheet of a workbook; without it, the only one that holds anything.
    #[arg(long, value_name = "NAME")]
    sheet: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// A short account: rows by class, times, steps, gaps, codes.
    Summary,
    /// The table as comma-separated text.
    Csv,
    /// Table and account as JSON.
    Json,
}

/// The largest file that is read, in bytes.
const MOST: u64 = 1 << 30;

/// Runs the command.
pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    let name = args.file.display().to_string();
    if let Some(mapping) = &args.mapping {
        return by_mapping(args, mapping, colour);
    }
    let view = match open(&args.file, &args.known) {
        Ok(view) => view,
        Err(finding) => {
            eprint(&report::findings(&name, &[*finding]));
            return UNUSABLE;
        }
    };
    eprint(&report::findings(&name, &view.findings));
    let written = deliver(args, |format, to| match format {
        Format::Summary => to.write_all(report::summary(&view).as_bytes()),
        Format::Csv => report::csv(&view, to),
        Format::Json => {
            serde_json::to_writer_pretty(&mut *to, &report::json(&view))?;
            to.write_all(b"\n")
        }
    });
    status(&name, written, &view.findings)
}

/// The status of the command, once its output is written or not.
fn status(name: &str, written: Result<(), Finding>, findings: &[Finding]) -> u8 {
    if let Err(finding) = written {
        eprint(&report::findings(name, &[finding]));
        return UNUSABLE;
    }
    if heaviest(findings) >= Some(Severity::Warning) { NOT_MET } else { 0 }
}

/// Shows what a mapping makes of one file.
fn by_mapping(args: &Args, path: &Path, colour: Colour) -> u8 {
    let name = args.file.display().to_string();
    let mut sources = Sources::new();
    let read = meant::look(path, Wanted::Mapping)
        .and_then(|()| files::text(path))
        .map_err(|finding| vec![finding])
        .and_then(|text| {
            let id = sources.add(Source::new(path.display().to_string(), text.clone()));
            let (mapping, findings) = Mapping::parse(&text, id);
            let mut mapping = mapping.ok_or(findings)?;
            let bytes = bytes(&args.file).map_err(|finding| vec![*finding])?;
            let base = path.parent().unwrap_or(Path::new(""));
            let from_base = args.file.strip_prefix(base).unwrap_or(&args.file);
            let file = args.file.file_name().map(Path::new).unwrap_or(&args.file);
            let fits = |pattern: &String| {
                let whole = glob::Pattern::new(pattern).is_ok_and(|pattern| pattern.matches_path(from_base));
                let last = pattern.rsplit('/').next().unwrap_or(pattern);
                whole || glob::Pattern::new(last).is_ok_and(|pattern| pattern.matches_path(file))
            };
            mapping.lots.retain(|table| table.table.files.iter().any(fits));
            mapping.readings.retain(|table| table.table.files.iter().any(fits));
            mapping.samples.retain(|table| table.table.files.iter().any(fits));
            mapping.calibrations.retain(|table| table.table.files.iter().any(fits));
            Ok(crate::log::read(&mapping, &One { name: name.clone(), bytes }))
        });
    let records = match read {
        Ok(records) if records.files.is_empty() && records.findings.is_empty() => {
            let finding =
                files::unreadable(&name, "no entry of the mapping fits its name", "check `files` in the mapping");
            super::complain(&sources, &[finding], colour);
            return UNUSABLE;
        }
        Ok(records) => records,
        Err(findings) => {
            super::complain(&sources, &findings, colour);
            return UNUSABLE;
        }
    };
    // Findings about the mapping have their place in its text, those about the file a line.
    let (mapped, filed): (Vec<Finding>, Vec<Finding>) =
        records.findings.iter().cloned().partition(|finding| finding.span().is_some());
    super::complain(&sources, &mapped, colour);
    eprint(&report::findings(&name, &filed));
    let written = deliver(args, |format, to| match format {
        Format::Summary => to.write_all(understood::summary(&records).as_bytes()),
        Format::Csv => to.write_all(understood::csv(&records).as_bytes()),
        Format::Json => {
            serde_json::to_writer_pretty(&mut *to, &understood::json(&records))?;
            to.write_all(b"\n")
        }
    });
    status(&name, written, &records.findings)
}

/// The one file that is looked at, by whatever name the mapping asks for it.
struct One {
    name: String,
    bytes: Vec<u8>,
}

impl Files for One {
    fn matching(&self, _: &str) -> Result<Vec<String>, String> {
        Ok(vec![self.name.clone()])
    }

    fn bytes(&self, _: &str) -> Result<Vec<u8>, String> {
        Ok(self.bytes.clone())
    }
}

/// Reads and understands a file.
///
/// # Errors
/// A finding if it cannot be read, or if an option means nothing.
pub(super) fn open(path: &Path, known: &Known) -> Result<View, Box<Finding>> {
    let options = known.options()?;
    let name = path.display().to_string();
    plain::look(&name, &bytes(path)?, &options)
}

/// The bytes of a record file.
///
/// # Errors
/// A finding if it is a folder, too large, changed while it was read, or cannot be read.
pub(super) fn bytes(path: &Path) -> Result<Vec<u8>, Box<Finding>> {
    let name = path.display().to_string();
    meant::look(path, Wanted::Record)?;
    let closed = |error: std::io::Error| {
        Box::new(files::unreadable(&name, &words(&error), "check the path and the permissions"))
    };
    let mut file = std::fs::File::open(path).map_err(closed)?;
    let before = file.metadata().map_err(closed)?;
    let large = || {
        let why = format!("it is larger than {} MiB", MOST >> 20);
        Box::new(files::unreadable(&name, &why, "look at a part of it; `bourn verify` reads it whole"))
    };
    if before.len() > MOST {
        return Err(large());
    }
    let mut bytes = Vec::new();
    (&mut file).take(MOST + 1).read_to_end(&mut bytes).map_err(closed)?;
    if bytes.len() as u64 > MOST {
        return Err(large());
    }
    let after = std::fs::metadata(path).map_err(closed)?;
    let changed =
        before.is_file() && (after.len() != bytes.len() as u64 || after.modified().ok() != before.modified().ok());
    if changed {
        return Err(Box::new(files::unreadable(
            &name,
            "it changed while it was read",
            "read it again when nothing writes to it",
        )));
    }
    Ok(bytes)
}

/// Writes to the file that is named, whole or not at all, or else to standard output.
fn deliver(args: &Args, show: impl Fn(Format, &mut dyn Write) -> std::io::Result<()>) -> Result<(), Finding> {
    let output = args.output.as_deref();
    let terminal = output.is_none() && std::io::stdout().is_terminal();
    let format = args.format.unwrap_or(if terminal { Format::Summary } else { Format::Csv });
    let unwritable = |error: &std::io::Error| {
        let place = output.map_or_else(|| "standard output".to_owned(), |path| path.display().to_string());
        let message = format!("`{place}` cannot be written: {}", words(error));
        Finding::new(&crate::registry::disk::UNWRITABLE_FILE, Place::file(place), message)
    };
    let write = |to: &mut dyn Write| -> std::io::Result<()> {
        show(format, &mut *to)?;
        to.flush()
    };
    match output {
        Some(path) => {
            let mut whole = Vec::new();
            write(&mut whole).map_err(|error| unwritable(&error))?;
            write_whole(path, &whole)
        }
        None => match write(&mut std::io::BufWriter::new(std::io::stdout().lock())) {
            // A reader that went away is no fault of ours.
            Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(unwritable(&error)),
            _ => Ok(()),
        },
    }
}

impl Known {
    fn options(&self) -> Result<Options, Box<Finding>> {
        let bad = |message: String, help: &str| {
            Box::new(Finding::new(&BAD_OPTION, Place::file("command line"), message).help(help))
        };
        let one = |option: &str, text: &str| match text {
            "none" => Ok(None),
            "backslash" => Ok(Some('\\')),
            "\\t" => Ok(Some('\t')),
            _ => {
                let mut signs = text.chars();
                match (signs.next(), signs.next()) {
                    (Some(sign), None) => Ok(Some(sign)),
                    _ => Err(bad(format!("`{text}` is no sign for {option}"), "write one sign, or the word none")),
                }
            }
        };
        let mut said = Said::default();
        if !self.widths.is_empty() {
            let mut at = 0;
            let places = self.widths.iter().map(|width| {
                let from = at;
                at += width;
                from
            });
            let places = places.collect();
            said.parting = Some(Parting::Places(places));
        } else if let Some(text) = &self.delimiter {
            said.parting = Some(match text.as_str() {
                "" => {
                    return Err(bad(
                        "the sign between cells is empty".to_owned(),
                        "write a sign, or tab, space or blanks",
                    ));
                }
                "tab" | "\\t" => Parting::Sign("\t".into()),
                "space" => Parting::Sign(" ".into()),
                "comma" => Parting::Sign(",".into()),
                "semicolon" => Parting::Sign(";".into()),
                "pipe" => Parting::Sign("|".into()),
                "blanks" => Parting::Blanks,
                sign => Parting::Sign(sign.to_owned()),
            });
        }
        said.quote = self.quote.as_deref().map(|text| one("--quote", text)).transpose()?;
        // An escape that is the quotation mark itself means that it is written twice.
        let escape = self.escape.as_deref().map(|text| one("--escape", text)).transpose()?;
        said.escape = escape.map(|escape| escape.filter(|escape| Some(Some(*escape)) != said.quote && *escape != '"'));
        let encoding = match &self.encoding {
            Some(name) => Some(Encoding::named(name).ok_or_else(|| {
                bad(
                    format!("`{name}` is no known encoding"),
                    "the encodings are utf-8, utf-16, utf-16le, utf-16be and windows-1252",
                )
            })?),
            None => None,
        };
        Ok(Options {
            said,
            encoding,
            preamble: self.preamble,
            headings: self.heading_rows,
            footer: self.footer,
            sheet: self.sheet.clone(),
        })
    }
}
