//! Nitrite, salt and moisture of a food.

use super::OPTIONS;
use super::read::{place, quantity, refused, share};
use super::sheet::Sheet;
use crate::finding::Finding;
use crate::quantity::Dimension::Mass;
use crate::quantity::plain;
use crate::science::composition::{moisture_to_protein, water_phase_salt};
use crate::science::curing::{self, nitrite_in_cure};
use clap::{Subcommand, ValueEnum};

const HANDBOOK: &str = "USDA FSIS Processing Inspectors' Calculations Handbook (rev. 1995), chapter 3; potassium nitrite by formula \
weights, 85.104 : 68.995 (9 CFR 424.22(b))";
const NITRITE: &str = "Ingoing, on the green weight of the meat block; residual nitrite is less. The limits depend on product, method \
and country: local law prevails. Nitrite is poisonous when weighed wrongly: have a second person check the weighing.";

/// How the nitrite goes in.
#[derive(Debug, Subcommand)]
pub(super) enum Nitrite {
    /// Pickle pumped or massaged in.
    Pumped {
        #[command(flatten)]
        what: What,
        /// The whole pickle: water, cure and all else.
        #[arg(long, value_name = "MASS", allow_hyphen_values = true)]
        pickle: String,
        /// Pickle taken up as a share of the green weight, such as "10 %".
        #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
        pump: String,
    },
    /// Dry cure rubbed on.
    DryCure {
        #[command(flatten)]
        what: What,
        /// Green weight of the meat.
        #[arg(long, value_name = "MASS", allow_hyphen_values = true)]
        meat: String,
    },
    /// Mixed into a comminuted product.
    Comminuted {
        #[command(flatten)]
        what: What,
        /// Green weight of the meat.
        #[arg(long, value_name = "MASS", allow_hyphen_values = true)]
        meat: String,
    },
}

/// The nitrite itself, or a cure that holds it.
#[derive(Debug, clap::Args)]
pub(super) struct What {
    /// Mass of pure nitrite.
    #[arg(long, value_name = "MASS", conflicts_with_all = ["cure", "nitrite_share"], allow_hyphen_values = true)]
    nitrite: Option<String>,
    /// Mass of the curing mixture.
    #[arg(long, value_name = "MASS", allow_hyphen_values = true)]
    cure: Option<String>,
    /// Share of nitrite in the curing mixture, such as "6.25 %".
    #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
    nitrite_share: Option<String>,
    /// Which nitrite it is.
    #[arg(long, value_enum, default_value_t = Kind::Sodium)]
    kind: Kind,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Kind {
    /// Sodium nitrite.
    Sodium,
    /// Potassium nitrite, counted as its equivalent of sodium nitrite.
    Potassium,
}

impl What {
    /// Puts the nitrite on the sheet and gives it in kg, counted as sodium nitrite.
    fn mass(&self, mut sheet: Sheet) -> Result<(Sheet, f64), Finding> {
        let kilograms = match (&self.nitrite, &self.cure, &self.nitrite_share) {
            (Some(nitrite), ..) => {
                let given = quantity("nitrite", nitrite, Mass)?;
                sheet = sheet.input("nitrite", "nitrite", &given.text, given.base(), "kg");
                given.base()
            }
            (None, Some(cure), Some(part)) => {
                let given = quantity("cure", cure, Mass)?;
                let (share, text) = share("nitrite-share", part)?;
                let mass = nitrite_in_cure(given.base(), share).map_err(|why| refused("nitrite", &why))?;
                sheet = sheet
                    .input("cure", "cure", &given.text, given.base(), "kg")
                    .input("nitrite in it", "nitrite-share", text, share.fraction(), "of the cure")
                    .formula("nitrite = cure · its share of nitrite");
                mass
            }
            _ => {
                return Err(Finding::new(&OPTIONS, place("nitrite"), "how much nitrite goes in is not given")
                    .help("give `--nitrite MASS`, or `--cure MASS --nitrite-share SHARE`"));
            }
        };
        if self.kind == Kind::Sodium {
            return Ok((sheet.word("kind", "kind", "sodium nitrite"), kilograms));
        }
        let sheet = sheet
            .word("kind", "kind", "potassium nitrite, counted as sodium nitrite")
            .formula("as sodium nitrite = potassium nitrite · 68.995 / 85.104");
        Ok((sheet, curing::Nitrite::Potassium.as_sodium(kilograms)))
    }
}

impl Nitrite {
    pub(super) fn work(&self) -> Result<Sheet, Finding> {
        const SUM: &str = "nitrite";
        let refuse = |why| refused(SUM, &why);
        let (sheet, ppm) = match self {
            Nitrite::Pumped { what, pickle, pump } => {
                let (sheet, nitrite) = what.mass(Sheet::new(SUM, "Ingoing nitrite, pumped or massaged"))?;
                let pickle = quantity("pickle", pickle, Mass)?;
                let (pump, pump_text) = share("pump", pump)?;
                let ppm = curing::pumped(nitrite, pickle.base(), pump).map_err(refuse)?;
                let sheet = sheet
                    .input("pickle", "pickle", &pickle.text, pickle.base(), "kg")
                    .input("pump", "pump", pump_text, pump.fraction(), "of the green weight")
                    .formula(format!(
                        "ingoing = nitrite · pump as a fraction ({}) · 1 000 000 / pickle",
                        plain(pump.fraction(), 6)
                    ));
                (sheet, ppm)
            }
            Nitrite::DryCure { what, meat } | Nitrite::Comminuted { what, meat } => {
                let title = match self {
                    Nitrite::DryCure { .. } => "Ingoing nitrite, dry cure",
                    _ => "Ingoing nitrite, comminuted",
                };
                let (sheet, nitrite) = what.mass(Sheet::new(SUM, title))?;
                let meat = quantity("meat", meat, Mass)?;
                let ppm = curing::direct(nitrite, meat.base()).map_err(refuse)?;
                let sheet = sheet
                    .input("green weight", "green-weight", &meat.text, meat.base(), "kg")
                    .formula("ingoing = nitrite · 1 000 000 / green weight");
                (sheet, ppm)
            }
        };
        let text = format!("{} mg/kg (ppm) as sodium nitrite", plain(ppm, 1));
        Ok(sheet.result("ingoing", "ingoing", text, ppm, "mg/kg").source(HANDBOOK).caution(NITRITE))
    }
}

/// Water-phase salt.
#[derive(Debug, clap::Args)]
pub(super) struct Salt {
    /// Salt in the whole food, such as "3.1 %".
    #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
    salt: String,
    /// Moisture of the whole food, such as "58 %".
    #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
    moisture: String,
}

impl Salt {
    pub(super) fn work(&self) -> Result<Sheet, Finding> {
        const SUM: &str = "salt";
        let (salt, salt_text) = share("salt", &self.salt)?;
        let (moisture, moisture_text) = share("moisture", &self.moisture)?;
        let percent = water_phase_salt(salt, moisture).map_err(|why| refused(SUM, &why))?;
        Ok(Sheet::new(SUM, "Water-phase salt")
            .input("salt", "salt", salt_text, salt.percent(), "%")
            .input("moisture", "moisture", moisture_text, moisture.percent(), "%")
            .formula("water-phase salt = 100 · salt / (salt + moisture)")
            .result("water-phase salt", "water-phase-salt", format!("{} %", plain(percent, 2)), percent, "%")
            .source("US FDA, Fish and Fishery Products Hazards and Controls Guidance, chapter 13; formula from memory, common practice")
            .caution("Sodium chloride alone counts. Take the sample where the least salt is, the middle of the thickest piece, after \
the salt has evened out."))
    }
}

/// Moisture to protein.
#[derive(Debug, clap::Args)]
pub(super) struct MoistureProtein {
    /// Moisture of the whole food, such as "28 %".
    #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
    moisture: String,
    /// Protein of the whole food, such as "40 %".
    #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
    protein: String,
}

impl MoistureProtein {
    pub(super) fn work(&self) -> Result<Sheet, Finding> {
        const SUM: &str = "moisture-protein";
        let (moisture, moisture_text) = share("moisture", &self.moisture)?;
        let (protein, protein_text) = share("protein", &self.protein)?;
        let ratio = moisture_to_protein(moisture, protein).map_err(|why| refused(SUM, &why))?;
        Ok(Sheet::new(SUM, "Moisture to protein")
            .input("moisture", "moisture", moisture_text, moisture.percent(), "%")
            .input("protein", "protein", protein_text, protein.percent(), "%")
            .formula("ratio = moisture / protein")
            .result("ratio", "ratio", format!("{} : 1", plain(ratio, 3)), ratio, "ratio")
            .source("USDA FSIS compliance guideline for jerky (2014), p. 14")
            .caution("It names a food and shows nothing about safety: that rests on water activity."))
    }
}
