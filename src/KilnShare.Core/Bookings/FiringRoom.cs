using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Bookings;

/// <summary>A copy that a firing holds or is asked to hold, apart from how it is stored.</summary>
/// <param name="BookingId">The booking it comes by.</param>
/// <param name="PieceId">The piece.</param>
/// <param name="Copy">Which copy.</param>
/// <param name="Frozen">The copy as booked.</param>
/// <param name="Place">Where it stands; null while it has no place.</param>
public sealed record HeldCopy(Id<Booking> BookingId, Id<Piece> PieceId, int Copy, FrozenCopy Frozen, CopyPlace? Place)
{
    /// <summary>True for reserved room: a size without a piece.</summary>
    public bool IsRoom => Frozen.Ware is null;
}

/// <summary>A firing with its kiln and everything its published plan holds: what a decision is made on.</summary>
/// <param name="Aim">What the firing is to be.</param>
/// <param name="Kiln">The kiln.</param>
/// <param name="Furniture">Its shelves and posts.</param>
/// <param name="StartsAt">When it is to be lit.</param>
/// <param name="Held">The confirmed copies.</param>
/// <param name="Shelves">The plan's shelves, without ware.</param>
/// <param name="Posts">The plan's posts.</param>
/// <param name="LoadVersion">The version of that plan.</param>
public sealed record FiringRoom(
    FiringAim Aim, KilnMaking Kiln, Furniture Furniture, NodaTime.Instant StartsAt, IReadOnlyList<HeldCopy> Held,
    IReadOnlyList<PlacedShelf> Shelves, IReadOnlyList<PlacedPost> Posts, long LoadVersion)
{
    /// <summary>Greenware in a bisque may stand rim to rim and foot to foot, two high at the most.</summary>
    /// <remarks>Source: owners' manuals and teaching sheets on loading; two high is our own caution.</remarks>
    private const int StackedGreenware = 2;

    /// <summary>What the studio itself permits; null where it has no rules of its own.</summary>
    public HouseRules? HouseRules { get; init; }

    /// <summary>The studio's own outcomes, which may settle what the rules do not know.</summary>
    public IReadOnlyList<Evidence> Evidence { get; init; } = [];

    /// <summary>What the kiln's levels usually do, learnt from its witness cones.</summary>
    public IReadOnlyList<WitnessHabit> Levels { get; init; } = [];

    /// <summary>What the kiln is to do; null where no schedule is named.</summary>
    public FiringSchedule? Schedule { get; init; }

    /// <summary>The cones of this kiln's earlier firings of this kind, the latest first.</summary>
    public IReadOnlyList<Cone> EarlierCones { get; init; } = [];

    /// <summary>What the co-firing rules are asked about.</summary>
    public FiringPlan Plan => new(Aim.Kind, Aim.Cone, Aim.Series, Aim.Atmosphere)
    {
        KilnRatedCone = Kiln.RatedCone,
        At = StartsAt,
        HouseRules = HouseRules,
        Levels = Levels,
        Schedule = Schedule,
        ConeIsMeant = Aim.ConeIsMeant,
        EarlierCones = EarlierCones,
    };

    /// <summary>The load with these copies more, as a problem for the planner.</summary>
    public Result<LoadProblem> Problem(IReadOnlyList<HeldCopy> added, Keep keep) => LoadProblem.Create(
        Kiln.Chamber, Furniture, Kiln.Spacing,
        [.. ByPiece([.. Held, .. added]).Select(PieceOf)], Kiln.KeepOuts, Shelves.Count == 0 ? null : CurrentPlan(), keep,
        heatZones: LearntHeat.Zones(Kiln.Chamber.Height, Levels)).Then(KeptStart.Check);

    /// <summary>The published plan in the planner's terms.</summary>
    public LoadPlan CurrentPlan()
    {
        var onShelf = ByPiece(Held)
            .SelectMany(piece => piece.Select((held, index) => (Id: NameOf(held), Index: index, Place: held.Place!)))
            .GroupBy(c => (c.Place.ShelfNo, c.Id, c.Place.X, c.Place.Y, c.Place.RotationThousandths, c.Place.OpenAbove))
            .ToLookup(stack => stack.Key.ShelfNo, stack => new Placement(
                stack.Key.Id, [.. stack.OrderBy(c => c.Place.StackLevel).Select(c => c.Index)], stack.Key.X, stack.Key.Y, stack.Key.RotationThousandths,
                    stack.Key.OpenAbove));
        var plan = new LoadPlan(
            [.. Shelves.Select(s => s with { Placements = [.. onShelf[s.Index]] })], Posts, [], Top(), Held.Count, Held.Count, StopReason.SearchEnded, 0);
        return SharingOut.WithHandRoom(plan, [.. ByPiece(Held).Select(PieceOf)]);
    }

    /// <summary>Top of the highest ware over the floor.</summary>
    private Length Top() => Held.Count == 0 ? Length.Zero : Held.Max(h => new Length(
        Shelves[h.Place!.ShelfNo].Top.Micrometres + (h.Frozen.Height.Micrometres * (h.Place.StackLevel + 1))));

    /// <summary>The copies where a plan has them.</summary>
    public IReadOnlyList<HeldCopy> Placed(IReadOnlyList<HeldCopy> added, LoadPlan plan)
    {
        var copies = ByPiece([.. Held, .. added]).ToDictionary(piece => NameOf(piece[0]), piece => piece, StringComparer.Ordinal);
        return [.. plan.Shelves.SelectMany(shelf => shelf.Placements.SelectMany(placement => placement.Copies.Select((index, level) =>
        {
            var held = copies[placement.PieceId][index];
            var core = CoreDisc.Of(held.Frozen.Footprint, placement.X, placement.Y, placement.RotationThousandths);
            return held with { Place = new CopyPlace(shelf.Index, placement.X, placement.Y, placement.RotationThousandths, level, placement.OpenAbove, core) };
        })))];
    }

    /// <summary>The copy that a plan knows by a name and a number.</summary>
    public HeldCopy Named(IReadOnlyList<HeldCopy> added, string name, int index) =>
        ByPiece([.. Held, .. added]).First(piece => string.Equals(NameOf(piece[0]), name, StringComparison.Ordinal))[index];

    /// <summary>The ware of these copies, alike copies once; of reserved room nothing is known, and nothing asked.</summary>
    public static IReadOnlyList<Ware> Wares(IEnumerable<HeldCopy> copies) =>
        [.. copies.Where(c => !c.IsRoom).GroupBy(NameOfWare, StringComparer.Ordinal)
            .Select(alike => alike.First().Frozen.FiredWare() with { Id = alike.Key, Owner = alike.First().Frozen.MemberId.ToString() })];

    /// <summary>The name of a copy's ware in a check: alike copies of a booking share it.</summary>
    public static string NameOfWare(HeldCopy held)
    {
        var ware = held.Frozen.FiredWare();
        return $"{held.PieceId}@{held.BookingId}:{ware.Stage}:{ware.BisquedAt}:{string.Join(',', ware.Layers.Select(l => l.FiredAt))}";
    }

    /// <summary>A finding that names pieces of the studio instead of ware of a check.</summary>
    public static Finding NamePieces(Finding finding) => finding with
    {
        Pieces = PiecesOf(finding.Pieces),
        Cures = [.. finding.Cures.Select(c => c with { Pieces = PiecesOf(c.Pieces) })],
    };

    private static IReadOnlyList<string> PiecesOf(IReadOnlyList<string> wares) => [.. wares.Select(w => w.Split('@')[0]).Distinct(StringComparer.Ordinal)];

    /// <summary>The name of a copy in the plan: the copies of a piece in one booking share it.</summary>
    public static string NameOf(HeldCopy held) => $"{held.BookingId}/{held.PieceId}";

    private static IReadOnlyList<IReadOnlyList<HeldCopy>> ByPiece(IEnumerable<HeldCopy> copies) =>
        [.. copies.GroupBy(NameOf, StringComparer.Ordinal).Select(piece => (IReadOnlyList<HeldCopy>)[.. piece.OrderBy(c => c.Copy)])];

    private LoadPiece PieceOf(IReadOnlyList<HeldCopy> copies)
    {
        var frozen = copies[0].Frozen;
        var touches = Aim.Kind == FiringKind.Bisque && copies.All(c => c.Frozen.Ware is { Stage: Stage.Greenware, Dryness: Dryness.Dry, Layers.Count: 0 });
        return new LoadPiece(
            NameOf(copies[0]), frozen.Footprint, frozen.Height, frozen.MassG, copies.Count, 1, frozen.MayTurn, touches,
            touches && copies.Count > 1 ? new StackRule(StackedGreenware, frozen.Height) : null, frozen.MemberId.ToString())
        {
            Wish = frozen.Wish,
        };
    }
}
