using KilnShare.Api.Materials;
using KilnShare.Core.Bookings;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;

namespace KilnShare.Api.Pieces;

/// <summary>Where one copy stands on its way.</summary>
public sealed record CopyAnswer
{
    /// <summary>Which copy, from 0.</summary>
    public required int Copy { get; init; }

    /// <summary>What it has been fired to.</summary>
    public required Stage Stage { get; init; }

    /// <summary>How many firings it has been through here.</summary>
    public required int Step { get; init; }

    /// <summary>The cone of its bisque.</summary>
    public required Cone? BisquedAt { get; init; }

    /// <summary>The cones its first layers were fired at; layers beyond are raw.</summary>
    public required IReadOnlyList<Cone> LayersFiredAt { get; init; }

    /// <summary>The firings it still needs, the next one first.</summary>
    public required IReadOnlyList<RouteStepAnswer> Route { get; init; }

    /// <summary>The firings it is booked for.</summary>
    public required IReadOnlyList<BookedStepAnswer> Booked { get; init; }

    /// <summary>The answer for a copy.</summary>
    public static CopyAnswer Of(Piece piece, PieceCopy copy, PieceSurroundings around) => new()
    {
        Copy = copy.Copy,
        Stage = copy.Stage,
        Step = copy.Step,
        BisquedAt = copy.BisquedAt,
        LayersFiredAt = copy.LayersFiredAt,
        Route = [.. CopyRoute.Of(piece.Making, copy.Now(), layer => around.GlazeKinds[layer.GlazeId]).Steps.Select(RouteStepAnswer.Of)],
        Booked = [.. around.Booked[piece.Id].Where(b => b.Copy == copy.Copy && b.Step >= copy.Step).OrderBy(b => b.Step).Select(BookedStepAnswer.Of)],
    };
}

/// <summary>One firing on a copy's way.</summary>
public sealed record RouteStepAnswer
{
    /// <summary>The kind of firing.</summary>
    public required FiringKind Kind { get; init; }

    /// <summary>True when the step after it may be taken without it.</summary>
    public required bool MayBeSkipped { get; init; }

    /// <summary>True when body and glaze have been through such a firing before.</summary>
    public required bool IsRefire { get; init; }

    /// <summary>The answer for a step.</summary>
    public static RouteStepAnswer Of(RouteStep step) => new() { Kind = step.Kind, MayBeSkipped = step.MayBeSkipped, IsRefire = step.IsRefire };
}

/// <summary>A firing that a copy is booked for.</summary>
public sealed record BookedStepAnswer
{
    /// <summary>Which step of its route it is.</summary>
    public required int Step { get; init; }

    /// <summary>The firing.</summary>
    public required Guid FiringId { get; init; }

    /// <summary>The booking.</summary>
    public required Guid BookingId { get; init; }

    /// <summary>Where the booking stands.</summary>
    public required BookingState State { get; init; }

    /// <summary>The answer for a booked copy.</summary>
    public static BookedStepAnswer Of(BookedCopy copy) =>
        new() { Step = copy.Step, FiringId = copy.FiringId.Value, BookingId = copy.BookingId.Value, State = copy.State };
}

/// <summary>A piece of the studio.</summary>
public sealed record PieceAnswer : PieceBody
{
    /// <summary>Its identity.</summary>
    public required Guid Id { get; init; }

    /// <summary>Whose it is.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>Each copy on its way.</summary>
    public required IReadOnlyList<CopyAnswer> Copies { get; init; }

    /// <summary>Raised by every edit; also the ETag.</summary>
    public required long Version { get; init; }

    /// <summary>The answer for a piece and its copies.</summary>
    public static PieceAnswer Of(Piece piece, IReadOnlyList<PieceCopy> copies, PieceSurroundings around) => new()
    {
        Id = piece.Id.Value,
        MemberId = piece.MemberId.Value,
        Version = piece.Version,
        Name = piece.Making.Name,
        Mark = piece.Making.Mark,
        Footprint = ShapeContract.Of(piece.Making.Footprint),
        HeightMm = piece.Making.Height,
        MassG = piece.Making.MassG,
        Quantity = piece.Quantity,
        ClayId = piece.Making.ClayId.Value,
        Layers = [.. piece.Making.Layers.Select(l => PieceLayerContract.Of(l, around.GlazeKinds[l.GlazeId]))],
        Stage = copies.Min(c => c.Stage),
        BisquedAt = copies[0].BisquedAt,
        Dryness = copies[0].Dryness,
        DrySince = copies[0].DrySince,
        ForFood = piece.Making.ForFood,
        BareFootMm = piece.Making.BareFootMm,
        OnCatcher = piece.Making.OnCatcher,
        WallMm = piece.Making.WallMm,
        OnStilts = piece.Making.OnStilts,
        SingleFire = piece.Making.SingleFire,
        OutsideMaterial = piece.Making.OutsideMaterial,
        Tested = piece.Making.Tested,
        TestWare = piece.Making.TestWare,
        Release = ReleaseContract.Of(piece.Making.Release),
        MayTurn = piece.Making.MayTurn,
        Lid = piece.Making.Lid,
        Steep = piece.Making.Steep,
        TestTile = piece.Making.TestTile,
        Copies = [.. copies.OrderBy(c => c.Copy).Select(c => CopyAnswer.Of(piece, c, around))],
    };
}
