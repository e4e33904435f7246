//! Cases about signatures: a plan with the sign-off file beside it.
//!
//! In the file of a case, `{plan}` stands for the digest of the plan and `{after}` for the SHA-256 of the line before;
//! `{cr}` for a carriage return. `{key}` stands for the signature under this line by a key made for these tests,
//! `{key of another line}` for one under another line, and `{public}` for the public part of that key.

use bourn::finding::Finding;
use bourn::plan::Plan;
use bourn::signoff::signers::Signers;
use bourn::signoff::{digest::Digests, file, key, state};
use bourn::source::{SourceId, Sources};
use sha2::{Digest, Sha256};
use ssh_key::private::{Ed25519Keypair, PrivateKey};

/// The key of the cases.
fn own() -> PrivateKey {
    PrivateKey::from(Ed25519Keypair::from_seed(&[7; 32]))
}

/// The signature under a line by the key of the cases.
fn by_key(line: &str) -> String {
    let pem = own().to_openssh(ssh_key::LineEnding::LF).unwrap();
    format!("key {}", key::sign("key", &pem, &format!("{line}\n")).unwrap().text)
}

/// The file as it would stand on disk.
pub fn filled(written: &str, plan: &str) -> String {
    let mut out = String::new();
    let mut before = String::new();
    for line in written.split_inclusive('\n') {
        let hash: String = Sha256::digest(before.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect();
        let line = line.replace("{plan}", plan).replace("{after}", &format!("after {hash}")).replace("{cr}", "\r");
        let signed = |line: &str| line.split_once(" | {key").map(|(own, _)| by_key(own)).unwrap_or_default();
        let line = line.replace("{key}", &signed(&line)).replace("{key of another line}", &by_key("another line"));
        before = line.trim_end_matches(['\r', '\n']).to_owned();
        out.push_str(&line);
    }
    out
}

/// What is found in the file of a case; an empty file stands for none. And the allowed signers, where there are any.
pub fn findings(
    sources: &Sources,
    id: SourceId,
    plan: &Plan,
    (written, signers): (&str, Option<&str>),
) -> Vec<Finding> {
    let digests = Digests::of(sources, &[id]);
    let name = "plan.sign-off";
    let kept = (!written.is_empty()).then(|| file::read(name, &filled(written, digests.newest())));
    let public = own().public_key().to_openssh().unwrap();
    let signers = signers.map(|text| Signers::read("plan.allowed-signers", &text.replace("{public}", public.trim())));
    state(plan, &digests, kept, signers.as_ref(), name, chrono::NaiveDate::from_ymd_opt(2026, 6, 1).unwrap()).1
}

#[test]
fn a_filled_file_is_the_one_that_is_written() {
    let written = "sign-off, form 1: one line a signature, each with the SHA-256 of the line before it
2026-01-20 | approved | chef | A. Cook | revision 1 | {plan} | {after}
2026-02-20 | reviewed | cook | B. Cook | no revision | {plan} | {after}
end | 2 signatures | {after}
";
    let plan = format!("plan-1:{}", "0".repeat(64));
    let text = filled(written, &plan);
    let kept = file::read("f", &text);
    assert!(kept.whole && kept.findings.is_empty(), "{:?}", kept.findings);
    assert_eq!(file::written(&kept.signatures), text);
}
