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
        IReadOnlyList<PinnedCopy>? pinned = null)
    {
        var problem = new LoadProblem(chamber, furniture, spacing, pieces, keepOuts ?? [], start, keep, pinned ?? []);
        var refusal = LoadProblemRules.FirstBroken(problem) ?? StartRules.FirstBroken(problem);
        return refusal is null ? problem : refusal;
    }

    /// <summary>True when that copy stands in the start plan and must stay where it is.</summary>
    public bool IsKept(string pieceId, int copy) => Keep switch
    {
        Keep.All => true,
        Keep.Pinned => Pinned.Any(p => p.Copy == copy && string.Equals(p.PieceId, pieceId, StringComparison.Ordinal)),
        _ => false,
    };
}
