-- One word for one thing, as people at the mill say it: a turn (was: booking), a ticket (was: delivery),
-- a letter (was: mail). Renaming a table or column renames it in triggers and foreign keys as well.
alter table bookings rename to turns;
alter table booking_events rename to turn_events;
alter table deliveries rename to tickets;
alter table mails rename to letters;
alter table turn_events rename column booking_id to turn_id;
alter table tickets rename column booking_id to turn_id;
alter table loads rename column delivery_id to ticket_id;
alter table juices rename column delivery_id to ticket_id;
alter table waiting rename column from_booking_id to from_turn_id;
alter table waiting rename column booking_id to turn_id;
alter table booked_minutes rename column booking_id to turn_id;
alter table day_change_turns rename column booking_id to turn_id;
alter table notices rename column booking_id to turn_id;
