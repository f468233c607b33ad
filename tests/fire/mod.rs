//! Simulated boils of three makes, and the judge of a watch: how it does on them, cell by cell, against the
//! goals. Each make is written from other physics than the watch, by somebody who had not read it.

pub mod face;
pub mod judge;
pub mod make_a;
pub mod make_b;
pub mod make_c;
pub mod own_watch;

use face::{Known, Watch};
use judge::baseline::Baseline;
use judge::cli::{Asked, USAGE, judge};
use own_watch::OwnWatch;
use std::process::ExitCode;

#[expect(
    clippy::print_stderr,
    reason = "what was not understood is said to whoever asked"
)]
fn refuse(what: &str) -> ExitCode {
    eprintln!("{what}\n{USAGE}");
    ExitCode::from(2)
}

fn on_make<W: Watch>(asked: &Asked) -> ExitCode {
    fn go<W: Watch, B: Known>(asked: &Asked) -> ExitCode {
        judge::<W, B>(asked)
    }
    match asked.make.as_str() {
        "a" => go::<W, make_a::Sim>(asked),
        "b" => go::<W, make_b::Sim>(asked),
        "c" => go::<W, make_c::Sim>(asked),
        other => refuse(&format!("there is no make {other}")),
    }
}

/// Judges by the words of a command line.
pub fn run(words: impl Iterator<Item = String>) -> ExitCode {
    let asked = match Asked::read(words) {
        Ok(asked) => asked,
        Err(what) => return refuse(&what),
    };
    match asked.watch.as_str() {
        "baseline" => on_make::<Baseline>(&asked),
        "own" => on_make::<OwnWatch>(&asked),
        other => refuse(&format!("there is no watch {other}")),
    }
}
