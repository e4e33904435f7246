//! The look of a plant, laid over the shipped one.

use crate::GOOSE;
use crate::command::{bourn, said};
use std::path::Path;

/// A drawing of one black square.
const LOGO: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 9 9\"><path d=\"M0 0h9v9H0z\"/></svg>";

fn rendered(files: &[(&str, &[u8])]) -> (Option<i32>, String, Option<String>) {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("goose.haccp"), GOOSE).unwrap();
    std::fs::create_dir(folder.path().join("look")).unwrap();
    for (name, bytes) in files {
        std::fs::write(folder.path().join("look").join(name), bytes).unwrap();
    }
    run(folder.path())
}

fn run(folder: &Path) -> (Option<i32>, String, Option<String>) {
    let output = bourn(folder, &["render", "goose.haccp", "--style", "look"]).output().unwrap();
    (output.status.code(), said(&output), std::fs::read_to_string(folder.join("goose.html")).ok())
}

#[test]
fn logo_sheet_and_front_matter_come_with_the_page() {
    let front = "Who we are\n\nA plant that is invented.\n\nIts second paragraph: <b>plain</b>.\n";
    let files: [(&str, &[u8]); 4] = [
        ("logo.svg", LOGO.as_bytes()),
        ("style.css", b"h1 { color: #123456; }\n"),
        ("front.txt", front.as_bytes()),
        (".hidden", b"passed over"),
    ];
    let (status, said, html) = rendered(&files);
    assert_eq!(status, Some(0), "{said}");
    let html = html.unwrap();
    assert!(html.contains("<img class=\"logo\" src=\"data:image&#x2f;svg+xml;base64,PHN2Zy"), "{}", &html[..9000]);
    assert!(html.contains("h1 { color: #123456; }"));
    assert!(html.contains("<span class=\"number\">1</span> Who we are"), "front matter is the first section");
    assert!(html.contains("&lt;b&gt;plain&lt;&#x2f;b&gt;"), "its text is text");
    assert!(html.contains("<span class=\"number\">2</span> Scope and team"));
}

#[test]
fn a_template_of_the_plant_replaces_the_shipped_one_and_its_faults_are_placed() {
    let (status, _, html) =
        rendered(&[("base.html", b"<!DOCTYPE html><title>{{ page.title }}</title><p>{{ page.foot }}</p>\n")]);
    assert_eq!(status, Some(0));
    assert_eq!(
        html.unwrap(),
        "<!DOCTYPE html><title>Smoked goose breast slices</title><p>Revision 3 of 2026-08-17, unsigned</p>"
    );
    for (text, line) in [("<p>\n{{ page.nothing }}\n", "line 2"), ("<p>\n\n{% if %}\n", "line 3")] {
        let (status, said, html) = rendered(&[("base.html", text.as_bytes())]);
        assert_eq!((status, html), (Some(2), None), "{said}");
        assert!(said.contains("X107") && said.contains("base.html") && said.contains(line), "{said}");
    }
}

#[test]
fn what_is_no_style_is_refused_and_nothing_is_written() {
    let cases: [(&str, &[u8], &str); 5] = [
        ("styles.css", b"h1 { color: red }", "is not a part of a style"),
        ("style.css", b"</style><script>alert(1)</script>", "holds `</` or `<!`"),
        ("logo.png", b"GIF89a", "does not hold what its name says"),
        ("logo.svg", &[b' '; (1 << 20) + 1], "is larger than 1 MiB"),
        ("style.css", b"caf\xe9", "is not text in UTF-8"),
    ];
    for (name, bytes, words) in cases {
        let (status, said, html) = rendered(&[(name, bytes)]);
        assert_eq!((status, html), (Some(2), None), "{name}: {said}");
        assert!(said.contains(words), "{name}: {said}");
    }
}

#[cfg(unix)]
#[test]
fn a_link_does_not_lead_out_of_the_folder() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("goose.haccp"), GOOSE).unwrap();
    std::fs::write(folder.path().join("secret.txt"), "Front\n\nSecret\n").unwrap();
    std::fs::create_dir(folder.path().join("look")).unwrap();
    std::os::unix::fs::symlink("../secret.txt", folder.path().join("look/front.txt")).unwrap();
    let (status, said, html) = run(folder.path());
    assert_eq!((status, html), (Some(2), None), "{said}");
    assert!(said.contains("X110") && said.contains("lies outside the style folder"), "{said}");
}

/// The report of a verification in the look of a plant; a folder that cannot be used leaves no report.
#[test]
fn the_report_has_the_look_too() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    std::fs::write(at("plan.haccp"), include_str!("../findings/base.haccp")).unwrap();
    std::fs::write(at("lots.csv"), "Lot,Start,End\nL1,2026-03-02 10:00,2026-03-02 10:10\n").unwrap();
    let mapping = "zone: UTC\nlots:\n  - files: [lots.csv]\n    record: log\n    time: { format: \"%Y-%m-%d %H:%M\" }\n    lot: Lot\n";
    std::fs::write(at("mapping.yaml"), mapping).unwrap();
    std::fs::create_dir(at("look")).unwrap();
    std::fs::write(at("look/style.css"), "h1 { color: #123456; }\n").unwrap();
    std::fs::write(at("look/logo.svg"), LOGO).unwrap();
    std::fs::write(at("look/front.txt"), "Who we are\n\nA plant that is invented.\n").unwrap();
    let verify = |more: &[&str]| {
        let args = ["verify", "plan.haccp", "--mapping", "mapping.yaml", "--style", "look"];
        let output = std::process::Command::new(env!("CARGO_BIN_EXE_bourn"))
            .current_dir(folder.path())
            .args(args)
            .args(more)
            .output()
            .unwrap();
        (output.status.code(), said(&output))
    };
    for more in [&["--html", "out.html"][..], &["--html", "out.html", "--lot", "L1"]] {
        let (status, said) = verify(more);
        assert_ne!(status, Some(2), "{said}");
        let html = std::fs::read_to_string(at("out.html")).unwrap();
        assert!(html.contains("data:image&#x2f;svg+xml;base64,") && html.contains("h1 { color: #123456; }"));
        assert!(html.contains("<span class=\"number\">1</span> Who we are"));
        std::fs::remove_file(at("out.html")).unwrap();
    }
    let (status, said) = verify(&[]);
    assert!(status == Some(2) && said.contains("--html"), "{said}");
    std::fs::write(at("look/notes.txt"), "nothing of a style").unwrap();
    let (status, said) = verify(&["--html", "out.html"]);
    assert!(
        status == Some(2) && said.contains("is not a part of a style") && said.contains("nothing was verified"),
        "{said}"
    );
    std::fs::remove_file(at("look/notes.txt")).unwrap();
    std::fs::write(at("look/base.html"), "{{ nothing }}").unwrap();
    let (status, said) = verify(&["--html", "out.html"]);
    assert!(status == Some(2) && said.contains("X107"), "{said}");
    assert!(!at("out.html").exists());
}
