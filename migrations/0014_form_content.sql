-- A form done counts by its key, what was done, where it was sent to, and what stood in it: the same again
-- gets the same answer; the same key with something else is never taken for it.
create table form_keys_by_content (
  key text not null,
  action text not null,
  target text not null, -- the address it was sent to; '' from before this version: any
  digest text not null, -- SHA-256 of what was typed, without passphrases and codes; '' from before: any
  boxes text not null,  -- what was typed (the same without), to say what was stored
  result text not null, -- the id the action answered with
  member_id text references members (id),
  done_at integer not null,
  primary key (key, action, target)
) strict;
insert into form_keys_by_content select key, action, '', '', '', result, member_id, done_at from form_keys;
drop table form_keys;
alter table form_keys_by_content rename to form_keys;
create index form_keys_by_age on form_keys (done_at);
