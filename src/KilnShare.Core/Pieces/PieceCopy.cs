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

    /// <summary>How many steps of its route have been done here: the step that comes next.</summary>
    public int Step { get; set; }

    /// <summary>The cone of its bisque; null where not known.</summary>
    public Cone? BisquedAt { get; set; }

    /// <summary>How dry it is, while it is greenware.</summary>
    public Dryness? Dryness { get; set; }

    /// <summary>Since when it has been dry.</summary>
    public Instant? DrySince { get; set; }

    /// <summary>The cones its first layers were fired at; layers beyond are raw.</summary>
    public IReadOnlyList<Cone> LayersFiredAt { get; set; } = [];

    /// <summary>How far it has come.</summary>
    public CopyState Now() => new(Stage, Step) { BisquedAt = BisquedAt, Dryness = Dryness, DrySince = DrySince, LayersFiredAt = LayersFiredAt };

    /// <summary>Becomes what a firing made of it.</summary>
    public void Become(CopyState state) =>
        (Stage, Step, BisquedAt, Dryness, DrySince, LayersFiredAt) = (state.Stage, state.Step, state.BisquedAt, state.Dryness, state.DrySince,
            state.LayersFiredAt);
}
