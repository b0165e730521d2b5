//! The bill of materials: which packages are in the page, as an open standard writes it (`CycloneDX` 1.5, ECMA-424, from
//! memory).

use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

use anyhow::{Context as _, Result, bail};
use serde_json::{Value, json};

use crate::project::Project;

/// The packages that are compiled into the page: the core and the unpacker, with all that they stand on.
const IN_THE_PAGE: [&str; 2] = ["farheard", "farheard-guess"];

/// The bill, as JSON.
///
/// # Errors
/// If cargo does not tell what it builds.
pub(crate) fn bill(project: &Project) -> Result<String> {
    let output = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
        .current_dir(project.root())
        .args(["metadata", "--format-version=1", "--locked", "--filter-platform=wasm32-unknown-unknown"])
        .output()
        .context("asking cargo for the packages")?;
    if !output.status.success() {
        bail!("cargo metadata said: {}", String::from_utf8_lossy(&output.stderr).trim());
    }
    let told: Value = serde_json::from_slice(&output.stdout).context("reading what cargo tells of the packages")?;
    let text = serde_json::to_string_pretty(&of_metadata(&told)?).context("writing the bill of materials")?;
    Ok(text + "\n")
}

fn list<'v>(value: &'v Value, name: &str) -> &'v [Value] {
    value[name].as_array().map(Vec::as_slice).unwrap_or_default()
}

fn text<'v>(value: &'v Value, name: &str) -> &'v str {
    value[name].as_str().unwrap_or_default()
}

/// The bill of what `cargo metadata` says.
fn of_metadata(told: &Value) -> Result<Value> {
    let packages: BTreeMap<&str, &Value> =
        list(told, "packages").iter().map(|package| (text(package, "id"), package)).collect();
    // what is only used to build or to test is not in the page
    let normal = |dependency: &&Value| list(dependency, "dep_kinds").iter().any(|kind| kind["kind"].is_null());
    let nodes: BTreeMap<&str, Vec<&str>> = list(&told["resolve"], "nodes")
        .iter()
        .map(|node| {
            let uses = list(node, "deps").iter().filter(normal).map(|dependency| text(dependency, "pkg"));
            (text(node, "id"), uses.collect())
        })
        .collect();
    let is_named = |id: &str| packages.get(id).is_some_and(|package| IN_THE_PAGE.contains(&text(package, "name")));
    let mut waiting: Vec<&str> = nodes.keys().copied().filter(|id| is_named(id)).collect();
    if waiting.len() != IN_THE_PAGE.len() {
        bail!("cargo does not know {}", IN_THE_PAGE.join(" and "));
    }
    let mut found: BTreeSet<&str> = BTreeSet::new();
    while let Some(id) = waiting.pop() {
        if found.insert(id) {
            waiting.extend(nodes.get(id).into_iter().flatten());
        }
    }
    let mut components: Vec<Value> =
        found.iter().filter_map(|id| packages.get(id)).map(|package| component(package)).collect();
    components.sort_by_key(|component| (text(component, "name").to_owned(), text(component, "version").to_owned()));
    Ok(json!({
        "bomFormat": "CycloneDX",
        "specVersion": "1.5",
        "version": 1,
        "metadata": { "component": { "type": "application", "name": "farheard", "version": env!("CARGO_PKG_VERSION") } },
        "components": components,
    }))
}

fn component(package: &Value) -> Value {
    let (name, version) = (text(package, "name"), text(package, "version"));
    let mut component = json!({
        "type": "library",
        "name": name,
        "version": version,
        "licenses": [{ "expression": text(package, "license") }],
    });
    // those of this project come from no registry
    if !package["source"].is_null() {
        component["purl"] = json!(format!("pkg:cargo/{name}@{version}"));
    }
    component
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_only_builds_or_tests_is_not_in_the_bill() {
        let package = |name: &str, source: Value| json!({ "id": name, "name": name, "version": "1.2.3", "license": "MIT", "source": source });
        let uses = |name: &str, kind: Value| json!({ "pkg": name, "dep_kinds": [{ "kind": kind }] });
        let told = json!({
            "packages": [
                package("farheard", Value::Null), package("farheard-guess", Value::Null),
                package("used", json!("registry")), package("deep", json!("registry")), package("dev", json!("registry")),
                package("build", json!("registry")),
            ],
            "resolve": { "nodes": [
                { "id": "farheard", "deps": [uses("used", Value::Null), uses("dev", json!("dev")), uses("build", json!("build"))] },
                { "id": "farheard-guess", "deps": [] },
                { "id": "used", "deps": [uses("deep", Value::Null)] },
            ] },
        });
        let bill = of_metadata(&told).unwrap();
        let names: Vec<&str> = list(&bill, "components").iter().map(|it| text(it, "name")).collect();
        assert_eq!(names, ["deep", "farheard", "farheard-guess", "used"]);
        assert_eq!(bill["components"][3]["purl"], "pkg:cargo/used@1.2.3");
        assert_eq!(bill["components"][1].get("purl"), None);
        assert!(of_metadata(&json!({})).is_err());
    }
}
