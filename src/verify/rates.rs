//! Rates that the plan declares, over readings in °C or °F.

use super::accuracy::{higher, lower};
use super::engine::{DeathRates, GrowthRates};
use crate::plan::limit::Measured;
use crate::plan::{Condition, GrowthModel, Inactivation, Plan};
use crate::quantity::{Dimension, Rational, Unit};
use crate::science::growth::Cardinal;
use crate::science::lethality::LogLinear;

/// The rates that a condition sums, if it sums any and the plan declares them whole.
///
/// Readings may be off by so much, in their own unit: the rates are those of the values that they leave open.
pub(super) fn rates(plan: &Plan, condition: &Condition, unit: Unit, off: Rational) -> Option<Rates> {
    if unit.dimension != Dimension::Temperature {
        return None;
    }
    match condition {
        Condition::Reduction { model, .. } => {
            Rates::of_inactivation(plan.inactivation(&model.text)?, Scale::new(unit, off)?)
        }
        Condition::Equivalent { at, z, .. } => Rates::of_equivalent(at, z, Scale::new(unit, off)?),
        _ => None,
    }
}

/// Rates of a declared inactivation over readings in °C or °F.
#[derive(Debug)]
pub(super) struct Rates {
    model: LogLinear,
    scale: Scale,
}

impl Rates {
    /// The rates of a model over readings in this unit; `None` if the model is not complete.
    fn of_inactivation(model: &Inactivation, scale: Scale) -> Option<Rates> {
        let celsius = |value: &Measured| Some(value.quantity?.base()?.to_f64());
        let (time, at) = model.d.as_ref()?;
        let d = time.quantity?.base()?.to_f64();
        let z = model.z.as_ref()?.quantity?.base_difference()?.to_f64();
        let range = match &model.range {
            Some((low, high)) => Some((celsius(low)?, celsius(high)?)),
            None => None,
        };
        Some(Rates { model: LogLinear::new(d, celsius(at)?, z, range).ok()?, scale })
    }

    /// Minutes at a temperature that do the same.
    fn of_equivalent(at: &Measured, z: &Measured, scale: Scale) -> Option<Rates> {
        let at = at.quantity?.base()?.to_f64();
        let z = z.quantity?.base_difference()?.to_f64();
        Some(Rates { model: LogLinear::for_f_value(at, z, None).ok()?, scale })
    }
}

/// How readings stand to °C, and how far off they may be.
#[derive(Debug, Clone, Copy)]
struct Scale {
    fahrenheit: bool,
    off: Rational,
}

impl Scale {
    fn new(unit: Unit, off: Rational) -> Option<Scale> {
        let fahrenheit = match unit.symbol {
            "°C" => false,
            "°F" => true,
            _ => return None,
        };
        Some(Scale { fahrenheit, off })
    }

    /// The lowest and the highest value in °C behind a reading; where it had to be converted, rounded down and up.
    fn celsius(&self, value: f64) -> (f64, f64) {
        if !value.is_finite() {
            return (value, value);
        }
        let (low, high) = match self.off.is_zero() {
            true => (value, value),
            false => (lower(value, self.off), higher(value, self.off)),
        };
        if !self.fahrenheit {
            return (low, high);
        }
        let convert = |value: f64| (value - 32.0) * 5.0 / 9.0;
        (convert(low).next_down().next_down(), convert(high).next_up().next_up())
    }
}

impl DeathRates for Rates {
    fn low(&self, value: f64) -> f64 {
        self.model.rate_low(self.scale.celsius(value).0)
    }

    fn high(&self, value: f64) -> f64 {
        self.model.rate_high(self.scale.celsius(value).1)
    }

    fn top(&self) -> Option<f64> {
        self.model.range_c().map(|(_, top)| self.model.rate_high(top))
    }
}

/// The growth rates that a condition sums, if it sums any and the plan declares them whole.
pub(super) fn growth(plan: &Plan, condition: &Condition, unit: Unit, off: Rational) -> Option<Growing> {
    match condition {
        Condition::Growth { model, .. } => Growing::new(plan.growth_model(&model.text)?, Scale::new(unit, off)?),
        _ => None,
    }
}

/// Growth rates of a declared model over readings in °C or °F.
#[derive(Debug)]
pub(super) struct Growing {
    model: Cardinal,
    scale: Scale,
}

impl Growing {
    fn new(model: &GrowthModel, scale: Scale) -> Option<Growing> {
        let celsius = |value: &Option<Measured>| Some(value.as_ref()?.quantity?.base()?.to_f64());
        let rate = model.rate.as_ref()?.quantity?.base()?.to_f64();
        let model = Cardinal::new(celsius(&model.minimum)?, celsius(&model.optimum)?, celsius(&model.maximum)?, rate);
        Some(Growing { model: model.ok()?, scale })
    }
}

impl GrowthRates for Growing {
    fn lowest(&self, lo: f64, hi: f64) -> f64 {
        self.model.lowest(self.scale.celsius(lo).0, self.scale.celsius(hi).1)
    }

    fn highest(&self, lo: f64, hi: f64) -> f64 {
        self.model.highest(self.scale.celsius(lo).0, self.scale.celsius(hi).1)
    }

    fn optimum(&self) -> f64 {
        self.model.optimum()
    }
}
