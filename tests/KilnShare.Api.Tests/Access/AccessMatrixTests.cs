using System.Collections.Concurrent;
using System.Net;
using System.Net.Http.Headers;
using System.Text;
using KilnShare.Api.Access;
using KilnShare.Api.Tests.Common;
using KilnShare.Core.Studios;
using Npgsql;

namespace KilnShare.Api.Tests.Access;

/// <summary>Every route, asked by everyone, for everything: the answer is the one that <see cref="AccessTable"/> says, and no other.</summary>
public sealed class AccessMatrixTests(Service service, TestDatabase database, ITestOutputHelper output) : IClassFixture<Service>
{
    /// <summary>Operations on what belongs to one member: another potter is refused, whoever plans is not.</summary>
    private static readonly HashSet<string> OfItsOwner = new(StringComparer.Ordinal) { "editPiece", "archivePiece", "createOutcome", "editOutcome",
        "withdrawBooking", "changeBooking", "acceptBookingRules", "writeCustody" };

    private enum Thing
    {
        Own,
        SameStudio,
        OtherStudios,
        OtherStudio,
        AbsentThing,
        AbsentStudio,
    }

    private sealed record Principal(string Name, string? Token, Role? Role, Thing? Owns = null, bool IsInstallation = false, bool IsForeign = false);

    [Fact]
    public Task Every_route_answers_everyone_as_the_access_table_says() => AskEverything(service);

    /// <summary>The walls of the database are the second ones: the first are the questions themselves, each of which names the studio.</summary>
    [Fact]
    public async Task Without_the_walls_of_the_database_every_route_still_answers_the_same_and_nothing_of_another_studio()
    {
        await using var open = new Service(database) { DoesJobs = false };
        await open.InitializeAsync();
        await using var admin = new NpgsqlConnection(open.Links.Admin + ";Pooling=false");
        await admin.OpenAsync(TestContext.Current.CancellationToken);
        await using (var tearDown = new NpgsqlCommand(TearDown, admin)) await tearDown.ExecuteNonQueryAsync(TestContext.Current.CancellationToken);
        var bystander = await World.Make(open);
        await using var app = new NpgsqlConnection(open.Links.App + ";Pooling=false");
        await app.OpenAsync(TestContext.Current.CancellationToken);
        await using (var seen = new NpgsqlCommand("select count(*) from studio", app))
            Assert.NotEqual(0L, await seen.ExecuteScalarAsync(TestContext.Current.CancellationToken)); // the walls are down
        var before = await RowsOf(admin, bystander.Studio.Id);
        await AskEverything(open);
        Assert.Equal(before, await RowsOf(admin, bystander.Studio.Id));
    }

    private const string TearDown =
        """
        do $$ declare t text; begin
          for t in select relname from pg_class where relkind = 'r' and relnamespace = 'public'::regnamespace and relrowsecurity loop
            execute format('alter table %I no force row level security, disable row level security', t);
          end loop;
        end $$
        """;

    /// <summary>A digest of every row of a studio.</summary>
    private static async Task<string> RowsOf(NpgsqlConnection admin, Guid studio)
    {
        await using var command = new NpgsqlCommand(
            """
            select string_agg(t.relname || ' ' || (xpath('/row/d/text()', query_to_xml(format(
              'select md5(string_agg(r::text, '','' order by r::text)) as d from %I r where studio_id = %L', t.relname, $1), false, true, '')))[1]::text, ' ' order by t.relname)
            from pg_class t join pg_attribute a on a.attrelid = t.oid and a.attname = 'studio_id' where t.relkind = 'r' and t.relnamespace = 'public'::regnamespace
            """,
            admin);
        command.Parameters.Add(new NpgsqlParameter { Value = studio });
        return (string)(await command.ExecuteScalarAsync(TestContext.Current.CancellationToken))!;
    }

    private async Task AskEverything(Service service)
    {
        // What only reads comes first: a proposal for all that hundreds of requests have made takes longer than all of them.
        var routes = RouteUnderTest.All(service).OrderBy(r => r.Method != "GET").ToList();
        Assert.Empty(routes.Select(r => r.Operation).Except(AccessTable.Rows.Keys, StringComparer.Ordinal));
        var own = await World.Make(service);
        var (sameStudio, other) = (await World.Neighbour(own), await World.Make(service));
        var principals = await Principals(own.Studio, other.Studio);
        var strangers = other.Ids.Select(id => id.ToString()).ToList();
        var unknown = routes.SelectMany(r => r.Parameters).Distinct(StringComparer.Ordinal).Where(p => p is not ("year" or "month") && own.Find(p) is null)
            .ToList();
        Assert.True(unknown.Count == 0, $"The world of this test has nothing for {string.Join(", ", unknown)}: add it to World.Make.");
        var (count, wrong) = (0, new ConcurrentBag<string>());
        using var client = service.Client();
        foreach (var route in routes)
        {
            foreach (var principal in principals)
            {
                var replies = new Dictionary<Thing, string>();
                // It would stop the token that the rest of this test goes by; InstallationTests asks it.
                if (route.Operation == "rotateInstallationToken" && principal.IsInstallation) continue;
                foreach (var thing in Enum.GetValues<Thing>())
                {
                    var ids = IdsOf(thing, own, sameStudio, other);
                    var reply = await Ask(client, route, principal, ids, own);
                    count++;
                    replies[thing] = Shape(reply);
                    if (principal is { IsForeign: false, Role: not null } && (int)reply.Status < 400
                        && strangers.FirstOrDefault(id => reply.Text.Contains(id, StringComparison.Ordinal)) is { } shown)
                        wrong.Add($"{route.Operation} by {principal.Name} for {thing} shows {shown} of another studio");
                    if (Judge(route, principal, thing, reply) is { } fault)
                        wrong.Add($"{route.Operation} by {principal.Name} for {thing}: {fault}; {reply.Text[..Math.Min(160, reply.Text.Length)]}");
                }

                if (replies[Thing.OtherStudios] != replies[Thing.AbsentThing])
                    wrong.Add($"{route.Operation} by {principal.Name} tells another studio's thing from an absent "
                        + $"one:\n{replies[Thing.OtherStudios]}\n{replies[Thing.AbsentThing]}");
                if (!principal.IsInstallation && replies[principal.IsForeign ? Thing.Own : Thing.OtherStudio] != replies[Thing.AbsentStudio])
                    wrong.Add($"{route.Operation} by {principal.Name} tells another studio from an absent "
                        + $"one:\n{replies[Thing.OtherStudio]}\n{replies[Thing.AbsentStudio]}");
            }
        }

        output.WriteLine($"{count} cases over {routes.Count} routes and {principals.Count} principals");
        Assert.True(wrong.IsEmpty, $"{wrong.Count} wrong of {count}:\n" + string.Join("\n", wrong.Order(StringComparer.Ordinal).Take(25)));
        Assert.True(count >= 2000, $"Only {count} cases.");
    }

    private async Task<IReadOnlyList<Principal>> Principals(TestStudio studio, TestStudio other)
    {
        var expired = await TokenOf(studio, studio.OwnerId, "expired", "2026-01-01T00:00:00Z");
        var revoked = await TokenOf(studio, studio.OwnerId, "revoked", null);
        (await studio.Owner.Delete($"{studio.Path}/members/{studio.OwnerId}/tokens/{revoked.Id}")).Expect(HttpStatusCode.NoContent);
        var gone = TestStudio.IdOf(await studio.Owner.Post(studio.Path + "/members", new { name = "Gone", role = "owner" }));
        var goneToken = await TokenOf(studio, gone, "gone", null);
        (await studio.Owner.Delete($"{studio.Path}/members/{gone}", "*")).Expect(HttpStatusCode.NoContent);
        return
        [
            new("nobody", null, null),
            new("a wrong token", studio.Owner.Token![..^4] + "AAAA", null),
            new("an expired token", expired.Token, null),
            new("a revoked token", revoked.Token, null),
            new("a member who left", goneToken.Token, null),
            new("the installation", Service.InstallationToken, null, IsInstallation: true),
            new("a viewer", studio.Viewer.Token, Role.Viewer),
            new("the potter", studio.Potter.Token, Role.Potter, Thing.Own),
            new("another potter", studio.OtherPotter.Token, Role.Potter, Thing.SameStudio),
            new("a technician", studio.Technician.Token, Role.Technician),
            new("the owner", studio.Owner.Token, Role.Owner),
            new("another studio's owner", other.Owner.Token, Role.Owner, IsForeign: true),
        ];
    }

    private static async Task<(Guid Id, string Token)> TokenOf(TestStudio studio, Guid member, string label, string? expiresAt)
    {
        var made = (await studio.Owner.Post($"{studio.Path}/members/{member}/tokens", new { label, expiresAt })).Expect(HttpStatusCode.Created).Body;
        return (made.GetProperty("id").GetGuid(), made.GetProperty("token").GetString()!);
    }

    private static Func<string, Guid> IdsOf(Thing thing, World own, World sameStudio, World other) => thing switch
    {
        Thing.Own => name => own.Find(name)!.Value,
        Thing.SameStudio => name => sameStudio.Find(name)!.Value,
        Thing.OtherStudios => name => name == "studioId" ? own.Studio.Id : other.Find(name)!.Value,
        Thing.OtherStudio => name => other.Find(name)!.Value,
        Thing.AbsentThing => name => name == "studioId" ? own.Studio.Id : World.Absent(name),
        _ => World.Absent,
    };

    private static string? Judge(RouteUnderTest route, Principal principal, Thing thing, Reply reply)
    {
        var status = (int)reply.Status;
        var inAnyStudio = route.Parameters.Contains("studioId", StringComparer.Ordinal);
        if (status >= 500) return "a failure";
        if (route.Row == AccessTable.Anyone) return status == 200 ? null : "open to all";
        if (route.Row.NeedsInstallation) return principal.IsInstallation ? OfInstallation() : Want(401, "access.token");
        if (principal.Role is not { } role) return Want(401, "access.token");
        var inStudio = inAnyStudio;
        if (inStudio && (principal.IsForeign ? thing != Thing.OtherStudio : thing is Thing.OtherStudio or Thing.AbsentStudio))
            return Want(404, "request.not-found");
        if (role > route.Row.Least) return Want(403, "access.role");
        if (route.Operation is "readSettlement" or "readLightingChecks") return Want(404, "request.not-found"); // nothing is settled or checked in this world
        if (principal.IsForeign && inStudio) return Allowed();
        // A statement is refused to all but its member and those who plan, whether it exists or not.
        if (route.Operation.StartsWith("readStatement", StringComparison.Ordinal) && role > Role.Technician && thing != principal.Owns)
            return Want(403, "access.not-yours");
        if (thing is Thing.OtherStudios or Thing.AbsentThing && route.Parameters.Any(p => p is not ("studioId" or "year" or "month")))
            return Want(404, "request.not-found");
        // Its body names the potter, or the potter's ware.
        if (route.Operation is "createPiece" or "quoteFiring" or "createBooking" or "changeBooking" && principal.Owns == Thing.SameStudio)
            return Want(403, "access.not-yours");
        // Potters change clays and glazes of their own: OwnMaterialTests asks for those. These stand in the studio's book.
        if (route.Operation is "editClay" or "archiveClay" or "editGlaze" or "archiveGlaze" && role == Role.Potter) return Want(403, "materials.of-the-studio");
        var isAnothers = principal.Owns is { } owns && owns != thing && OfItsOwner.Contains(route.Operation);
        return isAnothers ? Want(403, "access.not-yours") : Allowed();

        // It makes studios and may look for any of them; the members that its bodies name are this studio's.
        string? OfInstallation() => thing == Thing.AbsentStudio && inAnyStudio ? Want(404, "request.not-found")
            : status is 200 or 201 || (thing == Thing.OtherStudio && status == 422) ? null : $"the installation may, got {status} {reply.Code}";

        string? Want(int wanted, string code) => status == wanted && reply.Code == code ? null : $"wanted {wanted} {code}, got {status} {reply.Code}";

        string? Allowed() => status is 401 or 403 or 404 or 400 or 405 or 415 or 428 ? $"wanted it let in, got {status} {reply.Code}" : null;
    }

    private static async Task<Reply> Ask(HttpClient client, RouteUnderTest route, Principal principal, Func<string, Guid> ids, World own)
    {
        using var request = new HttpRequestMessage(new HttpMethod(
            route.Method), route.Path(ids) + (route.Operation.StartsWith("readStatement", StringComparison.Ordinal) ? "?from=2026-01-01&to=2026-02-01" : ""));
        if (principal.Token is not null) request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", principal.Token);
        if (route.Method == "POST") request.Headers.Add("Idempotency-Key", Guid.NewGuid().ToString());
        if (route.Method is "PATCH" or "PUT" or "DELETE") request.Headers.TryAddWithoutValidation("If-Match", "\"0\""); // let in, then stale: nothing changes
        // A studio that is closed would refuse what the rest of this test asks: here it is only opened.
        // Whoever is made an owner could do more than the rest of this test takes for granted: it is somebody new.
        var body = route.Operation == "writeStudioClosure"
            ? """{"closedReason":null}""" : route.Operation == "createOwnerToken" ? """{"reason":"a trial","ownerName":"Nova"}"""
            : route.ContentType == "text/csv" ? (string)route.Example! : route.Example is { } example ? own.Fill(example).ToJsonString() : null;
        if (body is not null) request.Content = new StringContent(body, Encoding.UTF8, route.ContentType!);
        using var response = await client.SendAsync(request, TestContext.Current.CancellationToken);
        return new Reply(response.StatusCode, response.Headers, response.Content.Headers.ContentType?.ToString(), await response.Content.ReadAsStringAsync(
            TestContext.Current.CancellationToken));
    }

    /// <summary>Everything of an answer but its trace id.</summary>
    private static string Shape(Reply reply)
    {
        var text = System.Text.RegularExpressions.Regex.Replace(
            reply.Text, "\"traceId\":\"[^\"]*\"", "\"traceId\":\"\"", System.Text.RegularExpressions.RegexOptions.NonBacktracking);
        var headers = string.Join("\n", reply.Headers.Where(h => h.Key is not "Date").OrderBy(h => h.Key, StringComparer.Ordinal)
            .Select(h => $"{h.Key}: {string.Join(",", h.Value)}"));
        return (int)reply.Status >= 400 ? $"{(int)reply.Status}\n{headers}\n{reply.ContentType}\n{text}" : $"{(int)reply.Status}";
    }
}
