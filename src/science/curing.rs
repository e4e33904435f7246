//! Ingoing nitrite by method, in parts per million of the green weight.
//!
//! # Formulas
//! - pickle that is pumped or massaged in: `nitrite · pump · 10^6 / pickle`
//! - dry cure rubbed on, and comminuted products: `nitrite · 10^6 / green weight`
//!
//! Source: USDA FSIS Processing Inspectors' Calculations Handbook (Directive
//! 7620.3, rev. 1995), chapter 3; its introduction (green weight is the base) was
//! read, the formulas through worked examples that quote it, which
//! `tests/published/nitrite.rs` reproduces. Potassium nitrite counts as its
//! equivalent of sodium nitrite by the ratio of formula weights, 85.104 : 68.995
//! (9 CFR 424.22(b) prints equivalent limits that agree).
//!
//! Weights are in any one unit of mass, the same throughout; shares are
//! [`Share`]s, so that a pump of 10 % can be mistaken neither for 10 nor for 0.1 %.
//! The formula for pumping takes the pump as gained at injection and counts no
//! purge; immersion by uptake or by equilibrium is not covered. Ingoing is what
//! went in: residual nitrite is less, and cannot be computed.

use super::{OutOfRange, finite, not_negative, positive};

/// Formula weight of sodium nitrite, g/mol.
pub const SODIUM_NITRITE: f64 = 68.995;
/// Formula weight of potassium nitrite, g/mol.
pub const POTASSIUM_NITRITE: f64 = 85.104;

/// A share of a whole, made only by saying which way it is written; kept in per cent.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Share(f64);

impl Share {
    /// From a number in per cent: 10 is a tenth.
    ///
    /// # Errors
    /// A number that is not finite or not from 0 to 100.
    pub fn from_percent(percent: f64) -> Result<Self, OutOfRange> {
        super::within("share", percent, (0.0, 100.0), "%").map(Self)
    }

    /// From a fraction: 0.1 is a tenth.
    ///
    /// # Errors
    /// A number that is not finite or not from 0 to 1.
    pub fn from_fraction(fraction: f64) -> Result<Self, OutOfRange> {
        super::within("share", fraction, (0.0, 1.0), "of the whole").map(|fraction| Self(fraction * 100.0))
    }

    /// As a fraction.
    #[must_use]
    pub fn fraction(self) -> f64 {
        self.0 / 100.0
    }

    /// In per cent.
    #[must_use]
    pub fn percent(self) -> f64 {
        self.0
    }
}

/// Which nitrite went in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Nitrite {
    /// Sodium nitrite, in which limits are stated.
    Sodium,
    /// Potassium nitrite: 100 g count as 81.07 g of sodium nitrite.
    Potassium,
}

impl Nitrite {
    /// The mass of sodium nitrite that this mass counts as.
    #[must_use]
    pub fn as_sodium(self, mass: f64) -> f64 {
        match self {
            Nitrite::Sodium => mass,
            Nitrite::Potassium => mass * SODIUM_NITRITE / POTASSIUM_NITRITE,
        }
    }

    /// The mass of this nitrite that counts as this mass of sodium nitrite.
    #[must_use]
    pub fn from_sodium(self, mass: f64) -> f64 {
        match self {
            Nitrite::Sodium => mass,
            Nitrite::Potassium => mass * POTASSIUM_NITRITE / SODIUM_NITRITE,
        }
    }
}

/// The mass of nitrite in a mass of cure of which `nitrite` is the share.
///
/// # Errors
/// A mass that is not finite or below 0.
pub fn nitrite_in_cure(cure: f64, nitrite: Share) -> Result<f64, OutOfRange> {
    Ok(not_negative("cure", cure)? * nitrite.fraction())
}

/// Ingoing parts per million of the green weight from pickle that is pumped or
/// massaged in: the nitrite in the whole of the pickle, the mass of the whole
/// pickle (water, cure and all else), and the pump: pickle taken up as a share of
/// the green weight.
///
/// # Errors
/// A mass that is not finite; nitrite below 0; pickle not above 0; more nitrite
/// than pickle.
pub fn pumped(nitrite: f64, pickle: f64, pump: Share) -> Result<f64, OutOfRange> {
    let share = part(nitrite, "pickle", pickle)?;
    finite("ingoing nitrite", share * pump.fraction() * 1e6)
}

/// The mass of nitrite that gives `ppm` ingoing through `pickle` at this pump.
///
/// # Errors
/// A number that is not finite; ppm below 0; pickle or pump not above 0; more
/// nitrite than pickle.
pub fn nitrite_for_pickle(ppm: f64, pickle: f64, pump: Share) -> Result<f64, OutOfRange> {
    not_negative("ingoing nitrite", ppm)?;
    positive("pump", pump.fraction())?;
    let nitrite = ppm * positive("pickle", pickle)? / (pump.fraction() * 1e6);
    part(nitrite, "pickle", pickle)?;
    Ok(nitrite)
}

/// Ingoing parts per million of the green weight from nitrite that is rubbed on
/// (dry cure) or mixed into a comminuted product.
///
/// # Errors
/// A mass that is not finite; nitrite below 0; meat not above 0; more nitrite
/// than meat.
pub fn direct(nitrite: f64, green_weight: f64) -> Result<f64, OutOfRange> {
    Ok(part(nitrite, "green weight", green_weight)? * 1e6)
}

/// `nitrite / whole`, if it is a part of it.
fn part(nitrite: f64, what: &'static str, whole: f64) -> Result<f64, OutOfRange> {
    not_negative("nitrite", nitrite)?;
    positive(what, whole)?;
    if nitrite > whole {
        return Err(OutOfRange::MoreThanWhole { what: "nitrite", whole: what });
    }
    Ok(nitrite / whole)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn percent(value: f64) -> Share {
        Share::from_percent(value).unwrap()
    }

    #[test]
    fn a_share_says_how_it_is_written() {
        assert_eq!(percent(10.0), Share::from_fraction(0.1).unwrap());
        assert!(matches!(Share::from_fraction(10.0), Err(OutOfRange::Above { .. })));
        assert!(matches!(Share::from_percent(120.0), Err(OutOfRange::Above { .. })));
        assert!(Share::from_percent(-1.0).is_err());
        assert!(Share::from_percent(f64::NAN).is_err());
    }

    #[test]
    fn there_and_back() {
        let nitrite = nitrite_for_pickle(120.0, 50.0, percent(12.0)).unwrap();
        assert_relative_eq!(pumped(nitrite, 50.0, percent(12.0)).unwrap(), 120.0, max_relative = 1e-12);
        let k = Nitrite::Potassium;
        assert_relative_eq!(k.as_sodium(k.from_sodium(7.0)), 7.0, max_relative = 1e-12);
        assert_eq!(Nitrite::Sodium.as_sodium(3.0), 3.0);
        assert_relative_eq!(k.as_sodium(100.0), 81.07, max_relative = 1e-4);
    }

    #[test]
    fn refuses() {
        assert!(matches!(pumped(2.0, 1.0, percent(10.0)), Err(OutOfRange::MoreThanWhole { .. })));
        assert!(matches!(direct(1.0, 0.0), Err(OutOfRange::NotPositive { what: "green weight", .. })));
        assert!(matches!(direct(-1.0, 5.0), Err(OutOfRange::Negative { .. })));
        assert!(matches!(nitrite_for_pickle(120.0, 50.0, percent(0.0)), Err(OutOfRange::NotPositive { .. })));
        assert!(matches!(nitrite_for_pickle(2e5, 50.0, percent(10.0)), Err(OutOfRange::MoreThanWhole { .. })));
        assert!(nitrite_in_cure(-1.0, percent(6.25)).is_err());
    }
}
