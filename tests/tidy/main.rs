//! The house's own rules: the ladder of floors, forbidden words, lengths, templates. Each failure
//! names file and line.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod addresses;
mod arrows;
mod ladder;
mod names_aside;
mod net_cane;
mod writer;

use arrows::{House, circle};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// From the ground up: a floor may use those before it.
const FLOORS: [&str; 6] = ["units", "calc", "store", "facts", "actions", "web"];

/// The themes, in the order the cane travels; `calc` has the last two besides.
const THEMES: [&str; 8] = [
    "people", "season", "turns", "cane", "boil", "shares", "physics", "paper",
];

/// Nouns that a person reads, writes and sees, each with its theme: they have rooms on all three floors.
const NOUNS: [(&str, &str); 10] = [
    ("members", "people"),
    ("seasons", "season"),
    ("plantings", "season"),
    ("press_days", "turns"),
    ("turn", "turns"),
    ("tickets", "cane"),
    ("juice", "cane"),
    ("boils", "boil"),
    ("hand_overs", "shares"),
    ("ledger", "shares"),
];

/// Ways to ask for the time or to bound it. A test that asks could pass or fail with how busy the machine is.
const CLOCKS: [&str; 15] = [
    "Instant::now",
    "SystemTime::now",
    "now_utc(",
    "Timestamp::now",
    ".elapsed(",
    "time::timeout",
    "Date.now",
    "new Date()",
    "performance.now",
    "hrtime",
    "time.time(",
    "time.monotonic",
    "perf_counter",
    "process_time",
    "datetime.now",
];

/// Soft limit of a file's lines.
const LINES_MOST: usize = 450;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn files(folder: &str, ending: &str) -> Vec<PathBuf> {
    fn walk(folder: &Path, ending: &str, out: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, ending, out);
            } else if path.to_string_lossy().ends_with(ending) {
                out.push(path);
            }
        }
    }
    let mut out = Vec::new();
    walk(&root().join(folder), ending, &mut out);
    assert!(!out.is_empty(), "no {ending} under {folder}");
    out.sort();
    out
}

/// The lines of code of a file: without comments, and without its tests, which stand at its end.
fn code(path: &Path) -> Vec<(usize, String)> {
    let text = fs::read_to_string(path).unwrap();
    let tests = text.find("#[cfg(test)]\nmod tests {");
    text[..tests.unwrap_or(text.len())]
        .lines()
        .enumerate()
        .map(|(n, line)| {
            (
                n + 1,
                line.split("//").next().unwrap_or_default().to_owned(),
            )
        })
        .collect()
}

#[test]
fn no_test_reads_a_clock() {
    let tests = ["rs", "mjs", "py"]
        .iter()
        .flat_map(|ending| files("tests", &format!(".{ending}")))
        .filter(|path| !path.starts_with(root().join("tests/bench")))
        // Packages of others, and this list of words.
        .filter(|path| {
            !path
                .components()
                .any(|part| part.as_os_str() == "node_modules")
        })
        .filter(|path| !path.starts_with(root().join("tests/.venv")))
        .filter(|path| !path.ends_with("tests/tidy/main.rs"))
        .map(|path| (path, 0));
    let beside_the_code = files("src", ".rs").into_iter().filter_map(|path| {
        let code_lines = code(&path).len();
        let text = fs::read_to_string(&path).unwrap();
        if path.to_string_lossy().ends_with("_tests.rs") {
            Some((path, 0))
        } else {
            (code_lines < text.lines().count()).then_some((path, code_lines))
        }
    });
    let mut wrong = Vec::new();
    let mut looked_at = 0;
    for (path, from) in tests.chain(beside_the_code) {
        looked_at += 1;
        for (n, line) in fs::read_to_string(&path)
            .unwrap()
            .lines()
            .enumerate()
            .skip(from)
        {
            for word in CLOCKS.iter().filter(|word| line.contains(**word)) {
                let at = path.strip_prefix(root()).unwrap().display();
                wrong.push(format!("{at}:{}: a test says “{word}”", n + 1));
            }
        }
    }
    assert!(looked_at > 100, "only {looked_at} files of tests");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn transactions_are_begun_only_through_the_store() {
    for path in files("src", ".rs") {
        let text = fs::read_to_string(&path).unwrap().to_lowercase();
        let raw = text.contains("query(\"begin") || text.contains("query!(\"begin");
        assert!(
            !raw,
            "{}: a raw BEGIN leaks an open transaction",
            path.display()
        );
    }
}

#[test]
fn a_moment_of_the_database_is_opened_at_the_door_only() {
    // A second one, taken while the first is held, would stop the site when many ask at once.
    let doors = [
        "guard.rs",
        "request.rs",
        "moment.rs",
        "boil/probes/readings.rs",
    ];
    let opened: Vec<String> = files("src/web", ".rs")
        .into_iter()
        .filter(|path| {
            !doors
                .iter()
                .any(|door| path.ends_with(Path::new("src/web").join(door)))
        })
        .flat_map(|path| {
            let opens = code(&path)
                .into_iter()
                .filter(|(_, line)| line.contains("open_moment"));
            opens
                .map(|(n, _)| format!("{}:{n}", path.display()))
                .collect::<Vec<_>>()
        })
        .collect();
    assert!(opened.is_empty(), "{}", opened.join("\n"));
}

#[test]
fn files_are_short_enough_to_know() {
    let long: Vec<String> = files("src", ".rs")
        .into_iter()
        .filter_map(|path| {
            let lines = fs::read_to_string(&path).unwrap().lines().count();
            (lines > LINES_MOST).then(|| format!("{}: {lines} lines", path.display()))
        })
        .collect();
    assert!(
        long.is_empty(),
        "over {LINES_MOST} lines: {}",
        long.join(", ")
    );
}

#[test]
fn templates_escape_everything_and_carry_no_inline_style_or_script() {
    for path in files("templates", ".html") {
        let text = fs::read_to_string(&path).unwrap();
        for word in [
            "|safe",
            "| safe",
            " style=",
            "<style",
            "<script>",
            " onclick=",
            " onchange=",
            "{% autoescape",
        ] {
            assert!(!text.contains(word), "{}: {word}", path.display());
        }
    }
}

#[test]
fn every_module_says_what_it_holds() {
    for path in files("src", ".rs") {
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.starts_with("//!"), "{} has no head", path.display());
    }
}

#[test]
fn every_published_table_names_its_sources() {
    for path in files("tests/published", ".csv") {
        let text = fs::read_to_string(&path).unwrap();
        let head = text.lines().next().unwrap_or_default();
        assert!(
            head.contains("source"),
            "{} has no source column",
            path.display()
        );
    }
}

#[test]
fn the_developers_page_names_only_places_that_exist() {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let places: Vec<&str> = text
        .split('`')
        .filter(|s| {
            s.starts_with("src/") || s.starts_with("tests/") || s.starts_with("migrations/")
        })
        .filter(|s| !s.contains(' ') && !s.contains('*') && !s.contains(".venv"))
        .collect();
    assert!(places.len() > 20);
    for place in places {
        let path = place.split("::").next().unwrap_or_default();
        assert!(root().join(path).exists(), "DEVELOPERS.md names {place}");
    }
}

/// The house, read once.
fn house() -> &'static House {
    static HOUSE: OnceLock<House> = OnceLock::new();
    HOUSE.get_or_init(|| House::read(&root().join("src")))
}

#[test]
fn no_circle_of_files_is_left() {
    let house = house();
    assert!(
        house.files.len() > 200 && house.arrows.values().map(BTreeSet::len).sum::<usize>() > 600
    );
    if let Some(found) = circle(&house.arrows) {
        let way: Vec<&str> = found.iter().map(|m| house.files[m].as_str()).collect();
        panic!("a circle: {} -> {}", way.join(" -> "), way[0]);
    }
}

#[test]
#[expect(
    clippy::print_stdout,
    reason = "the arrows are for whoever asks for them"
)]
fn no_circle_of_themes_is_left_on_any_floor() {
    let house = house();
    for floor in &FLOORS[1..] {
        let between = house.between_themes(floor);
        let mut arrows: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for ((from, to), files) in &between {
            println!("{floor}: {from} -> {to} ({files})");
            arrows.entry(from.clone()).or_default().insert(to.clone());
        }
        if let Some(found) = circle(&arrows) {
            panic!("a circle of themes on {floor}: {}", found.join(" -> "));
        }
    }
}

/// The rooms (files or folders) of a theme under a folder, by name.
fn rooms(folder: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    entries
        .map(|entry| entry.unwrap().path())
        .map(|path| path.file_stem().unwrap().to_string_lossy().into_owned())
        .filter(|name| name != "mod")
        .collect()
}

#[test]
fn a_noun_has_its_rooms_under_one_theme_on_every_floor() {
    let mut themes: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut places: Vec<PathBuf> = FLOORS[1..]
        .iter()
        .map(|f| root().join("src").join(f))
        .collect();
    places.push(root().join("templates"));
    places.push(root().join("tests/pages"));
    for place in &places {
        for theme in THEMES {
            for room in rooms(&place.join(theme)) {
                // One thing or many: `season_lock` and `season_locks` are the same room. Paper has the shape of a thing.
                let one =
                    (theme != "paper").then(|| format!("{} or many", room.trim_end_matches('s')));
                for room in one.into_iter().chain([room]) {
                    themes.entry(room).or_default().insert(theme.to_owned());
                }
            }
        }
    }
    let apart: Vec<String> = themes
        .iter()
        .filter(|(_, of)| of.len() > 1)
        .map(|(room, of)| format!("{room}: {of:?}"))
        .collect();
    assert!(apart.is_empty(), "under two themes: {}", apart.join("; "));
    for (noun, theme) in NOUNS {
        for floor in ["store", "actions", "web"] {
            let here = rooms(&root().join("src").join(floor).join(theme));
            assert!(
                here.iter().any(|r| r == noun),
                "{noun} has no room at src/{floor}/{theme}"
            );
        }
    }
}

#[test]
fn a_room_is_spelt_alike_on_every_floor() {
    let places = [
        "src/store",
        "src/facts",
        "src/actions",
        "src/web",
        "templates",
        "tests/pages",
    ];
    let mut spelt: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for theme in THEMES {
        for room in places
            .iter()
            .flat_map(|place| rooms(&root().join(place).join(theme)))
        {
            let stem = format!("{theme}/{}", room.trim_end_matches('s'));
            spelt.entry(stem).or_default().insert(room);
        }
    }
    assert!(spelt.len() > 100, "only {} rooms are seen", spelt.len());
    let two: Vec<_> = spelt.values().filter(|of| of.len() > 1).collect();
    assert!(two.is_empty(), "one room, two spellings: {two:?}");
}

/// Longest function, lines.
const FUNCTION_MOST: usize = 70;

#[test]
fn functions_are_short_enough_to_hold_in_mind() {
    let mut long = Vec::new();
    let rooms = &house().files;
    let paths = rooms.values().map(|file| root().join("src").join(file));
    for path in paths.chain([root().join("src/main.rs")]) {
        let text = fs::read_to_string(&path).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        for (n, line) in lines.iter().enumerate() {
            let word = line.trim_start();
            // `pub(in crate::web) async fn`: what stands before the name, without where it may be seen from.
            let before = word.split_once("fn ").map_or("", |(before, _)| before);
            let starts = word.contains("fn ")
                && before
                    .split_whitespace()
                    .filter(|w| !w.starts_with("pub(") && !w.ends_with(')'))
                    .all(|w| ["pub", "async", "const"].contains(&w));
            if !starts {
                continue;
            }
            let indent = line.len() - word.len();
            let close = format!("{}}}", " ".repeat(indent));
            let end = lines[n..].iter().position(|l| *l == close).unwrap_or(0);
            if end + 1 > FUNCTION_MOST {
                long.push(format!("{}:{}: {} lines", path.display(), n + 1, end + 1));
            }
        }
    }
    assert!(
        long.is_empty(),
        "over {FUNCTION_MOST} lines:\n{}",
        long.join("\n")
    );
}
