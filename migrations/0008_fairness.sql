-- What the season's rules say beyond the split: the fee of a boil, hours worked, the price at which
-- carried syrup is settled, who bears a lost boil, and patronage. And the hours worked.

alter table season_rules add column boil_fee_cents integer not null default 0
  constraint rules_boil_fee check (boil_fee_cents >= 0); -- of a whole boil, borne by its members
alter table season_rules add column hour_cents integer not null default 0
  constraint rules_hour check (hour_cents >= 0); -- credit for an hour worked
alter table season_rules add column hours_most integer not null default 0
  constraint rules_hours_most check (hours_most between 0 and 2000); -- hours credited, per member and season
alter table season_rules add column syrup_mc_per_kg integer not null default 0
  constraint rules_syrup check (syrup_mc_per_kg >= 0); -- price of carried syrup, thousandths of a cent; 0: only in syrup
alter table season_rules add column loss text not null default 'own'
  constraint rules_loss check (loss in ('own', 'pool')); -- who bears a scorched or spilled boil
alter table season_rules add column patronage integer not null default 0
  constraint rules_patronage check (patronage in (0, 1)); -- 1: the margin goes back by solids brought

-- Hours a member worked for the mill. The credit is a ledger line; taken back with that line.
create table hours (
  line integer primary key references ledger (number), -- the line that credits them
  season_id text not null references seasons (id),
  member_id text not null references members (id),
  minutes integer not null constraint hours_minutes check (minutes > 0), -- worked
  credited_min integer not null constraint hours_credited check (credited_min between 0 and minutes), -- up to the most
  what text not null constraint hours_what check (length(what) between 1 and 80)
) strict;
create index hours_by_member on hours (member_id, season_id);
create trigger hours_stand before update on hours begin select raise(abort, 'hours stand: take their line back'); end;
create trigger hours_stay before delete on hours begin select raise(abort, 'hours stand: take their line back'); end;

drop trigger additions_closed;
create trigger additions_closed before insert on additions
when exists (select 1 from closed_boils c where c.boil_id = new.boil_id)
begin select raise(abort, 'this boil is divided'); end;
