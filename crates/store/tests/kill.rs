//! `kill -9` in the middle of random writes: what was called saved is there, exactly once, and the chains hold.
//!
//! The test starts itself again as a child that writes and says on its standard output what it is about
//! to write ("try") and what was called saved ("saved"). The parent kills it after a random number of
//! saved writes, opens the store, and compares. The next child first delivers again what the last one
//! was not told about. This shows that a killed program loses nothing; it cannot show what a power cut
//! does, for the pages that the system holds survive the program (docs/store.md says what full sync adds).

use std::collections::{BTreeMap, BTreeSet};
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

use store::{DocumentDraft, Draft, Error, Store};

const SAVED: usize = 1_000;
const HANDS: u64 = 4;
const SEED: u64 = 0x5eed_0001;
const CHILD: &str = "CROSSHATCH_STORE_TEST_CHILD";
/// A child that says nothing for so long hangs.
const SILENCE: Duration = Duration::from_secs(20);
const WHEN: &str = "2026-03-01T09:00:00Z";

/// Steele, Lea, Flood: "Fast splittable pseudorandom number generators" (2014), the `SplitMix64` step.
struct Random(u64);

impl Random {
    fn below(&mut self, bound: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % bound
    }
}

fn engine(hand: u64) -> &'static str {
    if hand.is_multiple_of(2) { "left" } else { "right" }
}

/// The entries of one write: the same for the same hand and number, whoever makes them.
fn write_of(hand: u64, number: u64) -> Vec<Draft> {
    let mut random = Random(SEED ^ hand << 32 ^ number);
    let count = if random.below(4) == 0 { 2 + random.below(4) } else { 1 };
    let draft = |part: u64, size: u64| Draft {
        kind: "reading".into(),
        body: format!(
            "{{\"hand\":{hand},\"number\":{number},\"part\":{part},\"text\":\"{}\"}}",
            "x".repeat(size as usize)
        ),
        who: format!("hand {hand}"),
        when: WHEN.into(),
        delivery_key: Some(format!("{hand}/{number}/{part}")),
    };
    (0..count).map(|part| draft(part, random.below(3_000))).collect()
}

fn say(line: &str) {
    // The parent may be gone already; then there is nobody to tell.
    let _ = writeln!(std::io::stdout(), "{line}");
}

/// The child: every hand goes on from the first write that it was not told about.
fn child(task: &str) -> ! {
    let (folder, starts) = task.split_once('|').unwrap();
    let starts: Vec<u64> = starts.split(',').map(|start| start.parse().unwrap()).collect();
    // One hand that fails ends the child, or the others would write on as if nothing were wrong.
    let hook = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        hook(panic);
        std::process::exit(1);
    }));
    let store = Store::open(folder).unwrap();
    say("");
    thread::scope(|scope| {
        for (hand, start) in starts.into_iter().enumerate() {
            let store = store.clone();
            scope.spawn(move || write_on(&store, hand as u64, start));
        }
    });
    unreachable!("the hands write until they are killed")
}

fn write_on(store: &Store, hand: u64, start: u64) {
    for number in start.. {
        say(&format!("try {hand} {number}"));
        let entries = store.append_many(engine(hand), write_of(hand, number)).unwrap();
        let links: Vec<String> =
            entries.iter().map(|entry| format!("{}={}", entry.sequence, entry.hash)).collect();
        say(&format!("saved {hand} {number} {}", links.join(" ")));
        if number.is_multiple_of(7) {
            save_document(store, hand, number);
        }
    }
}

fn save_document(store: &Store, hand: u64, number: u64) {
    let based_on = store.latest_document(engine(hand)).unwrap().map(|document| document.info.version);
    let text = format!("hand = {hand}\nnumber = {number}\n");
    let draft = DocumentDraft { text, who: format!("hand {hand}"), when: WHEN.into(), note: String::new() };
    match store.save_document(engine(hand), based_on, draft) {
        Ok(info) => say(&format!("document {hand} {}={}", info.version, info.hash)),
        Err(Error::Conflict { .. }) => {}
        Err(other) => panic!("{other}"),
    }
}

/// What the children said.
#[derive(Default)]
struct Told {
    saved: usize,
    kills: usize,
    /// For each hand the next number to write: the one after the last that was called saved.
    next: [u64; HANDS as usize],
    tried: BTreeSet<(u64, u64)>,
    /// Engine and sequence of every entry that was called saved, with its hash.
    entries: BTreeMap<(&'static str, u64), String>,
    documents: BTreeMap<(&'static str, u64), String>,
}

impl Told {
    /// Returns whether a write was called saved. A line without its end was cut off by the kill and says nothing.
    fn hear(&mut self, line: &str) -> bool {
        let Some(line) = line.strip_suffix('\n') else { return false };
        let words: Vec<&str> = line.split(' ').collect();
        let number = |index: usize| words[index].parse::<u64>().unwrap();
        let link =
            |text: &str| text.split_once('=').map(|(n, hash)| (n.parse().unwrap(), hash.to_owned())).unwrap();
        match words[0] {
            "try" => {
                self.tried.insert((number(1), number(2)));
            }
            "saved" => {
                let hand = number(1);
                for (sequence, hash) in words[3..].iter().copied().map(link) {
                    self.entries.insert((engine(hand), sequence), hash);
                }
                self.next[hand as usize] = number(2) + 1;
                self.saved += 1;
                return true;
            }
            "document" => {
                let (version, hash) = link(words[2]);
                self.documents.insert((engine(number(1)), version), hash);
            }
            _ => {}
        }
        false
    }
}

fn start(folder: &Path, next: &[u64]) -> Child {
    let starts: Vec<String> = next.iter().map(u64::to_string).collect();
    Command::new(std::env::current_exe().unwrap())
        .args(["what_was_called_saved_survives_kill_9", "--exact", "--nocapture"])
        .env(CHILD, format!("{}|{}", folder.display(), starts.join(",")))
        .stdout(Stdio::piped())
        .spawn()
        .unwrap()
}

/// One life of a child: killed (SIGKILL on Unix) a random moment after `lives` saved writes (with 0: while it opens the store).
fn one_life(folder: &Path, told: &mut Told, lives: usize, pause: Duration) {
    let mut child = start(folder, &told.next);
    let output = lines(child.stdout.take().unwrap());
    let mut saved = 0;
    while saved < lives {
        let Ok(line) = output.recv_timeout(SILENCE) else {
            child.kill().unwrap();
            panic!("the child ended on its own or was silent for {SILENCE:?}: {:?}", child.wait());
        };
        saved += usize::from(told.hear(&line));
    }
    thread::sleep(pause);
    child.kill().unwrap();
    let status = child.wait().unwrap();
    assert!(!cfg!(unix) || status.code().is_none(), "killed, not ended on its own: {status}");
    told.kills += 1;
    // What it said before it died counts as well.
    for line in output {
        told.hear(&line);
    }
}

/// The lines of a child, each with its line break; the last may lack it.
fn lines(output: ChildStdout) -> Receiver<String> {
    let (send, receive) = channel();
    thread::spawn(move || {
        let mut output = BufReader::new(output);
        let mut line = String::new();
        while output.read_line(&mut line).unwrap() > 0 && send.send(std::mem::take(&mut line)).is_ok() {}
    });
    receive
}

fn compare(folder: &Path, told: &Told) {
    let store = Store::open(folder).unwrap();
    store.verify_all().unwrap();
    for engine in ["left", "right"] {
        let entries = store.entries(engine, 0).unwrap();
        for ((_, sequence), hash) in told.entries.range((engine, 0)..=(engine, u64::MAX)) {
            let entry = entries.get(*sequence as usize - 1).expect("what was called saved is there");
            assert_eq!(&entry.hash.to_string(), hash);
        }
        for ((_, version), hash) in told.documents.range((engine, 0)..=(engine, u64::MAX)) {
            assert_eq!(&store.document_version(engine, *version).unwrap().info.hash.to_string(), hash);
        }
    }
}

/// Every write that was tried is there once as a whole, or not at all; every write called saved is there.
fn whole_and_once(folder: &Path, told: &Told) {
    let store = Store::open(folder).unwrap();
    let mut count = BTreeMap::new();
    for engine in ["left", "right"] {
        for entry in store.entries(engine, 0).unwrap() {
            *count.entry((engine, entry.body)).or_insert(0) += 1;
        }
    }
    assert!(count.values().all(|count| *count == 1), "nothing twice");
    let mut expected = 0;
    for (hand, number) in told.tried.iter().copied() {
        let drafts = write_of(hand, number);
        let kept =
            drafts.iter().filter(|draft| count.contains_key(&(engine(hand), draft.body.clone()))).count();
        let is_saved = number < told.next[hand as usize];
        assert!(kept == drafts.len() || (kept == 0 && !is_saved), "hand {hand}, write {number}: {kept} kept");
        expected += kept;
    }
    assert_eq!(count.len(), expected, "nothing that nobody wrote");
}

#[test]
fn what_was_called_saved_survives_kill_9() {
    if let Ok(task) = std::env::var(CHILD) {
        child(&task);
    }
    let root = tempfile::tempdir().unwrap();
    let folder = root.path().join("shop");
    let store = Store::open(&folder).unwrap();
    store.create_engine("left", "Left", WHEN).unwrap();
    store.create_engine("right", "Right", WHEN).unwrap();
    drop(store);
    let mut told = Told::default();
    let mut random = Random(SEED);
    while told.saved < SAVED {
        let lives = random.below(60) as usize;
        let pause = Duration::from_micros(random.below(3_000));
        one_life(&folder, &mut told, lives, pause);
        compare(&folder, &told);
    }
    whole_and_once(&folder, &told);
    assert!(told.kills >= 10 && !told.documents.is_empty());
    let _ = writeln!(
        std::io::stdout(),
        "{} writes called saved ({} entries, {} document versions), {} kills",
        told.saved,
        told.entries.len(),
        told.documents.len(),
        told.kills
    );
}
