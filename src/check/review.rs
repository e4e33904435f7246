//! Are records reviewed as soon as the rules ask for, and are working days counted only where they may be?

use super::Desk;
use crate::finding::Finding;
use crate::plan::{Control, Rhythm, Term, Verify, VerifyWhen};
use crate::time::{Calendar, CalendarUnit, HOUR, WorkingDays};
use chrono::{Days, NaiveDate};

crate::rules! {
    /// The records of a CCP are reviewed later than the rule of the regime allows.
    ///
    /// Fish and juice: within a week of the day they are made. Preventive controls: within 7 working days, or with a written reason
    /// for another time. The two are compared by date, from each day of a year, for a week off is five working days.
    LATE_REVIEW = "P114" "late-record-review" Error ["fish.123.8.a3.7d", "juice.120.11.a1iv", "pc.117.165.a4i"];
    /// A shelf life, or how long a record is kept, in working days.
    ///
    /// Food ages and a record is kept on every day of the calendar, whether the plant works or not.
    KEPT_BY_WORKING_DAYS = "P115" "kept-by-working-days" Error;
}

/// The longest time to the review of a record, by regime: 21 CFR 123.8(a)(3), 120.11(a)(1)(iv) and 117.165(a)(4)(i).
const ALLOWED: [(&str, Calendar); 3] = [
    ("us-seafood", Calendar { count: 1, unit: CalendarUnit::Week }),
    ("us-juice", Calendar { count: 1, unit: CalendarUnit::Week }),
    ("us-preventive-controls", Calendar { count: 7, unit: CalendarUnit::WorkingDay }),
];

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let worked = plan.worked();
    every_day(desk);
    for control in plan.ccps() {
        for verify in control.verify.iter().filter(|verify| verify.activity.text == "record-review") {
            let Some(term) = within(&verify.when) else { continue };
            for (regime, allowed) in ALLOWED.iter().filter(|(regime, _)| plan.regimes().contains(regime)) {
                if let Some(found) = later(term, *allowed, desk.on, &worked) {
                    say(desk, control, verify, regime, *allowed, found);
                }
            }
        }
    }
}

/// The longest time that a record waits for its review, where the rhythm is one of time.
fn within(when: &VerifyWhen) -> Option<&Term> {
    match when {
        VerifyWhen::Within(term) => Some(term),
        VerifyWhen::Often(cadence) => match &cadence.rhythm {
            Rhythm::Every(term) => Some(term),
            Rhythm::Continuously(_)
            | Rhythm::Made(_)
            | Rhythm::EveryLots(_)
            | Rhythm::TimesPer(..)
            | Rhythm::Each(_)
            | Rhythm::At(_)
            | Rhythm::After(_) => None,
        },
    }
}

/// What lasts through every day of the calendar is not told in working days.
fn every_day(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let records = plan.records.iter().filter_map(|one| Some((&one.kept.as_ref()?.0, &one.name, one.loc, "retention")));
    let products =
        plan.products.iter().filter_map(|one| Some((&one.shelf_life.as_ref()?.0, &one.name, one.loc, "shelf life")));
    for (term, name, head, what) in records.chain(products) {
        if matches!(term, Term::Calendar(calendar) if calendar.unit == CalendarUnit::WorkingDay) {
            let message = format!("the {what} of `{name}` is {term}, and runs on days off too");
            desk.say(
                Finding::at(&KEPT_BY_WORKING_DAYS, head, message).help("write it in days, weeks, months or years"),
            );
        }
    }
}

/// The first day of a year from which a term ends later than another, with both ends.
fn later(
    term: &Term,
    allowed: Calendar,
    on: NaiveDate,
    worked: &WorkingDays,
) -> Option<(NaiveDate, NaiveDate, NaiveDate)> {
    on.iter_days().take(366).find_map(|day| {
        let own = ends(term, day, worked)?;
        let latest = allowed.after(day, worked)?;
        (own > latest).then_some((day, own, latest))
    })
}

/// The day on which a term from a day ends; a time by the clock from the end of that day.
fn ends(term: &Term, day: NaiveDate, worked: &WorkingDays) -> Option<NaiveDate> {
    match term {
        Term::Calendar(calendar) => calendar.after(day, worked),
        Term::Clock(time) => {
            let time = time.nanoseconds()?;
            let whole = time.checked_div(24 * HOUR)?.checked_add(i64::from(time % (24 * HOUR) > 0))?;
            day.checked_add_days(Days::new(u64::try_from(whole).ok()?))
        }
        Term::Blank => None,
    }
}

fn say(
    desk: &mut Desk<'_>,
    control: &Control,
    verify: &Verify,
    regime: &str,
    allowed: Calendar,
    (day, own, latest): (NaiveDate, NaiveDate, NaiveDate),
) {
    let message = format!("the records of `{}` are reviewed {}, later than {regime} allows", control.name, verify.when);
    let days = desk.plan.worked();
    desk.say(
        Finding::at(&LATE_REVIEW, verify.loc, message)
            .help(format!("review within {allowed}: for a record of {day} that is {latest}, not {own} ({days})")),
    );
}
