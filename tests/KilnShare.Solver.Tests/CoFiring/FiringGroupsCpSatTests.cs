using CsCheck;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Tests.CoFiring;
using KilnShare.Solver.CoFiring;

namespace KilnShare.Solver.Tests.CoFiring;

public sealed class FiringGroupsCpSatTests
{
    private static WorkBudget Unlimited => WorkBudget.OfIterations(long.MaxValue, TestContext.Current.CancellationToken);

    private static FiringGroupsPlan Plain(FiringGroupsProblem problem) => FiringGroupsSolve.Solve(problem, new FiringGroupsOptions(), Unlimited);

    private static FiringGroupsPlan CpSat(FiringGroupsProblem problem) => FiringGroupsCpSat.Solve(problem, new FiringGroupsOptions(), Unlimited);

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
        var plan = FiringGroupsCpSat.Solve(problem, new FiringGroupsOptions { MostSolverWork = 0 }, Unlimited);
        Assert.Empty(FiringGroupsChecks.Violations(problem, plan));
        Assert.True(plan.LowerBound <= CpSat(problem).Groups.Count);
    }

    [Theory]
    [InlineData(300, 1, 0, 1)]
    [InlineData(300, 2, 30, 5)]
    [InlineData(60, 1, 50, 4)]
    public void Ware_of_many_atmospheres_gets_as_many_firings_as_by_the_plain_search(int pieces, int width, int leadInHundred, int seed)
    {
        var problem = FiringGroupsProblem.Of(StudioLoads.Motley(pieces, width, leadInHundred, seed)).Value;
        var (plain, cpSat) = (Plain(problem), CpSat(problem));
        Assert.Equal((true, plain.Groups.Count), (cpSat.Proven, cpSat.Groups.Count));
        Assert.Empty(FiringGroupsChecks.Violations(problem, cpSat));
    }

    [Fact]
    public void A_budget_of_time_ends_the_search()
    {
        var problem = FiringGroupsProblem.Of(StudioLoads.Motley(300, 1, 0, 1)).Value;
        var budget = WorkBudget.OfTime(TimeSpan.Zero, TimeProvider.System, TestContext.Current.CancellationToken);
        var plan = FiringGroupsCpSat.Solve(problem, new FiringGroupsOptions(), budget);
        Assert.Empty(FiringGroupsChecks.Violations(problem, plan));
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
