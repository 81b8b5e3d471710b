using KilnShare.Core.Bookings;
using KilnShare.Core.CoFiring;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Pieces;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Bookings;

/// <summary>From what a loader wrote down to the lines of the real load.</summary>
internal static class RealLoad
{
    /// <summary>The lines, or what is missing or named twice.</summary>
    /// <param name="body">What the loader wrote down.</param>
    /// <param name="snapshot">The firing and what it holds.</param>
    /// <param name="now">The copies as they are.</param>
    /// <param name="steps">The step that each booked copy is in for.</param>
    public static Result<List<LoadItem>> Of(
        LoadBody body, RoomSnapshot snapshot, IReadOnlyList<CopyNow> now, IReadOnlyDictionary<(Id<Piece> Piece, int Copy), int> steps)
    {
        var held = snapshot.Room.Held.Where(h => !h.IsRoom).ToDictionary(h => (h.PieceId.Value, h.Copy));
        var items = new Dictionary<(Guid, int), LoadItem>();
        for (var i = 0; i < body.Placed.Count; i++)
        {
            if (Add(body.Placed[i].PieceId, body.Placed[i].Copies, LoadFate.Placed, null, $"/placed/{i}") is { } refusal) return refusal;
        }

        for (var i = 0; i < body.LeftBehind.Count; i++)
        {
            if (Add(body.LeftBehind[i].PieceId, body.LeftBehind[i].Copies, LoadFate.LeftBehind, body.LeftBehind[i].Reason, $"/leftBehind/{i}") is { } refusal)
                return refusal;
        }

        var missing = held.Values.Where(h => !items.ContainsKey((h.PieceId.Value, h.Copy))).ToList();
        if (body.AsPlanned)
        {
            foreach (var copy in missing)
            {
                if (Add(copy.PieceId.Value, [copy.Copy], LoadFate.Placed, null, "/asPlanned") is { } refusal) return refusal;
            }

            return items.Values.ToList();
        }

        return missing.Count == 0 ? items.Values.ToList() : Refusal.Rule(
            "bookings.copies-unaccounted",
                $"{missing.Count} booked copies stand in neither list, the first is {missing[0].Frozen.Name} ({missing[0].Frozen.Mark ?? "no mark"}). Say of "
                    + $"each whether it went in.", "/placed") with
        {
            Values = new Dictionary<string, object?>(
                StringComparer.Ordinal)
            { ["copies"] = missing.Select(m => new { pieceId = m.PieceId.Value, copy = m.Copy }).ToList() },
        };

        Refusal? Add(Guid pieceId, IReadOnlyList<int>? copies, LoadFate fate, string? reason, string pointer)
        {
            var all = now.Where(c => c.Piece.Id.Value == pieceId).ToList();
            var chosen = copies is null ? all.Where(c => held.ContainsKey((pieceId, c.Copy.Copy)) || held.Keys.All(k => k.Item1 != pieceId)).ToList()
                : all.Where(c => copies.Contains(c.Copy.Copy)).ToList();
            if (chosen.Count == 0 || (copies is not null && chosen.Count != copies.Count))
                return Refusal.Rule(
                    "bookings.no-such-copy", "There is no such piece or copy in your studio. Check the id and the copies.", pointer + "/pieceId");
            foreach (var copy in chosen)
            {
                var booked = held.GetValueOrDefault((pieceId, copy.Copy.Copy));
                if (fate == LoadFate.Placed && booked is not null && (booked.Frozen.FiredWare().Stage != copy.Copy.Stage
                    || steps[(copy.Piece.Id, copy.Copy.Copy)] != copy.Copy.Step)) return StepNotDone(copy, booked, pointer);
                var item = new LoadItem(snapshot.Firing.StudioId, snapshot.Firing.Id, copy.Piece.Id, copy.Copy.Copy, fate, AsLoaded(
                    booked?.Frozen, copy.FrozenFor(snapshot.Firing.Aim.Kind)))
                {
                    Reason = reason,
                    ShelfNo = fate == LoadFate.Placed ? booked?.Place?.ShelfNo : null,
                };
                if (!items.TryAdd((pieceId, copy.Copy.Copy), item))
                    return Refusal.Rule("bookings.copy-twice", $"{WareNames.CopyOf(copy.Frozen, copy.Copy.Copy)} stands twice.", pointer + "/copies");
            }

            return null;
        }
    }

    private static Refusal StepNotDone(CopyNow now, HeldCopy booked, string pointer) => Refusal.Rule(
        "bookings.step-not-done",
        $"{WareNames.CopyOf(now.Frozen, now.Copy.Copy)} was booked as {Word(booked.Frozen.FiredWare().Stage)} and is {Word(now.Copy.Stage)}: a firing before "
            + $"this one has not been, did not do its work, or was lost. List it under leftBehind.",
        pointer + "/pieceId");

    private static string Word(Stage stage) => stage.ToString().ToLowerInvariant();

    /// <summary>Size, clay and coats as booked; the cones of its bisque and of its fired coats and how dry it is, as they are now.</summary>
    private static FrozenCopy AsLoaded(FrozenCopy? booked, FrozenCopy now) => booked is null ? now : booked with
    {
        Ware = booked.FiredWare() with
        {
            BisquedAt = now.FiredWare().BisquedAt,
            Dryness = now.FiredWare().Dryness,
            DrySince = now.FiredWare().DrySince,
            Layers = [.. booked.FiredWare().Layers.Select(
                (layer, i) => layer with { FiredAt = i < now.FiredWare().Layers.Count ? now.FiredWare().Layers[i].FiredAt : layer.FiredAt })],
        },
    };

    /// <summary>What the rules say of what really went in.</summary>
    public static IReadOnlyList<Finding> FindingsOn(IReadOnlyList<LoadItem> items, FiringRoom room)
    {
        var placed = items.Where(i => i.Fate == LoadFate.Placed).Select(i => new HeldCopy(default, i.PieceId, i.Copy, i.Frozen, null)).ToList();
        if (placed.Count == 0) return [];
        var answer = CoFiringCheck.Check(room.Plan, FiringRoom.Wares(placed), room.Evidence);
        return [.. answer.Pieces.SelectMany(p => p.Findings).Concat(answer.Between).Select(FiringRoom.NamePieces)];
    }

    /// <summary>Replaces the stored lines; what stayed behind is free to be booked again, and returned.</summary>
    public static async Task<IReadOnlyList<BookedCopy>> Store(KilnShareDb db, Firing firing, IReadOnlyList<LoadItem> items, CancellationToken cancellation)
    {
        await db.Set<LoadItem>().Where(i => i.StudioId == firing.StudioId && i.FiringId == firing.Id).ExecuteDeleteAsync(cancellation);
        db.AddRange(items);
        await ReserveRelease.LetAll(db, firing, cancellation);
        var left = items.Where(i => i.Fate == LoadFate.LeftBehind).Select(i => (i.PieceId, i.Copy)).ToHashSet();
        var stayed = new List<BookedCopy>();
        foreach (var copy in await db.Set<BookedCopy>()
            .Where(c => c.StudioId == firing.StudioId && c.FiringId == firing.Id && c.State == BookingState.Confirmed).ToListAsync(cancellation))
        {
            if (!left.Contains((copy.PieceId, copy.Copy))) continue;
            copy.State = BookingState.Withdrawn;
            copy.MoveTo(null);
            stayed.Add(copy);
        }

        var stored = await db.Set<Firing>().SingleAsync(f => f.StudioId == firing.StudioId && f.Id == firing.Id, cancellation);
        if (stored.State < FiringState.Loaded) stored.State = FiringState.Loaded;
        stored.Version++;
        return stayed;
    }
}
