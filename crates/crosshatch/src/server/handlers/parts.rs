//! Sizes and limits part by part.

use super::super::app::App;
use super::super::errors::{Fault, Page};
use super::Done;
use super::form::{Fields, Posted, fields, get};
use crate::workbench::{self, Assessed, Error, PartChange};
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use std::collections::BTreeMap;

/// GET /engine/{id}/parts
pub(in crate::server) async fn index(State(app): State<App>, Path(id): Path<String>) -> Result<Page, Fault> {
    app.page(id, None, |view| Ok(pages::parts_index(view))).await
}

/// GET /engine/{id}/parts/{section}
pub(in crate::server) async fn show(
    State(app): State<App>,
    Path((id, section)): Path<(String, String)>,
    Query(done): Query<Done>,
) -> Result<Page, Fault> {
    app.work(move |app| {
        let assessed = app.bench.engine(&id)?;
        let values = pages::part_values(&assessed.text, &section);
        let (wrong, asked) = (BTreeMap::new(), pages::Asked::default());
        let said = pages::PartState { values: &values, errors: &wrong, asked: &asked };
        page(app, &assessed, &section, said, assessed.version, done.done.as_deref()).map(Page)
    })
    .await
}

fn page(
    app: &App,
    assessed: &Assessed,
    section: &str,
    said: pages::PartState,
    based_on: u64,
    done: Option<&str>,
) -> Result<String, Fault> {
    // What is about no field of this form stands on top.
    let elsewhere = said.errors.get("").map(|problem| format!("Nothing was changed. {problem}"));
    let notice = done.and_then(super::super::notices::sentence).or(elsewhere);
    let power = app.power_words(&assessed.id);
    pages::parts_form(
        &app.view(assessed, &power, notice.as_deref()),
        section,
        said,
        &pages::part_values(&assessed.text, section),
        based_on,
    )
    .ok_or_else(|| {
        Fault::missing(format!("The document has no section \"{section}\" with a form."))
            .link(format!("/engine/{}/parts", assessed.id), "Specification")
    })
}

/// POST /engine/{id}/parts/{section}
pub(in crate::server) async fn save(
    State(app): State<App>,
    Path((id, section)): Path<(String, String)>,
    posted: Posted,
) -> Result<Response, Fault> {
    let fields = fields(&app, posted)?;
    app.work(move |app| {
        let based_on: u64 = get(&fields, "based_on").parse().unwrap_or(0);
        let refused = match keep(app, &id, &section, &fields, based_on) {
            Ok(kept) => {
                let at = format!("/engine/{id}/parts/{section}?done=kept-{}", kept.version);
                return Ok(Redirect::to(&at).into_response());
            }
            Err(refused) => refused?,
        };
        let assessed = app.bench.engine(&id)?;
        let typed = typed(&fields);
        let (wrong, asked) = match refused {
            Refused::Wrong(wrong) => (wrong, pages::Asked::default()),
            Refused::Asked(asked) => (BTreeMap::new(), asked),
        };
        let said = pages::PartState { values: &typed, errors: &wrong, asked: &asked };
        let html = page(app, &assessed, &section, said, based_on, None)?;
        Ok((StatusCode::UNPROCESSABLE_ENTITY, Page(html)).into_response())
    })
    .await
}

/// Why nothing was kept.
enum Refused {
    /// What is wrong, by field.
    Wrong(BTreeMap<String, String>),
    /// What is asked once.
    Asked(pages::Asked),
}

/// Keeps what was typed. The inner result holds what is wrong by field, or what is no matter of fields.
fn keep(
    app: &App,
    id: &str,
    section: &str,
    fields: &Fields,
    based_on: u64,
) -> Result<std::sync::Arc<Assessed>, Result<Refused, Fault>> {
    let assessed = app.bench.engine(id).map_err(|error| Err(error.into()))?;
    let (units, shop) = (assessed.engine.units(), &assessed.engine.document.shop);
    let stands = pages::part_values(&assessed.text, section);
    let bare = pages::BareNumbers { section, units, shop, stands: &stands };
    let pages::PartEdits { edits, wrong } = pages::part_edits(fields, bare);
    let names: BTreeMap<String, String> =
        edits.iter().map(|edit| (edit.path.join("."), edit.field.clone())).collect();
    let in_form = |at: String| names.get(&at).cloned().unwrap_or(at);
    let by_field = |faults: BTreeMap<String, String>| faults.into_iter().map(|(at, why)| (in_form(at), why));
    let changes: Vec<PartChange> = edits.into_iter().filter_map(|e| touched(e, fields, &stands)).collect();
    if !wrong.is_empty() {
        // What the other fields say is looked at too: every field that needs another look is named at once.
        let others = by_field(workbench::part_faults(&assessed.text, section, &changes).0);
        return Err(Ok(Refused::Wrong(others.chain(wrong).collect())));
    }
    match app.bench.change_part(id, section, &changes, based_on, get(fields, "_asked")) {
        Ok(kept) => Ok(kept),
        Err(Error::Part(fault)) => Err(Ok(Refused::Wrong(by_field(fault.0).collect()))),
        Err(Error::Asked(questions)) => Err(Ok(Refused::Asked(super::asked(questions)))),
        Err(Error::Conflict { based_on, latest, .. }) => {
            let what = format!(
                "The document was changed meanwhile: this form is based on version {based_on}, the latest is {latest}. \
                 Nothing was changed; go back to see what you typed, or open the form anew."
            );
            let at = format!("/engine/{id}/parts/{section}");
            Err(Err(
                Fault::new(StatusCode::CONFLICT, "Changed meanwhile", what).link(at, "Open the form anew")
            ))
        }
        Err(other) => Err(Err(other.into())),
    }
}

/// The change that a field asks for: none where it was sent back as it stands and nobody said that it is so. What is only
/// proposed stays so when another field is kept.
fn touched(edit: pages::PartEdit, fields: &Fields, stands: &BTreeMap<String, String>) -> Option<PartChange> {
    let name = edit.path.join(".");
    let given = !get(fields, &pages::given_name(&name)).is_empty();
    let sent = fields.iter().find(|(field, _)| *field == name).map(|(_, text)| text.trim());
    let as_it_stands = sent.is_some_and(|sent| stands.get(&name).is_some_and(|text| text.trim() == sent));
    (given || !as_it_stands).then_some(PartChange { path: edit.path, literal: edit.literal, given })
}

/// The form as it was typed, to be shown again, with the boxes that say that a proposal is so.
fn typed(fields: &Fields) -> BTreeMap<String, String> {
    let is_field = |name: &str| !name.starts_with('_') && name != "based_on";
    let shown = |name: &str| is_field(name) || name.starts_with(&pages::given_name(""));
    fields.iter().filter(|(name, _)| shown(name)).cloned().collect()
}
