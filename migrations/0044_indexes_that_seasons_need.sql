-- Ways to what grows with the seasons, so that no page has to read a whole table for it.
-- Most lines answer no other.
create index ledger_by_answered on ledger (answers) where answers is not null;
create index ledger_by_season on ledger (season_id, kind);
create index hours_by_season on hours (season_id);
create index boils_by_season on boils (season_id);
create index boils_by_pan on boils (pan_id, lit_at);
create index press_days_by_season on press_days (season_id, date);
-- Days that are not closed are few in any year.
create index press_days_open on press_days (date) where closed_at is null;
create index hand_overs_by_member on hand_overs (member_id);
create index hand_over_jars_by_boil on hand_over_jars (boil_id);
create index lot_holds_held on lot_holds (boil_id) where held = 1;
create index invites_by_member on invites (member_id);
create index notices_by_age on notices (made_at);
create index notices_told on notices (told_at) where told_at is not null;
create index juices_by_vessel on juices (vessel_id, pressed_at);
create index waiting_for_room on waiting (press_day_id) where state = 'waiting';

-- The boils that are divided, or wholly lost. Written so that one boil is looked up by its id, where a union of
-- two tables was made whole for every row that asked.
drop view closed_boils;
create view closed_boils as
select
  b.id as boil_id,
  d.id as division_id,
  coalesce(d.version, 0) as version,
  coalesce(d.at, l.at) as at
from boils b
left join divisions d
  on d.boil_id = b.id
  and d.version = (select max(v.version) from divisions v where v.boil_id = b.id)
  and not exists (select 1 from corrections c where c.boil_id = b.id and c.version > d.version)
left join losses l on l.boil_id = b.id and l.whole = 1
where d.id is not null or l.boil_id is not null;

-- Tickets whose cane went home unpressed, or whose loads are all crossed out; one ticket is looked up by its id.
drop view dropped_tickets;
create view dropped_tickets as
select t.id as ticket_id
from tickets t
where exists (
  select 1 from ticket_ends e
  where e.ticket_id = t.id and e.unpressed = 1
  and e.version = (select max(v.version) from ticket_ends v where v.ticket_id = t.id)
)
or (
  exists (select 1 from loads l where l.ticket_id = t.id)
  and not exists (
    select 1 from loads c
    where c.ticket_id = t.id and c.void = 0
    and c.version = (select max(v.version) from loads v where v.ticket_id = t.id and v.number = c.number)
  )
);
create index loads_by_trailer on loads (trailer, at);
create index tickets_by_number on tickets (ticket);
