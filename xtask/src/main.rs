//! Set-up, tests, reference data.
fn main() {}
