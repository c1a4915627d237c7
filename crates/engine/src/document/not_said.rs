//! The remark behind a value of a new document that nobody has stated yet.

/// What the starter writes behind a value that nobody has said; it goes when a person says one.
pub(super) const NOT_SAID: &str = "# common practice, no source: check yours";

/// Does the starter's remark stand behind this value?
pub(super) fn is_not_said(value: &toml_edit::Value) -> bool {
    value.decor().suffix().and_then(|s| s.as_str()).is_some_and(|s| s.trim() == NOT_SAID)
}
