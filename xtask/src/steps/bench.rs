//! The named benchmarks.

use serde_json::Value;

use crate::context::Context;
use crate::error::Failure;
use crate::run::run;

/// Runs those named, or all.
pub fn run_named(context: &Context, names: &[String]) -> Result<(), Failure> {
    let known = benches(&context.metadata(&context.path("Cargo.toml"), &["--no-deps"])?);
    for name in names {
        if !known.iter().any(|(_, bench)| bench == name) {
            let known = known.iter().map(|(_, bench)| bench.as_str()).collect::<Vec<_>>().join(", ");
            return Err(Failure::NoSuch { kind: "bench", name: name.clone(), known });
        }
    }
    for (package, bench) in known.iter().filter(|(_, bench)| names.is_empty() || names.contains(bench)) {
        run(&mut context.cargo(&["bench", "--package", package, "--bench", bench]))?;
    }
    Ok(())
}

/// Package and name of each bench target.
fn benches(metadata: &Value) -> Vec<(String, String)> {
    let list = |value: &Value| value.as_array().cloned().unwrap_or_default();
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let mut found = Vec::new();
    for package in list(&metadata["packages"]) {
        for target in list(&package["targets"]) {
            if list(&target["kind"]).iter().any(|kind| kind == "bench") {
                found.push((text(&package["name"]), text(&target["name"])));
            }
        }
    }
    found
}
