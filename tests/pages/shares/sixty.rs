//! Sixty statements, thirty in pounds and thirty in kilograms, as a reader gets them: written out for
//! `tests/reference/statements_again.py`, which does every sum of them again.

use crate::season::big_season::big_season_in;
use canewright::units::Units;

#[tokio::test]
async fn sixty_statements_are_written_for_another_program_to_do_again() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("statements");
    std::fs::create_dir_all(&folder).unwrap();
    for units in [Units::Us, Units::Metric] {
        let season = big_season_in(units, 30, 12).await;
        let mut ruth = season.site.browser(season.site.steward).await;
        let page = ruth.opens("/seasons/2026/statements/print").await;
        assert_eq!(page.body.matches("<article").count(), 30);
        let file = folder.join(format!("{}.html", units.word()));
        std::fs::write(file, page.body).unwrap();
    }
}
