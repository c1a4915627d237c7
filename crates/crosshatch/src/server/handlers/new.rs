//! Start an engine: from a layout, or as a copy.

use super::super::app::App;
use super::super::errors::{Fault, Page};
use super::form::{Posted, fields, get};
use super::shelf::entries;
use crate::workbench::Error;
use ::engine::document::NewEngine;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use std::collections::BTreeMap;

/// GET /new
pub(in crate::server) async fn show(State(app): State<App>) -> Result<Page, Fault> {
    app.work(|app| {
        Ok(Page(pages::new_page(&app.token, &NewEngine::default(), &entries(app)?, &BTreeMap::new())))
    })
    .await
}

/// POST /new
pub(in crate::server) async fn start(State(app): State<App>, posted: Posted) -> Result<Response, Fault> {
    let fields = fields(&app, posted)?;
    let text = |name: &str| get(&fields, name).to_owned();
    let newcomer = NewEngine {
        name: text("name"),
        arrangement: text("arrangement"),
        cylinders: text("cylinders"),
        bank_angle: text("bank_angle"),
        units: text("units"),
        bore: text("bore"),
        stroke: text("stroke"),
        main_bearings: text("main_bearings"),
        intake_valves: text("intake_valves"),
        exhaust_valves: text("exhaust_valves"),
        copy_of: text("copy_of"),
        asked: text("_asked"),
    };
    app.work(move |app| match app.bench.start(&newcomer) {
        Ok(id) => Ok(Redirect::to(&format!("/engine/{id}?done=started")).into_response()),
        Err(Error::Newcomer(fault)) => {
            let html = pages::new_page(&app.token, &newcomer, &entries(app)?, &fault.0);
            Ok((StatusCode::UNPROCESSABLE_ENTITY, Page(html)).into_response())
        }
        Err(Error::Asked(questions)) => {
            let asked = super::asked(questions);
            let html = pages::new_page_asked(&app.token, &newcomer, &entries(app)?, &asked);
            Ok((StatusCode::UNPROCESSABLE_ENTITY, Page(html)).into_response())
        }
        Err(other) => Err(other.into()),
    })
    .await
}
