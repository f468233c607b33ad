-- Lots held back, complaints about them, and recalls, drills or real ones: which jars, who was called, what came back. All of it is
-- kept, whoever leaves: records of food are asked for two years afterwards.

-- A lot is held from one line until the next that releases it.
create table lot_holds (
  boil_id text not null references boils (id),
  number integer not null constraint lot_hold_number check (number >= 1), -- runs on for each lot
  held integer not null constraint lot_hold_held check (held in (0, 1)), -- 1: held from here; 0: released
  why text not null constraint lot_hold_why check (length(why) between 1 and 300),
  by_id text not null references members (id),
  at integer not null,
  primary key (boil_id, number)
) strict, without rowid;

create table lot_complaints (
  boil_id text not null references boils (id),
  number integer not null constraint lot_complaint_number check (number >= 1), -- runs on for each lot
  says text not null constraint lot_complaint_says check (length(says) between 1 and 1000),
  from_whom text not null constraint lot_complaint_from check (length(from_whom) between 1 and 200), -- name and how to reach them
  by_id text not null references members (id),
  at integer not null,
  primary key (boil_id, number)
) strict, without rowid;

create table recalls (
  id text primary key,
  number integer not null unique, -- runs on
  drill integer not null constraint recall_drill check (drill in (0, 1)), -- 1: to practise; no lot is held for it
  start text not null constraint recall_start check (start in ('lot', 'ticket', 'load', 'vessel', 'pack', 'member', 'day')),
  which text not null constraint recall_which check (length(which) between 1 and 120), -- what it started from, in words
  why text not null constraint recall_why check (length(why) between 1 and 300),
  by_id text not null references members (id),
  at integer not null
) strict;

-- The jars touched and where they were when it began: one line for a lot, a kind and a place. Lines of one call are dealt with together.
create table recall_jars (
  recall_id text not null references recalls (id),
  line integer not null constraint recall_line check (line >= 1),
  call integer not null constraint recall_call check (call >= 1),
  boil_id text not null references boils (id),
  size_name text not null,
  net_g integer not null constraint recall_net check (net_g > 0),
  part integer not null constraint recall_part check (part in (0, 1)),
  count integer not null constraint recall_count check (count > 0),
  place text not null constraint recall_place check (place in ('shelf', 'undivided', 'handed', 'sold', 'broken', 'unaccounted')),
  member_id text references members (id), -- whose; null: the mill's, or nobody's yet
  receipt integer references hand_overs (number), -- handed, sold: on that receipt; null: at the mill
  primary key (recall_id, line)
) strict, without rowid;

-- A call made or a shelf looked through; one of the same call again puts the former right.
create table recall_calls (
  recall_id text not null references recalls (id),
  call integer not null,
  number integer not null constraint recall_call_number check (number >= 1), -- the highest counts
  reached integer not null constraint recall_reached check (reached in (0, 1)),
  note text not null constraint recall_call_note check (length(note) <= 300),
  by_id text not null references members (id),
  at integer not null,
  primary key (recall_id, call, number)
) strict, without rowid;

create table recall_found (
  recall_id text not null,
  call integer not null,
  number integer not null,
  line integer not null,
  back integer not null constraint recall_back check (back >= 0), -- jars there, set apart or on their way back
  gone integer not null constraint recall_gone check (gone >= 0), -- jars eaten, given away or broken, as was said
  primary key (recall_id, call, number, line),
  foreign key (recall_id, call, number) references recall_calls (recall_id, call, number),
  foreign key (recall_id, line) references recall_jars (recall_id, line)
) strict, without rowid;

create table recall_ends (
  recall_id text primary key references recalls (id),
  signed_by text not null constraint recall_signed check (length(signed_by) between 1 and 60),
  says text not null constraint recall_says check (length(says) <= 600), -- what was learned
  by_id text not null references members (id),
  at integer not null
) strict;

create trigger recall_calls_closed before insert on recall_calls
when exists (select 1 from recall_ends e where e.recall_id = new.recall_id)
begin select raise(abort, 'this recall is ended'); end;
create trigger lot_holds_in_turn before insert on lot_holds
when new.held = coalesce((select h.held from lot_holds h where h.boil_id = new.boil_id order by h.number desc limit 1), 0)
begin select raise(abort, 'a lot is held, then released'); end;
create trigger hand_over_jars_held before insert on hand_over_jars
when coalesce((select h.held from lot_holds h where h.boil_id = new.boil_id order by h.number desc limit 1), 0) = 1
begin select raise(abort, 'this lot is held'); end;
create trigger lot_holds_stand before update on lot_holds begin select raise(abort, 'a hold stands'); end;
create trigger lot_holds_stay before delete on lot_holds begin select raise(abort, 'a hold stands'); end;
create trigger lot_complaints_stand before update on lot_complaints begin select raise(abort, 'a complaint stands'); end;
create trigger lot_complaints_stay before delete on lot_complaints begin select raise(abort, 'a complaint stands'); end;
create trigger recalls_stand before update on recalls begin select raise(abort, 'a recall stands'); end;
create trigger recalls_stay before delete on recalls begin select raise(abort, 'a recall stands'); end;
create trigger recall_jars_stand before update on recall_jars begin select raise(abort, 'a recall stands'); end;
create trigger recall_jars_stay before delete on recall_jars begin select raise(abort, 'a recall stands'); end;
create trigger recall_calls_stand before update on recall_calls begin select raise(abort, 'a call stands'); end;
create trigger recall_calls_stay before delete on recall_calls begin select raise(abort, 'a call stands'); end;
create trigger recall_found_stand before update on recall_found begin select raise(abort, 'a call stands'); end;
create trigger recall_found_stay before delete on recall_found begin select raise(abort, 'a call stands'); end;
create trigger recall_ends_stand before update on recall_ends begin select raise(abort, 'a recall stands'); end;
create trigger recall_ends_stay before delete on recall_ends begin select raise(abort, 'a recall stands'); end;
