//! HTML sheets and SVG drawings: pure functions of findings and plan.
//!
//! Absent on purpose: clock, disk, network, database, physics. A page is a function of plain values.

mod assets;
mod backup_sheet;
mod document_sheet;
mod document_versions;
pub mod drawing;
mod engine_sheet;
mod figures;
mod finding_sheet;
mod fit_list;
mod fits;
mod frame;
mod from_file;
mod parts;
mod plan_sheet;
mod power;
mod reading_sheet;
mod readings_sheet;
mod sheet_numbers;
mod shelf;
mod words;

pub use assets::asset;
pub use backup_sheet::{BackupEntry, backup_page};
pub use document_sheet::{Diagnostic, Version, document_page};
pub use document_versions::{changes_page, version_page};
pub use engine_sheet::engine_page;
pub use finding_sheet::finding_page;
pub use fits::fits_page;
pub use frame::{Minute, View};
pub use from_file::{FromFile, from_file_page};
pub use parts::{
    Asked, BareNumbers, PartEdit, PartEdits, PartState, given_name, given_words, part_edits, part_values,
    parts_form, parts_index, parts_page,
};
pub use plan_sheet::plan_page;
pub use power::{
    CalibrationForm, FieldProblem, JobLine, KeptLine, PowerView, RunForm, ShownRun, ShownStudy, SoFar,
    StudyForm, UnfinishedLine, calibration_page, compare_page, inputs_page, inside_page, power_finding_page,
    power_page, progress_fragment, studies_page,
};
pub use reading_sheet::{Cell, OperationForm, SheetParts, refused_operation_page, sheet_page, sheet_parts};
pub use readings_sheet::{LogFilter, readings_page};
pub use shelf::{ShelfEntry, error_page, new_page, new_page_asked, shelf_page};
