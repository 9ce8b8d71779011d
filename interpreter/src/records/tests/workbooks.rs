//! Workbooks as they come: made by another library, made by hand, and made to do harm.

use std::io::{Cursor, Write};

use rust_xlsxwriter::{ExcelDateTime, Format, Formula, Workbook};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use super::{faults, number, read, reading, records, said};
use crate::record::{Entry, Record};
use purfle_lang::saying::Saying;

/// A workbook of sheets of texts.
fn workbook(sheets: &[(&str, &[&[&str]])]) -> Vec<u8> {
    let mut workbook = Workbook::new();
    for (name, rows) in sheets {
        let sheet = workbook.add_worksheet().set_name(*name).expect("a name");
        for (row, cells) in rows.iter().enumerate() {
            for (column, cell) in cells.iter().enumerate().filter(|(_, cell)| !cell.is_empty()) {
                sheet.write_string(row as u32, column as u16, *cell).expect("a cell");
            }
        }
    }
    workbook.save_to_buffer().expect("a workbook")
}

/// An archive of these files.
fn archive(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    for (name, bytes) in files {
        archive.start_file(*name, stored).expect("a file in it");
        archive.write_all(bytes).expect("its bytes");
    }
    archive.finish().expect("an archive").into_inner()
}

/// The smallest workbook round the rows of one sheet, as XML.
fn xlsx_of(rows: &str, behind: &str) -> Vec<u8> {
    let types = r#"<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/></Types>"#;
    let root = r#"<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#;
    let book = r#"<?xml version="1.0"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="Records" sheetId="1" r:id="r1"/></sheets></workbook>"#;
    let links = r#"<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>"#;
    let sheet = format!(
        r#"<?xml version="1.0"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{rows}</sheetData>{behind}</worksheet>"#
    );
    archive(&[
        ("[Content_Types].xml", types.as_bytes()),
        ("_rels/.rels", root.as_bytes()),
        ("xl/workbook.xml", book.as_bytes()),
        ("xl/_rels/workbook.xml.rels", links.as_bytes()),
        ("xl/worksheets/sheet1.xml", sheet.as_bytes()),
    ])
}

/// A text cell as XML.
fn cell(at: &str, text: &str) -> String {
    format!(r#"<c r="{at}" t="inlineStr"><is><t>{text}</t></is></c>"#)
}

/// The smallest OpenDocument spreadsheet round this content.
fn ods_of(tables: &str) -> Vec<u8> {
    let content = format!(
        r#"<?xml version="1.0"?><office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><office:body><office:spreadsheet>{tables}</office:spreadsheet></office:body></office:document-content>"#
    );
    archive(&[("mimetype", b"application/vnd.oasis.opendocument.spreadsheet"), ("content.xml", content.as_bytes())])
}

fn refusal(name: &str, bytes: &[u8]) -> String {
    read(name, bytes).map(|_| ()).expect_err("a file that cannot be used").why.join("\n")
}

fn checked(record: &Record) {
    assert_eq!(record.id, "AR-001");
    assert_eq!(record.tag.as_deref(), Some("17"));
    assert_eq!(record.inspected_on, purfle_lang::unit::parse_date("2026-11-20"));
    assert_eq!(record.quoted, Some(number("240.5")));
    assert_eq!(said(record, "button.gap"), reading("0.5"));
    assert_eq!(said(record, "button.sits"), Some(Saying::OneOf(vec![1])));
    assert_eq!(said(record, "instrument.strung"), Some(Saying::OneOf(vec![1])));
    assert_eq!(said(record, "crack.1.length"), reading("25.4"));
    assert_eq!(record.carried, [("shelf".to_owned(), "3".to_owned())]);
}

const HEADING: [&str; 9] = [
    "record",
    "tag",
    "inspected-on",
    "quoted [USD]",
    "button.gap",
    "button.sits",
    "instrument.strung",
    "crack.1.length",
    "shelf",
];

#[test]
fn cells_of_every_kind_are_the_record_they_stand_for() {
    let mut workbook = Workbook::new();
    let sheet = workbook.add_worksheet().set_name("Season").expect("a name");
    sheet.write_row(0, 0, HEADING).expect("a heading");
    sheet.write_string(4, 0, "AR-001").expect("a text");
    sheet.write_number(4, 1, 17).expect("a number");
    let day = ExcelDateTime::from_ymd(2026, 11, 20).expect("a day");
    sheet.write_datetime_with_format(4, 2, &day, &Format::new().set_num_format("d/m/yyyy")).expect("a date");
    sheet.write_number_with_format(4, 3, 240.5, &Format::new().set_num_format("#,##0")).expect("a sum");
    sheet.write_number_with_format(4, 4, 0.5, &Format::new().set_num_format("0\" mm\"")).expect("a length");
    sheet.write_formula(4, 5, Formula::new("=LOWER(\"CROOKED\")").set_result("crooked")).expect("a formula");
    sheet.write_boolean(4, 6, true).expect("a yes");
    sheet.write_number_with_format(4, 7, 1, &Format::new().set_num_format("General\" in\"")).expect("inches");
    sheet.write_number(4, 8, 3).expect("a shelf");
    // What is hidden is read all the same.
    sheet.set_column_hidden(4).expect("a hidden column");
    sheet.set_row_hidden(4).expect("a hidden row");
    workbook.add_worksheet().set_name("About").expect("a name").write_string(0, 0, "Alder Row").expect("a text");
    let bytes = workbook.save_to_buffer().expect("a workbook");
    for name in ["a.xlsx", "records"] {
        let [record] = records(name, &bytes).try_into().expect("one record");
        checked(&record);
        assert_eq!(record.source.row, 5);
        assert!(record.source.file.ends_with(&format!("{name}#Season")), "{}", record.source.file);
    }
}

#[test]
fn opendocument_says_the_same() {
    let heading: String = HEADING
        .iter()
        .map(|name| format!("<table:table-cell office:value-type=\"string\"><text:p>{name}</text:p></table:table-cell>"))
        .collect();
    let tables = format!(
        r#"<table:table table:name="About"><table:table-row><table:table-cell table:number-columns-repeated="16384"/></table:table-row></table:table>
        <table:table table:name="Season"><table:tracked-changes><table:table-row><table:table-cell office:value-type="string"><text:p>deleted</text:p></table:table-cell></table:table-row></table:tracked-changes>
        <table:table-row>{heading}<table:table-cell table:number-columns-repeated="16375"/></table:table-row>
        <table:table-row table:number-rows-repeated="3"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>
        <table:table-row>
          <table:table-cell office:value-type="string"><office:annotation><text:p>a note</text:p></office:annotation><text:p>AR<text:span>-0</text:span>01</text:p></table:table-cell>
          <table:table-cell office:value-type="float" office:value="17"><text:p>17</text:p></table:table-cell>
          <table:table-cell office:value-type="date" office:date-value="2026-11-20"><text:p>20/11/26</text:p></table:table-cell>
          <table:table-cell office:value-type="currency" office:currency="USD" office:value="240.5"><text:p>241 $</text:p></table:table-cell>
          <table:table-cell office:value-type="float" office:value="0.5"><text:p>1 mm</text:p></table:table-cell>
          <table:table-cell table:formula="of:=LOWER(&quot;X&quot;)" office:value-type="string" office:string-value="crooked"><text:p>crooked</text:p></table:table-cell>
          <table:table-cell office:value-type="boolean" office:boolean-value="true"><text:p>TRUE</text:p></table:table-cell>
          <table:table-cell office:value-type="string"><text:p>1<text:s/>in</text:p></table:table-cell>
          <table:table-cell office:value-type="float" office:value="3"><text:p>3</text:p></table:table-cell>
        </table:table-row>
        <table:table-row table:number-rows-repeated="1048571"><table:table-cell table:number-columns-repeated="16384"/></table:table-row></table:table>"#
    );
    let [record] = records("a.ods", &ods_of(&tables)).try_into().expect("one record");
    checked(&record);
    assert_eq!(record.source.row, 5);
}

#[test]
fn a_share_keeps_its_per_cent() {
    let mut workbook = Workbook::new();
    let sheet = workbook.add_worksheet();
    sheet.write_row(0, 0, ["record", "humidity"]).expect("a heading");
    sheet.write_row(1, 0, ["1"]).expect("a row");
    sheet.write_number_with_format(1, 1, 0.48, &Format::new().set_num_format("0%")).expect("a share");
    let bytes = workbook.save_to_buffer().expect("a workbook");
    assert_eq!(records("a.xlsx", &bytes)[0].carried[0].1, "48 %");
    let tables = r#"<table:table table:name="T"><table:table-row><table:table-cell office:value-type="string"><text:p>record</text:p></table:table-cell><table:table-cell office:value-type="string"><text:p>humidity</text:p></table:table-cell></table:table-row>
        <table:table-row><table:table-cell office:value-type="float" office:value="1"><text:p>1</text:p></table:table-cell><table:table-cell office:value-type="percentage" office:value="0.48"><text:p>48%</text:p></table:table-cell></table:table-row></table:table>"#;
    assert_eq!(records("a.ods", &ods_of(tables))[0].carried[0].1, "48 %");
}

#[test]
fn what_stands_under_no_heading_is_carried_along() {
    let bytes = workbook(&[("A", &[&["record", "", "button"], &["1", "left", "good", "", "right"]])]);
    let record = &records("a.xlsx", &bytes)[0];
    let carried = |column: &str, text: &str| (column.to_owned(), text.to_owned());
    assert_eq!(record.carried, [carried("column B", "left"), carried("column E", "right")]);
}

#[test]
fn one_sheet_is_read_and_another_is_named() {
    let rows: &[&[&str]] = &[&["record", "tag"], &["1", "V1"]];
    let other: &[&[&str]] = &[&["record", "tag"], &["2", "C1"]];
    let bytes = workbook(&[("Violins", rows), ("Notes", &[&["nothing"]]), ("Old # cellos", other)]);
    let why = refusal("a.xlsx", &bytes);
    assert!(why.contains("2 of its sheets hold records: `Violins`, `Old # cellos`; name the one to read"), "{why}");
    let of = |sheet: &str| super::read_as("a.xlsx", &format!("a.xlsx#{sheet}"), &bytes);
    let tags =
        |sheet: &str| of(sheet).expect("a sheet").into_iter().map(|record| record.expect("a record").tag).collect::<Vec<_>>();
    assert_eq!(tags("Old # cellos"), [Some("C1".to_owned())]);
    assert_eq!(tags("violins"), [Some("V1".to_owned())]);
    let why = of("Violin").expect_err("no such sheet").why.join("");
    assert!(why.contains("it has no sheet `Violin`") && why.contains("#Violins`"), "{why}");
    let why = of("Notes").expect_err("no records").why.join("");
    assert!(why.contains("no column is headed `record`"), "{why}");
    let why = super::read_as("a.csv.xlsx", "a.csv.xlsx#Violins", b"record\n1\n").expect_err("no workbook").why.join("");
    assert!(why.contains("it is no spreadsheet, so it has no sheet `Violins`"), "{why}");
}

#[test]
fn cells_that_say_nothing_are_refused_with_their_column() {
    let heading = format!("<row r=\"1\">{}{}{}</row>", cell("A1", "record"), cell("B1", "button.sits"), cell("C1", "shelf"));
    for (cells, behind, column, why) in [
        (r#"<c r="B2" t="e"><v>#N/A</v></c>"#.to_owned(), "", "B", "#N/A is an error of the spreadsheet"),
        (r#"<c r="C2" t="e"><v>#DIV/0!</v></c>"#.to_owned(), "", "C", "#DIV/0! is an error of the spreadsheet"),
        (r#"<c r="B2"><f>A1</f></c>"#.to_owned(), "", "B", "a formula whose answer was never saved"),
        (r#"<c r="B2"><f>A1</f><v></v></c>"#.to_owned(), "", "B", "a formula whose answer was never saved"),
        (cell("B2", "croked"), "", "B", "the nearest is `crooked`"),
        (
            cell("B2", "crooked"),
            r#"<mergeCells count="1"><mergeCell ref="B2:C2"/></mergeCells>"#,
            "C",
            "the cell is merged with another one",
        ),
        (String::new(), r#"<mergeCells count="1"><mergeCell ref="C1:C9"/></mergeCells>"#, "C", "the cell is merged"),
    ] {
        let rows = format!("{heading}<row r=\"2\">{}{cells}</row>", cell("A2", "1"));
        let answers = read("a.xlsx", &xlsx_of(&rows, behind)).expect("a file that can be used");
        let [Err(refused)] = answers.as_slice() else { panic!("{cells}: {answers:?}") };
        assert_eq!(refused.faults.len(), 1, "{refused:?}");
        assert_eq!(refused.faults[0].column.as_deref(), Some(column), "{cells}");
        assert!(refused.faults[0].why.contains(why), "{}", refused.faults[0].why);
        assert!(refused.source.file.ends_with("#Records") && refused.source.row == 2);
    }
    // A formula that came to no text was answered.
    let rows = format!("{heading}<row r=\"2\">{}<c r=\"B2\" t=\"str\"><f>\"\"</f><v></v></c></row>", cell("A2", "1"));
    assert_eq!(records("a.xlsx", &xlsx_of(&rows, ""))[0].entries, Vec::<Entry>::new());
    // CSV says the same of an error that was saved as text.
    assert!(faults("a.csv", b"record,button.sits\n1,#N/A\n")[0].contains("#N/A is an error of the spreadsheet"));
    // A merged heading says nothing for sure.
    let why = refusal("a.xlsx", &xlsx_of(&heading, r#"<mergeCells><mergeCell ref="B1:C1"/></mergeCells>"#));
    assert!(why.contains("column C, in the heading: the cell is merged"), "{why}");
}

#[test]
fn a_choice_that_became_a_date_is_told_so() {
    let mut workbook = Workbook::new();
    let sheet = workbook.add_worksheet();
    sheet.write_row(0, 0, ["record", "button.sits"]).expect("a heading");
    sheet.write_string(1, 0, "1").expect("a mark");
    let day = ExcelDateTime::from_ymd(2026, 4, 3).expect("a day");
    sheet.write_datetime_with_format(1, 1, &day, &Format::new().set_num_format("d-mmm")).expect("a date");
    let told = faults("a.xlsx", &workbook.save_to_buffer().expect("a workbook"));
    assert!(told[0].contains("spreadsheet"), "{told:?}");
}

#[test]
fn other_kinds_of_files_are_told_from_workbooks() {
    let plain = workbook(&[("A", &[&["record"], &["1"]])]);
    let mut with_macros = ZipWriter::new_append(Cursor::new(plain)).expect("an archive");
    with_macros.start_file("xl/vbaProject.bin", SimpleFileOptions::default()).expect("a file in it");
    let with_macros = with_macros.finish().expect("an archive").into_inner();
    let content: (&str, &[u8]) = ("content.xml", b"<x/>");
    for (name, bytes, why) in [
        ("a.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1rest".to_vec(), "an old spreadsheet (.xls), or one locked by a password"),
        ("a.xlsx", with_macros, "it carries macros"),
        ("a.xlsm", archive(&[("[Content_Types].xml", b"x macroEnabled x"), ("xl/workbook.xml", b"<x/>")]), "it carries macros"),
        ("a.ods", archive(&[content, ("Basic/Standard/Module1.xml", b"<x/>")]), "it carries macros"),
        ("a.ods", archive(&[content, ("Scripts/python/a.py", b"x")]), "it carries macros"),
        ("a.xlsb", archive(&[("xl/workbook.bin", b"x")]), "a binary workbook"),
        ("a.docx", archive(&[("word/document.xml", b"<x/>")]), "an archive and no spreadsheet"),
        ("a.zip", archive(&[("records.csv", b"record\n1\n")]), "unpack it"),
        ("a.csv", b"<?xml version=\"1.0\"?><Workbook/>".to_vec(), "it is XML or a web page"),
        ("a.xls", b" <HTML><table>".to_vec(), "it is XML or a web page"),
        ("a.xlsx", b"PK\x03\x04rest".to_vec(), "save it anew"),
        ("a.ods", ods_of(""), "it has no sheet with cells"),
        ("a.ods", ods_of("<table:table table:name=\"A\"/>"), "it is empty"),
    ] {
        let told = refusal(name, &bytes);
        assert!(told.contains(why), "{name}: {told}");
    }
}

#[test]
fn what_would_fill_the_machine_is_refused() {
    let zeros = vec![b' '; (128 << 20) + 1];
    let bomb = archive(&[("xl/workbook.xml", b"<x/>"), ("xl/sharedStrings.xml", &zeros)]);
    assert!(bomb.len() < 1 << 20);
    drop(zeros);
    let entities = br#"<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><x>&b;</x>"#;
    let row = |cells: &str| {
        format!(
            "<table:table table:name=\"A\"><table:table-row table:number-rows-repeated=\"1048576\">{cells}</table:table-row></table:table>"
        )
    };
    let full = "<table:table-cell office:value-type=\"string\" table:number-columns-repeated=\"16384\"><text:p>x</text:p></table:table-cell>";
    let wide = full.replace("16384", "4294967295");
    let spaces =
        "<table:table-cell office:value-type=\"string\"><text:p><text:s text:c=\"4294967295\"/>x</text:p></table:table-cell>";
    for (bytes, why) in [
        (bomb, "unpacked it is larger than 128 MiB"),
        (archive(&[("xl/workbook.xml", entities)]), "declares entities of its own"),
        (archive(&[("content.xml", entities)]), "declares entities of its own"),
        (ods_of(&row(full)), "more than 10000000 cells"),
        (ods_of(&row(&wide)), "columns"),
        (ods_of(&row(spaces)), "more than 1024 KiB of text"),
        (ods_of("<table:table table:name=\"A\"><table:table-row>&unheard;"), "expected `</table:table-row>`"),
    ] {
        let told = refusal("a.xlsx", &bytes);
        assert!(told.contains(why), "{why}: {told}");
    }
}

#[test]
fn damaged_workbooks_end_with_a_message_or_records() {
    let mut sound = vec![workbook(&[("A", &[&["record", "tag", "button.gap"], &["1", "V1", "0.5"], &["2", "V2", "0.5 mm"]])])];
    let text = |text: &str| format!("<table:table-cell office:value-type=\"string\"><text:p>{text}</text:p></table:table-cell>");
    let rows: String = [["record", "tag"], ["1", "V&amp;1"]]
        .map(|row| format!("<table:table-row>{}</table:table-row>", row.map(text).concat()))
        .concat();
    sound.push(ods_of(&format!("<table:table table:name=\"A\">{rows}</table:table>")));
    for bytes in sound {
        for end in (0..bytes.len()).step_by(211) {
            let _ = read("a.xlsx", &bytes[..end]);
        }
        // Bytes changed within the parts, and the archive made anew, so that it is sound and its parts are not.
        let mut packed = ZipArchive::new(Cursor::new(&bytes)).expect("an archive");
        let names: Vec<String> = packed.file_names().map(|name| name.expect("a name").into_owned()).collect();
        let mut files: Vec<(String, Vec<u8>)> = Vec::new();
        for name in names {
            let mut part = Vec::new();
            std::io::copy(&mut packed.by_name(&name).expect("a part"), &mut part).expect("its bytes");
            files.push((name, part));
        }
        for part in 0..files.len() {
            let whole = files[part].1.clone();
            for at in (0..whole.len()).step_by(whole.len() / 12 + 1) {
                for change in 0..3 {
                    let damaged = match change {
                        0 => whole[..at].to_vec(),
                        1 => [&whole[..at], &whole[(at + 9).min(whole.len())..]].concat(),
                        _ => [&whole[..at], b"<\"9", &whole[at..]].concat(),
                    };
                    files[part].1 = damaged;
                    let borrowed: Vec<(&str, &[u8])> =
                        files.iter().map(|(name, part)| (name.as_str(), part.as_slice())).collect();
                    let _ = read("a.xlsx", &self::archive(&borrowed));
                }
            }
            files[part].1 = whole;
        }
    }
}
