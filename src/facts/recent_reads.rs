//! What a whole season comes to, kept while nothing that records cover changes: a page need not read the season anew that the page
//! before it has read. Only what comes from covered tables alone may be kept (`store::covered`: none that is quiet, no column that passes); the mark under which it
//! is kept differs from that of any other content and of any other file, so that nothing said depends on who looked before.

use crate::store::Question;
use crate::store::records::Mark;
use std::sync::{Arc, Mutex, PoisonError};

/// Answers by what was asked and by the mark under which it was read.
type Shelf<K, V> = Mutex<Vec<(K, Mark, Arc<V>)>>;

/// Answers of one kind that were read last, the latest at the end.
#[derive(Debug)]
pub(crate) struct RecentReads<K, V> {
    shelf: Shelf<K, V>,
    most: usize,
}

impl<K: PartialEq, V> RecentReads<K, V> {
    /// An empty shelf that holds at most this many.
    pub(crate) const fn new(most: usize) -> Self {
        Self {
            shelf: Mutex::new(Vec::new()),
            most,
        }
    }

    /// What is kept for `key` at a moment with that mark, else what `question` answers: it is asked only then.
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

    /// Keeps what was read, if there is a mark to keep it under.
    fn put(&self, key: K, mark: Option<Mark>, fresh: V) -> Arc<V> {
        let fresh = Arc::new(fresh);
        let Some(mark) = mark else {
            return fresh;
        };
        let mut all = self.shelf.lock().unwrap_or_else(PoisonError::into_inner);
        all.retain(|(of, ..)| *of != key);
        if all.len() >= self.most {
            all.remove(0);
        }
        all.push((key, mark, Arc::clone(&fresh)));
        fresh
    }

    fn find(&self, key: &K, mark: &Mark) -> Option<Arc<V>> {
        let all = self.shelf.lock().unwrap_or_else(PoisonError::into_inner);
        let found = all.iter().find(|(of, at, _)| of == key && at == mark);
        found.map(|(.., kept)| Arc::clone(kept))
    }
}
