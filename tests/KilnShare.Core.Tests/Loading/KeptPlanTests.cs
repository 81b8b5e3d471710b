using KilnShare.Core.Common;
using KilnShare.Core.Loading;
using KilnShare.Core.Loading.Kernel;
using KilnShare.Core.Loading.Levels;
using KilnShare.Core.Loading.Search;
using KilnShare.Core.Loading.Shelves;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

public class KeptPlanTests
{
    private static LoadProblem With(IReadOnlyList<LoadPiece> pieces, LoadPlan? start, Keep keep, IReadOnlyList<PinnedCopy>? pinned = null) =>
        Problem(RoundChamber, RoundFurniture, UsualSpacing, pieces, null, start, keep, pinned);

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void New_pieces_go_into_free_room_and_nothing_kept_moves(int seed)
    {
        var first = MixedWare(8, seed);
        var start = Solve(RoundKiln(first), 20);
        var problem = With([.. first, Piece("new", Circle(70), 60, quantity: 3)], start, Keep.All);

        var plan = Solve(problem, 40);

        Assert.Empty(LoadChecks.Violations(problem, plan));
        Assert.True(plan.PlacedWeight >= start.PlacedWeight);
        Assert.Contains(plan.Shelves.SelectMany(s => s.Placements), p => p.PieceId is "new");
    }

    [Fact]
    public void Withdrawn_copies_leave_and_the_others_stay_where_they_were()
    {
        var start = Solve(RoundKiln([Piece("a", Circle(90), 100, quantity: 12), Piece("b", Circle(120), 150, quantity: 6)]));
        var problem = With([Piece("a", Circle(90), 100, quantity: 7)], start, Keep.All);

        var plan = Solve(problem, 10);

        Assert.Empty(LoadChecks.Violations(problem, plan));
        Assert.Equal(7, plan.PlacedWeight);
        var before = start.Shelves.SelectMany(s => s.Placements).Where(p => p.PieceId is "a" && p.Copies[0] < 7).ToList();
        var after = plan.Shelves.SelectMany(s => s.Placements).ToList();
        Assert.All(after, p => Assert.Contains(before, q => (q.X, q.Y, q.Copies[0]) == (p.X, p.Y, p.Copies[0])));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    public void Pinned_copies_stay_and_the_others_may_move(int seed)
    {
        var first = MixedWare(10, seed);
        var start = Solve(RoundKiln(first), 20);
        var pins = start.Shelves.SelectMany(s => s.Placements).Where((_, i) => i % 4 == 0).SelectMany(p => p.Copies.Select(c => new PinnedCopy(p.PieceId, c)))
            .ToList();
        var problem = With([.. first, Piece("new", Rectangle(70, 80), 60, quantity: 4)], start, Keep.Pinned, pins);

        var plan = Solve(problem, 60);

        Assert.Empty(LoadChecks.Violations(problem, plan));
        Assert.True(plan.PlacedWeight >= start.PlacedWeight);
    }

    // A heavy piece alone would tip its shelf: another across from it holds the balance, and may go only where something else does.
    [Fact]
    public void A_pinned_copy_that_leans_on_others_for_balance_may_stay()
    {
        List<LoadPiece> pieces = [Piece("heavy", Circle(120), 100, massG: 30_000), Piece("counter", Circle(120), 100, massG: 30_000)];
        var start = Solve(RoundKiln(pieces), 20);
        var (shelf, at) = (start.Shelves[0], new Dictionary<string, Length>(StringComparer.Ordinal) { ["heavy"] = Mm(-190), ["counter"] = Mm(190) });
        List<Placement> placements = [.. pieces.Select(p => new Placement(p.Id, [0], at[p.Id], Length.Zero, 0, false))];
        start = SharingOut.WithHandRoom(start with { Shelves = [shelf with { Placements = placements }] }, pieces);
        var alone = With(pieces, start, Keep.All);
        Assert.Empty(LoadChecks.Violations(alone, start));
        var heavy = start with { Shelves = [start.Shelves[0] with { Placements = [start.Shelves[0].Placements[0]] }] };
        Assert.Contains(LoadChecks.Violations(With([pieces[0]], null, Keep.None), heavy), v => v.Contains("centre of mass", StringComparison.Ordinal));

        var problem = With([.. pieces, Piece("new", Circle(110), 60, quantity: 150, priority: 3)], start, Keep.Pinned, [new PinnedCopy("heavy", 0)]);
        var plan = Solve(problem, 400);

        Assert.Empty(LoadChecks.Violations(problem, plan));
        Assert.Contains(plan.Shelves[0].Placements, p => p.PieceId is "counter");
    }

    [Fact]
    public void No_change_is_taken_that_leaves_what_must_stay_tipping()
    {
        List<LoadPiece> pieces = [Piece("heavy", Circle(120), 100, massG: 30_000), Piece("mug", Circle(90), 80, quantity: 12)];
        var start = Solve(RoundKiln([pieces[0]]), 20);
        Placement At(int x) => new("heavy", [0], Mm(x), Length.Zero, 0, false);
        LoadPlan PlacedItem(int x) => start with { Shelves = [start.Shelves[0] with { Placements = [At(x)] }] };
        var problem = With(pieces, PlacedItem(0), Keep.Pinned, [new PinnedCopy("heavy", 0)]);
        int Taken(int x)
        {
            var (options, pool) = (new LoadOptions(), new ItemPool(problem));
            var instance = new LoadInstance(problem, options, problem.Start);
            var budget = new SearchBudget(WorkBudget.OfIterations(long.MaxValue, TestContext.Current.CancellationToken));
            var context = new InstanceContext(instance, options, budget, new SeededRandom(1));
            var kept = new PartialPlan(new Layout([], []), [], pool, KeptBase.Of(instance, PlacedItem(x), pool));
            var neighbourhood = new Neighbourhood(context, new LevelBuilder(context), false);
            return Enumerable.Range(0, 40).Count(_ => neighbourhood.Near(kept) is not null);
        }

        Assert.True(Taken(0) > 0);
        Assert.Equal(0, Taken(-190));
    }

    [Fact]
    public void A_start_plan_is_never_made_worse_by_searching_on()
    {
        var pieces = MixedWare(30, 4);
        var start = Solve(RoundKiln(pieces), 400);

        var plan = Solve(With(pieces, start, Keep.None), 1);

        Assert.True(plan.PlacedWeight >= start.PlacedWeight);
    }

    [Fact]
    public void A_start_plan_that_breaks_a_rule_cannot_be_kept()
    {
        var pieces = new[] { Piece("a", Circle(90), 100, quantity: 4) };
        var start = Solve(RoundKiln(pieces));
        var moved = start.Shelves[0].Placements.Select(p => p with { X = Mm(0), Y = Mm(0) }).ToList();
        var broken = start with { Shelves = [start.Shelves[0] with { Placements = moved }] };

        var refusal = LoadProblem.Create(RoundChamber, RoundFurniture, UsualSpacing, pieces, null, broken, Keep.All).Then(KeptStart.Check).Refusal;

        Assert.Equal(("loading.start-breaks-rules", RefusalKind.Rule, "/start"), (refusal?.Code, refusal?.Kind ?? default, refusal?.Pointer));
    }
}
