using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Materials;
using KilnShare.Core.Common;
using KilnShare.Core.Materials;
using KilnShare.Core.Outcomes;
using KilnShare.Storage;
using KilnShare.Storage.Outcomes;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Outcomes;

/// <summary>Which test pieces teach most.</summary>
internal static class NextTestEndpoints
{
    private const int MostOutcomes = 20_000;

    /// <summary>Maps the routes.</summary>
    public static void MapNextTests(this RouteGroupBuilder studio) => studio.MapPost("/next-tests", Plan)
        .WithTags("Outcomes").WithName("planNextTests").Answers<NextTestsAnswer>().Refuses(422);

    /// <summary>Plan the next test pieces</summary>
    /// <remarks>
    /// Given glazes and coats to choose between on a clay: how many test pieces of each teach most of which is best, by what the studio has seen of them, and
    /// where they stand. Firings and levels are blocks, so that neither is taken for the glaze. Stores nothing. The same seed gives the same answer.
    /// </remarks>
    private static async Task<IResult> Plan(NextTestBody body, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        if (await db.FindAsync<StudioClay>([caller.StudioId, new Id<StudioClay>(body.ClayId)], cancellation) is not { } clay
            || !OwnMaterials.Sees(caller, clay))
            return Problems.Of(NoSuch("clay", "/clayId"));
        var ids = body.Candidates.Select(c => new Id<StudioGlaze>(c.GlazeId)).Distinct().ToList();
        var glazes = (await db.Set<StudioGlaze>().AsNoTracking().Where(g => g.StudioId == caller.StudioId && ids.Contains(g.Id)).ToListAsync(cancellation))
            .Where(g => OwnMaterials.Sees(caller, g)).ToDictionary(g => g.Id.Value);
        for (var i = 0; i < body.Candidates.Count; i++)
            if (!glazes.ContainsKey(body.Candidates[i].GlazeId)) return Problems.Of(NoSuch("glaze", $"/candidates/{i}/glazeId"));
        var seen = (await db.ReadSeenCopies(
                caller.StudioId, new OutcomesWanted(MostOutcomes) { Clay = clay.Name, Glazes = [.. glazes.Values.Select(g => g.Name)] }, cancellation))
            .Where(s => (body.Cone is null || s.Aim.Cone == body.Cone) && (body.Atmosphere is null || s.Aim.Atmosphere == body.Atmosphere)).ToList();
        var candidates = body.Candidates.Select(
            c => new TestCandidate(glazes[c.GlazeId].Name, c.Coats, Known(seen, glazes[c.GlazeId].Name, c.Coats, body.Without))).ToList();
        var problem = new NextTestProblem(candidates, body.Pieces, body.Firings, body.Levels, body.Seed) { IsWanted = body.Without is null };
        return TypedResults.Ok(Answer(body, NextTests.Of(problem), body.Without is { } without ? OutcomeWords.Of(without) : OutcomeWords.Sound));
    }

    private static IReadOnlyList<FiringCount> Known(IReadOnlyList<SeenCopies> seen, string glaze, int coats, Defect? without) => SeenRate.FiringByFiring(
        seen.Where(s => s.Fired.Any(l => l.Coats == coats && string.Equals(l.Glaze.Name, glaze, StringComparison.Ordinal))),
        s => without is { } defect ? s.Defects.Contains(defect) : s.IsSound);

    private static TestPlaceContract PlaceOf(TestPlace place, TestCandidate candidate) =>
        new() { Firing = place.Firing, Level = place.Level, Glaze = candidate.Glaze, Coats = candidate.Coats };

    private static NextTestsAnswer Answer(NextTestBody body, NextTests tests, string how) => new()
    {
        Choices =
        [
            .. tests.Choices.Zip(body.Candidates, (test, asked) => new NextTestContract
            {
                GlazeId = asked.GlazeId,
                Glaze = test.Candidate.Glaze,
                Coats = test.Candidate.Coats,
                Pieces = test.Pieces,
                Known = test.Candidate.Known.Count == 0 ? null : SeenRateContract.Of(SeenRate.Of(test.Candidate.Known), how),
                Reason = test.Reason,
            }),
        ],
        Places = [.. tests.Places.Select(p => PlaceOf(p, tests.Choices[p.Candidate].Candidate))],
        Seed = body.Seed,
        Sentence = body.Firings < RateInterval.LeastFirings
            ? "One firing may be an odd one: spread the pieces over two, or fire them again before you trust what they say."
            : "Write down how they came out, and ask again before the next firing: what was seen by then changes what teaches most.",
    };

    private static Refusal NoSuch(string what, string pointer) =>
        Refusal.Rule($"outcomes.no-such-{what}", $"There is no such {what} in your studio. Write it down first, or check the id.", pointer);
}
