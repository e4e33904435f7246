//! Humidity from two bulbs, the boiling point, and reference points of water activity.

use super::UNKNOWN_NAME;
use super::read::{place, quantity, refused};
use super::sheet::{Sheet, sig};
use crate::finding::{Finding, nearest};
use crate::quantity::Dimension::{Length, Pressure, Temperature};
use crate::quantity::plain;
use crate::science::humidity::{STANDARD_ATMOSPHERE_PA, boiling_point, pressure_at_altitude, relative_humidity};
use crate::science::salts::{RANGE_C, Salt};

const ATMOSPHERE: &str = "pressure at altitude: standard atmosphere, ISO 2533";
const SATURATION: &str = "saturation pressure: R. W. Hyland and A. Wexler, ASHRAE Transactions 89 (1983) 500";

/// The air pressure: measured, or the standard one at an altitude; at sea level if neither is given.
#[derive(Debug, clap::Args)]
pub(super) struct Air {
    /// Pressure by a barometer on the spot (not reduced to sea level), such as "95 kPa".
    #[arg(long, value_name = "PRESSURE", conflicts_with = "altitude", allow_hyphen_values = true)]
    pressure: Option<String>,
    /// Altitude above sea level, such as "900 m".
    #[arg(long, value_name = "ALTITUDE", allow_hyphen_values = true)]
    altitude: Option<String>,
}

impl Air {
    /// Puts the pressure on the sheet and gives it in Pa.
    fn pressure(&self, sum: &str, sheet: Sheet) -> Result<(Sheet, f64), Finding> {
        let shown = |pascal: f64| format!("{} kPa", sig(pascal / 1000.0, 5));
        if let Some(text) = &self.pressure {
            let given = quantity("pressure", text, Pressure)?;
            let pascal = given.base();
            return Ok((sheet.input("pressure", "pressure", &given.text, pascal, "Pa"), pascal));
        }
        if let Some(text) = &self.altitude {
            let given = quantity("altitude", text, Length)?;
            let pascal = pressure_at_altitude(given.base()).map_err(|why| refused(sum, &why))?;
            let sheet = sheet
                .input("altitude", "altitude", &given.text, given.base(), "m")
                .input("pressure", "pressure", format!("{}, of the standard atmosphere", shown(pascal)), pascal, "Pa")
                .source(ATMOSPHERE);
            return Ok((sheet, pascal));
        }
        let pascal = STANDARD_ATMOSPHERE_PA;
        let text = format!("{}, taken for sea level: none given", shown(pascal));
        Ok((sheet.input("pressure", "pressure", text, pascal, "Pa").source(ATMOSPHERE), pascal))
    }
}

/// Relative humidity from dry and wet bulb.
#[derive(Debug, clap::Args)]
pub(super) struct Humidity {
    /// Dry bulb, such as "77 °C".
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    dry: String,
    /// Wet bulb, such as "57 °C".
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    wet: String,
    #[command(flatten)]
    air: Air,
}

impl Humidity {
    pub(super) fn work(&self) -> Result<Sheet, Finding> {
        const SUM: &str = "humidity";
        let dry = quantity("dry", &self.dry, Temperature)?;
        let wet = quantity("wet", &self.wet, Temperature)?;
        let sheet = Sheet::new(SUM, "Relative humidity from dry and wet bulb")
            .input("dry bulb", "dry-bulb", dry.with_celsius(), dry.base(), "°C")
            .input("wet bulb", "wet-bulb", wet.with_celsius(), wet.base(), "°C");
        let (sheet, pascal) = self.air.pressure(SUM, sheet)?;
        let rh = relative_humidity(dry.base(), wet.base(), pascal).map_err(|why| refused(SUM, &why))?;
        Ok(sheet
            .formula("vapour = saturation(wet) − 0.000653 · (1 + 0.000944 · wet) · pressure · (dry − wet)")
            .formula("humidity = 100 · vapour / saturation(dry)")
            .result("humidity", "humidity", format!("{} % RH", plain(rh, 1)), rh, "%")
            .source("psychrometer equation, ventilated bulb: WMO-No. 8")
            .source(SATURATION)
            .caution("It takes a clean wet wick and air that passes it at 2.5 m/s or more. A dry wick or still air reads too \
humid. Humidities printed in published drying schedules are 0.7 to 2.4 % RH lower for the same bulbs: where a schedule gives bulbs, limit \
the bulbs."))
    }
}

/// Boiling point of water.
#[derive(Debug, clap::Args)]
pub(super) struct Boiling {
    #[command(flatten)]
    air: Air,
}

impl Boiling {
    pub(super) fn work(&self) -> Result<Sheet, Finding> {
        const SUM: &str = "boiling-point";
        let (sheet, pascal) = self.air.pressure(SUM, Sheet::new(SUM, "Boiling point of water"))?;
        let celsius = boiling_point(pascal).map_err(|why| refused(SUM, &why))?;
        let text = format!("{} °C = {} °F", plain(celsius, 2), plain(celsius * 1.8 + 32.0, 2));
        Ok(sheet
            .formula("boiling point = the temperature at which saturation(temperature) = pressure")
            .result("boiling point", "boiling-point", text, celsius, "°C")
            .source(SATURATION)
            .caution(
                "The weather moves it by up to about 0.9 °C at one altitude: for a thermometer that must be \
right to half a degree use a barometer, or the ice point. Pure water at a rolling boil; salt raises it.",
            ))
    }
}

/// Reference point of a saturated salt.
#[derive(Debug, clap::Args)]
pub(super) struct Standard {
    /// Name or formula, such as "sodium chloride" or NaCl.
    #[arg(long, value_name = "SALT")]
    salt: String,
    /// Temperature of salt and meter, such as "25 °C".
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    temperature: String,
}

impl Standard {
    pub(super) fn work(&self) -> Result<Sheet, Finding> {
        const SUM: &str = "aw-standard";
        let Some(salt) = Salt::find(&self.salt) else {
            let names = Salt::ALL.iter().flat_map(|salt| [salt.name(), salt.formula()]);
            let help = nearest(&self.salt, names).map_or_else(
                || format!("known are {}", Salt::ALL.map(Salt::name).join(", ")),
                |near| format!("did you mean `{near}`?"),
            );
            let message = format!("no reference value for the salt `{}`", self.salt);
            return Err(Finding::new(&UNKNOWN_NAME, place("salt"), message).help(help));
        };
        let at = quantity("temperature", &self.temperature, Temperature)?;
        let aw = salt.water_activity(at.base()).map_err(|why| refused(SUM, &why))?;
        let terms: Vec<String> = salt
            .polynomial()
            .iter()
            .zip(["", " · t", " · t²", " · t³"])
            .filter(|(number, _)| **number != 0.0)
            .map(|(number, power)| {
                let sign = if *number < 0.0 { "− " } else { "+ " };
                format!("{sign}{}{power}", sig(number.abs(), 6))
            })
            .collect();
        let sum = terms.join(" ");
        Ok(Sheet::new(SUM, "Reference point of a saturated salt solution")
            .word("salt", "salt", format!("{} ({})", salt.name(), salt.formula()))
            .input("temperature", "temperature", at.with_celsius(), at.base(), "°C")
            .formula(format!("water activity = ({}) / 100", sum.trim_start_matches("+ ")))
            .formula(format!("t in °C, from {} to {}", RANGE_C.0, RANGE_C.1))
            .result("water activity", "water-activity", plain(aw, 4), aw, "aw")
            .source("L. Greenspan, J. Res. Natl. Bur. Stand. 81A (1977) 89, table 1")
            .caution(
                "The solution must hold undissolved crystals and be as warm as the meter. A bought standard comes with \
its own certificate, which prevails.",
            ))
    }
}
