-- What a file that was set aside had written after the last record that the backup knows as well, by table and by what became of the
-- rows: the numbers that people know are in `restore_gaps`, all else is here, so that nobody takes a book for whole that is not.
create table restore_lost (
  restore integer not null references restores (number),
  what text not null, -- the table
  op text not null constraint restore_lost_op check (op in ('made', 'changed', 'removed', 'undone')), -- undone: made, and removed again
  about text not null constraint restore_lost_about check (length(about) <= 1000), -- whose or what: lot codes, members' numbers, dates
  many integer not null constraint restore_lost_many check (many >= 1), -- rows
  primary key (restore, what, op)
) strict, without rowid;
create trigger restore_lost_stand before update on restore_lost begin select raise(abort, 'what was missing stands'); end;
create trigger restore_lost_stay before delete on restore_lost begin select raise(abort, 'what was missing stands'); end;

-- Further words are taken out for a member who was forgotten before: the row is written once more as it stands, which is noted and
-- lets words change in that transaction as the first time (the view `forgetting`).
drop trigger forgotten_stand;
create trigger forgotten_stand before update on forgotten
when (new.member_id, new.by_id, new.at) is not (old.member_id, old.by_id, old.at)
begin select raise(abort, 'a member who was forgotten stays so'); end;
