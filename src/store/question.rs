//! Questions that are asked together. Each query is a message to the thread of its connection and back, which costs more
//! than most of the queries themselves; so what a page needs of several tables, and what needs nothing of one another, goes
//! there in one message: a statement for each question, one after the other. Every one of them is checked by `query!` when the
//! program is built, and read by what `query!` made for it, so a question says the same alone and among others. A change is
//! asked like a question that answers nothing.

use super::{Conn, StoreError, Stored};
use futures_core::Stream;
use futures_core::future::BoxFuture;
use futures_core::stream::BoxStream;
use sqlx::error::BoxDynError;
use sqlx::query::Map;
use sqlx::sqlite::{
    SqliteArguments, SqliteQueryResult, SqliteRow, SqliteStatement, SqliteTypeInfo,
};
use sqlx::{AssertSqlSafe, Describe, Either, Error, Execute, Executor, SqlSafeStr, SqlStr, Sqlite};
use std::borrow::Cow;
use std::collections::VecDeque;
use std::future::poll_fn;
use std::pin::{Pin, pin};
use std::task::{Context, Poll, Waker};

/// Binds a value of a query after what was bound before it.
type Value = Box<dyn Fn(&mut SqliteArguments) -> Result<(), BoxDynError> + Send>;

/// Most statements of one message: SQLite takes a million bytes, <https://www.sqlite.org/limits.html>.
const ARMS_MOST: usize = 100;

/// One SQL statement of a question.
pub(super) struct Arm {
    sql: Cow<'static, str>,
    /// The values to bind to `?1` and so on.
    values: Vec<Value>,
}

impl Arm {
    pub(super) fn of(sql: impl Into<Cow<'static, str>>, values: Vec<Value>) -> Self {
        let sql = sql.into();
        Self { sql, values }
    }
}

/// The rows that each statement of a question gave, in their order.
struct Answers(VecDeque<Vec<SqliteRow>>);

/// Reads what a question's arms answered.
type Read<T> = Box<dyn FnOnce(&mut Answers) -> Stored<T> + Send>;

/// Something to ask the store, by itself or together with others.
#[must_use = "nothing is read or changed until it is asked"]
pub struct Question<T> {
    arms: Vec<Arm>,
    read: Read<T>,
}

impl<T> std::fmt::Debug for Question<T> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_list()
            .entries(self.arms.iter().map(|arm| &arm.sql))
            .finish()
    }
}

/// A question of one query that `query!` checked. The macro of the same name writes it.
pub(super) fn rows<T, F>(
    query: Map<'static, Sqlite, F, SqliteArguments>,
    (sql, values): (&'static str, Vec<Value>),
) -> Question<Vec<T>>
where
    T: Send + Unpin + 'static,
    F: FnMut(SqliteRow) -> Result<T, Error> + Send + 'static,
{
    Question {
        arms: vec![Arm::of(sql, values)],
        read: Box::new(move |answers| {
            let rows = answers.0.pop_front().unwrap_or_default();
            let read = pin!(query.fetch_all(Given(rows)));
            match read.poll(&mut Context::from_waker(Waker::noop())) {
                Poll::Ready(rows) => Ok(rows?),
                // The rows are all there already, so reading them never has to wait.
                Poll::Pending => Err(StoreError::Unfit("rows were not read".to_owned())),
            }
        }),
    }
}

/// A change that `query!` checked: it answers nothing. The macro of the same name writes it.
pub(super) fn done(sql: &'static str, values: Vec<Value>) -> Question<()> {
    Question {
        arms: vec![Arm::of(sql, values)],
        read: Box::new(|answers| {
            answers.0.pop_front();
            Ok(())
        }),
    }
}

/// A value that a query asks for, kept until it is asked.
pub(super) fn value<T>(value: T) -> Value
where
    T: sqlx::Encode<'static, Sqlite> + sqlx::Type<Sqlite> + Clone + Send + 'static,
{
    Box::new(move |all| sqlx::Arguments::add(all, value.clone()))
}

/// A question of one query: the struct of its rows (or none, as with `query!`), the query, what it asks for.
macro_rules! question {
    (@ $query:expr, ($sql:expr) $(, $value:expr)*) => {{
        let values = vec![$($crate::store::question::value($value.to_owned())),*];
        $crate::store::question::rows($query, ($sql, values))
    }};
    ($row:ident, $sql:literal $(+ $more:literal)+ $(, $value:expr)* $(,)?) => {
        $crate::store::question::question!(
            @ sqlx::query_as!($row, $sql $(+ $more)+ $(, $value)*), (concat!($sql $(, $more)+)) $(, $value)*
        )
    };
    ($row:ident, $sql:literal $(, $value:expr)* $(,)?) => {
        $crate::store::question::question!(@ sqlx::query_as!($row, $sql $(, $value)*), ($sql) $(, $value)*)
    };
    ($sql:literal $(, $value:expr)* $(,)?) => {
        $crate::store::question::question!(@ sqlx::query!($sql $(, $value)*), ($sql) $(, $value)*)
    };
}
pub(super) use question;

/// A change of one statement, which answers nothing: the statement, what it asks for.
macro_rules! change {
    ($sql:literal $(, $value:expr)* $(,)?) => {{
        // Never run: it stands here only so that it is checked when the program is built.
        drop(sqlx::query!($sql $(, $value)*));
        let values = vec![$($crate::store::question::value($value.to_owned())),*];
        $crate::store::question::done($sql, values)
    }};
}
pub(super) use change;

impl<T: Send + 'static> Question<T> {
    /// The statements that it is asked by.
    #[cfg(test)]
    pub(crate) fn statements(&self) -> Vec<String> {
        self.arms.iter().map(|arm| arm.sql.to_string()).collect()
    }

    /// Asks nothing: the answer is known.
    pub fn answered(answer: T) -> Self {
        Self {
            arms: Vec::new(),
            read: Box::new(move |_| Ok(answer)),
        }
    }

    /// This question, with its answer turned into another value.
    pub fn map<U>(self, f: impl FnOnce(T) -> U + Send + 'static) -> Question<U> {
        self.try_map(|answer| Ok(f(answer)))
    }

    /// As [`Self::map`], where reading the stored value back may fail.
    pub fn try_map<U>(self, f: impl FnOnce(T) -> Stored<U> + Send + 'static) -> Question<U> {
        let read = self.read;
        Question {
            arms: self.arms,
            read: Box::new(move |answers| f(read(answers)?)),
        }
    }

    /// All of these questions together, the answers in their order.
    pub fn all(questions: impl IntoIterator<Item = Self>) -> Question<Vec<T>> {
        let (mut arms, mut reads) = (Vec::new(), Vec::new());
        for one in questions {
            arms.extend(one.arms);
            reads.push(one.read);
        }
        Question {
            arms,
            read: Box::new(move |answers| reads.into_iter().map(|read| read(answers)).collect()),
        }
    }

    /// All of these, one after the other, and nothing to tell of them.
    pub fn every(questions: impl IntoIterator<Item = Self>) -> Question<()> {
        Self::all(questions).map(drop)
    }

    /// The question, if there is one.
    pub fn when(question: Option<Self>) -> Question<Option<T>> {
        question.map_or_else(|| Question::answered(None), |question| question.map(Some))
    }

    /// Asks.
    ///
    /// # Errors
    /// The database failed, or what is stored does not read back.
    pub async fn ask(self, conn: &mut Conn) -> Stored<T> {
        let mut answers = Answers(VecDeque::new());
        let mut arms = self.arms.into_iter().peekable();
        while arms.peek().is_some() {
            let together = arms.by_ref().take(ARMS_MOST).collect();
            answers.0.extend(answered(conn, together).await?);
        }
        (self.read)(&mut answers)
    }
}

/// Questions that are asked in one message.
pub trait Together {
    /// Type of their answers together.
    type Answer;

    /// One question that asks all of them.
    fn together(self) -> Question<Self::Answer>;
}

macro_rules! together {
    ($($name:ident)+) => {
        impl<$($name: Send + 'static),+> Together for ($(Question<$name>,)+) {
            type Answer = ($($name,)+);

            #[expect(non_snake_case, reason = "each question is called like its answer")]
            fn together(self) -> Question<Self::Answer> {
                let ($($name,)+) = self;
                let mut arms = Vec::new();
                $(arms.extend($name.arms);)+
                $(let $name = $name.read;)+
                Question {
                    arms,
                    read: Box::new(move |answers| Ok(($($name(answers)?,)+))),
                }
            }
        }
    };
}
together!(A B);
together!(A B C);
together!(A B C D);
together!(A B C D E);
together!(A B C D E F);
together!(A B C D E F G);
together!(A B C D E F G H);
together!(A B C D E F G H I);
together!(A B C D E F G H I J);
together!(A B C D E F G H I J K);

impl<T: Send + 'static> Question<Vec<T>> {
    /// The first row, if there is one.
    pub fn first(self) -> Question<Option<T>> {
        self.map(|rows| rows.into_iter().next())
    }

    /// The one row that is always there.
    pub fn one(self) -> Question<T> {
        self.first()
            .try_map(|row| row.ok_or(StoreError::Database(Error::RowNotFound)))
    }
}

/// Asks all arms in one message: the rows of each.
async fn answered(conn: &mut Conn, arms: Vec<Arm>) -> Stored<VecDeque<Vec<SqliteRow>>> {
    let mut rows: VecDeque<Vec<SqliteRow>> = arms.iter().map(|_| Vec::new()).collect();
    let of_no_question = || StoreError::Unfit("a row of no question came".to_owned());
    let keep = |arm: usize, row| {
        let of_arm = rows.get_mut(arm).ok_or_else(of_no_question)?;
        of_arm.push(row);
        Ok(())
    };
    each_row(conn, arms, keep).await?;
    Ok(rows)
}

/// Asks all arms in one message, and hands on each row as it comes, with the place of its arm: no row is kept here, however
/// many there are.
pub(super) async fn each_row(
    conn: &mut Conn,
    arms: Vec<Arm>,
    mut take: impl FnMut(usize, SqliteRow) -> Stored<()> + Send,
) -> Stored<()> {
    let (sql, bound) = message(arms)?;
    let mut told = conn.fetch_many(sqlx::query_with(sql, bound));
    let mut arm = 0;
    while let Some(next) = poll_fn(|context| told.as_mut().poll_next(context)).await {
        match next? {
            // One statement has given all its rows; those of the next follow.
            Either::Left(_) => arm += 1,
            Either::Right(row) => take(arm, row)?,
        }
    }
    Ok(())
}

/// All arms as one text, with the values that it takes in turn.
fn message(mut arms: Vec<Arm>) -> Stored<(SqlStr, SqliteArguments)> {
    let mut bound = SqliteArguments::default();
    let sql = if arms.len() == 1
        && let Some(one) = arms.pop()
    {
        for bind in &one.values {
            bind(&mut bound).map_err(Error::Encode)?;
        }
        match one.sql {
            Cow::Borrowed(sql) => sql.into_sql_str(),
            Cow::Owned(sql) => AssertSqlSafe(sql).into_sql_str(),
        }
    } else {
        let mut all = String::new();
        for arm in &arms {
            for place in in_turn(&mut all, &arm.sql) {
                let missing =
                    || StoreError::Unfit(format!("a query asks for a value {place} it has not"));
                let bind = arm.values.get(place).ok_or_else(missing)?;
                bind(&mut bound).map_err(Error::Encode)?;
            }
            all.push_str(";\n");
        }
        AssertSqlSafe(all).into_sql_str()
    };
    Ok((sql, bound))
}

/// Writes a query that takes its values in turn where it named them by number, and gives the places of those values in turn,
/// from 0 on: a number counts through the whole message.
fn in_turn(out: &mut String, sql: &str) -> Vec<usize> {
    let mut places = Vec::new();
    let mut parts = sql.split('?');
    out.push_str(parts.next().unwrap_or_default());
    for part in parts {
        let rest = part.trim_start_matches(|c: char| c.is_ascii_digit());
        let number = &part[..part.len() - rest.len()];
        places.extend(number.parse::<usize>().ok().and_then(|n| n.checked_sub(1)));
        out.push('?');
        out.push_str(rest);
    }
    places
}

/// Rows that were read already, in the place of a connection.
#[derive(Debug)]
struct Given(Vec<SqliteRow>);

struct OneByOne(std::vec::IntoIter<SqliteRow>);

impl Stream for OneByOne {
    type Item = Result<Either<SqliteQueryResult, SqliteRow>, Error>;

    fn poll_next(mut self: Pin<&mut Self>, _: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        Poll::Ready(self.0.next().map(|row| Ok(Either::Right(row))))
    }
}

impl<'c> Executor<'c> for Given {
    type Database = Sqlite;

    fn fetch_many<'e, 'q: 'e, E>(
        self,
        _: E,
    ) -> BoxStream<'e, Result<Either<SqliteQueryResult, SqliteRow>, Error>>
    where
        'c: 'e,
        E: 'q + Execute<'q, Sqlite>,
    {
        Box::pin(OneByOne(self.0.into_iter()))
    }

    fn fetch_optional<'e, 'q: 'e, E>(self, _: E) -> BoxFuture<'e, Result<Option<SqliteRow>, Error>>
    where
        'c: 'e,
        E: 'q + Execute<'q, Sqlite>,
    {
        Box::pin(async move { Ok(self.0.into_iter().next()) })
    }

    fn prepare_with<'e>(
        self,
        _: SqlStr,
        _: &'e [SqliteTypeInfo],
    ) -> BoxFuture<'e, Result<SqliteStatement, Error>>
    where
        'c: 'e,
    {
        Box::pin(async { Err(Error::RowNotFound) })
    }

    fn describe<'e>(self, _: SqlStr) -> BoxFuture<'e, Result<Describe<Sqlite>, Error>>
    where
        'c: 'e,
    {
        Box::pin(async { Err(Error::RowNotFound) })
    }
}

#[cfg(test)]
mod tests {
    use super::in_turn;

    #[test]
    fn values_that_were_named_by_number_are_taken_in_turn() {
        let mut out = "select 1;".to_owned();
        let sql = "select ?1, (select ?10) from t where a = ?2 and b is ?1";
        assert_eq!(in_turn(&mut out, sql), [0, 9, 1, 0]);
        assert_eq!(
            out,
            "select 1;select ?, (select ?) from t where a = ? and b is ?"
        );
        assert_eq!(in_turn(&mut out, "select 2"), [0_usize; 0]);
    }
}
