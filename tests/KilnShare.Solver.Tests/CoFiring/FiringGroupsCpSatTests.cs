using CsCheck;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Tests.CoFiring;
using KilnShare.Solver.CoFiring;

namespace KilnShare.Solver.Tests.CoFiring;

public sealed class FiringGroupsCpSatTests
{
    private const double MostWork = 5;

    private static FiringGroupsPlan Plain(FiringGroupsProblem problem) => FiringGroupsSolve.Solve(
        problem, new FiringGroupsOptions(), WorkBudget.OfIterations(long.MaxValue, TestContext.Current.CancellationToken));

    private static FiringGroupsPlan CpSat(FiringGroupsProblem problem) =>
        FiringGroupsCpSat.Solve(problem, new FiringGroupsOptions(), MostWork, TestContext.Current.CancellationToken);

    private static string Written(FiringGroupsPlan plan) => string.Join('\n', plan.Groups.Select(group => string.Join(',', group.PieceIds)));

    [Fact]
    public void It_needs_as_many_firings_as_the_plain_search_and_proves_it() => StudioLoads.Any(60).Sample(
        pieces =>
        {
            var problem = FiringGroupsProblem.Of(pieces).Value;
            var (plain, cpSat) = (Plain(problem), CpSat(problem));
            return cpSat.Proven && cpSat.Groups.Count == plain.Groups.Count && cpSat.LowerBound == plain.LowerBound
                && FiringGroupsChecks.Violations(problem, cpSat).Count == 0;
        },
        iter: 40, threads: 1);

    [Fact]
    public void The_same_seed_gives_the_same_groups()
    {
        var problem = FiringGroupsProblem.Of(StudioLoads.Of(80, 12, 10, 3)).Value;
        Assert.Equal(
            Written(CpSat(problem)), Written(CpSat(problem)));
    }

    [Fact]
    public void Out_of_work_at_once_it_still_gives_every_piece_a_firing_and_a_true_bound()
    {
        var problem = FiringGroupsProblem.Of(StudioLoads.Of(80, 12, 10, 3)).Value;
        var plan = FiringGroupsCpSat.Solve(problem, new FiringGroupsOptions(), 0, TestContext.Current.CancellationToken);
        Assert.Empty(FiringGroupsChecks.Violations(problem, plan));
        Assert.True(plan.LowerBound <= CpSat(problem).Groups.Count);
    }

    [Fact]
    public void A_rack_of_three_hundred_is_proven()
    {
        var problem = FiringGroupsProblem.Of(StudioLoads.Of(300, 40, 10, 7)).Value;
        var plan = CpSat(problem);
        Assert.True(plan.Proven);
        Assert.Equal(Plain(problem).Groups.Count, plan.Groups.Count);
    }
}
