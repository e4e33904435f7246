//! Findings as JUnit XML, which build servers show beside test results: one suite a plan, one case a finding.

use crate::clause::clause;
use crate::finding::{Finding, Severity};
use crate::report::sarif::Checked;
use crate::report::terminal;
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesText, Event};
use std::io::{Error, Write};

/// The whole file. Findings that weigh less than `fails` are cases that pass, with the finding as their output.
///
/// # Errors
/// None in practice: the text is written to memory.
pub fn suites(checked: &[Checked<'_>], fails: Severity) -> Result<String, Error> {
    let mut writer = Writer::new_with_indent(Vec::new(), b' ', 2);
    writer.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    let failing = |one: &Checked<'_>| one.findings.iter().filter(|finding| finding.rule.severity >= fails).count();
    let cases = |one: &Checked<'_>| one.findings.len().max(1);
    writer
        .create_element("testsuites")
        .with_attribute(("name", "bourn check"))
        .with_attribute(("tests", checked.iter().map(cases).sum::<usize>().to_string().as_str()))
        .with_attribute(("failures", checked.iter().map(failing).sum::<usize>().to_string().as_str()))
        .write_inner_content(|writer| {
            for one in checked {
                writer
                    .create_element("testsuite")
                    .with_attribute(("name", xml(&one.plan).as_str()))
                    .with_attribute(("tests", cases(one).to_string().as_str()))
                    .with_attribute(("failures", failing(one).to_string().as_str()))
                    .with_attribute(("errors", "0"))
                    .with_attribute(("skipped", "0"))
                    .write_inner_content(|writer| suite(writer, one, fails))?;
            }
            Ok(())
        })?;
    let mut text = String::from_utf8(writer.into_inner()).map_err(Error::other)?;
    text.push('\n');
    Ok(text)
}

fn suite<W: Write>(writer: &mut Writer<W>, one: &Checked<'_>, fails: Severity) -> Result<(), Error> {
    if one.findings.is_empty() {
        writer
            .create_element("testcase")
            .with_attribute(("classname", xml(&one.plan).as_str()))
            .with_attribute(("name", "no findings"))
            .write_empty()?;
    }
    for finding in one.findings {
        let at = xml(&terminal::place(one.sources, &finding.place));
        let case = writer
            .create_element("testcase")
            .with_attribute(("classname", xml(&one.plan).as_str()))
            .with_attribute(("name", format!("{} {} at {at}", finding.rule.code, finding.rule.name).as_str()));
        let text = told(finding, &at);
        if finding.rule.severity >= fails {
            case.write_inner_content(|writer| {
                writer
                    .create_element("failure")
                    .with_attribute(("type", finding.rule.code))
                    .with_attribute(("message", xml(&finding.message).as_str()))
                    .write_text_content(BytesText::new(&text))?;
                Ok(())
            })?;
        } else {
            case.write_inner_content(|writer| {
                writer.create_element("system-out").write_text_content(BytesText::new(&text))?;
                Ok(())
            })?;
        }
    }
    Ok(())
}

fn told(finding: &Finding, at: &str) -> String {
    let mut lines = vec![format!("{at}: {}: {}", finding.rule.severity.word(), finding.message)];
    lines.extend(finding.help.iter().map(|help| format!("help: {help}")));
    lines
        .extend(finding.clauses.iter().filter_map(|id| clause(id)).map(|clause| format!("rests on {}", clause.note())));
    xml(&lines.join("\n"))
}

/// Text without the characters that XML 1.0 forbids.
fn xml(text: &str) -> String {
    terminal::clean(text).chars().map(|c| if matches!(c, '\u{FFFE}' | '\u{FFFF}') { '\u{FFFD}' } else { c }).collect()
}
