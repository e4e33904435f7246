//! Work on several cores whose results come back in order.

use std::collections::{BTreeMap, VecDeque};
use std::sync::{Condvar, Mutex, PoisonError, mpsc};

/// How files are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Manner {
    /// On how many threads rows are read and lots are judged.
    pub threads: usize,
    /// How many bytes of a file are taken at a time.
    pub block: usize,
}

/// The most threads; each holds a block.
const MOST: usize = 8;

impl Default for Manner {
    /// On every core that there is, eight mebibytes at a time. What is read does not depend on it.
    fn default() -> Self {
        let threads = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        Manner { threads: threads.min(MOST), block: 8 << 20 }
    }
}

struct Queue<J> {
    jobs: VecDeque<(usize, J)>,
    closed: bool,
}

/// Does each job, on several threads, and hands the results on in the order of the jobs, until there is no job more or a
/// result is answered with false. No more jobs are open at once than there are threads, and one.
pub(crate) fn in_order<J: Send, R: Send>(
    threads: usize,
    next: &mut dyn FnMut() -> Option<J>,
    work: &(dyn Fn(J) -> R + Sync),
    done: &mut dyn FnMut(R) -> bool,
) {
    if threads <= 1 {
        while let Some(job) = next() {
            if !done(work(job)) {
                return;
            }
        }
        return;
    }
    let queue = Mutex::new(Queue { jobs: VecDeque::new(), closed: false });
    let waiting = Condvar::new();
    let lock = || queue.lock().unwrap_or_else(PoisonError::into_inner);
    let (sender, results) = mpsc::channel();
    std::thread::scope(|scope| {
        for _ in 0..threads {
            let sender = sender.clone();
            let (waiting, lock) = (&waiting, &lock);
            scope.spawn(move || {
                loop {
                    let mut open = lock();
                    let job = loop {
                        if let Some(job) = open.jobs.pop_front() {
                            break Some(job);
                        }
                        if open.closed {
                            break None;
                        }
                        open = waiting.wait(open).unwrap_or_else(PoisonError::into_inner);
                    };
                    drop(open);
                    let Some((index, job)) = job else { return };
                    let result = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| work(job)));
                    if sender.send((index, result)).is_err() {
                        return;
                    }
                }
            });
        }
        drop(sender);
        let (mut given, mut taken, mut more) = (0, 0, true);
        let mut early = BTreeMap::new();
        while more || taken < given {
            if more && given - taken <= threads {
                match next() {
                    Some(job) => {
                        lock().jobs.push_back((given, job));
                        waiting.notify_one();
                        given += 1;
                    }
                    None => more = false,
                }
                continue;
            }
            let Ok((index, result)) = results.recv() else { break };
            early.insert(index, result);
            while let Some(result) = early.remove(&taken) {
                taken += 1;
                match result {
                    Ok(result) => {
                        if !done(result) {
                            more = false;
                            taken = given;
                        }
                    }
                    Err(panic) => {
                        close(&mut lock(), &waiting);
                        std::panic::resume_unwind(panic);
                    }
                }
            }
        }
        close(&mut lock(), &waiting);
    });
}

/// Does the same with every item, on several threads; the results are in the order of the items.
pub(crate) fn each_of<J: Send, R: Send>(
    threads: usize,
    items: impl ExactSizeIterator<Item = J> + Send,
    work: &(dyn Fn(J) -> R + Sync),
) -> Vec<R> {
    let threads = threads.min(items.len());
    if threads <= 1 {
        return items.map(work).collect();
    }
    let mut results: Vec<(usize, R)> = Vec::with_capacity(items.len());
    let open = Mutex::new(items.enumerate());
    let take = || open.lock().unwrap_or_else(PoisonError::into_inner).next();
    std::thread::scope(|scope| {
        let run = || {
            let mut own = Vec::new();
            while let Some((index, item)) = take() {
                own.push((index, work(item)));
            }
            own
        };
        let others: Vec<_> = (1..threads).map(|_| scope.spawn(run)).collect();
        results.extend(run());
        for other in others {
            match other.join() {
                Ok(own) => results.extend(own),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
    });
    results.sort_unstable_by_key(|(index, _)| *index);
    results.into_iter().map(|(_, result)| result).collect()
}

fn close<J>(queue: &mut Queue<J>, waiting: &Condvar) {
    queue.jobs.clear();
    queue.closed = true;
    waiting.notify_all();
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_come_in_the_order_of_the_jobs_and_end_when_told() {
        for threads in [1, 2, 5] {
            for stop in [3, 1000] {
                let mut jobs = 0..200_u64;
                let mut got = Vec::new();
                in_order(
                    threads,
                    &mut || jobs.next(),
                    &|job| {
                        (0..(job * 37) % 91 * 50).map(std::hint::black_box).count();
                        job
                    },
                    &mut |result| {
                        got.push(result);
                        got.len() < stop
                    },
                );
                let wanted: Vec<u64> = (0..200).take(stop).collect();
                assert_eq!(got, wanted);
            }
            assert_eq!(each_of(threads, 0..99_u32, &|job| job * job), (0..99).map(|job| job * job).collect::<Vec<_>>());
        }
    }
}
