//! One-dimensional unsteady flow in all ducts of an engine at once.
