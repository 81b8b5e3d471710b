using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;

namespace KilnShare.Core.Bookings;

/// <summary>A copy as it was when it was booked: later edits of the piece do not reach into a firing.</summary>
/// <param name="Name">What it is.</param>
/// <param name="Mark">The sign under the foot.</param>
/// <param name="MemberId">Whose it is.</param>
/// <param name="Footprint">Its outline.</param>
/// <param name="Height">Its height.</param>
/// <param name="MassG">Its mass, g; null where not weighed.</param>
/// <param name="MayTurn">True when it may be turned on the shelf.</param>
/// <param name="Ware">What the co-firing rules see of it; null for reserved room, of which only the size is known.</param>
public sealed record FrozenCopy(
    string Name, string? Mark, Id<Member> MemberId, Footprint Footprint, Length Height, decimal? MassG, bool MayTurn, Ware? Ware)
{
    /// <summary>Where in the kiln it would rather stand in this firing; null where that does not matter.</summary>
    public Loading.Heat? Wish { get; init; }

    /// <summary>True for ware made to try something out.</summary>
    public bool TestWare { get; init; }

    /// <summary>The ware of a copy that is fired: reserved room never is.</summary>
    /// <exception cref="InvalidOperationException">It is reserved room.</exception>
    public Ware FiredWare() => Ware ?? throw new InvalidOperationException("Reserved room is not fired.");
}

/// <summary>Where a confirmed copy stands.</summary>
/// <param name="ShelfNo">Index of the shelf in the plan.</param>
/// <param name="X">Of its footprint's origin.</param>
/// <param name="Y">Of its footprint's origin.</param>
/// <param name="RotationThousandths">Anticlockwise, thousandths of a degree.</param>
/// <param name="StackLevel">0 on the shelf, 1 on the copy below, and so on.</param>
/// <param name="OpenAbove">True when it rises past the next shelf, where a half is missing.</param>
/// <param name="Core">A disc inside the placed footprint: no two of a level may overlap, whatever the code does.</param>
public sealed record CopyPlace(int ShelfNo, Length X, Length Y, int RotationThousandths, int StackLevel, bool OpenAbove, CoreDisc Core);

/// <summary>One copy of a piece in a firing, or one nameless copy that keeps room for it.</summary>
public sealed class BookedCopy(
    Id<Studio> studioId, Id<Firing> firingId, Id<Piece> pieceId, int copy, int step, Id<Booking> bookingId, FrozenCopy frozen)
{
    /// <summary>The studio.</summary>
    public Id<Studio> StudioId { get; private set; } = studioId;

    /// <summary>The firing.</summary>
    public Id<Firing> FiringId { get; private set; } = firingId;

    /// <summary>The piece; of reserved room an identity that its nameless copies of one size share, and no piece has.</summary>
    public Id<Piece> PieceId { get; private set; } = pieceId;

    /// <summary>Which copy.</summary>
    public int Copy { get; private set; } = copy;

    /// <summary>The step of a copy whose firing did none: what is to be done is to be booked again.</summary>
    public const int NoStep = -1;

    /// <summary>Which step of its route this firing is; 0 for reserved room, <see cref="NoStep"/> where the firing did none.</summary>
    public int Step { get; private set; } = step;

    /// <summary>The booking it came by.</summary>
    public Id<Booking> BookingId { get; private set; } = bookingId;

    /// <summary>The copy as booked.</summary>
    public FrozenCopy Frozen { get; private set; } = frozen;

    /// <summary>True for reserved room: a size without a piece.</summary>
    public bool IsRoom { get; private set; } = frozen.Ware is null;

    /// <summary>Where the copy's booking stands.</summary>
    public BookingState State { get; set; }

    /// <summary>Index of the shelf; null while it has no place.</summary>
    public int? ShelfNo { get; private set; }

    /// <summary>µm.</summary>
    public long? X { get; private set; }

    /// <summary>µm.</summary>
    public long? Y { get; private set; }

    /// <summary>Thousandths of a degree.</summary>
    public int? RotationThousandths { get; private set; }

    /// <summary>0 on the shelf.</summary>
    public int? StackLevel { get; private set; }

    /// <summary>True when it rises past the next shelf.</summary>
    public bool? OpenAbove { get; private set; }

    /// <summary>Centre of the disc the database guards, µm.</summary>
    public long? CoreX { get; private set; }

    /// <summary>Centre of the disc the database guards, µm.</summary>
    public long? CoreY { get; private set; }

    /// <summary>Radius of the disc the database guards, µm.</summary>
    public long? CoreRadius { get; private set; }

    /// <summary>Where it stands; null while it has no place.</summary>
    public CopyPlace? Place => ShelfNo is null ? null : new CopyPlace(
        ShelfNo.Value, new Length(X!.Value), new Length(Y!.Value), RotationThousandths!.Value, StackLevel!.Value, OpenAbove!.Value,
        new CoreDisc(CoreX!.Value, CoreY!.Value, CoreRadius!.Value));

    /// <summary>Takes the copy down anew, as it is now.</summary>
    public void TakeDown(int step, FrozenCopy frozen) => (Step, Frozen) = (step, frozen);

    /// <summary>Says which step of its route the firing did: <paramref name="step"/>, or none.</summary>
    public void Did(int step, bool done) => Step = done ? step : NoStep;

    /// <summary>Gives it a place, or takes it away.</summary>
    public void MoveTo(CopyPlace? place)
    {
        ShelfNo = place?.ShelfNo;
        X = place?.X.Micrometres;
        Y = place?.Y.Micrometres;
        RotationThousandths = place?.RotationThousandths;
        StackLevel = place?.StackLevel;
        OpenAbove = place?.OpenAbove;
        CoreX = place?.Core.X;
        CoreY = place?.Core.Y;
        CoreRadius = place?.Core.Radius;
    }
}
