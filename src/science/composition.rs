//! Ratios of what a food is made of: salt in the water phase, moisture to protein.

use super::curing::Share;
use super::{OutOfRange, positive};

/// Water-phase salt in %: `salt / (salt + moisture) · 100`, both as shares of the
/// whole food (laboratory results).
///
/// Source: US FDA, Fish and Fishery Products Hazards and Controls Guidance,
/// chapter 13 on control of *C. botulinum* toxin; the formula is common practice
/// and cited from memory. It counts sodium chloride alone and holds for food that
/// is cured through: the salt of a slice says nothing of its middle.
///
/// # Errors
/// No moisture, or salt and moisture that make more than the whole.
pub fn water_phase_salt(salt: Share, moisture: Share) -> Result<f64, OutOfRange> {
    let (salt, moisture) = (salt.fraction(), moisture.fraction());
    positive("moisture", moisture)?;
    whole("salt and moisture", salt + moisture)?;
    Ok(100.0 * salt / (salt + moisture))
}

/// The salt in % of the whole food that gives a wanted water-phase salt at this
/// moisture: `moisture · w / (1 - w)`.
///
/// # Errors
/// A wanted water-phase salt of 100 %, or more salt than there is room for.
pub fn salt_for_water_phase(wanted: Share, moisture: Share) -> Result<f64, OutOfRange> {
    positive("moisture", moisture.fraction())?;
    let left = positive("share of water in the water phase", 1.0 - wanted.fraction())?;
    let salt = moisture.fraction() * wanted.fraction() / left;
    whole("salt and moisture", salt + moisture.fraction())?;
    Ok(100.0 * salt)
}

/// Moisture to protein, both as shares of the whole food (laboratory results).
///
/// It names a food (US jerky: 0.75 : 1 or less, FSIS compliance guideline for
/// jerky, 2014, p. 14) and shows nothing about safety: that rests on water
/// activity.
///
/// # Errors
/// No protein, or moisture and protein that make more than the whole.
pub fn moisture_to_protein(moisture: Share, protein: Share) -> Result<f64, OutOfRange> {
    positive("protein", protein.fraction())?;
    whole("moisture and protein", moisture.fraction() + protein.fraction())?;
    Ok(moisture.fraction() / protein.fraction())
}

/// Refuses parts that make more than the whole (by more than rounding).
fn whole(what: &'static str, sum: f64) -> Result<(), OutOfRange> {
    if sum > 1.0 + 1e-12 { Err(OutOfRange::MoreThanWhole { what, whole: "food" }) } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn percent(value: f64) -> Share {
        Share::from_percent(value).unwrap()
    }

    /// By hand: 3.5 / (3.5 + 66.5) = 5 %; 3 / 4 = 0.75.
    #[test]
    fn by_hand() {
        assert_relative_eq!(water_phase_salt(percent(3.5), percent(66.5)).unwrap(), 5.0, max_relative = 1e-12);
        assert_relative_eq!(salt_for_water_phase(percent(5.0), percent(66.5)).unwrap(), 3.5, max_relative = 1e-12);
        assert_relative_eq!(moisture_to_protein(percent(30.0), percent(40.0)).unwrap(), 0.75, max_relative = 1e-12);
    }

    #[test]
    fn refuses() {
        assert!(matches!(water_phase_salt(percent(3.0), percent(0.0)), Err(OutOfRange::NotPositive { .. })));
        assert!(matches!(water_phase_salt(percent(30.0), percent(71.0)), Err(OutOfRange::MoreThanWhole { .. })));
        assert!(matches!(moisture_to_protein(percent(30.0), percent(0.0)), Err(OutOfRange::NotPositive { .. })));
        assert!(matches!(moisture_to_protein(percent(60.0), percent(41.0)), Err(OutOfRange::MoreThanWhole { .. })));
        assert!(salt_for_water_phase(percent(100.0), percent(50.0)).is_err());
        assert!(salt_for_water_phase(percent(60.0), percent(50.0)).is_err());
    }
}
