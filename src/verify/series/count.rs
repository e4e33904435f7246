//! How many of any so many in a row miss a limit: the fewest and the most that the record allows.

use crate::verdict::Verdict;

/// One lot or sample of a series.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Member {
    /// When, in nanoseconds UTC; `None` where nothing says when, so that it may stand anywhere in the order.
    pub at: Option<i64>,
    /// Its own verdict.
    pub verdict: Verdict,
    /// Whether it may be none of the series, since the fact that would say so is not recorded.
    pub perhaps: bool,
    /// Whether it belongs to the period that is verified.
    pub own: bool,
}

/// What is asked of a series.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Asked {
    /// How many in a row.
    pub of: usize,
    /// Whether something may have gone before the first that is on record.
    pub open: bool,
}

/// The fewest and the most that can have missed the limit in one run, and where.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Counted {
    /// No fewer than these missed it in the worst run.
    pub least: usize,
    /// No more than these can have missed it in any run.
    pub most: usize,
    /// The first and last member of the run with `least`, by index.
    pub sure: Option<(usize, usize)>,
    /// The first and last member of the run with `most`, by index.
    pub worst: Option<(usize, usize)>,
    /// How many of the run with `most` lie before the first that is on record.
    pub before: usize,
    /// How many runs end in the period.
    pub runs: usize,
}

/// Counts over every run that ends with a member of the period. The members are in order of time, those without a time
/// at the end.
///
/// Members of one instant may stand in either order. One without a time may stand anywhere, and one that is perhaps
/// none of the series may be left out: `least` takes the runs that are surely no longer than asked for, `most` every
/// member that a run can hold.
pub(super) fn count(members: &[Member], asked: Asked) -> Counted {
    let placed = members.iter().take_while(|member| member.at.is_some()).count();
    let loose = members.len() - placed;
    let mut found = Counted::default();
    if members.iter().all(|member| !member.own) {
        return found;
    }
    least(members, placed, asked.of.saturating_sub(loose), &mut found);
    // Where all of them fit in one run, it holds every one, whatever their order.
    let last_is_own = members.get(placed.wrapping_sub(1)).is_none_or(|last| last.own);
    let whole = members.len() <= asked.of && last_is_own && members.iter().all(|member| !member.perhaps);
    let every = members.iter().filter(|member| member.verdict == Verdict::NotMet).count();
    if whole && every > found.least {
        found.least = every;
        found.sure = Some((0, members.len() - 1));
    }
    most(members, placed, asked, &mut found);
    found
}

/// How many of one instant there are, and how many of those count. The indices are in order of time.
fn tie(members: &[Member], sorted: &[usize], at: Option<i64>, counts: impl Fn(&Member) -> bool) -> (usize, usize) {
    let when = |index: &usize| members.get(*index).and_then(|member| member.at);
    let from = sorted.partition_point(|index| when(index) < at);
    let to = sorted.partition_point(|index| when(index) <= at);
    let same = sorted.get(from..to).unwrap_or(&[]).iter().filter_map(|index| members.get(*index));
    same.fold((0, 0), |(all, counted), member| (all + 1, counted + usize::from(counts(member))))
}

/// The most of a run that surely missed the limit, over the runs of this length.
fn least(members: &[Member], placed: usize, length: usize, found: &mut Counted) {
    let all: Vec<usize> = (0..placed).collect();
    let missed = |member: &Member| member.verdict == Verdict::NotMet;
    for end in 0..placed {
        if length == 0 || members.get(end).is_none_or(|member| !member.own || member.perhaps) {
            continue;
        }
        let start = (end + 1).saturating_sub(length);
        let run = all.get(start..=end).unwrap_or(&[]);
        let sum = edges(members, &all, run, missed, |inside, (of, counted)| counted.saturating_sub(of - inside));
        if sum > found.least || found.sure.is_none() {
            found.least = sum;
            found.sure = Some((start, end));
        }
    }
}

/// A run's sum: its inside whole, and of those that share the instant of its first or last member what `take` allows.
fn edges(
    members: &[Member],
    all: &[usize],
    run: &[usize],
    counts: impl Fn(&Member) -> bool + Copy,
    take: impl Fn(usize, (usize, usize)) -> usize,
) -> usize {
    let at = |index: Option<&usize>| index.and_then(|index| members.get(*index)).and_then(|member| member.at);
    let (first, last) = (at(run.first()), at(run.last()));
    let inside = run.iter().filter_map(|index| members.get(*index));
    let mut sum = inside.filter(|member| member.at != first && member.at != last && counts(member)).count();
    for edge in if first == last { vec![first] } else { vec![first, last] } {
        let within = tie(members, run, edge, counts).0;
        sum += take(within, tie(members, all, edge, counts));
    }
    sum
}

/// The most of any run that can have missed the limit.
fn most(members: &[Member], placed: usize, asked: Asked, found: &mut Counted) {
    let can = |member: &Member| member.verdict != Verdict::Met;
    let sure: Vec<usize> = (0..placed).filter(|index| members.get(*index).is_some_and(|one| !one.perhaps)).collect();
    let loose = members.iter().skip(placed).filter(|member| can(member)).count();
    let consider = |sum: usize, run: (usize, usize), before: usize, found: &mut Counted| {
        found.runs += 1;
        let sum = (sum + loose + before).min(asked.of);
        if sum > found.most || found.worst.is_none() {
            (found.most, found.worst, found.before) = (sum, Some(run), before);
        }
    };
    for (rank, end) in sure.iter().enumerate() {
        let next = sure.get(rank + 1).copied().unwrap_or(placed);
        // A run may also end with one behind it that is perhaps none of the series.
        let ends_here = (*end..next).any(|index| members.get(index).is_some_and(|member| member.own));
        if !ends_here && placed == members.len() {
            continue;
        }
        let start = (rank + 1).saturating_sub(asked.of);
        let run = sure.get(start..=rank).unwrap_or(&[]);
        let before = if asked.open { asked.of.saturating_sub(run.len()) } else { 0 };
        let sum = edges(members, &sure, run, can, |inside, (_, counted)| counted.min(inside));
        let from = if start == 0 { 0 } else { sure.get(start - 1).map_or(0, |index| index + 1) };
        let maybe = (from..next).filter_map(|index| members.get(index)).filter(|one| one.perhaps && can(one)).count();
        consider(sum + maybe, (from.min(*end), (next.max(1) - 1).max(*end)), before, found);
    }
    if found.worst.is_none() || placed < members.len() && asked.open {
        // A run may end with one that perhaps stands before every other.
        let maybe = members.iter().take(placed).filter(|member| member.perhaps && can(member)).count();
        let before = if asked.open { asked.of.saturating_sub(1) } else { 0 };
        consider(maybe, (0, members.len().max(1) - 1), before, found);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every order that the times allow, with and without those that are perhaps none, every unknown one both ways.
    fn truths(members: &[Member], asked: Asked) -> (usize, usize) {
        let (mut least, mut most) = (usize::MAX, 0);
        let mut orders: Vec<Vec<usize>> = vec![Vec::new()];
        for index in 0..members.len() {
            orders = orders
                .into_iter()
                .flat_map(|order| {
                    (0..=order.len()).map(move |place| {
                        let mut longer = order.clone();
                        longer.insert(place, index);
                        longer
                    })
                })
                .collect();
        }
        let in_time = |order: &Vec<usize>| {
            let times: Vec<i64> = order.iter().filter_map(|index| members[*index].at).collect();
            times.is_sorted()
        };
        for order in orders.iter().filter(|order| in_time(order)) {
            for choice in 0..1_u32 << (2 * members.len()) {
                let bit = |at: usize| choice >> at & 1 == 1;
                if order.iter().any(|index| bit(*index) && !members[*index].perhaps) {
                    continue;
                }
                let missed = |index: usize| match members[index].verdict {
                    Verdict::NotMet => true,
                    Verdict::Met => false,
                    Verdict::NotShown => bit(members.len() + index),
                };
                let row: Vec<usize> = order.iter().copied().filter(|index| !bit(*index)).collect();
                for before in [false, true] {
                    let ends = (0..row.len()).filter(|end| members[row[*end]].own);
                    let counts = ends.map(|end| {
                        let start = (end + 1).saturating_sub(asked.of);
                        let inside = (start..=end).filter(|at| missed(row[*at])).count();
                        let short = asked.of - (end + 1 - start);
                        inside + if before && asked.open { short } else { 0 }
                    });
                    let worst = counts.max().unwrap_or(0);
                    (least, most) = (least.min(worst), most.max(worst));
                }
            }
        }
        (least, most)
    }

    #[test]
    fn no_way_it_can_have_been_lies_outside() {
        let mut state: u64 = 7;
        let (mut tried, mut exact) = (0, 0);
        for _ in 0..1500 {
            let mut next = |below: u64| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                (state >> 33) % below
            };
            let size = 1 + next(5);
            let mut members: Vec<Member> = (0..size)
                .map(|_| {
                    let at = if next(6) == 0 { None } else { Some(next(4).try_into().unwrap()) };
                    let verdict = [Verdict::NotMet, Verdict::Met, Verdict::NotShown][usize::try_from(next(3)).unwrap()];
                    let perhaps = verdict == Verdict::NotShown && next(3) == 0;
                    Member { at, verdict, perhaps, own: true }
                })
                .collect();
            members.sort_by_key(|member| (member.at.is_none(), member.at));
            let edge: i64 = next(3).try_into().unwrap();
            for member in &mut members {
                member.own = member.at.is_none_or(|at| at >= edge);
            }
            let asked = Asked { of: 2 + usize::try_from(next(3)).unwrap(), open: next(2) == 0 };
            if members.iter().all(|member| !member.own) {
                continue;
            }
            let found = count(&members, asked);
            let (least, most) = truths(&members, asked);
            assert!(found.least <= least && most <= found.most, "{members:?} {asked:?}: {found:?}, {least} to {most}");
            tried += 1;
            exact += usize::from(found.least == least && found.most == most);
        }
        assert!(tried > 1000, "{tried}");
        // The bounds are those of the possibilities in most cases, and never narrower.
        assert!(exact * 10 > tried * 8, "{exact} of {tried}");
    }
}
