-- Syrup that was owed, settled in jars of the mill's own: which receipt they went out on, whose balance they settled, and the line of
-- the ledger.
create table settled_jars (
  receipt integer primary key references hand_overs (number),
  member_id text not null references members (id),
  season_id text not null references seasons (id),
  line integer not null references ledger (number) -- the member's; the mill's is the next
) strict;
create index settled_jars_of_member on settled_jars (member_id);
create trigger settled_jars_stand before update on settled_jars begin select raise(abort, 'a settlement stands'); end;
create trigger settled_jars_stay before delete on settled_jars begin select raise(abort, 'a settlement stands'); end;
