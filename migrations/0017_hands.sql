-- The yard by hand: what is put right while the cane and the juice are still there. A vessel may be used again by
-- the same ticket after a slip; the time of pressing is corrected like the rest; part of a juice may be lost; a
-- ticket may go home unpressed or belong to somebody else; what nobody looked at is not said.

-- A ticket may have two juices in one vessel, one of them crossed out. The constraint is taken off by making
-- the table anew under its name, so that what refers to it goes on referring.
pragma defer_foreign_keys = on;
create table juices_before as select * from juices;
drop table juices;
create table juices (
  id text primary key,
  ticket_id text not null references tickets (id),
  vessel_id text not null references vessels (id),
  pressed_at integer not null, -- as first written down; a later one stands with the measuring
  made_by text not null references members (id),
  made_at integer not null
) strict;
insert into juices select id, ticket_id, vessel_id, pressed_at, made_by, made_at from juices_before;
drop table juices_before;
create index juices_by_ticket on juices (ticket_id, vessel_id);

alter table juice_measures add column pressed_at integer; -- the juice's clock starts here; null: as first written down

-- Part of a juice that is gone and went into no boil.
create table juice_losses (
  juice_id text not null references juices (id),
  number integer not null constraint juice_loss_number check (number >= 1),
  version integer not null constraint juice_loss_version check (version >= 1),
  amount_g integer not null constraint juice_loss_amount check (amount_g >= 0), -- 0: taken back
  what text not null constraint juice_loss_what check (what in ('spilt', 'spoilt', 'twice')), -- twice: measured twice
  note text not null default '',
  lost_at integer not null,
  by_id text not null references members (id),
  at integer not null,
  primary key (juice_id, number, version)
) strict, without rowid;
create trigger juice_losses_stand before update on juice_losses
begin select raise(abort, 'a loss is never changed: correct it with a new version'); end;
create trigger juice_losses_stay before delete on juice_losses
begin select raise(abort, 'a loss is never deleted'); end;

alter table loads add column trailer text not null default ''
  constraint load_trailer check (length(trailer) <= 40); -- its name, if it has one

-- 0: nobody said; what was not ticked before this version was never asked.
alter table tickets add column stripped_said integer not null default 1 constraint ticket_stripped_said check (stripped_said in (0, 1));
alter table tickets add column headed_said integer not null default 1 constraint ticket_headed_said check (headed_said in (0, 1));
alter table tickets add column clean_said integer not null default 1 constraint ticket_clean_said check (clean_said in (0, 1));
alter table tickets add column frosted_said integer not null default 1 constraint ticket_frosted_said check (frosted_said in (0, 1));
update tickets set stripped_said = stripped, headed_said = headed, clean_said = clean, frosted_said = frosted;

-- A ticket that ends without juice; the highest version counts.
create table ticket_ends (
  ticket_id text not null references tickets (id),
  version integer not null constraint ticket_end_version check (version >= 1),
  unpressed integer not null constraint ticket_end_unpressed check (unpressed in (0, 1)), -- 0: taken back
  went text not null constraint ticket_end_went check (length(went) <= 200), -- where the cane went
  by_id text not null references members (id),
  at integer not null,
  primary key (ticket_id, version)
) strict, without rowid;
create trigger ticket_ends_stand before update on ticket_ends
begin select raise(abort, 'what became of a ticket is never changed: write a new version'); end;
create trigger ticket_ends_stay before delete on ticket_ends
begin select raise(abort, 'what became of a ticket is never deleted'); end;

-- A ticket that was written for the wrong member, or the wrong turn.
create table ticket_moves (
  ticket_id text not null references tickets (id),
  number integer not null constraint ticket_move_number check (number >= 1),
  from_member text not null references members (id),
  from_turn text references turns (id),
  to_member text not null references members (id),
  to_turn text references turns (id),
  by_id text not null references members (id),
  at integer not null,
  primary key (ticket_id, number)
) strict, without rowid;
create trigger ticket_moves_stand before update on ticket_moves
begin select raise(abort, 'a move of a ticket is never changed: move it again'); end;
create trigger ticket_moves_stay before delete on ticket_moves
begin select raise(abort, 'a move of a ticket is never deleted'); end;

-- What is lost of each juice, by the latest versions.
create view lost_juice as select l.juice_id, l.number, l.amount_g, l.what, l.lost_at from juice_losses l
where l.amount_g > 0 and l.version =
  (select max(v.version) from juice_losses v where v.juice_id = l.juice_id and v.number = l.number);

-- A line for each juice that counts.
create view pressed_tickets as select j.ticket_id, j.id as juice_id from juices j
join juice_measures x on x.juice_id = j.id
where x.void = 0 and x.version = (select max(v.version) from juice_measures v where v.juice_id = j.id);

-- Tickets that wait for nothing: every load crossed out, or gone home unpressed.
create view dropped_tickets as
select e.ticket_id from ticket_ends e
where e.unpressed = 1 and e.version = (select max(v.version) from ticket_ends v where v.ticket_id = e.ticket_id)
union
select l.ticket_id from loads l group by l.ticket_id
having not exists (select 1 from loads c where c.ticket_id = l.ticket_id and c.void = 0
  and c.version = (select max(v.version) from loads v where v.ticket_id = c.ticket_id and v.number = c.number));
