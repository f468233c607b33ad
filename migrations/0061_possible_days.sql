-- Days on which the mill could press, before anybody planned them; on which days members can bring cane and help; what each can do; and
-- who does what on a press day. Plans, all of them: what was done stands in tickets, boils and hours.
create table possible_days (
  id text primary key, -- the press day gets it when it is planned
  season_id text not null references seasons (id),
  date text not null unique constraint possible_date check (date glob '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  opens_min integer not null constraint possible_opens check (opens_min between 0 and 1435 and opens_min % 5 = 0),
  closes_min integer not null constraint possible_closes check (closes_min > opens_min and closes_min <= 1440 and closes_min % 5 = 0),
  mill_g_per_h integer not null constraint possible_mill check (mill_g_per_h between 1000 and 10000000),
  changeover_min integer not null constraint possible_changeover check (changeover_min between 0 and 120),
  by_id text not null references members (id),
  at integer not null
) strict, without rowid;
create index possible_days_by_season on possible_days (season_id, date);

create table day_answers (
  season_id text not null references seasons (id),
  member_id text not null references members (id),
  date text not null constraint answer_date check (date glob '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  brings integer not null constraint answer_brings check (brings in (0, 1)), -- can bring cane that day
  helps integer not null constraint answer_helps check (helps in (0, 1)), -- can help at the mill that day
  from_min integer constraint answer_from check (from_min between 0 and 1439), -- not before; null: from the start
  to_min integer constraint answer_to check (to_min between 1 and 1440 and (from_min is null or to_min > from_min)), -- not after; null: to the end
  by_id text not null references members (id),
  at integer not null,
  primary key (season_id, date, member_id)
) strict, without rowid;
create index day_answers_by_member on day_answers (member_id, season_id);

create table member_tasks (
  member_id text not null references members (id),
  task text not null constraint task_word check (task in ('feed', 'weigh', 'boil', 'fill', 'hand_over')),
  primary key (member_id, task)
) strict, without rowid;

create table roster (
  press_day_id text not null references press_days (id),
  number integer not null constraint roster_number check (number between 1 and 60), -- in the order of the page
  task text not null constraint roster_task check (task in ('feed', 'weigh', 'boil', 'fill', 'hand_over')),
  from_min integer not null constraint roster_from check (from_min between 0 and 1439),
  to_min integer not null constraint roster_to check (to_min > from_min and to_min <= 1440),
  member_id text references members (id), -- null: nobody yet
  by_id text not null references members (id),
  at integer not null,
  primary key (press_day_id, number)
) strict, without rowid;
create index roster_by_member on roster (member_id);

-- For which plantings a turn of the season's proposal is offered.
create table offer_plantings (
  offer_id text not null references offers (id),
  planting_id text not null references plantings (id),
  primary key (offer_id, planting_id)
) strict, without rowid;
create index offer_plantings_by_planting on offer_plantings (planting_id);
