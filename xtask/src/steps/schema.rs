//! The JSON Schema of the engine document, as the program itself states it.

use std::fs;

use crate::context::Context;
use crate::error::Failure;
use crate::run::output_of;
use crate::steps::build_release;
use crate::tally::Tally;

const FILE: &str = "docs/schema/engine.schema.json";

/// Writes the file.
pub fn write(context: &Context) -> Result<(), Failure> {
    let path = context.path(FILE);
    let schema = stated(context)?;
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).map_err(Failure::file(folder))?;
    }
    fs::write(&path, schema).map_err(Failure::file(&path))?;
    println!("wrote {FILE}");
    Ok(())
}

/// Compares the file with what the program states.
pub fn check(context: &Context) -> Result<Tally, Failure> {
    let path = context.path(FILE);
    let written = fs::read_to_string(&path).unwrap_or_default();
    if written == stated(context)? {
        println!("{FILE} is up to date");
        return Ok(Tally::PASSED);
    }
    let state = if path.exists() { "is not what the program states" } else { "is missing" };
    Err(Failure::Check(format!("{FILE} {state}: run `cargo xtask schema`")))
}

fn stated(context: &Context) -> Result<String, Failure> {
    build_release(context)?;
    output_of(context.command(context.release_program()).arg("schema"))
}
