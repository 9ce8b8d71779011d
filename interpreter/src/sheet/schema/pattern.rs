//! Patterns (ECMA-262, as JSON Schema has them) of what may be written in a field.

/// A text for itself.
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for character in text.chars() {
        if matches!(character, '\\' | '.' | '*' | '+' | '?' | '(' | ')' | '[' | ']' | '{' | '}' | '^' | '$' | '|' | '/' | '-') {
            out.push('\\');
        }
        out.push(character);
    }
    out
}

/// A text in capitals or not.
pub fn any_case(text: &str) -> String {
    let mut out = String::with_capacity(text.len() * 4);
    for character in text.chars() {
        let (mut lower, mut upper) = (character.to_lowercase(), character.to_uppercase());
        match (lower.next(), lower.next(), upper.next(), upper.next()) {
            (Some(small), None, Some(large), None) if small != large => {
                out.push('[');
                out.push(small);
                out.push(large);
                out.push(']');
            }
            (_, None, _, None) => out.push_str(&escaped(&character.to_string())),
            // A letter whose capital is two: any one or two characters will do.
            _ => out.push_str("[^,]{1,2}"),
        }
    }
    out
}

/// A name, in capitals or not, whatever joins its words.
pub fn like(name: &str) -> String {
    let words = name.split(['-', '_', ' ']).map(any_case);
    words.collect::<Vec<_>>().join("[-_ ]")
}

/// One of these.
pub fn group(patterns: impl Iterator<Item = String>) -> String {
    format!("({})", patterns.collect::<Vec<_>>().join("|"))
}

/// One of these words, quoted or not.
pub fn words(names: &[&str]) -> String {
    let plain = group(names.iter().map(|name| any_case(name)));
    format!("(\"{plain}\"|{plain})")
}

/// One or several of a kind, with commas, `and` or `or` between them.
pub fn list_of(word: &str) -> String {
    let joint = format!("(\\s*,)?(\\s*({}|{})\\s)?\\s*", any_case("and"), any_case("or"));
    format!("{word}({joint}{word})*")
}

/// A decimal number.
const DECIMAL: &str = r"-?[0-9]+(\.[0-9]+)?";

/// A number, a range or one end of a range, with one of these units.
pub fn number(units: &[&str]) -> String {
    let unit =
        if units.is_empty() { String::new() } else { format!("(\\s*{})?", group(units.iter().map(|unit| any_case(unit)))) };
    let quantity = format!("{DECIMAL}{unit}");
    between(&quantity)
}

/// A date, a range or one end of a range; `none` where there may be no date.
pub fn date(look: bool) -> String {
    let day = "[0-9]{4}-[0-9]{2}-[0-9]{2}";
    if look { format!("({}|{})", any_case("none"), between(day)) } else { day.to_owned() }
}

fn between(quantity: &str) -> String {
    let [from, to, at, least, most] = ["from", "to", "at", "least", "most"].map(any_case);
    format!("(({from}\\s+)?{quantity}(\\s+{to}\\s+{quantity})?|{at}\\s+({least}|{most})\\s+{quantity})")
}
