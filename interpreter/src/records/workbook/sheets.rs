//! Which sheet of a workbook is read: the one that is named, else the only one that is headed like records.

use purfle_lang::nearest::nearest;

use super::super::field::RECORD;

/// How many sheets a message names.
const NAMED: usize = 8;

/// The choice, as the command line puts it.
pub struct Sheets<'a> {
    /// The file, as it is named.
    pub name: &'a str,
    /// The sheet named after it.
    pub wanted: Option<&'a str>,
}

/// One sheet of a workbook.
pub struct Sheet {
    /// Its name.
    pub name: String,
    /// Whether a cell of its first row says `record`.
    pub headed: bool,
}

impl Sheets<'_> {
    /// The place of the sheet to read.
    pub fn choose(&self, sheets: &[Sheet]) -> Result<usize, String> {
        if sheets.is_empty() {
            return Err("it has no sheet with cells; save the records again".to_owned());
        }
        if let Some(wanted) = self.wanted {
            let exact = sheets.iter().position(|sheet| sheet.name == wanted);
            let alike = || sheets.iter().position(|sheet| sheet.name.trim().to_lowercase() == wanted.trim().to_lowercase());
            return exact.or_else(alike).ok_or_else(|| {
                let near = nearest(wanted, sheets.iter().map(|sheet| sheet.name.as_str()));
                let near = near.map(|near| format!("; the nearest is `{}#{near}`", self.name)).unwrap_or_default();
                format!("it has no sheet `{wanted}`; its sheets are {}{near}", listed(sheets.iter()))
            });
        }
        let headed: Vec<usize> = (0..sheets.len()).filter(|&at| sheets[at].headed).collect();
        match headed.as_slice() {
            // What is wrong with the first one is told when its heading is read.
            [] => Ok(0),
            [only] => Ok(*only),
            [first, ..] => Err(format!(
                "{} of its sheets hold records: {}; name the one to read, such as `{}#{}`, or each of them",
                headed.len(),
                listed(headed.iter().map(|&at| &sheets[at])),
                self.name,
                sheets[*first].name,
            )),
        }
    }
}

/// Whether this is what stands over the marks of the inspections.
pub fn heads_records(cell: &str) -> bool {
    cell.trim() == RECORD
}

fn listed<'a>(sheets: impl ExactSizeIterator<Item = &'a Sheet>) -> String {
    let more = sheets.len().saturating_sub(NAMED);
    let mut names: Vec<String> = sheets.take(NAMED).map(|sheet| format!("`{}`", sheet.name)).collect();
    if more > 0 {
        names.push(format!("{more} more"));
    }
    names.join(", ")
}

#[cfg(test)]
mod tests {
    use super::{Sheet, Sheets};

    fn choose(wanted: Option<&str>, sheets: &[(&str, bool)]) -> Result<usize, String> {
        let sheets: Vec<Sheet> =
            sheets.iter().map(|(name, headed)| Sheet { name: (*name).to_owned(), headed: *headed }).collect();
        Sheets { name: "a.xlsx", wanted }.choose(&sheets)
    }

    #[test]
    fn one_sheet_of_records_needs_no_name() {
        assert_eq!(choose(None, &[("Notes", false), ("Cellos", true)]), Ok(1));
        assert_eq!(choose(None, &[("Notes", false), ("Plan", false)]), Ok(0));
        assert!(choose(None, &[]).is_err());
    }

    #[test]
    fn of_several_one_is_named() {
        let two = [("Violins", true), ("Notes", false), ("Cellos", true)];
        assert_eq!(
            choose(None, &two).unwrap_err(),
            "2 of its sheets hold records: `Violins`, `Cellos`; name the one to read, such as `a.xlsx#Violins`, or each of them"
        );
        assert_eq!(choose(Some("Cellos"), &two), Ok(2));
        assert_eq!(choose(Some("cellos"), &two), Ok(2));
        assert_eq!(
            choose(Some("Celos"), &two).unwrap_err(),
            "it has no sheet `Celos`; its sheets are `Violins`, `Notes`, `Cellos`; the nearest is `a.xlsx#Cellos`"
        );
    }
}
