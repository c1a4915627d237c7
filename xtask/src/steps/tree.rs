//! Nothing in the tree may point at the machine it was written on, or at a registry's server.

use std::fs;
use std::path::{Path, PathBuf};

use ignore::WalkBuilder;

use crate::context::Context;
use crate::error::Failure;
use crate::tally::Tally;

/// What must not stand in any file. Written in pieces, so that this file passes as well.
const FORBIDDEN: [&str; 13] = [
    concat!("/work", "/main"),
    concat!("/work", "/shared"),
    concat!("/work", "/.library"),
    concat!("/ro", "ot/"),
    concat!("/ho", "me/"),
    concat!("/tmp", "/target"),
    concat!("/opt", "/wheels"),
    concat!("pypi", ".org"),
    concat!("pythonhosted", ".org"),
    concat!("npmjs", ".org"),
    concat!("debian", ".org"),
    concat!("static.crates", ".io"),
    concat!("index.crates", ".io"),
];

/// One check over all files that git would keep.
pub fn check(context: &Context) -> Result<Tally, Failure> {
    let mut problems = Vec::new();
    let files = files(&context.root)?;
    for file in &files {
        let content = fs::read(file).map_err(Failure::file(file))?;
        let name = file.strip_prefix(&context.root).unwrap_or(file).display();
        problems.extend(
            found(&String::from_utf8_lossy(&content)).map(|(line, what)| format!("{name}:{line}: {what}")),
        );
    }
    println!("{} files", files.len());
    if problems.is_empty() { Ok(Tally::PASSED) } else { Err(Failure::Check(problems.join("\n"))) }
}

/// Line number and forbidden text.
fn found(text: &str) -> impl Iterator<Item = (usize, &'static str)> {
    text.lines().enumerate().flat_map(|(index, line)| {
        FORBIDDEN.iter().filter(move |what| line.contains(**what)).map(move |what| (index + 1, *what))
    })
}

/// All files that are not ignored, hidden ones included.
pub fn files(root: &Path) -> Result<Vec<PathBuf>, Failure> {
    let walk = WalkBuilder::new(root)
        .hidden(false)
        .require_git(false)
        .filter_entry(|entry| entry.file_name() != ".git")
        .build();
    let mut files = Vec::new();
    for entry in walk {
        let entry = entry.map_err(|error| Failure::unexpected("the tree", error))?;
        if entry.file_type().is_some_and(|kind| kind.is_file()) {
            files.push(entry.into_path());
        }
    }
    files.sort();
    Ok(files)
}

#[cfg(test)]
mod tests {
    use super::found;

    #[test]
    fn names_the_line() {
        let text = concat!("fine\nsee /ho", "me/somebody/engine.toml\n");
        let lines: Vec<_> = found(text).map(|(line, _)| line).collect();
        assert_eq!(lines, [2]);
    }
}
