using KilnShare.Core.Loading.Geometry;
using KilnShare.Core.Pieces;

namespace KilnShare.Core.Bookings;

/// <summary>Pieces that take over reserved room: which stand in the very place that was kept, and which must be found room.</summary>
/// <param name="InPlace">No wider and no higher than what was kept: in its place.</param>
/// <param name="Others">Larger, or more than was kept.</param>
/// <param name="GivenUp">The nameless copies that make way: for each of these one, as long as there are any.</param>
public sealed record ReserveFilling(IReadOnlyList<HeldCopy> InPlace, IReadOnlyList<HeldCopy> Others, IReadOnlyList<HeldCopy> GivenUp)
{
    /// <summary>A quarter turn, thousandths of a degree.</summary>
    private const int QuarterTurn = 90_000;

    /// <summary>Gives each piece the smallest room that holds it; those that none holds make the largest of the rest way.</summary>
    /// <param name="kept">The nameless copies, in their places.</param>
    /// <param name="wanted">The pieces, the largest first where that matters is seen to here.</param>
    public static ReserveFilling Of(IReadOnlyList<HeldCopy> kept, IReadOnlyList<HeldCopy> wanted)
    {
        var free = kept.OrderBy(VolumeOf).ToList();
        List<HeldCopy> inPlace = [], others = [], givenUp = [];
        foreach (var piece in wanted.OrderByDescending(VolumeOf))
        {
            if (free.Select(room => (Room: room, Place: PlaceIn(room, piece.Frozen)))
                .FirstOrDefault(f => f.Place is not null) is not { Place: { } place } found)
            {
                others.Add(piece);
                continue;
            }

            free.Remove(found.Room);
            givenUp.Add(found.Room);
            inPlace.Add(piece with { Place = place });
        }

        givenUp.AddRange(free.AsEnumerable().Reverse().Take(others.Count));
        return new ReserveFilling(inPlace, others, givenUp);
    }

    /// <summary>The firing with the pieces where room was kept for them, and without that room.</summary>
    public FiringRoom In(FiringRoom room)
    {
        var gone = GivenUp.Select(c => (c.BookingId, c.PieceId, c.Copy)).ToHashSet();
        return room with { Held = [.. room.Held.Where(c => !gone.Contains((c.BookingId, c.PieceId, c.Copy))), .. InPlace] };
    }

    private static CopyPlace? PlaceIn(HeldCopy room, FrozenCopy piece)
    {
        if (piece.Height > room.Frozen.Height || room.Place is not { } place) return null;
        var kept = PlacedShape.Of(room.Frozen.Footprint, place.X.Micrometres, place.Y.Micrometres, place.RotationThousandths);
        foreach (var turn in piece.MayTurn ? [place.RotationThousandths, (place.RotationThousandths + QuarterTurn) % Turning.Full] : new[] { 0 })
        {
            if (!Exact.Inside(PlacedShape.Of(piece.Footprint, place.X.Micrometres, place.Y.Micrometres, turn), kept, 0)) continue;
            return place with { RotationThousandths = turn, Core = CoreDisc.Of(piece.Footprint, place.X, place.Y, turn) };
        }

        return null;
    }

    private static double VolumeOf(HeldCopy copy) => FootprintMeasure.AreaUm2(copy.Frozen.Footprint) * copy.Frozen.Height.Micrometres;
}
