//! Tests of the store from outside: what a caller, a second program and a hand with another tool can do.

mod copies;
mod documents;
mod encoding;
mod fixture;
mod folder;
mod imports;
mod log;
mod results;
mod tamper;
mod together;
