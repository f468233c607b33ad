//! Questions asked in one message answer as each does alone: the same rows in the same order, whatever stands beside them.

use canewright::demo;
use canewright::store::boil::{boils, pans};
use canewright::store::cane::{juice, mill, tickets};
use canewright::store::people::{coop, members};
use canewright::store::season::seasons;
use canewright::store::turns::{press_days, turn, waiting};
use canewright::store::{self, Conn, Question, Snapshot, Together, home};
use std::fmt::Debug;

/// The demo at one moment; the folder goes when it is dropped.
async fn demo() -> (tempfile::TempDir, Snapshot) {
    let folder = tempfile::tempdir().unwrap();
    let (writer, reader) = store::open(&folder.path().join("demo.db")).await.unwrap();
    demo::make(&writer, &reader).await.unwrap();
    let now = reader.snapshot().await.unwrap();
    (folder, now)
}

/// What a question answers.
async fn says<T: Debug + Send + 'static>(question: Question<T>, conn: &mut Conn) -> String {
    format!("{:?}", question.ask(conn).await.unwrap())
}

#[tokio::test]
async fn questions_asked_together_answer_as_each_does_alone() {
    let (_folder, mut now) = demo().await;
    let db = &mut *now;
    let season = seasons::list().ask(db).await.unwrap()[0].id;
    let days = press_days::of_season(season).ask(db).await.unwrap();
    let (first, last) = (days.first().unwrap().id, days.last().unwrap().id);
    let all = members::list().ask(db).await.unwrap();
    let mut told = 0;
    for member in all.iter().take(12).map(|line| line.id) {
        // Wide beside narrow, none beside many, orders up and down, the same value in several places of one query.
        let asked = || {
            (
                tickets::of_season_member(season, member),
                juice::of_season(season),
                boils::of_member(season, member),
                waiting::of_day(last),
                turn::held_of_day(first),
                home::last_shares(member),
                home::balance(member),
                boils::draws_beside(season, member),
                members::find(member),
                seasons::rules_list(season),
            )
        };
        let together = asked().together().ask(db).await.unwrap();
        let each = asked();
        let alone = [
            says(each.0, db).await,
            says(each.1, db).await,
            says(each.2, db).await,
            says(each.3, db).await,
            says(each.4, db).await,
            says(each.5, db).await,
            says(each.6, db).await,
            says(each.7, db).await,
            says(each.8, db).await,
            says(each.9, db).await,
        ];
        assert_eq!(format!("{together:?}"), format!("({})", alone.join(", ")));
        told += together.0.len() + together.2.len() + together.5.len();
    }
    assert!(told > 10, "only {told} rows were compared");
}

#[tokio::test]
async fn a_list_of_questions_keeps_its_order_and_one_that_is_left_out_answers_nothing() {
    let (_folder, mut now) = demo().await;
    let db = &mut *now;
    let all = members::list().ask(db).await.unwrap();
    let ids: Vec<_> = all.iter().map(|line| line.id).collect();
    let each = Question::all(ids.iter().map(|id| members::find(*id)));
    let missing = Question::when(None::<Question<Vec<mill::Scale>>>);
    let (each, card, missing, pans, known) = (
        each,
        coop::find(),
        missing,
        pans::list(),
        Question::known("said before"),
    )
        .together()
        .ask(db)
        .await
        .unwrap();
    let found: Vec<_> = each.into_iter().map(|member| member.unwrap().id).collect();
    assert_eq!(found, ids);
    assert!(card.is_some() && missing.is_none() && !pans.is_empty());
    assert_eq!(known, "said before");
}

#[tokio::test]
async fn more_questions_than_one_message_may_hold_are_answered_all_the_same() {
    let (_folder, mut now) = demo().await;
    let ids: Vec<_> = members::list().ask(&mut now).await.unwrap();
    let many = (0..1201).map(|n| members::find(ids[n % ids.len()].id));
    let found = Question::all(many).ask(&mut now).await.unwrap();
    assert_eq!(found.len(), 1201);
    for (n, member) in found.into_iter().enumerate() {
        assert_eq!(member.unwrap().id, ids[n % ids.len()].id);
    }
}
