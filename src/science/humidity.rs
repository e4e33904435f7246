//! Relative humidity from a dry and a wet bulb.
//!
//! # Formula
//! The psychrometer equation `e = es(wet) - A p (dry - wet)` with the
//! coefficient for an artificially ventilated bulb,
//! `A = 6.53e-4 (1 + 9.44e-4 wet)` per K (WMO-No. 8, Guide to Instruments and
//! Methods of Observation, annex on psychrometric formulae); relative humidity
//! is `100 e / es(dry)` in %, saturation being that over liquid water at the dry
//! bulb, above 100 °C too. `es` is the saturation pressure of R. W. Hyland and
//! A. Wexler (ASHRAE Transactions 89 (1983) 500), which ASHRAE Fundamentals
//! prints for 0 to 200 °C. The enhancement factor of water in air (below 0.5 %)
//! is left out, as in the usual table form.
//!
//! The constants were written from memory and then found again: those of Hyland
//! and Wexler in an instrument maker's manual and in a general-purpose library;
//! 6.53e-4 in a WMO sheet of algorithms that quotes WMO-No. 8 (2008), Annex 4.B;
//! the slope 9.44e-4 in a public research script only. The text of WMO-No. 8
//! itself was not at hand. Results were compared: with two psychrometrics
//! libraries, which use the thermodynamic wet bulb, this formula reads 0.2 to
//! 0.9 % RH lower between 20 and 150 °C; with the humidity printed in published
//! drying schedules, 0.7 to 2.4 % RH higher. See `tests/published/`.
//!
//! # What it takes for granted
//! A wick that is clean and wet and air that moves past it at 2.5 m/s or more.
//! A dry wick or still air makes the wet bulb too warm and the humidity too
//! high, and no formula can see that. WMO-No. 8 means weather temperatures; at
//! oven temperatures the support is the comparison above.

use super::{OutOfRange, finite, within};

/// Standard atmosphere at sea level, Pa (ISO 2533).
pub const STANDARD_ATMOSPHERE_PA: f64 = 101_325.0;

/// Range of the saturation pressure, °C (Hyland and Wexler, liquid water).
pub const SATURATION_RANGE_C: (f64, f64) = (0.0, 200.0);

/// Range of the dry bulb, °C: as far as the formula was compared.
pub const DRY_RANGE_C: (f64, f64) = (0.0, 150.0);

/// Range of the pressure, Pa: from about 5500 m of altitude to above any
/// weather at sea level.
pub const PRESSURE_RANGE_PA: (f64, f64) = (50_000.0, 110_000.0);

/// By how much a wet bulb may read above the dry bulb, or above the boiling
/// point, °C: two probes of ordinary accuracy (0.25 °C each) in saturated air.
/// Choice of this tool. Beyond it the pair is refused; within it the formula's
/// value, slightly above 100 %, is handed back as it is.
pub const WET_ABOVE_DRY_TOLERANCE_C: f64 = 0.5;

/// Relative margin for the directed bounds; see [`relative_humidity_bounds`].
const MARGIN: f64 = 1e-12;

/// Saturation vapour pressure over liquid water in Pa at `t` °C.
///
/// Valid from 0 to 200 °C. Against the international equation of state
/// (IAPWS-95) it is within 0.03 % from 1 to 200 °C.
///
/// # Errors
/// A temperature that is not finite or outside 0 to 200 °C.
pub fn saturation_pressure(t: f64) -> Result<f64, OutOfRange> {
    within("temperature", t, SATURATION_RANGE_C, "°C")?;
    Ok(saturation(t))
}

/// Pressure of the standard atmosphere in Pa at `altitude` metres above sea
/// level: `101325 (1 - 2.25577e-5 h)^5.2559` (ISO 2533 lower layer, in the form
/// of ASHRAE Fundamentals).
///
/// Valid from -500 to 5500 m. The weather moves the true pressure by up to
/// about 3 %, which moves relative humidity by about 0.1 % RH per 20 °C between
/// the bulbs at oven temperatures; where that counts, use a barometer.
///
/// # Errors
/// An altitude that is not finite or out of range.
pub fn pressure_at_altitude(altitude: f64) -> Result<f64, OutOfRange> {
    within("altitude", altitude, (-500.0, 5500.0), "m")?;
    Ok(STANDARD_ATMOSPHERE_PA * (1.0 - 2.255_77e-5 * altitude).powf(5.2559))
}

/// Relative humidity in % from dry and wet bulb in °C and pressure in Pa.
///
/// Dry bulb 0 to 150 °C, wet bulb from 0 °C to the boiling point at that
/// pressure (a frozen wick is not covered), pressure 50 to 110 kPa.
///
/// # Errors
/// A number that is not finite or out of range; a wet bulb above the dry bulb
/// or above the boiling point by more than [`WET_ABOVE_DRY_TOLERANCE_C`]; a wet
/// bulb so far below the dry bulb that the vapour pressure would be negative.
pub fn relative_humidity(dry_c: f64, wet_c: f64, pressure_pa: f64) -> Result<f64, OutOfRange> {
    check(dry_c, wet_c, pressure_pa)?;
    in_order(dry_c, wet_c)?;
    let vapour = saturation(wet_c) - coefficient(wet_c) * pressure_pa * (dry_c - wet_c);
    if vapour < 0.0 {
        return Err(OutOfRange::DrierThanDry { dry_c, wet_c });
    }
    Ok(100.0 * vapour / saturation(dry_c))
}

/// Lowest and highest relative humidity in % over all dry bulbs in
/// `[dry_lo, dry_hi]` and wet bulbs in `[wet_lo, wet_hi]` (°C) at one pressure
/// in Pa, rounded outwards.
///
/// # Why two corners are enough
/// With the wet bulb, `e` changes by `es'(wet) + p (A - A' (dry - wet))`, A'
/// being 6.2e-7 per K²: positive as long as the bulbs are less than 1000 K
/// apart, so humidity rises with the wet bulb. With the dry bulb, `e` falls and
/// `es(dry)` grows, so wherever `e` is not negative humidity falls. Where `e`
/// would be negative the pair of readings cannot exist, so the lower bound is
/// then 0; if even the wettest corner is negative there is no pair at all.
///
/// # Why the result encloses
/// The logarithm of `es` is a sum of six terms, none above 40 in size in this
/// range, so rounding moves `es` by less than a relative 1e-13; rounding of the
/// temperatures themselves (a few 1e-14 K) moves it, and the product, by less
/// still. Each factor is moved outwards by a relative 1e-12. The bounds enclose
/// the formula, not the error of formula, wick or air speed.
///
/// A corner where the wet bulb is above the dry bulb can exceed 100 %: it is
/// handed back as it is.
///
/// # Errors
/// As [`relative_humidity`], and an interval that runs backwards. The order of
/// the bulbs and the boiling point are judged by the driest possible wet bulb:
/// the pair is refused only if no readings in it agree.
pub fn relative_humidity_bounds(
    dry_lo: f64,
    dry_hi: f64,
    wet_lo: f64,
    wet_hi: f64,
    pressure_pa: f64,
) -> Result<(f64, f64), OutOfRange> {
    check(dry_lo, wet_lo, pressure_pa)?;
    check_dry(dry_hi)?;
    within("wet bulb", wet_hi, DRY_RANGE_C, "°C")?;
    for (what, low, high) in [("dry bulb", dry_lo, dry_hi), ("wet bulb", wet_lo, wet_hi)] {
        if low > high {
            return Err(OutOfRange::Reversed { what, low, high });
        }
    }
    in_order(dry_hi, wet_lo)?;
    let highest = directed(dry_lo, wet_hi, pressure_pa, MARGIN);
    if highest < 0.0 {
        return Err(OutOfRange::DrierThanDry { dry_c: dry_lo, wet_c: wet_hi });
    }
    let lowest = directed(dry_hi, wet_lo, pressure_pa, -MARGIN);
    Ok((lowest.max(0.0), highest))
}

/// The formula with each factor moved by the relative `margin`: upwards for a
/// positive one, downwards for a negative one.
fn directed(dry_c: f64, wet_c: f64, pressure_pa: f64, margin: f64) -> f64 {
    let saturated = saturation(wet_c) * (1.0 + margin);
    let cooling = coefficient(wet_c) * pressure_pa * (dry_c - wet_c);
    let vapour = saturated - cooling + cooling.abs() * margin;
    let at_dry = saturation(dry_c);
    let toward = if vapour < 0.0 { 1.0 + margin } else { 1.0 - margin };
    100.0 * vapour / (at_dry * toward)
}

/// Psychrometer coefficient in 1/K (WMO-No. 8, ventilated bulb, water).
fn coefficient(wet_c: f64) -> f64 {
    6.53e-4 * (1.0 + 9.44e-4 * wet_c)
}

/// Hyland and Wexler 1983, liquid water; Pa, `t` in °C.
fn saturation(t: f64) -> f64 {
    let k = t + 273.15;
    let ln = -5.800_220_6e3 / k + 1.391_499_3 - 4.864_023_9e-2 * k + 4.176_476_8e-5 * k * k
        - 1.445_209_3e-8 * k * k * k
        + 6.545_967_3 * k.ln();
    ln.exp()
}

fn check_dry(dry_c: f64) -> Result<(), OutOfRange> {
    within("dry bulb", dry_c, DRY_RANGE_C, "°C").map(|_| ())
}

fn check(dry_c: f64, wet_c: f64, pressure_pa: f64) -> Result<(), OutOfRange> {
    check_dry(dry_c)?;
    within("wet bulb", wet_c, DRY_RANGE_C, "°C")?;
    within("pressure", pressure_pa, PRESSURE_RANGE_PA, "Pa")?;
    if saturation(wet_c - WET_ABOVE_DRY_TOLERANCE_C) > pressure_pa {
        return Err(OutOfRange::Above {
            what: "wet bulb",
            value: wet_c,
            most: boiling_point(pressure_pa)?,
            unit: "°C",
        });
    }
    Ok(())
}

fn in_order(dry_c: f64, wet_c: f64) -> Result<(), OutOfRange> {
    if wet_c - dry_c > WET_ABOVE_DRY_TOLERANCE_C {
        return Err(OutOfRange::WetAboveDry { dry_c, wet_c, tolerance_c: WET_ABOVE_DRY_TOLERANCE_C });
    }
    Ok(())
}

/// Boiling point of water in °C at `pressure_pa` Pa: where the saturation
/// pressure equals it, to 1e-9 °C. The check of a thermometer in boiling water.
///
/// # Errors
/// A pressure that is not finite or outside 50 to 110 kPa.
pub fn boiling_point(pressure_pa: f64) -> Result<f64, OutOfRange> {
    finite("pressure", pressure_pa)?;
    within("pressure", pressure_pa, PRESSURE_RANGE_PA, "Pa")?;
    let (mut low, mut high) = (50.0, 150.0);
    while high - low > 1e-9 {
        let middle = 0.5 * (low + high);
        if saturation(middle) < pressure_pa {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(0.5 * (low + high))
}

#[cfg(test)]
#[path = "humidity_tests.rs"]
mod tests;
