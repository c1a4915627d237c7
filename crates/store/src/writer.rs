//! The one door for writing: a thread that owns the writing connection and takes jobs from a bounded
//! queue. Jobs that wait together are committed together (one flush of the disk for all of them), each
//! inside its own savepoint, and nobody gets an answer before that commit.

use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::thread::JoinHandle;

use rusqlite::{Connection, Transaction, TransactionBehavior};

use crate::error::{Error, Result};

/// How many jobs may wait before a caller has to.
const QUEUE: usize = 256;
/// How many jobs share a commit at most.
const GROUP: usize = 128;

/// A job runs inside the transaction (or hears why there is none) and says whether its changes stay; its
/// answer waits for the commit.
type Job = Box<dyn FnOnce(Result<&Connection, String>) -> Ran + Send>;

struct Ran {
    keep: bool,
    answer: Box<dyn FnOnce(Result<(), String>) + Send>,
}

pub(crate) struct Writer {
    queue: Option<SyncSender<Job>>,
    thread: Option<JoinHandle<()>>,
}

impl Writer {
    pub(crate) fn start(connection: Connection) -> Result<Self> {
        let (queue, jobs) = sync_channel(QUEUE);
        let thread = std::thread::Builder::new()
            .name("store-writer".to_owned())
            .spawn(move || serve(connection, &jobs))
            .map_err(Error::io("start a thread for", crate::schema::DATABASE))?;
        Ok(Self { queue: Some(queue), thread: Some(thread) })
    }

    /// Runs `work` in the writer and returns its result after the commit.
    pub(crate) fn run<T, W>(&self, work: W) -> Result<T>
    where
        T: Send + 'static,
        W: FnOnce(&Connection) -> Result<T> + Send + 'static,
    {
        self.submit(work)?.recv().map_err(|_| Error::Closed)?
    }

    /// Puts `work` into the queue; its result comes after the commit.
    fn submit<T, W>(&self, work: W) -> Result<Receiver<Result<T>>>
    where
        T: Send + 'static,
        W: FnOnce(&Connection) -> Result<T> + Send + 'static,
    {
        let (answer, answers) = sync_channel(1);
        let job: Job = Box::new(move |connection| {
            let result = connection.map_err(|problem| Error::NotCommitted { problem }).and_then(work);
            let keep = result.is_ok();
            let answer = Box::new(move |commit: Result<(), String>| {
                let result = match commit {
                    Err(problem) if keep => Err(Error::NotCommitted { problem }),
                    _ => result,
                };
                // Whoever asked may have gone away; what was committed stays committed.
                let _ = answer.send(result);
            });
            Ran { keep, answer }
        });
        self.queue.as_ref().ok_or(Error::Closed)?.send(job).map_err(|_| Error::Closed)?;
        Ok(answers)
    }
}

impl Drop for Writer {
    /// Lets the waiting jobs finish, then closes the connection.
    fn drop(&mut self) {
        self.queue = None;
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

fn serve(mut connection: Connection, jobs: &Receiver<Job>) {
    while let Ok(first) = jobs.recv() {
        let group = std::iter::once(first).chain(jobs.try_iter().take(GROUP - 1));
        let mut answers = Vec::new();
        let commit = commit_group(&mut connection, group, &mut answers);
        for answer in answers {
            answer(commit.clone());
        }
    }
}

type Answers = Vec<Box<dyn FnOnce(Result<(), String>) + Send>>;

/// Runs the jobs of a group and commits them. On an error none of them is kept.
fn commit_group(
    connection: &mut Connection,
    group: impl Iterator<Item = Job>,
    answers: &mut Answers,
) -> Result<(), String> {
    let begun = connection.transaction_with_behavior(TransactionBehavior::Immediate);
    let mut transaction = begun.map_err(|fault| fault.to_string());
    for job in group {
        let ran = match &mut transaction {
            Ok(open) => run_job(open, job, answers),
            Err(problem) => {
                answers.push(job(Err(problem.clone())).answer);
                Ok(())
            }
        };
        if let Err(problem) = ran {
            transaction = Err(problem);
        }
    }
    transaction?.commit().map_err(|fault| fault.to_string())
}

/// Runs one job in its own savepoint. An error means that the whole transaction is lost.
fn run_job(transaction: &mut Transaction<'_>, job: Job, answers: &mut Answers) -> Result<(), String> {
    let savepoint = match transaction.savepoint() {
        Ok(savepoint) => savepoint,
        Err(fault) => {
            answers.push(job(Err(fault.to_string())).answer);
            return Err(fault.to_string());
        }
    };
    let Ran { keep, answer } = job(Ok(&savepoint));
    answers.push(answer);
    if savepoint.is_autocommit() {
        // A full disk or an unreadable page makes SQLite roll back all of it on its own.
        return Err("the database rolled the whole group of writes back".to_owned());
    }
    if keep { savepoint.commit() } else { savepoint.finish() }.map_err(|fault| fault.to_string())
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;
    use std::sync::mpsc::channel;

    use super::*;

    fn counter() -> Connection {
        let connection = Connection::open_in_memory().unwrap();
        connection.execute_batch("CREATE TABLE number (n INTEGER CHECK (n < 1000))").unwrap();
        connection
    }

    fn add(n: i64) -> impl FnOnce(&Connection) -> Result<()> + Send {
        move |connection| {
            connection
                .execute("INSERT INTO number VALUES (?1)", [n])
                .map(drop)
                .map_err(Error::database("adding"))
        }
    }

    fn count(writer: &Writer) -> i64 {
        let select = "SELECT count(*) FROM number";
        writer.run(move |connection| Ok(connection.query_one(select, [], |row| row.get(0)).unwrap())).unwrap()
    }

    type Work = Box<dyn FnOnce(&Connection) -> Result<()> + Send>;

    /// Holds the writer until the other jobs wait, so that they share a commit in the order of this list.
    fn together(writer: &Arc<Writer>, works: Vec<Work>) -> Vec<Result<()>> {
        let (release, released) = channel::<()>();
        let held = writer
            .submit(move |_| {
                released.recv().unwrap();
                Ok(())
            })
            .unwrap();
        let waiting: Vec<_> = works.into_iter().map(|work| writer.submit(work).unwrap()).collect();
        release.send(()).unwrap();
        // The holder is in the group itself, so its result is that of the commit.
        let _ = held.recv().unwrap();
        waiting.into_iter().map(|answer| answer.recv().unwrap()).collect()
    }

    #[test]
    fn a_job_that_fails_does_not_take_its_neighbours_along() {
        let writer = Arc::new(Writer::start(counter()).unwrap());
        let results = together(&writer, vec![Box::new(add(1)), Box::new(add(1000)), Box::new(add(2))]);
        assert!(results[0].is_ok() && results[1].is_err() && results[2].is_ok(), "{results:?}");
        assert_eq!(count(&writer), 2);
    }

    #[test]
    fn when_the_transaction_is_lost_nobody_in_the_group_hears_that_it_was_saved() {
        let writer = Arc::new(Writer::start(counter()).unwrap());
        let lose = |connection: &Connection| {
            connection.execute_batch("ROLLBACK").unwrap();
            Ok(())
        };
        let results = together(&writer, vec![Box::new(add(1)), Box::new(lose), Box::new(add(2))]);
        assert!(
            results.iter().all(|result| matches!(result, Err(Error::NotCommitted { .. }))),
            "{results:?}"
        );
        assert_eq!(count(&writer), 0);
        writer.run(add(3)).unwrap();
        assert_eq!(count(&writer), 1, "the writer goes on afterwards");
    }

    #[test]
    fn a_lost_answer_does_not_stop_the_writer() {
        let writer = Writer::start(counter()).unwrap();
        let (sent, _) = sync_channel::<Result<()>>(1);
        let orphan: Job = Box::new(move |connection| {
            let result = connection.map_err(|problem| Error::NotCommitted { problem }).and_then(add(1));
            let keep = result.is_ok();
            Ran { keep, answer: Box::new(move |_| drop(sent.send(result))) }
        });
        writer.queue.as_ref().unwrap().send(orphan).unwrap();
        assert_eq!(count(&writer), 1);
    }

    #[test]
    fn waiting_jobs_are_finished_before_the_writer_closes() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("file");
        let connection = Connection::open(&path).unwrap();
        connection.execute_batch("CREATE TABLE number (n INTEGER)").unwrap();
        let writer = Arc::new(Writer::start(connection).unwrap());
        let results = together(&writer, vec![Box::new(add(1)), Box::new(add(2))]);
        assert!(results.iter().all(Result::is_ok));
        drop(writer);
        let again = Connection::open(&path).unwrap();
        assert_eq!(
            again.query_one("SELECT count(*) FROM number", [], |row| row.get::<_, i64>(0)).unwrap(),
            2
        );
    }
}
