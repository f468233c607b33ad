-- A backup that was put in the place of the database: when, which one, and what the file that was set aside held and the backup does
-- not. It stands here for good, so that nobody takes the book for whole; and numbers that the other file gave are not given again,
-- since people hold receipts and tickets that bear them.
create table restores (
  number integer primary key constraint restore_number check (number >= 1), -- runs on
  at integer not null, -- when it was put in place
  backup text not null constraint restore_backup check (length(backup) between 1 and 300), -- name of the backup's file
  written_until integer, -- the last time at which somebody wrote into the backup; null: nobody did
  lost_until integer, -- the same of the file that was set aside; null: nobody did, or it was not read
  unread text not null constraint restore_unread check (length(unread) <= 400) -- why the file set aside was not compared; empty: it was
) strict;
create trigger restores_stand before update on restores begin select raise(abort, 'that a backup was put in place stands'); end;
create trigger restores_stay before delete on restores begin select raise(abort, 'that a backup was put in place stands'); end;

-- What was missing then, and above which number it goes on.
create table restore_gaps (
  what text not null, -- the table
  year integer not null, -- the season whose numbers they are; 0: they run on through all seasons
  restore integer not null references restores (number),
  missing integer not null constraint restore_missing check (missing >= 0), -- rows that the backup does not hold
  first integer, -- the lowest number of those; null: none is known. Of boils: the place of their lot code in its year
  last integer, -- the highest
  given integer, -- the highest number that had been given: the next is above it; null: such rows bear no number
  primary key (what, year, restore)
) strict, without rowid;
create trigger restore_gaps_stand before update on restore_gaps begin select raise(abort, 'what was missing stands'); end;
create trigger restore_gaps_stay before delete on restore_gaps begin select raise(abort, 'what was missing stands'); end;

-- Members who had been forgotten and came back by name with the backup.
create table restore_forgotten (
  restore integer not null references restores (number),
  member_id text not null references members (id),
  at integer not null, -- when the member had been forgotten
  primary key (restore, member_id)
) strict, without rowid;
create trigger restore_forgotten_stand before update on restore_forgotten begin select raise(abort, 'who was forgotten stands'); end;
create trigger restore_forgotten_stay before delete on restore_forgotten begin select raise(abort, 'who was forgotten stands'); end;

-- A steward has seen to it: it does not stand on home any more.
create table restores_read (
  restore integer primary key references restores (number),
  by_id text not null references members (id),
  at integer not null
) strict;
create trigger restores_read_stand before update on restores_read begin select raise(abort, 'that it was seen to stands'); end;
create trigger restores_read_stay before delete on restores_read begin select raise(abort, 'that it was seen to stands'); end;
