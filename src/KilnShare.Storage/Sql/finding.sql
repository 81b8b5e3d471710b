-- What pieces are looked for by and stands inside their tree. Under row-level security an index is only used by operators that cannot leak: equality of
-- texts and ids is such, the operators of jsonb are not.
alter table piece add column mark text generated always as (making ->> 'mark') stored;
alter table piece add column clay_id uuid generated always as ((making ->> 'clayId')::uuid) stored;
create index ix_piece_mark on piece (studio_id, mark, id);
create index ix_piece_clay on piece (studio_id, clay_id, id);

-- The kind of firing that a copy needs next, null for none: CopyRoute, said once more where rows are chosen. FindingTests holds the two together.
create function next_firing(studio uuid, making jsonb, stage text, layers_fired_at jsonb) returns text language sql stable as $$
  with layer as (
    select g.glaze ->> 'kind' as kind, l.coat ->> 'goesOnAt' as at, l.coat ->> 'goesOnBefore' as before
    from jsonb_array_elements(coalesce(making -> 'layers', '[]')) with ordinality l (coat, place)
    join glaze g on g.studio_id = studio and g.id = (l.coat ->> 'glazeId')::uuid
    where l.place > jsonb_array_length(case jsonb_typeof(layers_fired_at) when 'array' then layers_fired_at else layers_fired_at -> 'items' end)
  ), raw as (
    select kind, coalesce(before, case
      when at = 'bisque' then case when kind in ('underglaze', 'engobe') then 'underglazeSet' else 'glaze' end
      when at = 'glazed' then case when kind in ('lustre', 'enamel', 'decal') then 'overglaze' else 'refire' end end) as before
    from layer
  ), told as (
    select coalesce(bool_or(kind = 'glaze'), false) as glaze, coalesce(bool_or(kind in ('underglaze', 'engobe')), false) as colour,
      coalesce(bool_or(kind in ('lustre', 'enamel', 'decal')), false) as overglaze, coalesce(bool_or(before = 'underglazeSet'), false) as colour_is_set,
      coalesce(bool_or(kind = 'glaze' and coalesce(before, 'singleFire') = 'singleFire'), false) as glaze_on_raw
    from raw
  )
  select case
    when stage = 'Greenware' then case when coalesce((making ->> 'singleFire')::boolean, glaze_on_raw) then 'singleFire' else 'bisque' end
    when stage = 'Bisque' then case when colour and (colour_is_set or not glaze) then 'underglazeSet' else 'glaze' end
    when stage in ('Glazed', 'Finished') then case when glaze or colour then 'glaze' when overglaze then 'overglaze' end
  end from told
$$;
