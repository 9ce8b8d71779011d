//! What is packed into the VS Code extension, and what must not be.

use serde_json::Value;

use super::scene::clients;

fn json(name: &str) -> Value {
    let path = clients().join("vscode").join(name);
    serde_json::from_str(&std::fs::read_to_string(&path).expect("the file")).unwrap_or_else(|error| panic!("{name}: {error}"))
}

#[test]
fn the_lock_names_no_address() {
    let lock = std::fs::read_to_string(clients().join("vscode/package-lock.json")).expect("the lock");
    assert!(!lock.contains("\"resolved\""), "make it with `npm install --omit-lockfile-registry-resolved`");
}

#[test]
fn the_extension_needs_one_library() {
    let package = json("package.json");
    let needed: Vec<&String> = package["dependencies"].as_object().expect("what it needs").keys().collect();
    assert_eq!(needed, ["vscode-languageclient"]);
    assert_eq!(package["version"], env!("CARGO_PKG_VERSION"));
}

#[test]
fn every_command_and_setting_is_named_and_explained() {
    let package = json("package.json");
    let source = std::fs::read_to_string(clients().join("vscode/src/extension.js")).expect("the source");
    let commands = package["contributes"]["commands"].as_array().expect("commands");
    for command in commands {
        let name = command["command"].as_str().expect("a name");
        assert!(source.contains(&format!("'{name}'")), "{name} is offered and nothing carries it out");
    }
    let page = std::fs::read_to_string(clients().join("vscode/README.md")).expect("the page");
    let settings = package["contributes"]["configuration"]["properties"].as_object().expect("settings");
    for (name, shape) in settings {
        let explained = ["description", "markdownDescription"].iter().any(|key| shape[key].is_string());
        assert!(explained && !shape["default"].is_null(), "{name} has words and a default");
        assert!(name == "purfle.trace.server" || page.contains(&format!("`{name}`")), "{name} stands on the page");
    }
}
