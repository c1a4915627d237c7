//! Posted forms: their fields, after the token was checked.

use super::super::app::App;
use super::super::errors::Fault;
use super::super::size::too_large;
use axum::Form;
use axum::extract::rejection::FormRejection;
use axum::http::StatusCode;

/// Fields of a form as they came, in their order.
pub(super) type Fields = Vec<(String, String)>;
/// What axum makes of the body.
pub(super) type Posted = Result<Form<Fields>, FormRejection>;

/// Fields of a form that carries the token of our pages.
pub(super) fn fields(app: &App, posted: Posted) -> Result<Fields, Fault> {
    let Form(fields) = posted.map_err(|rejection| refused(rejection.status(), &rejection.body_text()))?;
    app.check_token(Some(get(&fields, "_token")))?;
    Ok(fields)
}

/// What a refused body means.
pub(super) fn refused(status: StatusCode, said: &str) -> Fault {
    if status == StatusCode::PAYLOAD_TOO_LARGE {
        return too_large();
    }
    Fault::new(status, "Not understood", format!("The form could not be read: {said}."))
}

/// The text of a field; empty when it is not there.
pub(super) fn get<'a>(fields: &'a Fields, name: &str) -> &'a str {
    fields.iter().find(|(field, _)| field == name).map_or("", |(_, text)| text.as_str())
}
