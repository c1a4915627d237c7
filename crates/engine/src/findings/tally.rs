//! How the findings of an engine stand as a whole: one count and one set of words for pages, shelf and command line.

use super::model::{Finding, Verdict};
use crate::quantity::counted;

/// Where one finding is counted; each is counted once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Bad by itself: it stops the build.
    Stops,
    /// Bad or uncertain only because another finding is.
    Follows,
    /// The evidence cannot tell.
    Uncertain,
    /// Inside, but the uncertainty reaches the limit.
    Marginal,
    /// Was not bad, but what it was found from has been cut or changed since.
    Stale,
    /// Not measured, or no limit is known.
    Unknown,
    /// Good.
    Good,
}

impl Standing {
    /// Where this finding is counted.
    pub const fn of(finding: &Finding) -> Self {
        match finding.verdict {
            _ if finding.follows.is_some() => Self::Follows,
            Verdict::Bad => Self::Stops,
            Verdict::Unknown => Self::Unknown,
            Verdict::Uncertain | Verdict::Marginal | Verdict::Good if finding.stale => Self::Stale,
            Verdict::Uncertain => Self::Uncertain,
            Verdict::Marginal => Self::Marginal,
            Verdict::Good => Self::Good,
        }
    }
}

/// What all findings together say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Whole {
    /// At least one finding stops the build.
    Stops,
    /// Nothing stops it so far, but questions are open, or none can be asked yet.
    NotProved,
    /// Every question is answered and none of the answers is bad.
    Good,
}

/// How many findings stand where.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// They stop the build by themselves.
    pub stop: usize,
    /// They follow from those.
    pub follow: usize,
    /// The evidence cannot tell.
    pub uncertain: usize,
    /// Inside, but the uncertainty reaches the limit.
    pub marginal: usize,
    /// An operation has moved what was read.
    pub stale: usize,
    /// Not measured, or no limit is known.
    pub unknown: usize,
    /// Those of the last of which something is read: sizes that wait for a limit, or for the rest of them.
    pub begun: usize,
    /// Good.
    pub good: usize,
    /// Those of all these that stand whichever value a reading has that is asked about and not yet confirmed.
    pub asked: usize,
}

impl Tally {
    /// Counts each finding once.
    pub fn of(findings: &[Finding]) -> Self {
        let mut tally = Self::default();
        for finding in findings {
            *match Standing::of(finding) {
                Standing::Stops => &mut tally.stop,
                Standing::Follows => &mut tally.follow,
                Standing::Uncertain => &mut tally.uncertain,
                Standing::Marginal => &mut tally.marginal,
                Standing::Stale => &mut tally.stale,
                Standing::Unknown => &mut tally.unknown,
                Standing::Good => &mut tally.good,
            } += 1;
            let is_read = || finding.working.inputs.iter().any(|input| !input.readings.is_empty());
            if Standing::of(finding) == Standing::Unknown && is_read() {
                tally.begun += 1;
            }
            if finding.either_value.is_some() {
                tally.asked += 1;
            }
        }
        tally
    }

    /// All questions.
    pub const fn all(&self) -> usize {
        self.stop + self.follow + self.open() + self.marginal + self.good
    }

    /// Questions without an answer that can be trusted.
    pub const fn open(&self) -> usize {
        self.uncertain + self.stale + self.unknown
    }

    /// Whether no question has an answer yet.
    pub const fn nothing_judged(&self) -> bool {
        self.unknown == self.all()
    }

    /// Whether no question has an answer yet, and nothing is read that one could come from.
    pub const fn nothing_known(&self) -> bool {
        self.nothing_judged() && self.begun == 0
    }

    /// What they say together. Where nothing can be asked, nothing is proved; what follows stands while its cause does.
    pub const fn whole(&self) -> Whole {
        if self.stop > 0 {
            Whole::Stops
        } else if self.all() == 0 || self.open() + self.follow + self.asked > 0 {
            Whole::NotProved
        } else {
            Whole::Good
        }
    }

    /// "13 stop the build", "not proved: 155 of 339 questions open", "all good".
    pub fn in_short(&self) -> String {
        match self.whole() {
            Whole::Stops => counted(self.stop, "stops the build", "stop the build"),
            Whole::NotProved if self.nothing_known() => "not proved: nothing is known yet".to_owned(),
            Whole::NotProved if self.open() + self.follow == 0 => {
                "not proved: a reading is asked about".to_owned()
            }
            Whole::NotProved => {
                let all = counted(self.all(), "question", "questions");
                format!("not proved: {} of {all} open", self.open() + self.follow)
            }
            Whole::Good => "all good".to_owned(),
        }
    }

    /// "13 stop the build, 11 follow from them, 2 are uncertain, 18 are not known yet, 293 are good".
    pub fn in_full(&self) -> String {
        let one_cause = self.stop == 1;
        let (follows, follow) = if one_cause {
            ("follows from it", "follow from it")
        } else {
            ("follows from them", "follow from them")
        };
        let parts = [
            (self.stop, "stops the build", "stop the build"),
            (self.follow, follows, follow),
            (self.uncertain, "is uncertain", "are uncertain"),
            (self.stale, "is stale", "are stale"),
            (self.unknown, "is not known yet", "are not known yet"),
            (self.marginal, "is marginal", "are marginal"),
            (self.good, "is good", "are good"),
        ];
        let first = parts[0];
        let rest = parts[1..].iter().filter(|(n, ..)| *n > 0);
        std::iter::once(&first)
            .chain(rest)
            .map(|(n, one, many)| counted(*n, one, many))
            .collect::<Vec<_>>()
            .join(", ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn little_known_is_never_good() {
        let none = Tally::default();
        assert_eq!(
            (none.whole(), none.in_short().as_str()),
            (Whole::NotProved, "not proved: nothing is known yet")
        );
        let unread = Tally { unknown: 152, ..none };
        assert_eq!(unread.in_short(), "not proved: nothing is known yet");
        let without_limits = Tally { unknown: 152, begun: 86, ..none };
        assert_eq!(without_limits.in_short(), "not proved: 152 of 152 questions open");
        let little = Tally { good: 3, unknown: 152, ..none };
        assert_eq!(little.in_short(), "not proved: 152 of 155 questions open");
        let stale = Tally { good: 3, stale: 1, ..none };
        assert_eq!(stale.whole(), Whole::NotProved, "what was read before the cut proves nothing");
        let stops = Tally { stop: 1, follow: 2, good: 3, ..none };
        assert_eq!(stops.in_full(), "1 stops the build, 2 follow from it, 3 are good");
        assert_eq!(Tally { good: 4, marginal: 1, ..none }.in_short(), "all good");
        // Both values of a reading that is asked about may be good: the question is open all the same.
        let asked = Tally { good: 4, asked: 1, ..none };
        assert_eq!(
            (asked.whole(), asked.in_short().as_str()),
            (Whole::NotProved, "not proved: a reading is asked about")
        );
    }
}
