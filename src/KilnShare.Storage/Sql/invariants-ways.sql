-- What must hold so that nobody is locked out and nothing is fired twice. Each row that comes back is an offence. Run as kilnshare_audit, over all studios.
with live as (
  select c.*, f.state as firing_state, f.kiln_id from booked_copy c join firing f on f.studio_id = c.studio_id and f.id = c.firing_id where c.state <> 'Withdrawn'
), inside as (
  select i.studio_id, i.firing_id, i.piece_id, i.copy from load_item i join firing f on f.studio_id = i.studio_id and f.id = i.firing_id
  where i.fate = 'Placed' and f.state in ('Loaded', 'Heating', 'Cooling')
)
-- A studio has an owner who has not left.
select 'studio-without-owner' as rule, s.studio_id, s.studio_id::text as subject, s.name as detail
from studio s where not exists (select from member m where m.studio_id = s.studio_id and m.role = 'Owner' and m.archived_at is null)
union all
-- Nobody waits for a firing that is loaded or over.
select 'waiting-in-closed-firing', studio_id, booking_id::text, format('copy %s of %s waits for firing %s, %s', copy, piece_id, firing_id, firing_state)
from live where state = 'Waiting' and firing_state not in ('Draft', 'Accepting', 'Fixed')
union all
-- Nothing keeps a place in a firing that was called off.
select 'booked-in-cancelled-firing', studio_id, booking_id::text, format('copy %s of %s in firing %s', copy, piece_id, firing_id)
from live where state = 'Confirmed' and firing_state = 'Cancelled'
union all
-- What is booked and not yet out of the kiln has not been put away.
select 'archived-piece-booked', l.studio_id, l.piece_id::text, format('copy %s in firing %s, %s', l.copy, l.firing_id, l.firing_state)
from live l join piece p on p.studio_id = l.studio_id and p.id = l.piece_id and p.archived_at is not null
where l.firing_state in ('Draft', 'Accepting', 'Fixed', 'Loaded', 'Heating', 'Cooling')
union all
select distinct 'archived-kiln-booked', l.studio_id, l.kiln_id::text, format('firing %s, %s', l.firing_id, l.firing_state)
from live l join kiln k on k.studio_id = l.studio_id and k.id = l.kiln_id and k.archived_at is not null
where l.firing_state in ('Draft', 'Accepting', 'Fixed', 'Loaded', 'Heating', 'Cooling')
union all
-- A register grows, unless it rolled over or the meter was exchanged; a struck reading counts nowhere. Kilns on one meter share its readings over all their firings.
select 'register-fell', studio_id, id::text, format('%s at %s: %s after %s', meter, read_at, register_kwh, before)
from (
  select r.*, lag(coalesce(new_register_kwh, register_kwh)) over (
    partition by studio_id, meter, case when is_shared then null else firing_id end order by read_at, id) as before
  from meter_reading r where r.struck_at is null
) readings where event <> 'Rollover' and register_kwh < before
union all
-- A copy is in one kiln at a time.
select 'copy-in-two-kilns', studio_id, piece_id::text, format('copy %s in %s', copy, string_agg(firing_id::text, ' and ' order by firing_id))
from inside group by studio_id, piece_id, copy having count(*) > 1
union all
-- What is in a kiln, booked for it or not, is booked nowhere else for the step that is being fired.
select 'copy-in-kiln-booked-elsewhere', l.studio_id, l.piece_id::text, format('copy %s is in firing %s and %s in firing %s', l.copy, i.firing_id, lower(l.state), l.firing_id)
from live l join inside i on i.studio_id = l.studio_id and i.piece_id = l.piece_id and i.copy = l.copy and i.firing_id <> l.firing_id
join piece_copy p on p.studio_id = l.studio_id and p.piece_id = l.piece_id and p.copy = l.copy
where l.step = p.step and l.firing_state not in ('Unloaded', 'Settled', 'Cancelled')
order by 1, 2, 3
