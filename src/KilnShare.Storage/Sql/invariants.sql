-- What must hold in every studio, always. Each row that comes back is an offence. Run as kilnshare_audit, which sees all studios.
with confirmed as (
  select * from booked_copy where state = 'Confirmed'
)
-- A confirmed copy stands on a shelf of its firing's plan.
select 'copy-without-shelf' as invariant, c.studio_id, c.firing_id::text as subject, format('copy %s of %s on shelf %s', c.copy, c.piece_id, c.shelf_no) as detail
from confirmed c
where not exists (select from plan_shelf s where s.studio_id = c.studio_id and s.firing_id = c.firing_id and s.shelf_no = c.shelf_no)
union all
-- No two confirmed copies share a place.
select 'place-sold-twice', a.studio_id, a.firing_id::text, format('copy %s of %s and copy %s of %s', a.copy, a.piece_id, b.copy, b.piece_id)
from confirmed a join confirmed b on a.studio_id = b.studio_id and a.firing_id = b.firing_id and a.shelf_no = b.shelf_no and a.stack_level = b.stack_level
  and (a.booking_id, a.piece_id, a.copy) < (b.booking_id, b.piece_id, b.copy)
  and circle(point(a.core_x::float8, a.core_y::float8), a.core_radius::float8) && circle(point(b.core_x::float8, b.core_y::float8), b.core_radius::float8)
union all
-- A copy is live once for a step of its route.
select 'copy-live-twice', studio_id, piece_id::text, format('copy %s, step %s: %s times', copy, step, count(*))
from booked_copy where state <> 'Withdrawn' and step >= 0 group by studio_id, piece_id, copy, step having count(*) > 1
union all
-- The counted mass is the mass of the confirmed copies (until the kiln is loaded).
select 'mass-counted-wrong', l.studio_id, l.firing_id::text, format('counted %s g, booked %s g', l.booked_mass_g, coalesce(sum((c.frozen ->> 'massG')::numeric), 0))
from firing_load l join firing f on f.studio_id = l.studio_id and f.id = l.firing_id and f.state in ('Draft', 'Accepting', 'Fixed')
left join confirmed c on c.studio_id = l.studio_id and c.firing_id = l.firing_id
group by l.studio_id, l.firing_id, l.booked_mass_g having l.booked_mass_g <> coalesce(sum((c.frozen ->> 'massG')::numeric), 0)
union all
-- A waiting booking holds no place, and a confirmed one waits for nothing.
select 'booking-and-copies-differ', b.studio_id, b.id::text, format('booking %s, copy %s', b.state, c.state)
from booking b join booked_copy c on c.studio_id = b.studio_id and c.booking_id = b.id
where (b.state = 'Waiting' and c.state = 'Confirmed') or (b.state = 'Confirmed' and c.state = 'Waiting') or (b.state = 'Withdrawn' and c.state <> 'Withdrawn')
union all
-- Reserved room is kept for a booking of room, and pieces are never in one.
select 'room-and-reserve-differ', b.studio_id, b.id::text, format('copy %s, room: %s', c.copy, c.is_room)
from booking b join booked_copy c on c.studio_id = b.studio_id and c.booking_id = b.id where c.is_room <> (b.reserved_until is not null)
union all
-- No room is kept past its time or the lighting of its firing; a job may be a quarter of an hour late.
select 'room-kept-too-long', c.studio_id, c.firing_id::text, format('copy %s until %s', c.copy, least(b.reserved_until, f.starts_at))
from confirmed c join booking b on b.studio_id = c.studio_id and b.id = c.booking_id join firing f on f.studio_id = c.studio_id and f.id = c.firing_id
where c.is_room and least(b.reserved_until, f.starts_at) < now() - interval '15 minutes'
union all
-- What is loaded or fired holds no room without ware.
select 'room-in-loaded-firing', c.studio_id, c.firing_id::text, f.state
from confirmed c join firing f on f.studio_id = c.studio_id and f.id = c.firing_id where c.is_room and f.state not in ('Draft', 'Accepting', 'Fixed')
union all
-- Pieces take over room of their own member in their own firing.
select 'room-taken-over-by-stranger', b.studio_id, b.id::text, b.reserve_id::text
from booking b join booking r on r.studio_id = b.studio_id and r.id = b.reserve_id
where r.member_id <> b.member_id or r.firing_id <> b.firing_id or r.reserved_until is null
union all
-- A firing takes bookings only while it is accepting.
select 'accepting-differs', l.studio_id, l.firing_id::text, f.state
from firing_load l join firing f on f.studio_id = l.studio_id and f.id = l.firing_id where l.accepting <> (f.state = 'Accepting')
union all
-- A kiln is kept for one live firing at a time.
select 'kiln-time-sold-twice', a.studio_id, a.kiln_id::text, format('%s and %s', a.id, b.id)
from firing a join firing b on a.studio_id = b.studio_id and a.kiln_id = b.kiln_id and a.id < b.id and a.state <> 'Cancelled' and b.state <> 'Cancelled'
  and a.starts_at < b.ends_at and b.starts_at < a.ends_at
union all
-- A piece has as many copies as it says.
select 'copies-miscounted', p.studio_id, p.id::text, format('quantity %s, copies %s', p.quantity, count(c.copy))
from piece p left join piece_copy c on c.studio_id = p.studio_id and c.piece_id = p.id group by p.studio_id, p.id, p.quantity having p.quantity <> count(c.copy)
union all
-- A firing is settled exactly when it has a settlement.
select 'settled-without-settlement', f.studio_id, f.id::text, f.state
from firing f where (f.state = 'Settled') <> exists (select from settlement s where s.studio_id = f.studio_id and s.firing_id = f.id)
union all
-- The entries of a firing add up to its newest settlement: what members and the studio owe it, reversals taken off.
select 'settlement-differs-from-books', s.studio_id, s.firing_id::text, format('settled %s, booked %s', s.split ->> 'totalMinor', coalesce(e.sum, 0))
from (select distinct on (studio_id, firing_id) * from settlement order by studio_id, firing_id, revision desc) s
left join lateral (
  select sum(case when credit in ('Firings', 'Vat') then amount_minor else -amount_minor end) as sum
  from ledger_entry l where l.studio_id = s.studio_id and l.subject = s.firing_id::text and l.kind in ('Settlement', 'Reversal') and ('Firings' in (l.debit, l.credit) or 'Vat' in (l.debit, l.credit))
) e on true
where (s.split ->> 'totalMinor')::bigint <> coalesce(e.sum, 0)
union all
-- One who waits is given room once.
select 'promoted-twice', studio_id, subject, count(*)::text from audit where action = 'bookings.promote' group by studio_id, subject having count(*) > 1
union all
-- A token's hash is a SHA-256.
select 'token-hash-length', studio_id, id::text, length(hash)::text from access_token where length(hash) <> 32
order by 1, 2, 3
