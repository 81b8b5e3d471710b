-- An outcome can be put right; what it said before stays, whoever changes it. What breaks before a firing is an event of custody.

call wall_table('earlier_outcome', 'select, insert');
grant update (grade, defects, details, look, would_use_again, note, judged_at, member_id, changed_at, version) on outcome to kilnshare_app;

create function keep_earlier_outcome() returns trigger language plpgsql as $$
begin
  if new.version <> old.version + 1 then
    raise exception 'An outcome is changed under its next version.' using errcode = '23514';
  end if;
  insert into earlier_outcome (studio_id, outcome_id, version, grade, defects, details, look, would_use_again, judged_at, note, member_id, said_at)
  values (old.studio_id, old.id, old.version, old.grade, old.defects, old.details, old.look, old.would_use_again, old.judged_at, old.note, old.member_id, coalesce(old.changed_at, old.created_at));
  return new;
end $$;

create trigger keep_earlier_outcome before update on outcome for each row execute function keep_earlier_outcome();
