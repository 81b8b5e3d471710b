using System.Net;
using System.Text.Json;
using KilnShare.Api.Tests.Common;
using Npgsql;

namespace KilnShare.Api.Tests.Firings;

/// <summary>What a firing did to its ware follows its outcome and its heat, and can be put right afterwards.</summary>
public sealed class FiringCorrectionTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Ware_of_a_firing_broken_off_cold_is_as_it_was_and_is_booked_again()
    {
        var s = await Studio.Make(service);
        var (firing, piece) = await s.Fired("bisque", "06", s.Green(), new { state = "unloaded", outcome = "aborted", reached = new { peakC = 60 } });
        Assert.Equal(("greenware", 0), await s.CopyOf(piece));
        (await s.Book(await s.Firing("bisque", "06"), piece)).Expect(HttpStatusCode.Created);
        Assert.Equal("word", (await s.Read(firing)).GetProperty("reached").GetProperty("basis").GetString());
    }

    [Fact]
    public async Task A_bisque_that_fell_short_is_bisque_at_the_cone_it_reached()
    {
        var s = await Studio.Make(service);
        var (_, piece) = await s.Fired("bisque", "06", s.Green(), new { state = "unloaded", outcome = "short", reached = new { cone = "010" } });
        Assert.Equal(("bisque", 1), await s.CopyOf(piece));
        Assert.Equal("010", (await s.Piece(piece)).GetProperty("bisquedAt").GetString());
    }

    [Fact]
    public async Task A_glaze_firing_that_fell_short_leaves_raw_glaze_raw_and_counts_as_no_evidence()
    {
        var s = await Studio.Make(service);
        var (firing, piece) = await s.Fired("glaze", "6", s.Bisqued(), new { state = "unloaded", outcome = "short", reached = new { cone = "2" } });
        Assert.Equal(("bisque", 0), await s.CopyOf(piece));
        Assert.Empty((await s.Piece(piece)).GetProperty("layersFiredAt").EnumerateArray());
        (await s.Potter.Post($"{s.Path}/pieces/{piece}/outcomes", new { firingId = firing, copy = 0, grade = "poor" })).Expect(HttpStatusCode.Created);
        Assert.Empty((await s.Potter.Get(s.Path + "/evidence")).Expect(HttpStatusCode.OK).Body.GetProperty("rows").EnumerateArray());
        (await s.Book(await s.Firing("glaze", "6"), piece)).Expect(HttpStatusCode.Created);
    }

    [Fact]
    public async Task Nobody_says_how_hot_it_was_then_witness_cones_and_log_do()
    {
        var s = await Studio.Make(service);
        var (firing, piece) = await s.Fired("bisque", "06", s.Green(), new { state = "unloaded", outcome = "short" });
        Assert.Equal(("greenware", 0), await s.CopyOf(piece));
        Assert.Equal(JsonValueKind.Null, (await s.Read(firing)).GetProperty("reached").ValueKind);
        (await s.Technician.Post($"{s.Path}/firings/{firing}/witness-cones", new
        {
            cones = new[] { new { level = "bottom", cone = "08", seen = "down" },
            new { level = "bottom", cone = "06", seen = "standing" } }
        })).Expect(HttpStatusCode.Created);
        var put = (await s.Correct(firing, new { reason = "the cones on the bottom shelf were looked at" })).Expect(HttpStatusCode.Created).Body;
        var copy = Assert.Single(put.GetProperty("copies").EnumerateArray());
        Assert.Equal(("greenware", "bisque"), (copy.GetProperty("stageBefore").GetString(), copy.GetProperty("stage").GetString()));
        Assert.Equal(("bisque", 1), await s.CopyOf(piece));
        var reached = (await s.Read(firing)).GetProperty("reached");
        Assert.Equal(("witnessCones", "08"), (reached.GetProperty("basis").GetString(), reached.GetProperty("cone").GetProperty("cone").GetString()));
    }

    [Fact]
    public async Task An_outcome_is_put_right_both_ways_with_a_reason_an_audit_row_and_an_event()
    {
        var s = await Studio.Make(service);
        var (firing, piece) = await s.Fired("glaze", "6", s.Bisqued(), new { state = "unloaded", outcome = "sound" });
        Assert.Equal(("glazed", 1), await s.CopyOf(piece));
        (await s.Correct(firing, new { outcome = "short", reached = new { cone = "3" }, reason = "the glaze is matt and rough" }))
            .Expect(HttpStatusCode.Created);
        Assert.Equal(("bisque", 0), await s.CopyOf(piece));
        (await s.Correct(firing, new { outcome = "sound", reason = "it was the wrong shelf" })).Expect(HttpStatusCode.Created);
        Assert.Equal(("glazed", 1), await s.CopyOf(piece));
        Assert.Equal(2, (await s.Potter.Get($"{s.Path}/firings/{firing}/corrections")).Expect(HttpStatusCode.OK).Body.GetProperty("items").GetArrayLength());
        Assert.Equal((2L, 2L), (await s.Count("audit", "action"), await s.Count("outbox", "kind")));
        (await s.Potter.Post($"{s.Path}/firings/{firing}/corrections", new { outcome = "over", reason = "no" })).Expect(HttpStatusCode.Forbidden);
        (await s.Correct(await s.Firing("glaze", "6"), new { reason = "too early" })).Expect(HttpStatusCode.Conflict);
    }

    [Fact]
    public async Task A_wrong_list_is_put_right_and_a_settled_firing_is_settled_again_by_reversing_entries()
    {
        var s = await Studio.Make(service);
        var (wasNot, wasIn) = (await s.Bisqued(), await s.Bisqued(s.OtherPotter));
        var (firing, piece) = await s.Fired("glaze", "6", s.Bisqued(), new { state = "unloaded", outcome = "sound" }, wasNot);
        (await s.Technician.Put($"{s.Path}/firings/{firing}/unmetered-energy", new { ratedKw = 10, duty = new[] { new { hours = 6, dutyPercent = 100 } } }))
            .Expect(HttpStatusCode.OK);
        (await s.Technician.Post($"{s.Path}/firings/{firing}/settlement")).Expect(HttpStatusCode.Created);
        var before = await s.Shares(firing);
        Assert.Equal([s.PotterId], before.Keys);
        var put = (await s.Correct(firing, new { placed = new[] { new { pieceId = piece }, new { pieceId = wasIn } }, reason = "the vase was Jonas's" }))
            .Expect(HttpStatusCode.Created).Body;
        Assert.Equal(2, put.GetProperty("settlementRevision").GetInt32());
        Assert.Equal((("bisque", 0), ("glazed", 1), ("glazed", 1)), (await s.CopyOf(wasNot), await s.CopyOf(wasIn), await s.CopyOf(piece)));
        var after = await s.Shares(firing);
        Assert.Equal(before.Values.Sum(), after.Values.Sum());
        Assert.Equal(new[] { s.PotterId, s.OtherPotterId }.Order(), after.Keys.Order());
        var balances = (await s.Owner.Get(s.Path + "/accounts")).Body.GetProperty("items").EnumerateArray()
            .Where(a => a.GetProperty("memberId").ValueKind == JsonValueKind.String)
            .ToDictionary(a => a.GetProperty("memberId").GetGuid(), a => a.GetProperty("balanceMinor").GetInt64());
        Assert.Equal((after[s.PotterId], after[s.OtherPotterId]), (balances[s.PotterId], balances[s.OtherPotterId]));
        var items = (await s.Potter.Get($"{s.Path}/firings/{firing}/load")).Body.GetProperty("items").EnumerateArray()
            .ToDictionary(i => i.GetProperty("pieceId").GetGuid(), i => i.GetProperty("fate").GetString());
        Assert.Equal(("leftBehind", "placed"), (items[wasNot], items[wasIn]));
        (await s.Book(await s.Firing("glaze", "6"), wasNot)).Expect(HttpStatusCode.Created);
    }

    [Fact]
    public async Task What_a_later_firing_or_an_outcome_rests_on_stays_and_is_named()
    {
        var s = await Studio.Make(service);
        var (bisque, piece) = await s.Fired("bisque", "06", s.Green(), new { state = "unloaded", outcome = "sound" });
        await s.Run(await s.Firing("glaze", "6"), new { state = "unloaded", outcome = "sound" }, piece);
        var refused = (await s.Correct(bisque, new { outcome = "aborted", reason = "it broke off" })).Expect(HttpStatusCode.Conflict);
        Assert.Equal("firings.rested-on", refused.Code);
        Assert.Contains("glaze firing to cone 6 in Round top-loader", refused.Text, StringComparison.Ordinal);
        Assert.Contains("bowl (B)", refused.Text, StringComparison.Ordinal);
        Assert.Equal(("glazed", 2), await s.CopyOf(piece));
        Assert.Equal("sound", (await s.Read(bisque)).GetProperty("outcome").GetString());

        var (firing, seen) = await s.Fired("glaze", "6", s.Bisqued(), new { state = "unloaded", outcome = "sound" });
        (await s.Potter.Post($"{s.Path}/pieces/{seen}/outcomes", new { firingId = firing, copy = 0, grade = "good" })).Expect(HttpStatusCode.Created);
        Assert.Contains("outcome", (await s.Correct(firing, new { placed = Array.Empty<object>(), reason = "nothing was in" }))
            .Expect(HttpStatusCode.Conflict).Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_step_booked_again_stands_in_the_way_of_its_having_been_done()
    {
        var s = await Studio.Make(service);
        var (firing, piece) = await s.Fired("glaze", "6", s.Bisqued(), new { state = "unloaded", outcome = "aborted" });
        var again = TestStudio.IdOf(await s.Book(await s.Firing("glaze", "6"), piece));
        Assert.Contains("is booked for this step", (await s.Correct(firing, new { outcome = "sound", reason = "it was through" }))
            .Expect(HttpStatusCode.Conflict).Text, StringComparison.Ordinal);
        var path = (await s.Potter.Get($"{s.Path}/pieces/{piece}")).Body.GetProperty("copies")[0].GetProperty("booked")[0].GetProperty("firingId").GetGuid();
        (await s.Potter.Post($"{s.Path}/firings/{path}/bookings/{again}/withdrawal")).Expect(HttpStatusCode.OK);
        (await s.Correct(firing, new { outcome = "sound", reason = "it was through" })).Expect(HttpStatusCode.Created);
        Assert.Equal(("glazed", 1), await s.CopyOf(piece));
    }

    [Fact]
    public async Task Two_corrections_at_once_are_made_one_after_the_other()
    {
        var s = await Studio.Make(service);
        for (var turn = 0; turn < Races.Tries; turn++)
        {
            var (firing, piece) = await s.Fired("glaze", "6", s.Bisqued(), new { state = "unloaded", outcome = "sound" });
            var replies = await Races.AtOnce(
                () => s.Correct(firing, new { outcome = "aborted", reason = "it broke off" }),
                () => s.Correct(firing, new { outcome = "sound", reason = "it did not" }));
            Assert.All(replies, r => r.Expect(HttpStatusCode.Created));
            var outcome = (await s.Read(firing)).GetProperty("outcome").GetString();
            Assert.Equal(outcome == "sound" ? ("glazed", 1) : ("bisque", 0), await s.CopyOf(piece));
        }
    }

    private sealed class Studio(TestStudio studio, Guid kiln, Guid clay, Guid glaze, Service service)
    {
        private int turn;

        public string Path => studio.Path;

        public Caller Technician => studio.Technician;

        public Caller Owner => studio.Owner;

        public Caller Potter => studio.Potter;

        public Caller OtherPotter => studio.OtherPotter;

        public Guid PotterId => studio.PotterId;

        public Guid OtherPotterId => studio.OtherPotterId;

        public static async Task<Studio> Make(Service service)
        {
            var studio = await service.MakeStudio();
            return new Studio(studio, await studio.MakeKiln(), await studio.MakeClay(), await studio.MakeGlaze(), service);
        }

        public Task<Guid> Bisqued(Caller? potter = null) => studio.MakePiece(potter ?? studio.Potter, clay, glaze);

        public async Task<Guid> Green() => TestStudio.IdOf(await studio.Potter.Post(Path + "/pieces", new
        {
            name = "bowl",
            mark = "B",
            footprint = TestStudio.Circle(90),
            heightMm = 100,
            clayId = clay,
            layers = Array.Empty<object>(),
            stage = "greenware",
            dryness = "dry",
            drySince = "2026-01-01T00:00:00Z",
            wallMm = 5,
        }));

        public async Task<Guid> Firing(string kind, string cone)
        {
            var start = DateTimeOffset.UnixEpoch.AddDays(28_200 + (++turn * 3));
            var id = TestStudio.IdOf(await studio.Technician.Post(
                Path + "/firings", new { kilnId = kiln, kind, cone, startsAt = start.ToString("O"), firingHours = 11, coolingHours = 20 }));
            (await studio.Technician.Put($"{Path}/firings/{id}/state", new { state = "accepting" })).Expect(HttpStatusCode.OK);
            return id;
        }

        /// <summary>Fires pieces that went in without a booking.</summary>
        public async Task Run(Guid firing, object unloaded, params Guid[] pieces)
        {
            var path = $"{Path}/firings/{firing}";
            (await Technician.Put(path + "/state", new { state = "fixed" })).Expect(HttpStatusCode.OK);
            (await Technician.Put(path + "/load", new { placed = pieces.Select(id => new { pieceId = id }) })).Expect(HttpStatusCode.OK);
            foreach (var state in (object[])[new { state = "heating", answeredBy = "Tilo" }, new { state = "cooling" }, unloaded])
                (await Technician.Put(path + "/state", state)).Expect(HttpStatusCode.OK);
        }

        /// <summary>Fires a piece that was booked, and others that were not.</summary>
        public async Task<(Guid Firing, Guid Piece)> Fired(string kind, string cone, Task<Guid> made, object unloaded, params Guid[] others)
        {
            var (firing, piece) = (await Firing(kind, cone), await made);
            (await Book(firing, piece)).Expect(HttpStatusCode.Created);
            await Run(firing, unloaded, [piece, .. others]);
            return (firing, piece);
        }

        public Task<Reply> Book(Guid firing, Guid piece) => studio.Potter.Post(
            $"{Path}/firings/{firing}/bookings", new { pieces = new[] { new { pieceId = piece } }, accepts = new[] { "drying-time", "bisque-range" } });

        public Task<Reply> Correct(Guid firing, object body) => studio.Technician.Post($"{Path}/firings/{firing}/corrections", body);

        public async Task<JsonElement> Read(Guid firing) => (await studio.Viewer.Get($"{Path}/firings/{firing}")).Expect(HttpStatusCode.OK).Body;

        public async Task<JsonElement> Piece(Guid piece) =>
            (await studio.Viewer.Get($"{Path}/pieces/{piece}")).Expect(HttpStatusCode.OK).Body.GetProperty("copies")[0];

        public async Task<(string? Stage, int Step)> CopyOf(Guid piece) =>
            await Piece(piece) is var copy ? (copy.GetProperty("stage").GetString(), copy.GetProperty("step").GetInt32()) : default;

        public async Task<Dictionary<Guid, long>> Shares(Guid firing) =>
            (await studio.Owner.Get($"{Path}/firings/{firing}/settlement")).Expect(HttpStatusCode.OK).Body
            .GetProperty("split").GetProperty("shares").EnumerateArray().Where(x => x.GetProperty("id").ValueKind == JsonValueKind.String)
            .ToDictionary(x => Guid.Parse(x.GetProperty("id").GetString()!), x => x.GetProperty("amountMinor").GetInt64());

        public async Task<long> Count(string table, string column)
        {
            await using var source = NpgsqlDataSource.Create(service.Links.Admin);
            await using var command = source.CreateCommand($"select count(*) from {table} where {column} = 'firings.corrected' and studio_id = $1");
            command.Parameters.Add(new NpgsqlParameter<Guid> { TypedValue = studio.Id });
            return (long)(await command.ExecuteScalarAsync(TestContext.Current.CancellationToken))!;
        }
    }
}
