using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Core.Pieces;

/// <summary>Where one copy of a piece stands on its way: copies of a batch may go through different firings.</summary>
public sealed class PieceCopy(Id<Studio> studioId, Id<Piece> pieceId, int copy, Stage stage)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The piece.</summary>
    public Id<Piece> PieceId { get; private set; } = pieceId;

    /// <summary>Which copy, from 0.</summary>
    public int Copy { get; private set; } = copy;

    /// <summary>What it has been fired to.</summary>
    public Stage Stage { get; set; } = stage;

    /// <summary>How many firings it has been through here: the step of its route that comes next.</summary>
    public int Step { get; set; }

    /// <summary>The cone of its bisque; null where not known.</summary>
    public Cone? BisquedAt { get; set; }

    /// <summary>How dry it is, while it is greenware.</summary>
    public Dryness? Dryness { get; set; }

    /// <summary>Since when it has been dry.</summary>
    public Instant? DrySince { get; set; }

    /// <summary>The cones its first layers were fired at; layers beyond are raw.</summary>
    public IReadOnlyList<Cone> LayersFiredAt { get; set; } = [];

    /// <summary>What a firing of that kind and cone makes of it: a stage further, its raw layers fired, one step of its route done.</summary>
    public void MoveOn(Cone cone, Stage stage, int layers)
    {
        if (Stage == Stage.Greenware && stage == Stage.Bisque) BisquedAt = cone;
        LayersFiredAt = [.. LayersFiredAt, .. Enumerable.Repeat(cone, Math.Max(0, layers - LayersFiredAt.Count))];
        Stage = stage;
        Step++;
    }

    /// <summary>The same copy, to be moved on by itself.</summary>
    public PieceCopy Twin() => new(StudioId, PieceId, Copy, Stage)
    {
        Step = Step,
        BisquedAt = BisquedAt,
        Dryness = Dryness,
        DrySince = DrySince,
        LayersFiredAt = LayersFiredAt,
    };
}
