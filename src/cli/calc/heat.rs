//! Times for a reduction by a log-linear inactivation.

use super::super::files;
use super::read::{Given, place, quantity, range, refused};
use super::sheet::{Sheet, needed, sig};
use super::{NO_SUCH_MODEL, OPTIONS, OUT_OF_RANGE, Worked, alone};
use crate::finding::{Finding, Severity, nearest};
use crate::quantity::Dimension::{Decades, Temperature, Time as Duration};
use crate::quantity::Rational;
use crate::science::lethality::LogLinear;
use crate::source::Sources;
use serde_json::json;
use std::path::PathBuf;

const CAUTION: &str = "D and z hold for the organism, the food and the temperatures of the study that gave them. The time begins when \
the coldest spot has reached the temperature. A table printed by an agency comes before a formula. Validation is the plant's duty; \
low-acid and shelf-stable food needs a recognised process authority.";
const SOURCE: &str = "log-linear inactivation: W. D. Bigelow, J. Infect. Dis. 29 (1921) 528";
const MOST_ROWS: f64 = 500.0;

/// D, z and range, written out or taken from a plan.
#[derive(Debug, clap::Args)]
struct Model {
    /// Decimal reduction time, such as "18 s".
    #[arg(long = "D", value_name = "TIME", allow_hyphen_values = true)]
    d: Option<String>,
    /// Temperature at which D holds, such as "65 °C".
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    at: Option<String>,
    /// z, a difference of temperature, such as "6 °C".
    #[arg(long, value_name = "DIFFERENCE", allow_hyphen_values = true)]
    z: Option<String>,
    /// Temperatures for which D and z were shown, such as "55 °C to 75 °C".
    #[arg(long, value_name = "LOW to HIGH", allow_hyphen_values = true)]
    range: Option<String>,
    /// Take D, z and range from this plan.
    #[arg(long, value_name = "PLAN", requires = "model", conflicts_with_all = ["d", "at", "z", "range"])]
    plan: Option<PathBuf>,
    /// The inactivation of the plan.
    #[arg(long, value_name = "NAME", requires = "plan")]
    model: Option<String>,
}

/// A model with the words for what it is.
struct Chosen {
    line: LogLinear,
    d: String,
    z: String,
    range: String,
    named: Option<String>,
}

impl Model {
    fn choose(&self, sum: &str) -> Result<Chosen, (Sources, Vec<Finding>)> {
        match (&self.plan, &self.model) {
            (Some(plan), Some(model)) => from_plan(sum, plan, model),
            _ => self.written(sum).map_err(alone),
        }
    }

    fn written(&self, sum: &str) -> Result<Chosen, Finding> {
        let (Some(d), Some(at), Some(z)) = (&self.d, &self.at, &self.z) else {
            let missing: Vec<&str> = [("`--D`", &self.d), ("`--at`", &self.at), ("`--z`", &self.z)]
                .into_iter()
                .filter_map(|(name, value)| value.is_none().then_some(name))
                .collect();
            let message = format!("{} not given", missing.join(" and "));
            return Err(Finding::new(&OPTIONS, place("D"), message)
                .help("give `--D TIME --at TEMPERATURE --z DIFFERENCE`, or `--plan PLAN --model NAME`"));
        };
        let (d, at, z) =
            (quantity("D", d, Duration)?, quantity("at", at, Temperature)?, quantity("z", z, Temperature)?);
        let range = self.range.as_ref().map(|text| range("range", text, Temperature)).transpose()?;
        let ends = range.as_ref().map(|(low, high)| (low.base(), high.base()));
        let line = LogLinear::new(d.base(), at.base(), z.difference(), ends).map_err(|why| refused(sum, &why))?;
        let range =
            range.map_or_else(|| "not stated".to_owned(), |(low, high)| format!("{} to {}", low.text, high.text));
        Ok(Chosen { line, d: format!("{} at {}", d.text, at.text), z: z.text, range, named: None })
    }
}

fn from_plan(sum: &str, path: &std::path::Path, name: &str) -> Result<Chosen, (Sources, Vec<Finding>)> {
    let mut sources = Sources::new();
    let reading = match files::plan(&mut sources, path) {
        Ok(reading) => reading,
        Err(finding) => return Err((sources, vec![finding])),
    };
    let missing = |message: String, help: String| Finding::new(&NO_SUCH_MODEL, place("model"), message).help(help);
    let Some(found) = reading.plan.inactivations.iter().find(|model| model.name.text == name) else {
        let names: Vec<&str> = reading.plan.inactivations.iter().map(|model| model.name.text.as_str()).collect();
        let help = match nearest(name, names.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None if names.is_empty() => "the plan declares no inactivation".to_owned(),
            None => format!("the plan declares {}", names.join(", ")),
        };
        return Err((sources, vec![missing(format!("the plan has no inactivation `{name}`"), help)]));
    };
    let faults: Vec<Finding> =
        reading.findings.iter().filter(|finding| finding.rule.severity == Severity::Error).cloned().collect();
    if !faults.is_empty() {
        let finding = missing(
            "nothing is taken from a plan that cannot be read whole".to_owned(),
            "mend what is named above, or write D and z on the command line".to_owned(),
        );
        return Err((sources, faults.into_iter().chain([finding]).collect()));
    }
    let complete = || {
        let (d, at) = found.d.as_ref()?;
        let (d, at, z) = (d.quantity?, at.quantity?, found.z.as_ref()?.quantity?);
        let shown = |quantity: crate::quantity::Quantity| quantity.to_string().replace('\u{a0}', " ");
        let range = match &found.range {
            Some((low, high)) => Some((low.quantity?, high.quantity?)),
            None => None,
        };
        let temperatures = [at, z].into_iter().chain(range.iter().flat_map(|(low, high)| [*low, *high]));
        let sound = d.dimension() == Duration && temperatures.into_iter().all(|one| one.dimension() == Temperature);
        let ends = match range {
            Some((low, high)) => Some((low.base()?.to_f64(), high.base()?.to_f64())),
            None => None,
        };
        let numbers = (d.base()?.to_f64(), at.base()?.to_f64(), z.base_difference()?.to_f64(), ends);
        let words = (
            format!("{} at {}", shown(d), shown(at)),
            shown(z),
            range.map_or_else(|| "not stated".to_owned(), |(low, high)| format!("{} to {}", shown(low), shown(high))),
        );
        sound.then_some((numbers, words))
    };
    let Some(((d, at, z, ends), (d_text, z_text, range))) = complete() else {
        let finding = missing(
            format!("the inactivation `{name}` is not complete"),
            "it needs D at a temperature, and z".to_owned(),
        );
        return Err((sources, vec![finding]));
    };
    let line = match LogLinear::new(d, at, z, ends) {
        Ok(line) => line,
        Err(why) => return Err((sources, vec![refused(sum, &why)])),
    };
    let named = Some(format!("{name} of {}", crate::report::terminal::clean(&path.display().to_string())));
    Ok(Chosen { line, d: d_text, z: z_text, range, named })
}

/// Puts the model on the sheet.
fn describe(sheet: Sheet, chosen: &Chosen) -> Sheet {
    let sheet = match &chosen.named {
        Some(named) => sheet.word("inactivation", "inactivation", named),
        None => sheet,
    };
    sheet
        .input("D", "d", &chosen.d, chosen.line.d_seconds(), "s")
        .input("z", "z", &chosen.z, chosen.line.z_c(), "°C")
        .word("range of D and z", "range", &chosen.range)
}

fn source(chosen: &Chosen, sheet: Sheet) -> Sheet {
    match chosen.named {
        Some(_) => sheet.source(SOURCE).source("D and z: what the plan cites for them"),
        None => sheet
            .source(SOURCE)
            .source("D and z: as given on the command line; name the study wherever you use the result"),
    }
}

/// Time at a temperature for a reduction.
#[derive(Debug, clap::Args)]
pub(super) struct Time {
    /// Reduction wanted, such as "6.5 log10".
    #[arg(long, value_name = "REDUCTION", allow_hyphen_values = true)]
    reduction: String,
    /// Temperature at which the food is held, such as "62 °C".
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    temperature: String,
    #[command(flatten)]
    model: Model,
}

impl Time {
    pub(super) fn work(&self) -> Worked {
        const SUM: &str = "lethality-time";
        let reduction = quantity("reduction", &self.reduction, Decades).map_err(alone)?;
        let at = quantity("temperature", &self.temperature, Temperature).map_err(alone)?;
        let chosen = self.model.choose(SUM)?;
        let d = chosen.line.seconds_for(1.0, at.base()).map_err(|why| alone(refused(SUM, &why)))?;
        let time = chosen.line.seconds_for(reduction.base(), at.base()).map_err(|why| alone(refused(SUM, &why)))?;
        let sheet = Sheet::new(SUM, "Time at a temperature for a reduction")
            .input("reduction", "reduction", &reduction.text, reduction.base(), "log10")
            .input("temperature", "temperature", at.with_celsius(), at.base(), "°C");
        let sheet = describe(sheet, &chosen)
            .formula("D at the temperature = D · 10^((its own temperature − temperature) / z)")
            .formula("time = reduction · D at the temperature")
            .result("D there", "d-there", format!("{} s", sig(d, 4)), d, "s")
            .result("time", "time", format!("{}, rounded up", needed(time)), time, "s");
        Ok(source(&chosen, sheet).caution(CAUTION))
    }
}

/// Equivalent times at a row of temperatures.
#[derive(Debug, clap::Args)]
pub(super) struct Table {
    /// Reduction wanted, such as "6.5 log10".
    #[arg(long, value_name = "REDUCTION", allow_hyphen_values = true)]
    reduction: String,
    /// First temperature.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    from: String,
    /// Last temperature.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    to: String,
    /// Step from row to row, such as "1 °C".
    #[arg(long, value_name = "DIFFERENCE", default_value = "1 °C", allow_hyphen_values = true)]
    step: String,
    #[command(flatten)]
    model: Model,
}

impl Table {
    pub(super) fn work(&self) -> Worked {
        const SUM: &str = "lethality-table";
        let reduction = quantity("reduction", &self.reduction, Decades).map_err(alone)?;
        let from = quantity("from", &self.from, Temperature).map_err(alone)?;
        let to = quantity("to", &self.to, Temperature).map_err(alone)?;
        let step = quantity("step", &self.step, Temperature).map_err(alone)?;
        let chosen = self.model.choose(SUM)?;
        let temperatures = rows(&from, &to, &step).map_err(alone)?;
        let unit = from.unit();
        let sheet = Sheet::new(SUM, "Equivalent times for one reduction").input(
            "reduction",
            "reduction",
            &reduction.text,
            reduction.base(),
            "log10",
        );
        let mut sheet = describe(sheet, &chosen)
            .formula("time = reduction · D · 10^((its own temperature − temperature) / z), rounded up")
            .columns(&["temperature", "time"]);
        for celsius in temperatures {
            let c = celsius.to_f64();
            let time = chosen.line.seconds_for(reduction.base(), c).map_err(|why| alone(refused(SUM, &why)))?;
            let shown = unit.point_from_base(celsius).map_or(f64::NAN, Rational::to_f64);
            let cells = vec![format!("{} {}", sig(shown, 6), unit.symbol), needed(time)];
            sheet.row(cells, json!({ "temperature_c": c, "seconds": time }));
        }
        Ok(source(&chosen, sheet).caution(CAUTION))
    }
}

/// The temperatures of the rows in °C, exactly.
fn rows(from: &Given, to: &Given, step: &Given) -> Result<Vec<Rational>, Finding> {
    let wrong = |option: &str, message: String| {
        Finding::new(&OUT_OF_RANGE, place(option), message)
            .help("as in `--from \"58 °C\" --to \"66 °C\" --step \"1 °C\"`")
    };
    let (first, last, by) = (from.exact(), to.exact(), step.exact_difference());
    let (Some(first), Some(last), Some(by)) = (first, last, by) else {
        return Err(wrong("from", "the temperatures are too large to be counted".to_owned()));
    };
    if by.is_negative() || by.is_zero() {
        return Err(wrong("step", format!("a step of {} never arrives", step.text)));
    }
    if last < first {
        return Err(wrong("to", format!("{} lies below {}", to.text, from.text)));
    }
    if (last.to_f64() - first.to_f64()) / by.to_f64() >= MOST_ROWS {
        return Err(wrong("step", format!("a step of {} makes more than {MOST_ROWS} rows", step.text)));
    }
    let mut all = Vec::new();
    let mut at = first;
    while at <= last {
        all.push(at);
        match at.plus(by) {
            Some(next) => at = next,
            None => break,
        }
    }
    Ok(all)
}
