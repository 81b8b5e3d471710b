using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Studios;

/// <summary>A studio keeps an owner, and one that lost its owner's token gets another.</summary>
public sealed class OwnerTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Of_two_owners_who_take_each_others_role_at_once_one_stays()
    {
        var studio = await service.MakeStudio();
        for (var round = 0; round < Races.Tries; round++)
        {
            var (first, a) = await studio.Add(service, $"First {round}", "owner");
            var (second, b) = await studio.Add(service, $"Second {round}", "owner");
            if (round == 0) (await a.Delete($"{studio.Path}/members/{studio.OwnerId}", "*")).Expect(HttpStatusCode.NoContent);
            else foreach (var before in await Owners(studio, first, second))
                (await a.Delete($"{studio.Path}/members/{before}", "*")).Expect(HttpStatusCode.NoContent);
            var replies = round % 2 == 0
                ? await Races.AtOnce(() => a.Patch($"{studio.Path}/members/{second}", new { role = "potter" }, "*"), () =>
                    b.Patch($"{studio.Path}/members/{first}", new { role = "potter" }, "*"))
                : await Races.AtOnce(() => a.Delete($"{studio.Path}/members/{second}", "*"), () => b.Delete($"{studio.Path}/members/{first}", "*"));
            Assert.Equal(1, await Asking.Number(
                service.Links.Admin, $"select count(*) from member where studio_id = '{studio.Id}' and role = 'Owner' and archived_at is null"));
            Assert.True(replies.Count(r => (int)r.Status < 300) == 1, string.Join("\n", replies.Select(r => $"{r.Status} {r.Text}")));
            Assert.All(replies.Where(r => (int)r.Status >= 300), r => Assert.Contains(r.Code, new[] { "studios.last-owner", "access.token", "access.role" }));
            // Whoever is left takes in the next two.
            studio = studio.RunBy(replies[0].Status is HttpStatusCode.OK or HttpStatusCode.NoContent ? a : b);
        }
    }

    [Fact]
    public async Task The_database_itself_keeps_an_owner()
    {
        var studio = await service.MakeStudio();
        foreach (var change in new[] { "role = 'Potter'", "archived_at = now()" })
        {
            var refused = await Assert.ThrowsAsync<Npgsql.PostgresException>(
                () => Bookings.VersionHistory.Run(service.Links.Admin, $"update member set {change} where studio_id = '{studio.Id}' and role = 'Owner'"));
            Assert.Equal("ck_member_owner", refused.ConstraintName);
        }
    }

    [Fact]
    public async Task A_studio_that_lost_its_owners_token_gets_another_and_all_owners_are_told()
    {
        var studio = await service.MakeStudio();
        var second = (await studio.Add(service, "Second", "owner")).Id;
        var path = studio.Path + "/owner-tokens";
        (await studio.Owner.Post(path, new { reason = "mine" })).Expect(HttpStatusCode.Unauthorized);
        var installation = service.As(Service.InstallationToken);
        (await installation.Post(path, new { })).Expect(HttpStatusCode.BadRequest);
        (await installation.Post($"/v1/studios/{Guid.NewGuid()}/owner-tokens", new { reason = "lost" })).Expect(HttpStatusCode.NotFound);
        var made = (await installation.Post(path, new { reason = "the telephone is lost" })).Expect(HttpStatusCode.Created).Body;
        Assert.Equal(studio.OwnerId, made.GetProperty("owner").GetProperty("id").GetGuid());
        var me = (await service.As(made.GetProperty("token").GetString()).Get("/v1/me")).Expect(HttpStatusCode.OK).Body;
        Assert.Equal((studio.OwnerId, "owner"), (me.GetProperty("memberId").GetGuid(), me.GetProperty("role").GetString()));
        Assert.Equal(1, await Asking.Number(
            service.Links.Admin,
            $"select count(*) from audit where studio_id = '{studio.Id}' and action = 'tokens.create-for-owner' and member_id is null and reason = 'the "
                + $"telephone is lost'"));
        foreach (var told in new[] { studio.OwnerId, second })
            Assert.Equal(1, await Asking.Number(service.Links.Admin,
                $"select count(*) from outbox where studio_id = '{studio.Id}' and kind = 'studios.owner-token' and payload ->> 'id' = '{told}'"));
    }

    [Fact]
    public async Task A_studio_without_an_owner_is_asked_who_is_to_be_one()
    {
        var studio = await service.MakeStudio();
        // As two owners at once could leave it before the database held on to one.
        await Bookings.VersionHistory.Run(
            service.Links.Admin,
            $"alter table member disable trigger user; update member set role = 'Potter' where studio_id = '{studio.Id}' and role = 'Owner'; alter table "
                + $"member enable trigger user");
        var installation = service.As(Service.InstallationToken);
        var path = studio.Path + "/owner-tokens";
        Assert.Equal("studios.no-owner", (await installation.Post(path, new { reason = "nobody is left" })).Expect(HttpStatusCode.UnprocessableEntity).Code);
        Assert.Equal("studios.no-such-member", (await installation.Post(path, new { reason = "nobody is left", memberId = Guid.NewGuid() }))
            .Expect(HttpStatusCode.UnprocessableEntity).Code);
        (await installation.Post(path, new { reason = "nobody is left", memberId = studio.PotterId, ownerName = "Both" })).Expect(HttpStatusCode.BadRequest);
        var made = (await installation.Post(path, new { reason = "nobody is left", memberId = studio.PotterId })).Expect(HttpStatusCode.Created).Body;
        (await service.As(made.GetProperty("token").GetString()).Post(studio.Path + "/members", new { name = "Newcomer", role = "potter" }))
            .Expect(HttpStatusCode.Created);
        made = (await installation.Post(path, new { reason = "somebody new takes over", ownerName = "Nadia" })).Expect(HttpStatusCode.Created).Body;
        Assert.Equal("Nadia", (await service.As(made.GetProperty("token").GetString()).Get("/v1/me")).Expect(HttpStatusCode.OK).Body.GetProperty("name")
            .GetString());
    }

    [Fact]
    public async Task A_closed_studio_can_be_read_and_not_written_until_it_is_opened_again()
    {
        var place = await Bookings.Place.Make(service);
        var (studio, installation) = (place.Studio, service.As(Service.InstallationToken));
        (await studio.Owner.Put(studio.Path + "/closure", new { closedReason = "mine" })).Expect(HttpStatusCode.Unauthorized);
        var closed = (await installation.Put(studio.Path + "/closure", new { closedReason = "the group has dissolved" })).Expect(HttpStatusCode.OK).Body;
        Assert.Equal("the group has dissolved", closed.GetProperty("closedReason").GetString());
        Assert.Equal("the group has dissolved", (await studio.Viewer.Get(studio.Path)).Expect(HttpStatusCode.OK).Body.GetProperty("closedReason").GetString());
        foreach (var path in new[] { "/kilns", "/pieces", "/firings", "/accounts", "/members" })
            (await studio.Technician.Get(studio.Path + path)).Expect(HttpStatusCode.OK);
        (await studio.Potter.Post("/v1/calculations/cost-split", Document.ContractExamples.CostSplit)).Expect(HttpStatusCode.OK);
        foreach (var refused in new[]
        {
            await studio.Owner.Patch(studio.Path, new { name = "Still here" }, "*"),
            await studio.Owner.Post(studio.Path + "/members", new { name = "Late", role = "potter" }),
            await studio.Technician.Delete($"{studio.Path}/kilns/{place.Kiln}", "*"),
            await studio.Potter.Post(place.Firing + "/bookings", new { pieces = new[] { new { pieceId = Guid.NewGuid() } } }),
        })
            Assert.Equal("studios.closed", refused.Expect(HttpStatusCode.Forbidden).Code);
        var tokens = (await studio.Owner.Get($"{studio.Path}/members/{studio.PotterId}/tokens")).Body.GetProperty("items");
        (await studio.Owner.Delete($"{studio.Path}/members/{studio.PotterId}/tokens/{tokens[0].GetProperty("id").GetGuid()}")).Expect(HttpStatusCode.NoContent);
        (await studio.Potter.Get(studio.Path)).Expect(HttpStatusCode.Unauthorized);

        (await installation.Put(studio.Path + "/closure", new { closedReason = (string?)null })).Expect(HttpStatusCode.OK);
        (await studio.Owner.Post(studio.Path + "/members", new { name = "Late", role = "potter" })).Expect(HttpStatusCode.Created);
        Assert.Equal(1, await Asking.Number(service.Links.Admin, $"select count(*) from audit where studio_id = '{studio.Id}' and action = 'studios.close'"));
    }

    private static async Task<List<Guid>> Owners(TestStudio studio, params Guid[] but) =>
        [.. (await studio.Owner.Get(studio.Path + "/members")).Body.GetProperty("items").EnumerateArray()
            .Where(m => m.GetProperty("role").GetString() == "owner").Select(m => m.GetProperty("id").GetGuid()).Except(but)];
}
