//! Just enough reading of HTML to test our own: tags, nesting, text.

/// A piece of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece {
    /// A start tag: name, all that stands behind it.
    Open(String, String),
    /// An end tag.
    Close(String),
    /// Text between tags, entities resolved.
    Text(String),
}

const VOID: [&str; 3] = ["meta", "col", "br"];

/// The pieces of a page; what `style` holds is left out.
pub fn pieces(html: &str) -> Vec<Piece> {
    let mut found = Vec::new();
    let mut rest = html;
    while let Some(at) = rest.find('<') {
        let text = &rest[..at];
        if !text.trim().is_empty() {
            found.push(Piece::Text(plain(text)));
        }
        let end = at + rest[at..].find('>').expect("a tag ends");
        let tag = &rest[at + 1..end];
        rest = &rest[end + 1..];
        if let Some(name) = tag.strip_prefix('/') {
            found.push(Piece::Close(name.to_owned()));
        } else if !tag.starts_with('!') {
            let (name, more) = tag.split_once(char::is_whitespace).unwrap_or((tag, ""));
            found.push(Piece::Open(name.trim_end_matches('/').to_owned(), more.to_owned()));
            if name == "style" {
                rest = &rest[rest.find("</style>").expect("the style sheet ends")..];
            }
        }
    }
    found
}

/// Text with entities resolved and white space as one space.
pub fn plain(text: &str) -> String {
    let text = text
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"")
        .replace("&#x27;", "'")
        .replace("&#39;", "'")
        .replace("&#x2f;", "/")
        .replace("&amp;", "&");
    text.split([' ', '\n', '\t']).filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

/// All text, each piece parted by a line feed.
pub fn text(html: &str) -> String {
    pieces(html)
        .into_iter()
        .filter_map(|piece| if let Piece::Text(text) = piece { Some(text) } else { None })
        .collect::<Vec<_>>()
        .join("\n")
}

/// Panics unless every start tag has its end tag in the right order.
pub fn nested(html: &str) {
    let mut open: Vec<String> = Vec::new();
    for piece in pieces(html) {
        match piece {
            Piece::Open(name, more) if VOID.contains(&name.as_str()) || more.ends_with('/') => {}
            Piece::Open(name, _) => open.push(name),
            Piece::Close(name) => assert_eq!(open.pop().as_deref(), Some(name.as_str())),
            Piece::Text(_) => {}
        }
    }
    assert_eq!(open, Vec::<String>::new());
}

/// The values of an attribute, in order.
pub fn attribute(html: &str, name: &str) -> Vec<String> {
    let key = format!("{name}=\"");
    pieces(html)
        .into_iter()
        .filter_map(|piece| match piece {
            Piece::Open(_, more) => {
                format!(" {more}").split(&format!(" {key}")).nth(1).map(|rest| plain(rest.split('"').next().unwrap()))
            }
            _ => None,
        })
        .collect()
}

/// The page as lines that a person can review: headings, rows, facts, items.
pub fn outline(html: &str) -> String {
    let mut out = String::new();
    let mut line = String::new();
    let mut picture = 0;
    for piece in pieces(html) {
        match piece {
            Piece::Open(name, _) if name == "svg" => picture += 1,
            Piece::Close(name) if name == "svg" => picture -= 1,
            _ if picture > 0 => {}
            Piece::Open(name, _) => match name.as_str() {
                "h1" | "h2" | "h3" | "h4" => line.push_str(&format!("\n{} ", "#".repeat(name[1..].parse().unwrap()))),
                "li" => {
                    flush(&mut out, &mut line);
                    line.push_str("- ");
                }
                "caption" => line.push_str("= "),
                "td" | "dd" => line.push_str(" | "),
                "span" if line.ends_with(|c: char| !c.is_whitespace() && c != '|') => line.push_str(" / "),
                _ => {}
            },
            Piece::Close(name) => {
                if matches!(
                    name.as_str(),
                    "h1" | "h2" | "h3" | "h4" | "p" | "tr" | "div" | "li" | "caption" | "figcaption" | "title"
                ) {
                    flush(&mut out, &mut line);
                } else if name == "th" {
                    line.push(' ');
                }
            }
            Piece::Text(text) => {
                if line.ends_with(|c: char| c.is_alphanumeric() || matches!(c, ':' | '.' | ',')) {
                    line.push(' ');
                }
                line.push_str(&text);
            }
        }
    }
    flush(&mut out, &mut line);
    out
}

fn flush(out: &mut String, line: &mut String) {
    if !line.trim().is_empty() {
        out.push_str(line.trim_end());
        out.push('\n');
    }
    line.clear();
}
