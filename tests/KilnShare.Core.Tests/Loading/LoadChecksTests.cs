using KilnShare.Core.Common;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;
using static KilnShare.Core.Tests.Loading.Sample;

namespace KilnShare.Core.Tests.Loading;

/// <summary>Each kind of fault is planted once into a sound plan and must be seen.</summary>
public class LoadChecksTests
{
    private static readonly KeepOut Probe = new(Circle(50), new PlanPoint(150_000, 150_000), Mm(300), Mm(380));

    private static readonly LoadProblem Kiln = RoundKiln(
        [
            Piece("a", Circle(90), 110, quantity: 30, massG: 400, stack: new StackRule(2, Mm(20))),
            Piece("b", Rectangle(100, 60), 80, quantity: 10, mayTurn: false),
            Piece("c", Circle(150), 160, quantity: 4, massG: 900),
        ],
        [Probe]);

    private static readonly LoadPlan Sound = LoadSearch.Solve(Kiln, new LoadOptions(), WorkBudget.OfIterations(30, CancellationToken.None));

    public static TheoryData<string> Faults() => [.. Planted.Keys];

    [Fact]
    public void A_sound_plan_has_no_violation() => Assert.Empty(LoadChecks.Violations(Kiln, Sound));

    [Theory]
    [MemberData(nameof(Faults))]
    public void A_planted_fault_is_seen(string fault) => Assert.NotEmpty(LoadChecks.Violations(Kiln, Planted[fault](Sound)));

    private static readonly Dictionary<string, Func<LoadPlan, LoadPlan>> Planted = new(StringComparer.Ordinal)
    {
        ["a copy twice"] = p => Ware(p, (s, i, w) => s == 0 && i == 0 ? w with { Copies = [.. w.Copies, w.Copies[0]] } : w),
        ["a copy missing"] = p => p with { Shelves = [p.Shelves[0] with { Placements = [.. p.Shelves[0].Placements.Skip(1)] }, .. p.Shelves.Skip(1)] },
        ["a copy that does not exist"] = p => p with { Unplaced = [.. p.Unplaced, new UnplacedCopies("a", [99], UnplacedReason.NoPlaceFound)] },
        ["ware over the edge"] = p => Ware(p, (s, i, w) => s == 0 && i == 0 ? w with { X = Mm(230), Y = Mm(0) } : w),
        ["ware near the wall"] = p => p with { Shelves = [.. p.Shelves.Select(s => Aside(s, Mm(20)))] },
        ["two pieces in one place"] = p =>
            Ware(p, (s, i, w) => s == 0 && i == 0 ? w with { X = p.Shelves[0].Placements[1].X, Y = p.Shelves[0].Placements[1].Y } : w),
        ["a gap short by 0.1 mm"] = p => Nearer(p),
        ["a turned piece that may not turn"] = p => Ware(p, (_, _, w) => w.PieceId is "b" ? w with { RotationThousandths = 1000 } : w),
        ["too many on each other"] = p =>
            Ware(p, (s, i, w) => s == 0 && i == 0 ? w with { Copies = [.. w.Copies, .. p.Shelves[^1].Placements[^1].Copies] } : w),
        ["ware through the next shelf"] = p => p with { Shelves = [p.Shelves[0] with { Top = p.Shelves[0].Top + Mm(1) }, .. p.Shelves.Skip(1)] },
        ["a shelf too many"] = p => p with { Shelves = [.. p.Shelves, .. Enumerable.Range(p.Shelves.Count, 5).Select(i => Bare(p.Shelves[^1], i))] },
        ["a shelf of no kind"] = p => p with { Shelves = [p.Shelves[0] with { ShelfId = "none" }, .. p.Shelves.Skip(1)] },
        ["a post missing"] = p => p with { Posts = [.. p.Posts.Skip(1)] },
        ["a post from nowhere"] = p => Post(p, 0, q => q with { Heights = [Mm(24), Mm(1)] }),
        ["a post of three"] = p => Post(p, 0, q => q with { Heights = [Mm(10), Mm(10), q.To - q.From - Mm(20)] }),
        ["a post too short"] = p => Post(p, 0, q => q with { To = q.To - Mm(1) }),
        ["a post too near the edge"] = p => Post(p, 0, q => q with { Y = q.Y + Mm(1) }),
        ["a post beside the one below"] = p => Post(p, 3, q => q with { Y = q.Y - Mm(6) }),
        ["a post in the ware"] = p => Post(p, 3, q => q with { X = p.Shelves[0].Placements[0].X, Y = p.Shelves[0].Placements[0].Y }),
        ["a post on no shelf"] = p => Post(p, 3, q => q with { StandsOn = null }),
        ["stock exceeded"] = p => p with { Posts = [.. p.Posts, .. Enumerable.Repeat(p.Posts[0], 10)] },
        ["all the weight beside the posts"] = p => Heavy(p),
        ["a wrong weight"] = p => p with { PlacedWeight = p.PlacedWeight + 1 },
        ["a bound below the weight"] = p => p with { WeightBound = p.PlacedWeight - 1 },
        ["proven without reason"] = p => p with { WeightBound = p.PlacedWeight + 1, Stopped = StopReason.Proven },
        ["a wrong area"] = p => p with { Shelves = [p.Shelves[0] with { AreaUse = p.Shelves[0].AreaUse + 0.01m }, .. p.Shelves.Skip(1)] },
        ["a wrong clear height"] = p => p with { Shelves = [p.Shelves[0] with { ClearAbove = p.Shelves[0].ClearAbove + Mm(1) }, .. p.Shelves.Skip(1)] },
        ["a wrong top"] = p => p with { Top = p.Top + Mm(1) },
        ["open above without reason"] = p => Ware(p, (s, i, w) => s == 0 && i == 0 ? w with { OpenAbove = true } : w),
    };

    // The lid, keep-outs, halves and what is kept need a problem of their own.
    [Fact]
    public void Ware_under_the_lid_and_in_a_keep_out_is_seen()
    {
        var lower = Problem(RoundChamber with { Height = Sound.Top + Mm(11.999m) }, RoundFurniture, UsualSpacing, Kiln.Pieces, [Probe]);
        var blocked = Problem(RoundChamber, RoundFurniture, UsualSpacing, Kiln.Pieces, [new KeepOut(Circle(10), At(Sound), Mm(0), Mm(600))]);

        Assert.Contains(LoadChecks.Violations(lower, Sound), v => v.Contains("lid", StringComparison.Ordinal));
        Assert.Contains(LoadChecks.Violations(blocked, Sound), v => v.Contains("keep-out", StringComparison.Ordinal));
    }

    [Fact]
    public void A_kept_copy_that_moved_is_seen()
    {
        var kept = Problem(RoundChamber, RoundFurniture, UsualSpacing, Kiln.Pieces, [Probe], Sound, Keep.All);

        Assert.Empty(LoadChecks.Violations(kept, Sound));
        Assert.NotEmpty(LoadChecks.Violations(kept, Ware(Sound, (s, i, w) => s == 0 && i == 0 ? w with { X = w.X + new Length(1) } : w)));
    }

    private static PlanPoint At(LoadPlan plan) => new(plan.Shelves[0].Placements[0].X.Micrometres, plan.Shelves[0].Placements[0].Y.Micrometres);

    private static PlacedShelf Aside(PlacedShelf shelf, Length by) =>
        shelf with { X = shelf.X + by, Placements = [.. shelf.Placements.Select(w => w with { X = w.X + by })] };

    private static PlacedShelf Bare(PlacedShelf shelf, int index) => shelf with { Index = index, Placements = [] };

    private static LoadPlan Ware(LoadPlan plan, Func<int, int, Placement, Placement> change) =>
        plan with { Shelves = [.. plan.Shelves.Select((s, k) => s with { Placements = [.. s.Placements.Select((w, i) => change(k, i, w))] })] };

    private static LoadPlan Post(LoadPlan plan, int index, Func<PlacedPost, PlacedPost> change) =>
        plan with { Posts = [.. plan.Posts.Select((p, i) => i == index ? change(p) : p)] };

    // Moves one disc straight toward another until 0.1 mm of the gap is missing.
    private static LoadPlan Nearer(LoadPlan plan)
    {
        var (i, j) = (from a in Enumerable.Range(0, plan.Shelves[0].Placements.Count)
                      from b in Enumerable.Range(0, a)
                      where plan.Shelves[0].Placements[a].PieceId is "a" or "c" && plan.Shelves[0].Placements[b].PieceId is "a" or "c"
                      orderby Distance(plan, a, b)
                      select (a, b)).First();
        var (x, y) = (plan.Shelves[0].Placements[i], plan.Shelves[0].Placements[j]);
        decimal Radius(Placement p) => p.PieceId is "a" ? 45 : 75;
        var share = (double)(Radius(x) + Radius(y) + 5.9m) * 1000 / Distance(plan, i, j);
        return Ware(plan, (s, k, w) => s != 0 || k != i ? w : w with
        {
            X = new Length(y.X.Micrometres + (long)Math.Round(share * (x.X - y.X).Micrometres)),
            Y = new Length(y.Y.Micrometres + (long)Math.Round(share * (x.Y - y.Y).Micrometres)),
        });
    }

    private static double Distance(LoadPlan plan, int a, int b)
    {
        var (p, q) = (plan.Shelves[0].Placements[a], plan.Shelves[0].Placements[b]);
        return Math.Sqrt(Math.Pow((p.X - q.X).Micrometres, 2) + Math.Pow((p.Y - q.Y).Micrometres, 2));
    }

    private static LoadPlan Heavy(LoadPlan plan) => plan with
    {
        Posts = [.. plan.Posts.Select(p => p with { X = new Length(p.X.Micrometres / 12), Y = p.Y })],
    };
}
