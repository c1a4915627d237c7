//! Reads the files of `reference/data/`, which `reference/generate.py` writes with outside libraries.

/// The rows of a file as text, without the header; panics name the file, because this is test code.
pub fn rows(name: &str, header: &str) -> Vec<Vec<String>> {
    let path = format!("{}/../../reference/data/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path}: {error}"));
    let mut lines = text.lines();
    assert_eq!(lines.next(), Some(header), "{name} has another header");
    lines.map(|line| line.split(',').map(str::to_owned).collect()).collect()
}

/// The rows of a file of numbers.
#[allow(dead_code, reason = "each test file compiles this module for itself")]
pub fn numbers(name: &str, header: &str) -> Vec<Vec<f64>> {
    rows(name, header).iter().map(|row| row.iter().map(|cell| cell.parse().unwrap()).collect()).collect()
}
