-- A name as it was: divisions, tickets and statements keep the one of their day. A member's postal address, and the clock that a
-- member reads times on.

create table member_names (
  member_id text not null references members (id),
  version integer not null constraint member_name_version check (version >= 1),
  name text not null constraint member_name_text check (length(name) between 1 and 60),
  by_id text references members (id), -- the steward who changed it; null: as the card was made
  at integer not null,
  primary key (member_id, version)
) strict, without rowid;
create trigger member_names_stand before update on member_names
begin select raise(abort, 'a name that was borne stands'); end;
create trigger member_names_stay before delete on member_names
begin select raise(abort, 'a name that was borne stands'); end;

insert into member_names (member_id, version, name, by_id, at) select id, 1, name, null, made_at from members;
create trigger members_named after insert on members
begin insert into member_names (member_id, version, name, by_id, at) values (new.id, 1, new.name, null, new.made_at); end;

alter table members add column address text not null default ''
  constraint member_address check (length(address) <= 200); -- for the post
alter table members add column clock integer not null default 24
  constraint member_clock check (clock in (12, 24)); -- hours of the clock that this person reads times on
