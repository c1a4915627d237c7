//! Counting checks.

use std::fmt;
use std::ops::AddAssign;

/// How many checks passed, failed, or were left out by the tests themselves.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Checks that held.
    pub passed: u32,
    /// Checks that did not.
    pub failed: u32,
    /// Tests marked as ignored.
    pub skipped: u32,
}

impl Tally {
    /// One check that held.
    pub const PASSED: Self = Self::passed(1);
    /// One check that did not.
    pub const FAILED: Self = Self { passed: 0, failed: 1, skipped: 0 };

    /// So many checks that held.
    pub const fn passed(passed: u32) -> Self {
        Self { passed, failed: 0, skipped: 0 }
    }

    /// The counts in a closing line of cargo's test runner; `None` for any other line.
    pub fn in_line(line: &str) -> Option<Self> {
        let counts = line.trim_start().strip_prefix("test result: ")?;
        let count = |word: &str| -> Option<u32> {
            let before = counts.split(word).next().filter(|before| before.len() < counts.len())?;
            before.split_whitespace().next_back()?.parse().ok()
        };
        Some(Self { passed: count(" passed")?, failed: count(" failed")?, skipped: count(" ignored")? })
    }
}

impl AddAssign for Tally {
    fn add_assign(&mut self, other: Self) {
        self.passed += other.passed;
        self.failed += other.failed;
        self.skipped += other.skipped;
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} passed, {} failed", self.passed, self.failed)?;
        if self.skipped > 0 {
            write!(f, ", {} skipped", self.skipped)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::Tally;

    #[test]
    fn counts_the_closing_line_of_a_test_run() {
        let line = "test result: FAILED. 12 passed; 3 failed; 1 ignored; 0 measured; 7 filtered out; finished in 0.01s";
        assert_eq!(Tally::in_line(line), Some(Tally { passed: 12, failed: 3, skipped: 1 }));
    }

    #[test]
    fn leaves_other_lines_alone() {
        assert_eq!(Tally::in_line("test reads_the_address ... ok"), None);
        assert_eq!(Tally::in_line("test result: "), None);
    }

    #[test]
    fn the_closing_line_is_the_plain_one() {
        let mut sum = Tally::passed(5);
        sum += Tally::FAILED;
        assert_eq!(sum.to_string(), "5 passed, 1 failed");
    }
}
