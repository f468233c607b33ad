//! Rows in words where no record tells what they name.

use super::*;

#[test]
fn what_no_record_tells_of_is_called_unknown_by_what_it_is_and_not_by_its_id() {
    let words = Words::of_all(None, &[]);
    let id = Value::from("019f5e23-4e80-7000-8000-00000000000f");
    for (column, says) in [
        ("cook_id", "an unknown member"),
        ("solo_member_id", "an unknown member"),
        ("boil_id", "an unknown lot"),
        ("pan_id", "an unknown pan"),
        ("press_day_id", "an unknown press day"),
        ("rules_id", "rules unknown"),
        ("juice_id", "an unknown juice"),
    ] {
        assert_eq!(words.value(column, &id), says);
        let mut row = Columns::new();
        row.insert(column.to_owned(), id.clone());
        assert_eq!(words.name(&row, column), says);
    }
    assert_eq!(
        words.value("note", &Value::from("dead beat")),
        "“dead beat”"
    );
}

#[test]
fn jars_that_were_noted_as_broken_by_mistake_are_called_so() {
    let words = Words::of_all(None, &[]);
    let row = |by_mistake: i64| {
        let content = serde_json::json!({
            "number": 4, "kind": "found", "by_mistake": by_mistake, "size_name": "quart", "boil_id": "b"
        });
        words.label("jar_moves", &content.to_string())
    };
    assert_eq!(
        row(1),
        "jars “quart” of an unknown lot that were noted as broken by mistake, note 4 on jars"
    );
    assert_eq!(
        row(0),
        "jars “quart” of an unknown lot that were found, note 4 on jars"
    );
}
