-- A locked season takes payments alone, and answers to payments: a fee, a credit or a settlement is not taken back under a lock. Until
-- now every answer passed.
drop trigger ledger_locked_insert;
create trigger ledger_locked_insert before insert on ledger
when new.kind <> 'payment'
  and not (new.kind = 'answer' and exists (select 1 from ledger l where l.number = new.answers and l.kind = 'payment'))
  and exists (select 1 from locked_seasons s where s.season_id = new.season_id)
begin select raise(abort, 'this season is locked'); end;
