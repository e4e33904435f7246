//! Saturated salt solutions: fixed points at which a water-activity meter is
//! checked.
//!
//! # Formula
//! Equilibrium relative humidity in % as a polynomial of the temperature in °C:
//! L. Greenspan, J. Res. Natl. Bur. Stand. 81A (1977) 89, Table 1. The coefficients
//! were read in public transcriptions, not in the paper. One of them prints
//! the linear terms of lithium chloride and potassium carbonate with a minus; an
//! independent table at 5 to 25 °C agrees only with the plus (see
//! `tests/published/calibration.rs`).
//!
//! The paper's polynomials go further than the 5 to 30 °C offered here, which
//! is where they were compared, and where meters are read. The standard must be
//! saturated, with crystals left, clean, and as warm as the meter: half a degree
//! between them is about 1 % of humidity in the cup.

use super::{OutOfRange, within};

/// Range of temperature, °C.
pub const RANGE_C: (f64, f64) = (5.0, 30.0);

/// A salt whose saturated solution is a fixed point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Salt {
    /// Lithium chloride, near 0.11.
    LithiumChloride,
    /// Magnesium chloride, near 0.33.
    MagnesiumChloride,
    /// Potassium carbonate, near 0.43.
    PotassiumCarbonate,
    /// Magnesium nitrate, near 0.53.
    MagnesiumNitrate,
    /// Sodium chloride, near 0.75.
    SodiumChloride,
    /// Potassium chloride, near 0.84.
    PotassiumChloride,
    /// Potassium sulphate, near 0.97.
    PotassiumSulphate,
}

impl Salt {
    /// All of them, from the driest.
    pub const ALL: [Salt; 7] = [
        Salt::LithiumChloride,
        Salt::MagnesiumChloride,
        Salt::PotassiumCarbonate,
        Salt::MagnesiumNitrate,
        Salt::SodiumChloride,
        Salt::PotassiumChloride,
        Salt::PotassiumSulphate,
    ];

    /// Its name.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Salt::LithiumChloride => "lithium chloride",
            Salt::MagnesiumChloride => "magnesium chloride",
            Salt::PotassiumCarbonate => "potassium carbonate",
            Salt::MagnesiumNitrate => "magnesium nitrate",
            Salt::SodiumChloride => "sodium chloride",
            Salt::PotassiumChloride => "potassium chloride",
            Salt::PotassiumSulphate => "potassium sulphate",
        }
    }

    /// Its formula, without water of crystallisation.
    #[must_use]
    pub fn formula(self) -> &'static str {
        match self {
            Salt::LithiumChloride => "LiCl",
            Salt::MagnesiumChloride => "MgCl2",
            Salt::PotassiumCarbonate => "K2CO3",
            Salt::MagnesiumNitrate => "Mg(NO3)2",
            Salt::SodiumChloride => "NaCl",
            Salt::PotassiumChloride => "KCl",
            Salt::PotassiumSulphate => "K2SO4",
        }
    }

    /// The salt of this name or formula, in capitals or not; `sulfate` too.
    #[must_use]
    pub fn find(text: &str) -> Option<Salt> {
        let text = text.trim().to_lowercase().replace("sulfate", "sulphate");
        Salt::ALL.into_iter().find(|salt| salt.name() == text || salt.formula().to_lowercase() == text)
    }

    /// Coefficients of 1, t, t², t³.
    #[must_use]
    pub fn polynomial(self) -> [f64; 4] {
        match self {
            Salt::LithiumChloride => [11.2323, 8.242_45e-3, -2.148_9e-4, 0.0],
            Salt::MagnesiumChloride => [33.6686, -7.973_97e-3, -1.089_88e-3, 0.0],
            Salt::PotassiumCarbonate => [43.1315, 1.475_23e-3, 0.0, 0.0],
            Salt::MagnesiumNitrate => [60.3514, -0.298_153, 0.0, 0.0],
            Salt::SodiumChloride => [75.5164, 3.983_21e-2, -2.654_59e-3, 2.848e-5],
            Salt::PotassiumChloride => [88.619, -0.193_34, 8.997_06e-4, 0.0],
            Salt::PotassiumSulphate => [98.7792, -5.905_02e-2, 0.0, 0.0],
        }
    }

    /// Water activity over its saturated solution at `t` °C.
    ///
    /// # Errors
    /// A temperature that is not finite or outside [`RANGE_C`].
    pub fn water_activity(self, t: f64) -> Result<f64, OutOfRange> {
        within("temperature", t, RANGE_C, "°C")?;
        let [a, b, c, d] = self.polynomial();
        Ok((a + t * (b + t * (c + t * d))) / 100.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// By hand at 20 °C: 75.5164 + 0.796642 - 1.061836 + 0.22784 = 75.479046.
    #[test]
    fn by_hand() {
        assert_abs_diff_eq!(Salt::SodiumChloride.water_activity(20.0).unwrap(), 0.754_790_46, epsilon = 1e-12);
    }

    #[test]
    fn each_is_found_and_they_rise() {
        let mut last = 0.0;
        for salt in Salt::ALL {
            assert_eq!(Salt::find(salt.name()), Some(salt));
            assert_eq!(Salt::find(salt.formula()), Some(salt));
            assert!(salt.water_activity(25.0).unwrap() > last);
            last = salt.water_activity(25.0).unwrap();
        }
        assert_eq!(Salt::find("Potassium Sulfate"), Some(Salt::PotassiumSulphate));
        assert_eq!(Salt::find("sugar"), None);
    }

    #[test]
    fn refuses_to_extrapolate() {
        assert!(matches!(Salt::SodiumChloride.water_activity(4.9), Err(OutOfRange::Below { .. })));
        assert!(matches!(Salt::SodiumChloride.water_activity(30.1), Err(OutOfRange::Above { .. })));
        assert!(Salt::SodiumChloride.water_activity(f64::NAN).is_err());
    }
}
