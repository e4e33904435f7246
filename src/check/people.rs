//! People and time: who does it, whether they are trained, and what has fallen due.

use super::Desk;
use crate::finding::Finding;
use crate::plan::{Dated, Name, Plan, Term};
use chrono::NaiveDate;

crate::rules! {
    /// A role with a task in the plan, and no training.
    UNTRAINED_ROLE = "T101" "untrained-role" Error ["codex.train", "eu.852.annex2.xii.1", "pc.117.4.train"];
    /// Nobody is named who wrote the plan.
    NO_TEAM = "T102" "no-team" Error ["codex.team"];
    /// The team has no leader.
    NO_LEADER = "T103" "no-leader" Warning;
    /// The plan is not reassessed in time.
    REASSESSMENT_OVERDUE = "T104" "reassessment-overdue" Error ["codex.review", "fsis.417.4.a3i", "fsis.417.4.b", "fish.123.8.a1", "fish.123.8.c", "juice.120.11.c", "pc.117.170.a", "eu.852.5.2.change", "eu.852.5.4b"];
    /// Something is said to have been done on a day that is yet to come.
    FUTURE_DATE = "T105" "future-date" Error;
    /// The plan does not say how often it is reassessed.
    NO_REASSESSMENT = "T106" "no-reassessment" Error ["codex.review", "fsis.417.4.a3i", "fsis.417.4.b", "fish.123.8.a1", "fish.123.8.c", "juice.120.11.c", "pc.117.170.a", "eu.852.5.2.change", "eu.852.5.4b"];
    /// The plan has not been reassessed yet.
    NOT_YET_REASSESSED = "T107" "not-yet-reassessed" Note;
    /// A role that does not say what it does.
    ROLE_WITHOUT_DUTIES = "T108" "role-without-duties" Warning;
    /// A team of one, without help from outside.
    TEAM_OF_ONE = "T109" "team-of-one" Warning;
}

pub(super) fn check(desk: &mut Desk<'_>) {
    roles(desk);
    team(desk);
    reassessment(desk);
    dates(desk);
}

/// Every place where a role has a task, with a word on the task.
pub(crate) fn tasks(plan: &Plan) -> Vec<(&Name, &'static str)> {
    let mut tasks = Vec::new();
    tasks.extend(
        plan.team
            .members
            .iter()
            .map(|member| (&member.role, if member.leads { "leads the team" } else { "is on the team" })),
    );
    for control in &plan.controls {
        tasks.extend(control.monitors.iter().map(|monitor| (&monitor.by, "monitors here")));
        tasks.extend(control.verify.iter().map(|verify| (&verify.by, "verifies here")));
        tasks.extend(
            control
                .deviation
                .iter()
                .flat_map(|deviation| &deviation.disposition)
                .map(|(_, by)| (by, "decides on product here")),
        );
        tasks.extend(control.limits.iter().flat_map(|limit| &limit.pending).map(|(by, _)| (by, "sets this value")));
    }
    for programme in &plan.programmes {
        tasks.extend(programme.routines.iter().map(|routine| (&routine.by, "has this routine")));
        tasks.extend(programme.verify.iter().map(|verify| (&verify.by, "verifies here")));
    }
    tasks.extend(
        plan.instruments
            .iter()
            .flat_map(|instrument| &instrument.calibration)
            .map(|calibration| (&calibration.by, "calibrates here")),
    );
    if let Some(head) = &plan.head {
        tasks.extend(head.flow_confirmed.iter().map(|dated| (&dated.by, "confirmed the flow")));
        tasks.extend(head.reassessed.iter().map(|dated| (&dated.by, "reassessed the plan")));
    }
    tasks.extend(plan.exceptions.iter().map(|exception| (&exception.by, "accepted this")));
    tasks
}

fn roles(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let tasks = tasks(plan);
    for role in &plan.roles {
        if role.trained.is_empty()
            && let Some((name, task)) = tasks.iter().find(|(name, _)| **name == role.name)
        {
            desk.say(
                Finding::at(
                    &UNTRAINED_ROLE,
                    role.loc,
                    format!("`{}` has a task in the plan, and no training is named", role.name),
                )
                .also(name.loc, *task)
                .help("add `trained \"course\" on DATE`"),
            );
        }
        if role.duties.is_none() {
            desk.lacks(
                &ROLE_WITHOUT_DUTIES,
                role.loc,
                "duties",
                format!("what `{}` does is not said", role.name),
                "add `duties \"…\"`",
            );
        }
    }
}

fn team(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let team = &plan.team;
    let Some(loc) = team.loc.filter(|_| !team.members.is_empty()) else {
        if let Some(loc) = team.loc.or(plan.head.as_ref().map(|head| head.loc)) {
            desk.say(
                Finding::at(&NO_TEAM, loc, "nobody is named who wrote the plan")
                    .help("add a `team` block with `leader ROLE \"discipline\"` and `member ROLE \"discipline\"`"),
            );
        }
        return;
    };
    if !team.members.iter().any(|member| member.leads) {
        desk.lacks(&NO_LEADER, loc, "leader", "the team has no leader", "add `leader ROLE \"discipline\"`");
    }
    if team.members.len() == 1 && team.outside.is_empty() {
        desk.lacks(
            &TEAM_OF_ONE,
            loc,
            "member",
            "one person alone wrote the plan, without help from outside",
            "name the others with `member`, or the expertise called in with `outside \"who\" \"for what\"`",
        );
    }
}

fn reassessment(desk: &mut Desk<'_>) {
    let Some(head) = &desk.plan.head else { return };
    let Some(rhythm) = &head.reassess else {
        desk.lacks(
            &NO_REASSESSMENT,
            head.loc,
            "reassess",
            "how often the plan is reassessed is not said",
            "add `reassess every 12 months`",
        );
        return;
    };
    let last = head.reassessed.as_ref().and_then(|dated| Some((dated.date?, dated.loc)));
    let first = head.in_force.as_ref().map(|said| (said.value, said.loc));
    let Some((from, loc)) = last.or(first) else { return };
    let Some(due) = rhythm.value.after(from, &desk.plan.worked()) else { return };
    if due < desk.on {
        desk.say(
            Finding::at(
                &REASSESSMENT_OVERDUE,
                rhythm.loc,
                format!("the plan was due for reassessment on {due}, and it is {}", desk.on),
            )
            .also(
                loc,
                if last.is_some() { "last reassessed" } else { "in force from this day, and not reassessed since" },
            )
            .help("reassess it, then write the day: `reassessed DATE by ROLE \"what was found\"`"),
        );
    } else if last.is_none() {
        desk.lacks(
            &NOT_YET_REASSESSED,
            head.loc,
            "reassessed",
            format!("the plan has not been reassessed yet; it falls due on {due}"),
            "after a reassessment add `reassessed DATE by ROLE \"what was found\"`",
        );
    }
}

fn dates(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let on = desk.on;
    let late = |date: Option<NaiveDate>| date.filter(|date| *date > on);
    let say = |what: String, date: NaiveDate, loc| {
        Finding::at(&FUTURE_DATE, loc, format!("{what} on {date}, which lies after {on}")).help("check the date")
    };
    let mut found = Vec::new();
    if let Some(head) = &plan.head {
        let dated = |dated: &Option<Dated>| dated.as_ref().and_then(|dated| Some((late(dated.date)?, dated.loc)));
        found.extend(
            dated(&head.flow_confirmed)
                .map(|(date, loc)| say("the flow is said to be confirmed".to_owned(), date, loc)),
        );
        found.extend(
            dated(&head.reassessed).map(|(date, loc)| say("the plan is said to be reassessed".to_owned(), date, loc)),
        );
        found.extend(
            head.revision
                .as_ref()
                .and_then(|revision| Some(say("the revision is dated".to_owned(), late(revision.date)?, revision.loc))),
        );
    }
    for role in &plan.roles {
        for (course, date) in &role.trained {
            found.extend(
                late(*date)
                    .map(|date| say(format!("`{}` is said to be trained (\"{course}\")", role.name), date, role.loc)),
            );
        }
    }
    for study in &plan.studies {
        let said = study.date.as_ref();
        found
            .extend(said.and_then(|said| Some(say(format!("`{}` is dated", study.name), late(said.value)?, said.loc))));
    }
    desk.findings.extend(found);
}

/// A length of time in days, for comparing terms; months and years by their mean.
pub(super) fn days(term: &Term) -> Option<f64> {
    match term {
        Term::Calendar(calendar) => Some(calendar.days()),
        #[allow(clippy::cast_precision_loss, reason = "days are compared to a day")]
        Term::Clock(time) => Some(time.nanoseconds()? as f64 / (24.0 * crate::time::HOUR as f64)),
        Term::Blank => None,
    }
}
