using KilnShare.Api.Access;
using KilnShare.Api.Firings;
using KilnShare.Api.Loading;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
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
    /// <summary>Reads it as of one instant; null when there is no such firing.</summary>
    public static async Task<FiringSheet?> Read(KilnShareDb db, Caller caller, Guid firingId, LengthUnit unit, CancellationToken cancellation)
    {
        await using var reading = await db.Database.BeginTransactionAsync(System.Data.IsolationLevel.RepeatableRead, cancellation);
        if (await db.ReadRoom(caller.StudioId, new Id<Firing>(firingId), cancellation) is not { } snapshot) return null;
        var owners = snapshot.Room.Held.Select(h => h.Frozen.MemberId).Distinct().ToList();
        var names = await db.Set<Member>().AsNoTracking().Where(m => m.StudioId == caller.StudioId && owners.Contains(m.Id)).ToDictionaryAsync(m => m.Id, m => m.Name, cancellation);
        var studio = await db.Set<Studio>().AsNoTracking().SingleAsync(s => s.StudioId == caller.StudioId, cancellation);
        var zone = DateTimeZoneProviders.Tzdb[studio.TimeZone];
        return new FiringSheet(snapshot.Firing, snapshot.Room, SheetOf(snapshot, names, zone, unit), zone);
    }

    private static LoadSheet SheetOf(RoomSnapshot snapshot, Dictionary<Id<Member>, string> names, DateTimeZone zone, LengthUnit unit)
    {
        var room = snapshot.Room;
        return new LoadSheet(
            $"{room.Kiln.Name}: {FiringWords.Of(snapshot.Firing)}, {FiringWords.Time(snapshot.Firing.StartsAt, zone)}",
            room.Kiln.Chamber, room.Furniture, room.Kiln.Spacing, room.CurrentPlan(),
            room.Held.GroupBy(FiringRoom.NameOf, StringComparer.Ordinal).ToDictionary(g => g.Key, g => PieceOf([.. g.OrderBy(h => h.Copy)], names), StringComparer.Ordinal),
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
