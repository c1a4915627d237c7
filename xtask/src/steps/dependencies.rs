//! What must be absent from each crate, so that the flow stays one way, and that every direct
//! dependency is accounted for in `docs/dependencies.md`.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;

use serde_json::Value;

use crate::context::Context;
use crate::error::Failure;
use crate::tally::Tally;

/// A crate and what must not be reachable from it, tests aside.
struct Rule {
    package: &'static str,
    absent: &'static [&'static str],
}

const RULES: [Rule; 8] = [
    // Physics knows no documents, no formats, no disk and no network.
    Rule {
        package: "mechanics",
        absent: &[
            "engine",
            "store",
            "pages",
            "crosshatch",
            "toml_edit",
            "toml",
            "serde_json",
            "csv",
            "schemars",
            "rusqlite",
            "axum",
            "tokio",
            "maud",
            "jiff",
        ],
    },
    // So does the physics of gas exchange; it may use `mechanics`.
    Rule {
        package: "gas_exchange",
        absent: &[
            "engine",
            "store",
            "pages",
            "crosshatch",
            "toml_edit",
            "toml",
            "serde_json",
            "csv",
            "schemars",
            "rusqlite",
            "axum",
            "tokio",
            "maud",
            "jiff",
        ],
    },
    // `assess` and `plan` are pure: no database, no server, no clock.
    Rule {
        package: "engine",
        absent: &["store", "pages", "crosshatch", "rusqlite", "axum", "tokio", "maud", "jiff"],
    },
    // The store keeps bytes; it judges nothing and shows nothing.
    Rule { package: "store", absent: &["engine", "pages", "crosshatch", "axum", "maud"] },
    // Views compute nothing and reach for nothing.
    Rule { package: "pages", absent: &["store", "crosshatch", "rusqlite", "axum", "tokio", "jiff"] },
    Rule { package: "crosshatch", absent: &["browser_tests", "xtask", "thirtyfour", "reqwest"] },
    // These two look at the program from outside.
    Rule { package: "browser_tests", absent: OURS },
    Rule { package: "xtask", absent: OURS },
];

const OURS: &[&str] = &["mechanics", "gas_exchange", "engine", "store", "pages", "crosshatch"];

/// One check for each crate, and one for the page that accounts for the dependencies.
pub fn check(context: &Context) -> Result<Tally, Failure> {
    let graph = Graph::read(&context.metadata(&context.path("Cargo.toml"), &["--locked"])?);
    let mut tally = Tally::default();
    for member in &graph.members {
        let problem = match RULES.iter().find(|rule| rule.package == graph.name(member)) {
            Some(rule) => graph.breach(member, rule),
            None => {
                Some(format!("{}: no rule says what must be absent from it; add one", graph.name(member)))
            }
        };
        tally += told(problem);
    }
    tally += told(unexplained(context, &graph)?);
    Ok(tally)
}

fn told(problem: Option<String>) -> Tally {
    problem.map_or(Tally::PASSED, |problem| {
        println!("{problem}");
        Tally::FAILED
    })
}

/// Direct dependencies that `docs/dependencies.md` does not speak of.
fn unexplained(context: &Context, graph: &Graph) -> Result<Option<String>, Failure> {
    let path = context.path("docs/dependencies.md");
    let text = fs::read_to_string(&path).map_err(Failure::file(&path))?;
    let missing: Vec<_> = graph
        .direct
        .iter()
        .filter(|name| !text.contains(&format!("| `{name}` ")))
        .map(String::as_str)
        .collect();
    Ok((!missing.is_empty()).then(|| format!("docs/dependencies.md has no row for {}", missing.join(", "))))
}

/// The resolved packages: who needs whom.
struct Graph {
    names: BTreeMap<String, String>,
    needs: BTreeMap<String, Vec<String>>,
    members: Vec<String>,
    /// Names of the packages from outside that a crate of ours names.
    direct: BTreeSet<String>,
}

impl Graph {
    fn read(metadata: &Value) -> Self {
        let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
        let list = |value: &Value| value.as_array().cloned().unwrap_or_default();

        let packages = list(&metadata["packages"]);
        let names = packages.iter().map(|package| (text(&package["id"]), text(&package["name"]))).collect();
        let members: Vec<String> = list(&metadata["workspace_members"]).iter().map(text).collect();
        let direct = packages
            .iter()
            .filter(|package| members.contains(&text(&package["id"])))
            .flat_map(|package| list(&package["dependencies"]))
            .filter(|dependency| dependency["path"].is_null())
            .map(|dependency| text(&dependency["name"]))
            .collect();
        let needs = list(&metadata["resolve"]["nodes"])
            .iter()
            .map(|node| {
                let needed = list(&node["deps"]).into_iter().filter(|dependency| !only_for_tests(dependency));
                (text(&node["id"]), needed.map(|dependency| text(&dependency["pkg"])).collect())
            })
            .collect();
        Self { names, needs, members, direct }
    }

    fn name<'a>(&'a self, id: &'a str) -> &'a str {
        self.names.get(id).map_or(id, String::as_str)
    }

    /// The shortest way from the crate to something that must be absent, in words.
    fn breach(&self, member: &str, rule: &Rule) -> Option<String> {
        let mut ways = vec![vec![member.to_owned()]];
        let mut seen = BTreeSet::new();
        while let Some(way) = (!ways.is_empty()).then(|| ways.remove(0)) {
            for next in way.last().and_then(|last| self.needs.get(last)).into_iter().flatten() {
                if !seen.insert(next.clone()) {
                    continue;
                }
                let mut longer = way.clone();
                longer.push(next.clone());
                if rule.absent.contains(&self.name(next)) {
                    let names: Vec<_> = longer.iter().map(|id| self.name(id)).collect();
                    return Some(format!("{} must be absent: {}", self.name(next), names.join(" -> ")));
                }
                ways.push(longer);
            }
        }
        None
    }
}

fn only_for_tests(dependency: &Value) -> bool {
    let kinds = dependency["dep_kinds"].as_array();
    kinds.is_some_and(|kinds| kinds.iter().all(|kind| kind["kind"] == "dev"))
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::{Graph, Rule};

    #[test]
    fn finds_a_forbidden_package_through_another_but_not_through_tests() {
        let dependency =
            |name: &str, kind: Option<&str>| json!({"pkg": name, "dep_kinds": [{ "kind": kind }]});
        let graph = Graph::read(&json!({
            "packages": [{"id": "a", "name": "a"}, {"id": "b", "name": "b"}, {"id": "c", "name": "c"}],
            "workspace_members": ["a"],
            "resolve": {"nodes": [
                {"id": "a", "deps": [dependency("b", None)]},
                {"id": "b", "deps": [dependency("c", None), dependency("d", Some("dev"))]},
            ]},
        }));
        let forbidden = |absent| graph.breach("a", &Rule { package: "a", absent });
        assert_eq!(forbidden(&["c"]).as_deref(), Some("c must be absent: a -> b -> c"));
        assert_eq!(forbidden(&["d"]), None);
    }
}
