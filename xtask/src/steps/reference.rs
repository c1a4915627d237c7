//! The reference data: made again by the pinned libraries, and compared with what is kept.
//!
//! Numbers may differ in their last digits, because the libraries choose their instructions by the
//! processor. How much is allowed for each file, and why, stands in `reference/tolerance.toml`.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use tempfile::TempDir;
use toml_edit::{DocumentMut, Table};

use crate::context::Context;
use crate::error::Failure;
use crate::run::run;
use crate::steps::set_up;
use crate::steps::tree::files;
use crate::tally::Tally;

/// How far two numbers may lie apart.
#[derive(Clone, Copy, Debug)]
struct Tolerance {
    relative: f64,
    absolute: f64,
}

impl Tolerance {
    fn allows(self, kept: f64, made: f64) -> bool {
        // Two infinities or two non-numbers are equal, though their difference is no number.
        let same = kept.total_cmp(&made).is_eq();
        let span = kept.abs().max(made.abs());
        same || (kept - made).abs() <= self.absolute + self.relative * span
    }
}

/// One check for each file.
pub fn check(context: &Context) -> Result<Tally, Failure> {
    let python = set_up::python(context)?;
    let made = TempDir::new().map_err(Failure::file("a temporary folder"))?;
    // `-B`: leave no compiled files, with paths of this machine in them, beside the scripts.
    run(context.command(python).args(["-B", "reference/generate.py"]).arg("--out").arg(made.path()))?;

    let kept = context.path("reference/data");
    let tolerances = Tolerances::read(&context.path("reference/tolerance.toml"))?;
    let mut tally = Tally::default();
    for name in names(&kept)?.union(&names(made.path())?) {
        let result = tolerances.for_file(name).and_then(|tolerance| {
            let (kept, made) = (read(&kept.join(name))?, read(&made.path().join(name))?);
            compare(&kept, &made, tolerance).map_err(Failure::Check)
        });
        tally += match result {
            Ok(numbers) => {
                println!("{}: {numbers} numbers agree", name.display());
                Tally::PASSED
            }
            Err(failure) => {
                println!("{}: {failure}", name.display());
                Tally::FAILED
            }
        };
    }
    if tally == Tally::default() {
        return Err(Failure::Check("there is no reference data to compare".to_owned()));
    }
    Ok(tally)
}

fn names(folder: &Path) -> Result<BTreeSet<PathBuf>, Failure> {
    Ok(files(folder)?
        .iter()
        .filter_map(|file| file.strip_prefix(folder).ok())
        .map(Path::to_path_buf)
        .collect())
}

fn read(path: &Path) -> Result<String, Failure> {
    fs::read_to_string(path).map_err(Failure::file(path))
}

/// The tolerances of `reference/tolerance.toml`: a table `default`, and one named like each file that differs.
struct Tolerances(DocumentMut);

impl Tolerances {
    fn read(path: &Path) -> Result<Self, Failure> {
        read(path)?.parse().map(Self).map_err(|error| Failure::unexpected("reference/tolerance.toml", error))
    }

    fn for_file(&self, name: &Path) -> Result<Tolerance, Failure> {
        let own = self.0.get(&name.to_string_lossy()).and_then(|item| item.as_table());
        let table = own.or_else(|| self.0.get("default").and_then(|item| item.as_table()));
        let table =
            table.ok_or_else(|| Failure::unexpected("reference/tolerance.toml", "no table `default`"))?;
        if table.get("reason").and_then(|item| item.as_str()).is_none_or(str::is_empty) {
            return Err(Failure::unexpected("reference/tolerance.toml", "a tolerance without a reason"));
        }
        Ok(Tolerance { relative: number(table, "relative")?, absolute: number(table, "absolute")? })
    }
}

fn number(table: &Table, key: &str) -> Result<f64, Failure> {
    let value = table.get(key).and_then(toml_edit::Item::as_float).filter(|value| *value >= 0.0);
    value.ok_or_else(|| {
        Failure::unexpected("reference/tolerance.toml", format!("`{key}` is no positive number"))
    })
}

/// Compares word by word: numbers within the tolerance, the rest exactly; returns how many numbers.
fn compare(kept: &str, made: &str, tolerance: Tolerance) -> Result<usize, String> {
    let mut numbers = 0;
    let mut line = 1;
    let (mut kept, mut made) = (words(kept), words(made));
    loop {
        let (old, new) = match (kept.next(), made.next()) {
            (None, None) => return Ok(numbers),
            (Some(old), Some(new)) => (old, new),
            (old, new) => return Err(format!("line {line}: kept {old:?}, made {new:?}")),
        };
        line += old.matches('\n').count();
        match (old.parse::<f64>(), new.parse::<f64>()) {
            (Ok(a), Ok(b)) if tolerance.allows(a, b) => numbers += 1,
            (Ok(a), Ok(b)) => {
                return Err(format!("line {line}: kept {a:e}, made {b:e}, allowed {tolerance:?}"));
            }
            _ if old == new => {}
            _ => return Err(format!("line {line}: kept {old:?}, made {new:?}")),
        }
    }
}

/// Splits into numbers (with sign, point and exponent) and all that stands between them.
fn words(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        let in_number = |c: char| c.is_ascii_alphanumeric() || matches!(c, '+' | '-' | '.' | '_');
        let first = rest.chars().next()?;
        let same = |c: char| in_number(c) == in_number(first);
        let end = rest.find(|c| !same(c)).unwrap_or(rest.len());
        let (word, after) = rest.split_at(end);
        rest = after;
        Some(word)
    })
}

#[cfg(test)]
mod tests {
    use super::{Tolerance, compare};

    const TOLERANCE: Tolerance = Tolerance { relative: 1e-9, absolute: 1e-12 };

    #[test]
    fn last_digits_may_differ_and_no_more() {
        let kept = "angle_deg,position_m\n30,7.816380000000001e-3\n-1.5,nan\n";
        assert_eq!(compare(kept, "angle_deg,position_m\n30,7.81638e-3\n-1.5,nan\n", TOLERANCE), Ok(4));
        let other = compare(kept, "angle_deg,position_m\n30,7.81639e-3\n-1.5,nan\n", TOLERANCE);
        assert!(other.is_err_and(|why| why.starts_with("line 2")));
    }

    #[test]
    fn words_and_length_must_be_equal() {
        assert!(compare("bore_1,2", "bore_2,2", TOLERANCE).is_err());
        assert!(compare("1,2\n", "1,2\n3", TOLERANCE).is_err());
    }
}
