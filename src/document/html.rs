//! Page → HTML.

use super::clean::{clean, css_string};
use super::page::Page;
use super::style::Style;
use minijinja::syntax::SyntaxConfig;
use minijinja::{AutoEscape, Environment, UndefinedBehavior, context, value};

/// Why a page could not be written.
#[derive(Debug)]
pub struct Fault(minijinja::Error);

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let place = self.0.name().unwrap_or("a template");
        write!(f, "{place}, line {}: {}", self.0.line().unwrap_or(0), self.0)
    }
}

impl std::error::Error for Fault {}

/// What the file may do: show itself, with its own style. No script, no request, no frame, no form.
const POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'";

/// The shipped templates, by name.
pub const TEMPLATES: [(&str, &str); 2] =
    [("base.html", include_str!("templates/base.html")), ("blocks.html", include_str!("templates/blocks.html"))];

const SCREEN: &str = include_str!("templates/screen.css");
const PRINT: &str = include_str!("templates/print.css");

/// Writes a page as one HTML file that needs nothing else.
///
/// # Errors
/// A fault of a template.
pub fn write(page: &Page) -> Result<String, Fault> {
    write_styled(page, &Style::default())
}

/// Writes a page in the look of a plant.
///
/// # Errors
/// A fault of a template, with its name and line.
pub fn write_styled(page: &Page, style: &Style) -> Result<String, Fault> {
    let page = style.fronted(page);
    let page = page.as_ref();
    let mut env = Environment::new();
    env.set_undefined_behavior(UndefinedBehavior::Strict);
    env.set_auto_escape_callback(|_| AutoEscape::Html);
    let syntax = SyntaxConfig::builder().trim_blocks(true).lstrip_blocks(true).build().map_err(Fault)?;
    env.set_syntax(syntax);
    for (name, text) in TEMPLATES {
        let own = style.templates.iter().find(|(own, _)| own == name).map(|(_, text)| text.as_str());
        env.add_template(name, own.unwrap_or(text)).map_err(Fault)?;
    }
    let title = if page.owner.is_empty() { page.title.clone() } else { format!("{} · {}", page.title, page.owner) };
    let template = env.get_template("base.html").map_err(Fault)?;
    template
        .render(context! {
            page => value::Value::from(value::Serde(page)),
            title => title,
            policy => POLICY,
            screen => SCREEN,
            print => PRINT,
            own => &style.css,
            logo => &style.logo,
            head_left => css_string(&clip(&page.head.0)),
            head_right => css_string(&clip(&page.head.1)),
            foot_left => css_string(&clip(&page.foot)),
        })
        .map_err(Fault)
}

/// Text short enough for the margin of a page.
fn clip(text: &str) -> String {
    const MOST: usize = 64;
    let text = clean(text);
    if text.chars().count() <= MOST {
        return text;
    }
    let mut cut: String = text.chars().take(MOST - 1).collect();
    cut.push('…');
    cut
}
