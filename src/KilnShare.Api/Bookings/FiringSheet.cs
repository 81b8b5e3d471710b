using KilnShare.Api.Access;
using KilnShare.Api.Firings;
using KilnShare.Api.Loading;
using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Loading;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Bookings;

/// <summary>A firing's published plan with the names that pictures and papers of it show.</summary>
/// <param name="Firing">The firing.</param>
/// <param name="Room">Its kiln and what it holds.</param>
/// <param name="Sheet">The plan.</param>
/// <param name="Zone">The studio's time zone.</param>
public sealed record FiringSheet(Firing Firing, FiringRoom Room, LoadSheet Sheet, DateTimeZone Zone)
{
    /// <summary>True where the kiln's furniture is another by now, so that nothing is loaded by this plan.</summary>
    public bool IsOld { get; init; }

    /// <summary>What is to be fetched, rack by rack; ware that was not handed in comes last.</summary>
    public IReadOnlyList<(string Rack, string Ware)> Racks { get; init; } = [];

    /// <summary>What a technician's yes was said under, and what the rules say of this load that touches kiln or others.</summary>
    public IReadOnlyList<string> Conditions { get; init; } = [];

    /// <summary>Reads it as of one instant.</summary>
    public static async Task<Result<FiringSheet>> Read(KilnShareDb db, Caller caller, Guid firingId, LengthUnit unit, CancellationToken cancellation)
    {
        await using var reading = await db.Database.BeginTransactionAsync(System.Data.IsolationLevel.RepeatableRead, cancellation);
        if (await db.ReadRoom(caller.StudioId, new Id<Firing>(firingId), cancellation) is not { } snapshot) return Absent;
        if (snapshot.Room.Shelves.FirstOrDefault(s => snapshot.Room.Furniture.Shelves.All(k => k.Id != s.ShelfId)) is { } lost)
            return Lost(snapshot.Room, lost);
        var owners = snapshot.Room.Held.Select(h => h.Frozen.MemberId).Distinct().ToList();
        var names = await db.Set<Member>().AsNoTracking().Where(m => m.StudioId == caller.StudioId && owners.Contains(m.Id))
            .ToDictionaryAsync(m => m.Id, m => m.Name, cancellation);
        var studio = await db.Set<Studio>().AsNoTracking().SingleAsync(s => s.StudioId == caller.StudioId, cancellation);
        var zone = DateTimeZoneProviders.Tzdb[studio.TimeZone];
        return new FiringSheet(snapshot.Firing, snapshot.Room, SheetOf(snapshot, names, zone, unit), zone)
        {
            IsOld = snapshot.Anew is not null,
            Racks = await RacksOf(db, snapshot, names, cancellation),
            Conditions = [.. await YesesTo(db, snapshot, cancellation), .. CautionsOf(snapshot.Room)],
        };
    }

    /// <summary>The copies that stand in a place of the sheet; empty where there is no such place.</summary>
    /// <param name="snapshot">The firing and its plan.</param>
    /// <param name="shelf">The shelf's number, from 1 at the bottom.</param>
    /// <param name="number">The number on that shelf.</param>
    public static IReadOnlyList<(Id<Piece> Piece, int Copy)> StandingAt(RoomSnapshot snapshot, int shelf, int number)
    {
        var sheet = SheetOf(snapshot, [], DateTimeZone.Utc, LengthUnit.Millimetres);
        if (sheet.Plan.Shelves.FirstOrDefault(s => LoadSheet.NumberOf(s.Index) == shelf) is not { } found
            || snapshot.Room.Furniture.Shelves.All(k => k.Id != found.ShelfId)) return [];
        if (sheet.MeasuresOn(found).FirstOrDefault(m => m.Number == number) is not { Placement: var placement }) return [];
        var copies = snapshot.Room.Held.Where(h => FiringRoom.NameOf(h) == placement.PieceId).OrderBy(h => h.Copy).ToList();
        return [.. placement.Copies.Select(c => (copies[c].PieceId, copies[c].Copy))];
    }

    private static async Task<IReadOnlyList<(string Rack, string Ware)>> RacksOf(
        KilnShareDb db, RoomSnapshot snapshot, Dictionary<Id<Member>, string> names, CancellationToken cancellation)
    {
        var (studio, held) = (snapshot.Firing.StudioId, snapshot.Room.Held.Where(h => !h.IsRoom).ToList());
        var pieces = held.Select(h => h.PieceId).Distinct().ToList();
        var events = await db.Set<CustodyEvent>().AsNoTracking()
            .Where(e => e.StudioId == studio && pieces.Contains(e.PieceId) && (e.Kind == CustodyKind.HandedIn || e.Kind == CustodyKind.Collected))
                .ToListAsync(cancellation);
        var last = events.GroupBy(e => (e.PieceId, e.Copy)).ToDictionary(g => g.Key, g => g.MaxBy(e => e.At)!);
        return [.. held.GroupBy(RackOf).OrderBy(rack => rack.Key.Order).ThenBy(rack => rack.Key.Rack, StringComparer.Ordinal)
            .Select(rack => (rack.Key.Rack, WareOf(rack)))];

        (int Order, string Rack) RackOf(HeldCopy copy) => last.GetValueOrDefault((copy.PieceId, copy.Copy)) switch
        {
            { Kind: CustodyKind.HandedIn, Rack: { } rack } => (0, rack),
            { Kind: CustodyKind.HandedIn } => (1, "a rack that was not named"),
            _ => (2, "not handed in"),
        };

        string WareOf(IEnumerable<HeldCopy> copies) => string.Join("; ", copies.GroupBy(c => c.Frozen.MemberId).Select(owner =>
            $"{names.GetValueOrDefault(owner.Key)}: "
                + $"{string.Join(", ", owner.GroupBy(c => c.PieceId).Select(piece => WareNames.Several(piece.First().Frozen, piece.Count())))}"));
    }

    private static async Task<IReadOnlyList<string>> YesesTo(KilnShareDb db, RoomSnapshot snapshot, CancellationToken cancellation)
    {
        var approved = await db.Set<Booking>().AsNoTracking()
            .Where(b => b.StudioId == snapshot.Firing.StudioId && b.FiringId == snapshot.Firing.Id && b.State == BookingState.Confirmed
                && b.TechnicianReason != null)
            .OrderBy(b => b.CreatedAt).ToListAsync(cancellation);
        return [.. approved.Select(
            b => $"A technician said yes to {WareNames.Of([.. snapshot.Room.Held.Where(h => h.BookingId == b.Id)])}: {b.TechnicianReason}")];
    }

    private static IEnumerable<string> CautionsOf(FiringRoom room)
    {
        var wares = room.Held.Where(h => !h.IsRoom).ToLookup(h => h.PieceId.ToString(), StringComparer.Ordinal);
        return BookingDecision.FindingsOn(room with { Held = [] }, room.Held)
            .Where(f => f.Verdict != Verdict.Compatible && f.Touches is Touches.Kiln or Touches.Others)
            .Select(f => f.Pieces.Count == 0 ? f.Message : $"{WareNames.Of([.. f.Pieces.SelectMany(p => wares[p])])}: {f.Message}")
                .Distinct(StringComparer.Ordinal);
    }

    private static Refusal Absent => new(RefusalKind.Absent, "request.not-found", "There is no such thing in your studio. Check the id.");

    /// <summary>A plan from before plans kept what they stand on, whose shelf had been taken out of the kiln by then.</summary>
    private static Refusal Lost(FiringRoom room, PlacedShelf shelf) => Refusal.Rule(
        "loading.shelf-unknown",
        $"This plan has a shelf {shelf.ShelfId}, and what it looked like was not kept when it was taken out of {room.Kiln.Name}. The plan can be read "
            + $"without its picture; if nothing is loaded yet, plan the firing anew.");

    private static LoadSheet SheetOf(RoomSnapshot snapshot, Dictionary<Id<Member>, string> names, DateTimeZone zone, LengthUnit unit)
    {
        var room = snapshot.Room;
        return new LoadSheet(
            $"{room.Kiln.Name}: {FiringWords.Of(snapshot.Firing)}, {FiringWords.Time(snapshot.Firing.StartsAt, zone)}",
            room.Kiln.Chamber, room.Furniture, room.Kiln.Spacing, room.CurrentPlan(),
            room.Held.GroupBy(FiringRoom.NameOf, StringComparer.Ordinal)
                .ToDictionary(g => g.Key, g => PieceOf([.. g.OrderBy(h => h.Copy)], names), StringComparer.Ordinal),
            room.Kiln.KeepOuts, unit);
    }

    private static SheetPiece PieceOf(List<HeldCopy> copies, Dictionary<Id<Member>, string> names)
    {
        var frozen = copies[0].Frozen;
        var isOne = copies is [{ Copy: 0 }];
        return new SheetPiece(
            names.GetValueOrDefault(frozen.MemberId), frozen.Mark ?? frozen.Name, frozen.Name, frozen.Footprint, frozen.Height, frozen.Height,
            isOne ? null : [.. copies.Select(c => c.Copy)]);
    }
}
