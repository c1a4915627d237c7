//! The program: command line and server.
fn main() {}
