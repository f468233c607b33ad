-- What happens to turns between booking and pressing: they are confirmed, or missed, and from the
-- cut-off on they stay where they are.

alter table season_rules add column cutoff_h integer not null default 0
  constraint rules_cutoff check (cutoff_h between 0 and 336); -- hours before its start until which a member may move or cancel a turn

alter table bookings add column confirmed_at integer; -- null: its member has not confirmed it where it now is
alter table bookings add column no_show_at integer; -- null: not noted as missed
