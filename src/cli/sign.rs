//! `bourn sign`: a person signs a plan.

use super::{Colour, UNUSABLE, complain, eprint, files, signing};
use crate::check::signing::{ByKey, Holder, Meaning, Signature};
use crate::finding::{Finding, Severity};
use crate::registry::disk::UNWRITABLE_FILE;
use crate::report::terminal;
use crate::signoff;
use crate::signoff::key;
use crate::signoff::sign::{self, SIGNING_UNLISTED, Wish};
use crate::source::{Place, Sources};
use chrono::NaiveDate;
use clap::ValueEnum;
use std::path::{Path, PathBuf};

/// Who signs what.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "The line says that this person signs this text; nothing here approves a plan. It proves neither who \
sat at the keyboard nor that the law of the place takes such a signature; with a key it proves who held the key. \
docs/sign-off.md tells what it is worth."
)]
pub(super) struct Args {
    /// Plan file; the signature goes into NAME.sign-off beside it.
    #[arg(value_name = "PLAN")]
    plan: PathBuf,
    /// Role in the plan of the person who signs.
    #[arg(long, value_name = "ROLE")]
    role: String,
    /// Name of the person who signs, as typed.
    #[arg(long, value_name = "NAME")]
    name: String,
    /// What the signature says.
    #[arg(long = "as", value_enum, value_name = "MEANING")]
    meaning: Says,
    /// The day of the signature; today if not given.
    #[arg(long, value_name = "YYYY-MM-DD")]
    on: Option<NaiveDate>,
    /// Sign the line with this private key too: a file as `ssh-keygen -t ed25519` makes it, not locked with a passphrase.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["to_sign", "ssh_signature"])]
    ssh_key: Option<PathBuf>,
    /// Sign nothing; write the line into this file, for `ssh-keygen -Y sign -n bourn-sign-off -f KEY FILE`.
    #[arg(long, value_name = "FILE", conflicts_with = "ssh_signature")]
    to_sign: Option<PathBuf>,
    /// Put this signature under the line: what `ssh-keygen -Y sign` made of the file written with `--to-sign`.
    #[arg(long, value_name = "FILE.sig")]
    ssh_signature: Option<PathBuf>,
    /// File that says which SSH key may sign as whom; NAME.allowed-signers beside the plan if not given.
    #[arg(long, value_name = "FILE")]
    allowed_signers: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Says {
    /// I prepared this plan.
    Prepared,
    /// I went through this plan.
    Reviewed,
    /// I accept this plan for use.
    Approved,
}

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    let mut sources = Sources::new();
    match signed(args, &mut sources, colour) {
        Ok(words) => {
            eprint(&words);
            0
        }
        Err(mut findings) => {
            crate::finding::tidy(&mut findings);
            complain(&sources, &findings, colour);
            eprint(&format!("nothing was signed: {}\n", terminal::count(&findings)));
            UNUSABLE
        }
    }
}

fn signed(args: &Args, sources: &mut Sources, colour: Colour) -> Result<String, Vec<Finding>> {
    let one = |finding: Finding| vec![finding];
    let reading = files::plan(sources, &args.plan).map_err(one)?;
    let kept = signing::kept(&args.plan).map_err(one)?;
    let today = chrono::Local::now().date_naive();
    let meaning = match args.meaning {
        Says::Prepared => Meaning::Prepared,
        Says::Reviewed => Meaning::Reviewed,
        Says::Approved => Meaning::Approved,
    };
    let on = args.on.unwrap_or(today);
    let with_key = args.ssh_key.is_some() || args.ssh_signature.is_some() || args.to_sign.is_some();
    let wish = Wish { role: &args.role, name: &args.name, meaning, on, today, with_key };
    let ready = sign::sign(&reading, &signing::digests(sources), kept.as_ref(), &wish)?;
    let signers = signing::signers(&args.plan, args.allowed_signers.as_deref()).map_err(one)?;
    let path = signing::path(&args.plan);
    if let Some(target) = &args.to_sign {
        return to_sign(args, &ready, target).map_err(one);
    }
    let by_key = by_key(args, &ready.to_sign()).map_err(one)?;
    let (text, mut signature) = ready.written(by_key);
    let about = signoff::holder(&mut signature, signers.as_ref(), &path.display().to_string());
    if let (Holder::NotListed, Some(about)) = (holder(&signature), &about) {
        return Err(vec![unlisted(about, &signature)]);
    }
    // An existing file keeps its permissions, and a link to it goes on leading to it.
    let write = if kept.is_some() { files::rewrite } else { files::write_whole };
    write(&path, text.as_bytes()).map_err(one)?;
    let mut open = reading.findings;
    open.extend(crate::check::check(&reading.plan, on));
    crate::finding::tidy(&mut open);
    open.retain(|finding| finding.rule.severity > Severity::Note);
    let mut beside = kept.map(|kept| kept.findings).unwrap_or_default();
    beside.extend(signers.iter().flat_map(|signers| signers.findings().iter().cloned()));
    beside.extend(about);
    complain(sources, &beside, colour);
    Ok(format!(
        "{}: {}\n{}: {} of the check open on {on}; the signature is written to {}\n",
        terminal::clean(&args.plan.display().to_string()),
        terminal::clean(&signature.words()),
        terminal::clean(&args.plan.display().to_string()),
        terminal::count(&open),
        terminal::clean(&path.display().to_string()),
    ))
}

/// Writes the line that another program is to sign.
fn to_sign(args: &Args, ready: &sign::Ready, target: &Path) -> Result<String, Finding> {
    let path = signing::path(&args.plan);
    for (taken, what) in [(&args.plan, "is the plan itself"), (&path, "is the sign-off file itself")] {
        if files::same(target, taken) {
            let place = Place::file(target.display().to_string());
            return Err(Finding::new(&UNWRITABLE_FILE, place, what).help("give another file to write to"));
        }
    }
    files::write_whole(target, ready.to_sign().as_bytes())?;
    let target = terminal::clean(&target.display().to_string());
    Ok(format!(
        "{}: nothing is signed yet; the line is written to {target}\n\
         sign it with `ssh-keygen -Y sign -n {} -f KEY {target}`, then give the same command `--ssh-signature {target}.sig` in place of `--to-sign`\n",
        terminal::clean(&args.plan.display().to_string()),
        key::NAMESPACE,
    ))
}

/// The signature by a key that is asked for, under this line.
fn by_key(args: &Args, line: &str) -> Result<Option<ByKey>, Finding> {
    if let Some(path) = &args.ssh_key {
        return key::sign(&path.display().to_string(), &files::text(path)?, line).map(Some);
    }
    let pasted = |path: &PathBuf| key::pasted(&path.display().to_string(), &files::text(path)?, line);
    args.ssh_signature.as_ref().map(pasted).transpose()
}

fn holder(signature: &Signature) -> Holder {
    signature.by_key.as_ref().map_or(Holder::NotTold, |by_key| by_key.holder)
}

/// Why nobody signs with a key that would be found unlisted at once.
fn unlisted(about: &Finding, signature: &Signature) -> Finding {
    // In a pattern a comma parts and a quotation mark ends; a question mark stands for either.
    let name = signature.name.replace([',', '"'], "?");
    let help = format!(
        "whoever keeps that file lists the key, on a line that begins with `\"{name}\"` and goes on as the file of the public key does"
    );
    Finding::new(&SIGNING_UNLISTED, about.place.clone(), about.message.clone()).help(help)
}
