//! Figures as a table: for the terminal, and in Markdown, as the README has it.

use super::figure::{Figure, goal_words, met_word, share_words};

/// What stands over the columns.
pub(super) const HEADS: [&str; 7] = ["what", "of", "where", "Farheard", "beside it", "that", "Farheard is"];
/// What stands over the last one.
pub(super) const GOAL: &str = "goal";

type Row = [String; 8];

/// A row for each figure, and a further one for each yardstick but the first.
fn rows(figures: &[Figure]) -> Vec<Row> {
    let mut rows = vec![std::array::from_fn(|at| HEADS.get(at).unwrap_or(&GOAL).to_string())];
    for figure in figures {
        let more: Vec<String> = figure.more.iter().map(|(unit, value)| format!("{value:.0} {unit}")).collect();
        let value = figure.unit.words(figure.value);
        let value = if more.is_empty() { value } else { format!("{value} ({})", more.join(", ")) };
        let own = [figure.what.to_owned(), figure.of.clone(), figure.place.to_owned(), value];
        let goal = figure.goal.map(|goal| {
            format!("at most {}: {}", figure.unit.words(goal).replace(".0 ", " "), met_word(figure.value, goal))
        });
        if figure.beside.is_empty() {
            rows.push(row(own, Default::default(), goal.unwrap_or_default()));
            continue;
        }
        let mut own = Some((own, goal));
        for beside in &figure.beside {
            let share = beside.share(figure.value);
            let values = match &beside.value {
                Ok(value) => {
                    [beside.name.clone(), figure.unit.words(*value), share.map(share_words).unwrap_or_default()]
                }
                Err(why) => [beside.name.clone(), format!("not measured: {why}"), String::new()],
            };
            let theirs =
                beside.goal.zip(share).map(|(goal, share)| format!("{}: {}", goal_words(goal), met_word(share, goal)));
            let (cells, goal) = own.take().unwrap_or_default();
            rows.push(row(cells, values, [goal, theirs].into_iter().flatten().collect::<Vec<_>>().join("; ")));
        }
    }
    rows
}

fn row(own: [String; 4], beside: [String; 3], goal: String) -> Row {
    let [what, of, place, value] = own;
    let [name, theirs, share] = beside;
    [what, of, place, value, name, theirs, share, goal]
}

/// With columns under each other.
pub(super) fn aligned(figures: &[Figure]) -> String {
    let rows = rows(figures);
    let widths: [usize; 8] =
        std::array::from_fn(|at| rows.iter().map(|row| row[at].chars().count()).max().unwrap_or_default());
    let line = |row: &Row| {
        let cells: Vec<String> = row.iter().zip(widths).map(|(cell, width)| format!("{cell:<width$}")).collect();
        cells.join("  ").trim_end().to_owned() + "\n"
    };
    rows.iter().map(line).collect()
}

/// In Markdown.
pub(super) fn markdown(figures: &[Figure]) -> String {
    let line = |row: &Row| format!("| {} |\n", row.join(" | "));
    let rows = rows(figures);
    let (heads, body) = rows.split_at(1);
    let rule = format!("|{}\n", "---|".repeat(HEADS.len() + 1));
    heads.iter().map(line).chain([rule]).chain(body.iter().map(line)).collect()
}

#[cfg(test)]
mod tests {
    use super::super::figure::Beside;
    use super::*;

    fn figures() -> [Figure; 2] {
        let mut reading = Figure::ms("reading", "native", "1 000 spots".to_owned(), 2.0, 5);
        reading.more = vec![("MB/s", 31.4)];
        reading.goal = Some(600.0);
        reading.beside = vec![Beside::new("loop", 5.0).with_goal(Some(0.5)), Beside::missing("library", "no network")];
        [reading, Figure::ms("first paint", "Chromium", "the page".to_owned(), 250.0, 5)]
    }

    #[test]
    fn markdown_has_a_row_for_each_yardstick() {
        let table = markdown(&figures());
        let lines: Vec<&str> = table.lines().collect();
        assert_eq!(lines[0], "| what | of | where | Farheard | beside it | that | Farheard is | goal |");
        assert_eq!(lines[1], "|---|---|---|---|---|---|---|---|");
        assert_eq!(
            lines[2],
            "| reading | 1 000 spots | native | 2.0 ms (31 MB/s) | loop | 5.0 ms | 2.5 times as fast | \
             at most 600 ms: met; at least 2 times as fast: met |"
        );
        assert_eq!(lines[3], "|  |  |  |  | library | not measured: no network |  |  |");
        assert_eq!(lines[4], "| first paint | the page | Chromium | 250 ms |  |  |  |  |");
        assert_eq!(lines.len(), 5);
    }

    #[test]
    fn columns_stand_under_each_other() {
        let table = aligned(&figures());
        let at = |line: &str, word: &str| line.find(word).unwrap();
        let lines: Vec<&str> = table.lines().collect();
        assert_eq!(at(lines[0], "beside it"), at(lines[1], "loop"));
        assert_eq!(at(lines[1], "loop"), at(lines[2], "library"));
    }

    /// The figures differ from machine to machine; what is measured does not.
    #[test]
    fn the_readme_has_this_table() {
        let readme = include_str!("../../../../README.md");
        let (_, section) = readme.split_once("\n## How fast\n").unwrap();
        let (section, _) = section.split_once("\n## ").unwrap();
        assert!(section.contains("`cargo run --release -- measure --markdown`"));
        let mut table = section.lines().filter(|line| line.starts_with('|'));
        let sample = markdown(&[]);
        let [heads, rule] = [0, 1].map(|at| sample.lines().nth(at));
        assert_eq!((table.next(), table.next()), (heads, rule));
        let mut seen = 0;
        for line in table {
            assert_eq!(line.matches('|').count(), HEADS.len() + 2, "{line}");
            assert!(!line.contains("not measured"), "measured on a machine that lacks a yardstick: {line}");
            seen += 1;
        }
        assert!(seen > 10, "only {seen} rows");
    }
}
