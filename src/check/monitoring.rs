//! Monitoring: what, how, how often, by whom, with an instrument that is kept true.

use super::Desk;
use crate::finding::Finding;
use crate::plan::{Control, ControlKind, Instrument, Monitor, Name, Rhythm, Term};
use crate::time::CalendarUnit;

crate::rules! {
    /// A CCP without monitoring.
    CCP_WITHOUT_MONITORING = "M101" "ccp-without-monitoring" Error ["codex.monitor", "fsis.417.2.c4", "fish.123.6.c4", "juice.120.8.b", "pc.117.145.a", "eu.852.5.2d"];
    /// Monitoring is continuous, and the step of the recorder is not given.
    NO_RECORDER_STEP = "M102" "no-recorder-step" Error ["codex.monitor.continuous"];
    /// An instrument that nobody calibrates.
    UNCALIBRATED_INSTRUMENT = "M103" "uncalibrated-instrument" Error ["codex.verify", "fsis.417.4.a2i", "fsis.417.2.c7", "fish.123.6.c6", "juice.120.8.b6", "pc.117.155", "eu.852.5.2f", "fish.123.8.a2ii", "fish.123.8.d", "juice.120.11.a1ii", "pc.117.165.a1"];
    /// An instrument that may be further off than its calibration allows.
    LOOSE_INSTRUMENT = "M104" "loose-instrument" Note;
    /// An instrument is used for something that it does not measure.
    WRONG_INSTRUMENT = "M105" "wrong-instrument" Error ["codex.monitor", "fsis.417.2.c4", "fish.123.6.c4", "juice.120.8.b", "pc.117.145.a", "eu.852.5.2d"];
    /// A value is read, and no instrument is named for it.
    NO_INSTRUMENT = "M106" "no-instrument" Warning;
    /// Monitoring does not say how or where.
    NO_METHOD = "M107" "no-method" Warning;
    /// A computed parameter without an allowance between its two readings.
    NO_PAIRING = "M108" "no-pairing" Warning;
    /// An instrument without its range, resolution or accuracy.
    INSTRUMENT_FACTS = "M109" "instrument-facts" Warning;
    /// An instrument shows coarser steps than the accuracy that it claims.
    COARSE_DISPLAY = "M110" "coarse-display" Note;
    /// Something is monitored, and no limit of the control asks for it.
    IDLE_MONITORING = "M111" "idle-monitoring" Warning;
    /// A limit is judged by looking, and what is acceptable and what is not is said nowhere.
    ///
    /// Two people who look at the same thing must come to the same answer: by a description, a picture or a sample.
    LOOK_WITHOUT_MEASURE = "M114" "look-without-measure" Error ["codex.limit.subjective"];
    /// An instrument that is calibrated less often than once a year.
    ///
    /// Everything measured since the last good calibration is in doubt when one fails. A year is the usual longest
    /// interval in instrument manuals (USDA FSIS Compliance Guideline for Meat and Poultry Jerky, 2014, p. 14, on
    /// humidity recorders); for thermometers a far shorter one is common practice, no source.
    RARE_CALIBRATION = "M115" "rare-calibration" Warning;
    /// An operational prerequisite programme without monitoring or without a limit.
    BARE_PREREQUISITE = "M112" "bare-prerequisite" Warning ["eu.notice.oprp", "eu.notice.oprp.fail"];
    /// A time allowed on a promise by what is made, or by working days.
    ///
    /// `every 1000 gal`, `every 10 lots` and `every 5 working days` are counted over whole lots and days; a look is owed
    /// or it is not, and no clock runs.
    TIME_ON_AMOUNT = "M113" "time-on-amount" Error;
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    for control in &plan.controls {
        exists(desk, control);
        for monitor in &control.monitors {
            method(desk, control, monitor);
            instruments(desk, monitor);
            idle(desk, control, monitor);
        }
    }
    for instrument in &plan.instruments {
        facts(desk, instrument);
        accuracy(desk, instrument);
    }
    for parameter in &plan.parameters {
        if parameter.formula.is_some() && parameter.pairing.is_none() {
            desk.lacks(
                &NO_PAIRING,
                parameter.loc,
                "pairing",
                format!("how far apart the two readings of `{}` may be is not said", parameter.name),
                if parameter.name.text.contains(' ') {
                    "add `{ pairing within 5 s }` to the limit"
                } else {
                    "add `pairing within 5 s`"
                },
            );
        }
    }
}

fn exists(desk: &mut Desk<'_>, control: &Control) {
    if control.is_ccp() && control.monitors.is_empty() {
        desk.lacks(
            &CCP_WITHOUT_MONITORING,
            control.loc,
            "monitor",
            format!("`{}` is not monitored", control.name),
            "add `monitor PARAMETER HOW-OFTEN by ROLE using INSTRUMENT on RECORD \"how\"`",
        );
    }
    if control.kind == Some(ControlKind::OperationalPrerequisite) {
        for (missing, word, what) in [
            (control.limits.is_empty(), "limit", "no action criterion"),
            (control.monitors.is_empty(), "monitor", "no monitoring"),
            (control.deviation.is_none(), "deviation", "no word on what is done when it fails"),
        ] {
            if missing {
                desk.lacks(
                    &BARE_PREREQUISITE,
                    control.loc,
                    word,
                    format!("`{}` has {what}", control.name),
                    format!("add `{word}`"),
                );
            }
        }
    }
}

fn method(desk: &mut Desk<'_>, control: &Control, monitor: &Monitor) {
    let names: Vec<String> = monitor.parameters.iter().map(|name| format!("`{name}`")).collect();
    let what = names.join(", ");
    let counted = match &monitor.often.rhythm {
        Rhythm::Made(_) | Rhythm::EveryLots(_) => Some("by what is made"),
        Rhythm::Every(Term::Calendar(calendar)) if calendar.unit == CalendarUnit::WorkingDay => Some("by working days"),
        _ => None,
    };
    if let (Some(counted), Some(late)) = (counted, &monitor.often.late_after) {
        let message = format!("a time of {} cannot be allowed on a promise {counted}", late.shown());
        desk.say(
            Finding::at(&TIME_ON_AMOUNT, monitor.often.loc, message)
                .help("take `late after …` out, or promise by the clock as in `every 1 h late after 10 min`"),
        );
    }
    if matches!(monitor.often.rhythm, Rhythm::Continuously(None)) {
        desk.say(
            Finding::at(
                &NO_RECORDER_STEP,
                monitor.often.loc,
                format!("how often the recorder writes {what} down is not said"),
            )
            .help("write `continuously step 10 s`, with the step of the recorder"),
        );
    }
    let looked_at = |name: &Name| desk.plan.parameter(&name.text).is_some_and(|one| !one.answers.is_empty());
    let cited =
        |name: &Name| control.limits.iter().any(|limit| limit.parameters().contains(&name) && !limit.cites.is_empty());
    if monitor.how.is_none() && monitor.parameters.iter().any(|name| looked_at(name) && !cited(name)) {
        desk.say(
            Finding::at(
                &LOOK_WITHOUT_MEASURE,
                monitor.loc,
                format!("what is acceptable when {what} is looked at for `{}` is not said", control.name),
            )
            .help("add at the end of `monitor` by what it is judged, in quotes: a description, a picture, a sample; or let the limit cite it"),
        );
    } else if monitor.how.is_none() {
        desk.say(
            Finding::at(
                &NO_METHOD,
                monitor.loc,
                format!("how and where {what} is monitored for `{}` is not said", control.name),
            )
            .help("end the statement with a text in quotes, such as \"thickest piece, coldest shelf\""),
        );
    }
}

fn instruments(desk: &mut Desk<'_>, monitor: &Monitor) {
    let plan = desk.plan;
    let named: Vec<&Instrument> = monitor.using.iter().filter_map(|name| plan.instrument(&name.text)).collect();
    for (name, instrument) in monitor.using.iter().filter_map(|name| Some((name, plan.instrument(&name.text)?))) {
        if !monitor.parameters.iter().any(|parameter| instrument.measures.contains(parameter)) {
            desk.say(
                Finding::at(&WRONG_INSTRUMENT, name.loc, format!("`{name}` does not measure what is monitored here"))
                    .also(instrument.loc, "what it measures is said here")
                    .help("name another instrument, or add the parameter to its `measures`"),
            );
        }
    }
    if named.len() < monitor.using.len() {
        return;
    }
    for parameter in &monitor.parameters {
        let Some(declared) = plan.parameter(&parameter.text) else { continue };
        let measured = declared.unit.is_some() && declared.formula.is_none();
        let wrong = monitor.using.iter().any(|name| {
            plan.instrument(&name.text).is_some_and(|instrument| {
                !monitor.parameters.iter().any(|parameter| instrument.measures.contains(parameter))
            })
        });
        if measured && !wrong && !named.iter().any(|instrument| instrument.measures.contains(parameter)) {
            desk.say(
                Finding::at(
                    &NO_INSTRUMENT,
                    parameter.loc,
                    format!("no instrument is named that measures `{parameter}`"),
                )
                .help("add `using INSTRUMENT`, and an `instrument` block that measures it"),
            );
        }
    }
}

fn idle(desk: &mut Desk<'_>, control: &Control, monitor: &Monitor) {
    let plan = desk.plan;
    for parameter in &monitor.parameters {
        let asked = control.limits.iter().any(|limit| {
            let excuses = limit.shape.diverted.iter().map(|diverted| &diverted.parameter);
            limit.parameters().into_iter().chain(limit.facts()).chain(excuses).any(|asked| {
                asked == parameter
                    || plan
                        .parameter(&asked.text)
                        .is_some_and(|declared| plan.rests_on(declared, &|name| name == parameter).contains(&parameter))
            })
        });
        if !asked && !control.limits.is_empty() {
            let mut finding = Finding::at(
                &IDLE_MONITORING,
                parameter.loc,
                format!("`{}` monitors `{parameter}`, and none of its limits asks for it", control.name),
            )
            .help(format!("add a limit on `{parameter}`, or take the monitoring out"));
            if let Some(before) = super::place::before(plan, control.loc, "limit") {
                finding = finding.also(before, "`limit` would follow here");
            }
            desk.say(finding);
        }
    }
}

fn facts(desk: &mut Desk<'_>, instrument: &Instrument) {
    let name = &instrument.name;
    if instrument.calibration.is_none() {
        desk.lacks(
            &UNCALIBRATED_INSTRUMENT,
            instrument.loc,
            "calibrate",
            format!("`{name}` is never calibrated"),
            "add `calibrate every 1 month within 0.5 °C by ROLE on RECORD`",
        );
    }
    if let Some(calibration) = &instrument.calibration
        && super::people::days(&calibration.every).is_some_and(|days| days > 366.0)
    {
        desk.say(
            Finding::at(
                &RARE_CALIBRATION,
                calibration.loc,
                format!("`{name}` is calibrated every {}, less often than once a year", calibration.every),
            )
            .help("calibrate it at least every 12 months, or as often as its maker and its drift ask for"),
        );
    }
    for (missing, word, help) in [
        (instrument.range.is_none(), "range", "add `range LOW to HIGH`: a value outside it is no reading"),
        (instrument.resolution.is_none(), "resolution", "add `resolution 0.1 °C`: the smallest step that it shows"),
        (instrument.accuracy.is_none(), "accuracy", "add `accuracy 0.5 °C`: how far off it may be"),
    ] {
        if missing {
            desk.lacks(&INSTRUMENT_FACTS, instrument.loc, word, format!("the {word} of `{name}` is not said"), help);
        }
    }
}

fn accuracy(desk: &mut Desk<'_>, instrument: &Instrument) {
    let Some(accuracy) = &instrument.accuracy else { return };
    let Some(off) = accuracy.quantity.and_then(|q| q.base_difference()) else { return };
    if let Some(calibration) = &instrument.calibration
        && calibration.within.dimension() == accuracy.dimension()
        && let Some(allowed) = calibration.within.quantity.and_then(|q| q.base_difference())
        && off > allowed
    {
        desk.say(
            Finding::at(
                &LOOSE_INSTRUMENT,
                accuracy.loc,
                format!(
                    "`{}` may be off by {}, and its calibration allows {}",
                    instrument.name,
                    accuracy.shown(),
                    calibration.within.shown()
                ),
            )
            .also(calibration.within.loc, "its calibration")
            .help("an instrument as accurate as it claims may fail its calibration; check both figures"),
        );
    }
    if let Some(resolution) = &instrument.resolution
        && resolution.dimension() == accuracy.dimension()
        && let Some(step) = resolution.quantity.and_then(|q| q.base_difference())
        && step > off
    {
        desk.say(
            Finding::at(
                &COARSE_DISPLAY,
                resolution.loc,
                format!(
                    "`{}` shows steps of {}, coarser than its accuracy of {}",
                    instrument.name,
                    resolution.shown(),
                    accuracy.shown()
                ),
            )
            .also(accuracy.loc, "its accuracy")
            .help("what it shows cannot be truer than its smallest step; check both figures"),
        );
    }
}
