-- What a lot is like: looked at, tasted and measured, once or more. Nothing is crossed out; a later look stands beside the first.
create table lot_looks (
  boil_id text not null references boils (id),
  number integer not null constraint lot_look_number check (number >= 1), -- runs on for each lot
  brix real constraint lot_look_brix check (brix between 0 and 95), -- °Bx as the instrument showed, of the syrup
  temp_c real constraint lot_look_temp check (temp_c between -20 and 130), -- of the syrup when it was looked at, °C
  colour text not null constraint lot_look_colour check (length(colour) <= 40), -- by the co-op's own card
  taste text not null constraint lot_look_taste check (length(taste) <= 300),
  ph real constraint lot_look_ph check (ph between 0 and 14), -- of the juice, where it had waited
  smell text not null constraint lot_look_smell check (length(smell) <= 300), -- of the juice, where it had waited
  by_id text not null references members (id),
  at integer not null,
  primary key (boil_id, number),
  constraint lot_look_says check (brix is not null or temp_c is not null or ph is not null or colour <> '' or taste <> '' or smell <> '')
) strict, without rowid;
create trigger lot_looks_stand before update on lot_looks begin select raise(abort, 'what was looked at stands'); end;
create trigger lot_looks_stay before delete on lot_looks begin select raise(abort, 'what was looked at stands'); end;
