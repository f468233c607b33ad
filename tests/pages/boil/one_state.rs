//! What the page of a boil says is one state: its words, its colour and its title say the same, and a figure that was
//! confirmed near the end leaves it no calmer than before.

use crate::boil::live::{Watched, lit, set_up_pan};
use canewright::units::Celsius;

async fn says_overdue(boil: &mut Watched, said: &str, own: &str) {
    let page = boil.shows().await;
    page.says(&format!("<title>{said} – Boil "))
        .says(&format!(
            "<p class=\"call alarm\" role=\"status\" data-weight=\"{own}\""
        ))
        .says(&format!("<strong>{said}</strong>"));
    let live = format!("{}/live", boil.page);
    let part = boil.pan.crew.opens(&live).await;
    part.says("<p class=\"call alarm\"")
        .says(&format!("<strong>{said}</strong>"));
}

#[tokio::test]
async fn a_reading_that_is_overdue_alarms_in_words_colour_and_title() {
    // Warming, and read twenty minutes ago: the next reading was due five minutes ago at the latest.
    let mut boil = lit(24).await;
    set_up_pan(&boil.pan, &[]).await;
    boil.read(20, Celsius::new(30.0).ok(), None).await;
    says_overdue(&mut boil, "Reading overdue: read the pan at once", "").await;
    boil.shows().await.says("Now: read it");
    // Once it is read all is calm alike.
    boil.read(1, Celsius::new(80.0).ok(), None).await;
    let page = boil.shows().await;
    page.says("<title>Boil ").says("<p class=\"call \"");
    assert!(!page.body.contains("<strong>Reading overdue"));
}

#[tokio::test]
async fn a_call_for_the_refractometer_that_is_overdue_alarms_as_well() {
    let mut boil = lit(60).await;
    set_up_pan(&boil.pan, &[]).await;
    boil.read(40, Celsius::new(70.0).ok(), None).await;
    boil.at_boil(0, 30).await;
    boil.at_boil(10, 20).await;
    says_overdue(&mut boil, "Overdue: check with the refractometer", "note").await;
}

#[tokio::test]
async fn a_figure_confirmed_near_the_end_quiets_nothing_and_is_said_to_be_undecided() {
    let mut boil = lit(100).await;
    set_up_pan(&boil.pan, &[]).await;
    boil.read(90, Celsius::new(70.0).ok(), None).await;
    for after in [0, 20, 40, 60, 70, 74] {
        boil.at_boil(after, 76 - after).await;
    }
    boil.shows()
        .await
        .says("<strong>Check with the refractometer");
    let page = boil.page.clone();
    let low = [
        ("temp", "213.0"),
        ("sure", "213.0"),
        ("brix", ""),
        ("note", ""),
    ];
    boil.pan.sends(&page, "readings", &low).await.taken();
    let page = boil.shows().await;
    page.says("read back and confirmed, is far from what was believed before it. Until another reading decides, the call is the more careful of both.");
    for calm in [
        "<strong>Too early",
        "<strong>On its way",
        "<p class=\"call \"",
    ] {
        assert!(!page.body.contains(calm), "{calm}");
    }
}
