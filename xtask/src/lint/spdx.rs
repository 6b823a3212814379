//! Just enough of SPDX licence expressions: `OR`, `AND`, brackets, and the old `/` for `OR`.

/// Whether an expression can be met with licences from the list alone; an expression that cannot be read is refused.
pub(crate) fn is_met(expression: &str, allowed: &[&str]) -> bool {
    let spaced = expression.replace('(', " ( ").replace(')', " ) ").replace('/', " OR ");
    let tokens: Vec<&str> = spaced.split_whitespace().collect();
    let mut reader = Reader { tokens: &tokens, allowed, is_broken: false };
    let met = reader.any_of();
    met && reader.tokens.is_empty() && !reader.is_broken
}

struct Reader<'a> {
    tokens: &'a [&'a str],
    allowed: &'a [&'a str],
    is_broken: bool,
}

impl Reader<'_> {
    fn take(&mut self, word: &str) -> bool {
        let found = self.tokens.first().is_some_and(|token| token.eq_ignore_ascii_case(word));
        if found {
            self.tokens = &self.tokens[1..];
        }
        found
    }

    fn any_of(&mut self) -> bool {
        let mut met = self.all_of();
        while self.take("OR") {
            // both sides are read: a shortcut would leave tokens behind
            met |= self.all_of();
        }
        met
    }

    fn all_of(&mut self) -> bool {
        let mut met = self.single();
        while self.take("AND") {
            met &= self.single();
        }
        met
    }

    fn single(&mut self) -> bool {
        if self.take("(") {
            let met = self.any_of();
            self.is_broken |= !self.take(")");
            return met;
        }
        let Some((name, rest)) = self.tokens.split_first() else {
            self.is_broken = true;
            return false;
        };
        self.tokens = rest;
        if self.take("WITH") {
            // an exception only ever gives more freedom than the licence alone
            self.tokens = self.tokens.get(1..).unwrap_or_default();
        }
        self.allowed.contains(name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALLOWED: [&str; 3] = ["MIT", "Apache-2.0", "Unicode-3.0"];

    #[test]
    fn expressions_are_met_or_not() {
        for good in [
            "MIT",
            "MIT/Apache-2.0",
            "GPL-3.0 OR MIT",
            "(MIT OR GPL-2.0) AND Unicode-3.0",
            "Apache-2.0 WITH LLVM-exception",
        ] {
            assert!(is_met(good, &ALLOWED), "{good}");
        }
        for bad in ["", "GPL-3.0", "MIT AND GPL-3.0", "MIT OR", "(MIT", "MIT MIT", "MIT AND (GPL-3.0 OR AGPL-3.0)"] {
            assert!(!is_met(bad, &ALLOWED), "{bad}");
        }
    }
}
