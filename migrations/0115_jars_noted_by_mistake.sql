-- Where jars of a kind were missing and others broken, one that was found counted against those missing, whichever it was: whoever finds
-- one says which. An entry of before says nothing: it took from the missing first, the rest had not broken.
alter table jar_moves add column by_mistake integer not null default 0
  constraint jar_move_by_mistake check (by_mistake in (0, 1) and (by_mistake = 0 or kind = 'found')); -- 1: noted as broken before, and it had not broken

drop trigger jar_moves_stand;
create trigger jar_moves_stand before update on jar_moves
when not exists (select 1 from forgetting)
  or (new.number, new.kind, new.boil_id, new.size_name, new.net_g, new.part, new.member_id, new.receipt, new.count,
    new.by_id, new.at, new.by_mistake)
  is not (old.number, old.kind, old.boil_id, old.size_name, old.net_g, old.part, old.member_id, old.receipt, old.count,
    old.by_id, old.at, old.by_mistake)
begin select raise(abort, 'what became of a jar stands'); end;
