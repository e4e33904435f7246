//! Instruments and parameters.

use super::Taken;
use crate::compare::kind::Kind;
use crate::compare::said::{Field, Thing, Words, list, plain, sized};
use crate::plan::names::Kind as Space;
use crate::plan::{Calibration, Expression, Formula, Instrument, Parameter};

const CALIBRATED: Field = Field {
    added: Kind::CalibrationAdded,
    gone: Kind::CalibrationGone,
    ..sized("calibrated", Kind::CalibrationOftener, Kind::CalibrationRarer, Kind::CalibrationChanged)
};

impl<'p> Taken<'p, '_> {
    pub(super) fn instrument(&mut self, instrument: &'p Instrument) {
        let Instrument {
            name,
            title,
            measures,
            serial,
            range,
            resolution,
            accuracy,
            calibration,
            stuck_after,
            response,
            loc,
        } = instrument;
        let kinds = (Kind::InstrumentAdded, Kind::InstrumentGone);
        let mut thing = Thing::declared(self.naming, kinds, Space::Instrument, "instrument", (name, title), *loc);
        let changed = |word| plain(word, Kind::InstrumentChanged);
        let field = list("what it measures", Kind::InstrumentChanged, Kind::InstrumentChanged);
        thing.list(field, Words::names(self.naming, Space::Parameter, measures));
        thing.say_text(changed("serial number"), serial);
        thing.say(changed("range"), range.as_ref().map(Words::range));
        thing.say(changed("resolution"), resolution.as_ref().map(|number| Words::number(number, true)));
        let field = sized("accuracy", Kind::AccuracyBetter, Kind::AccuracyWorse, Kind::InstrumentChanged);
        thing.say(field, accuracy.as_ref().map(|number| Words::number(number, true)));
        thing.say(changed("stuck after"), stuck_after.as_ref().map(|time| Words::number(time, false)));
        thing.say(changed("response"), response.as_ref().map(|time| Words::number(time, false)));
        if let Some(Calibration { every, within, by, record, method, loc }) = calibration {
            let changed = |word| plain(word, Kind::CalibrationChanged);
            let every = Words::term(every);
            thing.say_at(CALIBRATED, Some(Words { shown: format!("every {}", every.shown), ..every }), *loc);
            let field = sized(
                "error allowed in calibration",
                Kind::CalibrationNarrower,
                Kind::CalibrationWider,
                Kind::CalibrationChanged,
            );
            thing.say_at(field, Some(Words::number(within, true)), *loc);
            let by = Words::name(self.naming, Space::Role, by);
            thing.say_at(changed("who calibrates"), Some(by), *loc);
            let record = Words::name(self.naming, Space::Record, record);
            thing.say_at(changed("record of calibration"), Some(record), *loc);
            thing.say_at(changed("method of calibration"), method.as_ref().map(Words::text), *loc);
        }
        self.things.push(thing);
    }

    fn expression(&self, expression: &Expression) -> String {
        match expression {
            Expression::Value(name) => self.naming.of(Space::Parameter, name),
            Expression::Pair { left, sign, right } => {
                format!("({} {sign} {})", self.expression(left), self.expression(right))
            }
        }
    }

    pub(super) fn parameter(&mut self, parameter: &'p Parameter) {
        let Parameter { name, title, unit, answers, formula, pairing, probes, recorded, loc } = parameter;
        if name.text.contains(' ') {
            // Made from two that stand side by side in a limit, which is compared itself.
            return;
        }
        let kinds = (Kind::ParameterAdded, Kind::ParameterGone);
        let mut thing = Thing::declared(self.naming, kinds, Space::Parameter, "parameter", (name, title), *loc);
        let changed = |word| plain(word, Kind::ParameterChanged);
        thing.say(changed("unit"), unit.as_ref().map(|unit| Words::text(unit.value.symbol)));
        let both = |word| list(word, Kind::ParameterChanged, Kind::ParameterChanged);
        thing.list(both("answer"), answers.iter().map(Words::text_of).collect());
        thing.list(both("probe"), probes.iter().map(Words::text_of).collect());
        match formula {
            Some(Formula::Humidity { dry, wet, pressure }) => {
                let words = Words::text("relative humidity of ")
                    .and(Words::name(self.naming, Space::Parameter, dry))
                    .then(" and ")
                    .and(Words::name(self.naming, Space::Parameter, wet));
                let at = |words: Words, number| words.then(" at ").and(Words::number(number, false));
                thing.say(changed("formula"), Some(pressure.iter().fold(words, at)));
            }
            Some(Formula::Arithmetic(expression)) => {
                let words = Words { shown: expression.symbols(), key: self.expression(expression), size: None };
                thing.say(changed("formula"), Some(words));
            }
            None => {}
        }
        thing.say(changed("pairing"), pairing.as_ref().map(|time| Words::number(time, false)));
        if let Some((each, record)) = recorded {
            let words = Words::text(format!("each {each} on ")).and(Words::name(self.naming, Space::Record, record));
            thing.say(changed("recorded"), Some(words));
        }
        self.things.push(thing);
    }
}
