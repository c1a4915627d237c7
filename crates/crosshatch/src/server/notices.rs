//! One sentence on top of a page after something was done. The address carries a word, never text of its own.

use engine::quantity::counted;

/// The sentence for the word in `?done=`.
pub(super) fn sentence(done: &str) -> Option<String> {
    let (word, number) = done.split_once('-').map_or((done, None), |(w, n)| (w, n.parse::<usize>().ok()));
    Some(match (word, number) {
        ("kept", Some(n)) => format!("Kept as version {n} of the document."),
        ("operation", _) if done == "operation-back" => {
            "Operation taken back: it moves nothing now, and stays in the record.".to_owned()
        }
        ("operation", _) => "Operation recorded. What it moved is stale now and asked for again. It can be taken back on the page Readings.".to_owned(),
        ("started", _) => {
            "Started. Fill in what you know under \u{201c}Spec\u{201d}, or begin to read.".to_owned()
        }
        ("reading", _) => "Reading taken back: it counts no more, and stays in the record.".to_owned(),
        ("away", _) => "Put away: nothing of it is lost, and it can be put on the shelf again below.".to_owned(),
        ("back", _) => "On the shelf again.".to_owned(),
        ("backup", _) => "Backup made, read back and restored on trial: it is good.".to_owned(),
        ("taken", Some(0)) => "Taken in. No readings came with it.".to_owned(),
        ("taken", Some(n)) => format!("Taken in with {}.", counted(n, "reading", "readings")),
        ("imported", Some(0)) => "Nothing new: every reading of this file is in the log already.".to_owned(),
        ("partly", Some(n)) => format!("{} imported; the others of the file are in the log already: same place, value, gauge, temperature and time. Where one is a repeat, give it its own time or a note, and import again.", counted(n, "reading", "readings")),
        ("imported", Some(n)) => format!("{} imported.", counted(n, "reading", "readings")),
        _ => return None,
    })
}
