//! The judge's findings in words: a markdown table, and the seeds to look into.

use super::cells::Plan;
use super::course::Course;
use super::goals::{Figures, Limits, NAMES, quantile, too_early, too_late, verdict};
use std::fmt::Write;

/// Head of the table.
#[must_use]
pub fn head() -> String {
    "| cell | boils | held | (looks) | told | error min | not yet | below 74 | 80 or more | check median | tenth | \
     nearer (ties) | 76-80 (silent) | all |\n|---|---|---|---|---|---|---|---|---|---|---|---|---|---|\n"
        .to_owned()
}

/// One line of the table; a figure that misses its goal has a `!`.
#[must_use]
pub fn line(name: &str, figures: &Figures, met: &[Option<bool>; 10]) -> String {
    let mark = |i: usize| if met[i] == Some(false) { "!" } else { "" };
    let missed = met.iter().flatten().filter(|&&met| !met).count();
    let all = if missed == 0 {
        "pass".to_owned()
    } else {
        format!("**{missed} missed**")
    };
    format!(
        "| {name} | {} | {:.2}{} | {:.2} | {:.2}{} | {:.2}{} | {:.3}{} | {:.3}{} | {:.3}{} | {:.1}{} | {:.1}{} | {:.2}{} ({:.2}) | {:.2}{} ({}) | {all} |\n",
        figures.boils,
        figures.held,
        mark(0),
        figures.held_looks,
        figures.told,
        mark(1),
        figures.error,
        mark(2),
        figures.not_yet,
        mark(3),
        figures.below,
        mark(4),
        figures.above,
        mark(5),
        figures.check.0,
        mark(6),
        figures.check.1,
        mark(7),
        figures.nearer,
        mark(8),
        figures.ties,
        figures.within,
        mark(9),
        figures.silent,
    )
}

/// The seeds of the boils that meet `test`, the first dozen of them, after `label`; nothing if there are none.
fn name_boils(label: &str, courses: &[&Course], test: impl Fn(&Course) -> bool) -> String {
    const MOST: usize = 12;
    let found: Vec<_> = courses
        .iter()
        .filter(|c| test(c))
        .map(|c| c.seed.to_string())
        .collect();
    if found.is_empty() {
        return String::new();
    }
    let more = if found.len() > MOST {
        format!(" and {} more", found.len() - MOST)
    } else {
        String::new()
    };
    format!(
        " {label}: {}{more};",
        found[..found.len().min(MOST)].join(" ")
    )
}

/// Seeds of the boils behind the goals that `plan` missed; empty if it missed none.
#[must_use]
pub fn failures(plan: &Plan, courses: &[&Course], met: &[Option<bool>; 10]) -> String {
    if met.iter().flatten().all(|&met| met) {
        return String::new();
    }
    let missed: Vec<_> = NAMES
        .iter()
        .zip(met)
        .filter(|(_, met)| **met == Some(false))
        .map(|(name, _)| *name)
        .collect();
    let mut text = format!("- {} missed {}:", plan.name(), missed.join(", "));
    let tenth = Limits::of(plan.column).tenth;
    if met[3] == Some(false) {
        text += &name_boils("not yet at target + 1", courses, |c| {
            c.not_yet != Some(false)
        });
    }
    if met[4] == Some(false) {
        text += &name_boils("drawn below", courses, too_early);
    }
    if met[5] == Some(false) {
        text += &name_boils("drawn at 80 or more", courses, too_late);
    }
    if met[7] == Some(false) {
        text += &name_boils("check too late", courses, |c| c.check_lead() < tenth);
    }
    if met[0] == Some(false) || met[2] == Some(false) {
        let errors: Vec<f64> = courses.iter().map(|c| worst_error(c)).collect();
        let limit = quantile(errors, 0.95);
        text += &name_boils("worst finish told", courses, |c| {
            worst_error(c) >= limit.max(0.01)
        });
    }
    if met[9] == Some(false) {
        text += &name_boils("not within 2", courses, |c| {
            (c.drawn_at() - c.target).abs() > 2.0
        });
    }
    text.push('\n');
    text
}

/// The greatest error of a told middle in the last 20 min, min; 0 if none was told.
fn worst_error(course: &Course) -> f64 {
    let finish = course.finish.unwrap_or(0.0);
    let late = course
        .readings
        .iter()
        .filter(|told| told.at >= finish - super::goals::LAST_MIN);
    late.filter_map(|told| told.finish)
        .map(|[_, middle, _]| (middle - finish).abs())
        .fold(0.0, f64::max)
}

/// Cells judged together in the pools: of one pace and column, and all clean or all with slips.
fn kin(one: &Plan, other: &Plan) -> bool {
    other.pace == one.pace && other.column == one.column && (other.slips > 0.0) == (one.slips > 0.0)
}

/// Each pool once: its first plan, its name and all its boils.
fn pooled(judged: &[(Plan, Vec<Course>)]) -> Vec<(Plan, String, Vec<&Course>)> {
    let mut found: Vec<(Plan, String, Vec<&Course>)> = Vec::new();
    for (plan, courses) in judged {
        if let Some((_, _, all)) = found.iter_mut().find(|(first, _, _)| kin(first, plan)) {
            all.extend(courses);
            continue;
        }
        let name = plan.name();
        let parts: Vec<&str> = name.split('/').collect();
        found.push((
            *plan,
            format!("all {}/{}/{}", parts[0], parts[1], parts[4]),
            courses.iter().collect(),
        ));
    }
    found
}

/// Lines for all boils of a column and a pace together; the goals of a pool are those of its cells.
#[must_use]
pub fn pools(judged: &[(Plan, Vec<Course>)]) -> String {
    let pool = |(plan, name, courses): (Plan, String, Vec<&Course>)| {
        let figures = Figures::of(&courses);
        line(&name, &figures, &verdict(&plan, &figures))
    };
    pooled(judged).into_iter().map(pool).collect()
}

/// What stands in the pan, over the target, when the fire is drawn at the first draw.
#[must_use]
pub fn jars(judged: &[(Plan, Vec<Course>)]) -> String {
    let mut text =
        "| drawn when told, °Bx over the target | 5 % | half | 95 % | within 2 |\n|---|---|---|---|---|\n".to_owned();
    for (_, name, courses) in pooled(judged) {
        // A boil never drawn ends far past.
        let over: Vec<f64> = courses
            .iter()
            .map(|c| c.jar.unwrap_or(c.end) - c.target)
            .collect();
        let part = |part: f64| quantile(over.clone(), part);
        let within = over
            .iter()
            .map(|x| f64::from(u8::from(x.abs() <= 2.0)))
            .sum::<f64>();
        let share = within / over.iter().map(|_| 1.0).sum::<f64>();
        let [low, half, high] = [0.05, 0.5, 0.95].map(part);
        let _ = writeln!(
            text,
            "| {name} | {low:.1} | {half:.1} | {high:.1} | {share:.2} |"
        );
    }
    text
}

#[cfg(test)]
mod tests {
    use super::super::cells::all;
    use super::*;

    fn course(seed: u64, drawn: f64) -> Course {
        Course {
            seed,
            target: 78.0,
            finish: Some(100.0),
            not_yet: Some(false),
            check: Some(90.0),
            draw: Some((drawn, 100.0)),
            end: 82.0,
            jar: Some(drawn + 0.5),
            ..Course::default()
        }
    }

    #[test]
    fn what_is_missed_is_marked_and_its_boils_are_named() {
        let plan = all()[0];
        let courses = [course(41, 78.0), course(42, 81.0), course(43, 70.0)];
        let courses: Vec<&Course> = courses.iter().collect();
        let figures = Figures::of(&courses);
        let met = verdict(&plan, &figures);
        let line = line("cell", &figures, &met);
        assert!(
            line.contains("0.333!") && line.contains("missed**"),
            "{line}"
        );
        let text = failures(&plan, &courses, &met);
        assert!(
            text.contains("drawn at 80 or more: 42;") && text.contains("drawn below: 43;"),
            "{text}"
        );
        assert!(!text.contains("41"), "{text}");
    }

    #[test]
    fn a_pool_has_all_boils_of_its_cells() {
        let judged: Vec<_> = all()
            .into_iter()
            .map(|plan| (plan, vec![course(1, 78.0)]))
            .collect();
        let pools = pooled(&judged);
        assert_eq!(pools.len(), 13);
        assert!(
            pools.iter().all(|(_, _, courses)| courses.len() == 4),
            "4 cells each"
        );
        assert!(jars(&judged).contains("| all fixed/refr/clean | 0.5 | 0.5 | 0.5 | 1.00 |"));
    }
}
