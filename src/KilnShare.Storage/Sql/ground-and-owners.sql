-- Walls of the second step: what a plan stands on, what is put away, meters, owners, the installation's token. Run once, by the owner.

call wall_table('plan_ground', 'select, insert, update');

-- Only whether a reading is struck may change; what was read stays as it was read.
grant update (struck_at, struck_by, struck_because) on meter_reading to kilnshare_app;

-- Which token counts for the installation once it was rotated, by the hash of the one in the settings. It belongs to no studio; the serving role alone
-- asks for it.
create table installation_token (configured bytea primary key, hash bytea not null, rotated_at timestamptz not null,
  constraint ck_installation_token check (length(configured) = 32 and length(hash) = 32));
grant select, insert, update on installation_token to kilnshare_app;

-- What is there already. The owner of the tables is held to the studio's wall too, so it is lifted while all studios are looked at.
do $$
declare
  wanted text;
  tables constant text[] := array['firing', 'kiln', 'plan_shelf', 'plan_ground', 'piece', 'booked_copy'];
begin
  foreach wanted in array tables loop
    execute format('alter table %I no force row level security', wanted);
  end loop;
  -- A plan keeps what it stands on: the kiln as it is now, which is all that is known. One not yet loaded whose shelves are gone is marked.
  insert into plan_ground (studio_id, firing_id, making, furniture, kiln_version, marked_at)
  select f.studio_id, f.id, k.making, k.furniture, k.version,
    case when f.state in ('Draft', 'Accepting', 'Fixed') and exists (
      select from plan_shelf s where s.studio_id = f.studio_id and s.firing_id = f.id
        and not exists (select from jsonb_array_elements(k.furniture -> 'shelves') kind where kind ->> 'id' = s.shelf_id)) then now() end
  from firing f join kiln k on k.studio_id = f.studio_id and k.id = f.kiln_id
  where exists (select from plan_shelf s where s.studio_id = f.studio_id and s.firing_id = f.id);
  -- Pieces that were put away while they were booked, and kilns while they had firings, are there again: their people can end that.
  update piece p set archived_at = null, version = version + 1
  where p.archived_at is not null and exists (
    select from booked_copy c join firing f on f.studio_id = c.studio_id and f.id = c.firing_id
    where c.studio_id = p.studio_id and c.named_piece_id = p.id and c.state <> 'Withdrawn' and f.state not in ('Unloaded', 'Settled', 'Cancelled'));
  update kiln k set archived_at = null, version = version + 1
  where k.archived_at is not null and exists (select from firing f where f.studio_id = k.studio_id and f.kiln_id = k.id and f.state not in ('Settled', 'Cancelled'));
  foreach wanted in array tables loop
    execute format('alter table %I force row level security', wanted);
  end loop;
end $$;

-- The triggers below see what others have committed while they waited, which one snapshot for the whole transaction would hide.
create function needs_read_committed() returns void language plpgsql volatile as $$
begin
  if current_setting('transaction_isolation') <> 'read committed' then
    raise exception 'This is written under read committed.' using errcode = '25001';
  end if;
end $$;

-- A piece that is booked is not put away, and a piece that is put away is not booked: each holds the piece's row and looks at the other's.
create function piece_is_free() returns trigger language plpgsql as $$
begin
  perform needs_read_committed();
  if exists (
    select from booked_copy c join firing f on f.studio_id = c.studio_id and f.id = c.firing_id
    where c.studio_id = new.studio_id and c.named_piece_id = new.id and c.state <> 'Withdrawn' and f.state not in ('Unloaded', 'Settled', 'Cancelled')) then
    raise exception 'A copy of the piece is booked.' using errcode = '23514', constraint = 'ck_piece_in_use';
  end if;
  return new;
end $$;
create trigger piece_put_away before update of archived_at on piece for each row
  when (old.archived_at is null and new.archived_at is not null) execute function piece_is_free();

create function booked_piece_is_here() returns trigger language plpgsql as $$
begin
  perform needs_read_committed();
  perform from piece p where p.studio_id = new.studio_id and p.id = new.piece_id and p.archived_at is null for share;
  if not found then
    raise exception 'The piece is put away.' using errcode = '23514', constraint = 'ck_booked_copy_piece_here';
  end if;
  return new;
end $$;
create trigger booked_copy_of_piece before insert on booked_copy for each row
  when (not new.is_room and new.state <> 'Withdrawn') execute function booked_piece_is_here();
create trigger booked_copy_again before update of state on booked_copy for each row
  when (not new.is_room and new.state <> 'Withdrawn' and old.state = 'Withdrawn') execute function booked_piece_is_here();

-- The same of a kiln and its firings.
create function kiln_is_free() returns trigger language plpgsql as $$
begin
  perform needs_read_committed();
  if exists (select from firing f where f.studio_id = new.studio_id and f.kiln_id = new.id and f.state not in ('Settled', 'Cancelled')) then
    raise exception 'The kiln has firings.' using errcode = '23514', constraint = 'ck_kiln_in_use';
  end if;
  return new;
end $$;
create trigger kiln_put_away before update of archived_at on kiln for each row
  when (old.archived_at is null and new.archived_at is not null) execute function kiln_is_free();

create function firing_kiln_is_here() returns trigger language plpgsql as $$
begin
  perform needs_read_committed();
  perform from kiln k where k.studio_id = new.studio_id and k.id = new.kiln_id and k.archived_at is null for share;
  if not found then
    raise exception 'The kiln is put away.' using errcode = '23514', constraint = 'ck_firing_kiln_here';
  end if;
  return new;
end $$;
create trigger firing_in_kiln before insert on firing for each row when (new.state <> 'Cancelled') execute function firing_kiln_is_here();

-- A register never falls from one reading that counts to the next, unless the later one says that it rolled over. After an exchange the new meter's
-- start counts. Whoever writes or strikes a reading of a meter waits for the one before.
create function register_falls(before meter_reading, after meter_reading) returns boolean language sql immutable
  as $$ select coalesce(after.event <> 'Rollover' and after.register_kwh < coalesce(before.new_register_kwh, before.register_kwh), false) $$;

create function meter_in_order() returns trigger language plpgsql as $$
declare
  earlier meter_reading;
  later meter_reading;
begin
  perform needs_read_committed();
  if tg_op = 'UPDATE' and old.struck_at is not null then
    raise exception 'What is struck stays struck.' using errcode = '23514', constraint = 'ck_meter_reading_struck_once';
  end if;
  perform pg_advisory_xact_lock(hashtextextended('meter:' || new.studio_id || ':' || new.meter, 0));
  select r.* into earlier from meter_reading r where r.studio_id = new.studio_id and r.meter = new.meter and r.is_shared = new.is_shared
    and (new.is_shared or r.firing_id = new.firing_id) and r.struck_at is null and r.id <> new.id and r.read_at < new.read_at order by r.read_at desc limit 1;
  select r.* into later from meter_reading r where r.studio_id = new.studio_id and r.meter = new.meter and r.is_shared = new.is_shared
    and (new.is_shared or r.firing_id = new.firing_id) and r.struck_at is null and r.id <> new.id and r.read_at > new.read_at order by r.read_at limit 1;
  if tg_op = 'UPDATE' then
    -- Where it fell already, taking one of them out must stay possible.
    if register_falls(earlier, later) and not register_falls(earlier, new) and not register_falls(new, later) then
      raise exception 'Without this reading the register falls.' using errcode = '23514', constraint = 'ck_meter_reading_strike';
    end if;
    return new;
  end if;
  if exists (select from meter_reading r where r.studio_id = new.studio_id and r.firing_id = new.firing_id and r.meter = new.meter
      and r.is_shared <> new.is_shared and r.struck_at is null) then
    raise exception 'The meter is shared, or it is not.' using errcode = '23514', constraint = 'ck_meter_reading_shared';
  end if;
  if new.is_shared and exists (select from meter_reading r where r.studio_id = new.studio_id and r.meter = new.meter
      and r.is_shared and r.struck_at is null and r.read_at = new.read_at) then
    raise exception 'The meter was read at this time.' using errcode = '23505', constraint = 'ux_meter_reading_at';
  end if;
  if register_falls(earlier, new) or register_falls(new, later) then
    raise exception 'The register falls.' using errcode = '23514', constraint = 'ck_meter_reading_order';
  end if;
  return new;
end $$;
create trigger meter_written before insert on meter_reading for each row when (new.struck_at is null) execute function meter_in_order();
create trigger meter_struck before update on meter_reading for each row execute function meter_in_order();

-- A studio that has an owner keeps one. Of two who take each other's role at once the second waits, and then sees itself the last.
create function studio_keeps_owner() returns trigger language plpgsql as $$
begin
  perform needs_read_committed();
  perform pg_advisory_xact_lock(hashtextextended('owners:' || old.studio_id, 0));
  if not exists (select from member m where m.studio_id = old.studio_id and m.role = 'Owner' and m.archived_at is null) then
    raise exception 'The studio would be without an owner.' using errcode = '23514', constraint = 'ck_member_owner';
  end if;
  return null;
end $$;
create trigger member_is_no_owner_now after update of role, archived_at on member for each row
  when (old.role = 'Owner' and old.archived_at is null and (new.role <> 'Owner' or new.archived_at is not null)) execute function studio_keeps_owner();
