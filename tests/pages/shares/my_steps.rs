//! The steps of a member's cane: when each came about, and when a lot is all in jars.

use super::divisions::{act, divided_lot, finished_lot, pressed};
use crate::site::TestSite;
use canewright::actions::boil::boils::{self, NewBoil, NewDraw};
use canewright::actions::boil::boils_finish::{self, FixedFill, NewFills};
use canewright::units::{Grams, LotCode, PressDayId, Role, Units};

/// The time that stands with a step, out of the line of steps on a page.
fn time_of(page: &str, step: &str) -> String {
    let (_, steps) = page
        .split_once("class=\"steps\"")
        .unwrap_or_else(|| panic!("no steps: {page}"));
    let (_, step) = steps
        .split_once(&format!(">{step} <span class=\"soft\">"))
        .unwrap();
    step.split('<').next().unwrap().to_owned()
}

#[tokio::test]
async fn juice_poured_into_a_lit_boil_is_in_the_pan_from_then_on() {
    let site = TestSite::with_season().await;
    let (amos, mut amos_opens) = site.person("Amos Trout", Role::Member).await;
    let (bess, mut bess_opens) = site.person("Bess Lane", Role::Member).await;
    let first = pressed(&site, bess, 90_000, 40_000, 12.0).await;
    let second = pressed(&site, amos, 120_000, 60_000, 17.0).await;
    let day = PressDayId::parse(&site.text("select id from press_days").await).unwrap();
    let boil = NewBoil {
        day,
        solo: None,
        pan: None,
        charge_known: false,
        water_boil: None,
        juices: vec![(first, None)],
        lit_at: None,
        tested: false,
        note: String::new(),
        units: Units::Us,
    };
    boils::light(&act(&site, -6900), boil).await.unwrap();
    let lot = LotCode::parse(&site.text("select lot_code from boils").await).unwrap();
    let draw = NewDraw {
        juice: second,
        amount: None,
        why: String::new(),
        tested: false,
        units: Units::Us,
    };
    boils::pour(&act(&site, -1800), &lot, draw).await.unwrap();
    // It is 08:00; the fire was lit at 06:05.
    for (member, opens, poured) in [
        ("Bess", &mut bess_opens, "06:05"),
        ("Amos", &mut amos_opens, "07:30"),
    ] {
        let page = opens.opens("/").await;
        page.says(&format!("In the pan since {poured}, lot {lot}"));
        assert_eq!(time_of(&page.body, "in the pan"), poured, "{member}");
        assert!(
            !page.body.contains("Nothing yet: your cane"),
            "{member} has cane in the pan"
        );
    }
}

#[tokio::test]
async fn a_lot_is_in_jars_once_the_jars_hold_the_syrup_that_was_drawn_off() {
    let mut lot = finished_lot().await;
    let fix = FixedFill {
        count: 2,
        net: None,
        why: "two so far".to_owned(),
        units: Units::Us,
    };
    let number = lot
        .site
        .count("select number from fills where part = 0")
        .await;
    boils_finish::fix_fill(&act(&lot.site, -290), &lot.code, number, fix)
        .await
        .unwrap();
    let ticket = "select id from tickets where ticket = 1";
    let ticket = format!("/tickets/{}", lot.site.text(ticket).await);
    let words = format!("Lot {} is being put in jars. It is divided next.", lot.code);
    for address in ["/", ticket.as_str()] {
        let page = lot.amos_opens.opens(address).await;
        page.says(&words).says("aria-current=\"step\">in the pan");
        assert!(!page.body.contains("is in jars"), "{address}");
    }
    let more = NewFills {
        counts: vec![(Grams::new(1360), 7)],
        part: None,
        filled_at: None,
        units: Units::Us,
    };
    boils_finish::fill(&act(&lot.site, -60), &lot.code, more)
        .await
        .unwrap();
    let page = lot.amos_opens.opens("/").await;
    page.says(&format!("Lot {} is in jars. It is divided next.", lot.code));
    // 07:59: when the last jar was filled, not the first.
    assert_eq!(time_of(&page.body, "in jars"), "07:59");
}

#[tokio::test]
async fn a_reopened_lot_is_said_to_be_open_wherever_its_figures_stand() {
    let mut lot = divided_lot().await;
    let path = format!("/members/{}/hand-over", lot.amos);
    let mark = "name=\"jar-";
    let page = lot.crew.opens(&path).await;
    let (_, jar) = page.body.split_once(mark).unwrap();
    let jar = format!("jar-{}", jar.split('"').next().unwrap());
    let sent = [(jar.as_str(), "6"), ("signed_by", "Amos"), ("note", "")];
    lot.crew.sends(&path, &sent).await.taken();
    let statement = format!("/members/{}/statement/2026", lot.amos);
    let print = format!("{statement}/print");
    let picture = format!("/members/{}/season/2026", lot.amos);
    let open = format!(
        "Lot {} is being put right and will be divided again: that may change this.",
        lot.code
    );
    let signed = "Read and found right. Signed";
    for address in ["/", statement.as_str(), print.as_str(), picture.as_str()] {
        let page = lot.amos_opens.opens(address).await;
        assert!(!page.body.contains("being put right"), "{address}");
    }
    lot.amos_opens.opens(&print).await.says(signed);
    // Loose, the picture says whose it is and of what day.
    lot.amos_opens.opens(&picture).await.says(
        "<div class=\"running\">Your season 2026 · <bdi>Amos &#60;b&#62;Trout&#60;/b&#62;</bdi> · Sat 19 Sep 2026 08:00 · ",
    );
    let mut ruth = lot.site.browser(lot.site.steward).await;
    ruth.opens(&lot.path()).await;
    let correct = format!("/boils/{}/correct", lot.code.as_str());
    ruth.sends(&correct, &[("why", "a jar too many")])
        .await
        .taken();
    for address in ["/", statement.as_str(), print.as_str(), picture.as_str()] {
        lot.amos_opens.opens(address).await.says(&open);
    }
    // Whoever hands jars of it out meanwhile is told as well.
    let bess = format!("/members/{}/hand-over", lot.bess);
    lot.crew.opens(&bess).await.says(&open);
    // The cane is under way again, and the result says so beside its figures.
    lot.amos_opens
        .opens("/")
        .await
        .says("Something in it is being put right; it will be divided again.")
        .says("<span class=\"tag warn\">being put right</span>")
        .says("It will be divided again");
    let page = lot.amos_opens.opens(&print).await;
    page.says("being put right, will be divided again")
        .says("it is being put right and will be divided again")
        .says("Not to be signed yet");
    assert!(!page.body.contains(signed));
}

#[tokio::test]
async fn where_several_weights_stand_beside_their_sum_it_is_said_how_they_are_rounded() {
    let mut lot = divided_lot().await;
    let words = "Each weight above is rounded by itself; together they are added in grams first.";
    // Bess has quarts and a part-jar, Amos quarts alone.
    for (member, said) in [(lot.bess, true), (lot.amos, false)] {
        for ending in ["", "/print"] {
            let path = format!("/members/{member}/statement/2026{ending}");
            let page = lot.crew.opens(&path).await;
            assert_eq!(page.body.contains(words), said, "{path}: {}", page.body);
        }
    }
}
