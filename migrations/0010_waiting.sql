-- Days on which the clocks change; waiting lists and offers; turns moved together; what members are
-- told, and how it reached them.

alter table season_rules add column offer_min integer not null default 240
  constraint rules_offer check (offer_min between 15 and 2880); -- minutes for which a turn is offered before the next in the list is asked

-- On the night the clocks go back an hour of the day comes twice: 1 is its second time.
alter table bookings add column start_again integer not null default 0
  constraint booking_start_again check (start_again in (0, 1));
alter table booking_events add column start_again integer not null default 0
  constraint booking_event_again check (start_again in (0, 1));

-- A member who waits for room on a press day.
create table waiting (
  id text primary key,
  press_day_id text not null references press_days (id),
  member_id text not null references members (id),
  rank integer not null, -- order of the day's list, least first
  cane_g integer not null constraint waiting_cane check (cane_g > 0), -- expected
  told_as text not null constraint waiting_told check (told_as in ('weight', 'row', 'stalks')),
  told_amount real not null, -- grams, metres or stalks, as told
  state text not null constraint waiting_state check (state in ('waiting', 'declined', 'missed', 'placed', 'left')),
  from_booking_id text references bookings (id), -- the turn that no longer fitted; null: the member asked to wait
  booking_id text references bookings (id), -- the turn it came to
  why text not null default '', -- of the last change
  version integer not null default 1,
  made_by text not null references members (id),
  made_at integer not null,
  unique (press_day_id, rank),
  constraint waiting_placed check ((state = 'placed') = (booking_id is not null))
) strict;
create index waiting_by_member on waiting (member_id);
create unique index waiting_once on waiting (press_day_id, member_id)
  where state in ('waiting', 'declined', 'missed') and from_booking_id is null;

-- Room offered to one who waits, for a set time. What came of it is written once.
create table offers (
  id text primary key,
  waiting_id text not null references waiting (id),
  start_min integer not null constraint offer_start check (start_min between 0 and 1435 and start_min % 5 = 0),
  start_again integer not null default 0 constraint offer_again check (start_again in (0, 1)),
  minutes integer not null constraint offer_minutes check (minutes between 5 and 1500 and minutes % 5 = 0),
  made_at integer not null,
  ends_at integer not null constraint offer_ends check (ends_at > made_at),
  answer text constraint offer_answer check (answer in ('taken', 'declined', 'lapsed', 'withdrawn', 'recalled')), -- null: it stands
  why text not null default '', -- of taking it back
  answered_by text references members (id), -- null: nobody, the time ran out
  answered_at integer,
  constraint offer_answered check ((answer is null) = (answered_at is null))
) strict;
create unique index offers_standing on offers (waiting_id) where answer is null;
create index offers_by_waiting on offers (waiting_id);
create index offers_running on offers (ends_at) where answer is null;
create trigger offers_answered_once before update on offers when old.answer is not null
begin select raise(abort, 'an offer is answered once'); end;

-- The key as before; an offer that stands holds its minutes, too. From 1440 on: minutes after
-- midnight plus 1440, the second time that an hour comes.
alter table booked_minutes rename to booked_minutes_before;
create table booked_minutes (
  press_day_id text not null references press_days (id),
  minute integer not null constraint booked_minute check (minute between 0 and 2875 and minute % 5 = 0),
  booking_id text references bookings (id),
  offer_id text references offers (id),
  primary key (press_day_id, minute),
  constraint booked_by_one check ((booking_id is null) <> (offer_id is null))
) strict, without rowid;
insert into booked_minutes (press_day_id, minute, booking_id) select press_day_id, minute, booking_id from booked_minutes_before;
drop table booked_minutes_before;
create index booked_minutes_by_booking on booked_minutes (booking_id);
create index booked_minutes_by_offer on booked_minutes (offer_id);

-- Turns moved together by a steward: by whom and why.
create table day_changes (
  id text primary key,
  press_day_id text not null references press_days (id), -- the day that was changed
  kind text not null constraint day_change_kind check (kind in ('later', 'other_day', 'frost')),
  why text not null constraint day_change_why check (length(why) between 1 and 200),
  by_id text not null references members (id),
  at integer not null
) strict;
create index day_changes_by_day on day_changes (press_day_id);
create table day_change_turns (
  change_id text not null references day_changes (id),
  place integer not null, -- order of the turns
  booking_id text not null references bookings (id),
  from_day_id text not null references press_days (id),
  from_min integer not null,
  from_again integer not null,
  to_day_id text not null references press_days (id), -- the day of the turn, or of the list it waits on
  to_min integer, -- null: no room was left, it waits
  to_again integer,
  waiting_id text references waiting (id),
  primary key (change_id, place),
  constraint day_change_to check ((to_min is null) = (waiting_id is not null))
) strict, without rowid;
-- While the mill stands nobody is put into those minutes, unless it runs again earlier.
create table standstills (
  change_id text primary key references day_changes (id),
  press_day_id text not null references press_days (id),
  start_min integer not null constraint standstill_start check (start_min between 0 and 1435 and start_min % 5 = 0),
  start_again integer not null default 0 constraint standstill_again check (start_again in (0, 1)),
  minutes integer not null constraint standstill_minutes check (minutes between 5 and 1500 and minutes % 5 = 0),
  ended_at integer, -- it ran again before its time
  ended_by text references members (id),
  constraint standstill_ended check ((ended_at is null) = (ended_by is null))
) strict;
create index standstills_by_day on standstills (press_day_id);
create trigger day_changes_stand before update on day_changes
begin select raise(abort, 'what was changed on a day is never changed'); end;
create trigger day_changes_stay before delete on day_changes
begin select raise(abort, 'what was changed on a day is never deleted'); end;
create trigger day_change_turns_stand before update on day_change_turns
begin select raise(abort, 'what was changed on a day is never changed'); end;
create trigger day_change_turns_stay before delete on day_change_turns
begin select raise(abort, 'what was changed on a day is never deleted'); end;

-- What a member is told: on the home page, by e-mail where there is a server for it, else by a call.
create table notices (
  id text primary key,
  member_id text not null references members (id),
  kind text not null constraint notice_kind check (kind in ('offer', 'moved', 'coming', 'statement')),
  mark text not null unique, -- what it is about: the same is told once
  subject text not null constraint notice_subject check (length(subject) between 1 and 120),
  words text not null constraint notice_words check (length(words) between 1 and 600), -- as mailed, or read out on the telephone
  booking_id text references bookings (id),
  offer_id text references offers (id),
  change_id text references day_changes (id),
  season_id text references seasons (id),
  made_at integer not null,
  seen_at integer, -- the member put it away
  told_at integer, -- somebody called, or wrote a text message
  told_by text references members (id),
  constraint notice_told check ((told_at is null) = (told_by is null))
) strict;
create index notices_by_member on notices (member_id);
create index notices_by_change on notices (change_id);

-- Letters to be sent, written in the same transaction as what they tell of.
create table mails (
  notice_id text primary key references notices (id),
  address text not null,
  state text not null default 'waiting' constraint mail_state check (state in ('waiting', 'sent', 'given_up')),
  tries integer not null default 0,
  next_at integer not null, -- not tried before
  sent_at integer,
  problem text not null default '', -- of the last try
  constraint mail_sent check ((state = 'sent') = (sent_at is not null))
) strict;
create index mails_waiting on mails (next_at) where state = 'waiting';
