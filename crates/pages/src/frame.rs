//! The frame that every page stands in: top edge, border, title block (ISO 7200).

use crate::assets::address;
use crate::words::{count, path_query, when};
use engine::document::OperationKind;
use engine::features::{Sheet, SheetNote};
use engine::findings::Whole;
use engine::quantity::{UnitSystem, phrase_list};
use engine::readings::Operation;
use engine::{Assessment, Engine, Plan};
use maud::{DOCTYPE, Markup, PreEscaped, html};
use std::collections::BTreeSet;

/// Everything that the sheets of one engine share.
#[derive(Clone, Copy)]
pub struct View<'a> {
    /// Name of the engine in addresses.
    pub id: &'a str,
    /// What stands in the document that the starter proposed and nobody has said, by dotted path.
    pub proposed: &'a BTreeSet<String>,
    /// How much of the document is given, in words for the top edge ([`crate::given_words`]).
    pub given: &'a str,
    /// Document and readings.
    pub engine: &'a Engine,
    /// What was found.
    pub assessment: &'a Assessment,
    /// What is to do.
    pub plan: &'a Plan,
    /// Token that proves that a form or a reading comes from a page of this server.
    pub token: &'a str,
    /// Who works; empty when nobody said.
    pub who: &'a str,
    /// One sentence at the top of the page, after something was done.
    pub notice: Option<&'a str>,
    /// Moment of the engine that the page shows, so that it can say when somebody else has changed it.
    pub moment: &'a str,
    /// How the computation of power stands, in words for the top edge.
    pub power: &'a str,
    /// When the page was made; nothing where nobody said.
    pub made: Minute,
}

/// A moment to the minute, as it is printed: "2026-11-26 21:44".
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Minute([u8; 16]);

impl Minute {
    /// Of a moment in RFC 3339; nothing where it is none.
    pub fn of(moment: &str) -> Self {
        Self(when(moment).as_bytes().try_into().unwrap_or_default())
    }

    fn words(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or_default().trim_matches('\0')
    }
}

impl View<'_> {
    /// Units in which sizes are shown.
    pub fn units(&self) -> UnitSystem {
        self.engine.units()
    }

    /// Name of the engine; an unnamed one is called so.
    pub fn name(&self) -> &str {
        match self.engine.document.engine.name.trim() {
            "" => "Engine without a name",
            name => name,
        }
    }

    /// Which document and which readings the page is made from, so that two printed ones can be told apart: "document 3, log to no. 616".
    pub(crate) fn edition(&self) -> String {
        let mut numbers = self.moment.split('.').map(str::parse::<u64>);
        match (numbers.next(), numbers.nth(1)) {
            (Some(Ok(document)), Some(Ok(0))) => format!("document {document}, nothing read"),
            (Some(Ok(document)), Some(Ok(last))) => format!("document {document}, log to no. {last}"),
            _ => String::new(),
        }
    }

    /// Address below this engine.
    pub fn at(&self, rest: &str) -> String {
        let id = path_query(self.id);
        if rest.is_empty() { format!("/engine/{id}") } else { format!("/engine/{id}/{rest}") }
    }

    /// Address of a finding's working.
    pub fn finding_at(&self, id: &str) -> String {
        format!("{}?id={}", self.at("finding"), path_query(id))
    }

    /// Address of a place on its reading sheet.
    pub fn feature_at(&self, path: &str) -> Option<String> {
        let feature = self.engine.catalogue.feature(path)?;
        let sheet = self.engine.catalogue.tables[feature.table].sheet;
        Some(format!("{}#{}", self.at(&format!("sheet/{}", sheet.id())), field_id(path)))
    }

    /// What was last done to the engine, in words.
    pub(crate) fn state(&self) -> String {
        self.engine
            .operations
            .iter()
            .rfind(|o| !o.withdrawn)
            .map_or_else(|| "as found".to_owned(), after_words)
    }
}

/// Id of the field of a place.
pub(crate) fn field_id(path: &str) -> String {
    format!("at-{path}")
}

/// Which entry of the top edge is the page's own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Current {
    Engine,
    Spec,
    Reading(Sheet),
    Fits,
    Power,
    Plan,
    Other,
}

/// What a page hands to the frame.
pub(crate) struct Page<'a> {
    /// Title of the page, first part of the window's title.
    pub title: &'a str,
    /// Place in the top edge.
    pub current: Current,
    /// Name of the sheet in the title block.
    pub sheet: String,
    /// State in the title block.
    pub state: String,
    /// Scripts of this page.
    pub scripts: &'a [&'a str],
    /// Contents.
    pub body: Markup,
}

/// The whole document of a page that belongs to one engine.
pub(crate) fn framed(view: &View, page: &Page) -> String {
    let title = format!("{} \u{b7} {} \u{b7} Crosshatch", page.title, view.name());
    let body = html! {
        header {
            nav.links.top aria-label="Other pages of this engine" { (other_pages(view)) }
            nav.tabs id="tabs" aria-label="Sheets in the order of the job" { (tabs(view, page.current)) }
        }
        main id="main" tabindex="-1" {
            @if let Some(notice) = view.notice { p.notice role="status" { (notice) } }
            div.moved id="moved" role="status" data-moment=(view.moment) data-at=(view.at("moment")) {}
            script src=(address("moved.js")) defer {}
            (page.body)
        }
        (title_block(view, &page.sheet, &page.state))
    };
    document(&title, view.token, page.scripts, &body)
}

/// What stands at the foot of every page.
const DECIDES: &str = "Crosshatch advises; a person decides, with the part maker\u{2019}s data, local codes and licensed practice.";

/// A page that belongs to no engine.
pub(crate) fn unbound(title: &str, token: &str, scripts: &[&str], body: &Markup) -> String {
    let inside = html! {
        header {
            nav.links.top aria-label="Pages" {
                a href="/" { "Shelf" }
                a href="/new" { "New engine" }
                a href="/backups" { "Backup" }
            }
        }
        main id="main" tabindex="-1" { (body) }
        footer.title-block {
            p { (DECIDES) }
            dl { dt { "sizes at" } dd { "20 \u{b0}C" } }
            dl { dt { "sheet" } dd { (title) } }
        }
    };
    document(&format!("{title} \u{b7} Crosshatch"), token, scripts, &inside)
}

fn document(title: &str, token: &str, scripts: &[&str], body: &Markup) -> String {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="crosshatch-token" content=(token);
                title { (title) }
                link rel="icon" type="image/svg+xml" href=(address("favicon.svg"));
                link rel="stylesheet" href=(address("crosshatch.css"));
                @for script in scripts { script src=(address(script)) defer {} }
            }
            body {
                a.skip href="#main" { "Skip to the sheet" }
                div.sheet { (body) }
            }
        }
    }
    .into_string()
}

/// The inside of the top edge. Each sheet says how it stands.
pub(crate) fn tabs(view: &View, current: Current) -> Markup {
    let tally = view.assessment.tally();
    let stops = tally.stop;
    let overall = match tally.whole() {
        Whole::Stops => count(stops, "stops the build", "stop the build"),
        Whole::NotProved => "not proved".to_owned(),
        Whole::Good => "all good".to_owned(),
    };
    html! {
        (tab(&view.at(""), "Engine", &overall, stops > 0, current == Current::Engine))
        (tab(&view.at("parts"), "Spec", view.given, false, current == Current::Spec))
        @for sheet in Sheet::ALL {
            @let note = view.assessment.sheets.iter().find(|n| n.sheet == sheet);
            (tab(
                &view.at(&format!("sheet/{}", sheet.id())),
                sheet.title(),
                &sheet_words(view, sheet, note),
                note.is_some_and(|n| n.stops > 0),
                current == Current::Reading(sheet),
            ))
        }
        (tab(&view.at("fits"), "Fits", &fits_words(view), false, current == Current::Fits))
        (tab(&view.at("power"), "Power", view.power, false, current == Current::Power))
        (tab(&view.at("plan"), "Plan", plan_words(view).as_str(), false, current == Current::Plan))
    }
}

fn tab(href: &str, name: &str, words: &str, stops: bool, here: bool) -> Markup {
    html! {
        a href=(href) aria-current=[here.then_some("page")] {
            (name) " "
            small.stops[stops] { (words) }
        }
    }
}

fn sheet_words(view: &View, sheet: Sheet, note: Option<&SheetNote>) -> String {
    if let Some(note) = note {
        return note.words.clone();
    }
    let places: usize =
        view.engine.catalogue.tables_of(sheet).flat_map(|t| t.cells.iter().flatten().flatten()).count();
    if places == 0 { "nothing to read".to_owned() } else { format!("0 of {places} read") }
}

fn fits_words(view: &View) -> String {
    let fits = crate::fit_list::fits(view.assessment);
    match fits.len() {
        0 => "none yet".to_owned(),
        n => count(n, "fit known", "fits known"),
    }
}

fn plan_words(view: &View) -> String {
    match view.plan.in_short() {
        // Nothing is judged: nobody knows whether anything is to do.
        words if words.is_empty() && view.engine.readings.is_empty() => "read first".to_owned(),
        words if words.is_empty() && view.assessment.tally().nothing_judged() => "nothing yet".to_owned(),
        words if words.is_empty() => "nothing to do".to_owned(),
        words => words,
    }
}

/// What is no sheet of the job: the text of the document, the record, the other engines.
fn other_pages(view: &View) -> Markup {
    html! {
        a href="/" { "Shelf" }
        a href=(view.at("document")) { "Document" }
        a href=(view.at("readings")) { "Readings" }
    }
}

fn title_block(view: &View, sheet: &str, state: &str) -> Markup {
    let invented = view.engine.document.engine.invented;
    let length = match view.units() {
        UnitSystem::Metric => "mm",
        UnitSystem::Inch => "inches",
    };
    html! {
        footer.title-block {
            div {
                p {
                    @if invented { strong { "Invented example." } " " }
                    (DECIDES)
                }
            }
            dl { dt { "engine" } dd { (view.name()) } }
            @let edition = view.edition();
            @if !edition.is_empty() { dl { dt { "from" } dd id="edition" { (edition) } } }
            @let made = view.made.words();
            @if !made.is_empty() { dl { dt { "made" } dd { (made) } } }
            dl { dt { "state" } dd { (state) } }
            @if !view.who.is_empty() { dl { dt { "by" } dd { (view.who) } } }
            dl { dt { "sizes at" } dd { "20 \u{b0}C, " (length) } }
            dl { dt { "sheet" } dd { (sheet) } }
        }
    }
}

/// SVG text made by our own drawing functions, taken over as it is.
pub(crate) fn drawn(svg: String) -> Markup {
    PreEscaped(svg)
}

/// "after honing", or "after honing of 2 and 3" where it touched only some.
pub(crate) fn after_words(operation: &Operation) -> String {
    let done = format!("after {}", operation_words(operation.kind));
    if operation.only.is_empty() {
        return done;
    }
    let which: Vec<String> = operation.only.iter().map(|only| only.replace(['.', '_'], " ")).collect();
    format!("{done} of {}", phrase_list(&which))
}

/// What was done, in words.
pub(crate) const fn operation_words(kind: OperationKind) -> &'static str {
    use OperationKind as O;
    match kind {
        O::Bore => "boring",
        O::Hone => "honing",
        O::DeckSkim => "deck skim",
        O::HeadSkim => "head skim",
        O::Regrind => "regrind",
        O::Polish => "polish",
        O::SeatCut => "seat cut",
        O::AlignHone => "align honing",
        O::CapSeat => "seating a cap again",
        O::NewShells => "new shells",
        O::RingFile => "ring filing",
        O::LashShim => "lash set again (shim or screw)",
        O::SpringShim => "spring shim change",
        O::BarrelShim => "barrel shim change",
        O::ChamberRelief => "chamber relief",
        O::Sleeve => "sleeving",
        O::NewPart => "new part",
        O::BigEndHone => "big end hone",
        O::Handled => "taking apart or putting together",
    }
}

/// Word of an operation in forms and files.
pub(crate) const OPERATIONS: &[(OperationKind, &str)] = &[
    (OperationKind::Bore, "bore"),
    (OperationKind::Hone, "hone"),
    (OperationKind::DeckSkim, "deck_skim"),
    (OperationKind::HeadSkim, "head_skim"),
    (OperationKind::Regrind, "regrind"),
    (OperationKind::Polish, "polish"),
    (OperationKind::SeatCut, "seat_cut"),
    (OperationKind::AlignHone, "align_hone"),
    (OperationKind::CapSeat, "cap_seat"),
    (OperationKind::NewShells, "new_shells"),
    (OperationKind::RingFile, "ring_file"),
    (OperationKind::LashShim, "lash_shim"),
    (OperationKind::SpringShim, "spring_shim"),
    (OperationKind::BarrelShim, "barrel_shim"),
    (OperationKind::ChamberRelief, "chamber_relief"),
    (OperationKind::Sleeve, "sleeve"),
    (OperationKind::NewPart, "new_part"),
    (OperationKind::BigEndHone, "big_end_hone"),
    (OperationKind::Handled, "handled"),
];
