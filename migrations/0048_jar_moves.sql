-- What became of jars after they were divided: brought back, broken, not to be found, found again. Nothing is crossed out: a line
-- stands, another answers it.
create table jar_moves (
  number integer primary key constraint jar_move_number check (number >= 1), -- runs on
  kind text not null constraint jar_move_kind check (kind in ('returned', 'miscounted', 'broken', 'missing', 'found')),
  -- returned, miscounted: from a receipt to the shelf; broken, missing: off the shelf; found: missing before, on the shelf again
  boil_id text not null references boils (id),
  size_name text not null,
  net_g integer not null constraint jar_move_net check (net_g > 0), -- of one jar
  part integer not null constraint jar_move_part check (part in (0, 1)),
  member_id text references members (id), -- whose; null: the mill's
  receipt integer references hand_overs (number), -- returned, miscounted: which; else null
  count integer not null constraint jar_move_count check (count > 0),
  why text not null constraint jar_move_why check (length(why) between 1 and 300),
  by_id text not null references members (id),
  at integer not null,
  constraint jar_move_receipt check ((receipt is not null) = (kind in ('returned', 'miscounted')))
) strict;
create index jar_moves_of_lot on jar_moves (boil_id);
create index jar_moves_of_receipt on jar_moves (receipt);
create trigger jar_moves_stand before update on jar_moves begin select raise(abort, 'what became of a jar stands'); end;
create trigger jar_moves_stay before delete on jar_moves begin select raise(abort, 'what became of a jar stands'); end;

-- Jars that are no longer on the shelf of whose they are, line by line: handed over, broken or missing; less those that came back.
create view jars_gone as
select o.member_id, h.boil_id, h.size_name, h.net_g, h.part, h.count
from hand_over_jars h join hand_overs o on o.id = h.hand_over_id
union all
select m.member_id, m.boil_id, m.size_name, m.net_g, m.part,
  case when m.kind in ('broken', 'missing') then m.count else -m.count end
from jar_moves m;

-- Empty jars, counted on the shelf or bought, per kind. What was filled since then was used.
create table empty_jars (
  number integer primary key constraint empty_jar_number check (number >= 1), -- runs on
  size_name text not null constraint empty_jar_size check (length(size_name) between 1 and 60),
  counted integer not null constraint empty_jar_counted check (counted in (0, 1)), -- 1: so many stood there; 0: so many came in
  count integer not null constraint empty_jar_count check (count between 0 and 100000),
  note text not null constraint empty_jar_note check (length(note) <= 200),
  by_id text not null references members (id),
  at integer not null
) strict;
create trigger empty_jars_stand before update on empty_jars begin select raise(abort, 'what was counted stands'); end;
create trigger empty_jars_stay before delete on empty_jars begin select raise(abort, 'what was counted stands'); end;

alter table season_rules add column mill_mends integer not null default 1
  constraint rules_mill_mends check (mill_mends in (0, 1)); -- 1: the mill makes good what breaks or is lost on its shelf; 0: whose it is bears it

