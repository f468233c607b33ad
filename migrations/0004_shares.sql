-- Who gets what: divided boils, jars handed over, and the ledger. Nothing here is ever changed.

create table divisions (
  id text primary key,
  boil_id text not null unique references boils (id),
  basis text not null, -- copied from the rules that made it
  toll_bp integer not null,
  jarred_g integer not null constraint division_jarred check (jarred_g > 0),
  by_id text not null references members (id),
  at integer not null
) strict;

-- One sharer's part; the mill shares like anybody.
create table shares (
  division_id text not null references divisions (id),
  place integer not null, -- order on the page
  member_id text references members (id), -- null: the mill
  weight integer not null constraint share_weight check (weight >= 0), -- g or mL of the basis brought into the boil
  solids_g integer not null constraint share_solids check (solids_g >= 0),
  carried_g integer not null, -- owed from before; negative: had too much
  entitled_g integer not null constraint share_entitled check (entitled_g >= 0),
  jarred_g integer not null constraint share_jarred check (jarred_g >= 0), -- in jars set aside
  carry_g integer not null, -- owed afterwards
  primary key (division_id, place),
  constraint share_adds_up check (carry_g = carried_g + entitled_g - jarred_g)
) strict, without rowid;
create unique index share_of_member on shares (division_id, coalesce(member_id, 'mill'));
create index shares_by_member on shares (member_id);

create table share_jars (
  division_id text not null,
  place integer not null,
  size_name text not null,
  net_g integer not null constraint share_jar_net check (net_g > 0),
  part integer not null constraint share_jar_part check (part in (0, 1)),
  count integer not null constraint share_jar_count check (count > 0),
  primary key (division_id, place, net_g, size_name, part),
  foreign key (division_id, place) references shares (division_id, place)
) strict, without rowid;

create table hand_overs (
  id text primary key,
  number integer not null unique, -- on the receipt
  member_id text references members (id), -- null: the mill's own jars
  signed_by text not null constraint hand_over_signed check (length(signed_by) between 1 and 60), -- the person at the door
  note text not null default '',
  by_id text not null references members (id),
  at integer not null
) strict;

create table hand_over_jars (
  hand_over_id text not null references hand_overs (id),
  boil_id text not null references boils (id),
  size_name text not null,
  net_g integer not null,
  part integer not null,
  count integer not null constraint hand_over_count check (count > 0),
  primary key (hand_over_id, boil_id, net_g, size_name, part)
) strict, without rowid;

create table ledger (
  number integer primary key, -- runs on, no gaps
  season_id text not null references seasons (id),
  member_id text references members (id), -- null: the mill
  kind text not null constraint ledger_kind check (kind in
    ('entitled', 'jarred', 'cane_fee', 'juice_fee', 'jar_fee', 'jar_price', 'least_fee', 'payment', 'answer')),
  grams integer not null default 0, -- of syrup; plus: owed to the sharer
  cents integer not null default 0, -- plus: owed by the sharer
  boil_id text references boils (id),
  says text not null, -- the line as it is printed
  answers integer references ledger (number), -- the line this one answers; null: none
  by_id text not null references members (id),
  at integer not null
) strict;
create index ledger_by_member on ledger (member_id, season_id);

create trigger divisions_stand before update on divisions begin select raise(abort, 'a division stands'); end;
create trigger divisions_stay before delete on divisions begin select raise(abort, 'a division stands'); end;
create trigger shares_stand before update on shares begin select raise(abort, 'a share stands'); end;
create trigger shares_stay before delete on shares begin select raise(abort, 'a share stands'); end;
create trigger share_jars_stand before update on share_jars begin select raise(abort, 'a share stands'); end;
create trigger share_jars_stay before delete on share_jars begin select raise(abort, 'a share stands'); end;
create trigger hand_overs_stand before update on hand_overs begin select raise(abort, 'a hand-over stands'); end;
create trigger hand_overs_stay before delete on hand_overs begin select raise(abort, 'a hand-over stands'); end;
create trigger hand_over_jars_stand before update on hand_over_jars begin select raise(abort, 'a hand-over stands'); end;
create trigger hand_over_jars_stay before delete on hand_over_jars begin select raise(abort, 'a hand-over stands'); end;
create trigger ledger_stand before update on ledger begin select raise(abort, 'a ledger line is never changed: answer it with another'); end;
create trigger ledger_stay before delete on ledger begin select raise(abort, 'a ledger line is never deleted'); end;

-- Everything under a divided boil is closed.
create trigger draws_closed before insert on draws
when exists (select 1 from divisions d where d.boil_id = new.boil_id)
begin select raise(abort, 'this boil is divided'); end;
create trigger boil_readings_closed before insert on boil_readings
when exists (select 1 from divisions d where d.boil_id = new.boil_id)
begin select raise(abort, 'this boil is divided'); end;
create trigger finishes_closed before insert on finishes
when exists (select 1 from divisions d where d.boil_id = new.boil_id)
begin select raise(abort, 'this boil is divided'); end;
create trigger fills_closed before insert on fills
when exists (select 1 from divisions d where d.boil_id = new.boil_id)
begin select raise(abort, 'this boil is divided'); end;
create trigger juice_measures_closed before insert on juice_measures
when exists (select 1 from draws r join divisions d on d.boil_id = r.boil_id where r.juice_id = new.juice_id
  and (r.amount_g > 0 or r.whole = 1) and r.version = (select max(x.version) from draws x where x.boil_id = r.boil_id and x.juice_id = r.juice_id))
begin select raise(abort, 'this juice is in a divided boil'); end;
create trigger loads_closed before insert on loads
when exists (select 1 from juices j join draws r on r.juice_id = j.id join divisions d on d.boil_id = r.boil_id where j.delivery_id = new.delivery_id
  and (r.amount_g > 0 or r.whole = 1) and r.version = (select max(x.version) from draws x where x.boil_id = r.boil_id and x.juice_id = r.juice_id))
begin select raise(abort, 'this cane is in a divided boil'); end;
