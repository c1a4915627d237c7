//! What every handler shares.

use super::errors::{Fault, Page};
use super::fragments::Fragments;
use crate::workbench::{Assessed, Workbench};
use ::engine::features::Sheet;
use pages::{SheetParts, View};
use std::sync::Arc;

/// The workbench, the token of the pages, and the fragments that were made last. Cheap to clone.
#[derive(Clone, Debug)]
pub struct App {
    pub(super) bench: Arc<Workbench>,
    pub(super) token: Arc<str>,
    pub(super) fragments: Arc<Fragments>,
}

impl App {
    /// An app on a workbench.
    ///
    /// # Errors
    /// When the page token cannot be kept.
    pub fn new(bench: Workbench) -> crate::workbench::Result<Self> {
        let token = bench.page_token()?.into();
        Ok(Self { bench: Arc::new(bench), token, fragments: Arc::default() })
    }

    /// Runs blocking work beside the server's own threads.
    pub(super) async fn work<T, W>(&self, work: W) -> Result<T, Fault>
    where
        T: Send + 'static,
        W: FnOnce(&Self) -> Result<T, Fault> + Send + 'static,
    {
        let app = self.clone();
        match tokio::task::spawn_blocking(move || work(&app)).await {
            Ok(result) => result,
            Err(_) => Err(Fault::broken()),
        }
    }

    /// A page of one engine.
    pub(super) async fn page<W>(&self, id: String, done: Option<String>, work: W) -> Result<Page, Fault>
    where
        W: FnOnce(&View) -> Result<String, Fault> + Send + 'static,
    {
        self.work(move |app| {
            let assessed = app.bench.engine(&id)?;
            let notice = done.as_deref().and_then(super::notices::sentence);
            let power = app.power_words(&id);
            work(&app.view(&assessed, &power, notice.as_deref())).map(Page)
        })
        .await
    }

    /// What `work` makes of the parts of a sheet at one moment.
    pub(super) fn with_parts<T>(
        &self,
        moment: &Arc<Assessed>,
        sheet: Sheet,
        work: impl FnOnce(&SheetParts) -> T,
    ) -> T {
        let place = self.fragments.place(moment, sheet);
        work(place.get_or_init(|| {
            let power = self.power_words(&moment.id);
            pages::sheet_parts(&self.view(moment, &power, None), sheet)
        }))
    }

    /// The view of an engine; `power` says how its computation stands.
    pub(super) fn view<'a>(
        &'a self,
        assessed: &'a Assessed,
        power: &'a str,
        notice: Option<&'a str>,
    ) -> View<'a> {
        View {
            power,
            moment: &assessed.moment,
            id: &assessed.id,
            proposed: &assessed.proposed,
            given: assessed
                .given
                .get_or_init(|| pages::given_words(&assessed.engine.document, &assessed.proposed)),
            engine: &assessed.engine,
            assessment: &assessed.assessment,
            plan: &assessed.plan,
            token: &self.token,
            who: self.bench.who(),
            notice,
            made: pages::Minute::of(&crate::workbench::now()),
        }
    }
}
