//! Questions asked in one message answer as each does alone: the same rows in the same order, whatever stands beside them.

use crate::demo_file;
use canewright::store::boil::{boils, pans};
use canewright::store::cane::{juice, mill, tickets};
use canewright::store::form_keys::{self, DoneForm};
use canewright::store::people::{coop, members};
use canewright::store::season::seasons;
use canewright::store::turns::{press_days, turn, waiting};
use canewright::store::{self, Conn, Question, Snapshot, Together, home};
use canewright::units::{FormKey, UtcSecond};
use std::fmt::Debug;
use uuid::Uuid;

/// The demo at one moment; the folder goes when it is dropped.
async fn demo() -> (tempfile::TempDir, Snapshot) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("demo.db");
    demo_file::write(&path).await;
    let (_, reader) = store::open(&path).await.unwrap();
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
        Question::answered("said before"),
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

#[tokio::test]
async fn how_long_the_writer_is_held_counts_what_was_committed_and_nothing_else() {
    let folder = tempfile::tempdir().unwrap();
    let (writer, _reader) = store::open(&folder.path().join("held.db")).await.unwrap();
    let held = || writer.lookout().held();
    assert_eq!(held().times, 0);
    drop(writer.begin().await.unwrap());
    assert_eq!(held().times, 0, "what was given up is not counted");
    writer.begin().await.unwrap().commit().await.unwrap();
    let once = held();
    assert_eq!(once.times, 1);
    assert!(!once.before_commit.is_zero() && !once.committing.is_zero());
    writer.begin().await.unwrap().commit().await.unwrap();
    let twice = held();
    assert_eq!(twice.times, 2);
    assert!(twice.before_commit > once.before_commit && twice.committing > once.committing);
}

#[tokio::test]
async fn a_change_that_cannot_be_made_leaves_nothing_of_those_sent_with_it() {
    let (folder, now) = demo().await;
    drop(now);
    let (writer, reader) = store::open(&folder.path().join("demo.db")).await.unwrap();
    let mut moment = reader.snapshot().await.unwrap();
    let line = members::list().ask(&mut moment).await.unwrap();
    let by = line.first().unwrap().id;
    let at = UtcSecond::new(1_789_822_800);
    let key = FormKey::new(Uuid::from_u128(7));
    let done = DoneForm {
        digest: "abc".to_owned(),
        boxes: String::new(),
        result: String::new(),
    };
    let keep = || form_keys::insert((key, "open_ticket", "/x"), &done, Some(by), at);
    // The second finds the key of the first.
    let tx = writer.begin().await.unwrap();
    let twice = Question::every([keep(), keep()]);
    assert!(tx.commit_with(twice).await.unwrap_err().is_taken());
    let (tx, found) = writer
        .begin_asking(form_keys::find(key, "open_ticket", "/x"))
        .await
        .unwrap();
    assert!(found.is_none(), "{found:?}");
    tx.commit_with(keep()).await.unwrap();
    let (_tx, found) = writer
        .begin_asking(form_keys::find(key, "open_ticket", "/x"))
        .await
        .unwrap();
    assert_eq!(found.unwrap().digest, "abc");
}
