-- The day on which hours were worked, in the co-op's place: the rules that hold on it say what they are credited with. Null: written down
-- before that was asked.
alter table hours add column worked_on text
  constraint hours_worked_on check (worked_on glob '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]');

drop trigger hours_stand;
create trigger hours_stand before update on hours
when not exists (select 1 from forgetting)
  or (new.line, new.season_id, new.member_id, new.minutes, new.credited_min, new.worked_on)
  is not (old.line, old.season_id, old.member_id, old.minutes, old.credited_min, old.worked_on)
begin select raise(abort, 'hours stand: take their line back'); end;
