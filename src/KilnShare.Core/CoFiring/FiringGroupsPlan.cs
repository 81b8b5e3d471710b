using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring;

/// <summary>Pieces that are fired together.</summary>
/// <param name="Kind">The kind of firing.</param>
/// <param name="Cone">The cone.</param>
/// <param name="Series">The series of the cone.</param>
/// <param name="Atmosphere">The atmosphere.</param>
/// <param name="PieceIds">The pieces, in the order asked.</param>
public sealed record FiringGroup(FiringKind Kind, Cone Cone, ConeSeries Series, Atmosphere Atmosphere, IReadOnlyList<string> PieceIds);

/// <summary>Why a search for groups ended.</summary>
public enum FiringGroupsStop
{
    /// <summary>No fewer firings will do.</summary>
    Proven,

    /// <summary>Its work was used up.</summary>
    SearchEnded,

    /// <summary>The caller ended it.</summary>
    Cancelled,
}

/// <summary>The firings in which every piece's next step is done.</summary>
/// <param name="Groups">The firings.</param>
/// <param name="Proven">No fewer will do.</param>
/// <param name="LowerBound">No plan has fewer.</param>
/// <param name="LeftOut">Pieces that no firing can be found for.</param>
/// <param name="Branchings">How many times the search branched.</param>
public sealed record FiringGroupsPlan(
    IReadOnlyList<FiringGroup> Groups, bool Proven, int LowerBound, IReadOnlyList<LeftOut> LeftOut, long Branchings)
{
    /// <summary>Why the search ended.</summary>
    public FiringGroupsStop Stopped { get; init; }
}
