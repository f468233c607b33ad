-- A household: several people act for one member's card, each signed in as oneself, so that every record names who did it.
create table household (
  member_id text not null references members (id), -- whose card
  person_id text not null references members (id), -- who acts for it
  version integer not null constraint household_version check (version >= 1), -- the highest counts
  acts integer not null constraint household_acts check (acts in (0, 1)), -- 0: not any more
  by_id text not null references members (id), -- the steward who said so
  at integer not null,
  primary key (member_id, person_id, version),
  constraint household_others check (member_id <> person_id)
) strict, without rowid;
create index household_by_person on household (person_id);
-- Who confirmed a turn: its member, somebody of the household, or crew; null: not confirmed, or before this was noted.
alter table turns add column confirmed_by text references members (id);
create trigger household_stands before update on household begin select raise(abort, 'who acted for a card stands: write the next version'); end;
create trigger household_stays before delete on household begin select raise(abort, 'who acted for a card stands'); end;
