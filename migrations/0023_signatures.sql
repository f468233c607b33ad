-- The second signature is a second person's, made with that person's own passphrase or PIN; or there is none, where the members
-- voted to do without.
drop trigger if exists record_divisions_made;
drop trigger if exists record_divisions_changed;
drop trigger if exists record_divisions_removed;
drop trigger divisions_stand;

alter table divisions add column signed_name text not null default '' constraint division_signed check (length(signed_name) <= 60); -- the second person's name then; '': nobody signed
update divisions set signed_name = signed_by;
alter table divisions drop column signed_by;
alter table divisions rename column signed_name to signed_by;
alter table divisions add column signed_by_id text references members (id); -- who signed with a passphrase or PIN; null: nobody, or before that was asked

create trigger divisions_stand before update on divisions begin select raise(abort, 'a division stands'); end;
create trigger divisions_two_people before insert on divisions when new.signed_by_id = new.by_id
begin select raise(abort, 'who divides does not sign as the second person'); end;

alter table season_rules add column second_signature integer not null default 1
  constraint rules_second_signature check (second_signature in (0, 1)); -- 0: the members voted to do without
