-- Entries that a phone kept until it could send them, and ticket numbers that a phone holds meanwhile.

-- One row a form that came by way of a phone's own store; what it made is found by `record`.
create table sent_from_phone (
  form_key text not null,
  action text not null,
  target text not null, -- the address it was sent to
  record text not null, -- the id that the action answered with; '' when it answers with none
  member_id text not null references members (id),
  tapped_at integer not null, -- by the phone's own clock
  ahead_s integer, -- how far that clock was ahead of the mill's at the last contact; null: never measured
  said_at integer not null, -- the tap by the mill's clock: what counts as the record's time
  arrived_at integer not null,
  primary key (form_key, action, target),
  constraint sent_from_phone_order check (said_at <= arrived_at)
) strict;
create index sent_from_phone_by_record on sent_from_phone (record);
create trigger sent_from_phone_stand before update on sent_from_phone
begin select raise(abort, 'what a phone sent is never changed'); end;
create trigger sent_from_phone_stay before delete on sent_from_phone
begin select raise(abort, 'what a phone sent is never deleted'); end;

-- Ticket numbers that a phone may give out without network; nobody else gets them.
create table ticket_numbers (
  season_id text not null references seasons (id),
  number integer not null constraint ticket_number_held check (number >= 1),
  phone text not null constraint ticket_number_phone check (length(phone) between 1 and 60), -- the id that the phone made for itself
  member_id text not null references members (id), -- who was signed in on it
  held_at integer not null,
  primary key (season_id, number)
) strict, without rowid;
create index ticket_numbers_by_phone on ticket_numbers (phone, season_id);
