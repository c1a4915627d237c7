//! The accessibility checker axe-core, injected by the driver.
//!
//! A script that the driver runs is not bound by the page's content security policy, so the page
//! is checked exactly as it is served.

use std::fmt;
use std::fs;
use std::path::PathBuf;
use std::time::Duration;

use serde::Deserialize;
use thirtyfour::WebDriver;

use crate::error::{Outcome, RigError};

/// WCAG 2.2 levels A and AA, with all that it takes over from 2.0 and 2.1.
const RUN: &str = "
    const done = arguments[arguments.length - 1];
    const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22a', 'wcag22aa'];
    const rule = (r) => ({
        id: r.id, help: r.help, impact: r.impact || '',
        elements: r.nodes.map((n) => n.target.flat().join(' ') + '  ' + (n.failureSummary || '')),
    });
    axe.run(document, { runOnly: { type: 'tag', values: tags } })
        .then((r) => done({
            version: r.testEngine.version,
            violations: r.violations.map(rule),
            undecided: r.incomplete.map(rule),
            passed: r.passes.length,
        }))
        .catch((e) => done({ failure: String(e) }));
";

/// What the checker says about one page.
#[derive(Clone, Debug, Deserialize)]
pub struct AxeReport {
    /// The checker's version.
    pub version: String,
    /// The rules that the page breaks.
    pub violations: Vec<AxeRule>,
    /// The rules that the checker cannot decide and that a person has to look at.
    pub undecided: Vec<AxeRule>,
    /// How many rules applied and held.
    pub passed: usize,
}

/// One rule with the elements it speaks of.
#[derive(Clone, Debug, Deserialize)]
pub struct AxeRule {
    /// The rule's short name, such as `label`.
    pub id: String,
    /// The rule in words.
    pub help: String,
    /// How much it hinders people, in the checker's words.
    pub impact: String,
    /// Selector and reason for each element.
    pub elements: Vec<String>,
}

impl AxeReport {
    /// Whether the checker really looked and found nothing: a blank page is no proof.
    pub fn is_clean(&self) -> bool {
        self.violations.is_empty() && self.passed > 0
    }
}

impl fmt::Display for AxeReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} rules broken, {} hold", self.violations.len(), self.passed)?;
        for rule in &self.violations {
            write!(f, "\n{} ({}): {}", rule.id, rule.impact, rule.help)?;
            for element in &rule.elements {
                write!(f, "\n    {element}")?;
            }
        }
        Ok(())
    }
}

/// Injects the checker into the page on show and runs it.
pub(crate) async fn check(driver: &WebDriver) -> Outcome<AxeReport> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("node_modules/axe-core/axe.min.js");
    let source = fs::read_to_string(&path).map_err(|source| RigError::NoAxe { path, source })?;

    driver.set_script_timeout(Duration::from_mins(1)).await?;
    driver.execute(source, Vec::new()).await?;
    let answer = driver.execute_async(RUN, Vec::new()).await?.json().clone();
    serde_json::from_value(answer.clone()).map_err(|error| RigError::UnexpectedAnswer {
        method: "axe.run".to_owned(),
        detail: format!("{error}: {answer}"),
    })
}
