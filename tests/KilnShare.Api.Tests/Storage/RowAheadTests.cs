using System.Net;
using KilnShare.Api.Tests.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Materials;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Common;
using KilnShare.Storage.Studios;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;

namespace KilnShare.Api.Tests.Storage;

/// <summary>A row that is asked for together with the token is the row that the handler would have read, for whom it may be read.</summary>
public sealed class RowAheadTests(Service service) : IClassFixture<Service>
{
    [Fact]
    public async Task Reading_again_shows_the_same_and_each_change_at_once()
    {
        var studio = await service.MakeStudio();
        var clay = $"{studio.Path}/clays/{await studio.MakeClay()}";
        var first = (await studio.Viewer.Send(HttpMethod.Get, clay)).Expect(HttpStatusCode.OK);
        var second = (await studio.Viewer.Send(HttpMethod.Get, clay)).Expect(HttpStatusCode.OK);
        Assert.Equal(first.Text, second.Text);
        Assert.Equal(first.Headers.ETag, second.Headers.ETag);
        (await studio.Technician.Send(HttpMethod.Patch, clay, new { name = "another name" }, contentType: "application/merge-patch+json",
            ifMatch: first.Headers.ETag!.ToString())).Expect(HttpStatusCode.OK);
        var changed = (await studio.Viewer.Send(HttpMethod.Get, clay)).Expect(HttpStatusCode.OK);
        Assert.Equal("another name", changed.Body.GetProperty("name").GetString());
        Assert.NotEqual(first.Headers.ETag, changed.Headers.ETag);
    }

    [Fact]
    public async Task A_stranger_and_a_revoked_token_get_nothing_of_it()
    {
        var (studio, stranger) = (await service.MakeStudio(), await service.MakeStudio());
        var clay = await studio.MakeClay();
        for (var again = 0; again < 2; again++) (await studio.Viewer.Send(HttpMethod.Get, $"{studio.Path}/clays/{clay}")).Expect(HttpStatusCode.OK);
        (await stranger.Owner.Send(HttpMethod.Get, $"{stranger.Path}/clays/{clay}")).Expect(HttpStatusCode.NotFound);
        (await stranger.Owner.Send(HttpMethod.Get, $"{studio.Path}/clays/{clay}")).Expect(HttpStatusCode.NotFound);
        (await studio.Owner.Send(HttpMethod.Get, $"{studio.Path}/clays/{Guid.NewGuid()}")).Expect(HttpStatusCode.NotFound);
        (await service.As(studio.Viewer.Token + "x").Send(HttpMethod.Get, $"{studio.Path}/clays/{clay}")).Expect(HttpStatusCode.Unauthorized);
        var made = (await studio.Owner.Send(HttpMethod.Post, $"{studio.Path}/members/{studio.PotterId}/tokens", new { label = "lost" }))
            .Expect(HttpStatusCode.Created).Body;
        var lost = service.As(made.GetProperty("token").GetString());
        (await lost.Send(HttpMethod.Get, $"{studio.Path}/clays/{clay}")).Expect(HttpStatusCode.OK);
        (await studio.Owner.Send(HttpMethod.Delete, $"{studio.Path}/members/{studio.PotterId}/tokens/{made.GetProperty("id").GetGuid()}", ifMatch: "*"))
            .Expect(HttpStatusCode.NoContent);
        (await lost.Send(HttpMethod.Get, $"{studio.Path}/clays/{clay}")).Expect(HttpStatusCode.Unauthorized);
        var forged = studio.Viewer.Token![..^4] + (studio.Viewer.Token.EndsWith("AAAA", StringComparison.Ordinal) ? "BBBB" : "AAAA");
        (await service.As(forged).Send(HttpMethod.Get, $"{studio.Path}/clays/{clay}")).Expect(HttpStatusCode.Unauthorized);
    }

    [Fact]
    public async Task What_was_asked_ahead_is_taken_by_the_one_who_asks_it_and_put_away_before_anything_else()
    {
        var studio = await service.MakeStudio();
        var (one, other) = (await studio.MakeClay(), await studio.MakeClay());
        (await studio.Viewer.Send(HttpMethod.Get, $"{studio.Path}/clays/{one}")).Expect(HttpStatusCode.OK);
        var question = Reading.QuestionOf<StudioClay>();
        Assert.True(question.IsKnown);
        var cancellation = TestContext.Current.CancellationToken;

        await using var scope = service.Services.CreateAsyncScope();
        var (db, tokens) = (scope.ServiceProvider.GetRequiredService<KilnShareDb>(), scope.ServiceProvider.GetRequiredService<TokenLookup>());
        var id = new Id<Studio>(studio.Id);
        db.Studio = id;
        await Ask(one);
        await VersionHistory(one);
        Assert.Equal(1, (await db.ById<StudioClay>(id, one, cancellation))!.Version); // as it was when it was asked for
        Assert.Equal(7, (await db.ById<StudioClay>(id, one, cancellation))!.Version);
        await tokens.LetGo();

        await Ask(one);
        Assert.Equal(other, (await db.ById<StudioClay>(id, other, cancellation))!.Id.Value);
        await tokens.LetGo();

        await Ask(one);
        Assert.Equal(2, await db.Set<StudioClay>().CountAsync(cancellation));
        Assert.Equal(7, (await db.ById<StudioClay>(id, one, cancellation))!.Version);
        await tokens.LetGo();

        await Ask(one);
        Assert.Equal(0, await db.Database.ExecuteSqlAsync($"update clay set version = version where false", cancellation));
        await tokens.LetGo();

        async Task Ask(Guid clay) => Assert.NotNull(await tokens.Find(
            id, AccessToken.HashOf(studio.Viewer.Token!), SystemClock.Instance.GetCurrentInstant(), keepOpen: true, (question, clay), cancellation));
        Task VersionHistory(Guid clay) => Bookings.VersionHistory.Run(service.Links.Admin, $"update clay set version = 7 where id = '{clay}'");
    }
}
