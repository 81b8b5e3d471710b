using KilnShare.Core.Common;
using KilnShare.Core.Kilns;

namespace KilnShare.Core.Loading;

/// <summary>What is to be loaded into what: everything a plan depends on. Made only by <see cref="Create"/>, so it makes sense.</summary>
public sealed class LoadProblem
{
    private LoadProblem(
        Chamber chamber,
        Furniture furniture,
        KilnSpacing spacing,
        IReadOnlyList<LoadPiece> pieces,
        IReadOnlyList<KeepOut> keepOuts,
        LoadPlan? start,
        Keep keep,
        IReadOnlyList<PinnedCopy> pinned)
    {
        Chamber = chamber;
        Furniture = furniture;
        Spacing = spacing;
        Pieces = pieces;
        KeepOuts = keepOuts;
        Start = start;
        Keep = start is null ? Keep.None : keep;
        Pinned = pinned;
    }

    /// <summary>The space.</summary>
    public Chamber Chamber { get; }

    /// <summary>Shelves and posts.</summary>
    public Furniture Furniture { get; }

    /// <summary>Distances to keep.</summary>
    public KilnSpacing Spacing { get; }

    /// <summary>The ware.</summary>
    public IReadOnlyList<LoadPiece> Pieces { get; }

    /// <summary>Room to stay out of.</summary>
    public IReadOnlyList<KeepOut> KeepOuts { get; }

    /// <summary>Parts of the height that fire hotter or cooler; pieces that wish for one get it where it costs nothing.</summary>
    public IReadOnlyList<HeatZone> HeatZones { get; init; } = [];

    /// <summary>An earlier plan; null when there is none. Copies in it that the problem no longer has are withdrawn.</summary>
    public LoadPlan? Start { get; }

    /// <summary>What of <see cref="Start"/> stays.</summary>
    public Keep Keep { get; }

    /// <summary>The copies that stay with <see cref="Loading.Keep.Pinned"/>.</summary>
    public IReadOnlyList<PinnedCopy> Pinned { get; }

    /// <summary>The problem, or the first thing that is wrong with it; pointers are those of the load-plan call.</summary>
    public static Result<LoadProblem> Create(
        Chamber chamber,
        Furniture furniture,
        KilnSpacing spacing,
        IReadOnlyList<LoadPiece> pieces,
        IReadOnlyList<KeepOut>? keepOuts = null,
        LoadPlan? start = null,
        Keep keep = Keep.None,
        IReadOnlyList<PinnedCopy>? pinned = null,
        IReadOnlyList<HeatZone>? heatZones = null)
    {
        var problem = new LoadProblem(chamber, furniture, spacing, pieces, keepOuts ?? [], start, keep, pinned ?? []) { HeatZones = heatZones ?? [] };
        var refusal = LoadProblemRules.FirstBroken(problem) ?? StartRules.FirstBroken(problem);
        return refusal is null ? problem : refusal;
    }

    /// <summary>True when a piece on a shelf of that upper face wishes to stand hotter or cooler: its foot is in no such zone.</summary>
    public bool IsUnmet(LoadPiece piece, Length shelfTop) =>
        HeatZones.Count > 0 && piece.Wish is { } wish && !HeatZones.Any(z => z.Heat == wish && z.From <= shelfTop && shelfTop < z.To);

    /// <summary>Copies that a plan has where they do not wish to stand.</summary>
    public int UnmetIn(LoadPlan plan)
    {
        var pieces = Pieces.ToDictionary(p => p.Id, StringComparer.Ordinal);
        return plan.Shelves.Sum(shelf => shelf.Placements.Where(p => IsUnmet(pieces[p.PieceId], shelf.Top)).Sum(p => p.Copies.Count));
    }

    /// <summary>True when that copy stands in the start plan and must stay where it is.</summary>
    public bool IsKept(string pieceId, int copy) => Keep switch
    {
        Keep.All => true,
        Keep.Pinned => Pinned.Any(p => p.Copy == copy && string.Equals(p.PieceId, pieceId, StringComparison.Ordinal)),
        _ => false,
    };
}
