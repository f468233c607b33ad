-- A line of the ledger about jars that broke, went missing or were found again names the entry of jar_moves that it belongs to. Until
-- now a line of empty jars named no jar, and what a found one is charged was told from the words of the lines. Lines of before are
-- filled where it can be told: by whose they are, when and by whom they were written, the lot, the count and the weight; between
-- entries that are alike, in their order. The mill's line stands behind the member's, and the empty jars' behind both.
drop trigger if exists record_ledger_made;
drop trigger if exists record_ledger_changed;
drop trigger if exists record_ledger_removed;
drop trigger ledger_stand;

alter table ledger add column jar_move integer references jar_moves (number)
  constraint ledger_jar_move check (jar_move is null or kind in ('loss', 'jar_price')); -- null: of no such entry

with moves as (
  select v.number, v.member_id, v.by_id, v.at,
    v.count || ' × %' as begins,
    '% of lot ' || substr(b.lot_code, 1, 5) || '-' || substr(b.lot_code, 6) || case v.kind when 'found' then ' found again:%' else ' ' || v.kind || '%' end as goes_on,
    case v.kind when 'found' then -1 else 1 end * v.count * v.net_g as grams,
    row_number() over (partition by v.member_id, v.by_id, v.at, v.boil_id, v.kind, v.count, v.net_g order by v.number) as place
  from jar_moves v join boils b on b.id = v.boil_id
  where v.member_id is not null and v.kind in ('broken', 'missing', 'found')
), pairs as (
  select m.number as jar_move, m.place, l.number as line,
    row_number() over (partition by m.number order by l.number) as line_place
  from moves m join ledger l on l.member_id = m.member_id and l.by_id = m.by_id and l.at = m.at
  where l.kind = 'loss' and l.division_id is null and l.boil_id is null and l.grams in (m.grams, 0)
    and l.says like m.begins and l.says like m.goes_on
)
update ledger set jar_move = p.jar_move from pairs p where p.line = ledger.number and p.place = p.line_place;

update ledger set jar_move = o.jar_move from ledger o
where o.number = ledger.number - 1 and o.jar_move is not null and o.grams <> 0 and ledger.grams = -o.grams and ledger.kind = 'loss'
  and ledger.member_id is null and ledger.at = o.at;

update ledger set jar_move = o.jar_move from ledger o
where o.number = ledger.number - 2 and o.jar_move is not null and o.grams <> 0 and ledger.kind = 'jar_price'
  and ledger.division_id is null and ledger.boil_id is null and ledger.member_id = o.member_id and ledger.at = o.at;

create index ledger_by_jar_move on ledger (jar_move) where jar_move is not null;

create trigger ledger_stand before update on ledger
when not exists (select 1 from forgetting)
  or (new.number, new.season_id, new.member_id, new.kind, new.grams, new.cents, new.boil_id, new.division_id, new.answers,
    new.by_id, new.at, new.jar_move)
  is not (old.number, old.season_id, old.member_id, old.kind, old.grams, old.cents, old.boil_id, old.division_id, old.answers,
    old.by_id, old.at, old.jar_move)
begin select raise(abort, 'a ledger line is never changed: answer it with another'); end;
