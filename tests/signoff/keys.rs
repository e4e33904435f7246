//! Signatures by keys in the file, as far as no other program is needed; `tests/ssh_keys.py` asks `ssh-keygen`.

use crate::{Desk, PLAN};
use bourn::check::signing::ByKey;
use bourn::signoff::file;
use bourn::signoff::key::{Fit, fit, read, sign};
use ssh_key::private::{Ed25519Keypair, PrivateKey};

/// An invented private key, as it stands on disk.
fn private(seed: u8) -> String {
    let key = PrivateKey::from(Ed25519Keypair::from_seed(&[seed; 32]));
    key.to_openssh(ssh_key::LineEnding::LF).unwrap().to_string()
}

fn by_key(text: &str) -> ByKey {
    sign("key", &private(1), text).unwrap()
}

/// A desk whose second line is signed with a key, between two that are not.
fn signed() -> Desk {
    let desk = Desk::new();
    desk.put("key", private(1));
    assert_eq!(desk.sign("chef", "Ada Invented", "prepared", "2026-01-20").status, 0);
    let args = ["--name", "Bo Invented", "--as", "reviewed", "--on", "2026-01-21", "--ssh-key", "key"];
    let ran = desk.run(&[&["sign", "plan.haccp", "--role", "cook"][..], &args].concat());
    assert_eq!(ran.status, 0, "{ran:#?}");
    assert_eq!(desk.sign("chef", "Ada Invented", "approved", "2026-01-22").status, 0);
    desk
}

#[test]
fn lines_with_and_without_a_key_stand_in_one_chain() {
    let desk = signed();
    let text = desk.text("plan.sign-off");
    let bars: Vec<usize> = text.lines().map(|line| line.matches(" | ").count()).collect();
    assert_eq!(bars, [0, 6, 7, 6, 2], "{text}");
    let kept = file::read("plan.sign-off", &text);
    assert!(kept.whole && kept.findings.is_empty(), "{:?}", kept.findings);
    assert_eq!(file::written(&kept.signatures), text);
    let (codes, said) = desk.check("2026-06-01");
    assert_eq!(codes, ["U117"], "{said}");
    assert_eq!(desk.text("plan.haccp"), PLAN);
}

/// Every byte of a line with a key matters, those of the signature too.
#[test]
fn any_edit_is_found() {
    let text = signed().text("plan.sign-off");
    let begins = text.match_indices('\n').nth(1).unwrap().0 + 1;
    let length = text[begins..].find('\n').unwrap();
    assert!(length > 450, "{text}");
    let mut tried = 0;
    for at in begins..=begins + length {
        for put in ["", "A"] {
            let edited = format!("{}{put}{}", &text[..at], &text[at + 1..]);
            if edited == text {
                continue;
            }
            let kept = file::read("plan.sign-off", &edited);
            assert!(!kept.whole && !kept.findings.is_empty(), "at {at}: {put:?} for {:?}", &text[at..=at]);
            tried += 1;
        }
    }
    assert!(tried > 800, "{tried}");
}

/// The same key signs the same text alike, so that nothing of chance stands in the file; and one letter more is another text.
#[test]
fn a_signature_is_one_of_one_text() {
    let one = by_key("a line\n");
    assert_eq!(one, by_key("a line\n"));
    assert_eq!(fit(&one, "a line\n"), Fit::Fits);
    for other in ["a line", "a line\n\n", "A line\n", "", "a line\r\n"] {
        assert_eq!(fit(&one, other), Fit::Broken("does not fit the line".to_owned()), "{other:?}");
    }
    assert_eq!(read(&one.text).unwrap(), one);
    assert_eq!((one.kind.as_str(), one.key.len()), ("ssh-ed25519", "SHA256:".len() + 43));
    let other = sign("key", &private(2), "a line\n").unwrap();
    assert_ne!((&other.key, &other.text), (&one.key, &one.text));
}

/// Bytes in place of a signature: words, and no panic.
#[test]
fn what_is_no_signature() {
    use base64::Engine;
    let encode = |bytes: &[u8]| base64::engine::general_purpose::STANDARD.encode(bytes);
    let one = base64::engine::general_purpose::STANDARD.decode(by_key("a line\n").text).unwrap();
    for length in 0..one.len() {
        let cut = encode(&one[..length]);
        let told = read(&cut).map(|by_key| fit(&by_key, "a line\n"));
        assert!(matches!(told, Err(_) | Ok(Fit::Broken(_))), "cut to {length}: {told:?}");
        let mut other = one.clone();
        other[length] ^= 0x40;
        let told = read(&encode(&other)).map(|by_key| fit(&by_key, "a line\n"));
        assert!(!matches!(told, Ok(Fit::Fits)), "byte {length}");
        other[length] = 0xff;
        let _ = read(&encode(&other)).map(|by_key| fit(&by_key, "a line\n"));
    }
    for text in ["", "=", "AAAA", "U1NIU0lH", "U1NIU0lHAAAAAf////8="] {
        assert!(read(text).is_err(), "{text}");
    }
}
