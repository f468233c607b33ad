-- What happens to turns between booking and pressing: they are confirmed, missed, waited for, turned
-- round by frost, shifted with their day; and what members are told of it.

alter table season_rules add column cutoff_h integer not null default 0
  constraint rules_cutoff check (cutoff_h between 0 and 336); -- hours before its start until which a member may move or cancel a turn
alter table season_rules add column offer_min integer not null default 240
  constraint rules_offer check (offer_min between 15 and 4320); -- minutes that a freed start is kept for whoever waits first

alter table bookings add column confirmed_at integer; -- null: its member has not confirmed it where it now is
alter table bookings add column no_show_at integer; -- null: not noted as missed
