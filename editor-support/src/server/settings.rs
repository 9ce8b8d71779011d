//! What the user has set, as far as the client tells: one section, `purfle`.

use std::time::Duration;

use serde_json::Value;

/// The longest delay that can be set, in milliseconds.
const LONGEST_DELAY: u64 = 60_000;

/// When all that can be proved is worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProofRun {
    /// While the user types, after each pause.
    Type,
    /// When a rulebook is opened or saved.
    Save,
    /// Not at all.
    Never,
}

/// All settings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// `inlayHints.enable`: whether costs and tiers are shown within the text.
    pub inlay_hints: bool,
    /// `codeLens.enable`: whether results are shown above examples and findings.
    pub code_lens: bool,
    /// `proof.run`: when all that can be proved is worked out.
    pub proof: ProofRun,
    /// `diagnostics.delay`: how long the pause after the last change must be before that, in milliseconds.
    pub delay: Duration,
}

impl Default for Settings {
    fn default() -> Self {
        Self { inlay_hints: true, code_lens: true, proof: ProofRun::Type, delay: Duration::from_millis(200) }
    }
}

impl Settings {
    /// Takes over what is set in `told`, the section or an object that has it, and says what cannot be used. What is not
    /// mentioned goes back to what it is by itself.
    pub fn take(&mut self, told: &Value) -> Vec<String> {
        let mut wrong = Vec::new();
        let section = told.get("purfle").unwrap_or(told);
        *self = Self::default();
        let at = |path: &str| path.split('.').try_fold(section, |value, step| value.get(step)).or_else(|| section.get(path));
        let set = |path: &str| at(path).filter(|value| !value.is_null());
        for (path, switch) in [("inlayHints.enable", &mut self.inlay_hints), ("codeLens.enable", &mut self.code_lens)] {
            match set(path).map(Value::as_bool) {
                None => {}
                Some(Some(on)) => *switch = on,
                Some(None) => wrong.push(format!("The setting purfle.{path} is either true or false.")),
            }
        }
        match set("proof.run").map(Value::as_str) {
            None => {}
            Some(Some("type")) => self.proof = ProofRun::Type,
            Some(Some("save")) => self.proof = ProofRun::Save,
            Some(Some("never")) => self.proof = ProofRun::Never,
            Some(_) => wrong.push("The setting purfle.proof.run is one of \"type\", \"save\" and \"never\".".to_owned()),
        }
        match set("diagnostics.delay").map(Value::as_u64) {
            None => {}
            Some(Some(delay)) if delay <= LONGEST_DELAY => self.delay = Duration::from_millis(delay),
            Some(_) => {
                wrong.push(format!("The setting purfle.diagnostics.delay is a number of milliseconds from 0 to {LONGEST_DELAY}."))
            }
        }
        wrong
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn settings_come_nested_dotted_or_within_their_section() {
        for told in [
            json!({"purfle": {"proof": {"run": "save"}, "diagnostics": {"delay": 5}, "codeLens": {"enable": false}}}),
            json!({"proof": {"run": "save"}, "diagnostics": {"delay": 5}, "codeLens": {"enable": false}}),
            json!({"proof.run": "save", "diagnostics.delay": 5, "codeLens.enable": false, "inlayHints.enable": null}),
        ] {
            let mut settings = Settings::default();
            assert_eq!(settings.take(&told), [""; 0]);
            let expected =
                Settings { inlay_hints: true, code_lens: false, proof: ProofRun::Save, delay: Duration::from_millis(5) };
            assert_eq!(settings, expected);
        }
    }

    #[test]
    fn what_cannot_be_used_is_said_and_changes_nothing() {
        let mut settings = Settings::default();
        let told = json!({"proof": {"run": "often"}, "diagnostics": {"delay": -1}, "inlayHints": {"enable": "yes"}});
        let wrong = settings.take(&told);
        assert_eq!(settings, Settings::default());
        assert_eq!(wrong.len(), 3);
        assert!(wrong[1].contains("\"type\", \"save\" and \"never\""), "{wrong:?}");
    }

    #[test]
    fn anything_at_all_may_come() {
        for told in [json!(null), json!([1]), json!("purfle"), json!({"purfle": 3})] {
            let mut settings = Settings { inlay_hints: false, ..Settings::default() };
            assert_eq!(settings.take(&told), [""; 0]);
            assert_eq!(settings, Settings::default());
        }
    }
}
