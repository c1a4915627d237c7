//! Valve lift over angle, and what a valve and its port let through.
