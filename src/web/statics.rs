//! Style sheets, the icon and small scripts, compiled in, under names that carry a hash of their content, so that
//! a browser may keep them for good. The scripts are ES modules as they stand; only the names by which they
//! import one another are filled in.

use crate::actions::hash_token;
use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use std::sync::LazyLock;

const CSS: &str = "text/css; charset=utf-8";
const SCRIPT: &str = "text/javascript; charset=utf-8";

/// One file as it is served.
struct File {
    /// Name of the file in the source, without its ending.
    stem: &'static str,
    /// Name of the file with the hash of its content.
    name: String,
    content: Vec<u8>,
    kind: &'static str,
}

impl File {
    fn new(stem: &'static str, ending: &str, kind: &'static str, content: String) -> Self {
        let hash = hash_token(&content);
        Self::named(stem, (ending, &hash), kind, content.into_bytes())
    }

    /// A picture, which is no text.
    fn picture(stem: &'static str, content: &[u8]) -> Self {
        let hash = hash_token(&content.escape_ascii().to_string());
        Self::named(stem, ("png", &hash), "image/png", content.to_owned())
    }

    fn named(
        stem: &'static str,
        (ending, hash): (&str, &str),
        kind: &'static str,
        content: Vec<u8>,
    ) -> Self {
        let hash: String = hash.chars().take(10).collect();
        Self {
            stem,
            name: format!("{stem}-{hash}.{ending}"),
            content,
            kind,
        }
    }

    fn address(&self) -> String {
        format!("/static/{}", self.name)
    }
}

/// Scripts, each after those that it imports. The library is served as its makers have it.
const SCRIPTS: [(&str, &str); 30] = [
    ("find", include_str!("../../static/find.js")),
    ("keys", include_str!("../../static/keys.js")),
    ("steps", include_str!("../../static/steps.js")),
    ("live", include_str!("../../static/live.js")),
    ("calls", include_str!("../../static/calls.js")),
    ("rows", include_str!("../../static/rows.js")),
    ("idb", include_str!("../../static/idb.js")),
    ("kept-store", include_str!("../../static/kept-store.js")),
    ("waiting", include_str!("../../static/waiting.js")),
    ("kept-sent", include_str!("../../static/kept-sent.js")),
    ("kept-send", include_str!("../../static/kept-send.js")),
    ("kept-pages", include_str!("../../static/kept-pages.js")),
    ("kept-day", include_str!("../../static/kept-day.js")),
    ("look", include_str!("../../static/look.js")),
    ("kept-forms", include_str!("../../static/kept-forms.js")),
    ("kept-shown", include_str!("../../static/kept-shown.js")),
    ("kept-twin", include_str!("../../static/kept-twin.js")),
    ("kept-change", include_str!("../../static/kept-change.js")),
    ("kept-line", include_str!("../../static/kept-line.js")),
    (
        "kept-straight",
        include_str!("../../static/kept-straight.js"),
    ),
    ("kept-pan", include_str!("../../static/kept-pan.js")),
    ("kept-jars", include_str!("../../static/kept-jars.js")),
    ("kept-blank", include_str!("../../static/kept-blank.js")),
    ("kept-doubts", include_str!("../../static/kept-doubts.js")),
    ("kept-once", include_str!("../../static/kept-once.js")),
    ("kept-note", include_str!("../../static/kept-note.js")),
    ("kept-numbers", include_str!("../../static/kept-numbers.js")),
    ("kept-station", include_str!("../../static/kept-station.js")),
    ("yard", include_str!("../../static/yard.js")),
    ("mine", include_str!("../../static/mine.js")),
];

static FILES: LazyLock<Vec<File>> = LazyLock::new(|| {
    let css = |stem, text: &str| File::new(stem, "css", CSS, lean_css(text));
    let mut files = vec![
        css("app", include_str!("../../static/app.css")),
        css("print", include_str!("../../static/print.css")),
        css("more", include_str!("../../static/more.css")),
        File::new(
            "icon",
            "svg",
            "image/svg+xml",
            include_str!("../../static/icon.svg").to_owned(),
        ),
        // The same drawing in the middle of its ground, so that any shape may be cut out of it.
        File::picture("icon-192", include_bytes!("../../static/icon-192.png")),
        File::picture("icon-512", include_bytes!("../../static/icon-512.png")),
    ];
    for (stem, script) in SCRIPTS {
        let text = if stem == "idb" {
            script.to_owned()
        } else {
            lean(script)
        };
        let text = imports(text, &files);
        files.push(File::new(stem, "js", SCRIPT, text));
    }
    files
});

/// The worker: at an address that stays, with the names of all files that it keeps.
static WORKER: LazyLock<String> = LazyLock::new(|| {
    let script = lean(include_str!("../../static/yard-worker.js"));
    let names: Vec<String> = FILES.iter().map(File::address).collect();
    let names = serde_json::to_string(&names).unwrap_or_default();
    imports(script, &FILES).replace("JSON.parse(\"[]\")", &names)
});

/// A script with the hashed names of what it imports.
fn imports(script: String, files: &[File]) -> String {
    files.iter().fold(script, |text, file| {
        let plain = format!("\"./{}.js\"", file.stem);
        text.replace(&plain, &format!("\"{}\"", file.address()))
    })
}

/// A script without its comments that have lines of their own, and without its indentation: phones on a weak
/// network load it. No text of a script goes over a line's end, but in the worker's page, where this does no harm.
fn lean(script: &str) -> String {
    let mut within = false;
    let mut said = Vec::new();
    for line in script.lines().map(str::trim_start) {
        let comment = within || line.starts_with("/*");
        if comment {
            within = !line.contains("*/");
        } else if !line.is_empty() && !line.starts_with("//") {
            said.push(line);
        }
    }
    said.join("\n")
}

/// A style sheet without its comments and without the spaces that only people need.
fn lean_css(sheet: &str) -> String {
    const SPACED: [(&str, &str); 7] = [
        (" {", "{"),
        ("{ ", "{"),
        ("; ", ";"),
        (": ", ":"),
        (", ", ","),
        (" }", "}"),
        (";}", "}"),
    ];
    SPACED.iter().fold(lean(sheet), |text, (spaced, close)| {
        text.replace(spaced, close)
    })
}

fn address(stem: &str) -> String {
    let file = FILES.iter().find(|file| file.stem == stem);
    file.map_or_else(String::new, File::address)
}

/// Address of the style sheet of pages.
pub(super) fn app_css() -> String {
    address("app")
}

/// Address of the style sheet of what only some pages need.
pub(super) fn more_css() -> String {
    address("more")
}

/// Address of the style sheet of prints.
pub(super) fn print_css() -> String {
    address("print")
}

/// Address of the script that keeps the figures of a boil fresh.
pub(super) fn live_js() -> String {
    address("live")
}

/// Address of the script that copies the words of a call.
pub(super) fn calls_js() -> String {
    address("calls")
}

/// Address of the script that keeps rows keyed in from paper.
pub(super) fn rows_js() -> String {
    address("rows")
}

/// Address of the script that keeps what is typed in the yard.
pub(super) fn yard_js() -> String {
    address("yard")
}

/// Address of the script that keeps a member's own pages.
pub(super) fn mine_js() -> String {
    address("mine")
}

/// Address of the script that says, before anybody is signed in, what waits on a phone.
pub(super) fn waiting_js() -> String {
    address("waiting")
}

/// Address of the script that asks one figure at a time on a phone.
pub(super) fn steps_js() -> String {
    address("steps")
}

/// Address of the script with keys for wet thumbs.
pub(super) fn keys_js() -> String {
    address("keys")
}

/// Address of the script that finds one of many buttons.
pub(super) fn find_js() -> String {
    address("find")
}

/// Address of the icon.
pub(super) fn icon() -> String {
    address("icon")
}

/// Serves one of them; nothing of that name: 404 without words, since no page links to it.
pub(super) async fn show(Path(name): Path<String>) -> Result<Response, StatusCode> {
    let file = FILES.iter().find(|file| file.name == name);
    let file = file.ok_or(StatusCode::NOT_FOUND)?;
    let headers = [
        (header::CONTENT_TYPE, file.kind),
        (header::CACHE_CONTROL, "public, max-age=31536000, immutable"),
    ];
    Ok((headers, file.content.as_slice()).into_response())
}

/// What a phone or desk needs to set the site up beside its other programs (W3C, Web Application Manifest).
static MANIFEST: LazyLock<String> = LazyLock::new(|| {
    let icon = |stem: &str, sizes: &str, purpose: &str| {
        let kind = if sizes == "any" {
            "image/svg+xml"
        } else {
            "image/png"
        };
        serde_json::json!({ "src": address(stem), "sizes": sizes, "type": kind, "purpose": purpose })
    };
    let told = serde_json::json!({
        "name": "Canewright",
        "short_name": "Canewright",
        "description": "Turns, cane, syrup and fair shares of a pressing co-op",
        "id": "/",
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "theme_color": "#1f4d2b",
        "background_color": "#fbf7e8",
        "icons": [
            icon("icon", "any", "any"),
            icon("icon-192", "192x192", "any maskable"),
            icon("icon-512", "512x512", "any maskable"),
        ],
    });
    told.to_string()
});

/// `GET /manifest.json`
pub(super) async fn manifest() -> Response {
    let kind = [(header::CONTENT_TYPE, "application/manifest+json")];
    (kind, MANIFEST.as_str()).into_response()
}

/// `GET /yard-worker.js`: looked at anew by the browser each time, since its address stays.
pub(super) async fn worker() -> Response {
    ([(header::CONTENT_TYPE, SCRIPT)], WORKER.as_str()).into_response()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{BrixRead, Celsius};

    #[test]
    fn every_import_of_a_script_is_a_file_that_is_served() {
        let mut found = 0;
        let scripts = FILES.iter().filter(|f| f.kind == SCRIPT);
        let texts = scripts.map(|f| std::str::from_utf8(&f.content).unwrap());
        for text in texts.chain([WORKER.as_str()]) {
            for line in text.lines().filter(|l| l.starts_with("import ")) {
                let name = line.rsplit('"').nth(1).unwrap_or_default();
                assert!(FILES.iter().any(|f| f.address() == name), "{line}");
                found += 1;
            }
        }
        assert!(found >= 8, "{found} imports");
    }

    #[test]
    fn comments_go_and_what_is_said_stays() {
        let script = "// a\n/** b\n * c */\nlet x = 1; // d\n  /* e */\n  f();\n";
        assert_eq!(lean(script), "let x = 1; // d\nf();");
    }

    /// Width and height stand in the first chunk of a PNG file (ISO/IEC 15948, 11.2.2).
    #[test]
    fn every_icon_of_the_manifest_is_served_and_as_large_as_it_says() {
        let told: serde_json::Value = serde_json::from_str(&MANIFEST).unwrap();
        let icons = told["icons"].as_array().unwrap();
        assert_eq!(icons.len(), 3);
        for icon in icons {
            let file = FILES.iter().find(|file| icon["src"] == file.address());
            let file = file.unwrap_or_else(|| panic!("{icon} is not served"));
            assert_eq!(icon["type"], file.kind);
            if file.kind == "image/png" {
                let pixels = |at: usize| {
                    let bytes = file.content[at..at + 4].try_into().unwrap();
                    u32::from_be_bytes(bytes)
                };
                let size = format!("{}x{}", pixels(16), pixels(20));
                assert_eq!(icon["sizes"], size);
            }
        }
    }

    #[test]
    fn a_phone_without_network_believes_the_figures_that_the_mill_reads_and_no_others() {
        let script = include_str!("../../static/kept-forms.js");
        for (unit, least, most) in [("°Bx|Brix", 0.0, 95.0), ("°C", -40.0, 200.0)] {
            assert!(
                script.contains(&format!("/{unit}/, {least}, {most}, ")),
                "{unit}"
            );
        }
        let fahrenheit = Celsius::new(200.0).unwrap().fahrenheit();
        assert!(script.contains(&format!("/°F/, {}, {fahrenheit}, ", -40)));
        for value in [0.0, 95.0] {
            assert!(BrixRead::new(value).is_ok(), "{value}");
        }
        assert!(BrixRead::new(-0.1).is_err() && BrixRead::new(95.1).is_err());
        for value in [-40.0, 200.0] {
            assert!(Celsius::new(value).is_ok(), "{value}");
        }
        assert!(Celsius::new(-40.1).is_err() && Celsius::new(200.1).is_err());
    }

    #[test]
    fn the_worker_keeps_every_file() {
        assert!(FILES.iter().all(|f| WORKER.contains(&f.address())));
    }
}
