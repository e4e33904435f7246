//! What a sampling plan can detect.

use super::OPTIONS;
use super::read::{place, refused, share};
use super::sheet::{Sheet, sig};
use crate::finding::Finding;
use crate::science::curing::Share;
use crate::science::sampling::{Attributes, samples_needed, samples_needed_of_lot};

const SUM: &str = "sampling";
const SOURCE: &str = "FAO Fisheries Technical Paper 444 (2004), table 3.2, for two classes and a large lot; the rest is elementary \
probability";
const CAUTION: &str = "Units are taken to be drawn at random, positives to be spread by chance, and the method to find every one \
it is given. Clumps and a method that misses make detection rarer. No sampling plan shows that a lot is free of anything.";

/// A plan and a lot; or a lot and the detection wanted.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Number of samples.
    #[arg(short, long, value_name = "SAMPLES", conflicts_with = "detect")]
    n: Option<u64>,
    /// Samples that may be positive (two classes) or marginal (three classes).
    #[arg(short, long, value_name = "SAMPLES", default_value_t = 0)]
    c: u64,
    /// Share of positive units, such as "5 %".
    #[arg(long, value_name = "SHARE", conflicts_with_all = ["marginal", "above"], allow_hyphen_values = true)]
    positive: Option<String>,
    /// Three classes: share of units from m to M.
    #[arg(long, value_name = "SHARE", requires = "above", conflicts_with_all = ["lot", "detect"], allow_hyphen_values = true)]
    marginal: Option<String>,
    /// Three classes: share of units above M.
    #[arg(long, value_name = "SHARE", requires = "marginal", allow_hyphen_values = true)]
    above: Option<String>,
    /// Units in the lot; a large lot if not given.
    #[arg(long, value_name = "UNITS")]
    lot: Option<u64>,
    /// Probability of detection wanted, such as "95 %": gives the smallest n.
    #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
    detect: Option<String>,
}

impl Args {
    pub(super) fn work(&self) -> Result<Sheet, Finding> {
        if let (Some(marginal), Some(above)) = (&self.marginal, &self.above) {
            return self.three_class(marginal, above);
        }
        let Some(positive) = &self.positive else {
            return Err(Finding::new(&OPTIONS, place("positive"), "the share of positive units is not given")
                .help("give `--positive SHARE`, or `--marginal SHARE --above SHARE` for three classes"));
        };
        let (positive, text) = share("positive", positive)?;
        match (&self.detect, self.n) {
            (Some(wanted), _) => self.needed(wanted, positive, text),
            (None, Some(n)) => self.two_class(n, positive, text),
            (None, None) => {
                Err(Finding::new(&OPTIONS, place("n"), "neither the samples nor the detection wanted is given")
                    .help("give `--n SAMPLES`, or `--detect SHARE` for the smallest number of samples"))
            }
        }
    }

    /// The lot on the sheet, and the number of positive units in it, rounded down.
    fn lot(&self, sheet: Sheet, positive: Share) -> Result<(Sheet, Option<(u64, u64)>), Finding> {
        let Some(units) = self.lot else {
            return Ok((sheet.word("lot", "lot", "large beside the sample"), None));
        };
        let count = (positive.fraction() * units as f64 * (1.0 + 1e-12)).floor();
        if count < 1.0 && positive.fraction() > 0.0 {
            let message = format!("that share of {units} units is less than one unit");
            return Err(Finding::new(&OPTIONS, place("lot"), message)
                .help(format!("one unit of {units} is {} %", sig(100.0 / units as f64, 4))));
        }
        let sheet = sheet.input("lot", "lot", format!("{units} units"), units as f64, "units").input(
            "positive units",
            "positive-units",
            format!("{count}, rounded down"),
            count,
            "units",
        );
        Ok((sheet, Some((units, count as u64))))
    }

    fn two_class(&self, n: u64, positive: Share, text: String) -> Result<Sheet, Finding> {
        let refuse = |why| refused(SUM, &why);
        let plan = Attributes::new(n, self.c).map_err(refuse)?;
        let sheet = Sheet::new(SUM, "What a two-class sampling plan detects")
            .input("n", "n", n.to_string(), n as f64, "samples")
            .input("c", "c", self.c.to_string(), self.c as f64, "samples")
            .input("positive", "positive", text, positive.percent(), "%");
        let (sheet, lot) = self.lot(sheet, positive)?;
        let (accepted, detected, sheet) = match lot {
            Some((units, count)) => (
                plan.accepted_of_lot(units, count).map_err(refuse)?,
                plan.detected_of_lot(units, count).map_err(refuse)?,
                sheet.formula(
                    "accepted = sum over i = 0 … c of C(K, i) · C(N − K, n − i) / C(N, n)   N lot, K positive units",
                ),
            ),
            None => (
                plan.accepted(positive).map_err(refuse)?,
                plan.detected(positive).map_err(refuse)?,
                sheet.formula("accepted = sum over i = 0 … c of C(n, i) · p^i · (1 − p)^(n − i)   p share positive"),
            ),
        };
        Ok(odds(sheet.formula("detected = 1 − accepted"), accepted, detected))
    }

    fn three_class(&self, marginal: &str, above: &str) -> Result<Sheet, Finding> {
        let refuse = |why| refused(SUM, &why);
        let Some(n) = self.n else {
            return Err(
                Finding::new(&OPTIONS, place("n"), "the number of samples is not given").help("give `--n SAMPLES`")
            );
        };
        let (p, p_text) = share("marginal", marginal)?;
        let (q, q_text) = share("above", above)?;
        let plan = Attributes::new(n, self.c).map_err(refuse)?;
        let accepted = plan.accepted_three_class(p, q).map_err(refuse)?;
        let sheet = Sheet::new(SUM, "What a three-class sampling plan detects")
            .input("n", "n", n.to_string(), n as f64, "samples")
            .input("c", "c", self.c.to_string(), self.c as f64, "samples")
            .input("from m to M", "marginal", p_text, p.percent(), "%")
            .input("above M", "above", q_text, q.percent(), "%")
            .word("lot", "lot", "large beside the sample")
            .formula("accepted = sum over i = 0 … c of C(n, i) · p^i · (1 − p − q)^(n − i)   p from m to M, q above M")
            .formula("detected = 1 − accepted");
        Ok(odds(sheet, accepted, 1.0 - accepted))
    }

    fn needed(&self, wanted: &str, positive: Share, text: String) -> Result<Sheet, Finding> {
        let refuse = |why| refused(SUM, &why);
        let (wanted, wanted_text) = share("detect", wanted)?;
        let sheet = Sheet::new(SUM, "Samples needed to detect")
            .input("detection wanted", "detect", wanted_text, wanted.percent(), "%")
            .input("c", "c", self.c.to_string(), self.c as f64, "samples")
            .input("positive", "positive", text, positive.percent(), "%");
        let (sheet, lot) = self.lot(sheet, positive)?;
        let n = match lot {
            Some((units, count)) => samples_needed_of_lot(self.c, units, count, wanted),
            None => samples_needed(self.c, positive, wanted),
        };
        let Some(n) = n.map_err(refuse)? else {
            return Err(Finding::new(&OPTIONS, place("detect"), "no number of samples detects that often")
                .help("ask for a smaller probability or a larger share of positive units"));
        };
        let plan = Attributes::new(n, self.c).map_err(refuse)?;
        let (accepted, detected) = match lot {
            Some((units, count)) => (plan.accepted_of_lot(units, count), plan.detected_of_lot(units, count)),
            None => (plan.accepted(positive), plan.detected(positive)),
        };
        let sheet = sheet
            .formula("n = the smallest number of samples whose probability of detection is at least the one wanted")
            .result("n", "n-needed", format!("{n} samples"), n as f64, "samples");
        Ok(odds(sheet, accepted.map_err(refuse)?, detected.map_err(refuse)?))
    }
}

/// Both probabilities, source and caution.
fn odds(sheet: Sheet, accepted: f64, detected: f64) -> Sheet {
    let percent = |p: f64| format!("{} %", sig(p * 100.0, 4));
    sheet
        .result("accepted", "accepted", format!("{} of such lots", percent(accepted)), accepted, "probability")
        .result("detected", "detected", format!("{} of such lots", percent(detected)), detected, "probability")
        .source(SOURCE)
        .caution(CAUTION)
}
