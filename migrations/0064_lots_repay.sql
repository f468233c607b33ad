-- How much of a lot's syrup, in jars, may repay members who have no juice in it: percent, 0 none, 100 all. Null: the version was voted
-- before there was such a rule; then all of it may, as was done.
alter table season_rules add column lots_repay_pct integer
  constraint rules_lots_repay check (lots_repay_pct between 0 and 100);

-- Versions of the rules that were voted before a rule existed: what its column holds was filled in later, nobody voted it.
create table rules_not_voted (
  rules_id text not null references season_rules (id),
  rule text not null constraint rule_not_voted check (rule in ('mill_mends')),
  primary key (rules_id, rule)
) strict, without rowid;
create trigger rules_not_voted_stand before update on rules_not_voted begin select raise(abort, 'what was voted stands'); end;
create trigger rules_not_voted_stay before delete on rules_not_voted begin select raise(abort, 'what was voted stands'); end;

-- A version knew the rule when what was first written of it names it.
insert into rules_not_voted (rules_id, rule)
select r.id, 'mill_mends' from season_rules r
where json_type((
  select x.content from records x
  where x.what = 'season_rules' and x.key = json_array(r.id) order by x.number limit 1
), '$.mill_mends') is null;
