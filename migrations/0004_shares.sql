-- Who gets what: divided boils, jars handed over, and the ledger. Nothing here is ever changed.

create table divisions (
  id text primary key,
  boil_id text not null references boils (id),
  version integer not null constraint division_version check (version >= 1), -- 2 and up: made again after a correction
  basis text not null, -- copied from the rules that made it
  toll_bp integer not null,
  jarred_g integer not null constraint division_jarred check (jarred_g > 0),
  syrup_g integer not null constraint division_syrup check (syrup_g >= jarred_g), -- out of the pan, as measured then
  brix_20c real not null constraint division_brix check (brix_20c between 0 and 95), -- of that syrup
  after_line integer not null constraint division_after check (after_line >= 0), -- last line of the ledger before it
  signed_by text not null constraint division_signed check (length(signed_by) between 1 and 60), -- the second person
  by_id text not null references members (id),
  at integer not null,
  unique (boil_id, version)
) strict;

-- A divided boil opened to be put right. It is open until the division of that version is made.
create table corrections (
  boil_id text not null references boils (id),
  version integer not null constraint correction_version check (version >= 2), -- the division it leads to
  why text not null constraint correction_why check (length(why) between 1 and 300),
  by_id text not null references members (id),
  at integer not null,
  primary key (boil_id, version)
) strict, without rowid;

-- Syrup of a boil that was scorched or spilled.
create table losses (
  boil_id text primary key references boils (id),
  what text not null constraint loss_what check (what in ('scorched', 'spilled', 'other')),
  lost_g integer not null constraint loss_g check (lost_g > 0), -- of syrup
  whole integer not null constraint loss_whole check (whole in (0, 1)), -- 1: nothing was left to put in jars
  why text not null constraint loss_why check (length(why) between 1 and 300),
  by_id text not null references members (id),
  at integer not null
) strict;
create trigger losses_stand before update on losses begin select raise(abort, 'a loss stands'); end;
create trigger losses_stay before delete on losses begin select raise(abort, 'a loss stands'); end;

-- The division that counts.
create view latest_divisions as
select d.* from divisions d
where d.version = (select max(v.version) from divisions v where v.boil_id = d.boil_id);

-- Boils that are divided and not open for a correction, or lost altogether: everything under them is
-- closed.
create view closed_boils as
select d.boil_id, d.id as division_id, d.version, d.at from latest_divisions d
where not exists (select 1 from corrections c where c.boil_id = d.boil_id and c.version > d.version)
union all
select l.boil_id, null, 0, l.at from losses l where l.whole = 1;

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
  favoured_at integer, -- when a lot had last given more than was owed; null: never
  primary key (division_id, place),
  constraint share_adds_up check (carry_g = carried_g + entitled_g - jarred_g)
) strict, without rowid;
create unique index share_of_member on shares (division_id, coalesce(member_id, 'mill'));
create index shares_by_member on shares (member_id);

-- The sizes a sharer wished for at that moment.
create table share_wishes (
  division_id text not null,
  place integer not null,
  net_g integer not null constraint share_wish_net check (net_g > 0),
  primary key (division_id, place, net_g),
  foreign key (division_id, place) references shares (division_id, place)
) strict, without rowid;

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
    ('entitled', 'jarred', 'cane_fee', 'juice_fee', 'boil_fee', 'jar_fee', 'jar_price', 'least_fee', 'hours',
     'settled', 'patronage', 'loss', 'payment', 'answer')),
  grams integer not null default 0, -- of syrup; plus: owed to the sharer
  cents integer not null default 0, -- plus: owed by the sharer
  boil_id text references boils (id),
  division_id text references divisions (id), -- the division that wrote it; null: none
  says text not null, -- the line as it is printed
  answers integer references ledger (number), -- the line this one answers; null: none
  by_id text not null references members (id),
  at integer not null
) strict;
create index ledger_by_member on ledger (member_id, season_id);

create index ledger_by_boil on ledger (boil_id);

create trigger divisions_in_order before insert on divisions
when new.version <> 1 + coalesce((select max(d.version) from divisions d where d.boil_id = new.boil_id), 0)
  or (new.version > 1 and not exists (select 1 from corrections c where c.boil_id = new.boil_id and c.version = new.version))
begin select raise(abort, 'a boil is divided once, and again only after it was opened for a correction'); end;
create trigger corrections_in_order before insert on corrections
when new.version <> 1 + coalesce((select max(d.version) from divisions d where d.boil_id = new.boil_id), 0)
begin select raise(abort, 'a correction follows the latest division'); end;
create trigger corrections_stand before update on corrections begin select raise(abort, 'a correction stands'); end;
create trigger corrections_stay before delete on corrections begin select raise(abort, 'a correction stands'); end;
create trigger divisions_stand before update on divisions begin select raise(abort, 'a division stands'); end;
create trigger divisions_stay before delete on divisions begin select raise(abort, 'a division stands'); end;
create trigger shares_stand before update on shares begin select raise(abort, 'a share stands'); end;
create trigger shares_stay before delete on shares begin select raise(abort, 'a share stands'); end;
create trigger share_wishes_stand before update on share_wishes begin select raise(abort, 'a share stands'); end;
create trigger share_wishes_stay before delete on share_wishes begin select raise(abort, 'a share stands'); end;
create trigger share_jars_stand before update on share_jars begin select raise(abort, 'a share stands'); end;
create trigger share_jars_stay before delete on share_jars begin select raise(abort, 'a share stands'); end;
create trigger hand_overs_stand before update on hand_overs begin select raise(abort, 'a hand-over stands'); end;
create trigger hand_overs_stay before delete on hand_overs begin select raise(abort, 'a hand-over stands'); end;
create trigger hand_over_jars_stand before update on hand_over_jars begin select raise(abort, 'a hand-over stands'); end;
create trigger hand_over_jars_stay before delete on hand_over_jars begin select raise(abort, 'a hand-over stands'); end;
create trigger ledger_stand before update on ledger begin select raise(abort, 'a ledger line is never changed: answer it with another'); end;
create trigger ledger_stay before delete on ledger begin select raise(abort, 'a ledger line is never deleted'); end;

-- Everything under a divided boil is closed, unless it is open for a correction.
create trigger draws_closed before insert on draws
when exists (select 1 from closed_boils c where c.boil_id = new.boil_id)
begin select raise(abort, 'this boil is divided'); end;
create trigger boil_readings_closed before insert on boil_readings
when exists (select 1 from closed_boils c where c.boil_id = new.boil_id)
begin select raise(abort, 'this boil is divided'); end;
create trigger finishes_closed before insert on finishes
when exists (select 1 from closed_boils c where c.boil_id = new.boil_id)
begin select raise(abort, 'this boil is divided'); end;
create trigger fills_closed before insert on fills
when exists (select 1 from closed_boils c where c.boil_id = new.boil_id)
begin select raise(abort, 'this boil is divided'); end;
create trigger juice_measures_closed before insert on juice_measures
when exists (select 1 from closed_boils c join draws r on r.boil_id = c.boil_id where r.juice_id = new.juice_id
  and (r.amount_g > 0 or r.whole = 1)
  and r.version = (select max(x.version) from draws x where x.boil_id = r.boil_id and x.juice_id = r.juice_id))
begin select raise(abort, 'the boil of this juice is divided'); end;
