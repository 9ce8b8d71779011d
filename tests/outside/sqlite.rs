//! The three-valued logic of SQL (ISO/IEC 9075-2, `unknown` truth value) as SQLite (sqlite.org) carries it out, against
//! what comes out for looks that nobody took.
//!
//! A column is a look and NULL is a look not taken. Where every look stands once in a condition, the two agree: true is
//! found, false is clear, unknown is open. Where one stands twice, SQL forgets that it is the same look both times, and
//! certain answers do not: so what SQL knows is always right, and it knows less.

mod by_rulebook;
mod condition;
mod judged;

use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use rusqlite::Connection;

use by_rulebook::ByRulebook;
use condition::{Condition, LOOKS, Row, any_row, read_once, with_repeats};
use judged::{ByCases, Judged, State};

/// What SQLite says of a condition: true, false or unknown.
fn by_sql(connection: &Connection, condition: &Condition, row: &Row) -> State {
    let columns: Vec<String> = LOOKS.iter().zip(row.sql()).map(|(look, value)| format!("{value} AS {}", look.name)).collect();
    let query = format!("SELECT {} FROM (SELECT {})", condition.sql(), columns.join(", "));
    let truth: Option<bool> = connection.query_row(&query, [], |answer| answer.get(0)).unwrap();
    match truth {
        Some(true) => State::Found,
        Some(false) => State::Clear,
        None => State::Open,
    }
}

fn sqlite() -> Connection {
    Connection::open_in_memory().unwrap()
}

fn run<T: std::fmt::Debug>(cases: u32, strategy: impl Strategy<Value = T>, test: impl Fn(T) -> Result<(), TestCaseError>) {
    let config = Config { cases, failure_persistence: None, ..Config::default() };
    TestRunner::new(config).run(&strategy, test).unwrap();
}

fn agree_where_every_look_stands_once(cases: u32, judged: &dyn Judged) {
    let connection = sqlite();
    run(cases, (read_once(), any_row()), |(condition, row)| {
        prop_assert_eq!(judged.state(&condition, &row), by_sql(&connection, &condition, &row));
        Ok(())
    });
}

fn sql_is_never_wrong(cases: u32, judged: &dyn Judged) {
    let connection = sqlite();
    run(cases, (with_repeats(), any_row()), |(condition, row)| {
        let (ours, theirs) = (judged.state(&condition, &row), by_sql(&connection, &condition, &row));
        prop_assert!(theirs == State::Open || theirs == ours, "SQL says {:?}, certain answers say {:?}", theirs, ours);
        Ok(())
    });
}

fn agree_where_everything_was_seen(cases: u32, judged: &dyn Judged) {
    let connection = sqlite();
    run(cases, (with_repeats(), any_row().prop_map(Row::completed)), |(condition, row)| {
        let ours = judged.state(&condition, &row);
        prop_assert_ne!(ours, State::Open);
        prop_assert_eq!(ours, by_sql(&connection, &condition, &row));
        Ok(())
    });
}

/// Where certain answers know more than SQL: each condition with what SQL says and what is so, nothing having been seen.
fn certain_answers_know_more(judged: &dyn Judged) {
    let connection = sqlite();
    let nothing_seen = Row::default();
    for (condition, so) in condition::known_without_looking() {
        assert_eq!(by_sql(&connection, &condition, &nothing_seen), State::Open, "SQL: {}", condition.sql());
        assert_eq!(judged.state(&condition, &nothing_seen), so, "{}", condition.sql());
    }
}

/// The yardstick itself: going through every case one by one.
#[test]
fn by_cases_agrees_with_sql() {
    agree_where_every_look_stands_once(2_000, &ByCases);
    agree_where_everything_was_seen(500, &ByCases);
    sql_is_never_wrong(1_000, &ByCases);
    certain_answers_know_more(&ByCases);
}

/// The judge, through text, tree, book and plan.
#[test]
fn the_judge_agrees_with_sql() {
    agree_where_every_look_stands_once(400, &ByRulebook);
    agree_where_everything_was_seen(150, &ByRulebook);
    sql_is_never_wrong(200, &ByRulebook);
    certain_answers_know_more(&ByRulebook);
}
