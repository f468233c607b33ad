-- Full jars on the scale: what an empty jar of a kind weighs, and the weights of some jars of a lot. What counts is what was
-- weighed last of a kind; what was weighed before stands.

create table jar_tares (
  size_name text not null,
  version integer not null constraint jar_tare_version check (version >= 1), -- the highest counts
  tare_g real not null constraint jar_tare_g check (tare_g > 0 and tare_g < 5000), -- with its lid
  by_id text not null references members (id),
  at integer not null,
  primary key (size_name, version)
) strict, without rowid;

create table jar_checks (
  boil_id text not null references boils (id),
  number integer not null constraint jar_check_number check (number >= 1), -- runs on for each lot; of a kind the highest counts
  size_name text not null,
  declared_g integer not null constraint jar_check_declared check (declared_g > 0), -- what the label declares
  tare_g real not null constraint jar_check_tare check (tare_g >= 0 and tare_g < 5000), -- taken off every weight; 0: the scale was set to nought with an empty jar
  graduation_g real not null constraint jar_check_graduation check (graduation_g > 0), -- of the scale
  by_id text not null references members (id),
  at integer not null,
  primary key (boil_id, number)
) strict, without rowid;

create table jar_weights (
  boil_id text not null,
  number integer not null,
  place integer not null constraint jar_weight_place check (place >= 1),
  gross_g real not null constraint jar_weight_g check (gross_g > 0 and gross_g < 50000), -- as the scale showed
  primary key (boil_id, number, place),
  foreign key (boil_id, number) references jar_checks (boil_id, number)
) strict, without rowid;

create trigger jar_tares_stand before update on jar_tares begin select raise(abort, 'what was weighed stands'); end;
create trigger jar_tares_stay before delete on jar_tares begin select raise(abort, 'what was weighed stands'); end;
create trigger jar_checks_stand before update on jar_checks begin select raise(abort, 'what was weighed stands'); end;
create trigger jar_checks_stay before delete on jar_checks begin select raise(abort, 'what was weighed stands'); end;
create trigger jar_weights_stand before update on jar_weights begin select raise(abort, 'what was weighed stands'); end;
create trigger jar_weights_stay before delete on jar_weights begin select raise(abort, 'what was weighed stands'); end;
