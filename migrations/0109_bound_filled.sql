-- What a lot may repay is used as far as whole jars fit under the bound, so there is a third way of dividing. Divisions of before keep
-- the number of theirs.
drop trigger if exists record_divisions_made;
drop trigger if exists record_divisions_changed;
drop trigger if exists record_divisions_removed;
drop trigger divisions_stand;

alter table divisions add column made_way integer not null default 1 constraint division_made_way check (made_way in (1, 2, 3));
update divisions set made_way = way;
alter table divisions drop column way;
alter table divisions rename column made_way to way;

create trigger divisions_stand before update on divisions
when not exists (select 1 from forgetting)
  or (new.id, new.boil_id, new.version, new.basis, new.toll_bp, new.jarred_g, new.syrup_g, new.brix_20c, new.after_line,
    new.by_id, new.at, new.signed_by_id, new.way)
  is not (old.id, old.boil_id, old.version, old.basis, old.toll_bp, old.jarred_g, old.syrup_g, old.brix_20c, old.after_line,
    old.by_id, old.at, old.signed_by_id, old.way)
begin select raise(abort, 'a division stands'); end;
