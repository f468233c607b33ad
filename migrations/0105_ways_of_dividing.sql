-- The bound that members vote on what a lot may repay holds for the mill too, from its share of the lot on. Divisions of before gave the
-- mill all that it was owed: what stands is checked by the way of its day, so each division says which way that was (1 before, 2 since).
alter table divisions add column way integer not null default 1 constraint division_way check (way in (1, 2));

drop trigger divisions_stand;
create trigger divisions_stand before update on divisions
when not exists (select 1 from forgetting)
  or (new.id, new.boil_id, new.version, new.basis, new.toll_bp, new.jarred_g, new.syrup_g, new.brix_20c, new.after_line,
    new.by_id, new.at, new.signed_by_id, new.way)
  is not (old.id, old.boil_id, old.version, old.basis, old.toll_bp, old.jarred_g, old.syrup_g, old.brix_20c, old.after_line,
    old.by_id, old.at, old.signed_by_id, old.way)
begin select raise(abort, 'a division stands'); end;
