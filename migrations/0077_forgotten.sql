-- Forgetting a member who has left: name, telephone, e-mail, address and sign-in go, also out of what was written before; figures
-- stay under the member's number. `forgotten` says who was forgotten, by whom and when. What stood in a record gives way to what stands
-- there without the name; the record keeps its digest, so that the chain stays whole, and `forgotten_rows` bears the digest of what
-- stands there now. Both are among the records themselves, so that no other change passes for one.

create table forgotten (
  member_id text primary key references members (id),
  by_id text not null references members (id),
  at integer not null
) strict, without rowid;
create trigger forgotten_stand before update on forgotten
begin select raise(abort, 'a member who was forgotten stays so'); end;
create trigger forgotten_stay before delete on forgotten
begin select raise(abort, 'a member who was forgotten stays so'); end;

create table forgotten_rows (
  number integer primary key constraint forgotten_row_number check (number >= 1), -- runs on; of a record the highest counts
  record integer not null, -- the record that was written without the name
  member_id text not null references forgotten (member_id),
  digest text not null constraint forgotten_row_digest check (length(digest) = 64) -- SHA-256 of its content since then, hex
) strict;
create index forgotten_rows_by_record on forgotten_rows (record);
create trigger forgotten_rows_stand before update on forgotten_rows
begin select raise(abort, 'what was taken out stands'); end;
create trigger forgotten_rows_stay before delete on forgotten_rows
begin select raise(abort, 'what was taken out stands'); end;

-- A name that the co-op keeps for the books that the law asks for, until a day; nobody but stewards reads it. Then the row is deleted.
create table kept_names (
  member_id text primary key references forgotten (member_id),
  name text not null constraint kept_name_text check (length(name) between 1 and 60),
  until text not null constraint kept_name_until check (until glob '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]') -- civil date, in the co-op's place; kept through it
) strict, without rowid;

-- The member who is being forgotten in the present transaction: its record is not sealed yet.
create view forgetting as
select f.member_id from records r join forgotten f on r.key = json_array(f.member_id)
where r.what = 'forgotten' and r.digest = '';

-- A record changes its content alone, and only for that.
drop trigger records_stand;
create trigger records_stand before update on records
when old.digest <> '' and (
  not exists (select 1 from forgotten_rows f join forgetting g on g.member_id = f.member_id where f.record = old.number)
  or (new.number, new.what, new.op, new.key, new.content_digest, new.digest, new.by_id, new.at)
  is not (old.number, old.what, old.op, old.key, old.content_digest, old.digest, old.by_id, old.at))
begin select raise(abort, 'what was written stands'); end;

-- Where people write words, the words may change for that; nothing beside them.
drop trigger season_rules_stand;
create trigger season_rules_stand before update on season_rules
when not exists (select 1 from forgetting)
  or (new.id, new.season_id, new.number, new.basis, new.toll_bp, new.cane_mc, new.juice_mc, new.jar_fee_cents,
    new.least_cents, new.target_bx, new.floor_bx, new.hold_amber_min, new.hold_red_min, new.cane_warn_days,
    new.yield_amber_pct, new.yield_red_pct, new.recovery_pct, new.juice_pct, new.row_kg_per_m, new.stalk_g,
    new.made_by, new.made_at, new.cutoff_h, new.boil_fee_cents, new.hour_cents, new.hours_most, new.syrup_mc,
    new.loss, new.patronage, new.offer_min, new.second_signature, new.trash_off, new.rates_in, new.read_again_one_in,
    new.mill_mends, new.lots_repay_pct)
  is not (old.id, old.season_id, old.number, old.basis, old.toll_bp, old.cane_mc, old.juice_mc, old.jar_fee_cents,
    old.least_cents, old.target_bx, old.floor_bx, old.hold_amber_min, old.hold_red_min, old.cane_warn_days,
    old.yield_amber_pct, old.yield_red_pct, old.recovery_pct, old.juice_pct, old.row_kg_per_m, old.stalk_g,
    old.made_by, old.made_at, old.cutoff_h, old.boil_fee_cents, old.hour_cents, old.hours_most, old.syrup_mc,
    old.loss, old.patronage, old.offer_min, old.second_signature, old.trash_off, old.rates_in, old.read_again_one_in,
    old.mill_mends, old.lots_repay_pct)
begin select raise(abort, 'rules are never changed: make a new version'); end;

drop trigger booking_events_stand;
create trigger booking_events_stand before update on turn_events
when not exists (select 1 from forgetting)
  or (new.turn_id, new.version, new.what, new.start_min, new.minutes, new.press_day_id, new.by_id, new.at, new.start_again)
  is not (old.turn_id, old.version, old.what, old.start_min, old.minutes, old.press_day_id, old.by_id, old.at, old.start_again)
begin select raise(abort, 'what happened to a turn is never changed'); end;

drop trigger loads_stand;
create trigger loads_stand before update on loads
when not exists (select 1 from forgetting)
  or (new.ticket_id, new.number, new.version, new.scale_id, new.graduation_g, new.gross_g, new.tare_g, new.void, new.by_id,
    new.at, new.weighed_at, new.net_g, new.net_lb)
  is not (old.ticket_id, old.number, old.version, old.scale_id, old.graduation_g, old.gross_g, old.tare_g, old.void, old.by_id,
    old.at, old.weighed_at, old.net_g, old.net_lb)
begin select raise(abort, 'a weighing is never changed: correct it with a new version'); end;

drop trigger juice_measures_stand;
create trigger juice_measures_stand before update on juice_measures
when not exists (select 1 from forgetting)
  or (new.juice_id, new.version, new.amount_kind, new.amount, new.sediment, new.temp_c, new.instrument, new.brix_1,
    new.brix_2, new.brix_3, new.void, new.by_id, new.at, new.pressed_at)
  is not (old.juice_id, old.version, old.amount_kind, old.amount, old.sediment, old.temp_c, old.instrument, old.brix_1,
    old.brix_2, old.brix_3, old.void, old.by_id, old.at, old.pressed_at)
begin select raise(abort, 'a juice reading is never changed: correct it with a new version'); end;

drop trigger boils_stand;
create trigger boils_stand before update on boils
when not exists (select 1 from forgetting)
  or (new.id, new.lot_code, new.season_id, new.rules_id, new.press_day_id, new.solo_member_id, new.target_bx,
    new.water_boil_c, new.lit_at, new.cook_id, new.pan_id)
  is not (old.id, old.lot_code, old.season_id, old.rules_id, old.press_day_id, old.solo_member_id, old.target_bx,
    old.water_boil_c, old.lit_at, old.cook_id, old.pan_id)
begin select raise(abort, 'a boil is never rewritten'); end;

drop trigger draws_stand;
create trigger draws_stand before update on draws
when not exists (select 1 from forgetting)
  or (new.boil_id, new.juice_id, new.version, new.amount_g, new.whole, new.by_id, new.at)
  is not (old.boil_id, old.juice_id, old.version, old.amount_g, old.whole, old.by_id, old.at)
begin select raise(abort, 'a draw is never changed: correct it with a new version'); end;

drop trigger boil_readings_stand;
create trigger boil_readings_stand before update on boil_readings
when not exists (select 1 from forgetting)
  or (new.boil_id, new.number, new.read_at, new.temp_c, new.brix, new.replaces, new.by_id, new.at)
  is not (old.boil_id, old.number, old.read_at, old.temp_c, old.brix, old.replaces, old.by_id, old.at)
begin select raise(abort, 'a reading is never changed: put it right with another'); end;

drop trigger finishes_stand;
create trigger finishes_stand before update on finishes
when not exists (select 1 from forgetting)
  or (new.boil_id, new.version, new.syrup_g, new.brix, new.instrument, new.sample_c, new.brix_20c, new.finish_c,
    new.skimmed_g, new.finished_at, new.by_id, new.at, new.fuel_kind, new.fuel_amount, new.spilt_g)
  is not (old.boil_id, old.version, old.syrup_g, old.brix, old.instrument, old.sample_c, old.brix_20c, old.finish_c,
    old.skimmed_g, old.finished_at, old.by_id, old.at, old.fuel_kind, old.fuel_amount, old.spilt_g)
begin select raise(abort, 'a finish is never changed: correct it with a new version'); end;

drop trigger fills_stand;
create trigger fills_stand before update on fills
when not exists (select 1 from forgetting)
  or (new.boil_id, new.number, new.version, new.size_name, new.net_g, new.count, new.part, new.price_cents, new.by_id,
    new.at)
  is not (old.boil_id, old.number, old.version, old.size_name, old.net_g, old.count, old.part, old.price_cents, old.by_id,
    old.at)
begin select raise(abort, 'a fill is never changed: correct it with a new version'); end;

drop trigger losses_stand;
create trigger losses_stand before update on losses
when not exists (select 1 from forgetting)
  or (new.boil_id, new.what, new.lost_g, new.whole, new.by_id, new.at)
  is not (old.boil_id, old.what, old.lost_g, old.whole, old.by_id, old.at)
begin select raise(abort, 'a loss stands'); end;

drop trigger corrections_stand;
create trigger corrections_stand before update on corrections
when not exists (select 1 from forgetting)
  or (new.boil_id, new.version, new.by_id, new.at)
  is not (old.boil_id, old.version, old.by_id, old.at)
begin select raise(abort, 'a correction stands'); end;

drop trigger hand_overs_stand;
create trigger hand_overs_stand before update on hand_overs
when not exists (select 1 from forgetting)
  or (new.id, new.number, new.member_id, new.by_id, new.at)
  is not (old.id, old.number, old.member_id, old.by_id, old.at)
begin select raise(abort, 'a hand-over stands'); end;

drop trigger ledger_stand;
create trigger ledger_stand before update on ledger
when not exists (select 1 from forgetting)
  or (new.number, new.season_id, new.member_id, new.kind, new.grams, new.cents, new.boil_id, new.division_id, new.answers,
    new.by_id, new.at)
  is not (old.number, old.season_id, old.member_id, old.kind, old.grams, old.cents, old.boil_id, old.division_id, old.answers,
    old.by_id, old.at)
begin select raise(abort, 'a ledger line is never changed: answer it with another'); end;

drop trigger opening_checks_stand;
create trigger opening_checks_stand before update on opening_checks
when not exists (select 1 from forgetting)
  or (new.press_day_id, new.item, new.version, new.outcome, new.figure, new.unit, new.against, new.scale_id, new.sure,
    new.by_id, new.at)
  is not (old.press_day_id, old.item, old.version, old.outcome, old.figure, old.unit, old.against, old.scale_id, old.sure,
    old.by_id, old.at)
begin select raise(abort, 'an opening check is never changed: make it again'); end;

drop trigger additions_stand;
create trigger additions_stand before update on additions
when not exists (select 1 from forgetting)
  or (new.boil_id, new.number, new.what, new.maker, new.its_lot, new.dose, new.temp_c, new.void, new.replaces, new.by_id,
    new.at)
  is not (old.boil_id, old.number, old.what, old.maker, old.its_lot, old.dose, old.temp_c, old.void, old.replaces, old.by_id,
    old.at)
begin select raise(abort, 'an addition is never changed: put it right with another'); end;

drop trigger planting_versions_stand;
create trigger planting_versions_stand before update on planting_versions
when not exists (select 1 from forgetting)
  or (new.planting_id, new.version, new.variety, new.planted_on, new.row_m, new.apart_m, new.maturity_days, new.void,
    new.by_id, new.at)
  is not (old.planting_id, old.version, old.variety, old.planted_on, old.row_m, old.apart_m, old.maturity_days, old.void,
    old.by_id, old.at)
begin select raise(abort, 'what was said of a planting is never changed: add a version'); end;

drop trigger hours_stand;
create trigger hours_stand before update on hours
when not exists (select 1 from forgetting)
  or (new.line, new.season_id, new.member_id, new.minutes, new.credited_min)
  is not (old.line, old.season_id, old.member_id, old.minutes, old.credited_min)
begin select raise(abort, 'hours stand: take their line back'); end;

drop trigger offers_answered_once;
create trigger offers_answered_once before update on offers
when old.answer is not null
  and (not exists (select 1 from forgetting)
  or (new.id, new.waiting_id, new.start_min, new.start_again, new.minutes, new.made_at, new.ends_at, new.answer,
    new.answered_by, new.answered_at)
  is not (old.id, old.waiting_id, old.start_min, old.start_again, old.minutes, old.made_at, old.ends_at, old.answer,
    old.answered_by, old.answered_at))
begin select raise(abort, 'an offer is answered once'); end;

drop trigger day_changes_stand;
create trigger day_changes_stand before update on day_changes
when not exists (select 1 from forgetting)
  or (new.id, new.press_day_id, new.kind, new.by_id, new.at)
  is not (old.id, old.press_day_id, old.kind, old.by_id, old.at)
begin select raise(abort, 'what was changed on a day is never changed'); end;

drop trigger juice_losses_stand;
create trigger juice_losses_stand before update on juice_losses
when not exists (select 1 from forgetting)
  or (new.juice_id, new.number, new.version, new.amount_g, new.what, new.lost_at, new.by_id, new.at)
  is not (old.juice_id, old.number, old.version, old.amount_g, old.what, old.lost_at, old.by_id, old.at)
begin select raise(abort, 'a loss is never changed: correct it with a new version'); end;

drop trigger ticket_ends_stand;
create trigger ticket_ends_stand before update on ticket_ends
when not exists (select 1 from forgetting)
  or (new.ticket_id, new.version, new.unpressed, new.by_id, new.at)
  is not (old.ticket_id, old.version, old.unpressed, old.by_id, old.at)
begin select raise(abort, 'what became of a ticket is never changed: write a new version'); end;

drop trigger boil_rules_stand;
create trigger boil_rules_stand before update on boil_rules
when not exists (select 1 from forgetting)
  or (new.boil_id, new.version, new.rules_id, new.by_id, new.at)
  is not (old.boil_id, old.version, old.rules_id, old.by_id, old.at)
begin select raise(abort, 'a boil that was moved to other rules is moved again, not rewritten'); end;

drop trigger divisions_stand;
create trigger divisions_stand before update on divisions
when not exists (select 1 from forgetting)
  or (new.id, new.boil_id, new.version, new.basis, new.toll_bp, new.jarred_g, new.syrup_g, new.brix_20c, new.after_line,
    new.by_id, new.at, new.signed_by_id)
  is not (old.id, old.boil_id, old.version, old.basis, old.toll_bp, old.jarred_g, old.syrup_g, old.brix_20c, old.after_line,
    old.by_id, old.at, old.signed_by_id)
begin select raise(abort, 'a division stands'); end;

drop trigger member_names_stand;
create trigger member_names_stand before update on member_names
when not exists (select 1 from forgetting)
  or (new.member_id, new.version, new.by_id, new.at)
  is not (old.member_id, old.version, old.by_id, old.at)
begin select raise(abort, 'a name that was borne stands'); end;

drop trigger lot_holds_stand;
create trigger lot_holds_stand before update on lot_holds
when not exists (select 1 from forgetting)
  or (new.boil_id, new.number, new.held, new.by_id, new.at)
  is not (old.boil_id, old.number, old.held, old.by_id, old.at)
begin select raise(abort, 'a hold stands'); end;

drop trigger lot_complaints_stand;
create trigger lot_complaints_stand before update on lot_complaints
when not exists (select 1 from forgetting)
  or (new.boil_id, new.number, new.by_id, new.at)
  is not (old.boil_id, old.number, old.by_id, old.at)
begin select raise(abort, 'a complaint stands'); end;

drop trigger recalls_stand;
create trigger recalls_stand before update on recalls
when not exists (select 1 from forgetting)
  or (new.id, new.number, new.drill, new.start, new.by_id, new.at)
  is not (old.id, old.number, old.drill, old.start, old.by_id, old.at)
begin select raise(abort, 'a recall stands'); end;

drop trigger recall_calls_stand;
create trigger recall_calls_stand before update on recall_calls
when not exists (select 1 from forgetting)
  or (new.recall_id, new.call, new.number, new.reached, new.by_id, new.at)
  is not (old.recall_id, old.call, old.number, old.reached, old.by_id, old.at)
begin select raise(abort, 'a call stands'); end;

drop trigger recall_ends_stand;
create trigger recall_ends_stand before update on recall_ends
when not exists (select 1 from forgetting)
  or (new.recall_id, new.by_id, new.at)
  is not (old.recall_id, old.by_id, old.at)
begin select raise(abort, 'a recall stands'); end;

drop trigger season_frosts_stand;
create trigger season_frosts_stand before update on season_frosts
when not exists (select 1 from forgetting)
  or (new.season_id, new.version, new.early_on, new.middle_on, new.late_on, new.by_id, new.at)
  is not (old.season_id, old.version, old.early_on, old.middle_on, old.late_on, old.by_id, old.at)
begin select raise(abort, 'what was said of frost is never changed: add a version'); end;

drop trigger second_readings_stand;
create trigger second_readings_stand before update on second_readings
when not exists (select 1 from forgetting)
  or (new.juice_id, new.number, new.brix, new.temp_c, new.instrument, new.by_id, new.at)
  is not (old.juice_id, old.number, old.brix, old.temp_c, old.instrument, old.by_id, old.at)
begin select raise(abort, 'a second reading stands: read once more'); end;

drop trigger jar_moves_stand;
create trigger jar_moves_stand before update on jar_moves
when not exists (select 1 from forgetting)
  or (new.number, new.kind, new.boil_id, new.size_name, new.net_g, new.part, new.member_id, new.receipt, new.count,
    new.by_id, new.at)
  is not (old.number, old.kind, old.boil_id, old.size_name, old.net_g, old.part, old.member_id, old.receipt, old.count,
    old.by_id, old.at)
begin select raise(abort, 'what became of a jar stands'); end;

drop trigger empty_jars_stand;
create trigger empty_jars_stand before update on empty_jars
when not exists (select 1 from forgetting)
  or (new.number, new.size_name, new.counted, new.count, new.by_id, new.at)
  is not (old.number, old.size_name, old.counted, old.count, old.by_id, old.at)
begin select raise(abort, 'what was counted stands'); end;

drop trigger lot_looks_stand;
create trigger lot_looks_stand before update on lot_looks
when not exists (select 1 from forgetting)
  or (new.boil_id, new.number, new.brix, new.temp_c, new.colour, new.ph, new.by_id, new.at)
  is not (old.boil_id, old.number, old.brix, old.temp_c, old.colour, old.ph, old.by_id, old.at)
begin select raise(abort, 'what was looked at stands'); end;

drop trigger season_locks_stand;
create trigger season_locks_stand before update on season_locks
when not exists (select 1 from forgetting)
  or (new.season_id, new.number, new.locked, new.by_id, new.at)
  is not (old.season_id, old.number, old.locked, old.by_id, old.at)
begin select raise(abort, 'a lock stands'); end;

drop trigger press_days_locked_update;
create trigger press_days_locked_update before update on press_days
when exists (select 1 from locked_seasons s where s.season_id = new.season_id)
  and (not exists (select 1 from forgetting)
  or (new.id, new.season_id, new.date, new.opens_min, new.closes_min, new.mill_g_per_h, new.changeover_min, new.closed_at,
    new.version, new.made_by, new.made_at)
  is not (old.id, old.season_id, old.date, old.opens_min, old.closes_min, old.mill_g_per_h, old.changeover_min, old.closed_at,
    old.version, old.made_by, old.made_at))
begin select raise(abort, 'this season is locked'); end;

drop trigger tickets_locked_update;
create trigger tickets_locked_update before update on tickets
when exists (select 1 from locked_seasons s where s.season_id = new.season_id)
  and (not exists (select 1 from forgetting)
  or (new.id, new.season_id, new.ticket, new.press_day_id, new.member_id, new.turn_id, new.cut_at, new.stripped, new.headed,
    new.clean, new.frosted, new.made_by, new.made_at, new.stripped_said, new.headed_said, new.clean_said,
    new.frosted_said)
  is not (old.id, old.season_id, old.ticket, old.press_day_id, old.member_id, old.turn_id, old.cut_at, old.stripped, old.headed,
    old.clean, old.frosted, old.made_by, old.made_at, old.stripped_said, old.headed_said, old.clean_said,
    old.frosted_said))
begin select raise(abort, 'this season is locked'); end;

drop trigger loss_changes_stand;
create trigger loss_changes_stand before update on loss_changes
when not exists (select 1 from forgetting)
  or (new.boil_id, new.number, new.what, new.lost_g, new.whole, new.by_id, new.at)
  is not (old.boil_id, old.number, old.what, old.lost_g, old.whole, old.by_id, old.at)
begin select raise(abort, 'a loss stands'); end;
