//! The sheet as an empty workbook: one row an instrument, drop-downs and checked ranges, and a sheet that explains it.

use rust_xlsxwriter::{
    DataValidation, DataValidationErrorStyle, DataValidationRule, DocProperties, ExcelDateTime, Format, FormatAlign,
    FormatBorder, Formula, Note, Workbook, Worksheet, XlsxError,
};

use super::Scope;
use super::columns::{Column, Takes, columns};
use crate::records::letters;
use crate::report::rulebook_line;

/// The rows that are made ready for instruments.
const ROWS: u32 = 2_000;

/// The most characters of a message beside a cell, and of its title.
const LONGEST_MESSAGE: usize = 255;
const LONGEST_TITLE: usize = 32;

/// The sheet to fill in, the one that explains it, and the one that the drop-downs are taken from.
const SHEETS: [&str; 3] = ["Records", "Columns", "Choices"];

/// The columns of the sheet that explains.
const EXPLAINED: [(&str, f64); 9] = [
    ("Column", 8.0),
    ("Heading", 26.0),
    ("Part", 24.0),
    ("Place", 18.0),
    ("Question", 44.0),
    ("What may be written", 44.0),
    ("Quick test", 56.0),
    ("Caution", 44.0),
    ("Only where", 36.0),
];

/// How high a line is, in points.
const LINE: f64 = 14.0;

/// What may be written in every column, said once.
const EVERYWHERE: &str = "In every column of a look: leave it empty where nobody looked, ? where you looked and could not tell, \
    - where it does not apply. Where you could not tell which of two it is, write both with `or` between them. \
    A number may carry a unit of its own, or be a range: 0.3 to 0.6 mm.";

/// The workbook, as the bytes of an XLSX file.
pub fn workbook(scope: &Scope<'_>) -> Result<Vec<u8>, XlsxError> {
    let columns = columns(scope);
    let mut workbook = Workbook::new();
    // Always the same day, so that one rulebook always makes one and the same file.
    let day = ExcelDateTime::from_ymd(1980, 1, 1)?;
    workbook.set_properties(&DocProperties::new().set_title(&scope.book().title).set_creation_datetime(&day));
    let heading = Format::new()
        .set_bold()
        .set_background_color("#E6E6E6")
        .set_border_bottom(FormatBorder::Thin)
        .set_text_wrap()
        .set_align(FormatAlign::Top);
    for name in SHEETS {
        workbook.add_worksheet().set_name(name)?;
    }
    records(workbook.worksheet_from_name(SHEETS[0])?, &columns, &heading)?;
    explained(workbook.worksheet_from_name(SHEETS[1])?, scope, &columns, &heading)?;
    choices(workbook.worksheet_from_name(SHEETS[2])?, &columns)?;
    workbook.save_to_buffer()
}

fn records(sheet: &mut Worksheet, columns: &[Column], heading: &Format) -> Result<(), XlsxError> {
    // What a spreadsheet would take for a number or a date stays as it is written.
    let text = Format::new().set_num_format("@");
    let day = Format::new().set_num_format("yyyy-mm-dd");
    sheet.set_freeze_panes(1, 1)?.set_landscape().set_repeat_rows(0, 0)?;
    for (at, column) in columns.iter().enumerate() {
        let place = at as u16;
        sheet.set_column_width(place, (column.heading.chars().count() as f64 + 3.0).clamp(11.0, 40.0))?;
        match &column.takes {
            Takes::Text | Takes::Choices(_) | Takes::Only(_) => drop(sheet.set_column_format(place, &text)?),
            Takes::Day => drop(sheet.set_column_format(place, &day)?),
            Takes::Number(..) => {}
        }
        sheet.write_string_with_format(0, place, &column.heading, heading)?;
        sheet.insert_note(0, place, &Note::new(note(column)).add_author_prefix(false).set_width(320).set_height(160))?;
        sheet.add_data_validation(1, place, ROWS, place, &validation(column, at)?)?;
    }
    sheet.autofilter(0, 0, ROWS, columns.len() as u16 - 1)?;
    Ok(())
}

/// What a note over a column says: the question, the quick test, the caution, when it is asked.
fn note(column: &Column) -> String {
    let about =
        [column.part.as_str(), column.place.as_str()].into_iter().filter(|word| !word.is_empty()).collect::<Vec<_>>().join(", ");
    let mut lines = Vec::new();
    if !about.is_empty() {
        lines.push(about);
    }
    lines.push(column.question.clone());
    lines.extend(column.how.iter().map(|how| format!("How: {how}")));
    lines.extend(column.care.iter().map(|care| format!("Care: {care}")));
    lines.extend(column.only.iter().map(|only| format!("Only where {only}.")));
    lines.push(format!("Write: {}", column.allowed));
    lines.join("\n")
}

fn validation(column: &Column, at: usize) -> Result<DataValidation, XlsxError> {
    // More may be written than a list or two limits can say, so an answer is mostly asked about and not forbidden.
    let (style, besides) = match &column.takes {
        Takes::Only(_) => (DataValidationErrorStyle::Stop, ""),
        Takes::Choices(_) => (DataValidationErrorStyle::Warning, " Keep it if it is several of them, joined by `or`."),
        Takes::Number(..) => (DataValidationErrorStyle::Warning, " Keep it if you mean ?, -, a range, or a unit of its own."),
        Takes::Day | Takes::Text => (DataValidationErrorStyle::Warning, " Keep it if you mean ?, or a range."),
    };
    let validation = DataValidation::new()
        .set_input_title(cut(&column.heading, LONGEST_TITLE))?
        .set_input_message(cut(&format!("{} ({})", column.question, column.allowed), LONGEST_MESSAGE))?
        .set_error_title("Is that so?")?
        .set_error_message(cut(&format!("Expected: {}.{besides}", column.allowed), LONGEST_MESSAGE))?
        .set_error_style(style);
    Ok(match &column.takes {
        Takes::Text => validation.allow_any_value(),
        Takes::Day => validation.allow_date(DataValidationRule::GreaterThanOrEqualTo(ExcelDateTime::from_ymd(1900, 3, 1)?)),
        Takes::Number(low, high) => validation.allow_decimal_number(DataValidationRule::Between(*low, *high)),
        Takes::Choices(choices) | Takes::Only(choices) => {
            let column = letters(at);
            validation.allow_list_formula(Formula::new(format!("={}!${column}$2:${column}${}", SHEETS[2], choices.len() + 1)))
        }
    })
}

fn explained(sheet: &mut Worksheet, scope: &Scope<'_>, columns: &[Column], heading: &Format) -> Result<(), XlsxError> {
    let wrapped = Format::new().set_text_wrap().set_align(FormatAlign::Top);
    sheet.set_freeze_panes(1, 2)?.set_landscape().set_repeat_rows(0, 0)?.set_print_fit_to_pages(1, 0);
    for (at, (name, width)) in EXPLAINED.into_iter().enumerate() {
        sheet.set_column_width(at as u16, width)?;
        sheet.write_string_with_format(0, at as u16, name, heading)?;
    }
    for (at, column) in columns.iter().enumerate() {
        let row = at as u32 + 1;
        let texts = [
            letters(at),
            column.heading.clone(),
            column.part.clone(),
            column.place.clone(),
            column.question.clone(),
            column.allowed.clone(),
            column.how.join("\n"),
            column.care.join("\n"),
            column.only.join("\n"),
        ];
        // Not every program makes a row as high as its texts want.
        let lines = texts.iter().zip(EXPLAINED).map(|(text, (_, width))| lines_of(text, width)).max().unwrap_or(1);
        sheet.set_row_height(row, LINE * lines as f64 + 2.0)?;
        for (place, text) in texts.iter().enumerate().filter(|(_, text)| !text.is_empty()) {
            sheet.write_string_with_format(row, place as u16, text, &wrapped)?;
        }
    }
    let about = [EVERYWHERE.to_owned(), rulebook_line(scope.book())];
    let below = columns.len() as u32 + 2;
    for (row, line) in (below..).zip(about.iter().chain(&scope.book().notices)) {
        sheet.write_string(row, 0, line)?;
    }
    Ok(())
}

fn choices(sheet: &mut Worksheet, columns: &[Column]) -> Result<(), XlsxError> {
    let text = Format::new().set_num_format("@");
    for (at, column) in columns.iter().enumerate() {
        let (Takes::Choices(choices) | Takes::Only(choices)) = &column.takes else { continue };
        sheet.write_string(0, at as u16, format!("for {}", column.heading))?;
        for (row, choice) in choices.iter().enumerate() {
            sheet.write_string_with_format(row as u32 + 1, at as u16, choice, &text)?;
        }
    }
    sheet.set_hidden(true);
    Ok(())
}

/// How many lines a text takes in a column of that width.
fn lines_of(text: &str, width: f64) -> usize {
    // Words are not broken, so a line is never quite full.
    let room = (width * 0.85).max(1.0) as usize;
    text.lines().map(|line| line.chars().count().div_ceil(room)).sum()
}

/// A text of so many characters at the most.
fn cut(text: &str, most: usize) -> String {
    if text.encode_utf16().count() <= most {
        return text.to_owned();
    }
    let mut room = most - 3;
    let kept = text.chars().take_while(|character| {
        let fits = room >= character.len_utf16();
        room = room.saturating_sub(character.len_utf16());
        fits
    });
    kept.chain("...".chars()).collect()
}
