//! Calendar text against vectors that were checked with another program.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use canewright::calc::paper::ics::{escape, fold};

/// Each row of a table as a map from column to text; `\uXXXX` stands for that character.
fn rows(table: &str) -> Vec<std::collections::HashMap<String, String>> {
    let path = format!("{}/tests/published/{table}.csv", env!("CARGO_MANIFEST_DIR"));
    let mut reader = csv::Reader::from_path(path).unwrap();
    reader.deserialize().map(Result::unwrap).collect()
}

#[test]
fn text_is_escaped_as_the_vectors_say() {
    let rows = rows("ics_escape_vectors");
    assert!(rows.len() >= 11);
    let read = |text: &str| text.replace("\\u000a", "\n").replace("\\u0009", "\t");
    for row in rows {
        let expected = row["escaped"].replace("\\u0009", "\t");
        assert_eq!(escape(&read(&row["raw"])), expected, "{}", row["source"]);
    }
}

#[test]
fn lines_are_folded_as_the_vectors_say() {
    let rows = rows("ics_fold_vectors");
    assert!(rows.len() >= 7);
    for row in rows {
        let case = &row["case"];
        assert_eq!(row["input"].len().to_string(), row["octets"], "{case}");
        let folded = fold(&row["input"]);
        assert_eq!(folded, row["folded"].replace("\\r\\n", "\r\n"), "{case}");
        let lengths: Vec<String> = folded
            .split("\r\n")
            .map(|line| line.len().to_string())
            .collect();
        assert_eq!(lengths.join("/"), row["folded_line_octets"], "{case}");
    }
}
