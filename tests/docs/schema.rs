//! The schema of the mapping, for editors: it takes every mapping of the pages and of the demo, knows every key that the
//! tool knows, and no other. Only the words of JSON Schema that it uses are understood here; any other is a fault.

use crate::page;
use bourn::log::Mapping;
use bourn::source::SourceId;
use serde_json::Value;

fn schema() -> Value {
    serde_json::from_str(include_str!("../../docs/schemas/mapping.schema.json")).unwrap()
}

/// What is wrong with a value, by place.
fn faults(whole: &Value, schema: &Value, value: &Value, at: &str, out: &mut Vec<String>) {
    for (word, wanted) in schema.as_object().unwrap() {
        match word.as_str() {
            "$schema" | "$id" | "$defs" | "title" | "description" => {}
            "$ref" => {
                let name = wanted.as_str().unwrap().strip_prefix("#/$defs/").unwrap();
                faults(whole, &whole["$defs"][name], value, at, out);
            }
            "type" => {
                let is = |kind: &Value| match kind.as_str().unwrap() {
                    "object" => value.is_object(),
                    "array" => value.is_array(),
                    "string" => value.is_string(),
                    "number" => value.is_number(),
                    "integer" => value.is_i64() || value.is_u64(),
                    "boolean" => value.is_boolean(),
                    other => panic!("{other}"),
                };
                let sound = wanted.as_array().map_or_else(|| is(wanted), |kinds| kinds.iter().any(is));
                if !sound {
                    out.push(format!("{at}: {value} is no {wanted}"));
                }
            }
            "properties" => {
                for (key, inner) in value.as_object().into_iter().flatten() {
                    if let Some(schema) = wanted.get(key) {
                        faults(whole, schema, inner, &format!("{at}.{key}"), out);
                    } else if schema["additionalProperties"] == false {
                        out.push(format!("{at}: no key {key}"));
                    }
                }
            }
            "additionalProperties" if wanted.is_object() => {
                for (key, inner) in value.as_object().into_iter().flatten() {
                    faults(whole, wanted, inner, &format!("{at}.{key}"), out);
                }
            }
            "additionalProperties" => assert_eq!(wanted, false),
            "required" => {
                for key in wanted.as_array().unwrap() {
                    if value.is_object() && value.get(key.as_str().unwrap()).is_none() {
                        out.push(format!("{at}: {key} is missing"));
                    }
                }
            }
            "items" => value.as_array().into_iter().flatten().for_each(|inner| faults(whole, wanted, inner, at, out)),
            "anyOf" => {
                let any = wanted.as_array().unwrap().iter().any(|schema| {
                    let mut inner = Vec::new();
                    faults(whole, schema, value, at, &mut inner);
                    inner.is_empty()
                });
                if !any {
                    out.push(format!("{at}: {value} is none of the kinds that may stand here"));
                }
            }
            "enum" if !wanted.as_array().unwrap().contains(value) => {
                out.push(format!("{at}: {value} is not in {wanted}"))
            }
            "enum" => {}
            "minimum" if value.as_f64().is_some_and(|value| value < wanted.as_f64().unwrap()) => {
                out.push(format!("{at}: {value} is too small"));
            }
            "minimum" | "minLength" | "maxLength" | "minItems" | "maxItems" | "minProperties" => {}
            other => panic!("{at}: the word {other} is not understood"),
        }
    }
}

fn judged(text: &str) -> Vec<String> {
    let value: Value = serde_yaml::from_str(text).unwrap();
    let (schema, mut out) = (schema(), Vec::new());
    faults(&schema, &schema, &value, "mapping", &mut out);
    out
}

#[test]
fn it_takes_every_mapping_of_the_pages_and_of_the_demo() {
    let mut seen = 0;
    for page in page::pages() {
        for example in page.examples().iter().filter(|example| example.kind() == "yaml") {
            assert_eq!(judged(&example.text), Vec::<String>::new(), "{}", example.place);
            seen += 1;
        }
    }
    assert!(seen >= 5);
    assert_eq!(judged(include_str!("../../demo/mapping.yaml")), Vec::<String>::new());
}

#[test]
fn it_refuses_what_is_no_mapping() {
    for (text, said) in [
        ("zone: UTC\n", "none of the kinds"),
        ("zone: UTC\nreadings: [{ files: a, record: r, delimeter: x, time: {}, columns: {} }]\n", "no key delimeter"),
        ("readings: [{ files: a, record: r, time: { repeated-hour: guess }, columns: {} }]\n", "is not in"),
        ("readings: [{ files: a, time: {}, columns: {} }]\n", "\"record\" is missing"),
        (
            "readings: [{ files: a, record: r, preamble: -1, time: {}, columns: { T: { parameter: x, range: 3 } } }]\n",
            "too small",
        ),
    ] {
        let faults = judged(text);
        let any = faults.iter().any(|fault| fault.contains(said)) || said == "none of the kinds" && !faults.is_empty();
        assert!(any, "{text}: {faults:?}");
    }
}

/// The tool lists the keys that may stand where an unknown one does: the schema has the same.
#[test]
fn it_has_the_keys_of_the_tool() {
    let schema = schema();
    for (text, place) in [
        ("qqqqqqqqqq: 1\n", &schema),
        ("lots:\n  - qqqqqqqqqq: 1\n", &schema["$defs"]["lots"]),
        ("readings:\n  - qqqqqqqqqq: 1\n", &schema["$defs"]["readings"]),
        ("samples:\n  - qqqqqqqqqq: 1\n", &schema["$defs"]["samples"]),
        ("calibrations:\n  - qqqqqqqqqq: 1\n", &schema["$defs"]["calibrations"]),
        ("registers:\n  - qqqqqqqqqq: 1\n", &schema["$defs"]["registers"]),
        ("readings:\n  - time: { qqqqqqqqqq: 1 }\n", &schema["$defs"]["time"]),
        ("readings:\n  - columns: { A: { qqqqqqqqqq: 1 } }\n", &schema["$defs"]["column"]),
        ("readings:\n  - long: { qqqqqqqqqq: 1 }\n", &schema["$defs"]["readings"]["properties"]["long"]),
        ("calibrations:\n  - reading: { qqqqqqqqqq: 1 }\n", &schema["$defs"]["figure"]),
        ("lots:\n  - quantity: { qqqqqqqqqq: 1 }\n", &schema["$defs"]["amount"]),
    ] {
        let (_, findings) = Mapping::parse(text, SourceId(0));
        let help = findings.iter().find_map(|finding| finding.help.clone()).unwrap();
        let mut tool: Vec<&str> = help.split_once("the keys here are ").unwrap().1.split(", ").collect();
        let mut ours: Vec<&str> = place["properties"].as_object().unwrap().keys().map(String::as_str).collect();
        tool.sort_unstable();
        ours.sort_unstable();
        assert_eq!(ours, tool, "{text}");
    }
}
