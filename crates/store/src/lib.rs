//! See `description` in Cargo.toml.
