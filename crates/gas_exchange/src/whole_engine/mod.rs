//! A whole engine run to a periodic cycle.
