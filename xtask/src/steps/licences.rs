//! The licence and the source of every package, against `deny.toml`.
//!
//! The file is in the format of `cargo deny`, which people may run as well. It is read here because
//! building that tool from source takes longer than all our tests, and its other half, the list of
//! known flaws, is fetched from a place that CI cannot reach.

use std::fs;

use serde_json::Value;
use spdx::{Expression, LicenseReq, ParseMode};
use toml_edit::DocumentMut;

use crate::context::Context;
use crate::error::Failure;
use crate::tally::Tally;

/// The workspaces whose packages are looked at.
const MANIFESTS: [&str; 2] = ["Cargo.toml", "fuzz/Cargo.toml"];

/// One check for each workspace, and one for the packages from npm.
pub fn check(context: &Context) -> Result<Tally, Failure> {
    let allowed = allowed(context)?;
    let mut tally = Tally::default();
    for manifest in MANIFESTS {
        let metadata = context.metadata(&context.path(manifest), &["--locked"])?;
        let packages = metadata["packages"].as_array().cloned().unwrap_or_default();
        let problems: Vec<String> =
            packages.iter().filter_map(|package| problem(package, &allowed)).collect();
        tally += told(&problems, &format!("{manifest}: {} packages", packages.len()));
    }
    tally += npm(context)?;
    Ok(tally)
}

fn told(problems: &[String], subject: &str) -> Tally {
    println!("{subject}, {} not allowed", problems.len());
    for problem in problems {
        println!("{problem}");
    }
    if problems.is_empty() { Tally::PASSED } else { Tally::FAILED }
}

fn allowed(context: &Context) -> Result<Vec<String>, Failure> {
    let path = context.path("deny.toml");
    let text = fs::read_to_string(&path).map_err(Failure::file(&path))?;
    let document: DocumentMut = text.parse().map_err(|error| Failure::unexpected("deny.toml", error))?;
    let list = document.get("licenses").and_then(|table| table.get("allow")).and_then(|item| item.as_array());
    let list = list.ok_or_else(|| Failure::unexpected("deny.toml", "no list `licenses.allow`"))?;
    Ok(list.iter().filter_map(|name| name.as_str()).map(str::to_owned).collect())
}

fn problem(package: &Value, allowed: &[String]) -> Option<String> {
    let name = format!("{} {}", package["name"].as_str()?, package["version"].as_str()?);
    let ours = package["source"].is_null();
    let from_registry = package["source"].as_str().is_some_and(|source| source.starts_with("registry+"));
    if !ours && !from_registry {
        return Some(format!("{name}: comes from {}, not from the package registry", package["source"]));
    }
    match package["license"].as_str() {
        None => Some(format!("{name}: states no licence")),
        Some(licence) => refusal(licence, allowed).map(|reason| format!("{name}: {reason}")),
    }
}

/// Why a licence expression is not covered by the list; `None` when it is.
fn refusal(licence: &str, allowed: &[String]) -> Option<String> {
    // Older packages write `MIT/Apache-2.0` for `MIT OR Apache-2.0`.
    let mode = ParseMode { allow_slash_as_or_operator: true, ..ParseMode::STRICT };
    let expression = match Expression::parse_mode(licence, mode) {
        Ok(expression) => expression,
        Err(error) => return Some(format!("`{licence}` is no licence expression: {}", error.reason)),
    };
    let covered = |requirement: &LicenseReq| allowed.contains(&requirement.to_string());
    (!expression.evaluate(covered)).then(|| format!("`{licence}` is not allowed by deny.toml"))
}

/// What comes from npm is only run by the tests, never shipped: there the file-level copyleft of
/// MPL-2.0 binds nobody.
fn npm(context: &Context) -> Result<Tally, Failure> {
    const ALLOWED: [&str; 3] = ["MIT", "Apache-2.0", "MPL-2.0"];
    let path = context.path("tests/browser/package-lock.json");
    let text = fs::read_to_string(&path).map_err(Failure::file(&path))?;
    let lock: Value =
        serde_json::from_str(&text).map_err(|error| Failure::unexpected("package-lock.json", error))?;
    let packages = lock["packages"].as_object().cloned().unwrap_or_default();
    let from_npm: Vec<_> = packages.iter().filter(|(name, _)| !name.is_empty()).collect();
    let problems: Vec<String> = from_npm
        .iter()
        .filter(|(_, package)| !package["license"].as_str().is_some_and(|licence| ALLOWED.contains(&licence)))
        .map(|(name, package)| format!("{name}: licence {}", package["license"]))
        .collect();
    Ok(told(&problems, &format!("tests/browser: {} packages", from_npm.len())))
}

#[cfg(test)]
mod tests {
    use super::refusal;

    fn allowed() -> Vec<String> {
        ["MIT", "Apache-2.0", "Unicode-3.0"].map(str::to_owned).to_vec()
    }

    #[test]
    fn one_side_of_an_or_is_enough_but_both_of_an_and() {
        assert_eq!(refusal("GPL-3.0-only OR MIT", &allowed()), None);
        assert_eq!(refusal("MIT/Apache-2.0", &allowed()), None);
        assert_eq!(refusal("(MIT OR Apache-2.0) AND Unicode-3.0", &allowed()), None);
        assert!(refusal("MIT AND GPL-3.0-only", &allowed()).is_some());
    }

    #[test]
    fn a_licence_that_nobody_knows_is_refused() {
        assert!(refusal("Ask me", &allowed()).is_some());
    }
}
