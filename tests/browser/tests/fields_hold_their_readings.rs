//! A field shows its whole reading: on the desk, on a tablet and on a tablet in the hand, of both demo engines.

mod bench;

use bench::{Bench, FOUR};
use browser_tests::{Outcome, Session, Viewport};

const VEE: &str = "/engine/pushrod-v8";
const SHEETS: [&str; 8] = ["casting", "bores", "crank", "bearings", "rods", "pistons", "head", "valves"];
const SCREENS: [Viewport; 3] = [
    Viewport { name: "small desk", width: 1366, height: 900, touch: false },
    Viewport::TABLET_LANDSCAPE,
    Viewport::TABLET_PORTRAIT,
];

/// Faults of every field of the page: a text of the greatest length that does not fit; a field that its neighbour
/// or a note beside it covers. Eight characters are `108.1075` or `-12.3456`; a map of seven directions and more
/// holds short figures (walls, flows, hardness), of which six characters are one more than any that stands there.
const LOOK: &str = "
    const faults = [], rows = new Map();
    const covers = (a, b) => a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 1 && b.top < a.bottom - 1;
    const fields = [...document.querySelectorAll('.readings td.in input')];
    for (const field of fields) {
        const name = field.dataset.feature, stood = field.value;
        const columns = Number(/columns-(\\d+)/.exec(field.closest('table').className)[1]);
        const most = columns > 6 ? 6 : 8;
        if (stood.length > most) faults.push(`${name}: ${stood} is longer than this test thinks`);
        for (const text of [stood, '88888.88'.slice(8 - most)]) {
            field.value = text;
            if (field.scrollWidth > field.clientWidth) faults.push(`${name}: ${text} needs ${field.scrollWidth} of ${field.clientWidth} px`);
        }
        field.value = stood;
        const box = field.getBoundingClientRect();
        const notes = [...field.parentElement.querySelectorAll('.taken, .struck')].filter((note) => note.textContent !== '');
        for (const note of notes) if (covers(box, note.getBoundingClientRect())) faults.push(`${name}: covered by its note ${note.textContent}`);
        for (const note of notes) {
            const r = note.getBoundingClientRect(), cell = field.parentElement.getBoundingClientRect();
            if (r.left < cell.left - 1 || r.right > cell.right + 1 || note.scrollWidth > note.clientWidth) faults.push(`${name}: its note ${note.textContent} is cut`);
        }
        const row = field.closest('tr');
        if (!rows.has(row)) rows.set(row, []);
        for (const [other, there] of rows.get(row)) if (covers(box, there)) faults.push(`${name}: covered by ${other}`);
        rows.get(row).push([name, box]);
    }
    return [fields.length, faults];
";

async fn faults(session: &Session) -> Outcome<(u64, Vec<String>)> {
    let answer = session.script(LOOK).await?;
    let list = answer[1].as_array().into_iter().flatten();
    Ok((answer[0].as_u64().unwrap_or_default(), list.filter_map(|f| f.as_str().map(str::to_owned)).collect()))
}

#[tokio::test]
async fn every_field_of_every_reading_sheet_holds_its_reading() -> Outcome {
    let bench = Bench::set_up()?;
    for screen in SCREENS {
        let session = bench.open("/", screen).await?;
        let (mut found, mut fields) = (Vec::new(), 0);
        for engine in [FOUR, VEE] {
            for sheet in SHEETS {
                session.goto(&bench.program.url(&format!("{engine}/sheet/{sheet}"))).await?;
                let (count, of_sheet) = faults(&session).await?;
                assert!(count > 0, "{engine}/sheet/{sheet} has no field");
                fields += count;
                found.extend(of_sheet.into_iter().map(|f| format!("{engine} at {} px: {f}", screen.width)));
            }
        }
        assert!(fields > 600, "only {fields} fields");
        assert!(found.is_empty(), "{} faults of {fields} fields:\n{}", found.len(), found.join("\n"));
        session.close().await?;
    }
    Ok(())
}

/// The note that says at what a single field was read stands under its figure, and takes no width of it.
#[tokio::test]
async fn a_note_in_a_field_stands_under_its_figure() -> Outcome {
    let bench = Bench::set_up()?;
    let session = bench.open(&format!("{FOUR}/sheet/bores"), Viewport::TABLET_PORTRAIT).await?;
    let below = session
        .script(
            "const notes = [...document.querySelectorAll('.readings .taken')].filter((n) => n.textContent !== ''); \
             return notes.map((n) => n.getBoundingClientRect().top >= n.parentElement.querySelector('input').getBoundingClientRect().bottom - 1)",
        )
        .await?;
    let below = below.as_array().cloned().unwrap_or_default();
    assert!(!below.is_empty(), "the demo has a bore read at another temperature");
    assert!(below.iter().all(|b| b.as_bool() == Some(true)), "{below:?}");
    Ok(())
}
