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
