using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Studios;

/// <summary>The installation's own token is rotated: the old one counts no more, at once, on every service and after a restart.</summary>
public sealed class InstallationTests(TestDatabase database)
{
    private static readonly object Studio = new { name = "Studio", timeZone = "Europe/Berlin", currency = "EUR", perKwh = "0.3", ownerName = "Alma" };

    [Fact]
    public async Task A_rotated_token_is_the_only_one_that_counts()
    {
        await using var service = await Start();
        (await service.As(null).Post("/v1/installation-token")).Expect(HttpStatusCode.Unauthorized);
        (await service.As("ki_" + new string('A', 43)).Post("/v1/installation-token")).Expect(HttpStatusCode.Unauthorized);
        var second = await Rotate(service, Service.InstallationToken);
        await Expect(service, (Service.InstallationToken, HttpStatusCode.Unauthorized), (second, HttpStatusCode.Created));
        var third = await Rotate(service, second);
        await Expect(service, (Service.InstallationToken, HttpStatusCode.Unauthorized), (second, HttpStatusCode.Unauthorized), (third, HttpStatusCode.Created));

        // Another process over the same database, started later with the old settings; and one with the second token in its settings.
        using var again = service.Again();
        var (old, latest) = (new Caller(again.CreateClient(), Service.InstallationToken), new Caller(again.CreateClient(), third));
        (await old.Post("/v1/studios", Studio)).Expect(HttpStatusCode.Unauthorized);
        (await latest.Post("/v1/studios", Studio)).Expect(HttpStatusCode.Created);
        using var renewed = service.WithWebHostBuilder(host => host.UseSetting("KILNSHARE_INSTALLATION_TOKEN", "a-new-token-of-the-settings"));
        (await new Caller(renewed.CreateClient(), "a-new-token-of-the-settings").Post("/v1/studios", Studio)).Expect(HttpStatusCode.Created);
        (await new Caller(renewed.CreateClient(), third).Post("/v1/studios", Studio)).Expect(HttpStatusCode.Unauthorized);
    }

    [Fact]
    public async Task Of_two_rotations_at_once_by_one_token_one_is_refused()
    {
        await using var service = await Start();
        var token = Service.InstallationToken;
        for (var round = 0; round < Races.Tries; round++)
        {
            var used = token;
            var replies = await Races.AtOnce(() => service.As(used).Post("/v1/installation-token"), () => service.As(used).Post("/v1/installation-token"));
            var made = Assert.Single(replies, r => r.Status == HttpStatusCode.Created);
            Assert.Single(replies, r => r.Code is "access.token" or "access.rotated-meanwhile");
            token = made.Body.GetProperty("token").GetString()!;
        }

        await Expect(service, (token, HttpStatusCode.Created));
    }

    private async Task<Service> Start()
    {
        var service = new Service(database);
        await service.InitializeAsync();
        return service;
    }

    private static async Task<string> Rotate(Service service, string token) =>
        (await service.As(token).Post("/v1/installation-token")).Expect(HttpStatusCode.Created).Body.GetProperty("token").GetString()!;

    private static async Task Expect(Service service, params (string Token, HttpStatusCode Status)[] tokens)
    {
        foreach (var (token, status) in tokens) (await service.As(token).Post("/v1/studios", Studio)).Expect(status);
    }
}
