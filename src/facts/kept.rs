//! What a whole season comes to, kept while nothing that records cover changes: a page need not read the season anew that the page
//! before it has read. Only what comes from covered tables alone may be kept (`store::records::COVERED`); the mark under which it
//! is kept differs from that of any other content and of any other file, so that nothing said depends on who looked before.

use crate::store::records::{self, Mark};
use crate::store::{Conn, Stored};
use std::sync::{Arc, Mutex, PoisonError};

/// Answers by what was asked and by the mark under which it was read.
type Shelf<K, V> = Mutex<Vec<(K, Mark, Arc<V>)>>;

/// What was read last of some kind, the latest at the end.
#[derive(Debug)]
pub(crate) struct Kept<K, V> {
    shelf: Shelf<K, V>,
    most: usize,
}

impl<K: PartialEq, V> Kept<K, V> {
    /// An empty shelf that holds so many.
    pub(crate) const fn new(most: usize) -> Self {
        Self {
            shelf: Mutex::new(Vec::new()),
            most,
        }
    }

    /// What is kept for `key` at this moment, else what `read` reads.
    ///
    /// # Errors
    /// The store failed.
    pub(crate) async fn of(
        &self,
        conn: &mut Conn,
        key: K,
        read: impl AsyncFnOnce(&mut Conn) -> Stored<V>,
    ) -> Stored<Arc<V>> {
        let mark = records::mark(conn).await?;
        self.at(conn, mark.as_ref(), key, read).await
    }

    /// The same where the moment's mark was read before.
    ///
    /// # Errors
    /// The store failed.
    pub(crate) async fn at(
        &self,
        conn: &mut Conn,
        mark: Option<&Mark>,
        key: K,
        read: impl AsyncFnOnce(&mut Conn) -> Stored<V>,
    ) -> Stored<Arc<V>> {
        let Some(mark) = mark else {
            return Ok(Arc::new(read(conn).await?));
        };
        if let Some(found) = self.find(&key, mark) {
            return Ok(found);
        }
        let fresh = Arc::new(read(conn).await?);
        let mut all = self.shelf.lock().unwrap_or_else(PoisonError::into_inner);
        all.retain(|(of, ..)| *of != key);
        if all.len() >= self.most {
            all.remove(0);
        }
        all.push((key, mark.clone(), Arc::clone(&fresh)));
        Ok(fresh)
    }

    fn find(&self, key: &K, mark: &Mark) -> Option<Arc<V>> {
        let all = self.shelf.lock().unwrap_or_else(PoisonError::into_inner);
        let found = all.iter().find(|(of, at, _)| of == key && at == mark);
        found.map(|(.., kept)| Arc::clone(kept))
    }
}
