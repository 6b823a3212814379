//! Counts of tests, read from what the test runners print.

/// Tests that passed and failed.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Count {
    pub(crate) passed: u64,
    pub(crate) failed: u64,
}

/// What the summary lines of nextest, cargo test and vitest begin with or hold.
const SUMMARY_MARKS: [&str; 3] = ["tests run:", "test result:", "Tests "];

impl Count {
    /// Adds up every summary line of a runner's output.
    pub(crate) fn read(output: &str) -> Self {
        output
            .lines()
            .filter(|line| SUMMARY_MARKS.iter().any(|mark| line.contains(mark)))
            .fold(Self::default(), |sum, line| {
                sum.plus(Self { passed: number_before(line, "passed"), failed: number_before(line, "failed") })
            })
    }

    pub(crate) fn plus(self, other: Self) -> Self {
        Self { passed: self.passed + other.passed, failed: self.failed + other.failed }
    }
}

fn number_before(line: &str, word: &str) -> u64 {
    let mut last = 0;
    for token in line.split(|c: char| !c.is_alphanumeric()).filter(|token| !token.is_empty()) {
        if token == word {
            return last;
        }
        last = token.parse().unwrap_or(0);
    }
    0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_three_runners_are_understood() {
        let nextest = "     Summary [   1.204s] 12 tests run: 11 passed (1 slow), 1 failed, 2 skipped";
        assert_eq!(Count::read(nextest), Count { passed: 11, failed: 1 });
        let cargo =
            "test result: ok. 4 passed; 0 failed; 0 ignored\ntest result: FAILED. 1 passed; 2 failed; 0 ignored";
        assert_eq!(Count::read(cargo), Count { passed: 5, failed: 2 });
        let vitest = " Test Files  2 passed (2)\n      Tests  1 failed | 9 passed (10)";
        assert_eq!(Count::read(vitest), Count { passed: 9, failed: 1 });
    }

    #[test]
    fn other_lines_count_for_nothing() {
        assert_eq!(Count::read("3 passed by on their way"), Count::default());
    }
}
