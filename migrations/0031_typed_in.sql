-- What was written on paper first and typed in later. Two people and two times: the measured row bears whoever
-- weighed, read or handed over, as always; who typed it in, and when, stands here.
create table typed_in (
  form_key text not null,
  action text not null,
  target text not null, -- the address it was sent to
  record text not null, -- the id that the action answered with; '' when it answers with none
  measured_by text not null references members (id), -- who wrote it on paper
  typed_by text not null references members (id),
  typed_at integer not null,
  primary key (form_key, action, target)
) strict;
create index typed_in_by_record on typed_in (record);
create trigger typed_in_stand before update on typed_in
begin select raise(abort, 'who typed something in is never changed'); end;
create trigger typed_in_stay before delete on typed_in
begin select raise(abort, 'who typed something in is never deleted'); end;
