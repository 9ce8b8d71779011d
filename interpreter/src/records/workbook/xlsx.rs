//! XLSX: a sheet streamed cell by cell.

use std::fs::File;
use std::io::{BufReader, Seek};

use calamine::{DataRef, Dimensions, ExcelDateTime, Reader, SheetType, Style, Xlsx, XlsxCellReader, open_workbook_from_rs};
use rustc_hash::FxHashMap;

use super::super::cells::Cell;
use super::archive::Seen;
use super::number::{Beside, digits};
use super::sheets::{Sheet, Sheets, heads_records};
use super::sink::{MOST_COLUMNS, Sink, UNSAVED};
use super::{Failed, broken};

/// The most merged stretches of one sheet; every one in a record is a fault of that record.
const MOST_MERGES: usize = 1000;

/// The most faults of merged cells in one row; a record tells no more.
const MOST_MERGED: usize = 20;

type Workbook = Xlsx<BufReader<File>>;

/// Reads the sheet that is chosen into the sink, and returns its name.
pub fn read(mut file: File, seen: &Seen, sheets: &Sheets<'_>, sink: &mut Sink) -> Result<String, Failed> {
    file.rewind()?;
    let mut workbook: Workbook = open_workbook_from_rs(BufReader::new(file)).map_err(broken)?;
    let metadata = workbook.sheets_metadata().to_vec();
    let mut known = Vec::new();
    for sheet in metadata.into_iter().filter(|sheet| sheet.typ == SheetType::WorkSheet) {
        known.push(Sheet { headed: headed(&mut workbook, &sheet.name)?, name: sheet.name });
    }
    let sheet = known.swap_remove(sheets.choose(&known)?).name;
    let merges = if seen.merges { Merges::of(&mut workbook, &sheet)? } else { Merges::default() };
    let unsaved = if seen.formulas { unsaved(&mut workbook, &sheet)? } else { Unsaved::default() };
    let mut cells = workbook.worksheet_cells_reader(&sheet).map_err(broken)?;
    let beside: Vec<Beside> = cells.styles().iter().map(beside).collect();
    let mut text = String::new();
    let mut row = None;
    while let Some((cell, style)) = cells.next_cell_with_style_id().map_err(broken)? {
        let (at, column) = cell.get_position();
        let column = column as usize;
        if row != Some(at) {
            sink.begin(at.saturating_add(1))?;
            merges.of_row(at, sink)?;
            row = Some(at);
        }
        if unsaved.has(at, column) {
            sink.take(column, Cell::Bad(UNSAVED))?;
            continue;
        }
        text.clear();
        let cell = match cell.get_value() {
            DataRef::Empty => continue,
            DataRef::String(own) => own.as_str(),
            DataRef::SharedString(shared) => shared,
            DataRef::Bool(yes) => {
                if *yes {
                    "yes"
                } else {
                    "no"
                }
            }
            DataRef::Error(error) => {
                text = error.to_string();
                &text
            }
            DataRef::Int(number) => {
                text = beside.get(style).map_or_else(|| number.to_string(), |beside| beside.number(*number as f64));
                &text
            }
            DataRef::Float(number) => {
                text = beside.get(style).map_or_else(|| digits(*number), |beside| beside.number(*number));
                &text
            }
            DataRef::DateTime(day) => {
                text = day_or_time(*day);
                &text
            }
            DataRef::DateTimeIso(iso) | DataRef::DurationIso(iso) => iso.strip_suffix("T00:00:00").unwrap_or(iso),
        };
        sink.take(column, Cell::Text(cell))?;
    }
    Ok(sheet)
}

/// Whether the first row of a sheet that has anything in it says `record`.
fn headed(workbook: &mut Workbook, sheet: &str) -> Result<bool, Failed> {
    let mut cells = workbook.worksheet_cells_reader(sheet).map_err(broken)?;
    let mut first = None;
    while let Some(cell) = cells.next_cell().map_err(broken)? {
        let text = match cell.get_value() {
            DataRef::Empty => continue,
            DataRef::String(own) => own.as_str(),
            DataRef::SharedString(shared) => shared,
            _ => "",
        };
        let row = cell.get_position().0;
        if *first.get_or_insert(row) != row {
            return Ok(false);
        }
        if heads_records(text) {
            return Ok(true);
        }
    }
    Ok(false)
}

fn beside(style: &Style) -> Beside {
    style.number_format.as_ref().map(|format| Beside::of_format(&format.format_code)).unwrap_or_default()
}

/// A day, a day with its time, or a time.
fn day_or_time(value: ExcelDateTime) -> String {
    if value.is_duration() {
        let minutes = (value.as_f64() * 24.0 * 60.0).round();
        return format!("{}:{:02}", digits((minutes / 60.0).trunc()), (minutes % 60.0).abs() as u8);
    }
    let (year, month, day, hour, minute, second, _) = value.to_ymd_hms_milli();
    let date = format!("{year:04}-{month:02}-{day:02}");
    match (value.as_f64() < 1.0, hour, minute, second) {
        (true, ..) => format!("{hour:02}:{minute:02}"),
        (false, 0, 0, 0) => date,
        (false, ..) => format!("{date} {hour:02}:{minute:02}:{second:02}"),
    }
}

/// The merged stretches of a sheet, by their first row.
#[derive(Default)]
struct Merges(Vec<Dimensions>);

impl Merges {
    fn of(workbook: &mut Workbook, sheet: &str) -> Result<Self, Failed> {
        let all = workbook.merge_cells_by_sheet_name(sheet).map_err(broken)?;
        if all.len() > MOST_MERGES {
            return Err(format!(
                "its sheet `{sheet}` has {} merged cells; undo the merges, and write every answer in its own cell",
                all.len()
            )
            .into());
        }
        Ok(Self(all))
    }

    /// Tells the sink which cells of a row are merged into another one.
    fn of_row(&self, row: u32, sink: &mut Sink) -> Result<(), Failed> {
        let here = self.0.iter().filter(|merge| (merge.start.0..=merge.end.0).contains(&row));
        let columns = here.flat_map(|merge| {
            let anchor = (merge.start.0 == row).then_some(merge.start.1);
            (merge.start.1..=merge.end.1).filter(move |column| Some(*column) != anchor)
        });
        for column in columns.take(MOST_MERGED).map(|column| column as usize).filter(|&column| column < MOST_COLUMNS) {
            sink.merged(column)?;
        }
        Ok(())
    }
}

/// The cells with a formula whose answer was not saved.
#[derive(Default)]
struct Unsaved(FxHashMap<u32, Vec<usize>>);

impl Unsaved {
    fn has(&self, row: u32, column: usize) -> bool {
        self.0.get(&row).is_some_and(|columns| columns.contains(&column))
    }
}

fn unsaved(workbook: &mut Workbook, sheet: &str) -> Result<Unsaved, Failed> {
    let mut cells: XlsxCellReader<'_, _> = workbook.worksheet_cells_reader(sheet).map_err(broken)?;
    let mut unsaved = Unsaved::default();
    while let Some(cell) = cells.next_cell_with_formula_metadata().map_err(broken)? {
        if cell.formula.is_some() && matches!(cell.value, DataRef::Empty) {
            unsaved.0.entry(cell.pos.0).or_default().push(cell.pos.1 as usize);
        }
    }
    Ok(unsaved)
}
