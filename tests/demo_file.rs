//! The demo's file as it lies when it is made, for every test that begins there: making it takes longer than most tests.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use canewright::demo;
use canewright::store;
use canewright::units::UtcSecond;
use std::path::Path;
use tokio::sync::OnceCell;

static MADE: OnceCell<(Vec<u8>, UtcSecond)> = OnceCell::const_new();

/// Writes the demo to a new file; the time that it is then.
pub async fn write(path: &Path) -> UtcSecond {
    let (file, at) = MADE.get_or_init(make).await;
    std::fs::write(path, file).unwrap();
    *at
}

async fn make() -> (Vec<u8>, UtcSecond) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("demo.db");
    let (writer, reader) = store::open(&path).await.unwrap();
    let at = demo::make(&writer, &reader).await.unwrap();
    reader.close().await;
    writer.close().await;
    (std::fs::read(&path).unwrap(), at)
}
