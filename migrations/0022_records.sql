-- What was written, row by row, in the order it was written, each record's digest taking in the one before: nothing that people
-- rely on can be changed, removed or added by hand without its showing. Rows come from triggers that the program makes for every
-- table it covers (`store/records.rs`), since columns are added by later migrations.
create table records (
  number integer primary key autoincrement, -- runs on without gaps
  what text not null, -- the table
  op text not null constraint record_op check (op in ('made', 'changed', 'removed', 'found')), -- found: it stood there when the table was first covered
  key text not null, -- its primary key, a JSON array
  content text not null, -- the row, a JSON object
  content_digest text not null default '', -- SHA-256 of the content, hex
  digest text not null default '', -- SHA-256 of the record before and of this one, hex; '' only inside the transaction that writes it
  by_id text, -- who sent the form; null: nobody did
  at integer
) strict;
create index records_by_row on records (what, key);
create trigger records_stand before update on records when old.digest <> ''
begin select raise(abort, 'what was written stands'); end;
create trigger records_stay before delete on records
begin select raise(abort, 'what was written stands'); end;
