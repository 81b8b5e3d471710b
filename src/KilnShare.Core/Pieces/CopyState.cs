using KilnShare.Core.Cones;
using NodaTime;

namespace KilnShare.Core.Pieces;

/// <summary>How far a copy has come on its way: all of it that a firing changes.</summary>
/// <param name="Stage">What it has been fired to.</param>
/// <param name="Step">How many steps of its route are done here.</param>
public sealed record CopyState(Stage Stage, int Step)
{
    /// <summary>The cone of its bisque; null where not known.</summary>
    public Cone? BisquedAt { get; init; }

    /// <summary>How dry it is, while it is greenware.</summary>
    public Dryness? Dryness { get; init; }

    /// <summary>Since when it has been dry.</summary>
    public Instant? DrySince { get; init; }

    /// <summary>The cones its first layers were fired at; layers beyond are raw.</summary>
    public IReadOnlyList<Cone> LayersFiredAt { get; init; } = [];

    /// <summary>True where stage, step, bisque and fired layers are the same: how dry it feels may be written down at any time.</summary>
    public bool IsFiredLike(CopyState other) =>
        Stage == other.Stage && Step == other.Step && BisquedAt == other.BisquedAt && LayersFiredAt.SequenceEqual(other.LayersFiredAt);

    /// <summary>Equal when everything is.</summary>
    public bool Equals(CopyState? other) => other is not null && IsFiredLike(other) && Dryness == other.Dryness && DrySince == other.DrySince;

    /// <inheritdoc/>
    public override int GetHashCode() => HashCode.Combine(Stage, Step, BisquedAt, LayersFiredAt.Count);
}
