-- What a payment was: the day it was made, how, and the number on its receipt. The money stands in the ledger's line.
create table payments (
  line integer primary key references ledger (number),
  receipt integer not null unique constraint payment_receipt check (receipt >= 1), -- runs on
  kind text not null constraint payment_kind check (kind in ('cash', 'check', 'transfer', 'other')),
  paid_on text not null constraint payment_day check (paid_on glob '????-??-??') -- the day, at the co-op
) strict;
create trigger payments_stand before update on payments begin select raise(abort, 'a payment stands: take its line back'); end;
create trigger payments_stay before delete on payments begin select raise(abort, 'a payment stands'); end;
