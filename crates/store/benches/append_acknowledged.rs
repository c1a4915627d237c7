//! How long until an appended reading is called saved: committed, and flushed to the disk.
//!
//! * `one_hand`: one caller, one entry at a time: the price of a flush.
//! * `eight_hands`: eight callers at once; waiting entries share a flush, so the time for each falls.
//! * `sheet_of_24`: 24 readings handed in together (one flush for all), time for the whole sheet.

use std::sync::atomic::{AtomicU64, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use criterion::{Criterion, criterion_group, criterion_main};
use store::{Draft, Store};

const ENGINE: &str = "bench";
const WHEN: &str = "2026-03-01T09:00:00Z";
const HANDS: u64 = 8;

static NUMBER: AtomicU64 = AtomicU64::new(0);

fn draft() -> Draft {
    let number = NUMBER.fetch_add(1, Ordering::Relaxed);
    Draft {
        kind: "reading".into(),
        body: r#"{"feature":"block.bore.3.mid.thrust","value":"89.101 mm","instrument":"bore gauge 2","temperature":"21.5 degC"}"#.into(),
        who: "Ada".into(),
        when: WHEN.into(),
        delivery_key: Some(format!("tablet-1/{number}")),
    }
}

/// Shares the iterations among the hands and takes the time until the last is done.
fn eight_hands(store: &Store, iterations: u64) -> Duration {
    let start = Instant::now();
    thread::scope(|scope| {
        for hand in 0..HANDS {
            let share = iterations / HANDS + u64::from(hand < iterations % HANDS);
            scope.spawn(move || (0..share).for_each(|_| drop(store.append(ENGINE, draft()).unwrap())));
        }
    });
    start.elapsed()
}

fn append_acknowledged(criterion: &mut Criterion) {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).unwrap();
    store.create_engine(ENGINE, "Bench", WHEN).unwrap();
    let mut group = criterion.benchmark_group("append_acknowledged");
    group.bench_function("one_hand", |bencher| bencher.iter(|| store.append(ENGINE, draft()).unwrap()));
    group.bench_function("eight_hands", |bencher| bencher.iter_custom(|count| eight_hands(&store, count)));
    group.bench_function("sheet_of_24", |bencher| {
        bencher.iter(|| store.append_many(ENGINE, (0..24).map(|_| draft()).collect()).unwrap());
    });
    group.finish();
    store.verify(ENGINE).unwrap();
}

criterion_group!(benches, append_acknowledged);
criterion_main!(benches);
