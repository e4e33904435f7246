//! Rates that the plan declares, over readings in °C or °F.

use super::engine::{DeathRates, GrowthRates};
use crate::plan::limit::Measured;
use crate::plan::{Condition, GrowthModel, Inactivation, Plan};
use crate::quantity::{Dimension, Unit};
use crate::science::growth::Cardinal;
use crate::science::lethality::LogLinear;

/// The rates that a condition sums, if it sums any and the plan declares them whole.
pub(super) fn rates(plan: &Plan, condition: &Condition, unit: Unit) -> Option<Rates> {
    if unit.dimension != Dimension::Temperature {
        return None;
    }
    match condition {
        Condition::Reduction { model, .. } => Rates::of_inactivation(plan.inactivation(&model.text)?, unit),
        Condition::Equivalent { at, z, .. } => Rates::of_equivalent(at, z, unit),
        _ => None,
    }
}

/// Rates of a declared inactivation over readings in °C or °F.
#[derive(Debug)]
pub(super) struct Rates {
    model: LogLinear,
    fahrenheit: bool,
}

impl Rates {
    /// The rates of a model over readings in this unit; `None` if the model is not complete.
    fn of_inactivation(model: &Inactivation, unit: Unit) -> Option<Rates> {
        let celsius = |value: &Measured| Some(value.quantity?.base()?.to_f64());
        let (time, at) = model.d.as_ref()?;
        let d = time.quantity?.base()?.to_f64();
        let z = model.z.as_ref()?.quantity?.base_difference()?.to_f64();
        let range = match &model.range {
            Some((low, high)) => Some((celsius(low)?, celsius(high)?)),
            None => None,
        };
        Some(Rates { model: LogLinear::new(d, celsius(at)?, z, range).ok()?, fahrenheit: fahrenheit(unit)? })
    }

    /// Minutes at a temperature that do the same.
    fn of_equivalent(at: &Measured, z: &Measured, unit: Unit) -> Option<Rates> {
        let at = at.quantity?.base()?.to_f64();
        let z = z.quantity?.base_difference()?.to_f64();
        Some(Rates { model: LogLinear::for_f_value(at, z, None).ok()?, fahrenheit: fahrenheit(unit)? })
    }
}

/// A reading in °C; where it had to be converted, rounded down and up.
fn celsius(fahrenheit: bool, value: f64) -> (f64, f64) {
    if !fahrenheit || !value.is_finite() {
        return (value, value);
    }
    let celsius = (value - 32.0) * 5.0 / 9.0;
    (celsius.next_down().next_down(), celsius.next_up().next_up())
}

impl DeathRates for Rates {
    fn low(&self, value: f64) -> f64 {
        self.model.rate_low(celsius(self.fahrenheit, value).0)
    }

    fn high(&self, value: f64) -> f64 {
        self.model.rate_high(celsius(self.fahrenheit, value).1)
    }

    fn top(&self) -> Option<f64> {
        self.model.range_c().map(|(_, top)| self.model.rate_high(top))
    }
}

fn fahrenheit(unit: Unit) -> Option<bool> {
    match unit.symbol {
        "°C" => Some(false),
        "°F" => Some(true),
        _ => None,
    }
}

/// The growth rates that a condition sums, if it sums any and the plan declares them whole.
pub(super) fn growth(plan: &Plan, condition: &Condition, unit: Unit) -> Option<Growing> {
    match condition {
        Condition::Growth { model, .. } => Growing::new(plan.growth_model(&model.text)?, unit),
        _ => None,
    }
}

/// Growth rates of a declared model over readings in °C or °F.
#[derive(Debug)]
pub(super) struct Growing {
    model: Cardinal,
    fahrenheit: bool,
}

impl Growing {
    fn new(model: &GrowthModel, unit: Unit) -> Option<Growing> {
        let celsius = |value: &Option<Measured>| Some(value.as_ref()?.quantity?.base()?.to_f64());
        let rate = model.rate.as_ref()?.quantity?.base()?.to_f64();
        let model = Cardinal::new(celsius(&model.minimum)?, celsius(&model.optimum)?, celsius(&model.maximum)?, rate);
        Some(Growing { model: model.ok()?, fahrenheit: fahrenheit(unit)? })
    }
}

impl GrowthRates for Growing {
    fn lowest(&self, lo: f64, hi: f64) -> f64 {
        self.model.lowest(celsius(self.fahrenheit, lo).0, celsius(self.fahrenheit, hi).1)
    }

    fn highest(&self, lo: f64, hi: f64) -> f64 {
        self.model.highest(celsius(self.fahrenheit, lo).0, celsius(self.fahrenheit, hi).1)
    }

    fn optimum(&self) -> f64 {
        self.model.optimum()
    }
}
