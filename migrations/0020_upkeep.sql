-- What the program does for the safety of the books by itself, and how it went: backups, trials of restoring
-- one, looks through the whole file, tasks that had to be started again, and the pulse, a small write that shows
-- that the disk takes something. Of each kind only the last that went well and the last that did not, so that
-- nothing grows.
create table upkeep (
  kind text not null constraint upkeep_kind check (kind in ('backup', 'trial', 'look', 'task', 'pulse')),
  good integer not null constraint upkeep_good check (good in (0, 1)),
  at integer not null constraint upkeep_at check (at >= 0),
  words text not null constraint upkeep_words check (length(words) <= 500),
  primary key (kind, good)
) strict, without rowid;
