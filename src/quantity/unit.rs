//! The closed list of units, their dimensions and how they convert.

use super::rational::Rational;

/// What kind of thing a unit measures. Two quantities can be compared only within one dimension.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Dimension {
    /// A temperature. Differences of temperature share this dimension; the place in a sentence says which is meant.
    Temperature,
    /// A length of time.
    Time,
    /// A length.
    Length,
    /// A mass.
    Mass,
    /// A volume.
    Volume,
    /// A share of a whole, such as relative humidity or a fraction of a gas.
    Share,
    /// Mass of a substance per mass of food.
    Concentration,
    /// Water activity (ISO 18787: ratio of vapour pressures at equilibrium).
    WaterActivity,
    /// pH.
    Acidity,
    /// A plain ratio of two like quantities.
    Ratio,
    /// Colony-forming units per mass.
    CountPerMass,
    /// Colony-forming units per volume.
    CountPerVolume,
    /// Decimal reductions or decimal growth.
    Decades,
    /// A pressure.
    Pressure,
    /// Temperature above a base summed over time (degree-hours).
    TemperatureTime,
    /// A volume per time.
    Flow,
    /// A length per time.
    Speed,
    /// A mass per volume.
    Density,
    /// Decimal growth per time.
    GrowthRate,
    /// A count of pieces.
    Pieces,
    /// A plain number without a dimension, such as a value of colour.
    Number,
}

impl Dimension {
    /// What so many times an amount is; nothing where neither is a plain number, or where the other is no amount.
    #[must_use]
    pub fn times(self, other: Self) -> Option<Self> {
        let amount = match (self, other) {
            (Dimension::Number, amount) | (amount, Dimension::Number) => amount,
            _ => return None,
        };
        let point = matches!(amount, Dimension::Temperature | Dimension::Acidity | Dimension::WaterActivity);
        (!point).then_some(amount)
    }

    /// The word a finding prints.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Dimension::Temperature => "a temperature",
            Dimension::Time => "a time",
            Dimension::Length => "a length",
            Dimension::Mass => "a mass",
            Dimension::Volume => "a volume",
            Dimension::Share => "a share in %",
            Dimension::Concentration => "a concentration",
            Dimension::WaterActivity => "a water activity",
            Dimension::Acidity => "a pH",
            Dimension::Ratio => "a ratio",
            Dimension::CountPerMass => "a count per gram",
            Dimension::CountPerVolume => "a count per millilitre",
            Dimension::Decades => "a number of decimal reductions",
            Dimension::Pressure => "a pressure",
            Dimension::TemperatureTime => "a sum of degrees over time",
            Dimension::Flow => "a flow",
            Dimension::Speed => "a speed",
            Dimension::Density => "a density",
            Dimension::GrowthRate => "a growth rate",
            Dimension::Pieces => "a number of pieces",
            Dimension::Number => "a plain number",
        }
    }

    /// Whether numbers of this dimension are written without a unit where the parameter has said it.
    #[must_use]
    pub fn bare(self) -> bool {
        matches!(self, Dimension::WaterActivity | Dimension::Acidity | Dimension::Ratio | Dimension::Number)
    }
}

/// One unit of the closed list. `base value = (value + offset) · factor`.
#[derive(Debug, PartialEq, Eq)]
pub struct UnitDef {
    /// The one form that is printed.
    pub symbol: &'static str,
    /// Other accepted spellings.
    pub also: &'static [&'static str],
    /// What it measures.
    pub dimension: Dimension,
    factor: (i64, i64),
    offset: (i64, i64),
}

/// A unit: a reference into the closed list.
pub type Unit = &'static UnitDef;

macro_rules! units {
    ($($symbol:literal $([$($also:literal),*])? $dimension:ident $num:literal / $den:literal $(offset $onum:literal / $oden:literal)?;)*) => {
        /// Every unit, in the order in which pages list them.
        pub static UNITS: &[UnitDef] = &[$(UnitDef {
            symbol: $symbol,
            also: &[$($($also),*)?],
            dimension: Dimension::$dimension,
            factor: ($num, $den),
            offset: units!(@offset $($onum / $oden)?),
        }),*];
    };
    (@offset) => { (0, 1) };
    (@offset $n:literal / $d:literal) => { ($n, $d) };
}

units! {
    "°C" ["degC", "℃", "ºC"] Temperature 1/1;
    "°F" ["degF", "℉", "ºF"] Temperature 5/9 offset -32/1;
    "K" Temperature 1/1 offset -27315/100;
    "ms" Time 1/1000;
    "s" ["sec"] Time 1/1;
    "min" Time 60/1;
    "h" ["hour", "hours"] Time 3600/1;
    "d" ["day", "days"] Time 86400/1;
    "week" ["weeks"] Time 604800/1;
    "mm" Length 1/1000;
    "cm" Length 1/100;
    "m" Length 1/1;
    "µm" ["um", "μm"] Length 1/1000000;
    "inch" Length 254/10000;
    "mg" Mass 1/1000000;
    "g" Mass 1/1000;
    "kg" Mass 1/1;
    "t" Mass 1000/1;
    "oz" Mass 45359237/1600000000;
    "lb" Mass 45359237/100000000;
    "mL" ["ml"] Volume 1/1000000;
    "L" ["l"] Volume 1/1000;
    "gal" Volume 473176473/125000000000;
    "%" ["%RH"] Share 1/100;
    "mg/kg" ["ppm"] Concentration 1/1000000;
    "µg/kg" ["ug/kg", "μg/kg", "ppb"] Concentration 1/1000000000;
    "g/kg" Concentration 1/1000;
    "aw" WaterActivity 1/1;
    "pH" Acidity 1/1;
    "ratio" Ratio 1/1;
    "cfu/g" ["CFU/g"] CountPerMass 1/1;
    "cfu/mL" ["CFU/mL", "cfu/ml"] CountPerVolume 1/1;
    "log10" ["log"] Decades 1/1;
    "Pa" Pressure 1/1;
    "hPa" ["mbar"] Pressure 100/1;
    "kPa" Pressure 1000/1;
    "bar" Pressure 100000/1;
    "psi" Pressure 6894757293168/1000000000;
    "°C·h" ["degC.h"] TemperatureTime 3600/1;
    "°F·h" ["degF.h"] TemperatureTime 2000/1;
    "L/min" ["l/min"] Flow 1/60000;
    "L/h" ["l/h"] Flow 1/3600000;
    "m/min" Speed 1/60;
    "m/s" Speed 1/1;
    "g/mL" ["g/ml"] Density 1000/1;
    "log10/h" GrowthRate 1/3600;
    "piece" ["pieces"] Pieces 1/1;
    "number" Number 1/1;
}

impl UnitDef {
    /// Finds a unit by its printed form or an accepted spelling.
    #[must_use]
    pub fn find(text: &str) -> Option<Unit> {
        UNITS.iter().find(|unit| unit.symbol == text || unit.also.contains(&text))
    }

    fn factor(&self) -> Rational {
        Rational::new(self.factor.0.into(), self.factor.1.into()).unwrap_or(Rational::ONE)
    }

    fn offset(&self) -> Rational {
        Rational::new(self.offset.0.into(), self.offset.1.into()).unwrap_or(Rational::ZERO)
    }

    /// A point on this unit's scale in the base unit of its dimension (°C, s, m, kg, share of one …), exactly.
    #[must_use]
    pub fn point_to_base(&self, value: Rational) -> Option<Rational> {
        value.plus(self.offset())?.times(self.factor())
    }

    /// A difference on this unit's scale in the base unit: the offset of the scale does not count.
    #[must_use]
    pub fn difference_to_base(&self, value: Rational) -> Option<Rational> {
        value.times(self.factor())
    }

    /// A point in the base unit on this unit's scale, exactly.
    #[must_use]
    pub fn point_from_base(&self, base: Rational) -> Option<Rational> {
        base.over(self.factor())?.minus(self.offset())
    }

    /// A difference in the base unit on this unit's scale, exactly.
    #[must_use]
    pub fn difference_from_base(&self, base: Rational) -> Option<Rational> {
        base.over(self.factor())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_temperature_is_a_point_and_a_difference_is_not() {
        let f = UnitDef::find("°F").unwrap();
        let value = Rational::parse("160").unwrap();
        assert_eq!(f.point_to_base(value), Rational::new(640, 9));
        assert_eq!(f.difference_to_base(value), Rational::new(800, 9));
        assert_eq!(f.point_from_base(Rational::new(640, 9).unwrap()), Some(value));
    }

    /// Exact by definition: the pound (1959), the inch, and the pound-force per square inch to its
    /// printed 13 digits; NIST SP 811 appendix B.8.
    #[test]
    fn customary_units() {
        let base = |text: &str, unit: &str| {
            UnitDef::find(unit).unwrap().point_to_base(Rational::parse(text).unwrap()).unwrap().to_f64()
        };
        assert_eq!(base("1", "lb"), 0.453_592_37);
        assert_eq!(base("16", "oz"), 0.453_592_37);
        assert_eq!(base("1", "inch"), 0.0254);
        assert!((base("1", "psi") - 6_894.757_293_168).abs() < 1e-9);
    }

    #[test]
    fn every_spelling_is_found_once() {
        let mut seen = std::collections::HashSet::new();
        for unit in UNITS {
            for spelling in std::iter::once(&unit.symbol).chain(unit.also) {
                assert!(seen.insert(*spelling), "{spelling} twice");
            }
        }
    }
}
