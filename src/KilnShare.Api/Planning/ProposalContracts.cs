using KilnShare.Api.Cones;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Materials;

namespace KilnShare.Api.Planning;

/// <summary>Copies of a piece.</summary>
public record ProposedPieceContract
{
    /// <summary>The piece.</summary>
    public required Guid PieceId { get; init; }

    /// <summary>Which copies.</summary>
    public required IReadOnlyList<int> Copies { get; init; }
}

/// <summary>Copies that no firing can be found for.</summary>
public sealed record LeftOutPieceContract : ProposedPieceContract
{
    /// <summary>Why, and what to do.</summary>
    public required string Reason { get; init; }
}

/// <summary>A firing that would do the next step of these pieces.</summary>
public sealed record ProposedFiringContract
{
    /// <summary>The kind of firing.</summary>
    public required FiringKind Kind { get; init; }

    /// <summary>The cone.</summary>
    public required Cone Cone { get; init; }

    /// <summary>The series of the cone.</summary>
    public required ConeSeries Series { get; init; }

    /// <summary>The cone's temperature, so that 6 and 06 are not confused.</summary>
    public required ConeEquivalentContract? ConeEquivalent { get; init; }

    /// <summary>The atmosphere.</summary>
    public required Atmosphere Atmosphere { get; init; }

    /// <summary>The pieces.</summary>
    public required IReadOnlyList<ProposedPieceContract> Pieces { get; init; }

    /// <summary>The kilns in service that are rated for it.</summary>
    public required IReadOnlyList<Guid> KilnIds { get; init; }

    /// <summary>What it comes to in each of these kilns.</summary>
    public required IReadOnlyList<KilnLoadsContract> Loads { get; init; }
}

/// <summary>How many loads of one kiln the ware comes to; nothing is known of it where the figures are null.</summary>
public sealed record KilnLoadsContract
{
    /// <summary>The kiln.</summary>
    public required Guid KilnId { get; init; }

    /// <summary>As few as were found in a short search.</summary>
    public int? Loads { get; init; }

    /// <summary>No fewer will do.</summary>
    public int? LeastLoads { get; init; }

    /// <summary>Copies that stand in none of them: too tall or too wide for this kiln, or no place was found.</summary>
    public int? CopiesWithoutPlace { get; init; }
}

/// <summary>The fewest firings for all that waits in the studio.</summary>
public sealed record ProposalsAnswer
{
    /// <summary>The firings.</summary>
    public required IReadOnlyList<ProposedFiringContract> Firings { get; init; }

    /// <summary>True when no fewer will do.</summary>
    public required bool Proven { get; init; }

    /// <summary>No plan has fewer.</summary>
    public required int LowerBound { get; init; }

    /// <summary>Copies that no firing can be found for.</summary>
    public required IReadOnlyList<LeftOutPieceContract> LeftOut { get; init; }
}
