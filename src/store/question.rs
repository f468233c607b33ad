//! Questions that are asked together. Each query is a message to the thread of its connection and back, which costs more
//! than most of the queries themselves; so what a page needs of several tables, and what needs nothing of one another, goes
//! there as one query: `select … union all select …`, an arm for each question, as wide as the widest, with the number of
//! the question in the last column. Every arm is checked by `query!` when the program is built, and read by what `query!`
//! made for it, so a question says the same alone and among others.

use super::{Conn, StoreError, Stored};
use futures_core::Stream;
use futures_core::future::BoxFuture;
use futures_core::stream::BoxStream;
use sqlx::error::BoxDynError;
use sqlx::query::Map;
use sqlx::sqlite::{
    SqliteArguments, SqliteQueryResult, SqliteRow, SqliteStatement, SqliteTypeInfo,
};
use sqlx::{
    AssertSqlSafe, Describe, Either, Error, Execute, Executor, Row, SqlSafeStr, SqlStr, Sqlite,
    Statement,
};
use std::collections::{BTreeMap, VecDeque};
use std::fmt::Write as _;
use std::pin::{Pin, pin};
use std::sync::{Mutex, PoisonError};
use std::task::{Context, Poll, Waker};

/// Binds what a query asks for, after what was bound before it.
pub(super) type Bind = Box<dyn FnOnce(&mut SqliteArguments) -> Result<(), BoxDynError> + Send>;

/// Most arms of one query; SQLite takes 500: <https://www.sqlite.org/limits.html>.
const ARMS_MOST: usize = 400;

/// One query of a question.
struct Arm {
    sql: &'static str,
    /// How many values it asks for: `?1` to this.
    values: usize,
    bind: Bind,
}

/// What the arms of a question answered, in their order.
struct Answers(VecDeque<Vec<SqliteRow>>);

/// Reads what a question's arms answered.
type Read<T> = Box<dyn FnOnce(&mut Answers) -> Stored<T> + Send>;

/// Something to ask the store, by itself or together with others.
pub struct Question<T> {
    arms: Vec<Arm>,
    read: Read<T>,
}

impl<T> std::fmt::Debug for Question<T> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_list()
            .entries(self.arms.iter().map(|arm| arm.sql))
            .finish()
    }
}

/// A question of one query that `query!` checked. The macro of the same name writes it.
pub(super) fn rows<T, F>(
    query: Map<'static, Sqlite, F, SqliteArguments>,
    (sql, values, bind): (&'static str, usize, Bind),
) -> Question<Vec<T>>
where
    T: Send + Unpin + 'static,
    F: FnMut(SqliteRow) -> Result<T, Error> + Send + 'static,
{
    Question {
        arms: vec![Arm { sql, values, bind }],
        read: Box::new(move |answers| {
            let rows = answers.0.pop_front().unwrap_or_default();
            let read = pin!(query.fetch_all(Given(rows)));
            match read.poll(&mut Context::from_waker(Waker::noop())) {
                Poll::Ready(rows) => Ok(rows?),
                // Rows that are there already keep nobody waiting.
                Poll::Pending => Err(StoreError::Unfit("rows were not read".to_owned())),
            }
        }),
    }
}

/// A question of one query: the struct of its rows (or none, as with `query!`), the query, what it asks for.
macro_rules! question {
    (@ $query:expr, ($sql:expr) $(, $value:expr)*) => {{
        let bind: $crate::store::question::Bind = {
            $crate::store::question::binds!($($value),*)
        };
        let values: usize = 0 $(+ { let _ = &$value; 1 })*;
        $crate::store::question::rows($query, ($sql, values, bind))
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

/// What binds some values, kept until the question is asked.
macro_rules! binds {
    () => { Box::new(|_: &mut sqlx::sqlite::SqliteArguments| Ok(())) };
    ($($value:expr),+) => {{
        let kept = ($($value.to_owned(),)+);
        Box::new(move |all: &mut sqlx::sqlite::SqliteArguments| {
            $crate::store::question::Values::bind(kept, all)
        })
    }};
}
pub(super) use binds;

/// Values that can be bound one after the other.
pub(super) trait Values {
    fn bind(self, all: &mut SqliteArguments) -> Result<(), BoxDynError>;
}

macro_rules! values {
    ($($name:ident)+) => {
        impl<$($name),+> Values for ($($name,)+)
        where $($name: sqlx::Encode<'static, Sqlite> + sqlx::Type<Sqlite> + Send),+
        {
            #[expect(non_snake_case, reason = "each value is called like its type")]
            fn bind(self, all: &mut SqliteArguments) -> Result<(), BoxDynError> {
                use sqlx::Arguments as _;
                let ($($name,)+) = self;
                $(all.add($name)?;)+
                Ok(())
            }
        }
    };
}
values!(A);
values!(A B);
values!(A B C);
values!(A B C D);
values!(A B C D E);

impl<T: Send + 'static> Question<T> {
    /// Asks nothing: the answer is known.
    pub fn known(answer: T) -> Self {
        Self {
            arms: Vec::new(),
            read: Box::new(move |_| Ok(answer)),
        }
    }

    /// The same question with its answer made into another.
    pub fn map<U>(self, f: impl FnOnce(T) -> U + Send + 'static) -> Question<U> {
        self.try_map(|answer| Ok(f(answer)))
    }

    /// The same, where what is stored may not read back.
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

    /// The question, if there is one.
    pub fn when(question: Option<Self>) -> Question<Option<T>> {
        question.map_or_else(|| Question::known(None), |question| question.map(Some))
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

/// Questions that are asked in one query.
pub trait Together {
    /// Their answers.
    type Answer;

    /// All of them as one.
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

/// Asks all arms in one query: the rows of each.
async fn answered(conn: &mut Conn, arms: Vec<Arm>) -> Stored<VecDeque<Vec<SqliteRow>>> {
    let mut rows: VecDeque<Vec<SqliteRow>> = arms.iter().map(|_| Vec::new()).collect();
    let alone = arms.len() == 1;
    let mut bound = SqliteArguments::default();
    let mut queries = Vec::with_capacity(arms.len());
    for arm in arms {
        queries.push((arm.sql, arm.values));
        (arm.bind)(&mut bound).map_err(Error::Encode)?;
    }
    let sql = match queries.as_slice() {
        [] => return Ok(rows),
        [(one, _)] => one.into_sql_str(),
        all => AssertSqlSafe(together(conn, all).await?).into_sql_str(),
    };
    for row in conn.fetch_all(sqlx::query_with(sql, bound)).await? {
        let arm = if alone {
            0
        } else {
            row.try_get_unchecked::<i64, _>(row.len() - 1)?
        };
        let arm = usize::try_from(arm).ok();
        if let Some(rows) = arm.and_then(|arm| rows.get_mut(arm)) {
            rows.push(row);
        }
    }
    Ok(rows)
}

/// One query of several: their rows one after the other, each row with the number of its query at its end. A query in
/// `from` keeps its own order, since nothing outside it asks for another.
async fn together(conn: &mut Conn, queries: &[(&'static str, usize)]) -> Stored<String> {
    let mut widths = Vec::with_capacity(queries.len());
    for (query, _) in queries {
        widths.push(width(conn, query).await?);
    }
    let widest = widths.iter().copied().max().unwrap_or(0);
    let (mut sql, mut before) = (String::new(), 0);
    for (number, ((query, values), width)) in queries.iter().zip(widths).enumerate() {
        if number > 0 {
            sql.push_str("\nunion all ");
        }
        sql.push_str("select *");
        sql.push_str(&", null".repeat(widest - width));
        // Writing into a string does not fail.
        let _ = write!(sql, ", {number} from (");
        after(&mut sql, query, before);
        sql.push(')');
        before += values;
    }
    Ok(sql)
}

/// Writes a query whose values come after others.
fn after(out: &mut String, sql: &str, before: usize) {
    let mut parts = sql.split('?');
    out.push_str(parts.next().unwrap_or_default());
    for part in parts {
        let digits = part.len() - part.trim_start_matches(|c: char| c.is_ascii_digit()).len();
        let (number, rest) = part.split_at(digits);
        out.push('?');
        match number.parse::<usize>() {
            // Writing into a string does not fail.
            Ok(number) => {
                let _ = write!(out, "{}", number + before);
            }
            Err(_) => out.push_str(number),
        }
        out.push_str(rest);
    }
}

/// How many columns each query has that was asked together with others.
static WIDTHS: Mutex<BTreeMap<&'static str, usize>> = Mutex::new(BTreeMap::new());

/// How many columns a query has: the database is asked once for each.
async fn width(conn: &mut Conn, sql: &'static str) -> Stored<usize> {
    let known = || WIDTHS.lock().unwrap_or_else(PoisonError::into_inner);
    let found = known().get(sql).copied();
    if let Some(width) = found {
        return Ok(width);
    }
    let width = conn.prepare(sql.into_sql_str()).await?.columns().len();
    known().insert(sql, width);
    Ok(width)
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
    use super::after;

    #[test]
    fn the_values_of_a_query_come_after_those_of_the_queries_before_it() {
        let moved = |sql: &str, before| {
            let mut out = String::new();
            after(&mut out, sql, before);
            out
        };
        let sql = "select ?1, (select ?10) from t where a = ?2 and b is ?1";
        assert_eq!(moved(sql, 0), sql);
        assert_eq!(
            moved(sql, 12),
            "select ?13, (select ?22) from t where a = ?14 and b is ?13"
        );
        assert_eq!(moved("select 1", 3), "select 1");
    }
}
