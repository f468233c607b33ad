//! What a whole season comes to, kept while nothing that it is reckoned from changes: a page need not read the season anew that
//! the page before it has read. Only what comes from covered tables alone may be kept (`store::covered`: none that is quiet, no
//! column that passes), and the tables are named beside what is kept; the records tell whether one of them was written to since
//! (`store::marks`), so that nothing said depends on who looked before.

use crate::store::Question;
use crate::store::marks::Mark;
use std::sync::{Arc, Mutex, PoisonError};

/// Answers of one kind that were read last, the latest at the end.
#[derive(Debug)]
pub(crate) struct RecentReads<K, V> {
    shelf: Mutex<Vec<Kept<K, V>>>,
    most: usize,
    tables: &'static [&'static str],
}

/// What was read, and when.
#[derive(Debug)]
struct Kept<K, V> {
    of: K,
    read: Mark,
    /// The latest moment at which it was found to stand still.
    found: Mark,
    answer: Arc<V>,
}

impl<K: PartialEq, V> RecentReads<K, V> {
    /// An empty shelf that holds at most this many, each read from these tables.
    pub(crate) const fn new(most: usize, tables: &'static [&'static str]) -> Self {
        Self {
            shelf: Mutex::new(Vec::new()),
            most,
            tables,
        }
    }

    /// What is kept for `key` and stands at a moment with that mark, else what `question` answers: it is asked only then.
    pub(crate) fn ask(
        &'static self,
        mark: Option<&Mark>,
        key: K,
        question: impl FnOnce() -> Question<V>,
    ) -> Question<Arc<V>>
    where
        K: Send + 'static,
        V: Send + Sync + 'static,
    {
        if let Some(found) = mark.and_then(|mark| self.find(&key, mark)) {
            return Question::answered(found);
        }
        let mark = mark.cloned();
        question().map(move |fresh| self.put(key, mark, fresh))
    }

    /// Keeps what was read, if the moment is known.
    fn put(&self, key: K, mark: Option<Mark>, fresh: V) -> Arc<V> {
        let answer = Arc::new(fresh);
        let Some(read) = mark else {
            return answer;
        };
        let mut all = self.shelf.lock().unwrap_or_else(PoisonError::into_inner);
        all.retain(|kept| kept.of != key);
        if all.len() >= self.most {
            all.remove(0);
        }
        all.push(Kept {
            of: key,
            found: read.clone(),
            read,
            answer: Arc::clone(&answer),
        });
        answer
    }

    fn find(&self, key: &K, mark: &Mark) -> Option<Arc<V>> {
        let mut all = self.shelf.lock().unwrap_or_else(PoisonError::into_inner);
        let kept = all.iter_mut().find(|kept| kept.of == *key)?;
        if mark.stands_since(&kept.found, self.tables) {
            kept.found = mark.clone();
        } else if !kept.holds(mark, self.tables) {
            return None;
        }
        Some(Arc::clone(&kept.answer))
    }
}

impl<K, V> Kept<K, V> {
    /// Whether a moment lies between the one at which this was read and the latest at which it stood: somebody else's page is
    /// of a later moment, and asked first.
    fn holds(&self, mark: &Mark, tables: &[&str]) -> bool {
        mark.stands_since(&self.read, tables)
            || self.found.stands_since(mark, tables) && mark.is_no_earlier_than(&self.read)
    }
}

#[cfg(test)]
impl<K, V: Send + 'static> RecentReads<K, V> {
    /// The tables that are named, and the statements by which one answer is read.
    fn named(&self, question: &Question<V>) -> (&'static [&'static str], Vec<String>) {
        (self.tables, question.statements())
    }
}

#[cfg(test)]
#[path = "recent_reads_tests.rs"]
mod tests;
