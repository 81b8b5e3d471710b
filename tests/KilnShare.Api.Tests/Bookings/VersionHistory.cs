using System.Text.Json;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;
using KilnShare.Storage.Common;
using KilnShare.Storage.Setup;
using NodaTime;
using Npgsql;

namespace KilnShare.Api.Tests.Bookings;

/// <summary>Writes down every committed version of every plan, by a trigger that fires at commit, so that an oracle can look at each.</summary>
internal static class VersionHistory
{
    private const string Trigger =
        """
        create table version_history (studio_id uuid, firing_id uuid, load_version bigint, booked_mass_g numeric, copies jsonb, shelves jsonb, posts jsonb);
        grant insert on version_history to kilnshare_app;
        create function write_version() returns trigger language plpgsql as $$
        begin
          insert into version_history
          select new.studio_id, new.firing_id, new.load_version, new.booked_mass_g,
            (select coalesce(jsonb_agg(to_jsonb(c)), '[]') from booked_copy c where c.studio_id = new.studio_id and c.firing_id = new.firing_id and c.state = 'Confirmed'),
            (select coalesce(jsonb_agg(to_jsonb(s) order by shelf_no), '[]') from plan_shelf s where s.studio_id = new.studio_id and s.firing_id = new.firing_id),
            (select coalesce(jsonb_agg(to_jsonb(p) order by post_no), '[]') from plan_post p where p.studio_id = new.studio_id and p.firing_id = new.firing_id);
          return null;
        end $$;
        create constraint trigger write_version after update on firing_load deferrable initially deferred for each row execute function write_version();
        """;

    /// <summary>Begins to write versions down.</summary>
    public static Task Begin(DatabaseLinks links) => Run(links.Owner, Trigger);

    /// <summary>What is wrong with any committed version: broken checks, refused ware, a copy twice, a version twice or left out.</summary>
    public static async Task<IReadOnlyList<string>> Problems(DatabaseLinks links, FiringAim aim, KilnMaking kiln, Furniture furniture)
    {
        var problems = new List<string>();
        await using var connection = new NpgsqlConnection(links.Owner);
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        const string Sql = "select firing_id, load_version, booked_mass_g, copies::text, shelves::text, posts::text from version_history order by firing_id, "
            + "load_version";
        await using var command = new NpgsqlCommand(Sql, connection);
        await using var row = await command.ExecuteReaderAsync(TestContext.Current.CancellationToken);
        var last = (Firing: Guid.Empty, Version: 0L);
        while (await row.ReadAsync(TestContext.Current.CancellationToken))
        {
            var (firing, version) = (row.GetGuid(0), row.GetInt64(1));
            var before = firing == last.Firing ? last.Version : 0;
            if (version != before && version != before + 1) problems.Add($"{firing}: version {version} follows {before}");
            last = (firing, version);
            var room = Room(aim, kiln, furniture, version, row.GetString(3), row.GetString(4), row.GetString(5));
            problems.AddRange(ProblemsOf(room, row.GetDecimal(2)).Select(p => $"{firing} version {version}: {p}"));
        }

        return last.Version == 0 ? ["no version was written down"] : problems;
    }

    private static IEnumerable<string> ProblemsOf(FiringRoom room, decimal bookedMassG)
    {
        if (BookingDecision.MassOf(room.Held) != bookedMassG) yield return $"counted mass {bookedMassG} g, booked {BookingDecision.MassOf(room.Held)} g";
        if (room.Held.GroupBy(h => (h.PieceId, h.Copy)).Any(g => g.Count() > 1)) yield return "a copy stands twice";
        if (room.Held.Any(h => h.Place!.ShelfNo >= room.Shelves.Count))
        {
            yield return "a copy stands on a shelf that is not there";
            yield break;
        }

        if (room.Held.Count == 0) yield break;
        if (!room.Problem([], Keep.None).TryGet(out var problem, out var refusal))
        {
            yield return refusal.Message;
            yield break;
        }

        foreach (var violation in LoadChecks.Violations(problem, room.CurrentPlan())) yield return violation;
        foreach (var finding in BookingDecision.FindingsOn(room, []).Where(f => f.Verdict == Core.CoFiring.Verdict.Incompatible)) yield return finding.Message;
    }

    private static FiringRoom Room(FiringAim aim, KilnMaking kiln, Furniture furniture, long version, string copies, string shelves, string posts) => new(
        aim, kiln, furniture, Instant.MinValue,
        [.. Rows(copies).Select(c => new HeldCopy(
            new Id<Booking>(c.GetProperty("booking_id").GetGuid()), new Id<Piece>(c.GetProperty("piece_id").GetGuid()), c.GetProperty("copy").GetInt32(),
            JsonColumn.Read<FrozenCopy>(c.GetProperty("frozen").GetRawText()),
            new CopyPlace(
                c.GetProperty("shelf_no").GetInt32(), Um(c, "x"), Um(c, "y"), c.GetProperty("rotation_thousandths").GetInt32(), c.GetProperty("stack_level")
                    .GetInt32(),
                c.GetProperty("open_above").GetBoolean(), new CoreDisc(
                    c.GetProperty("core_x").GetInt64(), c.GetProperty("core_y").GetInt64(), c.GetProperty("core_radius").GetInt64()))))],
        [.. Rows(shelves).Select(s => new PlacedShelf(
            s.GetProperty("shelf_no").GetInt32(), s.GetProperty("shelf_id").GetString()!, Um(s, "x"), Um(s, "y"), s.GetProperty("rotation_thousandths")
                .GetInt32(),
            Um(s, "top"), Um(s, "clear_above"), s.GetProperty("area_use").GetDecimal(), []))],
        [.. Rows(posts).Select(p => new PlacedPost(
            Um(p, "x"), Um(p, "y"), Um(p, "from_um"), Um(p, "to_um"), [.. p.GetProperty("heights").EnumerateArray().Select(h => new Length(h.GetInt64()))],
            p.GetProperty("stands_on").ValueKind == JsonValueKind.Null
                ? null : p.GetProperty("stands_on").GetInt32(), [.. p.GetProperty("carries").EnumerateArray().Select(x => x.GetInt32())]))],
        version);

    private static IEnumerable<JsonElement> Rows(string json) => JsonDocument.Parse(json).RootElement.EnumerateArray();

    private static Length Um(JsonElement row, string name) => new(row.GetProperty(name).GetInt64());

    /// <summary>Runs SQL on a connection of its own.</summary>
    public static async Task Run(string connectionString, string sql)
    {
        await using var connection = new NpgsqlConnection(connectionString + ";Pooling=false");
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        // Dropping a database waits for a checkpoint, which takes long where other tests write.
        await using var command = new NpgsqlCommand(sql, connection) { CommandTimeout = 300 };
        await command.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
    }
}
