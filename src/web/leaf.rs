//! Leaves of paper to write on: a table whose columns say what belongs there. Each leaf names what it is, the
//! day, and which page of how many it is, since leaves get loose.

/// A column to write in.
#[derive(Debug, Clone)]
pub(super) struct Column {
    /// What belongs into the column.
    pub label: String,
    /// How wide it is: a class of the style sheet.
    pub look: &'static str,
}

/// One leaf: at most as many rows as fit on A4 and on US Letter.
#[derive(Debug, Clone)]
pub(super) struct Leaf {
    /// Name of the leaf.
    pub what: &'static str,
    /// How to fill it in.
    pub hint: String,
    /// Number of the page: “page 2 of 7”.
    pub page: String,
    /// The columns.
    pub columns: Vec<Column>,
    /// Rows: what the book has already, and empty texts as places to write.
    pub rows: Vec<Vec<String>>,
}

/// Columns out of lines “Label|look”.
pub(super) fn columns(lines: &[&str]) -> Vec<Column> {
    lines
        .iter()
        .filter_map(|line| line.rsplit_once('|'))
        .map(|(label, wide)| Column {
            label: label.to_owned(),
            look: match wide {
                "t" => "ct",
                "s" => "cs",
                "m" => "cm",
                "l" => "cl",
                _ => "cr",
            },
        })
        .collect()
}

/// As many leaves as the rows need, each filled up to `most` rows with places to write; at least one.
pub(super) fn leaves(
    (what, hint): (&'static str, &str),
    columns: &[Column],
    mut rows: Vec<Vec<String>>,
    most: usize,
) -> Vec<Leaf> {
    let all = rows.len().div_ceil(most).max(1) * most;
    rows.resize(all, vec![String::new(); columns.len()]);
    rows.chunks(most)
        .map(|rows| Leaf {
            what,
            hint: hint.to_owned(),
            page: String::new(),
            columns: columns.to_vec(),
            rows: rows.to_vec(),
        })
        .collect()
}

/// The page's number in words: “page 2 of 7”.
pub(super) fn page_words(page: usize, of: usize) -> String {
    format!("page {page} of {of}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leaves_are_filled_up_with_places_to_write_and_one_is_always_there() {
        let two = columns(&["Ticket|s", "Remark|r"]);
        let row = || vec!["7".to_owned(), String::new()];
        let made = leaves(("Pad", "Write."), &two, vec![row(), row(), row()], 2);
        let sizes: Vec<usize> = made.iter().map(|leaf| leaf.rows.len()).collect();
        assert_eq!(sizes, [2, 2]);
        assert_eq!(made[1].rows[1], ["", ""]);
        assert_eq!(leaves(("Pad", ""), &two, Vec::new(), 5)[0].rows.len(), 5);
        assert_eq!(made[0].columns[0].look, "cs");
    }
}
