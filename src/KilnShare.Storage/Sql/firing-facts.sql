-- What is in a kiln is live there; how firings came out can be put right. Run once, by the owner, over whatever the first release left.

call wall_table('firing_correction', 'select, insert');

-- The owner mends rows of all studios: for that the walls between them are let down inside this transaction.
do $$
declare
  wanted text;
begin
  foreach wanted in array array['firing', 'load_item', 'booked_copy', 'booking', 'firing_load', 'piece_copy', 'piece', 'audit', 'outbox'] loop
    execute format('alter table %I no force row level security', wanted);
  end loop;
end $$;

-- Ware that went in at loading without a booking, and is in a kiln now.
create temporary table put_in on commit drop as
select distinct on (i.studio_id, i.piece_id, i.copy) i.studio_id, i.firing_id, i.piece_id, i.copy, c.step, i.frozen, p.member_id
from load_item i
join firing f on f.studio_id = i.studio_id and f.id = i.firing_id and f.state in ('Loaded', 'Heating', 'Cooling')
join piece_copy c on c.studio_id = i.studio_id and c.piece_id = i.piece_id and c.copy = i.copy
join piece p on p.studio_id = i.studio_id and p.id = i.piece_id
where i.fate = 'Placed'
  and not exists (select from booked_copy b where b.studio_id = i.studio_id and b.firing_id = i.firing_id and b.piece_id = i.piece_id and b.copy = i.copy and b.state <> 'Withdrawn')
  -- What was sold twice and is in two kilns by two lists stays with the one it was booked for; the invariants name the other.
  and not exists (
    select from booked_copy b join firing g on g.studio_id = b.studio_id and g.id = b.firing_id and g.state in ('Loaded', 'Heating', 'Cooling')
    where b.studio_id = i.studio_id and b.piece_id = i.piece_id and b.copy = i.copy and b.step = c.step and b.state <> 'Withdrawn')
order by i.studio_id, i.piece_id, i.copy, f.starts_at;

-- Where it was booked for the same step elsewhere meanwhile, that booking is over: it cannot stand in two kilns.
create temporary table let_go on commit drop as
select b.studio_id, b.booking_id, b.firing_id, b.piece_id, b.copy
from booked_copy b join put_in k on k.studio_id = b.studio_id and k.piece_id = b.piece_id and k.copy = b.copy and k.step = b.step
where b.state <> 'Withdrawn';

update booked_copy b set state = 'Withdrawn', shelf_no = null, x = null, y = null, rotation_thousandths = null, stack_level = null, open_above = null,
  core_x = null, core_y = null, core_radius = null
from let_go g where b.studio_id = g.studio_id and b.booking_id = g.booking_id and b.piece_id = g.piece_id and b.copy = g.copy;

update booking b set state = 'Withdrawn', waits_for = null, version = b.version + 1
where b.state <> 'Withdrawn' and exists (select from let_go g where g.studio_id = b.studio_id and g.booking_id = b.id)
  and not exists (select from booked_copy c where c.studio_id = b.studio_id and c.booking_id = b.id and c.state <> 'Withdrawn');

update firing_load l set load_version = l.load_version + 1, booked_mass_g = (
  select coalesce(sum((c.frozen ->> 'massG')::numeric), 0) from booked_copy c where c.studio_id = l.studio_id and c.firing_id = l.firing_id and c.state = 'Confirmed')
where exists (select from let_go g where g.studio_id = l.studio_id and g.firing_id = l.firing_id);

insert into audit (studio_id, id, at, member_id, action, subject)
select studio_id, gen_random_uuid(), now(), null, 'bookings.let-go', booking_id::text from let_go group by studio_id, booking_id;
insert into outbox (studio_id, id, at, kind, payload)
select studio_id, gen_random_uuid(), now(), 'bookings.let-go', jsonb_build_object('id', booking_id) from let_go group by studio_id, booking_id;

create temporary table booked_by_loading on commit drop as
select studio_id, firing_id, member_id, gen_random_uuid() as id from put_in group by studio_id, firing_id, member_id;

insert into booking (studio_id, id, firing_id, member_id, state, accepts, stayed_behind, created_at, version)
select studio_id, id, firing_id, member_id, 'Loaded', '{}', false, now(), 1 from booked_by_loading;

insert into booked_copy (studio_id, piece_id, copy, booking_id, firing_id, step, frozen, is_room, state)
select k.studio_id, k.piece_id, k.copy, b.id, k.firing_id, k.step, k.frozen, false, 'Loaded'
from put_in k join booked_by_loading b on b.studio_id = k.studio_id and b.firing_id = k.firing_id and b.member_id = k.member_id;

do $$
declare
  wanted text;
begin
  -- What hangs on rows written here is looked at now, so that the tables can be altered again.
  set constraints all immediate;
  foreach wanted in array array['firing', 'load_item', 'booked_copy', 'booking', 'firing_load', 'piece_copy', 'piece', 'audit', 'outbox'] loop
    execute format('alter table %I force row level security', wanted);
  end loop;
end $$;

-- What a list says is in a kiln has a live booking there, at every commit, whatever the code does.
create function in_kiln_is_live() returns trigger language plpgsql as $$
begin
  if exists (
      select from load_item i join firing f on f.studio_id = i.studio_id and f.id = i.firing_id
      where i.studio_id = new.studio_id and i.firing_id = new.firing_id and i.piece_id = new.piece_id and i.copy = new.copy
        and i.fate = 'Placed' and f.state in ('Loaded', 'Heating', 'Cooling'))
    and not exists (
      select from booked_copy b
      where b.studio_id = new.studio_id and b.firing_id = new.firing_id and b.piece_id = new.piece_id and b.copy = new.copy and b.state <> 'Withdrawn' and b.step >= 0) then
    raise exception 'What is in a kiln is live there.' using errcode = '23514', constraint = 'ck_load_item_live';
  end if;
  return null;
end $$;

create constraint trigger ck_load_item_live after insert or update on load_item deferrable initially deferred
  for each row when (new.fate = 'Placed') execute function in_kiln_is_live();
create constraint trigger ck_booked_copy_in_kiln after update of state, step on booked_copy deferrable initially deferred
  for each row when (new.state = 'Withdrawn' or new.step < 0) execute function in_kiln_is_live();
