-- Rows from before bookings said who approved them and why they were let go. Run by the owner, who sees all studios for so long only.
do $$
declare
  wanted text;
begin
  foreach wanted in array array['studio', 'kiln', 'firing', 'booking', 'booked_copy', 'audit', 'outbox'] loop
    execute format('alter table %I no force row level security', wanted);
  end loop;
end $$;

-- Who said yes stands in the audit trail; of a yes that was carried over from another firing it does not, and stays unknown.
update booking b set approved_by = a.member_id, approved_at = a.at
from (select distinct on (studio_id, subject) studio_id, subject, member_id, at from audit
  where action = 'bookings.approve' and member_id is not null order by studio_id, subject, at desc) a
where a.studio_id = b.studio_id and a.subject = b.id::text and b.technician_reason is not null and b.approved_by is null;

-- Who still waits in a firing that is loaded or over, and whatever is live in one that was called off, is let go and told.
with gone as (
  select b.studio_id, b.id, format('The firing in %s on %s was %s. Book it in another firing.', k.making ->> 'name',
    to_char(f.starts_at at time zone s.time_zone, 'YYYY-MM-DD'), case when f.state = 'Cancelled' then 'called off' else 'loaded without it' end) as reason
  from booking b
  join firing f on f.studio_id = b.studio_id and f.id = b.firing_id
  join kiln k on k.studio_id = f.studio_id and k.id = f.kiln_id
  join studio s on s.studio_id = b.studio_id
  where (b.state = 'Waiting' and f.state in ('Loaded', 'Heating', 'Cooling', 'Unloaded', 'Settled')) or (b.state <> 'Withdrawn' and f.state = 'Cancelled')
), freed as (
  update booked_copy c set state = 'Withdrawn', shelf_no = null, x = null, y = null, rotation_thousandths = null, stack_level = null, open_above = null,
    core_x = null, core_y = null, core_radius = null
  from gone where c.studio_id = gone.studio_id and c.booking_id = gone.id and c.state <> 'Withdrawn'
), noted as (
  insert into audit (studio_id, id, at, member_id, action, subject) select studio_id, gen_random_uuid(), now(), null, 'bookings.let-go', id::text from gone
), told as (
  insert into outbox (studio_id, id, at, kind, payload) select studio_id, gen_random_uuid(), now(), 'bookings.let-go', jsonb_build_object('id', id) from gone
)
update booking b set state = 'Withdrawn', waits_for = null, let_go_reason = gone.reason, let_go_at = now(), version = b.version + 1
from gone where b.studio_id = gone.studio_id and b.id = gone.id;

set constraints all immediate;
do $$
declare
  wanted text;
begin
  foreach wanted in array array['studio', 'kiln', 'firing', 'booking', 'booked_copy', 'audit', 'outbox'] loop
    execute format('alter table %I force row level security', wanted);
  end loop;
end $$;
