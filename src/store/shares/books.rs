//! The whole book, sheet by sheet: all that the divisions and balances rest on, for somebody who rebuilds them without this
//! program. Members stand in it by their number, boils by their lot.

use crate::store::question::{self, Arm};
use crate::store::{Conn, Stored};
use sqlx::sqlite::SqliteRow;
use sqlx::{Row, TypeInfo, ValueRef};

/// One sheet: a name, its columns in order, and where its rows come from.
#[derive(Debug, Clone, Copy)]
pub struct BookSheet {
    /// Name of the sheet, as of a file.
    pub name: &'static str,
    /// What one row of the sheet stands for, in words.
    pub about: &'static str,
    /// Names of the columns, with a comma between.
    pub columns: &'static str,
    sql: &'static str,
}

impl BookSheet {
    /// Names of the columns, in order.
    pub fn heads(&self) -> Vec<&'static str> {
        self.columns.split(',').collect()
    }
}

/// The content of a cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// The cell is empty.
    Empty,
    /// A whole number.
    Whole(i64),
    /// A measured number.
    Real(f64),
    /// Text.
    Text(String),
}

const fn sheet(
    name: &'static str,
    about: &'static str,
    columns: &'static str,
    sql: &'static str,
) -> BookSheet {
    BookSheet {
        name,
        about,
        columns,
        sql,
    }
}

/// The ledger.
pub const LEDGER: BookSheet = sheet(
    "ledger",
    "one line of the ledger",
    "line,season,member,kind,grams,cents,lot,division,says,answers,jar_move,by,at,member_name,by_name",
    "select l.number, s.year, m.number, l.kind, l.grams, l.cents, coalesce(b.lot_code, j.lot_code), d.version, l.says, l.answers, l.jar_move, w.number, l.at,
    coalesce(m.name, 'mill'), w.name
    from ledger l join seasons s on s.id = l.season_id left join members m on m.id = l.member_id
    left join boils b on b.id = l.boil_id left join divisions d on d.id = l.division_id join members w on w.id = l.by_id
    left join jar_moves v on v.number = coalesce(l.jar_move, (select o.jar_move from ledger o where o.number = l.answers))
    left join boils j on j.id = v.boil_id order by l.number",
);

/// The juices: their rows get what was reckoned of them as well.
pub const JUICES: BookSheet = sheet(
    "juices",
    "one measuring of one juice",
    "juice,season,ticket,vessel,version,amount_kind,amount,sediment,temp_c,instrument,brix_1,brix_2,brix_3,crossed_out,why,by,pressed_at,at",
    "select j.id, s.year, t.ticket, v.name, x.version, x.amount_kind, x.amount, x.sediment, x.temp_c, x.instrument, x.brix_1,
    x.brix_2, x.brix_3, x.void, x.why, m.number, coalesce(x.pressed_at, j.pressed_at), x.at
    from juice_measures x join juices j on j.id = x.juice_id join tickets t on t.id = j.ticket_id
    join seasons s on s.id = t.season_id join vessels v on v.id = j.vessel_id join members m on m.id = x.by_id
    order by s.year, t.ticket, j.made_at, j.id, x.version",
);

/// All sheets of the book but the juices.
pub const SHEETS: [BookSheet; 35] = [
    sheet(
        "members",
        "one member",
        "member,id,name,phone,email,call_by,address,clock,role,pools,named,in_queue,left_at,made_at",
        "select number, id, name, phone, email, call_by, address, clock, role, pools, named, in_queue, left_at, made_at
        from members order by number",
    ),
    sheet(
        "member_names",
        "one name that a member bore",
        "member,version,name,by,at",
        "select m.number, n.version, n.name, w.number, n.at from member_names n join members m on m.id = n.member_id
        left join members w on w.id = n.by_id order by m.number, n.version",
    ),
    sheet(
        "seasons",
        "one season",
        "season,opened_at",
        "select year, opened_at from seasons order by year",
    ),
    sheet(
        "rules",
        "one version of a season's rules",
        "season,rules,basis,toll_bp,rates_in,cane_mc,juice_mc,jar_fee_cents,least_cents,boil_fee_cents,hour_cents,hours_most,syrup_mc,loss,patronage,second_signature,trash_off,mill_mends,lots_repay_pct,target_bx,note,by,made_at,holds_from,confirmed_at",
        "select s.year, r.number, r.basis, r.toll_bp, r.rates_in, r.cane_mc, r.juice_mc, r.jar_fee_cents, r.least_cents,
        r.boil_fee_cents, r.hour_cents, r.hours_most, r.syrup_mc, r.loss, r.patronage, r.second_signature, r.trash_off, case when exists (select 1 from rules_not_voted v where v.rules_id = r.id and v.rule = 'mill_mends') then null else r.mill_mends end, r.lots_repay_pct, r.target_bx,
        r.note, m.number, r.made_at, c.holds_from, c.at from season_rules r join seasons s on s.id = r.season_id
        join members m on m.id = r.made_by left join rules_held c on c.rules_id = r.id order by s.year, r.number",
    ),
    sheet(
        "jar_sizes",
        "one size of jar in a version of the rules",
        "season,rules,size_name,net_g,price_cents",
        "select s.year, r.number, z.name, z.net_g, z.price_cents from jar_sizes z join season_rules r on r.id = z.rules_id
        join seasons s on s.id = r.season_id order by s.year, r.number, z.position",
    ),
    sheet(
        "press_days",
        "one press day",
        "season,press_day,opens_min,closes_min,note",
        "select s.year, p.date, p.opens_min, p.closes_min, p.note from press_days p join seasons s on s.id = p.season_id
        order by p.date",
    ),
    sheet(
        "tickets",
        "one ticket: the cane of one member on one day",
        "season,ticket,press_day,member,cut_at,stripped,headed,clean,frosted,note,by,made_at",
        "select s.year, t.ticket, p.date, m.number, t.cut_at, case when t.stripped_said then t.stripped end, case when t.headed_said then t.headed end,
        case when t.clean_said then t.clean end, case when t.frosted_said then t.frosted end, t.note, w.number, t.made_at
        from tickets t join seasons s on s.id = t.season_id join press_days p on p.id = t.press_day_id
        join members m on m.id = t.member_id join members w on w.id = t.made_by order by s.year, t.ticket",
    ),
    sheet(
        "ticket_moves",
        "one ticket put under another member",
        "season,ticket,move,from_member,to_member,by,at",
        "select s.year, t.ticket, v.number, f.number, o.number, w.number, v.at from ticket_moves v
        join tickets t on t.id = v.ticket_id join seasons s on s.id = t.season_id join members f on f.id = v.from_member
        join members o on o.id = v.to_member join members w on w.id = v.by_id order by s.year, t.ticket, v.number",
    ),
    sheet(
        "ticket_ends",
        "cane that was not pressed, or is after all",
        "season,ticket,version,unpressed,went,by,at",
        "select s.year, t.ticket, e.version, e.unpressed, e.went, w.number, e.at from ticket_ends e
        join tickets t on t.id = e.ticket_id join seasons s on s.id = t.season_id join members w on w.id = e.by_id
        order by s.year, t.ticket, e.version",
    ),
    sheet(
        "loads",
        "one weighing of one load",
        "season,ticket,load,version,scale,graduation_g,gross_g,tare_g,net_g,net_lb_10000,crossed_out,why,by,weighed_at,at",
        "select s.year, t.ticket, l.number, l.version, c.name, l.graduation_g, l.gross_g, l.tare_g,
        coalesce(l.net_g, l.gross_g - l.tare_g), l.net_lb, l.void, l.why, w.number,
        coalesce(l.weighed_at, l.at), l.at from loads l join tickets t on t.id = l.ticket_id join seasons s on s.id = t.season_id
        join scales c on c.id = l.scale_id join members w on w.id = l.by_id order by s.year, t.ticket, l.number, l.version",
    ),
    sheet(
        "trash_samples",
        "one sample of a ticket's cane, weighed as it came and stripped",
        "season,ticket,version,before_g,after_g,crossed_out,by,at",
        "select s.year, t.ticket, x.version, x.before_g, x.after_g, x.void, w.number, x.at from trash_samples x
        join tickets t on t.id = x.ticket_id join seasons s on s.id = t.season_id join members w on w.id = x.by_id
        order by s.year, t.ticket, x.version",
    ),
    sheet(
        "juice_losses",
        "juice that was spilt, spoilt or measured twice",
        "juice,loss,version,amount_g,what,note,lost_at,by,at",
        "select l.juice_id, l.number, l.version, l.amount_g, l.what, l.note, l.lost_at, w.number, l.at from juice_losses l
        join members w on w.id = l.by_id order by l.juice_id, l.number, l.version",
    ),
    sheet(
        "boils",
        "one boil",
        "lot,id,season,rules,press_day,pan,target_bx,water_boil_c,lit_at,cook,note",
        "select b.lot_code, b.id, s.year, r.number, p.date, n.name, b.target_bx, b.water_boil_c, b.lit_at, w.number, b.note
        from boils b join seasons s on s.id = b.season_id join season_rules r on r.id = b.rules_id
        join press_days p on p.id = b.press_day_id left join pans n on n.id = b.pan_id join members w on w.id = b.cook_id
        order by b.lit_at, b.id",
    ),
    sheet(
        "boil_rules",
        "one boil moved to another version of the rules",
        "lot,version,rules,why,by,at",
        "select b.lot_code, x.version, r.number, x.why, w.number, x.at from boil_rules x join boils b on b.id = x.boil_id
        join season_rules r on r.id = x.rules_id join members w on w.id = x.by_id order by b.lit_at, b.id, x.version",
    ),
    sheet(
        "draws",
        "juice poured into a boil",
        "lot,juice,version,amount_g,all_that_is_left,why,by,at",
        "select b.lot_code, d.juice_id, d.version, d.amount_g, d.whole, d.why, w.number, d.at from draws d
        join boils b on b.id = d.boil_id join members w on w.id = d.by_id order by b.lit_at, b.id, d.juice_id, d.version",
    ),
    sheet(
        "readings",
        "one reading of a boil",
        "lot,reading,read_at,temp_c,brix,note,replaces,by,at",
        "select b.lot_code, r.number, r.read_at, r.temp_c, r.brix, r.note, r.replaces, w.number, r.at from boil_readings r
        join boils b on b.id = r.boil_id join members w on w.id = r.by_id order by b.lit_at, b.id, r.number",
    ),
    sheet(
        "additions",
        "what was added to a boil",
        "lot,addition,what,maker,its_lot,dose,temp_c,crossed_out,replaces,why,by,at",
        "select b.lot_code, a.number, a.what, a.maker, a.its_lot, a.dose, a.temp_c, a.void, a.replaces, a.why, w.number, a.at
        from additions a join boils b on b.id = a.boil_id join members w on w.id = a.by_id order by b.lit_at, b.id, a.number",
    ),
    sheet(
        "finishes",
        "one measuring of a finished boil",
        "lot,version,syrup_g,brix,brix_20c,finish_c,skimmed_g,spilt_g,why,by,finished_at,at",
        "select b.lot_code, f.version, f.syrup_g, f.brix, f.brix_20c, f.finish_c, f.skimmed_g, f.spilt_g, f.why, w.number,
        f.finished_at, f.at from finishes f join boils b on b.id = f.boil_id join members w on w.id = f.by_id
        order by b.lit_at, b.id, f.version",
    ),
    sheet(
        "fills",
        "jars filled of one size, as counted",
        "lot,fill,version,size_name,net_g,count,part,price_cents,why,by,filled_at,at",
        "select b.lot_code, f.number, f.version, f.size_name, f.net_g, f.count, f.part, f.price_cents, f.why, w.number, coalesce(f.filled_at, f.at), f.at
        from fills f join boils b on b.id = f.boil_id join members w on w.id = f.by_id
        order by b.lit_at, b.id, f.number, f.version",
    ),
    sheet(
        "typed_in",
        "an entry that was written on paper first",
        "entry,record,measured_by,typed_by,typed_at",
        "select t.action, case t.action when 'light_boil' then t.record else coalesce(b.lot_code, t.record) end, m.number, w.number,
        t.typed_at from typed_in t left join boils b on b.id = t.record join members m on m.id = t.measured_by
        join members w on w.id = t.typed_by order by t.typed_at, t.form_key",
    ),
    sheet(
        "boil_losses",
        "a boil lost, or a part of one",
        "lot,line,what,lost_g,all_of_it,why,by,at",
        "select b.lot_code, l.line, l.what, l.lost_g, l.whole, l.why, w.number, l.at from (
          select boil_id, 1 as line, what, lost_g, whole, why, by_id, at from losses
          union all select boil_id, number, what, lost_g, whole, why, by_id, at from loss_changes
        ) l join boils b on b.id = l.boil_id join members w on w.id = l.by_id order by b.lit_at, b.id, l.line",
    ),
    sheet(
        "divisions",
        "one version of a boil's division",
        "lot,division,way,basis,toll_bp,jarred_g,syrup_g,brix_20c,after_line,signed_by,by,at",
        "select b.lot_code, d.version, d.way, d.basis, d.toll_bp, d.jarred_g, d.syrup_g, d.brix_20c, d.after_line, d.signed_by, w.number, d.at
        from divisions d join boils b on b.id = d.boil_id join members w on w.id = d.by_id order by d.after_line, d.at, d.id",
    ),
    sheet(
        "corrections",
        "one boil opened to be put right",
        "lot,division,why,by,at",
        "select b.lot_code, c.version, c.why, w.number, c.at from corrections c join boils b on b.id = c.boil_id
        join members w on w.id = c.by_id order by b.lit_at, b.id, c.version",
    ),
    sheet(
        "shares",
        "the share of one member, or of the mill, in a division",
        "lot,division,place,member,weight,solids_g,carried_g,entitled_g,jarred_g,carry_g,favoured_at",
        "select b.lot_code, d.version, s.place, m.number, s.weight, s.solids_g, s.carried_g, s.entitled_g, s.jarred_g, s.carry_g,
        s.favoured_at from shares s join divisions d on d.id = s.division_id join boils b on b.id = d.boil_id
        left join members m on m.id = s.member_id order by d.after_line, d.at, d.id, s.place",
    ),
    sheet(
        "share_wishes",
        "a size of jar that a sharer wished for",
        "lot,division,place,net_g",
        "select b.lot_code, d.version, s.place, s.net_g from share_wishes s join divisions d on d.id = s.division_id
        join boils b on b.id = d.boil_id order by d.after_line, d.at, d.id, s.place, s.net_g",
    ),
    sheet(
        "share_jars",
        "jars of one kind set aside for a sharer",
        "lot,division,place,size_name,net_g,part,count",
        "select b.lot_code, d.version, s.place, s.size_name, s.net_g, s.part, s.count from share_jars s
        join divisions d on d.id = s.division_id join boils b on b.id = d.boil_id
        order by d.after_line, d.at, d.id, s.place, s.net_g desc, s.size_name, s.part",
    ),
    sheet(
        "hand_overs",
        "jars leaving the mill, once",
        "hand_over,member,given_to,note,by,at",
        "select o.number, m.number, o.signed_by, o.note, w.number, o.at from hand_overs o
        left join members m on m.id = o.member_id join members w on w.id = o.by_id order by o.number",
    ),
    sheet(
        "settled_jars",
        "jars of the mill's own that settled what a member was owed",
        "hand_over,member,season,line",
        "select s.receipt, m.number, y.year, s.line from settled_jars s join members m on m.id = s.member_id
        join seasons y on y.id = s.season_id order by s.receipt",
    ),
    sheet(
        "hand_over_jars",
        "jars of one kind in a hand-over",
        "hand_over,lot,size_name,net_g,part,count",
        "select o.number, b.lot_code, j.size_name, j.net_g, j.part, j.count from hand_over_jars j
        join hand_overs o on o.id = j.hand_over_id join boils b on b.id = j.boil_id
        order by o.number, b.lot_code, j.net_g desc, j.size_name, j.part",
    ),
    sheet(
        "jar_moves",
        "jars of one kind that came back, broke, went missing or were found",
        "move,kind,by_mistake,lot,size_name,net_g,part,member,hand_over,count,why,by,at",
        "select v.number, v.kind, v.by_mistake, b.lot_code, v.size_name, v.net_g, v.part, m.number, v.receipt, v.count, v.why, w.number, v.at
        from jar_moves v join boils b on b.id = v.boil_id left join members m on m.id = v.member_id
        join members w on w.id = v.by_id order by v.number",
    ),
    sheet(
        "payments",
        "one payment on a line of the ledger",
        "line,receipt,kind,paid_on",
        "select line, receipt, kind, paid_on from payments order by line",
    ),
    sheet(
        "lot_looks",
        "one look at a lot",
        "lot,look,brix,temp_c,colour,taste,ph,smell,by,at",
        "select b.lot_code, l.number, l.brix, l.temp_c, l.colour, l.taste, l.ph, l.smell, w.number, l.at from lot_looks l
        join boils b on b.id = l.boil_id join members w on w.id = l.by_id order by b.lit_at, b.id, l.number",
    ),
    sheet(
        "empty_jars",
        "empty jars of one size that were counted or came in",
        "line,size_name,counted,count,note,by,at",
        "select e.number, e.size_name, e.counted, e.count, e.note, w.number, e.at from empty_jars e
        join members w on w.id = e.by_id order by e.number",
    ),
    LEDGER,
    sheet(
        "hours",
        "hours worked that a line of the ledger credits",
        "line,season,member,minutes,credited_min,what,worked_on",
        "select h.line, s.year, m.number, h.minutes, h.credited_min, h.what, h.worked_on from hours h join seasons s on s.id = h.season_id
        join members m on m.id = h.member_id order by h.line",
    ),
];

/// Reads some sheets in one message, and hands on each row as it comes, with the place of its sheet: a book is read without
/// being kept.
///
/// # Errors
/// The database failed.
pub async fn each_row(
    conn: &mut Conn,
    sheets: &[BookSheet],
    mut take: impl FnMut(usize, Vec<Cell>) + Send,
) -> Stored<()> {
    let asked = sheets.iter().map(|one| Arm::of(one.sql, Vec::new()));
    let take = |place: usize, row: SqliteRow| {
        take(place, cells(&row)?);
        Ok(())
    };
    question::each_row(conn, asked.collect(), take).await
}

fn cells(row: &SqliteRow) -> Stored<Vec<Cell>> {
    let mut cells = Vec::with_capacity(row.len());
    for place in 0..row.len() {
        // A column's type is known also where nothing stands in it: that is asked first.
        let (nothing, kind) = {
            let raw = row.try_get_raw(place)?;
            (raw.is_null(), raw.type_info().name().to_owned())
        };
        cells.push(match kind.as_str() {
            _ if nothing => Cell::Empty,
            "INTEGER" => Cell::Whole(row.try_get(place)?),
            "REAL" => Cell::Real(row.try_get(place)?),
            _ => Cell::Text(row.try_get(place)?),
        });
    }
    Ok(cells)
}
