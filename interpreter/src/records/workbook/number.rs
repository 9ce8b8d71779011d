//! A spreadsheet's numbers as a person would have written them: the figure as it was entered, with what the cell shows
//! beside it.

/// What a cell shows beside its number.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Beside {
    /// Before it, such as a sign of money.
    pub before: String,
    /// Behind it, such as a unit.
    pub behind: String,
    /// Whether it is shown in per cent, a hundred times as large.
    pub percent: bool,
    /// What is shown in its place, where it does not show at all: above, below and at nought. So are a spreadsheet's
    /// yes and no saved where a formula has come to them.
    pub words: Vec<String>,
}

/// A spreadsheet keeps 15 digits and shows no more; what lies behind them comes of counting in twos.
const DIGITS: i32 = 15;

/// A number in plain decimals.
pub fn digits(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".to_owned() } else { value.to_string() };
    }
    let text = format!("{:.*e}", (DIGITS - 1) as usize, value.abs());
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    let figures: String = mantissa.chars().filter(char::is_ascii_digit).collect();
    let figures = figures.trim_end_matches('0');
    let length = figures.len() as i32;
    let zeros = |count: i32| "0".repeat(usize::try_from(count).unwrap_or(0));
    let plain = match exponent {
        below if below < 0 => format!("0.{}{figures}", zeros(-below - 1)),
        whole if whole + 1 >= length => format!("{figures}{}", zeros(whole + 1 - length)),
        at => {
            let (whole, part) = figures.split_at((at + 1) as usize);
            format!("{whole}.{part}")
        }
    };
    if value < 0.0 { format!("-{plain}") } else { plain }
}

/// The currency of a sign in a number format, where the country (a language identifier of Windows) leaves no doubt.
fn code(sign: &str, country: &str) -> Option<&'static str> {
    match (sign, country) {
        ("$", "409") => Some("USD"),
        ("\u{20ac}", _) => Some("EUR"),
        ("\u{a3}", "809") => Some("GBP"),
        _ => None,
    }
}

impl Beside {
    /// What a number format (ECMA-376, part 1, 18.8.31) shows beside the number.
    pub fn of_format(format: &str) -> Self {
        let mut sections = Vec::new();
        let mut rest = format;
        while !rest.is_empty() {
            let (section, digits, length) = Self::of_section(rest);
            rest = rest.get(length..).unwrap_or_default();
            sections.push((section, digits));
        }
        // Only the first section, for numbers of nought and more, tells what stands beside one.
        match sections.first() {
            Some((_, false)) => {
                Self { words: sections.into_iter().map(|(section, _)| section.before).collect(), ..Self::default() }
            }
            _ => sections.into_iter().next().unwrap_or_default().0.tidy(),
        }
    }

    /// One section of a number format, whether it shows the number, and how long it is with the mark behind it.
    fn of_section(format: &str) -> (Self, bool, usize) {
        let mut beside = Self::default();
        let mut seen_digits = false;
        let mut characters = format.chars();
        if format.to_ascii_lowercase().starts_with("general") {
            seen_digits = true;
            characters.by_ref().take("general".len()).for_each(drop);
        }
        while let Some(character) = characters.next() {
            let mut literal = String::new();
            match character {
                ';' => break,
                '"' => literal.extend(characters.by_ref().take_while(|c| *c != '"')),
                '\\' => literal.extend(characters.next()),
                '_' | '*' => {
                    characters.next();
                    literal.push(' ');
                }
                '[' => {
                    let inside: String = characters.by_ref().take_while(|c| *c != ']').collect();
                    if let Some(money) = inside.strip_prefix('$') {
                        let (sign, country) = money.split_once('-').unwrap_or((money, ""));
                        literal.push_str(code(sign, country).unwrap_or(sign));
                    }
                }
                '%' => beside.percent = true,
                '0' | '#' | '?' | '@' => seen_digits = true,
                '.' | ',' | 'E' | 'e' | '/' => {}
                other => literal.push(other),
            }
            if seen_digits { &mut beside.behind } else { &mut beside.before }.push_str(&literal);
        }
        (beside, seen_digits, format.len() - characters.as_str().len())
    }

    /// What stands round the figure in the text that a cell shows.
    pub fn of_shown(text: &str) -> Self {
        let first = text.find(|c: char| c.is_ascii_digit());
        let last = text.rfind(|c: char| c.is_ascii_digit());
        let (Some(first), Some(last)) = (first, last) else { return Self::default() };
        let (before, behind) = (text[..first].to_owned(), text[last + 1..].to_owned());
        Self { before, behind, ..Self::default() }.tidy()
    }

    /// Leaves out signs, brackets and spaces, which belong to the figure, and puts the code of a currency behind it.
    fn tidy(mut self) -> Self {
        for text in [&mut self.before, &mut self.behind] {
            let trimmed =
                text.trim_matches(|c: char| c.is_whitespace() || matches!(c, '-' | '+' | '(' | ')' | '\u{2212}' | '.' | ','));
            *text = trimmed.to_owned();
        }
        if self.behind.is_empty() && self.before.len() == 3 && self.before.bytes().all(|byte| byte.is_ascii_uppercase()) {
            self.behind = std::mem::take(&mut self.before);
        }
        self
    }

    /// A number with what stands beside it.
    pub fn number(&self, value: f64) -> String {
        let at = if value > 0.0 {
            0
        } else if value < 0.0 {
            1
        } else {
            2
        };
        if let Some(words) = self.words.get(at).or(self.words.first()).map(|words| words.trim()).filter(|words| !words.is_empty())
        {
            return words.to_owned();
        }
        if self.percent {
            return format!("{} %", digits(value * 100.0));
        }
        let mut text = self.before.clone();
        if !text.is_empty() {
            text.push(' ');
        }
        text.push_str(&digits(value));
        if !self.behind.is_empty() {
            text.push(' ');
            text.push_str(&self.behind);
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::{Beside, digits};

    #[test]
    fn numbers_have_the_digits_they_were_entered_with() {
        for (value, text) in [
            (0.0, "0"),
            (-0.0, "0"),
            (0.1 + 0.2, "0.3"),
            (0.299_999_999_999_999_9, "0.3"),
            (1200.0, "1200"),
            (-4.5, "-4.5"),
            (0.000_25, "0.00025"),
            (46_346.0, "46346"),
            (5_550_142.0, "5550142"),
            (1e21, "1000000000000000000000"),
            (1.0 / 3.0, "0.333333333333333"),
            (123.456, "123.456"),
        ] {
            assert_eq!(digits(value), text, "{value}");
        }
    }

    #[test]
    fn a_format_says_what_stands_beside_a_number() {
        for (format, value, text) in [
            ("General", 0.5, "0.5"),
            ("0.0\" mm\"", 0.47, "0.47 mm"),
            ("0.0\\ \\m\\m", 0.5, "0.5 mm"),
            ("General\" in\"", 0.02, "0.02 in"),
            ("0%", 0.48, "48 %"),
            ("0.00%", 0.485, "48.5 %"),
            ("#,##0.00", 1234.5, "1234.5"),
            ("[$USD] #,##0.00", 240.0, "240 USD"),
            ("[$$-409]#,##0.00", 240.0, "240 USD"),
            ("[$$-1009]#,##0.00", 240.0, "$ 240"),
            ("#,##0.00\\ [$\u{20ac}-407]", 240.0, "240 EUR"),
            ("_($* #,##0.00_);_($* \\(#,##0.00\\);_($* \"-\"??_);_(@_)", 240.0, "$ 240"),
            ("[Red][>5]0.0;0.0", 7.0, "7"),
            ("0_);(0)", -7.0, "-7"),
            ("0.00E+00", 1500.0, "1500"),
            ("# ?/?", 0.5, "0.5"),
            ("@", 17.0, "17"),
            ("\"unended", 1.0, "unended"),
            ("\"TRUE\";\"TRUE\";\"FALSE\"", 1.0, "TRUE"),
            ("\"TRUE\";\"TRUE\";\"FALSE\"", 0.0, "FALSE"),
            ("\"a;b\";[Red]\"c\"", -1.0, "c"),
            (";;;", 5.0, "5"),
            ("", 5.0, "5"),
        ] {
            assert_eq!(Beside::of_format(format).number(value), text, "{format}");
        }
    }

    #[test]
    fn a_shown_text_says_what_stands_beside_a_number() {
        for (shown, text) in
            [("0.5 mm", "0.47 mm"), ("-0,5", "0.47"), ("1.2E+03", "0.47"), ("$0.47", "$ 0.47"), ("none", "0.47"), ("", "0.47")]
        {
            assert_eq!(Beside::of_shown(shown).number(0.47), text, "{shown}");
        }
    }
}
